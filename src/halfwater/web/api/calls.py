"""The calls: releases, holds, orders, stock; each for the holder of a key."""

from datetime import timedelta
from typing import Annotated, Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Header, NinjaAPI, Path, Query, Status
from ninja.security import HttpBearer

from halfwater import __version__
from halfwater.book import queries
from halfwater.deeds import keys, orders
from halfwater.deeds.announce import FORMS, announce
from halfwater.deeds.offerable import ready_counts
from halfwater.plain.selling import (
    ApiKeyFacts,
    HoldFacts,
    NewBuyer,
    NewHold,
    NewOrder,
    OrderFacts,
    ReleaseFacts,
    WantedLine,
)
from halfwater.web.api import shapes
from halfwater.web.api.problems import tell_problems

IDEMPOTENCY = Annotated[
    str,
    Header(
        alias="Idempotency-Key", min_length=1, max_length=100, pattern=r"^[\x21-\x7e]+$",
        description="the same again gives the same answer and writes nothing",
    ),
]  # fmt: skip
_REFUSED = {401: shapes.Problem, 422: shapes.Problem}
_FOUND = _REFUSED | {404: shapes.Problem}
_WRITES = _REFUSED | dict.fromkeys((400, 404, 409), shapes.Problem)
_PathKey = Annotated[int, Path(ge=1, le=shapes.LARGEST)]


class KeyHolder(HttpBearer):
    """Lets in who sends the secret of a key that is in use."""

    def authenticate(self, request: HttpRequest, token: str) -> ApiKeyFacts | None:
        """The key, or nobody."""
        return keys.key_of(token, timezone.now())


api = NinjaAPI(
    title="halfwater",
    version=__version__,
    description="Releases, holds and orders of a nursery, for its web shop. Money is in the smallest coin.",
    openapi_url=None,  # served by web.api.views, to whoever may read it
    docs_url=None,
    auth=KeyHolder(),
    urls_namespace="api",
)
tell_problems(api)


@api.get("/releases", response={200: shapes.ReleasesOut} | _REFUSED, tags=["releases"])
def list_releases(request: HttpRequest) -> Any:
    """The releases that were opened, the last first."""
    told = [_release(one) for one in queries.releases(timezone.now()) if one.state != "drafted"]
    return {"releases": told}


@api.get("/releases/{key}", response={200: shapes.ReleaseOut} | _FOUND, tags=["releases"])
def one_release(request: HttpRequest, key: _PathKey) -> Any:
    """One release with its lines and how many plants are free."""
    return _release(_opened(key))


@api.get(
    "/releases/{key}/announcement/{form}",
    response={404: shapes.Problem, 401: shapes.Problem, 409: shapes.Problem, 422: shapes.Problem},
    tags=["releases"],
    openapi_extra={
        "responses": {200: {"description": "the text", "content": {media: {} for _, media in FORMS.values()}}}
    },
)
def release_announcement(request: HttpRequest, key: _PathKey, form: shapes.Form) -> Any:
    """A release as newsletter, html, csv, json-ld or atom."""
    _opened(key)
    return HttpResponse(
        announce(key, form, timezone.now()), content_type=FORMS.get(form, ("", "text/plain"))[1]
    )


@api.post("/holds", response={201: shapes.HoldOut} | _WRITES, tags=["holds"])
def place_hold(request: HttpRequest, asked: shapes.HoldIn, key: IDEMPOTENCY) -> Any:
    """Put plants aside for some minutes; a hold that runs out frees them by itself."""
    now = timezone.now()
    uuid = keys.hold_uuid(_holder(request), key)
    standing = queries.hold(uuid, now)
    # The end counts from the first time it was asked for: asked again it is the same hold.
    made_at = standing.made_at if standing else now
    buyer = _buyer(asked.buyer) if asked.buyer else None
    until = made_at + timedelta(minutes=asked.minutes)
    wanted = NewHold(str(uuid), asked.line, asked.plants, until, buyer)
    return Status(201, orders.hold_by_request(wanted, _who(request), now))


@api.get("/holds/{uuid}", response={200: shapes.HoldOut} | _FOUND, tags=["holds"])
def one_hold(request: HttpRequest, uuid: UUID) -> Any:
    """A hold as it stands; whoever has its uuid may ask."""
    return _held(uuid)


