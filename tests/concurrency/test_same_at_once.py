"""The same thing asked twice at one instant, and a book that is busy."""

import json
from pathlib import Path

from tests.book.programs import ROOT, run, run_code
from tests.stores import Store


def test_what_is_asked_at_once_is_granted_once(store: Store) -> None:
    """One key one order, one contact one buyer, one hold, no more than the limit; nobody fails."""
    program = str(ROOT / "tests/concurrency/same_at_once.py")
    found = json.loads(run(store.home, program, **store.environment).stdout)
    told, orders = found["told"], found["orders"]
    assert [one for some in told.values() for one in some if one.startswith("failed")] == []
    assert len(set(told["same key"])) == 1
    assert told["same key"][0].isdigit()
    wishes = [one for one in told["one key, two wishes"] if one.isdigit()]
    refused = [one for one in told["one key, two wishes"] if not one.isdigit()]
    assert (len(set(wishes)), len(wishes), len(refused)) == (1, 4, 4)
    assert all("asked for something else" in one for one in refused)
    bought = [one for one in told["limit"] if one.isdigit()]
    assert len(set(bought)) == len(bought) == 3
    assert sum("at most 6 plants a buyer" in one for one in told["limit"]) == 5
    for question in ("crossed lines", "same new buyer"):
        assert len(set(told[question])) == len(told[question])
        assert all(one.isdigit() for one in told[question])
    assert len(found["contacts"]) == len(set(found["contacts"]))
    answers = {one for one in told["same hold"][:-1] if not one.startswith("refused")}
    assert answers <= {"1"}
    assert set(found["holds"]) <= {"let go"}
    assert len(found["holds"]) <= 1
    erased = told["erased while ordering"][1] == "None"
    assert found["fay"] == erased
    assert erased != told["erased while ordering"][0].isdigit()
    assert orders.get("fay", [0, 1, "for Fay"])[1:] == [1, "for Fay"]


BUSY = """
from halfwater import config; config.open_book()
import sqlite3
from django.conf import settings
from django.db import connection
from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook
from tests.book.shops import a_shop, place
shop = a_shop()
connection.close()
settings.DATABASES['default']['OPTIONS']['timeout'] = 0.2
connection.settings_dict['OPTIONS']['timeout'] = 0.2
other = sqlite3.connect(settings.DATABASES['default']['NAME'], isolation_level=None)
other.execute('BEGIN IMMEDIATE')
try:
    place(shop.line)
except RefusedByBook as refused:
    print(refused)
other.execute('ROLLBACK')
print(len(queries.orders()), place(shop.line).number)
"""


def test_whoever_waits_in_vain_is_told_so(file_home: Path) -> None:
    """A book that another program writes to all the while refuses with a sentence, and writes nothing."""
    said = run_code(file_home, BUSY).splitlines()
    assert said == [
        "The book is busy: others were writing to it all the while. Nothing of this was written; try again.",
        "0 1",
    ]
