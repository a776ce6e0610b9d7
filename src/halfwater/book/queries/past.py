"""Who changed what, and when."""

from typing import Any

from halfwater.book.models import (
    Arrival,
    Batch,
    BoxKind,
    Charge,
    Fee,
    Feed,
    HeatPackKind,
    Lamp,
    Line,
    LinerKind,
    Mix,
    MixPart,
    Nursery,
    PlaceRule,
    Pot,
    PowerUse,
    Prior,
    Purchase,
    Release,
    ShipRule,
    StandingPot,
    Tank,
    Tariff,
    Taxon,
)
from halfwater.plain.change import ChangeFact

_THINGS: dict[str, Any] = {
    "nursery": Nursery,
    "pot": Pot,
    "lamp": Lamp,
    "tank": Tank,
    "taxon": Taxon,
    "prior": Prior,
    "feed": Feed,
    "mix": Mix,
    "part": MixPart,
    "batch": Batch,
    "standing pot": StandingPot,
    "release": Release,
    "line": Line,
    "place rule": PlaceRule,
    "box": BoxKind,
    "liner": LinerKind,
    "heat pack": HeatPackKind,
    "ship rule": ShipRule,
    "arrival": Arrival,
    "purchase": Purchase,
    "charge": Charge,
    "tariff": Tariff,
    "power": PowerUse,
    "fee": Fee,
}
_HOW = {"+": "new", "~": "changed", "-": "removed"}


def history(thing: str, key: int | None = None, limit: int = 50) -> tuple[ChangeFact, ...]:
    """The changes of one thing, or of all of its kind, newest first."""
    rows = _THINGS[thing].history.order_by("-history_date", "-history_id")
    if key is not None:
        rows = rows.filter(id=key)
    return tuple(_change(thing, row) for row in rows.values()[:limit])


def _change(thing: str, row: dict[str, Any]) -> ChangeFact:
    values = {name: value for name, value in row.items() if not name.startswith("history_") and name != "id"}
    return ChangeFact(
        thing=thing,
        key=row["id"],
        name=str(row.get("name") or ""),
        who=row["history_user_id"],
        at=row["history_date"],
        how=_HOW[row["history_type"]],
        values=values,
    )
