"""Living stock as plain data: taxa, batches, pots on spots."""

from dataclasses import dataclass
from datetime import date

POT_STATES = ("settling", "growing", "ready", "kept", "sold", "lost")


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
