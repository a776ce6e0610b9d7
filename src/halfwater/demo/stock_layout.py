"""One simulated nursery before its days are run: tanks, batches over generations, and each pot's nature."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.stock_worlds import Breed, World, climate_factor, drawn_breed, drawn_lags, drawn_paces
from halfwater.demo.truth import Floats
from halfwater.plain.stock import TaxonFacts

NEVER = 10**6
SETTLING_DAYS = 56
# Share of the past at which the batches of each generation are potted: earliest, latest.
GENERATIONS = ((0.0, 0.1), (0.3, 0.52), (0.62, 0.8), (0.82, 0.97))
MOVED_FRAC = 0.08
MIDDLE_LOSS = 1.3
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class LaidBatch:
    """Sections potted together."""

    name: str
    breed: int
    potted: int  # day of the course
    parents: tuple[int, ...]  # batches, by place in the list
    clone: float  # pace against the taxon, log scale
    is_told: bool  # whether pieces, lengths and first leaves were written down


@dataclass(frozen=True, slots=True)
class Layout:
    """A nursery with a row a pot; days are days of the course."""

    breeds: tuple[Breed, ...]
    climates: tuple[tuple[float, float], ...]  # a tank: deg C, mol/m2/d
    batches: tuple[LaidBatch, ...]
    batch: Ints
    tank: Ints
    next_tank: Ints  # from `moved` on
    moved: Ints
    first_leaves: Ints
    pieces: tuple[str, ...]
    section_mm: Floats
    rate: Floats  # leaves a day of one tip, in the first tank
    next_rate: Floats
    lag: Floats
    life: Floats  # of a leaf, days
    tips: Floats  # added a day
    lost: Ints
    cut_every: Ints  # days between unnoted cuts; NEVER but for parents in some worlds
    plateau: Floats  # leaves at which the pot stops growing; inf for none
    is_kept: NDArray[np.bool_]
    season: float  # where in the year the course begins, radians

    @property
    def pots(self) -> int:
        """How many pots were ever potted."""
        return self.batch.size

    def potted(self) -> Ints:
        """Potting day of each pot."""
        return np.array([one.potted for one in self.batches])[self.batch]

    def breed_of(self) -> Ints:
        """Place of each pot's breed in the list."""
        return np.array([one.breed for one in self.batches])[self.batch]


def drawn_layout(rng: Generator, world: World, taxa: Sequence[TaxonFacts], past_days: int) -> Layout:
    """Two or three of the taxa in two to four tanks, ten or so batches."""
    some = rng.choice(len(taxa), min(len(taxa), int(rng.integers(2, 4))), replace=False)
    breeds = tuple(drawn_breed(rng, taxa[i]) for i in some)
    n_tanks = int(rng.integers(2, 5))
    climates = tuple((float(rng.uniform(21.5, 27.5)), float(rng.uniform(1.4, 3.6))) for _ in range(n_tanks))
    batches = _drawn_batches(rng, world, breeds, past_days)
    sizes = rng.integers(5, 20, len(batches))
    batch = np.repeat(np.arange(len(batches)), sizes)
    home = rng.integers(0, n_tanks, (len(batches), 2))  # a batch stands in one tank or two
    tank = home[batch, (rng.random(batch.size) < 0.3).astype(int)]
    is_moved = rng.random(batch.size) < MOVED_FRAC
    next_tank = np.where(is_moved, rng.integers(0, n_tanks, batch.size), tank)
    potted = np.array([one.potted for one in batches])[batch]
    moved = np.where(is_moved, potted + rng.integers(20, 250, batch.size), NEVER)
    pace = np.exp(rng.normal(0.0, world.tank_sd, n_tanks))
    rates = _rates(rng, world, breeds, batches, batch, climates)
    pieces = _pieces(rng, batches, batch)
    kinds = np.array([one.breed for one in batches])[batch]
    is_kept = (potted < past_days * 0.5) & (rng.random(batch.size) < 0.12)
    can_be_cut = is_kept & world.is_cut
    large = np.array([breed.prior("large_leaves")[0] for breed in breeds])[kinds]
    plateau = large * world.plateau_leaves if world.plateau_leaves else np.full(batch.size, np.inf)
    return Layout(
        breeds, climates, batches, batch, tank, next_tank, moved,
        first_leaves=_first_leaves(rng, breeds, kinds),
        pieces=pieces,
        section_mm=_sections(rng, breeds, kinds),
        rate=rates[np.arange(batch.size), tank] * pace[tank],
        next_rate=rates[np.arange(batch.size), next_tank] * pace[next_tank],
        lag=_lags(rng, world, breeds, batches, batch, pieces),
        life=np.array([breed.leaf_life_days for breed in breeds])[kinds],
        tips=np.array([breed.tips_30d for breed in breeds])[kinds] / 30,
        lost=_lost_days(rng, world, breeds, batches, batch, tank, pieces),
        cut_every=np.where(can_be_cut, rng.integers(70, 140, batch.size), NEVER),
        plateau=plateau,
        is_kept=is_kept,
        season=float(rng.uniform(0, 2 * np.pi)),
    )  # fmt: skip


