"""The commands about mixes, baths, light and air, on a small book."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from halfwater.book import changes, queries
from halfwater.cli.light_floor import spots_named
from halfwater.deeds import shelf
from tests.deeds.nurseries import WHO, a_mix, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]
SALTS = ("Ca(NO3)2·4H2O", "KNO3", "KH2PO4", "MgSO4·7H2O")
WANTED = ("--strengths", "N-NO3 52.5, P 7.74, K 58.6, Ca 50.1, Mg 12.2, S 16", "--water", "rain")


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with four salts, a mix, and two tanks that were sprayed and read."""
    a_nursery()
    for formula in SALTS:
        typed = {"formula": formula, "pack_price": "5.00", "pack_size": "1 kg"}
        shelf.save_salt_sheet(typed, WHO)
    mix = a_mix()
    a_tank(night_mix=mix)
    a_tank("South", night_mix=mix)
    evenings(5)
    noted("ec", value="0.62 mS/cm")


def told(answer: tuple[int, str, str]) -> Any:
    """What a program reads."""
    code, out, err = answer
    assert (code, err) == (0, "")
    return json.loads(out)


def test_all_baths_are_told_in_one_table(halfwater: Command) -> None:
    """Both tanks stand in it; a program gets the same EC as on the tank's own answer."""
    out = halfwater("bath")[1]
    assert "North" in out
    assert "South" in out
    every = told(halfwater("bath", "--json"))["tanks"]
    alone = told(halfwater("bath", "North", "--json"))
    assert [one["tank"] for one in every] == ["North", "South"]
    assert alone["bath"]["ec_now"]["p50"] == pytest.approx(every[0]["bath"]["ec_now"]["p50"], rel=1e-3)


def test_a_bath_tells_limit_reason_and_refill(halfwater: Command) -> None:
    """Each part of the answer has its heading, and the refill asked for is the one told."""
    out = halfwater("bath", "North", "--refill", "rain", "--target", "0.4")[1]
    for heading in (
        "Why it moves",
        "Siphon and refill",
        "What it holds",
        "Take care",
        "pH:\n  None is noted",
    ):
        assert heading in out
    asked = told(halfwater("bath", "North", "--refill", "rain", "--target", "0.4", "--json"))
    advice = asked["bath"]["refill"]
    assert (advice["refill_name"], advice["target_ms_cm"]) == ("rain", 0.4)


def test_air_and_algae_are_told_together(halfwater: Command) -> None:
    """One tank with its experiment and its algae, or all of them in a table."""
    one = told(halfwater("air", "North", "--json"))
    assert one["air"]["tank_name"] == one["algae"]["tank_name"] == "North"
    assert "Learned from 0 months of tanks here" in halfwater("air", "North")[1]
    noted("sighting", value="algae much")
    assert "Noted last on" in halfwater("air", "North")[1]
    assert [each["air"]["tank_name"] for each in told(halfwater("air", "--json"))["tanks"]] == [
        "North",
        "South",
    ]
    assert "Vapour" in halfwater("air")[1]


def test_the_floor_is_told_as_its_pots_stand(halfwater: Command) -> None:
    """Three maps of a line a row, as many figures as pots, and settings for the light that is wanted."""
    noted("light", value="62", spot="A1", second="100 %")
    floor = told(halfwater("light", "North", "--map", "--target", "2", "--json"))
    out = halfwater("light", "North", "--map", "--target", "2")[1]
    rows = [line.split() for line in out.splitlines() if line.startswith("  A1 ")]
    first_y = min(spot["y_mm"] for spot in floor["spots"])
    pots = sum(abs(spot["y_mm"] - first_y) < 1.0 for spot in floor["spots"])
    assert [len(row) - 1 for row in rows] == [pots] * 3
    corner = next(spot for spot in floor["spots"] if spot["name"] == "A1")
    assert rows[0][1] == f"{corner['ppfd_umol_m2_s']['p50']:.0f}"
    assert floor["target_mol_m2_d"] == 2.0
    assert "Settings that give 2 mol/m²/d" in out
    assert f'"62 at {floor["read_next"]}"' in out
    assert "a daily light" in halfwater("light", "North", "--map", "--target", "wet")[2]
    assert halfwater("light", "South", "--map")[0] == 1  # neither lamp nor reading is known


def test_spots_for_a_taxon_and_a_light_no_lamp_gives(halfwater: Command) -> None:
    """Its spots stand by name, runs drawn together; a light beyond the lamp says what the most is."""
    changes.load_starting_taxa()
    noted("lamp", value="80% 10h")
    noted("light", value="62", spot="A1", second="100 %")
    (nana, *_) = told(halfwater("light", "North", "--map", "--taxon", "nana", "--json"))["suits"]
    out = halfwater("light", "North", "--map", "--taxon", "nana")[1]
    assert "Spots for Anubias barteri var. nana" in out
    assert (f"good: {spots_named(nana['good'])}" in out) == bool(nana["good"])
    assert spots_named(["A10", "A2", "B1", "A1", "A3"]) == "A1-A3, A10, B1"
    assert "at full power for 16 hours it is" in halfwater("light", "North", "--map", "--target", "50")[1]


