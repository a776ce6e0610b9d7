"""What the nursery is set up with: checked, named once, with who changed it and when."""

import pytest
from django.db import IntegrityError, transaction

from halfwater.book import changes, queries
from halfwater.book.models import Tank
from halfwater.errors import RefusedInput
from halfwater.plain.stock import PriorFact
from halfwater.plain.tank import KeepOut
from tests.book.builders import WHO, a_tank

pytestmark = pytest.mark.django_db


def test_a_new_book_has_settings_of_its_own() -> None:
    """Before set-up the settings are those a book starts with, and say so."""
    nursery = queries.nursery()
    assert (nursery.units, nursery.is_set_up) == ("metric", False)
    changes.save_nursery(who=WHO, name="Fen", units="us", currency="usd", is_set_up=True)
    nursery = queries.nursery()
    assert (nursery.name, nursery.units, nursery.currency, nursery.is_set_up) == ("Fen", "us", "USD", True)


@pytest.mark.parametrize(
    "fields",
    [
        {"units": "imperial"},
        {"currency": "EURO"},
        {"time_zone": "Europe/Nowhere"},
        {"evening_hour": 24},
        {"evening_hour": 11},
        {"evening_hour": 20.5},
        {"room_rh_frac": 50.0},
        {"room_temp_c": float("nan")},
        {"is_set_up": "yes"},
    ],
)
def test_unsound_settings_are_refused(fields: dict[str, object]) -> None:
    """Each refusal names its field and leaves the settings as they were."""
    (name,) = fields
    before = queries.nursery()
    with pytest.raises(RefusedInput) as refused:
        changes.save_nursery(who=WHO, **fields)
    assert refused.value.field == name
    assert queries.nursery() == before


def test_a_tank_comes_back_as_it_was_saved() -> None:
    """Floor, pots, plan, light and air all come back with the tank."""
    pot = changes.save_pot(who=WHO, name="small", top_mm=50.0, base_mm=38.0, height_mm=50.0)
    lamp = changes.save_lamp(who=WHO, name="bar", ppfd_umol_m2_s=60.0)
    feed = changes.save_feed(who=WHO, name="blue", form="liquid", density_kg_l=1.2, n_frac=0.09)
    part = {"feed": feed, "dose_ml_l": 2.0, "dose_g_l": None, "typed": "2 ml/l"}
    mix = changes.save_mix(who=WHO, name="Night", use="night", parts=[part])
    brace = KeepOut(0.0, 390.0, 900.0, 60.0, "brace")
    a_tank(
        pot=pot, pots=119, lamp=lamp, night_mix=mix, night_volume_l=0.15, keep_outs=(brace,), lamp_hours=10.0
    )
    (tank,) = queries.tanks()
    assert tank.pot is not None
    assert tank.lamp is not None
    assert (tank.pot.name, tank.pots, tank.lamp.name, tank.keep_outs) == ("small", 119, "bar", (brace,))
    assert (tank.plan.night_mix, tank.plan.night_volume_l, tank.plan.morning_mix) == (mix, 0.15, None)
    assert queries.mixes()[0].parts[0].feed.name == "blue"


@pytest.mark.parametrize(
    "fields",
    [
        {"length_mm": 0.0},
        {"length_mm": -900.0},
        {"width_mm": float("inf")},
        {"height_mm": "450"},
        {"pot": 10_000},
        {"pots": -1},
        {"pots": 10.5},
        {"clay_fill_frac": 62.5},
        {"low_line_mm": 401.0},
        {"lamp_hours": 25.0},
        {"night_volume_l": -0.1},
        {"night_mix": 10_000},
        {"keep_outs": (KeepOut(0.0, 0.0, 0.0, 10.0),)},
        {"set_up_on": "2026-01-01"},
        {"name": " "},
    ],
)
def test_an_unsound_tank_is_refused(fields: dict[str, object]) -> None:
    """The refusal names the field, for a new tank as for a standing one."""
    (name,) = fields
    with pytest.raises(RefusedInput) as refused:
        a_tank(**fields)
    assert refused.value.field == name
    assert queries.tanks() == ()
    tank = a_tank()
    before = queries.tanks()
    with pytest.raises(RefusedInput):
        changes.save_tank(tank, who=WHO, **fields)
    assert queries.tanks() == before


def test_a_rim_lowered_below_the_low_line_is_refused() -> None:
    """The low line of a standing tank counts when only its height is changed."""
    tank = a_tank(low_line_mm=100.0)
    with pytest.raises(RefusedInput, match="low_line_mm"):
        changes.save_tank(tank, who=WHO, height_mm=90.0)


def test_a_new_tank_needs_its_sizes() -> None:
    """The refusal says which of the needed fields is missing."""
    with pytest.raises(RefusedInput, match="length_mm"):
        changes.save_tank(who=WHO, name="North")


def test_names_are_told_apart_without_capitals() -> None:
    """A second North is refused, in the book's words and by the database itself."""
    tank = a_tank("North")
    with pytest.raises(RefusedInput, match="no other tank"):
        a_tank("NORTH")
    changes.save_tank(tank, who=WHO, name="north")
    row = Tank.objects.get()
    row.pk, row.name = None, "nOrTh"
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def test_tanks_come_in_walking_order() -> None:
    """A new tank goes to the end of the walk; one put away is left out."""
    first, second = a_tank("Zinnia"), a_tank("Aster")
    assert [tank.name for tank in queries.tanks()] == ["Zinnia", "Aster"]
    changes.save_tank(second, who=WHO, place=0)
    changes.save_tank(first, who=WHO, is_in_use=False)
    assert [tank.name for tank in queries.tanks()] == ["Aster"]
    assert [tank.name for tank in queries.tanks(in_use=None)] == ["Aster", "Zinnia"]
    assert [tank.name for tank in queries.tanks(in_use=False)] == ["Zinnia"]