@api.delete("/holds/{uuid}", response={204: None, 409: shapes.Problem} | _FOUND, tags=["holds"])
def let_hold_go(request: HttpRequest, uuid: UUID) -> Any:
    """Let a hold go: its plants are free again."""
    _held(uuid)
    orders.let_hold_go(str(uuid), _who(request), timezone.now())
    return Status(204, None)


@api.post("/orders", response={201: shapes.OrderOut} | _WRITES, tags=["orders"])
def place_order(request: HttpRequest, asked: shapes.OrderIn, key: IDEMPOTENCY) -> Any:
    """Place an order, of lines and of holds: granted whole or refused whole."""
    wanted = NewOrder(
        key=keys.order_key(_holder(request), key), buyer=_buyer(asked.buyer),
        lines=tuple(WantedLine(one.line, one.plants) for one in asked.lines),
        holds=tuple(str(one) for one in asked.holds), channel="shop",
        reference=asked.reference, placed_at=asked.placed_at,
        postage_minor=asked.postage_minor, fee_minor=asked.fee_minor, is_paid=asked.is_paid,
        note=asked.note, papers_seen=asked.papers_seen,
    )  # fmt: skip
    return Status(201, _order(orders.order_by_request(wanted, _who(request), timezone.now())))


@api.get("/orders", response={200: shapes.OrdersOut} | _REFUSED, tags=["orders"])
def list_orders(request: HttpRequest, part: Annotated[shapes.Part, Query()]) -> Any:
    """The orders placed with this key, the newest first."""
    own = [one for one in queries.orders() if keys.is_own_order(_holder(request), one)]
    return {"total": len(own), "orders": [_order(one) for one in own[part.offset : part.offset + part.limit]]}


@api.get("/orders/{number}", response={200: shapes.OrderOut} | _FOUND, tags=["orders"])
def one_order(request: HttpRequest, number: _PathKey) -> Any:
    """An order that was placed with this key."""
    return _order(_own(request, number))


@api.post("/orders/{number}/cancel", response={200: shapes.OrderOut} | _WRITES | _FOUND, tags=["orders"])
def cancel_order(request: HttpRequest, number: _PathKey, asked: shapes.CancelIn) -> Any:
    """Cancel an order whole, while it is not sent."""
    _own(request, number)
    done = orders.cancel_by_request(number, asked.reason, asked.refund_minor, _who(request), timezone.now())
    return _order(done)


@api.get("/stock", response={200: shapes.StocksOut} | _REFUSED, tags=["stock"])
def stock(request: HttpRequest) -> Any:
    """How many pots of each taxon and grade are ready and not offered yet."""
    return {"stock": ready_counts(timezone.now())}


def _holder(request: HttpRequest) -> int:
    key: ApiKeyFacts = request.auth  # type: ignore[attr-defined]
    return key.key


def _who(request: HttpRequest) -> str:
    key: ApiKeyFacts = request.auth  # type: ignore[attr-defined]
    return f"key {key.name}"[:80]


def _buyer(asked: shapes.BuyerIn) -> NewBuyer:
    return NewBuyer(asked.name, asked.contact, asked.address, asked.place)


def _opened(key: int) -> ReleaseFacts:
    found = queries.release(key, timezone.now())
    if found is None or found.state == "drafted":
        raise Http404
    return found


def _held(uuid: UUID) -> HoldFacts:
    found = queries.hold(uuid, timezone.now())
    if found is None:
        raise Http404
    return found


def _own(request: HttpRequest, number: int) -> OrderFacts:
    found = queries.order(number)
    if found is None or not keys.is_own_order(_holder(request), found):
        raise Http404
    return found


_OF_RELEASE = ("key", "name", "state", "opens_at", "closes_at", "note", "lines")
_OF_ORDER = (
    "number", "state", "reference", "placed_at", "goods_minor", "postage_minor", "lines", "place_notes",
    "sent_at",
)  # fmt: skip


def _release(facts: ReleaseFacts) -> dict[str, Any]:
    return _told(facts, _OF_RELEASE)


def _order(facts: OrderFacts) -> dict[str, Any]:
    return _told(facts, _OF_ORDER)


def _told(facts: Any, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: getattr(facts, name) for name in names} | {"currency": queries.nursery().currency}
