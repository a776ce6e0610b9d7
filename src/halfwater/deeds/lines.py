"""Lines of a release changed: price, limit and text, shown with a photo, taken out again."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol, TypeVar

from halfwater.book import changes, queries
from halfwater.deeds.photos import keep_photo
from halfwater.plain.figures import bare_money, show_list, show_money
from halfwater.plain.selling import LineFacts
from halfwater.plain.stock import GRADES


class Kind(Protocol):
    """A taxon and grade: a line of a release, or of an order."""

    @property
    def taxon_name(self) -> str:
        """The taxon's name."""
        ...

    @property
    def grade(self) -> str:
        """The size."""
        ...


_Line = TypeVar("_Line", bound=Kind)
NONE = "none"  # typed for a limit or a text, it takes it away


def lines_meant(lines: Sequence[_Line], typed: str) -> list[_Line]:
    """The lines that a taxon and a grade may mean, or a taxon alone; a whole name goes before a part."""
    asked = typed.strip().casefold()
    grade = next((one for one in GRADES if asked.endswith(f" {one}")), "")
    taxon = asked.removesuffix(grade).strip(" ,") if grade else asked
    found = [
        one
        for one in lines
        if taxon and taxon in one.taxon_name.casefold() and (not grade or one.grade == grade)
    ]
    exact = [one for one in found if one.taxon_name.casefold() == taxon]
    return exact if len(found) > 1 and exact else found


def line_as_it_shall_be(standing: LineFacts, typed: Mapping[str, str]) -> dict[str, str]:
    """A line's sheet with what was typed over what stands: what was not given stays."""
    currency = queries.nursery().currency
    text = typed.get("text", "").strip() or standing.text
    return {
        "taxon": standing.taxon_name,
        "grade": standing.grade,
        "price": typed.get("price", "").strip() or bare_money(standing.price_minor, currency),
        "limit": typed.get("limit", "").strip() or str(standing.limit_per_buyer or NONE),
        "text": "" if text.lower() == NONE else text,
        "pots": typed.get("pots", ""),
    }


def said_of_change(before: LineFacts, after: LineFacts) -> str:
    """What became of a line, in a sentence; empty where nothing did."""
    currency = queries.nursery().currency
    pairs = (
        ("price", show_money(before.price_minor, currency), show_money(after.price_minor, currency)),
        ("limit", str(before.limit_per_buyer or NONE), str(after.limit_per_buyer or NONE)),
        ("text", f"“{before.text}”" if before.text else NONE, f"“{after.text}”" if after.text else NONE),
        ("pots", str(before.offered), str(after.offered)),
    )
    parts = [f"{what} from {was} to {now}" for what, was, now in pairs if was != now]
    if not parts:
        return ""
    said = f"{after.taxon_name}, {after.grade}: {show_list(parts)}."
    if before.price_minor != after.price_minor and after.ordered:
        said += " Orders taken before keep their price."
    return said


def show_line(line: int, photo: bytes, who: str) -> None:
    """Keep a photo of a line's plants; empty takes the photo away."""
    changes.save_line(line, who=who, photo=keep_photo(photo) if photo else "")


def remove_line(line: int, who: str, now: datetime) -> None:
    """Take a line out of its release: one that was never ordered or held."""
    changes.remove_line(line, who=who, now=now)


def remove_release(key: int, who: str) -> None:
    """Take a release without lines out of the book."""
    changes.remove_release(key, who=who)