def _drawn_batches(
    rng: Generator, world: World, breeds: Sequence[Breed], past_days: int
) -> tuple[LaidBatch, ...]:
    """One or two batches a generation of each taxon, cut from one or two of the generation before."""
    batches: list[LaidBatch] = []
    for kind in range(len(breeds)):
        before: list[int] = []
        for generation, (early, late) in enumerate(GENERATIONS):
            now: list[int] = []
            for _ in range(int(rng.integers(1, 3))):
                parents = _parents(rng, before)
                own = float(rng.normal(0.0, world.clone_sd))
                handed = [batches[one].clone for one in parents] if world.is_handed_down else []
                clone = float(np.mean(handed)) + 0.2 * own if handed else own
                day = int(past_days * rng.uniform(early, late))
                now.append(len(batches))
                name = f"{'ABCDEFGH'[kind]}-{generation + 1}{'abc'[len(now) - 1]}"
                batches.append(LaidBatch(name, kind, day, parents, clone, bool(rng.random() < 0.7)))
            before = now
    return tuple(batches)


def _parents(rng: Generator, before: list[int]) -> tuple[int, ...]:
    if not before:
        return ()
    many = min(len(before), 1 + int(rng.random() < 0.3))
    return tuple(int(one) for one in np.sort(rng.choice(before, many, replace=False)))


def _rates(
    rng: Generator,
    world: World,
    breeds: Sequence[Breed],
    batches: Sequence[LaidBatch],
    batch: Ints,
    climates: Sequence[tuple[float, float]],
) -> Floats:
    """Leaves a day of each pot in each tank, the tank's own pace left out."""
    per_batch = np.array(
        [
            [
                breeds[one.breed].leaf_rate_30d / 30 * climate_factor(breeds[one.breed], *climate)
                for climate in climates
            ]
            for one in batches
        ]
    ) * np.exp([[one.clone] for one in batches])
    return np.asarray(per_batch[batch] * drawn_paces(rng, world, batch.size)[:, None])


def _pieces(rng: Generator, batches: Sequence[LaidBatch], batch: Ints) -> tuple[str, ...]:
    """Tip or middle piece; batches nobody wrote this down for are of the usual make."""
    is_middle = rng.random(batch.size) < 0.4
    return tuple(
        ("middle" if middle else "tip") if batches[one].is_told else ""
        for one, middle in zip(batch.tolist(), is_middle.tolist(), strict=True)
    )


def _first_leaves(rng: Generator, breeds: Sequence[Breed], kinds: Ints) -> Ints:
    mean, low, high = np.array([breed.prior("first_leaves") for breed in breeds]).T
    drawn = mean[kinds] + (high - low)[kinds] / 3.29 * rng.normal(0, 1, kinds.size)
    return np.asarray(np.maximum(1, np.round(drawn)).astype(np.int64))


def _sections(rng: Generator, breeds: Sequence[Breed], kinds: Ints) -> Floats:
    mean, low, high = np.array([breed.prior("section_mm") for breed in breeds]).T
    drawn = mean[kinds] + (high - low)[kinds] / 3.29 * rng.normal(0, 1, kinds.size)
    return np.asarray(np.clip(np.round(drawn), low[kinds] * 0.7, high[kinds] * 1.3))


def _lags(
    rng: Generator,
    world: World,
    breeds: Sequence[Breed],
    batches: Sequence[LaidBatch],
    batch: Ints,
    pieces: Sequence[str],
) -> Floats:
    found = np.empty(batch.size)
    for place, one in enumerate(batches):
        own = np.flatnonzero(batch == place)
        found[own] = drawn_lags(rng, world, breeds[one.breed], [pieces[i] for i in own.tolist()])
    return found


def _lost_days(
    rng: Generator,
    world: World,
    breeds: Sequence[Breed],
    batches: Sequence[LaidBatch],
    batch: Ints,
    tank: Ints,
    pieces: Sequence[str],
) -> Ints:
    """The day each pot is lost: at settling in patches of a tank and a parent, later one by one."""
    of_tank = rng.normal(0, world.loss_sd, int(tank.max()) + 1)[tank]
    of_parent = rng.normal(0, world.loss_sd, len(batches) + 1)  # the last one: plants from outside
    mother = np.array([one.parents[0] if one.parents else -1 for one in batches])
    shift = of_tank + of_parent[mother][batch]
    kinds = np.array([one.breed for one in batches])[batch]
    potted = np.array([one.potted for one in batches])[batch]
    settling = np.array([breed.settling_loss for breed in breeds])[kinds]
    settling = np.where(np.array(pieces) == "middle", np.minimum(settling * MIDDLE_LOSS, 0.8), settling)
    chance = 1 / (1 + np.exp(-(np.log(settling / (1 - settling)) + shift)))
    outbreak = rng.integers(6, SETTLING_DAYS - 6, len(batches))[batch]
    day = np.where(rng.random(batch.size) < 0.6, outbreak, rng.integers(3, SETTLING_DAYS - 6, batch.size))
    early = np.where(rng.random(batch.size) < chance, potted + day + rng.integers(0, 6, batch.size), NEVER)
    monthly = np.array([breed.monthly_loss for breed in breeds])[kinds] * np.exp(shift / 2)
    later = potted + SETTLING_DAYS + (rng.exponential(1.0, batch.size) * 30 / monthly)
    return np.asarray(np.minimum(early, np.minimum(later, NEVER).astype(np.int64)))
