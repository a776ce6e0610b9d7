"""Files come into the book whole or not at all, and every bad cell is named."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from PIL import Image

from halfwater.book import changes, queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable, import_files, import_help
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.table_files import ENTRIES, NOW, TANKS, WHO, bring_in, scratch, text_file, the_whole_book

pytestmark = pytest.mark.django_db


def _tanks(folder: Path, *lines: str) -> Path:
    return text_file(folder, "tanks.csv", TANKS, *lines)


def _entries(folder: Path, *lines: str) -> Path:
    return text_file(folder, "entries.csv", ENTRIES, *lines)


NORTH = "North,36 in,18 in,18 in,2 in,119,62 %"


def test_tanks_come_in_as_growers_write_them(tmp_path: Path) -> None:
    """Inches, a pot by its rim and a percentage become millimetres, a pot type and a fraction."""
    done = bring_in(_tanks(tmp_path, NORTH, "South,900,45 cm,400,5 cm,,0.6"))
    assert (done.tanks_new, done.other_new) == (2, {"pot": 2})
    north, south = queries.tanks()
    assert (north.length_mm, north.width_mm, north.pots, north.clay_fill_frac) == (914.4, 457.2, 119, 0.62)
    assert north.pot is not None
    assert north.pot.top_mm == 50.8
    assert len(queries.spots(north.key)) == 119
    assert south.set_up_on == date(2026, 11, 20)
    assert south.pots == len(queries.spots(south.key)) > 100


def test_entries_come_in_by_their_kind(tmp_path: Path) -> None:
    """Every kind reads its own quantity, in the cell or with the unit beside it."""
    lines = [
        "2026-10-01,North,spray,180,ml,",
        "2026-10-02,north,waterline,1/2 in,,after rain",
        "2026-10-03,North,siphon,to low line,,",
        "2026-10-04,North,fill,1/2 gal,,",
        "2026-10-05,North,air,22.5C 90%,,",
        "2026-10-06,North,lamp,80% 10h,,",
        "2026-10-07,North,ec,800,uS/cm,",
        "2026-10-08,North,sighting,algae much,,",
        "2026-10-09,North,loss,2 rot,,",
        "2026-10-10,North,skip,,,away",
        "2026-10-11,,note,,,new ruler",
    ]
    done = bring_in(_tanks(tmp_path, NORTH), _entries(tmp_path, *lines))
    assert done.entries_new == len(lines)
    by_kind = {fact.kind: fact for fact in queries.entries()}
    assert by_kind["spray"].value == pytest.approx(0.18)
    assert (by_kind["waterline"].value, by_kind["waterline"].text) == (12.7, "after rain")
    assert (by_kind["siphon"].value, by_kind["siphon"].to_line) == (None, "low")
    assert by_kind["fill"].value == pytest.approx(1.892705892)
    assert (by_kind["air"].value, by_kind["air"].second) == (22.5, 0.9)
    assert (by_kind["lamp"].value, by_kind["lamp"].second) == (0.8, 10.0)
    assert by_kind["ec"].value == 0.8
    assert (by_kind["sighting"].value, by_kind["sighting"].word) == (3.0, "algae")
    assert (by_kind["loss"].value, by_kind["loss"].word) == (2.0, "rot")
    assert (by_kind["note"].tank, by_kind["note"].text) == (None, "new ruler")


def test_a_time_is_the_nurserys_own(tmp_path: Path) -> None:
    """A date alone is that day's evening there; a zone written out is taken as written."""
    changes.save_nursery(who=WHO, time_zone="America/New_York", evening_hour=19)
    lines = [
        "2026-10-01,North,skip,,,",
        "2026-10-02 08:30,North,skip,,,",
        "2026-10-03T08:30+00:00,North,skip,,,",
    ]
    bring_in(_tanks(tmp_path, NORTH), _entries(tmp_path, *lines))
    assert [fact.at for fact in queries.entries(newest_first=False)] == [
        datetime(2026, 10, 1, 23, 0, tzinfo=UTC),
        datetime(2026, 10, 2, 12, 30, tzinfo=UTC),
        datetime(2026, 10, 3, 8, 30, tzinfo=UTC),
    ]


