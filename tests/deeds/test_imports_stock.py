"""An existing collection, its lineage and its prices, brought in by files."""

from datetime import date
from pathlib import Path

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable
from halfwater.plain.growing import ForecastFact
from halfwater.plain.stock import ParentFact, PriceFact
from tests.deeds.table_files import NOW, TANKS, WHO, bring_in, scratch, text_file, the_whole_book

pytestmark = pytest.mark.django_db
HEADER = "batch,number,taxon,potted_on,tank,spot,state,leaves,counted_on,piece,section,lineage"
ROWS = (
    "May,1,Moss fern,2026-05-01,North,A1,kept,9,2026-11-01,,,",
    "May,2,Moss fern,2026-05-01,,,sold,7,2026-09-01,,,",
    "June,,Moss fern,2026-06-10,North,A2,growing,5,2026-11-01,tip,30 mm,May #1",
    "June,2,Moss fern,2026-06-20,North,,,4,2026-11-01,middle,1.2 in,May",
)


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A folder in which a tank and a taxon stand in the book already."""
    bring_in(text_file(tmp_path, "tanks.csv", TANKS, "North,36 in,18 in,18 in,2 in,119,62 %"))
    changes.save_taxon(who=WHO, name="Moss fern")
    return tmp_path


def _standing(folder: Path, *rows: str, header: str = HEADER) -> Path:
    return text_file(folder, "standing.csv", header, *rows)


def test_a_collection_brings_batches_pots_and_lineage(files: Path) -> None:
    """One file is enough; brought in twice it changes nothing."""
    for _ in range(2):
        bring_in(_standing(files, *ROWS))
        assert {batch.name: batch.potted_on for batch in queries.batches()} == {
            "June": date(2026, 6, 10), "May": date(2026, 5, 1),
        }  # fmt: skip
        pots = queries.standing_pots(gone=True)
        assert [(pot.name, pot.spot, pot.state, pot.leaves, pot.potted_on.day) for pot in pots] == [
            ("May 1", "A1", "kept", 9, 1), ("June 1", "A2", "growing", 5, 10),
            ("June 2", "A3", "growing", 4, 20), ("May 2", "", "sold", 7, 1),
        ]  # fmt: skip
        assert (pots[2].piece, pots[2].section_mm) == ("middle", pytest.approx(30.48))
        may = next(batch.key for batch in queries.batches() if batch.name == "May")
        june = next(batch for batch in queries.batches() if batch.name == "June")
        assert june.parents == (ParentFact(may, "May"), ParentFact(may, "May", pots[0].key, 1))
    assert len(queries.history("standing pot")) == 4


@pytest.mark.parametrize(
    ("rows", "named"),
    [
        (
            [ROWS[0], ROWS[0].replace("A1", "B1")],
            "row 3, column number: “1” cannot be used, pot May 1 stands in row 2",
        ),
        (
            [ROWS[0], ROWS[2].replace("A2", "a1")],
            "row 3, column spot: “a1” cannot be used, row 2 has a pot on this",
        ),
        ([ROWS[0].replace("A1", "Z99")], "row 2, column spot: “Z99” cannot be used, a spot from A1"),
        ([ROWS[0].replace("2026-11-01", "2026-04-01")], "row 2: Pot May 1 was potted on 2026-05-01"),
        (
            [ROWS[0].replace("2026-11-01", "2027-04-01")],
            "column counted_on: “2027-04-01” cannot be used, a day up to",
        ),
        ([ROWS[0].replace("2026-05-01", "")], "row 2, column potted_on: a cell is needed"),
        ([ROWS[0].replace("Moss fern", "")], "row 2, column taxon: a cell is needed"),
        ([ROWS[0].replace("Moss fern", "Ghost")], "column taxon: “Ghost”"),
        (
            [ROWS[0].replace("North,A1", ",")],
            "column tank: a tank and spot, for a pot that is kept stands on one",
        ),
        ([ROWS[0] + "June"], "column lineage: “June” cannot be used, one of May"),
        (
            [ROWS[0], ROWS[2].replace("May #1", "May #9")],
            "“May #9” cannot be used, the number of a pot of batch May",
        ),
        ([ROWS[0] + "May"], "May cannot be among its own forebears"),
        ([ROWS[0] + "July", ROWS[2].replace("June", "July")], "its parent July later, on 2026-06-10"),
        (
            [ROWS[0].replace("May,1", "May,").replace("A1", "")],
            "row 2, column number: a number in its batch, or a spot",
        ),
        ([ROWS[0].replace("May,1", ",1")], "row 2, column batch: a cell is needed"),
        ([ROWS[0].replace("kept,9", "kept,nine")], "column leaves: “nine”"),
    ],
)
def test_odd_life_is_refused_with_its_row_and_nothing_is_written(
    files: Path, rows: list[str], named: str
) -> None:
    """Each refusal says where it stands and why."""
    with pytest.raises(RefusedTable) as refused:
        bring_in(_standing(files, *rows))
    assert named in str(refused.value.sentence)
    assert queries.batches() == ()
    assert queries.standing_pots(gone=True) == ()


def test_more_pots_than_spots_are_refused_with_how_many_fit(tmp_path: Path) -> None:
    """The rows that find no spot are named."""
    bring_in(text_file(tmp_path, "tanks.csv", TANKS, "Small,12 cm,6 cm,18 in,5 cm,2,62 %"))
    changes.save_taxon(who=WHO, name="Moss fern")
    rows = [f"May,{n},Moss fern,2026-05-01,Small,,growing,3,,,," for n in (1, 2, 3)]
    with pytest.raises(RefusedTable, match=r"standing\.csv row 4: this pot finds no spot: Small has 2 spots"):
        bring_in(_standing(tmp_path, *rows))
    rows.append(rows[-1].replace("May,3", "May,4"))
    with pytest.raises(RefusedTable, match="row 4: 2 pots from here on find no spot: Small has 2") as refused:
        bring_in(_standing(tmp_path, *rows))
    assert len(refused.value.cells) == 1
    assert queries.standing_pots() == ()


def test_one_slip_is_named_once_and_not_what_follows_from_it(files: Path) -> None:
    """A batch of an unknown taxon is one refusal, whatever its pots, children and entries say."""
    rows = [row.replace("Moss fern", "Ghost") for row in ROWS[:2]] + list(ROWS[2:])
    entries = text_file(files, "entries.csv", "at,kind,value,batch,number", "2026-11-10,leaves,10,May,1")
    with pytest.raises(RefusedTable) as refused:
        bring_in(_standing(files, *rows), entries)
    assert [(cell.row, cell.column, cell.value) for cell in refused.value.cells] == [(2, "taxon", "Ghost")]
    assert "a new one comes in by taxa.csv" in refused.value.cells[0].accepted
    assert queries.batches() == ()


def test_a_parent_that_was_gone_by_then_is_refused_with_the_day(files: Path) -> None:
    """One that was alive at the potting is taken."""
    header = HEADER + ",left_on"
    mother = "May,2,Moss fern,2026-05-01,,,sold,7,,,,,{}"
    child = "June,1,Moss fern,2026-06-10,North,A2,growing,5,,,,May #2,"
    with pytest.raises(RefusedTable, match="May 2 was sold before that, on 2026-06-09"):
        bring_in(_standing(files, mother.format("2026-06-09"), child, header=header))
    bring_in(_standing(files, mother.format("2026-06-11"), child, header=header))
    assert len(queries.lineage()) == 1


def test_entries_tell_their_pot_by_number_or_spot(files: Path) -> None:
    """Counts after the file change the pot, those of an unknown pot or an empty spot are named."""
    bring_in(_standing(files, *ROWS))
    header = "at,tank,kind,value,batch,number,spot,word"
    bring_in(
        text_file(
            files, "entries.csv", header,
            "2026-11-10,,leaves,10,May,1,,",
            "2026-11-10,,leaves,6,June,2,,",
            "2026-11-10,,leaves,6,June,1,,",
            "2026-11-12,North,rhizome,55 mm,,,A1,",
            "2026-11-13,North,cut,3,,,A1,disinfected",
            "2026-11-14,North,state,,June,2,,ready",
            "2026-11-15,North,move,,June,2,C3,",
            "2026-11-16,North,loss,1,,,A2,rot",
        )
    )  # fmt: skip
    pots = {pot.name: pot for pot in queries.standing_pots(gone=True)}
    assert (pots["May 1"].leaves, pots["May 1"].rhizome_mm) == (10, 55.0)
    assert (pots["June 2"].leaves, pots["June 2"].state, pots["June 2"].spot) == (6, "ready", "C3")
    assert (pots["June 1"].state, pots["June 1"].cause) == ("lost", "rot")
    for row, named in (
        ("2026-11-17,,leaves,10,May,7,,", "row 2, column number"),
        ("2026-11-17,,leaves,10,,7,,", "row 2, column batch"),
        ("2026-11-17,North,leaves,10,,,A2,", "row 2: No pot stood on spot A2 of North on 2026-11-17"),
        ("2026-04-17,,leaves,3,May,1,,", "row 2: Pot May 1 was potted on 2026-05-01"),
    ):
        with pytest.raises(RefusedTable) as refused:
            bring_in(text_file(files, "entries.csv", header, row))
        assert named in refused.value.sentence


def test_prices_and_habit_are_read_in_the_nurserys_money(files: Path) -> None:
    """Two places for most currencies, none for a few; another currency is refused."""
    bring_in(
        text_file(
            files, "prices.csv", "taxon,grade,price,most_per_release",
            "moss fern,small,7.5,40", "Moss fern,large,18 EUR,",
        ),
        text_file(files, "habit.csv", "minutes_a_week,release_every_weeks,hour", "90,6,25"),
    )  # fmt: skip
    taxon = next(one.key for one in queries.taxa() if one.name == "Moss fern")
    assert queries.prices() == (PriceFact(taxon, "small", 750, 40), PriceFact(taxon, "large", 1800))
    habit = queries.cutting_habit()
    assert (habit.minutes_a_week, habit.release_every_weeks, habit.hour_minor) == (90.0, 6, 2500)
    for cell in ("7 USD", "7.555", "-7", "much"):
        with pytest.raises(RefusedTable, match="column price"):
            bring_in(text_file(files, "prices.csv", "taxon,grade,price", f"Moss fern,small,{cell}"))


def _a_lived_in_stock(folder: Path) -> None:
    bring_in(
        text_file(
            folder,
            "tanks.csv",
            TANKS,
            "North,36 in,18 in,18 in,2 in,119,62 %",
            "South,36 in,18 in,18 in,2 in,9,62 %",
        )
    )
    changes.save_taxon(who=WHO, name="Moss fern")
    bring_in(_standing(folder, *ROWS))
    pots = {pot.name: pot.key for pot in queries.standing_pots(gone=True)}
    south = queries.tank_named("South").key
    changes.count_pot(pots["May 1"], 11, who=WHO, now=NOW)
    changes.move_pot(pots["June 2"], south, "A2", who=WHO, now=NOW)
    changes.measure_rhizome(pots["May 1"], 61.5, who=WHO, now=NOW)
    changes.cut_pot(pots["May 1"], 3, "disinfected", who=WHO, now=NOW, text="cut for July")
    changes.lose_pot(pots["June 1"], "melt", who=WHO, now=NOW)
    changes.void_entry(changes.set_state(pots["May 1"], "sold", who=WHO, now=NOW), "slip", WHO, NOW)
    changes.set_grade(pots["June 2"], "large", who=WHO)
    taxon = next(one.key for one in queries.taxa() if one.name == "Moss fern")
    changes.save_price(taxon, "small", 755, 40, who=WHO)
    changes.save_cutting_habit(
        who=WHO, minutes_a_week=90.5, next_release_on=date(2026, 12, 5), hour_minor=2500
    )
    odd = changes.save_batch(who=WHO, name='Odd; "name" #3', taxon=taxon, potted_on=date(2026, 7, 1))
    child = changes.save_batch(who=WHO, name="Child", taxon=taxon, potted_on=date(2026, 8, 1))
    changes.save_lineage(child, [(odd, None)], who=WHO)
    shown = ForecastFact(0, date(2026, 11, 1), "leaves", "May 1", date(2026, 12, 1), 3.0, 5.5, 8.0, None)
    changes.keep_forecasts([shown])
    about = {"taxon": taxon, "pot": pots["May 1"], "grade": "small", "quantiles": (3.0, 5.5, 8.0)}
    changes.keep_forecasts(
        [ForecastFact(0, date(2026, 11, 2), "ready date", "May 1", None, 1, 2, 3, 2.0, **about)]
    )  # type: ignore[arg-type]


def test_a_lived_in_stock_comes_back_from_its_export(tmp_path: Path) -> None:
    """Pots, stays, counts, lineage, prices, habit, forecasts and entries come back in an empty book."""
    with scratch():
        _a_lived_in_stock(tmp_path)
        before = the_whole_book()
        files = export_files(tmp_path / "out")
    assert queries.tanks(in_use=None) == ()
    for _ in range(2):
        bring_in(*files)
        assert the_whole_book() == before
    loss = queries.entries(kinds=["loss"])[0]
    changes.void_entry(loss.uuid, "it lives", WHO, NOW)
    assert [pot.spot for pot in queries.standing_pots() if pot.name == "June 1"] == ["A2"]
