"""What stands against the book on this machine is told in one sentence, and --help makes no book."""

import json
import signal
import socket
import sqlite3
import subprocess
import urllib.request
from pathlib import Path

import pytest

from halfwater.cli.app import COMMANDS, run
from tests.book.programs import run as run_python
from tests.book.programs import start

_NEWER = ("book", "0999_newer", "2026-01-01")
MAIN = "import sys; from halfwater.cli.app import run; sys.exit(run(sys.argv[1:]))"


def _halfwater(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return run_python(home, "-c", MAIN, *words, check=False)


def _a_port() -> int:
    """A port that the machine has just given out, so that tests running side by side do not meet."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _sentence(done: subprocess.CompletedProcess[str]) -> str:
    """The one sentence of a refusal by the book."""
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.count("\n") == 1
    return done.stderr


def test_help_makes_no_book(tmp_path: Path) -> None:
    """Asking what a command takes leaves nothing on the disk, nor does a slip in its words."""
    home = tmp_path / "book"
    names = [name for name, (_, needs_book, _) in COMMANDS.items() if needs_book]
    code = (
        "import os, sys; from halfwater.cli.app import run\n"
        "for name in sys.argv[1:]:\n"
        "    for option in ('--help', '--no-such-option'):\n"
        "        code = run([name, option])\n"
        "        print(code, os.path.exists(os.environ['HALFWATER_HOME']), file=sys.stderr)"
    )
    done = run_python(home, "-c", code, *names)
    said = [line for line in done.stderr.splitlines() if line.endswith(("True", "False"))]
    assert said == ["0 False", "2 False"] * len(names)


def test_a_damaged_book_is_told(tmp_path: Path) -> None:
    """A file that is no book, and one cut short, are left as they are."""
    file = tmp_path / "book.sqlite3"
    file.write_bytes(b"no book" * 1000)
    assert "is damaged" in _sentence(_halfwater(tmp_path, "tonight", "--json"))
    assert file.read_bytes() == b"no book" * 1000


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file in the place of the folder."""
    (tmp_path / "file").write_text("")
    assert "cannot be made" in _sentence(_halfwater(tmp_path / "file" / "book", "tonight"))


def test_a_book_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    """A folder in the place of the book's file."""
    (tmp_path / "book.sqlite3").mkdir()
    assert "cannot be opened" in _sentence(_halfwater(tmp_path, "note", "note", "-", "hello"))


def test_a_book_of_a_newer_version_is_told(file_home: Path) -> None:
    """A book with tables this version does not know stays shut."""
    assert _halfwater(file_home, "entries").returncode == 0
    book = sqlite3.connect(file_home / "book.sqlite3")
    with book:
        book.execute("INSERT INTO django_migrations(app, name, applied) VALUES (?, ?, ?)", _NEWER)
    book.close()
    assert "newer halfwater" in _sentence(_halfwater(file_home, "entries", "--json"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this machine has no disk that is always full")
def test_a_full_disk_is_told(tmp_path: Path) -> None:
    """An answer that cannot be written ends in a sentence, not in the insides of the program."""
    code = f"sys_out = open('/dev/full', 'w'); import sys; sys.stdout = sys_out; {MAIN}"
    done = run_python(tmp_path, "-c", code, "pots", "36 x 18 in", "2 in", "--json", check=False)
    assert done.returncode == 1
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr


def test_bytes_that_are_no_text_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """What no text has is refused before it reaches the book."""
    assert run(["pots", "\udcff", "2 in"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)


def test_a_long_or_broken_word_is_told_in_short(capsys: pytest.CaptureFixture[str]) -> None:
    """A refusal stays one sentence on one line, whatever was typed."""
    assert run(["pots", "x\n" * 5000, "2 in"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert len(err) < 300


@pytest.mark.django_db
@pytest.mark.parametrize(
    "line", ["note note - --txet hello", "pots 900x450 50 --jsn", "mix Night --volum 1L", "light --watt 60"]
)
def test_a_misspelt_option_is_refused(capsys: pytest.CaptureFixture[str], line: str) -> None:
    """It does not become part of what is noted or asked."""
    assert run(line.split()) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "--" in err


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        (("serve", "--json"), {"address", "is_beyond"}),
        (("demo", "--json"), {"folder", "loaded", "round", "address"}),
    ],
)
def test_what_serves_tells_programs_one_object(
    file_home: Path, words: tuple[str, ...], keys: set[str]
) -> None:
    """The pages answer where the object says, until Ctrl-C, and nothing else is printed."""
    served = start(file_home, "-c", MAIN, *words, "--port", str(_a_port()))
    told, ends = "", 0
    assert served.stdout is not None
    while not ends:
        told += (line := served.stdout.readline())
        ends = line == "}\n"
    found = json.loads(told)
    assert set(found) == keys
    with urllib.request.urlopen(found["address"], timeout=20) as page:
        assert page.status == 200
    served.send_signal(signal.SIGINT)
    rest, errors = served.communicate(timeout=20)
    assert (rest, errors) == ("", "")


@pytest.mark.parametrize("name", ["serve", "demo"])
def test_a_port_that_cannot_be_is_refused(tmp_path: Path, name: str) -> None:
    """Before any book is made."""
    done = _halfwater(tmp_path / "book", name, "--port", "99999")
    assert (done.returncode, done.stdout) == (2, "")
    assert "from 1 to 65535" in done.stderr


def test_an_import_that_is_stopped_leaves_nothing(tmp_path: Path, file_home: Path) -> None:
    """Ctrl-C while the rows are written: told in a word, and the book is as it was."""
    tanks, entries = tmp_path / "tanks.csv", tmp_path / "entries.csv"
    tanks.write_text("name,length,width,height\nNorth,900,450,450\n")
    entries.write_text("at,tank,kind,value\n2026-10-01,North,skip,\n2026-10-02,North,skip,\n")
    stop = f"from halfwater.book.changes import entries as e; e._insert = _stopped; {MAIN}"
    code = f"from halfwater import config; config.boot()\ndef _stopped(*_): raise KeyboardInterrupt\n{stop}"
    done = run_python(file_home, "-c", code, "import", str(tanks), str(entries), check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Stopped.\n")
    assert "no tank" in _sentence(_halfwater(file_home, "tonight"))
