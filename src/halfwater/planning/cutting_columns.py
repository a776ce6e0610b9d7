"""Where the decisions of a cutting plan stand in its problem, and the desk it is written on."""

from dataclasses import dataclass, field

from halfwater.plain.cutting import PlanFacts
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Draft, Floats, Problem, Whole
from halfwater.science import starting

GROWTH, LINES, SPOTS, MINUTES = "growth", "lines", "spots", "minutes"
DEMAND, KEPT, ENDING, SET_UP = "demand", "least kept", "end worth", "set-up"
SHORT_FACTOR = 5.0  # what a coin missing from the end worth costs: more than any sale brings
HAIR = 1e-6  # of a pot: limits that doing nothing meets exactly give way by this much, for rounding
SELL_MIN = starting.HARVEST_MIN + starting.PACK_MIN


@dataclass(frozen=True, slots=True)
class Young:
    """Pots that came in together and cannot yet be sold or cut: how many, and where one of them stands."""

    column: Whole  # one, or one a scenario
    pots: Floats  # scenarios x young stages


@dataclass(slots=True)
class TaxonColumns:
    """Where the decisions of one taxon stand; lists have one entry a step, None where there is none."""

    stock: list[Whole] = field(default_factory=list)  # scenarios x grown stages, after the step's actions
    young: list[list[Young]] = field(default_factory=list)  # what stands in the stages before those
    young_pots: list[Floats] = field(
        default_factory=list
    )  # of today's pots, by scenario: no decision changes them
    sold: list[Whole | None] = field(default_factory=list)  # scenarios x sold stages; step 0: one a group
    cut: list[Whole | None] = field(default_factory=list)  # scenarios x cut stages; step 0: one a group
    lines: list[Whole | None] = field(default_factory=list)  # scenarios x priced grades; near: 1 x grades
    classes: list[Whole | None] = field(default_factory=list)  # near: pots cut, by sections they give
    set_up: list[int | None] = field(default_factory=list)
    extra: list[Whole | None] = field(default_factory=list)  # sections beyond the stage's; near: one
    most_extra: int = 0  # that one pot gives
    sections: list[Floats] = field(default_factory=list)  # that a pot of each near cut gives
    still: list[Floats] = field(default_factory=list)  # today's young pots by stage, as they move on
    balance: list[Whole] = field(default_factory=list)  # rows: scenarios x grown stages; step 0: once
    short: int = -1

    def near_cuts(self, place: int) -> Whole | None:
        """Where a near step's cuts stand, each a number of pots."""
        return self.classes[place] if self.classes[place] is not None else self.cut[place]

    def sections_cut(self, place: int, x: Floats) -> float:
        """Sections that a near step's cuts make."""
        cuts = self.near_cuts(place)
        extra = self.extra[place]
        more = 0.0 if extra is None else float(x[extra].sum())
        return 0.0 if cuts is None else float(self.sections[place] @ x[cuts]) + more


@dataclass(frozen=True, slots=True)
class Model:
    """The problem and where in it each decision stands."""

    problem: Problem
    columns: tuple[TaxonColumns, ...]
    minute_rows: tuple[Whole, ...]
    spot_rows: tuple[Whole, ...]


@dataclass(slots=True)
class Desk:
    """A plan's problem while it is written: all that the writers of rows share."""

    facts: PlanFacts
    steps: tuple[Step, ...]
    stands: tuple[Stand, ...]
    scenarios: int
    draft: Draft = field(default_factory=Draft)
    columns: list[TaxonColumns] = field(default_factory=list)
    idle: list[tuple[Floats, ...]] = field(default_factory=list)  # pots by scenario if nothing were done
    minute_rows: list[Whole] = field(default_factory=list)
    spot_rows: list[Whole] = field(default_factory=list)

    def put_pots(self, row: Whole, taxon: int, place: int) -> Floats:
        """Entries of all pots of a taxon that stand after a step; what stands in any case is given back."""
        columns, copies = self.columns[taxon], len(row)
        self.draft.put(row[:, None], columns.stock[place], 1.0)
        for young in columns.young[place]:
            self.draft.put(row, young.column, young.pots.sum(axis=1)[:copies])
        return columns.young_pots[place][:copies]

    @property
    def minute_minor(self) -> float:
        """What a minute is worth to the grower."""
        return (self.facts.habit.hour_minor or 0) / 60.0

    @property
    def has_minutes(self) -> bool:
        """Whether minutes matter at all."""
        is_wished = any(wish.kind == "most minutes" for wish in self.facts.wishes)
        return self.facts.habit.minutes_a_week is not None or self.minute_minor > 0 or is_wished

    def finished(self) -> Model:
        """The model, no more rows being added."""
        rows = tuple(self.minute_rows), tuple(self.spot_rows)
        return Model(self.draft.finished(), tuple(self.columns), *rows)


def total_spots(facts: PlanFacts) -> int:
    """Spots of all tanks.

    Parameters
    ----------
    facts : PlanFacts
        Its tanks.

    Returns
    -------
    int
        0 without tanks.

    Notes
    -----
    A sum of whole numbers; there is no nan and no range.

    Source: own definition
    """
    return sum(tank.spots for tank in facts.tanks)


def far_section_min() -> float:
    """Minutes a section takes in far weeks, its share of setting up for a batch included.

    Returns
    -------
    float
        Minutes. [min]

    Notes
    -----
    CUT_MIN + BATCH_MIN / BATCH_SECTIONS. No inputs, so that there is nothing at 0, nan or outside.

    Source: priors, Minutes
    """
    return starting.CUT_MIN + starting.BATCH_MIN / starting.BATCH_SECTIONS
