"""How a grower works: what is sprayed, read, noted, forgotten. Shares are fractions of evenings."""

from dataclasses import dataclass, replace

from numpy.random import Generator


@dataclass(frozen=True, slots=True)
class Habit:
    """The habits of one grower towards one tank."""

    name: str
    read_every_days: int | None = 7  # None: the waterline is never read
    read_frac: float = 0.8  # share of due readings that are really taken
    ruler_step_mm: float = 1.0
    ruler_error_mm: float = 0.7  # meniscus, an unlevel tank, an unsteady hand: new each time
    parallax_mm: float = 0.0  # the same eye from the same side: always there
    gap_frac: float = 0.06  # evenings without a spray entry
    unnoted_frac: float = 0.15  # of those, the share that was sprayed nonetheless
    skip_frac: float = 0.3  # of the evenings truly missed, the share noted as skipped
    holidays_a_year: float = 2.0
    measured_frac: float = 0.1  # sprays noted as measured; the others as planned
    stroke_frac: float = 0.12  # scatter of the volume a grower's trigger strokes give
    next_morning_frac: float = 0.03
    double_tap_frac: float = 0.004
    siphon_by: str = "eye"  # or "calendar"
    siphon_every_days: int = 42
    siphon_litres_frac: float = 0.5  # noted in litres; else only "to low line"
    siphon_error_mm: float = 1.5  # how far from the low line a siphon really stops


HABITS: dict[str, Habit] = {
    "none": Habit("none", read_every_days=None, gap_frac=0.1, siphon_litres_frac=0.2),
    "rare": Habit("rare", read_every_days=30, gap_frac=0.08),
    "weekly": Habit("weekly"),
    "daily": Habit("daily", read_every_days=1, read_frac=0.9, ruler_step_mm=0.5, gap_frac=0.03),
    "careless": Habit("careless", read_every_days=14, read_frac=0.5, gap_frac=0.2),
}


def drawn_habit(rng: Generator) -> Habit:
    """A habit with every share drawn anew, about one of the named ones."""
    name = str(rng.choice(list(HABITS)))
    return replace(
        HABITS[name],
        ruler_step_mm=float(rng.choice([0.5, 1.0])),
        ruler_error_mm=float(rng.uniform(0.4, 1.1)),
        parallax_mm=float(rng.normal(0.0, 0.4)),
        gap_frac=HABITS[name].gap_frac * float(rng.uniform(0.3, 1.7)),
        unnoted_frac=float(rng.uniform(0.0, 0.4)),
        skip_frac=float(rng.uniform(0.0, 0.8)),
        holidays_a_year=float(rng.uniform(0.0, 4.0)),
        measured_frac=float(rng.choice([0.0, 0.1, 0.9], p=[0.4, 0.4, 0.2])),
        stroke_frac=float(rng.uniform(0.04, 0.2)),
        siphon_by=str(rng.choice(["eye", "calendar"])),
        siphon_every_days=int(rng.integers(25, 60)),
        siphon_litres_frac=float(rng.uniform(0.0, 1.0)),
        siphon_error_mm=float(rng.uniform(0.5, 2.0)),
    )
