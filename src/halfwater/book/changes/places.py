"""The grower's own list of what places allow, checked when an order is placed."""

from collections.abc import Collection, Iterable
from datetime import date
from typing import Any

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.saving import save_row
from halfwater.book.models import PlaceRule, Taxon
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import RULE_KINDS


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


_RULE = {
    "place": checks.name_of(80),
    "taxon": checks.key_of(Taxon, "taxon"),
    "kind": checks.one_of(RULE_KINDS),
    "text": checks.words("a text of at most 500 signs", 500),
    "checked_on": _day_or_none,
}


@one_write
def save_place_rule(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a rule of a place (place, taxon or None for any, kind, text, checked_on) and give its key."""
    return int(save_row(PlaceRule, key, fields, _RULE, ("place", "kind"), who))


@one_write
def remove_place_rule(key: int, *, who: str) -> None:
    """Take a rule off the list; its past stays."""
    row = PlaceRule.objects.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput("rule", key, "the key of a rule in the book")
    row.changed_by = who
    row.delete()


def rules_of(place: str) -> list[PlaceRule]:
    """The rules of a place."""
    if not place:
        return []
    rows = PlaceRule.objects.select_related("taxon").order_by("pk")
    return [rule for rule in rows if place_mark(rule.place) == place_mark(place)]


def said_of(rules: Iterable[PlaceRule], taxa: Collection[int], papers_seen: bool) -> tuple[str, ...]:
    """What rules say of sending taxa to their place; what is not allowed, or lacks a paper, is refused."""
    notes = []
    for rule in rules:
        if not taxa or rule.taxon_id not in (None, *taxa):
            continue
        about = f"{rule.taxon.name} to {rule.place}" if rule.taxon is not None else f"to {rule.place}"
        said = f"{about}: {rule.kind}" + (f" ({rule.text})" if rule.text else "")
        if rule.kind == "not allowed" or (rule.kind == "needs paper" and not papers_seen):
            raise RefusedByBook(
                f"Your list of places says: {said}. The list is yours, the authority decides.", rule.place
            )
        notes.append(said)
    return tuple(notes)


def place_mark(place: str) -> str:
    """A place as it is compared."""
    return " ".join(place.casefold().split())
