"""Plants of an order into boxes: the cheapest or the fewest, by a small exact search."""

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from halfwater.errors import RefusedInput
from halfwater.plain.figures import show, show_list, show_number
from halfwater.plain.transit import (
    ParcelContent,
    ParcelPlan,
    PlannedParcel,
    PlantToPack,
    ShippingBox,
)
from halfwater.plain.working import Working
from halfwater.science import starting

AIMS = ("cheapest", "fewest")
_MOST_STEPS = 60_000  # of the search for a place for every plant
_MOST_TRIED = 20_000  # sets of boxes
_MOST_LOOKED_AT = 40_000  # sets, those too few for the plants included
_MOST_KINDS = 40
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class _Option:
    """A kind of box at one band of postage: what goes in, and what it costs."""

    box: ShippingBox
    room_l: float
    most_plants: int
    most_kg: float  # of plants and packing
    cost_minor: int


@dataclass(frozen=True, slots=True)
class _Item:
    """Plants of one kind, by what one of them takes with its wrapping."""

    name: str
    count: int
    volume_l: float
    mass_kg: float


class _TooManySteps(Exception):
    """The search for a place for every plant was cut short."""


def plan_parcels(
    plants: Sequence[PlantToPack],
    boxes: Sequence[ShippingBox],
    *,
    fill_frac: float = starting.FILL_FRAC,
    padding_kg_l: float = starting.PADDING_KG_L,
    aim: str = "cheapest",
) -> ParcelPlan:
    """Plan of an order's parcels: which plants go into which boxes.

    A box takes plants up to a share of its inside, up to its number and its weight; the rest of it is padding
    and air. Volumes are added up, shapes are not looked at: a box may need a shake.

    Parameters
    ----------
    plants : sequence of PlantToPack
        What is to be sent: count, and volume and mass of one plant as wrapped.
    boxes : sequence of ShippingBox
        Kinds of boxes at hand, any number of each.
    fill_frac : float
        Share of a box's inside that plants may take. [1] Valid above 0..1.
    padding_kg_l : float
        Mass of the padding that fills the rest. [kg/L] Valid 0..1.
    aim : str
        "cheapest" (box and postage, then fewest) or "fewest" (then cheapest).

    Returns
    -------
    ParcelPlan
        The parcels, their weight and cost, and whether no better plan exists.

    Raises
    ------
    RefusedInput
        If there is nothing to pack or no box, a figure is nan or not above 0, or one plant alone goes into no
        box.

    Notes
    -----
    Sets of boxes are tried in order of cost, each with an exact search for a place for every plant; the first
    that takes all is best. After 60 000 steps, or 20 000 sets, the search ends: then what plain filling finds
    is given and called not proven. Weights are held with padding at its most.

    Source: own definition
    """
    items = _items(plants)
    if not 0.0 < fill_frac <= 1.0:
        raise RefusedInput("fill_frac", fill_frac, "a share above 0, at most 1")
    if not 0.0 <= padding_kg_l <= 1.0:
        raise RefusedInput("padding_kg_l", padding_kg_l, "0 to 1 kg/L")
    if aim not in AIMS:
        raise RefusedInput("aim", aim, " or ".join(AIMS))
    options = _options(boxes, fill_frac, padding_kg_l)
    for item in items:
        if not any(_most_of(item, option) for option in options):
            raise RefusedInput("plant", item.name, "one that goes into a box at hand by volume and weight")
    best, is_proven = _search(items, options, aim)
    parcels = tuple(_parcel(option, counts, items, padding_kg_l) for option, counts in best)
    return _plan(parcels, is_proven, fill_frac, aim)


def _search(
    items: Sequence[_Item], options: Sequence[_Option], aim: str
) -> tuple[list[tuple[_Option, tuple[int, ...]]], bool]:
    """The best set of boxes with what goes into each, and whether it is proven."""
    plain = _filled_plainly(items, options, aim)
    plain_key = _key([option for option, _ in plain], aim)
    steps = iter(range(_MOST_STEPS))
    for tried, chosen in enumerate(_sets(options, aim, _fewest_needed(items, options))):
        if _key(chosen, aim) >= plain_key:
            return plain, True
        if tried >= _MOST_TRIED:
            return plain, False
        try:
            placed = _placed(items, chosen, steps)
        except _TooManySteps:
            return plain, False
        if placed is not None:
            return [pair for pair in zip(chosen, placed, strict=True) if any(pair[1])], True
    return plain, False


