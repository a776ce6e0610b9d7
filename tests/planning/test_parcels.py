"""Plants into boxes: brute force agrees, nothing is lost, limits hold, refusals name what is wrong."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.transit import PlantToPack, PostageBand, ShippingBox, WallLayer
from halfwater.planning.parcels import plan_parcels

WALL = (WallLayer("cardboard", 4.0),)


def _box(name, litres, cost=0, most_plants=None, most_kg=None, postage=()):
    return ShippingBox(name, 100.0, 100.0, litres * 100.0, WALL, 0.1, most_plants, most_kg, cost, postage)


def _checked(plan, plants, fill_frac=0.6):
    """Every plant is in one parcel, and no parcel holds more than its box may."""
    packed = {}
    for parcel in plan.parcels:
        for content in parcel.contents:
            packed[content.name] = packed.get(content.name, 0) + content.count
        volumes = {plant.name: plant.volume_l for plant in plants}
        volume = sum(content.count * volumes[content.name] for content in parcel.contents)
        assert volume <= fill_frac * parcel.box.inside_l * (1 + 1e-9)
        assert parcel.fill_frac == pytest.approx(volume / parcel.box.inside_l)
        assert parcel.padding_l + volume == pytest.approx(parcel.box.inside_l)
        assert parcel.box.most_plants is None or parcel.plants <= parcel.box.most_plants
        assert parcel.box.most_kg is None or parcel.mass_kg <= parcel.box.most_kg * (1 + 1e-9)
    assert packed == {plant.name: plant.count for plant in plants if plant.count}
    assert plan.cost_minor == sum(parcel.cost_minor for parcel in plan.parcels)
    return plan


def _brute(plants, boxes, fill_frac, most_boxes):
    """The least cost by trying every way of dealing single plants to up to so many boxes."""
    singles = [plant.volume_l for plant in plants for _ in range(plant.count)]
    best = math.inf
    for number in range(1, most_boxes + 1):
        for chosen in itertools.combinations_with_replacement(boxes, number):
            cost = sum(box.cost_minor for box in chosen)
            if cost >= best:
                continue
            for dealt in itertools.product(range(number), repeat=len(singles)):
                fits = all(
                    sum(v for v, to in zip(singles, dealt, strict=True) if to == at)
                    <= fill_frac * box.inside_l + 1e-9
                    and (box.most_plants is None or dealt.count(at) <= box.most_plants)
                    for at, box in enumerate(chosen)
                )
                if fits:
                    best = cost
                    break
    return best


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 3), st.integers(2, 9)), min_size=1, max_size=3),
    st.lists(
        st.tuples(st.integers(10, 30), st.integers(100, 900), st.none() | st.integers(1, 4)),
        min_size=1, max_size=2,
    ),
)  # fmt: skip
def test_the_cheapest_is_what_brute_force_finds(kinds, sizes):
    """Up to five plants in up to three boxes of two kinds: no dealing of single plants costs less."""
    plants = [PlantToPack(f"p{i}", n, v / 2.0, 0.1) for i, (n, v) in enumerate(kinds)]
    boxes = [_box(f"b{i}", litres, cost, most) for i, (litres, cost, most) in enumerate(sizes)]
    if sum(plant.count for plant in plants) > 5 or max(p.volume_l for p in plants) > 0.6 * max(
        s[0] for s in sizes
    ):
        return
    plan = _checked(plan_parcels(plants, boxes), plants)
    assert plan.is_proven
    least = _brute(plants, boxes, 0.6, 3)
    if least < math.inf and len(plan.parcels) <= 3:
        assert plan.cost_minor == least
    assert plan.cost_minor <= least


def test_one_large_box_or_two_small_ones():
    """The cheapest and the fewest differ where two small boxes cost less than a large one."""
    plants = [PlantToPack("nana", 6, 1.0, 0.08)]
    boxes = [_box("large", 10, 900), _box("small", 5, 400)]
    cheapest = _checked(plan_parcels(plants, boxes), plants)
    fewest = _checked(plan_parcels(plants, boxes, aim="fewest"), plants)
    assert [p.box.name for p in cheapest.parcels] == ["small", "small"]
    assert [p.box.name for p in fewest.parcels] == ["large"]
    assert "no plan is cheaper" in cheapest.sentence
    assert "no plan is of fewer boxes" in fewest.sentence


def test_the_least_box_that_holds_an_order_is_taken():
    """Fewest boxes, then cheapest: a single plant does not travel in the largest box."""
    plan = plan_parcels([PlantToPack("nana", 1, 0.5, 0.05)], [_box("large", 30, 500), _box("small", 3, 200)])
    assert [parcel.box.name for parcel in plan.parcels] == ["small"]


def test_plants_that_fit_only_if_mixed_well():
    """Two boxes hold 4+2 and 3+3, which filling the largest first does not find: the exact search does."""
    plants = [
        PlantToPack("four", 1, 4.0, 0.1),
        PlantToPack("three", 2, 3.0, 0.1),
        PlantToPack("two", 1, 2.0, 0.1),
    ]
    plan = _checked(plan_parcels(plants, [_box("six", 10, 100)]), plants)
    assert len(plan.parcels) == 2
    assert plan.is_proven


def test_a_heavier_parcel_pays_the_next_band():
    """Postage goes by the band that the full weight falls into, and two light parcels may be cheaper."""
    bands = (PostageBand(1.0, 300), PostageBand(5.0, 900))
    box = _box("carton", 10, 50, postage=bands)
    light = plan_parcels([PlantToPack("nana", 4, 1.0, 0.1)], [box])
    heavy = _checked(
        plan_parcels([PlantToPack("wet", 4, 1.0, 0.2)], [box]), [PlantToPack("wet", 4, 1.0, 0.2)]
    )
    assert (len(light.parcels), light.cost_minor) == (1, 350)
    assert (len(heavy.parcels), heavy.cost_minor) == (2, 700)
    assert all(parcel.mass_kg <= 1.0 for parcel in heavy.parcels)


def test_weight_is_plants_padding_and_box():
    """A parcel weighs its plants, the padding of what they leave, and the box."""
    plan = plan_parcels([PlantToPack("nana", 3, 1.0, 0.1)], [_box("carton", 10)], padding_kg_l=0.02)
    assert plan.mass_kg == pytest.approx(0.3 + 7.0 * 0.02 + 0.1)
    assert plan.parcels[0].fill_frac == pytest.approx(0.3)


def test_a_large_order_is_planned_in_time():
    """Two hundred plants of five kinds in three kinds of boxes all find a place, proven or not."""
    plants = [PlantToPack(f"p{i}", 40, 0.4 + 0.17 * i, 0.05 + 0.01 * i) for i in range(5)]
    boxes = [_box("small", 6, 350), _box("middle", 15, 620), _box("large", 31, 1100, most_kg=12.0)]
    plan = _checked(plan_parcels(plants, boxes), plants)
    volume = sum(plant.count * plant.volume_l for plant in plants)
    assert plan.plants == 200
    assert len(plan.parcels) >= volume / (0.6 * 31)
    if not plan.is_proven:
        assert "a better plan may exist" in plan.sentence


@settings(max_examples=20, deadline=None)
@given(st.permutations(range(3)), st.integers(1, 5))
def test_order_and_unit_do_not_matter(order, factor):
    """Shuffled kinds and coins a few times smaller give the same boxes."""
    plants = [PlantToPack("a", 3, 1.3, 0.1), PlantToPack("b", 5, 0.7, 0.1), PlantToPack("c", 2, 2.1, 0.2)]
    boxes = [_box("large", 12, 700), _box("small", 6, 410), _box("tiny", 4, 300)]
    dearer = [_box(b.name, b.inside_l, b.cost_minor * factor) for b in boxes]
    plain = plan_parcels(plants, boxes)
    other = plan_parcels([plants[i] for i in order], [dearer[i] for i in order])
    assert other.cost_minor == plain.cost_minor * factor


NANA = PlantToPack("nana", 2, 1.0, 0.1)
BOX = _box("carton", 10)


@pytest.mark.parametrize(
    ("plants", "boxes", "more"),
    [
        ([], [BOX], {}),
        ([PlantToPack("nana", 0, 1.0, 0.1)], [BOX], {}),
        ([PlantToPack("nana", -1, 1.0, 0.1)], [BOX], {}),
        ([PlantToPack("nana", 1, float("nan"), 0.1)], [BOX], {}),
        ([PlantToPack("nana", 1, 1.0, 0.0)], [BOX], {}),
        ([PlantToPack("tree", 1, 7.0, 0.1)], [BOX], {}),
        ([NANA], [], {}),
        ([NANA], [_box("light", 10, most_kg=0.05)], {}),
        ([NANA], [BOX] * 41, {}),
        ([NANA], [BOX], {"fill_frac": 0.0}),
        ([NANA], [BOX], {"fill_frac": float("nan")}),
        ([NANA], [BOX], {"padding_kg_l": -0.1}),
        ([NANA], [BOX], {"aim": "prettiest"}),
    ],
)
def test_what_cannot_be_packed_is_refused(plants, boxes, more):
    """Nothing to pack, no box, a plant too large for any, or a share that is none."""
    with pytest.raises(RefusedInput):
        plan_parcels(plants, boxes, **more)
