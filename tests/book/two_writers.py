"""A program for test_race: several writers at once on one book, run in a process of its own.

Prints as JSON what each writer was told and what the book holds afterwards.
"""

import json
import sys
import threading
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

from halfwater import config

config.open_book()

from django.db import connection  # noqa: E402

from halfwater.book import changes, queries  # noqa: E402
from halfwater.errors import HalfwaterError  # noqa: E402
from halfwater.plain.entry import NewEntry  # noqa: E402

NOW = datetime(2026, 11, 20, 20, 0, tzinfo=UTC)
WRITERS, ROUNDS = 4, 15


def _write(writer: int, tank: int, same_id: bool, start: threading.Barrier, told: list[object]) -> None:
    start.wait()
    try:
        for step in range(ROUNDS):
            maker = UUID(int=0) if same_id else UUID(int=writer)
            at = NOW - timedelta(minutes=step)
            new = NewEntry(uuid5(maker, str(step)), "spray", at, tank, 0.15, word="night")
            told.append([writer, len(changes.note_entries([new], f"writer {writer}", NOW).new)])
            changes.save_tank(tank, who=f"writer {writer}", margin_mm=float(writer * 100 + step))
    except HalfwaterError as error:
        told.append([writer, repr(error)])
    finally:
        connection.close()


def main(same_id: bool) -> None:
    """Let the writers go at once and print what came of it."""
    tank = changes.save_tank(
        who="", name="North", length_mm=900.0, width_mm=450.0, height_mm=400.0, clay_fill_frac=0.6,
        clay_porosity_frac=0.44, margin_mm=6.0, set_up_on=date(2026, 1, 1),
    )  # fmt: skip
    start, told = threading.Barrier(WRITERS), []
    threads = [
        threading.Thread(target=_write, args=(writer, tank, same_id, start, told))
        for writer in range(1, WRITERS + 1)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = [asdict(fact) for fact in queries.entries()]
    past = len(queries.history("tank", tank, limit=1000))
    sys.stdout.write(json.dumps({"told": told, "entries": len(found), "past": past}))


main(same_id=sys.argv[1] == "same")
