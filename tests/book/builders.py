"""Short ways to a small book for tests."""

from datetime import UTC, date, datetime
from uuid import UUID, uuid4

from halfwater.book import changes
from halfwater.plain.entry import NewEntry

NOW = datetime(2026, 11, 20, 20, 0, tzinfo=UTC)
WHO = "tester"


def a_tank(name: str = "North", **fields: object) -> int:
    """A tank of ordinary size."""
    return changes.save_tank(who=WHO, **(_SIZES | {"name": name} | fields))


def an_entry(kind: str = "spray", tank: int | None = None, **fields: object) -> NewEntry:
    """An entry that is sound unless `fields` say otherwise."""
    values = {"spray": 0.15, "fill": 2.0, "siphon": 1.0, "waterline": 21.0, "ec": 0.8}
    usual: dict[str, object] = {"uuid": uuid4(), "at": NOW, "value": values.get(kind)}
    return NewEntry(kind=kind, tank=tank, **(usual | fields))  # type: ignore[arg-type]


def note(*news: NewEntry) -> tuple[UUID, ...]:
    """Note entries and give the ids of those that were new."""
    return changes.note_entries(news, WHO, NOW).new


_SIZES: dict[str, object] = {
    "length_mm": 900.0,
    "width_mm": 450.0,
    "height_mm": 400.0,
    "clay_fill_frac": 0.625,
    "clay_porosity_frac": 0.44,
    "margin_mm": 6.0,
    "set_up_on": date(2026, 1, 1),
}