def test_a_recipe_is_told_and_kept(halfwater: Command) -> None:
    """What to weigh for the volume, the EC with its range, and the mix is in the book afterwards."""
    answer = told(halfwater("mix", *WANTED, "--volume", "10 L", "--json"))
    weighed = {part["item"]["product"]["formula"]: part["amount_g"] for part in answer["recipe"]["parts"]}
    # Ca 50.1 mg/L of 40.078 in 236.15 g/mol, ten litres
    assert weighed["Ca(NO3)2·4H2O"] == pytest.approx(10 * 50.1e-3 * 236.15 / 40.078, rel=0.01)
    out = halfwater("mix", *WANTED, "--volume", "10 L", "--keep", "Quarter", "--as", "fill")[1]
    assert "mS/cm" in out
    assert "Kept as the mix Quarter" in out
    assert "Quarter" in [mix.name for mix in queries.mixes() if mix.use == "fill"]
    assert "EC" in halfwater("mix", "Quarter")[1]


def test_gallons_and_fahrenheit_are_told_to_who_uses_them(halfwater: Command) -> None:
    """Volumes, temperatures and their differences stand in the nursery's units."""
    changes.save_nursery(who=WHO, units="us")
    assert "to 1 gal" in halfwater("mix", "Night", "--volume", "1 gal")[1]
    assert "to 2 gal" in halfwater("mix", *WANTED, "--volume", "2 gal")[1]
    assert "at 60 °F" in halfwater("mix", "Night", "--temp", "60 F")[1]
    margin_c = told(halfwater("air", "North", "--json"))["air"]["dew_margin_c"]
    assert f"{margin_c * 9 / 5:.1f} °F" in halfwater("air", "North")[1]


def test_mixes_stand_side_by_side(halfwater: Command) -> None:
    """Two named mixes, or all of the book."""
    a_mix("Weak", "weak")
    names = [one["name"] for one in told(halfwater("mix", "Night", "Weak", "--json"))["mixes"]]
    assert names == ["Night", "Weak"]
    out = halfwater("mix", "--compare")[1]
    assert "EC, mS/cm" in out
    assert "a litre costs" in out


def test_stocks_keep_calcium_from_phosphate(halfwater: Command) -> None:
    """A and B at 1:100, each hundred times the mix, and the dose for a litre."""
    plan = told(halfwater("mix", *WANTED, "--stock", "1:100", "--json"))
    held = [{part["name"] for part in stock["parts"]} for stock in plan["stocks"]]
    calcium = next(names for names in held if "Calcium nitrate" in names)
    assert not calcium & {"Monopotassium phosphate", "Epsom salt"}
    assert plan["dose_ml_l"] == pytest.approx(10.0)
    assert "Stock A" in halfwater("mix", *WANTED, "--stock", "100")[1]
    changes.save_feed(who=WHO, name="Urea feed", form="dry", basis="w/w", n_frac=0.46, n_urea_frac=0.46)
    urea = ("--strengths", "N 20", "--use", "Urea feed", "--water", "rain")
    out = halfwater("mix", *urea, "--stock", "100")[1]
    assert "holds at 1:100" in out
    assert "which no EC meter sees" in out


def test_the_shelf_lists_salts_and_targets(halfwater: Command) -> None:
    """What there is to mix from, and the published solutions with their source."""
    out = halfwater("mix", "--shelf")[1]
    assert "MgSO4·7H2O" in out
    assert "Hoagland and Arnon No. 2" in " ".join(out.split())
    names = {one["target"]["name"] for one in told(halfwater("mix", "--shelf", "--json"))["targets"]}
    assert "Hoagland and Arnon No. 1" in names
    assert told(halfwater("mix", "--target", "Hoagland & Arnon No. 1", "--json"))["recipe"]["parts"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("bath", "Nowhere"), "North, South"),
        (("bath", "--target", "0.8"), "halfwater bath North"),
        (("bath", "North", "--target", "wet"), "target"),
        (("bath", "North", "--refill", "soup"), "soup"),
        (("air", "Nowhere"), "North, South"),
        (("light", "--map"), "halfwater light North --map"),
        (("light", "North", "--map", "--ppfd", "60"), "left out with a tank"),
        (("mix",), "--compare"),
        (("mix", "Night", "--target", "Steiner"), "one of"),
        (("mix", "--keep", "X"), "--target"),
        (("mix", "Night", "--volume", "1 L", "--water", "rain"), "left out with --volume"),
        (("mix", "Night", "--use", "Moon dust"), "it goes with a --target or --strengths"),
        (("mix", "--label", "9-3-6", "--dose", "1 g/L", "--temp", "4 C"), "left out with --label"),
        (("mix", "--strengths", "N 50", "--stock", "100", "--keep", "X"), "left out with --stock"),
        (("mix", "Night", "--shelf"), "left out with --shelf"),
        (("mix", "--label", "60-30-30", "--dose", "1 g/L"), "100 %"),
        (("mix", "--strengths", "Xx 5"), "N, P, K"),
        (("mix", "--strengths", "N 50", "--water", "-3"), "rain"),
        (("mix", "--strengths", "N 50", "--water", "60% rain + 50% purified"), "add up to 1"),
        (("mix", "--strengths", "N 50", "--stock", "1:1000"), "200"),
        (("mix", "--strengths", "N 50", "--use", "Moon dust"), "Calcium nitrate"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(halfwater: Command, words: tuple[str, ...], says: str) -> None:
    """It says what would be accepted, and exits as what was typed wrongly."""
    code, out, err = halfwater(*words)
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1