def test_a_file_brought_in_twice_is_kept_once(tmp_path: Path) -> None:
    """The second time nothing is new and nothing changes."""
    files = _tanks(tmp_path, NORTH), _entries(tmp_path, "2026-10-01,North,spray,180,ml,")
    bring_in(*files)
    before = the_whole_book()
    again = bring_in(*files)
    assert (again.tanks_new, again.tanks_changed, again.entries_new, again.entries_kept) == (0, 0, 0, 1)
    assert the_whole_book() == before
    assert len(queries.history("tank")) == 1


def test_todays_date_alone_is_the_same_entry_before_and_after_the_evening(tmp_path: Path) -> None:
    """Brought in at noon and again at night, a row of today is one entry."""
    bring_in(_tanks(tmp_path, NORTH))
    file = _entries(tmp_path, "2026-11-20,North,spray,180,ml,")
    for hour in (12, 23):
        import_files([file], False, WHO, NOW.replace(hour=hour))
    assert len(queries.entries()) == 1


def test_a_tank_that_the_book_has_is_changed_by_the_cells_given(tmp_path: Path) -> None:
    """A blank cell leaves a value alone; the change stands in the tank's past."""
    bring_in(_tanks(tmp_path, NORTH))
    done = bring_in(
        text_file(tmp_path, "more.csv", "name,length,width,height,margin", "NORTH,36 in,18 in,18 in,8")
    )
    assert (done.tanks_new, done.tanks_changed) == (0, 1)
    (tank,) = queries.tanks()
    assert (tank.margin_mm, tank.pots) == (8.0, 119)
    assert [change.who for change in queries.history("tank")] == [WHO, WHO]


def test_a_check_writes_nothing(tmp_path: Path) -> None:
    """With check the counts are told and the book stays empty."""
    files = _tanks(tmp_path, NORTH), _entries(tmp_path, "2026-10-01,North,spray,180,ml,")
    done = bring_in(*files, check=True)
    assert (done.checked_only, done.tanks_new, done.entries_new) == (True, 1, 1)
    assert queries.tanks(in_use=None) == ()
    assert queries.entries() == ()


BAD = [
    ("tanks.csv", 2, "length", "N,-9,450,400,2 in,,"),
    ("tanks.csv", 2, "length", "N,0,450,400,2 in,,"),
    ("tanks.csv", 2, "width", "N,900,4 kg,400,2 in,,"),
    ("tanks.csv", 2, "height", "N,900,450,,2 in,,"),
    ("tanks.csv", 2, "height", "N,900,450,nan,2 in,,"),
    ("tanks.csv", 2, "name", ",900,450,400,2 in,,"),
    ("tanks.csv", 2, "pot", "N,900,450,400,3 ft,,"),
    ("tanks.csv", 2, "pot", "N,900,450,400,square one,,"),
    ("tanks.csv", 2, "pots", "N,900,450,400,2 in,1000,"),
    ("tanks.csv", 2, "pots", "N,900,450,400,2 in,-3,"),
    ("tanks.csv", 2, "clay_fill", "N,900,450,400,2 in,100,620 %"),
    ("tanks.csv", 2, "", "N,900,450,400,2 in,100"),
    ("entries.csv", 2, "at", "2030-01-01,North,spray,1,l,"),
    ("entries.csv", 2, "at", "yesterday,North,spray,1,l,"),
    ("entries.csv", 2, "at", ",North,spray,1,l,"),
    ("entries.csv", 2, "tank", "2026-10-01,Nowhere,spray,1,l,"),
    ("entries.csv", 2, "tank", "2026-10-01,,spray,1,l,"),
    ("entries.csv", 2, "kind", "2026-10-01,North,rain,1,l,"),
    ("entries.csv", 2, "value", "2026-10-01,North,spray,1,kg,"),
    ("entries.csv", 2, "value", "2026-10-01,North,spray,nan,l,"),
    ("entries.csv", 2, "value", "2026-10-01,North,waterline,,,"),
    ("entries.csv", 2, "value", "2026-10-01,North,waterline,19 in,,"),
    ("entries.csv", 2, "value", "2026-10-01,North,waterline,-1,mm,"),
    ("entries.csv", 2, "value", "2026-10-01,North,siphon,some,,"),
]


