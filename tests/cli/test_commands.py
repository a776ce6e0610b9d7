"""Commands as they are typed: the fixed keys for programs, exit codes, one sentence on errors."""

import json
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from halfwater import __version__
from halfwater.book import queries
from halfwater.cli.app import COMMANDS
from halfwater.deeds.owner import is_right_password
from tests.deeds.nurseries import a_mix, a_nursery, a_tank

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def book() -> None:
    """A nursery with two tanks and a mix."""
    a_nursery()
    mix = a_mix()
    a_tank(night_mix=mix)
    a_tank("South", night_mix=mix)


def answer(told: tuple[int, str, str]) -> dict[str, object]:
    """The one JSON object of a command that succeeded."""
    code, out, err = told
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_help_names_every_command(halfwater: Command) -> None:
    """--help and no words at all list what there is."""
    for words in (("--help",), ()):
        code, out, _ = halfwater(*words)
        assert code == 0
        assert all(name in out for name in COMMANDS)


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_help(halfwater: Command, name: str) -> None:
    """Each command says what it takes."""
    code, out, err = halfwater(name, "--help")
    assert (code, err) == (0, "")
    assert f"halfwater {name}" in out


def test_the_version_is_said(halfwater: Command) -> None:
    """--version tells it."""
    assert halfwater("--version") == (0, f"halfwater {__version__}\n", "")


def test_pots_keys(halfwater: Command) -> None:
    """The keys that are fixed for programs."""
    found = answer(halfwater("pots", "36 x 18 in", "2 in", "--json"))
    assert {"count", "pattern", "bound_count", "spots"} <= set(found)
    spots = found["spots"]
    assert isinstance(spots, list)
    assert len(spots) == found["count"]
    assert set(spots[0]) == {"name", "x_mm", "y_mm"}
    assert spots[0]["name"] == "A1"


def test_mix_keys(halfwater: Command) -> None:
    """A dose of a label in plain numbers."""
    found = answer(halfwater("mix", "--label", "9-3-6", "--density", "1.2", "--dose", "2 tsp/gal", "--json"))
    assert {"dose_ml_l", "n_mg_l", "p_mg_l", "k_mg_l"} <= set(found)
    assert found["n_mg_l"] == pytest.approx(281.25)


@pytest.mark.usefixtures("book")
def test_tank_keys(halfwater: Command) -> None:
    """Every fixed key is there, null where nothing can be said, with why."""
    found = answer(halfwater("tank", "North", "--json"))
    fixed = {
        "depth_mm", "volume_l", "clay_line_mm", "limit_line_mm", "low_line_mm", "siphon_p10_on",
        "siphon_p50_on", "siphon_p90_on", "siphon_volume_l", "catch_frac", "loss_l_day",
        "dli_mol_m2_d", "why",
    }  # fmt: skip
    assert fixed <= set(found)
    assert found["clay_line_mm"] == 30.0
    assert found["dli_mol_m2_d"] is None
    assert "dli_mol_m2_d" in str(found["why"])


@pytest.mark.usefixtures("book")
def test_tonight_keys(halfwater: Command) -> None:
    """The round for programs: on, minutes, jobs with kind, tank and amounts."""
    found = answer(halfwater("tonight", "--json"))
    assert {"on", "minutes", "jobs"} <= set(found)
    jobs = found["jobs"]
    assert isinstance(jobs, list)
    spray = next(job for job in jobs if job["kind"] == "spray")
    assert (spray["tank"], spray["volume_l"], spray["mix"]) == ("North", 0.15, "Night")
    mix = next(job for job in jobs if job["kind"] == "mix")
    assert mix["tank"] is None
    assert mix["recipe"]["parts"][0]["amount_ml"] == pytest.approx(0.15)


@pytest.mark.usefixtures("book")
def test_people_read_tables(halfwater: Command) -> None:
    """Without --json the same is told in words and tables."""
    for line in ("tonight", "tank North", "pots 36x18in 2in", "mix Night --volume 1L",
                 "light --ppfd 60 --hours 10", "entries"):  # fmt: skip
        code, out, err = halfwater(*line.split())
        assert (code, err) == (0, "")
        assert out.strip()


def test_a_coming_evening_can_be_asked_for(halfwater: Command, book: None) -> None:
    """--on takes a date ahead."""
    on = (datetime.now(UTC) + timedelta(days=60)).date().isoformat()
    assert answer(halfwater("tonight", "--on", on, "--json"))["on"] == on


@pytest.mark.usefixtures("book")
def test_one_command_notes_the_round_and_one_takes_it_back(halfwater: Command) -> None:
    """--done notes what was planned, twice is once; --undo voids it, and then the round is open again."""
    planned = answer(halfwater("tonight", "--json"))
    assert isinstance(planned["jobs"], list)
    tapped = [job for job in planned["jobs"] if job["kind"] in ("spray", "siphon", "fill", "look")]
    noted = answer(halfwater("tonight", "--done", "--json"))
    assert len(noted["new"]) == len(tapped) == len(queries.entries())  # type: ignore[arg-type]
    code, out, _ = halfwater("tonight", "--done")
    assert (code, "stands in the book already" in out) == (0, True)
    assert len(queries.entries()) == len(tapped)
    assert answer(halfwater("tonight", "--undo", "--json"))["voided"] == len(tapped)
    assert queries.entries() == ()
    assert answer(halfwater("tonight", "--json"))["jobs"] == planned["jobs"]
    assert halfwater("tonight", "--undo")[0] == 1
    assert halfwater("tonight", "--done", "--undo")[0] == 2
    ahead = (datetime.now(UTC) + timedelta(days=9)).date().isoformat()
    assert halfwater("tonight", "--on", ahead, "--done")[0] == 2


