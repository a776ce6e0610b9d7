"""Source waters, targets, salts and the entries of chemistry and light in the book."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedInput
from halfwater.plain.entry import NewEntry
from tests.book.builders import a_tank

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 1, 20, 0, tzinfo=UTC)


def _entry(kind: str, tank: int | None, value: float, **more: object) -> NewEntry:
    return NewEntry(uuid=uuid4(), kind=kind, at=NOW - timedelta(hours=1), tank=tank, value=value, **more)  # type: ignore[arg-type]


def test_one_water_is_ours() -> None:
    """Calling another water ours takes the word from the first; figures nobody measured stay unknown."""
    tap = changes.save_water(who="Ada", name="Tap", ec_ms_cm=0.45, alkalinity_mg_l=120.0, is_ours=True)
    rain = changes.save_water(who="Ada", name="Rain", is_pure=True, is_ours=True)
    first, second = queries.waters()
    assert (first.key, first.is_ours, second.key, second.is_ours) == (rain, True, tap, False)
    assert second.water.alkalinity_mg_l == 120.0
    assert second.water.ca_mg_l is None
    changes.remove_water(rain, who="Ada")
    assert [one.key for one in queries.waters()] == [tap]


@pytest.mark.parametrize("field", ["alkalinity_mg_l", "ec_ms_cm", "na_mg_l"])
def test_a_negative_figure_of_a_water_is_refused(field: str) -> None:
    """No water has less than nothing of a thing; nothing is written."""
    with pytest.raises(RefusedInput) as refused:
        changes.save_water(who="Ada", name="Tap", **{field: -1.0})
    assert refused.value.field == field
    assert queries.waters() == ()


def test_a_target_keeps_its_strengths() -> None:
    """A target of the grower's own comes back as it was given."""
    key = changes.save_target(who="Ada", name="Mild", wanted=[["N", 30.0, 1.0], ["K", 25.0, 2.0]])
    (kept,) = queries.own_targets()
    assert kept.key == key
    assert [(one.what, one.strength_mg_l, one.weight) for one in kept.target.wanted] == [
        ("N", 30.0, 1.0),
        ("K", 25.0, 2.0),
    ]
    with pytest.raises(RefusedInput):
        changes.save_target(who="Ada", name="Nothing", wanted=[])


def test_a_salt_is_a_feed_with_a_formula() -> None:
    """A salt keeps its formula, purity and what a pack cost; a feed by its label has none."""
    changes.save_feed(
        who="Ada", name="Epsom salt", form="dry", formula="MgSO4·7H2O", purity_frac=0.98, pack_minor=450,
        pack_g=1000.0, other_frac={"MgO": 0.16, "SO3": 0.32},
    )  # fmt: skip
    (salt,) = queries.feeds()
    assert salt.is_salt
    assert (salt.formula, salt.purity_frac, salt.pack_minor, salt.pack_g) == ("MgSO4·7H2O", 0.98, 450, 1000.0)


def test_readings_of_light_ph_and_meter_are_kept() -> None:
    """A light has spot, dimmer and stray light, a pH its tank, a meter check its standard and no tank."""
    tank = a_tank()
    changes.note_entries(
        [
            _entry("light", tank, 62.0, second=0.8, third=5.0, spot="B4"),
            _entry("ph", tank, 6.4),
            _entry("meter", None, 1.38, second=1.413, third=22.0),
        ],
        who="Ada",
        now=NOW,
    )
    light, ph, meter = (queries.entries(kinds=(kind,))[0] for kind in ("light", "ph", "meter"))
    assert (light.value, light.second, light.third, light.spot) == (62.0, 0.8, 5.0, "B4")
    assert (ph.value, meter.value, meter.second) == (6.4, 1.38, 1.413)
    assert queries.meter_checks() == ((meter.at, 1.38, 1.413, 22.0, ""),)


@pytest.mark.parametrize(
    ("kind", "value", "more"),
    [
        ("ph", 15.0, {}),
        ("light", -1.0, {}),
        ("light", 60.0, {"second": 1.5}),
        ("light", 60.0, {"third": 4000.0}),
        ("meter", 1.38, {}),
        ("ec", 0.8, {"third": 1.0}),
    ],
)
def test_readings_out_of_range_are_refused(kind: str, value: float, more: dict[str, float]) -> None:
    """What no meter can show, or a check without its standard, is refused with what would do."""
    tank = None if kind == "meter" else a_tank()
    with pytest.raises(RefusedInput) as refused:
        changes.note_entries([_entry(kind, tank, value, **more)], who="Ada", now=NOW)
    assert refused.value.accepted
    assert queries.entries(include_void=True) == ()


def test_a_meter_check_makes_kept_states_void() -> None:
    """States kept after the check are dropped in every tank, those before it stay."""
    tanks = (a_tank("North"), a_tank("South"))
    changes.keep_checkpoints(
        (tank, NOW - timedelta(days=days), "bath-1", {"day": days}) for tank in tanks for days in (0, 10)
    )
    check = NewEntry(uuid4(), "meter", NOW - timedelta(days=5), None, 1.30, 1.413)
    changes.note_entries([check], who="Ada", now=NOW)
    assert {
        tank: state[1]["day"] for tank, state in queries.checkpoints("bath-1", NOW).items()
    } == dict.fromkeys(tanks, 10)


def test_another_recipe_makes_kept_bath_states_void() -> None:
    """A changed label, mix or water changes what every spray brought; the waterline's states stay."""
    tank = a_tank()
    feed = changes.save_feed(who="Ada", name="Grow", form="liquid", density_kg_l=1.2, n_frac=0.09)
    mix = changes.save_mix(who="Ada", name="Night", use="night", parts=[{"feed": feed, "dose_ml_l": 1.0}])

    def keep() -> None:
        rows = [(tank, NOW, model, {}) for model in ("bath-1", "waterline-1")]
        changes.keep_checkpoints(rows)

    for change in (
        lambda: changes.save_feed(feed, who="Ada", n_frac=0.10),
        lambda: changes.save_mix(mix, who="Ada", parts=[{"feed": feed, "dose_ml_l": 2.0}]),
        lambda: changes.save_water(who="Ada", name="Tap", ec_ms_cm=0.4, is_ours=True),
    ):
        keep()
        change()
        assert queries.checkpoints("bath-1", NOW) == {}
        assert set(queries.checkpoints("waterline-1", NOW)) == {tank}
    keep()
    changes.save_feed(feed, who="Ada", pack_minor=900)
    assert set(queries.checkpoints("bath-1", NOW)) == {tank}
