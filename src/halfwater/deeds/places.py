"""The grower's own list of what may be sent where; the authority decides."""

from collections.abc import Mapping

from halfwater.book import changes, queries
from halfwater.deeds.clock import read_day
from halfwater.deeds.prices import taxon_named
from halfwater.deeds.sheet import Sheet
from halfwater.plain.selling import RULE_KINDS, PlaceRule

CAUTION = (
    "This is your own list. Whether a plant may be sent somewhere is decided by the authority there: ask it, "
    "and write down when you last did."
)


def rules_for(place: str, taxa: frozenset[int] = frozenset()) -> tuple[PlaceRule, ...]:
    """What the list says of a place, for these taxa or for any."""
    found = queries.place_rules(place)
    return tuple(rule for rule in found if not taxa or rule.taxon is None or rule.taxon in taxa)


def save_rule_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a rule as typed: place, taxon (empty for any), kind, text, the day it was last asked for."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = {
        "place": sheet.needed("place", str, "", "a place as buyers write it, such as a country or a region"),
        "taxon": sheet.read("taxon", lambda text: taxon_named(text).key, None),
        "kind": sheet.choice("kind", RULE_KINDS, "note"),
        "text": sheet.text("text"),
        "checked_on": sheet.read("checked_on", read_day, None),
    }
    if fields["kind"] != "not allowed" and not fields["text"]:
        sheet.refuse("text", "what the rule says, such as the paper that is needed")
    sheet.finish()
    with sheet.writing():
        return changes.save_place_rule(key, who=who, **fields)


def remove_rule(key: int, who: str) -> None:
    """Take a rule off the list."""
    changes.remove_place_rule(key, who=who)