@pytest.mark.parametrize(("file", "row", "column", "line"), BAD)
def test_a_bad_cell_is_named_and_nothing_is_written(
    tmp_path: Path, file: str, row: int, column: str, line: str
) -> None:
    """The refusal names file, row and column, and a sound row beside it is not written either."""
    bring_in(_tanks(tmp_path, NORTH))
    before = the_whole_book()
    sound = "M,900,450,400,2 in,100,0.6" if file == "tanks.csv" else "2026-10-02,North,spray,1,l,"
    bad = (_tanks if file == "tanks.csv" else _entries)(tmp_path, line, sound)
    with pytest.raises(RefusedTable) as refused:
        bring_in(bad)
    assert [(cell.file, cell.row, cell.column) for cell in refused.value.cells] == [(file, row, column)]
    assert file in refused.value.sentence
    assert all(cell.accepted for cell in refused.value.cells)
    assert the_whole_book() == before


def test_every_bad_cell_is_named_at_once(tmp_path: Path) -> None:
    """One go over both files finds the cells that cannot be read and those that cannot stand."""
    tanks = _tanks(tmp_path, NORTH, "East,x,450,400,2 in,,")
    entries = _entries(
        tmp_path,
        "2026-10-01,North,waterline,nan,mm,",
        "2026-10-01,Nowhere,spray,1,l,",
        "2026-10-01,East,spray,1,l,",
        "2026-10-02,North,waterline,3 ft,,",
    )
    with pytest.raises(RefusedTable) as refused:
        bring_in(tanks, entries)
    assert [(cell.file, cell.row, cell.column) for cell in refused.value.cells] == [
        ("tanks.csv", 3, "length"),
        ("entries.csv", 2, "value"),
        ("entries.csv", 3, "tank"),
        ("entries.csv", 5, "value"),
    ]


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("tanks.csv", [NORTH, "East,900,450,400,2 in,,", "NORTH,36 in,18 in,18 in,2 in,119,62 %"]),
        ("entries.csv", ["2026-10-01,N,spray,1,l,", "2026-10-01,N,spray,2,l,", "2026-10-01,n,spray,1 L,,"]),
    ],
)
def test_the_same_row_twice_is_refused_with_both_rows(tmp_path: Path, name: str, lines: list[str]) -> None:
    """The refusal names the later row and says where the first one stands."""
    bring_in(_tanks(tmp_path, "N,900,450,400,2 in,,"))
    with pytest.raises(RefusedTable) as refused:
        bring_in((_tanks if name == "tanks.csv" else _entries)(tmp_path, *lines))
    assert f"{name} row 4" in refused.value.sentence
    assert "row 2" in refused.value.sentence
    assert queries.entries() == ()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\n\n",
        b"hello",
        b"name,length\n1,2,3\n",
        b"name,length,width,height,colour\nN,1,2,3,red\n",
        b"name,length,width,height,name\nN,1,2,3,M\n",
        b"at,kind,value\n2026-10-01,note\n",
        b'at,kind,tank,note\n2026-10-01,note,,"broken\n',
        b"\xff\xfe\x00at,kind",
        b"at,kind,tank,note\n2026-10-01,note,,\x00\n",
        b"PK\x03\x04 a spreadsheet",
    ],
)
def test_a_broken_file_is_refused_in_a_sentence(tmp_path: Path, content: bytes) -> None:
    """Empty, cut off, another kind of file, unknown or double columns: told by the file's name."""
    file = tmp_path / "broken.csv"
    file.write_bytes(content)
    with pytest.raises(RefusedTable, match=r"broken\.csv"):
        bring_in(file)


