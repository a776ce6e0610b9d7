"""Living stock as plain data: taxa, batches, pots on spots."""

from dataclasses import dataclass
from datetime import date

POT_STATES = ("settling", "growing", "ready", "kept", "sold", "lost")
GONE_STATES = ("sold", "lost")  # stand on no spot any more
GRADES = ("small", "standard", "large")  # the smallest first
PIECES = ("tip", "middle")  # of the rhizome a section was cut from; "" where nobody noted it
BLADES = ("disinfected", "not disinfected")  # between two parents; "" where nobody noted it


@dataclass(frozen=True, slots=True)
class PriorFact:
    """A starting value of a taxon: mean with its 90 % range, tag and source."""

    quantity: str  # words.md name with unit suffix, such as leaf_rate_per_30d
    mean: float
    low: float
    high: float
    tag: str  # P published, C common practice, M memory, D derived, G guess
    source: str


@dataclass(frozen=True, slots=True)
class TaxonFacts:
    """A species or cultivar with its starting values."""

    key: int
    name: str
    group: str  # the profile it was made from
    priors: tuple[PriorFact, ...]
    care: str = ""  # care note told to buyers; "": the usual one of its group


@dataclass(frozen=True, slots=True)
class BatchFacts:
    """Sections potted together."""

    key: int
    name: str
    taxon: int
    taxon_name: str
    potted_on: date
    parent_note: str
    counts: dict[str, int]  # pot state -> pots
    where: dict[str, int]  # tank name -> pots standing there
    parents: tuple["ParentFact", ...] = ()
    blade: str = ""  # one of BLADES or ""


@dataclass(frozen=True, slots=True)
class SpotFacts:
    """One place on a floor and the pot on it, if any."""

    tank: int
    name: str  # A1, A2, ...
    batch: int | None
    batch_name: str
    taxon_name: str
    state: str  # "" when empty
    leaves: int | None
    pot: int | None = None  # key of the pot
    number: int | None = None  # of the pot in its batch


@dataclass(frozen=True, slots=True)
class ParentFact:
    """Where sections of a batch came from: another batch, and the pot of it where that is known."""

    batch: int  # key of the batch the parent belongs to
    batch_name: str
    pot: int | None = None
    number: int | None = None


@dataclass(frozen=True, slots=True)
class StandingPot:
    """A pot of a batch: one that stands on a spot, or one that is sold or lost."""

    key: int
    number: int  # in its batch, from 1; the pot is called by batch and number
    batch: int
    batch_name: str
    taxon: int
    taxon_name: str
    state: str
    potted_on: date  # the batch's day, or the pot's own where it was potted later
    tank: int | None = None
    tank_name: str = ""
    spot: str = ""
    leaves: int | None = None  # as last counted
    counted_on: date | None = None
    piece: str = ""  # one of PIECES or ""
    section_mm: float | None = None  # length of the section when it was potted
    first_leaves: int | None = None  # on the section when it was potted
    rhizome_mm: float | None = None  # as last measured
    measured_on: date | None = None
    left_on: date | None = None  # the day it was sold or lost
    cause: str = ""  # of a loss
    grade: str = ""  # by hand, where the grower overrules the leaf count
    promised_to: int | None = None  # number of the order that waits for it; None once it was sent
    is_offered: bool = False  # behind a line of a release, and not promised yet

    @property
    def name(self) -> str:
        """What the pot is called: its batch and its number in it."""
        return f"{self.batch_name} {self.number}"


@dataclass(frozen=True, slots=True)
class LeafCount:
    """Leaves counted on one pot on a day."""

    pot: int
    on: date
    leaves: int


@dataclass(frozen=True, slots=True)
class Stay:
    """Where a pot stood from one day to another."""

    pot: int
    tank: int
    spot: str
    from_on: date
    to_on: date | None  # None while it stands there


@dataclass(frozen=True, slots=True)
class PriceFact:
    """What a grade of a taxon is sold for, and how many a release can sell at most."""

    taxon: int
    grade: str
    price_minor: int
    most_per_release: int | None = None  # None: as many as there are


@dataclass(frozen=True, slots=True)
class CuttingHabit:
    """What the grower can and wants to do: the frame of the cutting plan."""

    minutes_a_week: float | None = None  # for cutting, moving, counting and packing; None: not limited
    release_every_weeks: int = 4
    next_release_on: date | None = None
    least_kept: int = 2  # parents of each taxon that are never sold
    hour_minor: int | None = None  # what an hour is worth to the grower; None: not weighed


@dataclass(frozen=True, slots=True)
class PlantsInTank:
    """Pots of one taxon and state that stand in a tank."""

    tank: int
    taxon: int
    taxon_name: str
    group: str
    state: str
    pots: int
    leaves: int  # as counted last; a pot nobody counted adds none
    ec_low_ms_cm: float | None = None  # what the taxon bears over its water; None: nobody said
    ec_high_ms_cm: float | None = None
    ec_action_ms_cm: float | None = None  # the grower's own limit for it, whole solution
