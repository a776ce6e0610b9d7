"""The commands about stock, as they are typed: keys for programs, tables for people, refusals."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from halfwater.book import changes, queries
from tests.deeds.nurseries import WHO, a_nursery, a_tank
from tests.deeds.stocks import NANA, SPOTS, a_batch, pot_on

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def stock() -> None:
    """Six old pots in North, counted ten days ago, the lone price of their taxon, South empty."""
    a_nursery()
    changes.load_starting_taxa(who=WHO)
    for name in ("North", "South"):
        changes.set_spots(a_tank(name, pots=8), SPOTS)
    a_batch("Nana, March", 6, date(2025, 3, 1))
    at = datetime.now(UTC) - timedelta(days=10)
    for spot in SPOTS[:6]:
        changes.count_pot(pot_on(spot).key, 13, who=WHO, at=at)
    changes.save_price(pot_on("A1").taxon, "standard", 950, who=WHO)


def answer(told: tuple[int, str, str]) -> dict[str, object]:
    """The one JSON object of a command that succeeded."""
    code, out, err = told
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def refusal(told: tuple[int, str, str]) -> tuple[int, str]:
    """The exit code and the one sentence of a command that refused; nothing else was printed."""
    code, out, err = told
    assert out == ""
    assert err.count("\n") == 1
    return code, err


@pytest.mark.usefixtures("stock")
def test_ready_keys(halfwater: Command) -> None:
    """By taxon with counts and by batch with dates; a day asked for is the only one told."""
    found = answer(halfwater("ready", "--json"))
    assert {"on", "horizon_on", "taxa", "batches", "count_next"} <= set(found)
    (taxon,) = found["taxa"]  # type: ignore[misc]
    assert (taxon["taxon"], taxon["pots"]) == (NANA, 6)
    assert set(taxon["counts"][0]) == {"grade", "on", "p10", "p50", "p90", "mean"}
    day = (datetime.now(UTC) + timedelta(days=33)).date().isoformat()
    on = answer(halfwater("ready", "nana", "--on", day, "--json"))
    assert {count["on"] for count in on["taxa"][0]["counts"]} == {day}  # type: ignore[index]
    batch = answer(halfwater("ready", "--batch", "nana, march", "--json"))
    assert len(batch["pots"]) == 6  # type: ignore[arg-type]
    assert [when["grade"] for when in batch["pots"][0]["dates"]] == ["small", "standard", "large"]  # type: ignore[index]


@pytest.mark.usefixtures("stock")
def test_what_ready_showed_is_kept_for_the_score(halfwater: Command) -> None:
    """`ready` keeps what it tells; `score` names how many are kept and that none is scored yet."""
    halfwater("ready")
    found = answer(halfwater("score", "--json"))
    kinds = {line["kind"]: line for line in found["kinds"]}  # type: ignore[attr-defined]
    assert kinds["ready count"]["forecasts"] == 9
    assert kinds["ready count"]["scored"] == 0
    assert kinds["ready count"]["inside_frac"] is None
    code, out, _ = halfwater("score")
    assert code == 0
    assert "None is scored yet" in out


@pytest.mark.usefixtures("stock")
def test_stock_keys(halfwater: Command) -> None:
    """The whole, a tank, a batch, a pot and a lineage, each as one object."""
    found = answer(halfwater("stock", "--json"))
    assert found["pots"] == 6
    assert found["empty_spots"] == {"North": 2, "South": 8}
    tank = answer(halfwater("stock", "north", "--json"))
    assert [pot["spot"] for pot in tank["pots"]] == SPOTS[:6]  # type: ignore[attr-defined]
    assert answer(halfwater("stock", "--batch", "Nana, March", "--json"))["pots"]
    for name in ("North A1", "Nana, March 1"):
        pot = answer(halfwater("stock", "--pot", name, "--json"))
        assert pot["pot"]["pot"] == "Nana, March 1"  # type: ignore[index]
        assert {"outlook", "counts", "stays", "parents", "offspring", "entries"} <= set(pot)
    assert answer(halfwater("stock", "--lineage", "Nana, March", "--json"))["generations"] == 1


@pytest.mark.usefixtures("stock")
def test_people_read_tables_of_the_stock(halfwater: Command) -> None:
    """Without --json the same is told in words and tables."""
    for words in (
        ("ready",),
        ("ready", "--batch", "Nana, March"),
        ("stock",),
        ("stock", "North"),
        ("stock", "--pot", "North A1"),
        ("stock", "--lineage", NANA),
        ("stock", "--batch", "Nana, March"),
        ("score",),
    ):
        code, out, err = halfwater(*words)
        assert (code, err) == (0, "")
        assert out.strip()


@pytest.mark.usefixtures("stock")
def test_single_pots_are_noted_from_the_terminal(halfwater: Command) -> None:
    """Counted, kept, measured, moved, lost; each by tank and spot, or by name."""
    for words in (
        ("leaves", "North", "15", "--spot", "A1"),
        ("leaves", "-", "14", "--pot", "Nana, March 2"),
        ("state", "North", "kept", "--spot", "A1"),
        ("rhizome", "North", "95mm", "--spot", "A1"),
        ("move", "North", "South B2", "--spot", "A3"),
        ("move", "North", "B4", "--spot", "A4"),
        ("loss", "North", "rot", "--spot", "B1", "--pot", "North B1"),
    ):
        found = answer(halfwater("note", *words, "--json"))
        assert found["pot"] is not None
    first = pot_on("A1")
    assert (first.leaves, first.state, first.rhizome_mm) == (15, "kept", 95.0)
    assert pot_on("A2").leaves == 14
    assert pot_on("B2", "South").number == 3
    assert pot_on("B4").number == 4
    lost = next(pot for pot in queries.standing_pots(gone=True) if pot.number == 5)
    assert (lost.state, lost.cause) == ("lost", "rot")
    code, out, _ = halfwater("note", "state", "North", "ready", "--spot", "A2")
    assert (code, "state at North, ready" in out) == (0, True)


@pytest.mark.usefixtures("stock")
def test_a_cut_is_noted_from_the_terminal(halfwater: Command) -> None:
    """With a name and spots the sections become a batch of their own; without, only the cut is noted."""
    words = ("note", "cut", "North", "3, 4 left", "--spot", "A1", "--blade", "disinfected")
    answer(halfwater(*words, "--batch", "Nana, cut", "--to", "South A1-A2", "--json"))
    assert [pot.spot for pot in queries.standing_pots(queries.tank_named("South").key)] == ["A1", "A2"]
    assert pot_on("A1").leaves == 4
    answer(halfwater("note", "cut", "North", "2", "--spot", "A2", "--json"))
    assert len(queries.entries(kinds=("cut",))) == 2


@pytest.mark.usefixtures("stock")
def test_a_plan_is_made_shown_and_changed(halfwater: Command) -> None:
    """The first call makes one, the second shows it; a what-if is not kept; settings say what was set."""
    made = answer(halfwater("plan", "--weeks", "12", "--json"))
    assert {"made_at", "is_stale", "what_ifs", "plan", "futures", "habits"} <= set(made)
    assert made["plan"]["status"] == "optimal"  # type: ignore[index]
    shown = answer(halfwater("plan", "--json"))
    assert shown["made_at"] == made["made_at"]
    what_if = answer(halfwater("plan", "--what-if", "release every 2 weeks", "--weeks", "12", "--json"))
    assert what_if["what_ifs"] == ["release every 2 weeks"]
    assert answer(halfwater("plan", "--json"))["made_at"] == made["made_at"]
    said = answer(halfwater("plan", "--set", "price nana large 14", "--set", "least_kept 1", "--json"))
    assert len(said["set"]) == 2  # type: ignore[arg-type]
    code, out, err = halfwater("plan")
    assert (code, err) == (0, "")
    assert "Make it anew" in out
    assert "Releases" in out


@pytest.mark.usefixtures("stock")
def test_settings_are_set_all_or_none(halfwater: Command) -> None:
    """One that cannot be used, and none is written."""
    code, _ = refusal(halfwater("plan", "--set", "least_kept 5", "--set", "price moss standard 3"))
    assert code == 2
    assert queries.cutting_habit().least_kept == 2


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("ready", "--on", "banana"), 2),
        (("ready", "--on", "2001-01-01"), 2),
        (("ready", "moss"), 2),
        (("ready", "--batch", "Nobody"), 2),
        (("stock", "Nowhere"), 2),
        (("stock", "--pot", "Nobody 7"), 2),
        (("stock", "--batch", "Nobody"), 2),
        (("stock", "--lineage", "Nobody"), 2),
        (("stock", "North", "--batch", "Nana, March"), 2),
        (("plan", "--weeks", "3"), 2),
        (("plan", "--what-if", "pigs fly"), 2),
        (("plan", "--set", "least_kept 1", "--anew"), 2),
        (("note", "state", "North", "happy", "--spot", "A1"), 2),
        (("note", "state", "North", "kept"), 2),
        (("note", "state", "North", "kept", "--spot", "Z9"), 2),
        (("note", "state", "North", "kept", "--spot", "B4"), 1),
        (("note", "move", "North", "A2", "--spot", "A1"), 1),
        (("note", "move", "North", "Nowhere A2", "--spot", "A1"), 2),
        (("note", "cut", "North", "many", "--spot", "A1"), 2),
        (("note", "cut", "North", "3", "--spot", "A1", "--to", "South A1"), 2),
        (("note", "cut", "North", "2", "--spot", "A1", "--to", "South A1-A4", "--batch", "New"), 2),
        (("note", "cut", "North", "3", "--spot", "A1", "--blade", "blunt"), 2),
        (("note", "rhizome", "North", "long", "--spot", "A1"), 2),
        (("note", "spray", "North", "100ml", "--pot", "North A1"), 2),
        (("note", "leaves", "-", "7", "--pot", "North A1", "--at", "2020-01-01"), 1),
    ],
)
@pytest.mark.usefixtures("stock")
def test_what_cannot_be_is_refused_in_one_sentence(
    halfwater: Command, words: tuple[str, ...], code: int
) -> None:
    """Exit 2 for what was typed, 1 for what the book stands against; nothing is written."""
    entries, batches = queries.entries(), queries.batches()
    assert refusal(halfwater(*words))[0] == code
    assert queries.entries() == entries
    assert queries.batches() == batches


def test_an_empty_book_is_told_what_it_needs(halfwater: Command) -> None:
    """Without pots nothing is ready or to be planned, and there is no lineage; stock and score say so."""
    a_nursery()
    a_tank("North", pots=8)
    assert refusal(halfwater("ready"))[0] == 1
    assert refusal(halfwater("plan"))[0] == 1
    assert refusal(halfwater("stock", "--lineage", "Nana"))[0] == 1
    assert "No pot stands" in halfwater("stock")[1]
    assert halfwater("score")[0] == 0


@pytest.mark.usefixtures("stock")
def test_a_batch_that_is_all_kept_is_waited_for_by_nobody(halfwater: Command) -> None:
    """Its grown pots are not told as far from ready: it says that all are kept."""
    for spot in SPOTS[:6]:
        changes.set_state(pot_on(spot).key, "kept", who=WHO)
    told = answer(halfwater("ready", "--json"))
    assert [batch["half_ready"] for batch in told["batches"]] == [None]  # type: ignore[attr-defined]
    code, out, _ = halfwater("ready")
    assert (code, out.count("all kept")) == (0, 3)


def test_an_import_tells_what_it_brought(halfwater: Command, tmp_path: Path) -> None:
    """Batches and pots are named beside tanks and entries, one as one."""
    a_nursery()
    changes.load_starting_taxa(who=WHO)
    changes.set_spots(a_tank("North", pots=8), SPOTS)
    file = tmp_path / "standing.csv"
    file.write_text(f"batch,number,taxon,potted_on,tank\nMay,1,{NANA},2026-05-01,North\n", encoding="utf-8")
    code, out, err = halfwater("import", str(file))
    assert (code, err) == (0, "")
    assert out.strip().endswith("; and new: 1 batch, 1 pot.")
    code, out, err = halfwater("stock")
    assert (code, out.split("\n", 1)[0].strip()) == (0, "1 pot")


@pytest.mark.usefixtures("stock")
def test_a_pot_and_a_spot_that_are_not_the_same_are_refused(halfwater: Command) -> None:
    """A count goes to no pot when its name says one and its spot another."""
    told = halfwater("note", "leaves", "North", "7", "--pot", "Nana, March 2", "--spot", SPOTS[0])
    code, err = refusal(told)
    assert code == 2
    assert f"{SPOTS[1]}, where Nana, March 2 stands" in err
    assert pot_on(SPOTS[1]).leaves == 13
    assert halfwater("note", "leaves", "North", "7", "--pot", "Nana, March 2", "--spot", SPOTS[1])[0] == 0


@pytest.mark.usefixtures("stock")
def test_a_move_to_where_a_pot_stands_is_refused(halfwater: Command) -> None:
    """Nothing is noted of a pot that stays where it is."""
    code, err = refusal(halfwater("note", "move", "North", SPOTS[0].lower(), "--spot", SPOTS[0]))
    assert (code, err) == (1, f"Nana, March 1 stands on North {SPOTS[0]} already.\n")
    assert queries.entries(kinds=("move",)) == ()