def test_a_missing_file_is_refused() -> None:
    """A path without a file behind it is named, and so is giving none."""
    with pytest.raises(RefusedInput, match="nowhere"):
        bring_in(Path("nowhere.csv"))
    with pytest.raises(RefusedInput, match=r"tanks\.csv"):
        bring_in()


def test_files_of_a_spreadsheet_in_another_country_are_read(tmp_path: Path) -> None:
    """Semicolons between the cells, decimal commas in them and a mark at the start are no trouble."""
    file = tmp_path / "tanks.csv"
    file.write_bytes("﻿Name;Length;Width;Height\r\nNorth;91,4 cm;45,7 cm;40 cm\r\n\r\n".encode())
    bring_in(file)
    assert queries.tanks()[0].length_mm == 914.0


def test_a_photo_comes_in_with_its_entry_and_a_bad_one_is_refused(tmp_path: Path) -> None:
    """A photo is looked for in the folder beside the file, and nowhere else."""
    (tmp_path / "photos").mkdir()
    Image.new("RGB", (8, 8)).save(tmp_path / "photos" / "a.jpg")
    (tmp_path / "photos" / "b.jpg").write_bytes(b"no picture")
    (tmp_path / "secret.jpg").write_bytes(b"")
    for name in ("b.jpg", "../secret.jpg", "none.jpg"):
        with pytest.raises(RefusedTable, match="column photo"):
            bring_in(text_file(tmp_path, "entries.csv", "at,kind,photo", f"2026-10-01,note,{name}"))
    assert queries.entries() == ()
    deep = tmp_path / ("a-folder-with-a-long-name" * 4)
    (deep / "photos").mkdir(parents=True)
    Image.new("RGB", (8, 8)).save(deep / "photos" / "a.jpg")
    bring_in(text_file(deep, "entries.csv", "at,kind,photo", "2026-10-01,note,a.jpg"), check=True)
    assert queries.entries() == ()
    bring_in(text_file(tmp_path, "entries.csv", "at,kind,photo", "2026-10-01,note,a.jpg"))
    assert queries.entries()[0].photo.endswith(".jpg")


def _a_full_book(folder: Path) -> None:
    changes.save_nursery(
        who=WHO, name="Fen", units="us", currency="USD", time_zone="America/New_York", is_set_up=True
    )
    changes.load_starting_taxa()
    feed = changes.save_feed(
        who=WHO,
        name="blue",
        form="liquid",
        density_kg_l=1.2,
        n_frac=0.09,
        other_frac={"MgO": 0.02, "Fe": 0.001},
    )
    part = {"feed": feed, "dose_ml_l": 2.6041666666666665, "dose_g_l": None, "typed": "2 tsp/gal"}
    changes.save_mix(who=WHO, name="Night", use="night", parts=[part], ec_above_source_ms_cm=0.6)
    changes.save_mix(who=WHO, name="Plain", use="fill", parts=[])
    changes.save_lamp(who=WHO, name="bar", lux=4000.0, lux_per_umol=65.0, power_w=30.0)
    plan = (
        "name,length,width,height,pot,pots,lamp,lamp_hours,night_mix,night_spray,keep_outs,lid_ach,low_line"
    )
    north = (
        "North,36 in,18 in,18 in,2 in,100,bar,10 h,Night,6 fl oz,3 x 2 in at 0 x 16 in (brace),0.5/h,0.6 in"
    )
    bring_in(
        text_file(folder, "tanks.csv", plan, north, "South,36 in,18 in,18 in,2 x 1.5 x 2 in,,,,,drench,,,")
    )
    _its_stock()
    _its_entries(folder)