def test_every_change_keeps_who_and_when() -> None:
    """The past of a tank shows each state it had, newest first; saving the same again adds none."""
    tank = a_tank("North")
    changes.save_tank(tank, who="Ada", margin_mm=8.0)
    changes.save_tank(tank, who="Bob", margin_mm=8.0)
    past = queries.history("tank", tank)
    assert [(change.who, change.how, change.values["margin_mm"]) for change in past] == [
        ("Ada", "changed", 8.0),
        (WHO, "new", 6.0),
    ]
    assert past[0].at >= past[1].at
    assert past[0].name == "North"


def test_a_mix_changes_only_the_parts_that_differ() -> None:
    """Taking a feed out of a mix leaves who took it out in the past of its part."""
    feeds = [changes.save_feed(who=WHO, name=name, form="dry", n_frac=0.1) for name in ("one", "two")]
    parts = [{"feed": feed, "dose_ml_l": None, "dose_g_l": 0.5, "typed": "0.5 g/l"} for feed in feeds]
    mix = changes.save_mix(who=WHO, name="Night", use="night", parts=parts)
    changes.save_mix(mix, who="Ada", parts=parts[:1])
    assert [part.feed.name for part in queries.mixes()[0].parts] == ["one"]
    past = queries.history("part")
    assert [(change.who, change.how) for change in past] == [("Ada", "removed"), (WHO, "new"), (WHO, "new")]


@pytest.mark.parametrize("doses", [(None, None), (1.0, 1.0), (0.0, None), (-1.0, None), (None, float("nan"))])
def test_a_part_of_a_mix_has_one_dose(doses: tuple[float | None, float | None]) -> None:
    """By volume or by mass, above nought, never both and never neither."""
    feed = changes.save_feed(who=WHO, name="one", form="dry")
    part = {"feed": feed, "dose_ml_l": doses[0], "dose_g_l": doses[1], "typed": ""}
    with pytest.raises(RefusedInput):
        changes.save_mix(who=WHO, name="Night", use="night", parts=[part])
    assert queries.mixes() == ()


def test_a_feed_fraction_above_one_is_refused() -> None:
    """Nine per cent is 0.09: a 9 is refused rather than taken for 900 %."""
    with pytest.raises(RefusedInput, match="n_frac"):
        changes.save_feed(who=WHO, name="blue", form="liquid", n_frac=9.0)
    with pytest.raises(RefusedInput, match="other_frac"):
        changes.save_feed(who=WHO, name="blue", form="liquid", other_frac={"MgO": 2.0})


def test_the_shipped_taxa_come_once_with_range_tag_and_source() -> None:
    """Nine profiles, each value inside its range; loading again adds none and keeps the grower's values."""
    assert changes.load_starting_taxa() == 9
    taxa = queries.taxa()
    assert len(taxa) == 9
    for prior in (prior for taxon in taxa for prior in taxon.priors):
        assert prior.low <= prior.mean <= prior.high
        assert prior.tag in "PCMDG"
        assert prior.source
    mine = PriorFact("leaf_rate_per_30d", 2.0, 1.5, 2.5, "C", "my own counts")
    changes.save_taxon(taxa[0].key, who=WHO, priors=[mine])
    assert changes.load_starting_taxa() == 0
    assert mine in queries.taxa()[0].priors


def test_a_new_taxon_starts_from_the_profile_of_its_group() -> None:
    """A cultivar of a known group has that group's values until the grower's own replace them."""
    changes.load_starting_taxa()
    changes.save_taxon(who=WHO, name="Bucephalandra, my green one", group="Bucephalandra")
    by_name = {taxon.name: taxon.priors for taxon in queries.taxa()}
    assert by_name["Bucephalandra, my green one"] == by_name["Bucephalandra"]
    bad = PriorFact("lag_days", 5.0, 10.0, 20.0, "C", "x")
    with pytest.raises(RefusedInput, match="lag_days"):
        changes.save_taxon(who=WHO, name="Other", priors=[bad])


def test_a_passwordless_book_has_no_owner_until_one_is_set() -> None:
    """A weak password is refused; a good one makes the owner."""
    for weak in ("", "short", "1234567890123", "password123"):
        with pytest.raises(RefusedInput, match="password"):
            changes.set_owner_password(weak)
    assert not queries.has_owner()
    changes.set_owner_password("sluice gate at half water")
    assert queries.has_owner()


def test_names_in_any_script_are_told_apart_without_capitals() -> None:
    """What SQLite knows of capitals ends with the English letters; names do not."""
    key = a_tank("Östliches Becken")
    assert queries.tank_named("ÖSTLICHES becken").key == key
    assert queries.tank_named("O\u0308stliches  Becken").key == key
    with pytest.raises(RefusedInput, match="no other tank"):
        a_tank("östliches becken")


@pytest.mark.parametrize("name", ["", "   ", "North\nSouth", "No\x00rth", "x" * 81])
def test_a_name_is_one_line_that_can_be_read(name: str) -> None:
    """Nothing else can be typed again or fits beside a picture."""
    with pytest.raises(RefusedInput, match=r"on one line|needs it"):
        a_tank(name)
