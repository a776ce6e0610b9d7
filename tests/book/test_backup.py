"""A backup is taken before the tables change, and a book is opened by no older program."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.book.programs import run, run_code

OPEN = "from halfwater import config; config.open_book(); "


def test_a_new_book_opens_without_a_backup_and_with_its_taxa(tmp_path: Path) -> None:
    """There is nothing to back up yet; the shipped taxa are there."""
    code = OPEN + "from halfwater.book import queries; print(len(queries.taxa()))"
    assert run_code(tmp_path, code) == "9"
    assert not (tmp_path / "backups").exists()
    run_code(tmp_path, OPEN)
    assert not (tmp_path / "backups").exists()


def test_the_book_is_copied_whole_before_its_tables_change(file_home: Path) -> None:
    """A book one step behind is brought up to date, and what it was before stands in the backup."""
    back = (
        "from halfwater import config; config.boot()\n"
        "from django.core.management import call_command\n"
        "call_command('migrate', 'sessions', 'zero', verbosity=0)\n"
        "from halfwater.book import changes; changes.save_nursery(who='t', name='Fen')"
    )
    run_code(file_home, back)
    code = OPEN + "from halfwater.book import queries; print(queries.nursery().name)"
    assert run_code(file_home, code) == "Fen"
    (backup,) = (file_home / "backups").iterdir()
    assert backup.stat().st_mode & 0o077 == 0
    with closing(sqlite3.connect(backup)) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert copy.execute("SELECT name FROM book_nursery").fetchone() == ("Fen",)
        assert not copy.execute("SELECT 1 FROM sqlite_master WHERE name = 'django_session'").fetchone()
    with closing(sqlite3.connect(file_home / "book.sqlite3")) as book:
        assert book.execute("SELECT 1 FROM sqlite_master WHERE name = 'django_session'").fetchone()


def test_a_book_of_a_newer_program_is_left_alone(file_home: Path) -> None:
    """A table step that this program does not know is refused in one sentence."""
    with closing(sqlite3.connect(file_home / "book.sqlite3")) as book, book:
        book.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('book', '9999_later', '2030-01-01')"
        )
    refused = run(file_home, "-c", OPEN, check=False)
    assert refused.returncode == 1
    assert "newer halfwater" in refused.stderr


def test_an_entry_in_the_midst_of_writing_is_not_in_a_backup(file_home: Path) -> None:
    """A backup taken while another writer is half-way holds the book as it was before."""
    code = OPEN + (
        "from halfwater.book import changes, backup; from django.conf import settings; import sqlite3\n"
        "changes.save_nursery(who='t', name='Before')\n"
        "other = sqlite3.connect(settings.DATABASES['default']['NAME'], isolation_level=None)\n"
        "other.execute('BEGIN IMMEDIATE'); other.execute(\"UPDATE book_nursery SET name='During'\")\n"
        "file = backup.take_backup()\n"
        "other.execute('COMMIT')\n"
        "print(sqlite3.connect(file).execute('SELECT name FROM book_nursery').fetchone()[0])"
    )
    assert run_code(file_home, code) == "Before"


@pytest.mark.parametrize("app", ["book"])
def test_the_migrations_make_the_models(tmp_path: Path, app: str) -> None:
    """Nothing in the models is missing from the migrations."""
    run(
        tmp_path,
        "-m",
        "django",
        "makemigrations",
        app,
        "--check",
        DJANGO_SETTINGS_MODULE="halfwater.config.settings",
    )
