"""What is typed for pots, mixes and light without a book, and reading entries back."""

import pytest

from halfwater.book import queries
from halfwater.deeds.entries import read_back, void
from halfwater.deeds.light import TypedLight, light_as_typed
from halfwater.deeds.mixes import TypedLabel, dose_of_label, mix_to_make
from halfwater.deeds.pots import pots_on_floor
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import NOW, WHO, a_mix, a_nursery, a_tank, noted


def test_pots_on_a_floor_as_typed() -> None:
    """Inches or centimetres, the floor takes the same pots."""
    in_inches = pots_on_floor("36 x 18 in", "2 in")
    assert in_inches.count == pots_on_floor("91.44 x 45.72 cm", "50.8 mm").count == len(in_inches.spots)
    assert pots_on_floor("36 x 18", "2", units="us").count == in_inches.count


def test_a_keep_out_stays_free() -> None:
    """No pot stands where the siphon goes."""
    packing = pots_on_floor("900 x 450 mm", "50 mm", ["0 0 60 40 mm"])
    assert packing.count < pots_on_floor("900 x 450 mm", "50 mm").count
    assert not [spot for spot in packing.spots if spot.x_mm < 60 + 24.9 and spot.y_mm < 40]


@pytest.mark.parametrize(
    ("floor", "pot", "keep_out", "said"),
    [
        ("36 x 18 in", "19 in", "", "no wider than the floor"),
        ("36 in", "2 in", "", "x"),
        ("36 x 18 in", "-2 in", "", "length"),
        ("36 x 18 in", "2 l", "", "length"),
        ("36 x 18 in", "2 in", "0 0 60 mm", "from the left"),
    ],
)
def test_bad_sizes_are_refused(floor: str, pot: str, keep_out: str, said: str) -> None:
    """One sentence with what would be accepted."""
    with pytest.raises(RefusedInput, match=said):
        pots_on_floor(floor, pot, [keep_out] if keep_out else [])


def test_a_dose_of_a_label() -> None:
    """2 tsp/gal of a 9-3-6 liquid of 1.2 kg/L: 2.6042 mL/L hold 0.09 x 1200 g/L of nitrogen."""
    given = dose_of_label(TypedLabel("9-3-6", "2 tsp/gal", "1.2"))
    assert given.dose_ml_l == pytest.approx(2000 / 768)
    assert given.strength.n_mg_l == pytest.approx(2000 / 768 * 0.09 * 1200)
    by_mass = dose_of_label(TypedLabel("20-20-20", "0.5 g/L"))
    assert by_mass.strength.n_mg_l == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (TypedLabel("9-3-6", ""), "a dose such as"),
        (TypedLabel("9-3-6", "2 tsp/gal"), "density"),
        (TypedLabel("9-3", "0.5 g/L"), "9-3-6"),
        (TypedLabel("9-3-6", "2 in/gal", "1.2"), "a dose such as"),
        (TypedLabel("9-3-6", "2 tsp/gal", "0"), "density"),
    ],
)
def test_bad_labels_and_doses_are_refused(typed: TypedLabel, said: str) -> None:
    """A liquid labelled by weight needs its density; a dose is a volume or a mass in a volume."""
    with pytest.raises(RefusedInput, match=said):
        dose_of_label(typed)


def test_light_as_typed() -> None:
    """Lamp and stray light add up; lux counts with the lamp's factor."""
    typed = TypedLight(ppfd="60", hours="10", dimmer="80 %", stray_ppfd="8", stray_hours="12")
    assert light_as_typed(typed).dli_mol_m2_d == pytest.approx(0.0036 * (480 + 96))
    assert light_as_typed(
        TypedLight(lux="5400", source="sun and sky", hours="10")
    ).dli_mol_m2_d == pytest.approx(0.0036 * 5400 / 54 * 10, rel=0.01)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (TypedLight(), "pot height"),
        (TypedLight(ppfd="60"), "hours a day"),
        (TypedLight(lux="5000", hours="10"), "factor"),
        (TypedLight(ppfd="60", hours="25"), "24"),
        (TypedLight(ppfd="-1", hours="10"), "ppfd"),
    ],
)
def test_light_that_cannot_be_said_is_refused(typed: TypedLight, said: str) -> None:
    """What is missing is named."""
    with pytest.raises(RefusedInput, match=said):
        light_as_typed(typed)


@pytest.mark.django_db
def test_a_mix_of_the_book_is_made_up() -> None:
    """Half a millilitre a litre for half a gallon; an unknown mix is refused with the known."""
    with pytest.raises(RefusedByBook, match="no mix yet"):
        mix_to_make("Night", "1 L")
    a_nursery()
    a_mix()
    assert mix_to_make("night", "1/2 gal").parts[0].amount_ml == pytest.approx(0.9463529)
    with pytest.raises(RefusedInput, match="one of Night"):
        mix_to_make("Tea", "1 L")
    with pytest.raises(RefusedInput, match="how much to make"):
        mix_to_make("Night", "")


@pytest.mark.django_db
def test_entries_are_read_back_and_voided_by_their_first_signs() -> None:
    """An entry is voided once, with a reason, and then no longer read back."""
    a_nursery()
    a_tank()
    kept = noted("spray", value="100 ml", at="2026-11-18").entry
    wrong = noted("waterline", value="50 mm", at="2026-11-19").entry
    assert [entry.uuid for entry in read_back("north")] == [wrong.uuid, kept.uuid]
    assert void(str(wrong.uuid)[:8], "misread", WHO, NOW).void_reason == "misread"
    assert [entry.uuid for entry in read_back()] == [kept.uuid]
    assert len(read_back(include_void=True)) == 2
    with pytest.raises(RefusedByBook, match="voided before"):
        void(str(wrong.uuid), "again", WHO, NOW)
    for mark, reason in (("zz", "x"), ("ffffffff", "x"), (str(kept.uuid), " ")):
        with pytest.raises(RefusedInput):
            void(mark, reason, WHO, NOW)
    with pytest.raises(RefusedInput, match="one of spray"):
        read_back(kinds=("turtle",))
    assert len(queries.entries()) == 1
