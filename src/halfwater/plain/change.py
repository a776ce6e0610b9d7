"""A change of reference data as plain data: what, by whom, when."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class ChangeFact:
    """One change of something the nursery is set up with."""

    thing: str  # nursery, tank, pot, lamp, taxon, prior, feed, mix, part, batch, standing pot
    key: int
    name: str
    who: str
    at: datetime
    how: str  # "new", "changed" or "removed"
    values: dict[str, object]  # every field as it stood after the change