@pytest.mark.usefixtures("book")
def test_entries_are_noted_read_back_and_voided(halfwater: Command) -> None:
    """The words of the handbook, and what they leave in the book."""
    lines = (
        ("waterline", "North", "21mm"), ("spray", "North", "180ml"), ("siphon", "North", "to low line"),
        ("air", "North", "24C", "92%"), ("sighting", "North", "algae"), ("loss", "North", "2", "rot"),
        ("leaves", "South", "7"), ("note", "South", "lid", "cracked"),
    )  # fmt: skip
    for line in lines:
        assert answer(halfwater("note", *line, "--json"))["was_there"] is False
    code, out, _ = halfwater("entries", "north")
    assert code == 0
    assert all(word in out for word in ("21 mm", "180 mL", "low line", "24 °C", "algae", "rot"))
    mark = str(queries.entries(kinds=("waterline",))[0].uuid)[:8]
    assert halfwater("void", mark, "misread")[0] == 0
    found = answer(halfwater("entries", "--kind", "waterline", "--json"))
    assert found["entries"] == []


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("tank", "Nowhere"), 2),
        (("tank",), 2),
        (("note", "waterline", "North", "-5mm"), 2),
        (("note", "waterline", "North", "nan"), 2),
        (("note", "waterline", "North", "900mm"), 2),
        (("note", "spray", "North", "plenty"), 2),
        (("note", "spray", "North", "100ml", "--at", "2090-01-01"), 2),
        (("pots", "36 x 18 in", "20 in"), 2),
        (("pots", "36 x 18 in"), 2),
        (("mix",), 2),
        (("mix", "--label", "9-3-6"), 2),
        (("light",), 2),
        (("tonight", "--on", "banana"), 2),
        (("tonight", "--no-such"), 2),
        (("entries", "--limit", "0"), 2),
        (("void", "abcd1234", "why"), 2),
        (("import", "no-such-file.csv"), 2),
        (("dance",), 2),
        (("serve", "--host", "0.0.0.0"), 1),
        (("serve", "--port", "99999"), 2),
    ],
)
@pytest.mark.usefixtures("book")
def test_errors_are_one_sentence_and_write_nothing(
    halfwater: Command, words: tuple[str, ...], code: int
) -> None:
    """Exit 2 for what was typed, 1 for what the book refuses; one line on stderr, nothing else."""
    found, out, err = halfwater(*words)
    assert (found, out) == (code, "")
    assert err.endswith(".\n")
    assert err.count("\n") == 1
    assert queries.entries() == ()


def test_an_empty_book_says_how_to_begin(halfwater: Command) -> None:
    """Exit 1, with the ways to start."""
    code, out, err = halfwater("tonight")
    assert (code, out) == (1, "")
    assert "halfwater demo" in err


def test_the_password_is_set_and_never_shown(halfwater: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    """A weak one is refused, a good one opens the book."""
    for typed, code in (("pond77\n", 2), ("still waters by night\n", 0)):
        monkeypatch.setattr("sys.stdin.readline", lambda typed=typed: typed)
        found, out, err = halfwater("password", "--stdin")
        assert found == code
        assert typed.strip() not in out + err
    assert is_right_password("still waters by night")
    assert not is_right_password("pond77")


@pytest.mark.usefixtures("book")
def test_export_and_import_again(halfwater: Command, tmp_path: Path) -> None:
    """What is exported can be checked for import, and stands in the book already."""
    halfwater("note", "waterline", "North", "21mm")
    files = answer(halfwater("export", str(tmp_path / "out"), "--json"))["files"]
    assert isinstance(files, list)
    found = answer(halfwater("import", *files, "--check", "--json"))
    assert (found["tanks_new"], found["entries_new"]) == (0, 0)
    assert found["checked_only"] is True


def test_help_loads_nothing_slow() -> None:
    """A process that only helps imports neither Django nor numpy nor rich."""
    script = (
        "import sys; from halfwater.cli.app import run; run(['--help']);"
        "print(sorted({'django', 'numpy', 'rich.console', 'pint', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.usefixtures("book")
@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("entries --limit 99999999999999999999", "limit"),
        ("tonight --on 0001-01-01", "date such as"),
        ("tonight --on 9999-12-31", "date such as"),
        ("tonight --on 2099-12-31", "evening up to"),
        ("pots 36x18 2 --units furlongs", "units"),
        ("note waterline North -3mm", "-3mm"),
    ],
)
def test_odd_numbers_are_refused_in_one_sentence(halfwater: Command, line: str, said: str) -> None:
    """Neither the insides of the program nor an answer that cannot be."""
    code, out, err = halfwater(*line.split(), "--json")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err