def _sets(options: Sequence[_Option], aim: str, fewest: int) -> Iterator[list[_Option]]:
    """Sets of boxes, the best first; each once, as long as the search may last."""
    queue: list[tuple[tuple[int, int], tuple[int, ...]]] = [((0, 0), ())]
    for _ in range(_MOST_LOOKED_AT):
        _, indices = heapq.heappop(queue)
        if len(indices) >= fewest:
            yield [options[index] for index in indices]
        for index in range(indices[-1] if indices else 0, len(options)):
            longer = (*indices, index)
            heapq.heappush(queue, (_key([options[i] for i in longer], aim), longer))


def _key(chosen: Sequence[_Option], aim: str) -> tuple[int, int]:
    cost = sum(option.cost_minor for option in chosen)
    return (len(chosen), cost) if aim == "fewest" else (cost, len(chosen))


def _fewest_needed(items: Sequence[_Item], options: Sequence[_Option]) -> int:
    """No fewer boxes than the largest could do by volume, number and weight each taken alone."""
    plants = sum(item.count for item in items)
    volume = sum(item.count * item.volume_l for item in items)
    mass = sum(item.count * item.mass_kg for item in items)
    return max(
        1,
        math.ceil(volume / max(option.room_l for option in options) - _SLACK),
        math.ceil(plants / max(option.most_plants for option in options)),
        math.ceil(mass / max(option.most_kg for option in options) - _SLACK),
    )


def _placed(
    items: Sequence[_Item], chosen: Sequence[_Option], steps: Iterator[int]
) -> list[tuple[int, ...]] | None:
    """What goes into each box so that every plant has a place, or None; plants of a kind are alike."""

    @cache
    def rest_in(at: int, left: tuple[int, ...]) -> tuple[tuple[int, ...], ...] | None:
        if not any(left):
            return tuple(left for _ in chosen[at:])
        if not _may_fit(items, left, chosen[at:]):
            return None
        for counts in _fillings(items, left, chosen[at]):
            if next(steps, None) is None:
                raise _TooManySteps
            rest = rest_in(at + 1, tuple(n - m for n, m in zip(left, counts, strict=True)))
            if rest is not None:
                return (counts, *rest)
        return None

    found = rest_in(0, tuple(item.count for item in items))
    return None if found is None else list(found)


def _may_fit(items: Sequence[_Item], left: Sequence[int], boxes: Sequence[_Option]) -> bool:
    """Whether volume, weight and number, each taken alone, leave the boxes a chance."""
    volume = sum(n * item.volume_l for n, item in zip(left, items, strict=True))
    mass = sum(n * item.mass_kg for n, item in zip(left, items, strict=True))
    return (
        sum(left) <= sum(option.most_plants for option in boxes)
        and volume <= sum(option.room_l for option in boxes) + _SLACK * (1.0 + volume)
        and mass <= sum(option.most_kg for option in boxes) + _SLACK * (1.0 + mass)
    )


def _fillings(items: Sequence[_Item], left: tuple[int, ...], option: _Option) -> Iterator[tuple[int, ...]]:
    """Fillings of a box to which no further plant can be added, the fullest of the first kinds first."""

    def more(kind: int, room_l: float, plants: int, kg: float) -> Iterator[tuple[int, ...]]:
        if kind == len(items):
            yield ()
            return
        item = items[kind]
        most = min(left[kind], plants, _whole(room_l, item.volume_l), _whole(kg, item.mass_kg))
        least = most if kind == len(items) - 1 else 0
        for count in range(most, least - 1, -1):
            for rest in more(
                kind + 1, room_l - count * item.volume_l, plants - count, kg - count * item.mass_kg
            ):
                yield (count, *rest)

    yield from more(0, option.room_l, option.most_plants, option.most_kg)


def _filled_plainly(
    items: Sequence[_Item], options: Sequence[_Option], aim: str
) -> list[tuple[_Option, tuple[int, ...]]]:
    """Box after box filled with what goes in, the largest plants first; each the kind best for its cost."""
    left, filled = [item.count for item in items], []
    while any(left):
        offers = [(option, next(_fillings(items, tuple(left), option))) for option in options]
        offers = [(option, counts) for option, counts in offers if any(counts)]

        def worth(offer: tuple[_Option, tuple[int, ...]]) -> tuple[float, float]:
            option, counts = offer
            volume = sum(n * item.volume_l for n, item in zip(counts, items, strict=True))
            takes = volume if aim == "fewest" else volume / max(option.cost_minor, 1)
            return (-takes, option.cost_minor)

        option, counts = min(offers, key=worth)
        filled.append((option, counts))
        left = [n - m for n, m in zip(left, counts, strict=True)]
    return filled


