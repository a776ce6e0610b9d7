"""A release as it is told to buyers: only what they may know."""

from dataclasses import dataclass
from datetime import datetime

CARE = (
    "Grown above water (emersed). After planting under water most of the leaves it came with are shed over "
    "some weeks, and new ones grow that are made for water; the rhizome and roots are what carry it over. "
    "Fix the rhizome to wood or stone and do not bury it."
)
CROWN_CARE = (
    "Grown above water (emersed). After planting under water most of the leaves it came with are shed over "
    "some weeks, and new ones grow that are made for water; the crown and roots are what carry it over. "
    "Plant the roots and keep the crown above the ground."
)
STEM_CARE = (
    "Grown above water (emersed). After planting under water the leaves it came with are shed over some "
    "weeks, and new ones grow that are made for water. Plant the stems apart."
)


@dataclass(frozen=True, slots=True)
class AnnouncedLine:
    """A taxon and grade that buyers can order."""

    key: int
    taxon_name: str
    grade: str
    price_minor: int
    free: int  # plants that can still be ordered
    limit_per_buyer: int | None = None
    text: str = ""
    care: str = ""
    photo: str = ""  # address of the photo, or its file name beside the announcement


@dataclass(frozen=True, slots=True)
class Announcement:
    """A release with its lines, ready to be told."""

    release: int
    name: str
    state: str  # one of plain.selling.RELEASE_STATES
    seller: str  # name of the nursery
    currency: str  # ISO 4217
    time_zone: str  # IANA name, in which instants are told
    changed_at: datetime  # aware
    opens_at: datetime | None
    closes_at: datetime | None
    lines: tuple[AnnouncedLine, ...]
    note: str = ""
    address: str = ""  # where it can be ordered: an address of a page, or empty
    feed_id: str = ""  # lasting id of this nursery in feeds, such as a urn:uuid


def care_for(group: str, name: str) -> str:
    """The care note of a taxon that has none of its own (common practice, no source)."""
    words = f"{group} {name}".casefold()
    if "cryptocoryne" in words:
        return CROWN_CARE
    return STEM_CARE if "stem" in words else CARE