def _its_stock() -> None:
    taxon = queries.taxa()[0].key
    batch = changes.save_batch(
        who=WHO, name="N-1", taxon=taxon, potted_on=date(2026, 5, 1), parent_note="old one"
    )
    north_key = queries.tank_named("North").key
    changes.place_pots(north_key, ["A1", "A2", "A3", "A4"], batch, leaves=3, who=WHO)
    changes.set_pot(north_key, "A1", batch, "sold", 9, who=WHO, on=date(2026, 11, 1))
    changes.set_pot(north_key, "A2", batch, "sold", 9, who=WHO, on=date(2026, 11, 1))
    changes.set_pot(north_key, "A3", batch, "lost", who=WHO, on=date(2026, 11, 1))


def _its_entries(folder: Path) -> None:
    header = "at,tank,kind,value,unit,note,second,word,mix,batch,spot,who"
    bring_in(
        text_file(
            folder, "entries.csv", header,
            "2026-10-01,North,spray,6,fl oz,,,night,Night,,,Ada",
            '2026-10-01,North,note,,,"two, ""words""\nand a line",,,,,,Bob',
            "2026-10-02,North,siphon,to low line,,,,,,,,",
            "2026-10-03,North,air,75 F,,,92 %,,,,,",
            "2026-10-04,North,lamp,,,,10 h,,,,,",
            "2026-10-05,North,leaves,4,,,,,,N-1,A4,",
            "2026-10-06,North,loss,1,,,,melt,,N-1,A3,",
            "2026-10-07,North,sighting,,,,,algae,,,,",
            "2026-10-08,North,waterline,0.8,in,,,,,,,",
        )
    )  # fmt: skip
    changes.void_entry(queries.entries(kinds=["waterline"])[0].uuid, "wrong tank", WHO, NOW)


def test_an_export_brought_into_an_empty_book_gives_the_same_book(tmp_path: Path) -> None:
    """Settings, feeds, mixes, taxa, tanks, stock, sold and lost pots, entries and voids come back."""
    with scratch():
        _a_full_book(tmp_path)
        before = the_whole_book()
        files = export_files(tmp_path / "out")
    assert queries.tanks(in_use=None) == ()
    bring_in(*files)
    assert the_whole_book() == before
    bring_in(*files)
    assert the_whole_book() == before


def test_an_export_writes_over_nothing(tmp_path: Path) -> None:
    """A folder that holds an export already is refused, and stays as it was."""
    export_files(tmp_path / "out")
    stood = (tmp_path / "out" / "tanks.csv").read_bytes()
    changes.save_nursery(who=WHO, name="Fen")
    with pytest.raises(RefusedByBook, match="empty folder"):
        export_files(tmp_path / "out")
    assert (tmp_path / "out" / "tanks.csv").read_bytes() == stood


def test_the_guide_and_the_help_name_every_column() -> None:
    """docs/guide/import-files.md and the command's help leave no column out."""
    guide = (Path(__file__).parents[2] / "docs/guide/import-files.md").read_text(encoding="utf-8")
    sections = {part.split(".csv", 1)[0]: part for part in guide.split("\n## ")[1:]}
    for block in import_help().split("\n\n"):
        sheet, *lines = block.splitlines()
        name = sheet.removesuffix(".csv")
        assert lines
        for line in lines:
            column = line.split(":")[0].split("(")[0].strip()
            assert f"`{column}`" in sections[name], f"{column} of {name}.csv is not in the guide"


def test_a_file_is_known_by_its_name_where_its_columns_leave_it_open(tmp_path: Path) -> None:
    """Settings of three columns are enough, though none of them is in every such file."""
    bring_in(text_file(tmp_path, "nursery.csv", "name,units,currency", "Bench,us,USD"))
    assert (queries.nursery().units, queries.nursery().currency) == ("us", "USD")
