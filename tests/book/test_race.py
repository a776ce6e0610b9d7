"""Several writers at once on a book in a file."""

import json
from pathlib import Path

import pytest

from tests.book.programs import ROOT, run

WRITERS, ROUNDS = 4, 15


@pytest.mark.parametrize("ids", ["same", "own"])
def test_what_several_writers_send_at_once_is_kept_once(file_home: Path, ids: str) -> None:
    """Fifteen sprays sent by four writers together, under one id each or under four, are fifteen sprays.

    No writer is turned away, exactly one is told that its entry is new, and
    every change of the tank stands in its past.
    """
    said = json.loads(run(file_home, str(ROOT / "tests/book/two_writers.py"), ids).stdout)
    assert all(isinstance(new, int) for _, new in said["told"]), said["told"]
    assert len(said["told"]) == WRITERS * ROUNDS
    assert sum(new for _, new in said["told"]) == ROUNDS
    assert said["entries"] == ROUNDS
    assert said["past"] == 1 + WRITERS * ROUNDS
