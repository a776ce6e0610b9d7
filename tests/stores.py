"""Books for programs that run in processes of their own: in a file, and in PostgreSQL.

`store` gives a test both, one after the other. Each is a fresh copy of a book that was opened once in
this run, so its tables are those of this version and only the shipped taxa are in it.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest

from tests import postgres_server
from tests.book.programs import run_code

OPEN = "from halfwater import config; config.open_book()"


@dataclass(frozen=True, slots=True)
class Store:
    """A book that programs may open: where it is, and a look into it that does not go through the house."""

    kind: str  # sqlite or postgres
    home: Path
    url: str = ""

    @property
    def environment(self) -> dict[str, str]:
        """What tells a program that this is its book."""
        named = {"HALFWATER_DATABASE_URL": self.url} if self.url else {}
        return {"HALFWATER_HOME": str(self.home)} | named

    def rows(self, query: str) -> list[tuple[object, ...]]:
        """What the database answers to a query without arguments."""
        if self.url:
            with psycopg.connect(self.url) as book:
                return book.execute(query.encode()).fetchall()
        with closing(sqlite3.connect(self.home / "book.sqlite3")) as book:
            return book.execute(query).fetchall()


def run_folder() -> Path:
    """The folder that all workers of this run share."""
    return Path(os.environ["HALFWATER_TEST_RUN"])


@pytest.fixture
def postgres_url(tmp_path: Path) -> Iterator[str]:
    """The address of a book of the test's own in PostgreSQL."""
    run = run_folder()
    with postgres_server.alone(run, "pattern") as said:
        if not said.exists():
            url = postgres_server.make_database("pattern", run)
            run_code(tmp_path / "pattern", OPEN, HALFWATER_DATABASE_URL=url)
            said.touch()
    name = f"book_{os.getpid()}"
    postgres_server.drop_database(name, run)
    yield postgres_server.make_database(name, run, template="pattern")
    postgres_server.drop_database(name, run)


@pytest.fixture
def file_home(tmp_path: Path) -> Path:
    """A folder with a book of the test's own in a file."""
    pattern = run_folder() / "pattern-home"
    with postgres_server.alone(run_folder(), "pattern-file") as said:
        if not said.exists():
            run_code(pattern, OPEN)
            said.touch()
    home = tmp_path / "book"
    home.mkdir(mode=0o700)
    shutil.copy(pattern / "book.sqlite3", home)
    return home


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Store:
    """A book of the test's own, in a file and then in PostgreSQL."""
    if request.param == "sqlite":
        return Store("sqlite", request.getfixturevalue("file_home"))
    return Store("postgres", tmp_path / "book", request.getfixturevalue("postgres_url"))
