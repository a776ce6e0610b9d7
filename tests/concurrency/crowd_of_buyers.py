"""A program: a crowd of buyers at one line at once, some killed in the middle of it.

Run on a book of its own: `python crowd_of_buyers.py SEED WRITERS ATTEMPTS PLANTS`. Every writer is a
process. Before it asks for anything it writes down what it asks, and after each answer what it was
told; so that of those who were killed it is known what they were told last, and what they may have got.
Prints as JSON what each was told and what the book holds afterwards.
"""

import json
import os
import random
import signal
import sys
import time
import traceback
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from halfwater import config

config.open_book()

from django.db import connection  # noqa: E402

from halfwater.book import changes, queries  # noqa: E402
from halfwater.errors import HalfwaterError  # noqa: E402
from halfwater.plain.selling import NewBuyer, NewHold, NewOrder, WantedLine  # noqa: E402

NOW = datetime(2026, 11, 20, 20, 0, tzinfo=UTC)
LIMIT = 7
KILLED_OF_TEN = 3


def _a_line(plants: int) -> tuple[int, tuple[int, ...]]:
    tank = changes.save_tank(
        who="", name="North", length_mm=900.0, width_mm=450.0, height_mm=400.0, clay_fill_frac=0.6,
        clay_porosity_frac=0.44, margin_mm=6.0, set_up_on=date(2026, 1, 1),
    )  # fmt: skip
    changes.set_spots(tank, [f"A{n}" for n in range(plants)])
    taxon = changes.save_taxon(who="", name="Moss fern")
    batch = changes.save_batch(who="", name="MF", taxon=taxon, potted_on=date(2026, 5, 1))
    pots = changes.place_pots(tank, plants, batch, "ready", 9, who="")
    release = changes.save_release(who="", name="November")
    line = changes.save_line(
        who="", release=release, taxon=taxon, grade="standard", price_minor=950, limit_per_buyer=LIMIT
    )
    changes.offer_pots(line, pots, who="", now=NOW)
    changes.open_release(release, who="", now=NOW)
    return line, pots


class _Writer:
    """One buyer's program: asks, and writes down what it was told."""

    def __init__(self, number: int, seed: int, line: int, pots: tuple[int, ...], told: Path) -> None:
        self.chance = random.Random(f"{seed} {number}")
        self.number, self.line, self.pots = number, line, pots
        self.file = os.open(told / f"{number}.jsonl", os.O_CREAT | os.O_APPEND | os.O_WRONLY)
        self.mine: list[int] = []

    def say(self, **what: Any) -> None:
        os.write(self.file, json.dumps(what).encode() + b"\n")

    def ask(self, step: int) -> None:
        deed = self.chance.choices(("order", "hold", "cancel", "send", "lose"), (80, 6, 6, 5, 3))[0]
        key = f"{self.number}-{step}"
        self.say(asked=deed, key=key)
        try:
            answer = getattr(self, f"_{deed}")(key, NOW + timedelta(seconds=step))
            self.say(told=deed, key=key, answer=answer)
        except HalfwaterError as refused:
            self.say(told="refused", key=key, answer=str(refused))

    def _order(self, key: str, now: datetime) -> dict[str, Any]:
        plants = self.chance.choice((1, 1, 1, 2, 3))
        buyer = NewBuyer("B", f"b{self.chance.randrange(40)}@example.org")
        new = NewOrder(key, buyer, (WantedLine(self.line, plants),), channel="shop")
        placed = changes.place_order(new, who=key, now=now)
        if self.chance.random() < 0.2:  # the answer was lost on its way: asked again
            again = changes.place_order(new, who=key, now=now + timedelta(seconds=1))
            self.say(told="again", key=key, answer={"number": again.number})
        self.mine.append(placed.number)
        return {"number": placed.number, "plants": plants}

    def _hold(self, key: str, now: datetime) -> dict[str, Any]:
        uuid = f"{self.number:08x}-0000-4000-8000-{abs(hash(key)) % 16**12:012x}"
        changes.place_hold(NewHold(uuid, self.line, 1, now + timedelta(seconds=8)), who=key, now=now)
        if self.chance.random() < 0.5:
            new = NewOrder(key, NewBuyer("B", f"h{key}@example.org"), holds=(uuid,))
            return {"number": changes.place_order(new, who=key, now=now).number, "plants": 1}
        return {}

    def _cancel(self, key: str, now: datetime) -> dict[str, Any]:
        if not self.mine:
            return {}
        number = self.mine.pop(self.chance.randrange(len(self.mine)))
        self.say(asked="cancelling", number=number)
        changes.cancel_order(number, who=key, now=now)
        return {"cancelled": number}

    def _send(self, key: str, now: datetime) -> dict[str, Any]:
        if not self.mine:
            return {}
        number = self.mine.pop(self.chance.randrange(len(self.mine)))
        changes.mark_sent(number, who=key, now=now)
        return {"sent": number}

    def _lose(self, key: str, now: datetime) -> dict[str, Any]:
        changes.lose_pot(self.chance.choice(self.pots), "rot", who=key, at=now, now=now)
        return {}


def _run(writer: _Writer, attempts: int, begin: float) -> None:
    time.sleep(max(0.0, begin - time.monotonic()))
    for step in range(attempts):
        writer.ask(step)
    writer.say(told="end")


def _fork(number: int, seed: int, attempts: int, begin: float, at: tuple[Any, ...]) -> int:
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        _run(_Writer(number, seed, *at), attempts, begin)
        code = 0
    except BaseException:
        (at[2] / f"{number}.failed").write_text(traceback.format_exc())
    finally:
        os._exit(code)


def _crowd(seed: int, writers: int, attempts: int, at: tuple[Any, ...]) -> int:
    """Let them all go at once, kill some at moments of chance, and give how many were killed."""
    chance = random.Random(seed)
    begin = time.monotonic() + 0.3
    children = [_fork(number, seed, attempts, begin, at) for number in range(writers)]
    doomed = chance.sample(children, writers * KILLED_OF_TEN // 10)
    time.sleep(max(0.0, begin - time.monotonic()))
    killed = 0
    for child in doomed:
        time.sleep(chance.random() * 0.1)
        if os.waitpid(child, os.WNOHANG) == (0, 0):
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            killed += 1
    for child in set(children) - set(doomed):
        os.waitpid(child, 0)
    return killed


def main(seed: int, writers: int, attempts: int, plants: int) -> None:
    """Set the book up, let the crowd in, and print what came of it."""
    line, pots = _a_line(plants)
    told = Path(os.environ["HALFWATER_HOME"]) / "told"
    told.mkdir()
    connection.close()
    began = time.monotonic()
    killed = _crowd(seed, writers, attempts, (line, pots, told))
    took_s = time.monotonic() - began
    outcome = {
        "killed": killed,
        "took_s": took_s,
        "limit": LIMIT,
        "told": [[json.loads(row) for row in file.read_text().splitlines()] for file in told.glob("*.jsonl")],
        "failed": [file.read_text() for file in told.glob("*.failed")],
        "orders": [asdict(one) for one in queries.orders()],
        "holds": [asdict(one) for one in queries.holds()],
        "line": asdict(queries.releases(NOW + timedelta(days=1))[0].lines[0]),
        "pots": [asdict(one) for one in queries.standing_pots(gone=True)],
    }
    sys.stdout.write(json.dumps(outcome, default=str))


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:5]))
