"""Orders accepted under twenty writers at once, on SQLite and on PostgreSQL; a release of 2 000 pots read.

Claims: at most 5 times the time of the bare driver (sqlite3, psycopg) doing the same writes in the same
kind of transaction: key looked up, buyer found or made, line held, pot picked, order, order line and pot
written. Twenty processes each, every one warmed up by two orders; the two sides take turns, and the median
of the ratios counts. Both databases write through to the disk. And a release with 2 000 pots behind one
line is read within 60 ms in at most 6 queries.
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))
WRITERS, EACH, WARM, ROUNDS, PAGE_POTS = 20, 20, 2, 5, 2000
MOST_RATIO, MOST_MS, MOST_QUERIES, MOST_SHOWN_MS = 5.0, 60.0, 6, 100.0
NOW = datetime(2026, 11, 20, 20, 0, tzinfo=UTC)
Place = Callable[[str], None]
FREE = "line_id = {0} AND ended_at IS NULL AND order_line_id IS NULL AND hold_id IS NULL ORDER BY id LIMIT 1"
STATEMENTS = (
    "SELECT number FROM book_order WHERE key = {0}",
    "INSERT INTO book_buyer (name, contact, contact_mark, address, place) VALUES ('B', {0}, {0}, '', 'Here')"
    " ON CONFLICT (contact_mark) DO UPDATE SET name = EXCLUDED.name RETURNING id",
    "SELECT id, taxon_id, release_id FROM book_line WHERE id = {0} {lock}",
    f"SELECT id FROM book_offeredpot WHERE {FREE} {{lock}}",
    "INSERT INTO book_order (key, digest, buyer_id, release_id, state, channel, reference, placed_at,"
    " postage_minor, refund_minor, cancel_reason, note, place_notes, who)"
    " VALUES ({0}, {1}, {2}, {3}, 'placed', 'by hand', '', {4}, 0, 0, '', '', '[]', '') RETURNING number",
    "INSERT INTO book_orderline (order_id, line_id, taxon_id, grade, price_minor, plants, cancelled,"
    " wanted_at) VALUES ({0}, {1}, {2}, 'standard', 950, 1, 0, {3}) RETURNING id",
    "UPDATE book_offeredpot SET order_line_id = {0}, taken_at = {1} WHERE id = {2}",
)


def main() -> int:
    """Measure each database in a process of its own, and hold the claims against the figures."""
    if sys.argv[1:] == ["--measure"]:
        print(json.dumps(measured()))
        return 0
    from tests import postgres_server

    postgres_server.SETTINGS |= {"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}
    faults = 0
    with tempfile.TemporaryDirectory(prefix="halfwater-bench-") as home:
        run = Path(home)
        faults += report("SQLite", in_process(run / "sqlite"))
        if postgres_server.programs() is None:
            print("PostgreSQL is not on this machine: not measured")
        else:
            url = postgres_server.make_database("orders", run)
            faults += report("PostgreSQL", in_process(run / "beside-postgres", HALFWATER_DATABASE_URL=url))
    return min(faults, 1)


def in_process(home: Path, **address: str) -> dict[str, Any]:
    """What a process of its own measures on a book of its own."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("HALFWATER_")}
    told = subprocess.run(
        [sys.executable, __file__, "--measure"],
        env=kept | {"HALFWATER_HOME": str(home)} | address,
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    found: dict[str, Any] = json.loads(told.stdout.splitlines()[-1])
    return found


def report(name: str, told: dict[str, Any]) -> int:
    """Print the figures and give how many claims they do not bear out."""
    ratios = [ours / bare for ours, bare in zip(told["ours_s"], told["bare_s"], strict=True)]
    ratio, orders = statistics.median(ratios), WRITERS * EACH
    each = [statistics.median(told[side]) / orders * 1000 for side in ("ours_s", "bare_s")]
    print(
        f"{name}: an order {each[0]:.1f} ms among {WRITERS} writers, bare driver {each[1]:.1f} ms,"
        f" ratio {ratio:.1f} (at most {MOST_RATIO:g}; rounds {', '.join(f'{one:.1f}' for one in ratios)})"
    )
    print(
        f"{name}: a release of {PAGE_POTS} pots read in {told['page_ms']:.0f} ms (at most {MOST_MS:g}),"
        f" {told['page_queries']} queries (at most {MOST_QUERIES});"
        f" its page in {told['shown_ms']:.0f} ms (at most {MOST_SHOWN_MS:g})"
    )
    return (
        (told["shown_ms"] > MOST_SHOWN_MS)
        + (ratio > MOST_RATIO)
        + (told["page_ms"] > MOST_MS)
        + (told["page_queries"] > MOST_QUERIES)
    )


def measured() -> dict[str, Any]:
    """Both sides in turns on one line, then the release read."""
    from halfwater import config

    config.open_book()
    line, _ = a_line(max(WRITERS * (EACH + WARM) * 2 * ROUNDS, PAGE_POTS), "Crowded")
    quiet, quiet_release = a_line(PAGE_POTS, "Quiet")
    page_ms, page_queries = read_page(quiet, quiet_release)
    shown_ms = show_page(quiet_release)
    bare_s, ours_s = [], []
    for turn in range(ROUNDS):
        bare_s.append(crowd(lambda: bare(line), f"bare{turn}"))
        ours_s.append(crowd(lambda: ours(line), f"ours{turn}"))
    return {
        "bare_s": bare_s,
        "ours_s": ours_s,
        "page_ms": page_ms,
        "page_queries": page_queries,
        "shown_ms": shown_ms,
    }


def a_line(pots: int, name: str) -> tuple[int, int]:
    """An open line with so many pots behind it, and its release."""
    from halfwater.book import changes

    tank = changes.save_tank(
        who="", name=name, length_mm=900.0, width_mm=450.0, height_mm=400.0, clay_fill_frac=0.6,
        clay_porosity_frac=0.44, margin_mm=6.0, set_up_on=date(2026, 1, 1),
    )  # fmt: skip
    changes.set_spots(tank, [f"A{n}" for n in range(pots)])
    taxon = changes.save_taxon(who="", name=name)
    batch = changes.save_batch(who="", name=name, taxon=taxon, potted_on=date(2026, 5, 1))
    keys = many_pots(tank, batch, pots)
    release = changes.save_release(who="", name=name)
    line = changes.save_line(who="", release=release, taxon=taxon, grade="standard", price_minor=950)
    changes.offer_pots(line, keys, who="", now=NOW)
    changes.open_release(release, who="", now=NOW)
    return line, release


def many_pots(tank: int, batch: int, pots: int) -> list[int]:
    """Ready pots on the spots of a tank, put into the table in bulk."""
    from halfwater.book.models import Spot, StandingPot

    spots = Spot.objects.filter(tank=tank).order_by("place")
    rows = [
        StandingPot(batch_id=batch, number=number, spot=spot, state="ready", leaves=9)
        for number, spot in enumerate(spots, start=1)
    ]
    StandingPot.objects.bulk_create(rows, batch_size=400)
    return list(StandingPot.objects.filter(batch=batch).order_by("pk").values_list("pk", flat=True))


def show_page(release: int) -> float:
    """Milliseconds of the release's page, from the request to its last sign."""
    from django.test import Client

    client, took = Client(HTTP_HOST="localhost"), []
    for _ in range(7):
        start = time.perf_counter()
        answer = client.get(f"/sales/{release}/")
        took.append((time.perf_counter() - start) * 1000)
        assert answer.status_code == 200
    return statistics.median(took)


def read_page(line: int, release: int) -> tuple[float, int]:
    """Milliseconds and queries of what a release's page asks."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from halfwater.book import queries

    took = []
    for _ in range(7):
        start = time.perf_counter()
        queries.release(release, NOW)
        assert len(queries.line_pots(line, NOW)) == PAGE_POTS
        took.append((time.perf_counter() - start) * 1000)
    with CaptureQueriesContext(connection) as asked:
        queries.release(release, NOW)
        queries.line_pots(line, NOW)
    return statistics.median(took), len(asked)


def crowd(writer: Callable[[], Place], name: str) -> float:
    """Seconds from the common start until the last of twenty processes has placed its orders."""
    from django.db import connection

    connection.close()
    begin = time.monotonic() + 1.5
    children = []
    for number in range(WRITERS):
        child = os.fork()
        if not child:
            _one_writer(writer, f"{name}-{number}", begin)
        children.append(child)
    ends = [os.waitpid(child, 0)[1] for child in children]
    took = time.monotonic() - begin
    assert not any(ends), "a writer failed"
    return took


def _one_writer(writer: Callable[[], Place], name: str, begin: float) -> None:
    code = 1
    try:
        place = writer()
        for turn in range(WARM):
            place(f"{name}-warm{turn}")
        time.sleep(max(0.0, begin - time.monotonic()))
        for turn in range(EACH):
            place(f"{name}-{turn}")
        code = 0
    finally:
        os._exit(code)


def ours(line: int) -> Place:
    """Orders through the book."""
    from halfwater.book import changes
    from halfwater.plain.selling import NewBuyer, NewOrder, WantedLine

    def place(key: str) -> None:
        buyer = NewBuyer("B", f"{key}@example.org", place="Here")
        changes.place_order(NewOrder(key, buyer, (WantedLine(line, 1),)), who="", now=NOW)

    return place


def bare(line: int) -> Place:
    """The same writes by the driver alone."""
    from django.conf import settings

    named = settings.DATABASES["default"]
    if named["ENGINE"].endswith("sqlite3"):
        import sqlite3

        file = sqlite3.connect(named["NAME"], isolation_level=None, timeout=20)
        for pragma in named["OPTIONS"]["init_command"].split(";"):
            file.execute(pragma)
        return _bare(file, line, "?{}", "", "BEGIN IMMEDIATE", str(NOW))
    import psycopg

    server = psycopg.connect(os.environ["HALFWATER_DATABASE_URL"], autocommit=True)
    return _bare(server, line, "%(p{})s", "FOR NO KEY UPDATE", "BEGIN", NOW)


def _bare(driver: Any, line: int, mark: str, lock: str, begin: str, now: Any) -> Place:
    starts = 1 if mark == "?{}" else 0
    marks = [mark.format(place + starts) for place in range(5)]
    known, buyer, held, free, order, order_line, take = (one.format(*marks, lock=lock) for one in STATEMENTS)

    def ask(query: str, *values: Any) -> Any:
        given: Any = values if starts else {f"p{place}": value for place, value in enumerate(values)}
        return driver.execute(query, given)

    def place(key: str) -> None:
        driver.execute(begin)
        assert ask(known, key).fetchone() is None
        (who,) = ask(buyer, f"{key}@example.org").fetchone()
        key_of_line, taxon, release = ask(held, line).fetchone()
        (pot,) = ask(free, key_of_line).fetchone()
        (number,) = ask(order, key, "d" * 64, who, release, now).fetchone()
        (taken,) = ask(order_line, number, key_of_line, taxon, now).fetchone()
        ask(take, taken, now, pot)
        driver.execute("COMMIT")

    return place


if __name__ == "__main__":
    sys.exit(main())
