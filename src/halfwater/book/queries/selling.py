"""What else the book of sales tells: rules of places, web shops' columns, keys, and all it has of a buyer."""

import hashlib
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from halfwater.book.models import ApiKey, Buyer, Hold
from halfwater.book.models import PlaceRule as Rule
from halfwater.book.models import ShopColumns as Columns
from halfwater.book.queries.orders import buyer_facts, holds, orders
from halfwater.plain.selling import ApiKeyFacts, PlaceRule, ShopColumns

_RULE = ("pk", "place", "taxon_id", "taxon__name", "kind", "text", "checked_on")
_KEY = ("pk", "name", "made_at", "last_used_on", "revoked_at")


def place_rules(place: str | None = None) -> tuple[PlaceRule, ...]:
    """The rules of places, by place, of one place or all."""
    rows = Rule.objects.order_by("place", "taxon__name", "pk").values_list(*_RULE)
    found = tuple(PlaceRule(*row[:3], row[3] or "", *row[4:]) for row in rows)
    return tuple(rule for rule in found if place is None or rule.place.casefold() == place.strip().casefold())


def shop_columns() -> tuple[ShopColumns, ...]:
    """The web shops whose files were read before, by name, with what their columns mean."""
    return tuple(ShopColumns(row.name, row.columns, row.lines) for row in Columns.objects.order_by("name"))


def api_keys() -> tuple[ApiKeyFacts, ...]:
    """The keys of programs, newest first, revoked ones included."""
    return tuple(ApiKeyFacts(*row) for row in ApiKey.objects.order_by("-made_at", "-pk").values_list(*_KEY))


def api_key_for(secret: str) -> ApiKeyFacts | None:
    """The key that a secret opens; None where there is none, or it was revoked."""
    rows = ApiKey.objects.filter(digest=secret_digest(secret), revoked_at__isnull=True)
    return next((ApiKeyFacts(*row) for row in rows.values_list(*_KEY)), None)


def secret_digest(secret: str) -> str:
    """What the book keeps of a secret; a secret is random and long, so that one round is enough."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def buyer_export(key: int) -> dict[str, Any] | None:
    """All that the book has of a buyer, in words and numbers that JSON takes; None for an unknown one."""
    facts = buyer_facts(Buyer.objects.filter(pk=key)).get(key)
    if facts is None:
        return None
    own_holds = {str(uuid) for uuid in Hold.objects.filter(buyer=key).values_list("pk", flat=True)}
    told = {
        "buyer": asdict(facts),
        "orders": [_without_buyer(asdict(one)) for one in orders(buyer=key)],
        "holds": [_without_buyer(asdict(one)) for one in holds() if one.uuid in own_holds],
    }
    plain: dict[str, Any] = _plain(told)
    return plain


def _without_buyer(told: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in told.items() if name != "buyer"}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, datetime | date) else value
