"""The crowd tool itself: all writers run, killed ones are known, and what was acknowledged is in the book."""

from pathlib import Path

from tests.book.programs import run_code
from tests.concurrency.crowd import crowd
from tests.stores import Store

TANK = (
    "from halfwater import config; config.boot()\n"
    "from datetime import date\n"
    "from halfwater.book import changes\n"
    "print(changes.save_tank(who='', name='North', length_mm=900.0, width_mm=450.0, height_mm=400.0,"
    " clay_fill_frac=0.6, clay_porosity_frac=0.44, margin_mm=6.0, set_up_on=date(2026, 1, 1)))"
)


def test_what_was_acknowledged_is_kept_though_writers_are_killed(store: Store, tmp_path: Path) -> None:
    """Two processes of four are killed at work: nothing acknowledged is missing, nothing unasked is there."""
    tank = int(run_code(store.home, TANK, **store.environment))
    told = crowd(
        "tests.concurrency.sprays:note",
        store.environment,
        tmp_path,
        arguments={"tank": tank, "rounds": 40},
        threads=3,
        kill=2,
        within_s=0.2,
        seed=5,
    )
    kept = {str(uuid).replace("-", "") for (uuid,) in store.rows("SELECT uuid FROM book_entry")}
    assert told.failed == ()
    assert told.killed == 2
    assert sum(one.ended for one in told.told) == 6
    assert {len(one.acknowledged) for one in told.told if one.ended} == {40}
    assert set(told.acknowledged) <= kept <= set(told.asked)
    assert len(told.acknowledged) == len(set(told.acknowledged)) < 12 * 40


def test_a_writer_that_stumbles_is_told(file_home: Path, tmp_path: Path) -> None:
    """What went wrong in one thread is told with its words; the others end well."""
    environment = {"HALFWATER_HOME": str(file_home)}
    told = crowd("tests.concurrency.sprays:stumble", environment, tmp_path, processes=1, threads=3)
    assert told.failed == ("LookupError('over a stone')",)
    assert told.acknowledged == ("0", "2")
    assert [one.ended for one in told.told] == [True, False, True]
