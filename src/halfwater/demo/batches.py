"""What Fennhollow grows: kinds of plants as they truly grow there, batches and where they were cut from."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Kind:
    """How plants of a taxon truly grow here; the book starts from its own table instead."""

    taxon: str  # name the book knows it by
    leaf_rate_30d: float
    lag_days: float
    leaf_life_days: float
    leaf_cm2: float
    first_leaves: float
    ready_leaves: int  # of the standard grade
    early_loss_frac: float
    section_mm: float
    rhizome_mm_30d: float
    tips_30d: float  # growing tips added
    cause: str = "rot"

    @property
    def mm_per_leaf(self) -> float:
        """Rhizome made with each leaf."""
        return self.rhizome_mm_30d / self.leaf_rate_30d


KINDS: dict[str, Kind] = {
    "nana": Kind("Anubias barteri var. nana", 1.7, 38, 540, 14, 3, 8, 0.07, 30, 7, 0.1),
    "bucephalandra": Kind("Bucephalandra", 1.35, 46, 420, 10, 5, 12, 0.12, 25, 5.5, 0.17),
    "java fern": Kind("Leptochilus pteropus", 1.6, 36, 400, 28, 4, 8, 0.08, 30, 9, 0.13),
    "crypt": Kind("Cryptocoryne wendtii group", 2.4, 28, 240, 18, 3, 8, 0.11, 20, 10, 0.2, "melt"),
    "large anubias": Kind("Anubias, large types", 1.1, 44, 560, 45, 3, 6, 0.05, 40, 9, 0.1),
}


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """Sections potted together: how many at most, when, from what, and how many of them are to be kept."""

    key: int
    name: str
    kind: str
    tank: str
    pots: int
    days_ago: int
    parents: tuple[str, ...] = ()  # names of batches; none: from outside
    keep: int = 0  # of the best are made parents once they have shown how they grow
    parent_note: str = ""
    blade: str = ""

    def potted_on(self, today: date) -> date:
        """The day of potting."""
        return today - timedelta(days=self.days_ago)


_CLEAN = "disinfected"
BATCHES: tuple[BatchPlan, ...] = (
    BatchPlan(1, "N-1", "nana", "North", 66, 424, (), 8, "three old clumps", _CLEAN),
    BatchPlan(2, "N-2", "nana", "North", 46, 330, (), 6, "the clump from the back corner"),
    BatchPlan(3, "N-3", "nana", "North", 34, 215, ("N-1",), 6, "", _CLEAN),
    BatchPlan(4, "N-4", "nana", "North", 34, 110, ("N-1", "N-2"), 0, "", _CLEAN),
    BatchPlan(5, "N-5", "nana", "North", 30, 26, ("N-3",), 0, "", _CLEAN),
    BatchPlan(6, "B-1", "bucephalandra", "South", 52, 420, (), 8, "wavy form, green", _CLEAN),
    BatchPlan(7, "B-2", "bucephalandra", "South", 26, 205, ("B-1",), 5, "red-stalked ones of B-1", _CLEAN),
    BatchPlan(8, "B-3", "bucephalandra", "South", 20, 60, ("B-2", "B-1"), 0, "", _CLEAN),
    BatchPlan(9, "F-1", "java fern", "Window", 38, 400, (), 5, "one large fern, halved"),
    BatchPlan(10, "F-2", "java fern", "Window", 22, 230, ("F-1",), 4, "rhizome ends of F-1", _CLEAN),
    BatchPlan(11, "F-3", "java fern", "Window", 20, 70, ("F-2", "F-1"), 0, "", _CLEAN),
    BatchPlan(12, "C-1", "crypt", "Shelf", 46, 390, (), 6, "crowns from a submersed tank"),
    BatchPlan(13, "C-2", "crypt", "Shelf", 30, 240, ("C-1",), 5, "runners of C-1", _CLEAN),
    BatchPlan(14, "C-3", "crypt", "Shelf", 26, 120, ("C-2",), 3, "runners of C-2", "not disinfected"),
    BatchPlan(15, "C-4", "crypt", "Shelf", 22, 33, ("C-3", "C-2"), 0, "", _CLEAN),
    BatchPlan(16, "P-1", "large anubias", "Nook", 15, 250, (), 6, "broad leaf"),
    BatchPlan(18, "B-4", "bucephalandra", "South", 22, 150, (), 0, "bought in, brown form"),
    BatchPlan(17, "P-2", "large anubias", "South", 8, 45, ("P-1",), 0, "", _CLEAN),
)


@dataclass(frozen=True, slots=True)
class MovePlan:
    """Pots of a batch that were carried to another tank one evening."""

    days_ago: int
    batch: str
    to_tank: str
    pots: int
    only_kept: bool


MOVES: tuple[MovePlan, ...] = (
    MovePlan(175, "B-1", "Nook", 5, True),
    MovePlan(90, "N-1", "Nook", 5, True),
    MovePlan(40, "N-3", "Shelf", 6, False),
)
KEPT_AFTER_DAYS = 110  # by then a pot has shown how it grows
RELEASE_EVERY_WEEKS = 4
# A tank is counted whole on these days before today; tagged pots are counted every month.
WHOLE_TAKES_DAYS_AGO = {
    "North": (300, 205, 97, 6),
    "South": (270, 150, 54),
    "Window": (250, 118, 20),
    "Shelf": (180, 76, 3),
    "Nook": (160, 41),
}
# Grade -> price in cents, most a release sells.
PRICES: dict[str, dict[str, tuple[int, int]]] = {
    "nana": {"small": (590, 8), "standard": (890, 10), "large": (1390, 4)},
    "bucephalandra": {"small": (690, 6), "standard": (1090, 6), "large": (1690, 3)},
    "java fern": {"small": (490, 8), "standard": (750, 8), "large": (1190, 4)},
    "crypt": {"small": (390, 10), "standard": (590, 10), "large": (890, 5)},
    "large anubias": {"small": (790, 3), "standard": (1190, 3), "large": (1990, 2)},
}
MINUTES_A_WEEK, LEAST_KEPT, HOUR_MINOR = 150.0, 4, 1400