def _items(plants: Sequence[PlantToPack]) -> list[_Item]:
    """Kinds to pack, the largest first."""
    items = []
    for plant in plants:
        for name, value in (("volume_l", plant.volume_l), ("mass_kg", plant.mass_kg)):
            if not 0.0 < value < math.inf:
                raise RefusedInput(name, value, "a number above 0", plant.name)
        if plant.count < 0:
            raise RefusedInput("count", plant.count, "0 or more plants", plant.name)
        if plant.count:
            items.append(_Item(plant.name, plant.count, plant.volume_l, plant.mass_kg))
    if not items:
        raise RefusedInput("plants", "none", "at least one plant to pack")
    return sorted(items, key=lambda item: -item.volume_l)


def _options(boxes: Sequence[ShippingBox], fill_frac: float, padding_kg_l: float) -> list[_Option]:
    """Each kind of box at each band of its postage; a band only helps by its weight."""
    options = []
    for box in boxes:
        if not (0.0 < box.inside_l < math.inf and 0.0 <= box.empty_kg < math.inf):
            raise RefusedInput("box", box.name, "sides above 0 and a weight of 0 or more")
        # Padding fills what plants leave; at its most it fills all that they may not take.
        own_kg = box.empty_kg + padding_kg_l * box.inside_l
        bands = [(band.most_kg, band.cost_minor) for band in box.postage] or [(math.inf, 0)]
        for band_kg, postage in bands:
            most_kg = min(band_kg, box.most_kg if box.most_kg is not None else math.inf) - own_kg
            plants = box.most_plants if box.most_plants is not None else 10_000
            if most_kg > 0.0 and plants > 0:
                options.append(
                    _Option(box, box.inside_l * fill_frac, plants, most_kg, box.cost_minor + postage)
                )
    if not options:
        raise RefusedInput("boxes", len(boxes), "at least one box that takes a plant within its weight")
    if len(options) > _MOST_KINDS:
        raise RefusedInput("boxes", len(options), f"at most {_MOST_KINDS} kinds and bands of postage")
    return sorted(options, key=lambda option: (-option.room_l, option.cost_minor))


def _most_of(item: _Item, option: _Option) -> int:
    return min(option.most_plants, _whole(option.room_l, item.volume_l), _whole(option.most_kg, item.mass_kg))


def _whole(room: float, each: float) -> int:
    """How many go in, one that is too large by rounding only included."""
    return 10_000 if math.isinf(room) else max(0, math.floor(room / each + _SLACK))


def _parcel(
    option: _Option, counts: Sequence[int], items: Sequence[_Item], padding_kg_l: float
) -> PlannedParcel:
    held = [(item, n) for item, n in zip(items, counts, strict=True) if n]
    volume = sum(n * item.volume_l for item, n in held)
    padding_l = option.box.inside_l - volume
    return PlannedParcel(
        option.box,
        tuple(ParcelContent(item.name, n) for item, n in held),
        sum(n for _, n in held),
        volume / option.box.inside_l,
        padding_l,
        sum(n * item.mass_kg for item, n in held) + padding_l * padding_kg_l + option.box.empty_kg,
        option.cost_minor,
    )


def _plan(parcels: tuple[PlannedParcel, ...], is_proven: bool, fill_frac: float, aim: str) -> ParcelPlan:
    plants, mass = sum(p.plants for p in parcels), sum(p.mass_kg for p in parcels)
    cost = sum(parcel.cost_minor for parcel in parcels)
    names = [parcel.box.name for parcel in parcels]
    counted = [f"{names.count(name)} x {name}" for name in dict.fromkeys(names)]
    word = "parcel" if len(parcels) == 1 else "parcels"
    proof = (
        f"no plan is {'cheaper' if aim == 'cheapest' else 'of fewer boxes'}"
        if is_proven
        else "a better plan may exist"
    )
    plant_word = "plant" if plants == 1 else "plants"
    sentence = (
        f"{plants} {plant_word} in {len(parcels)} {word}: {show_list(counted)}, {show(mass, 'kg')}; {proof}."
    )
    working = Working(
        "Parcels",
        "volume of plants <= fill x inside, number and weight within the box's own; sets of boxes by cost",
        (
            ("fill", show(fill_frac, "frac")),
            ("filled", show_list([show(parcel.fill_frac, "frac") for parcel in parcels])),
            ("weights", show_list([show(parcel.mass_kg, "kg") for parcel in parcels])),
            ("boxes and postage, smallest coins", show_number(float(cost), 0)),
        ),
        sentence,
        "priors, Boxes on their way",
        "shapes are not looked at, volumes are added up",
    )
    return ParcelPlan(parcels, plants, mass, cost, is_proven, sentence, (working,))
