"""Files as spreadsheets save them: signs between cells, codings, units in the cell or beside it."""

from pathlib import Path

import pytest

from halfwater.book import queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable
from halfwater.errors import RefusedInput
from tests.deeds.table_files import ENTRIES, TANKS, bring_in, text_file

pytestmark = pytest.mark.django_db
NORTH = "North,36 in,18 in,18 in,2 in,119,62 %"


def _tanks(folder: Path, *lines: str) -> Path:
    return text_file(folder, "tanks.csv", TANKS, *lines)


def _entries(folder: Path, *lines: str) -> Path:
    return text_file(folder, "entries.csv", ENTRIES, *lines)


@pytest.mark.parametrize(
    ("cell", "unit", "depth_mm"),
    [
        ("21 mm", "mm", 21.0),
        ("21MM", "mm", 21.0),
        ("7/8", "in", 22.225),
        ('7/8"', "", 22.225),
        ("2,1", "cm", 21.0),
    ],
)
def test_a_unit_may_stand_in_the_cell_beside_it_or_in_both(
    tmp_path: Path, cell: str, unit: str, depth_mm: float
) -> None:
    """The same unit twice is one unit."""
    quoted = '"' + cell.replace('"', '""') + '"'
    bring_in(_tanks(tmp_path, NORTH), _entries(tmp_path, f"2026-10-02,North,waterline,{quoted},{unit},"))
    assert queries.entries()[0].value == pytest.approx(depth_mm)


@pytest.mark.parametrize(
    ("cell", "unit"), [("21 mm", "in"), ("180 ml", "l"), ("5 fl oz", "oz"), ("21 in", "mm")]
)
def test_two_units_that_differ_are_refused(tmp_path: Path, cell: str, unit: str) -> None:
    """Which of them was meant is for the grower to say."""
    kind = "waterline" if unit in ("in", "mm") else "spray"
    with pytest.raises(RefusedTable, match="its unit once"):
        bring_in(_tanks(tmp_path, NORTH), _entries(tmp_path, f"2026-10-02,North,{kind},{cell},{unit},"))
    assert queries.tanks(in_use=None) == ()


def test_a_siphon_to_the_low_line_needs_no_unit(tmp_path: Path) -> None:
    """A sheet with the same unit down the whole column still says what was done."""
    bring_in(_tanks(tmp_path, NORTH), _entries(tmp_path, "2026-10-02,North,siphon,To low line,L,"))
    assert queries.entries()[0].to_line == "low"


@pytest.mark.parametrize(
    "text",
    [
        TANKS.replace(",", ";") + "\r\nNorth;91,44 cm;45,72 cm;45,72 cm;5,08 cm;119;62 %\r\n",
        "sep=;\r\n" + TANKS.replace(",", ";") + "\r\nNorth;914,4;457,2;457,2;50,8;119;0,62\r\n",
        "\ufeff" + TANKS.title() + ",,\r\n" + NORTH + ",,\r\n" + "," * 8 + "\r\n",
        TANKS.replace(",", "\t") + "\n" + NORTH.replace(",", "\t") + "\n",
    ],
)
def test_tables_as_spreadsheets_of_many_countries_save_them(tmp_path: Path, text: str) -> None:
    """Semicolons with decimal commas, a line that tells the sign, a byte-order mark, blank cells."""
    file = tmp_path / "tanks.csv"
    file.write_bytes(text.encode("utf-8"))
    bring_in(file)
    (north,) = queries.tanks()
    assert (north.length_mm, north.width_mm) == (pytest.approx(914.4), pytest.approx(457.2))
    assert (north.pots, north.clay_fill_frac) == (119, pytest.approx(0.62))


def test_a_sign_that_is_not_in_utf8_is_named_by_its_row(tmp_path: Path) -> None:
    """A sheet saved in an older coding is told how to be saved."""
    file = _entries(tmp_path, "2026-10-02,North,skip,,,", "2026-10-03,North,note,,,cafe")
    file.write_bytes(file.read_bytes().replace(b"cafe", b"caf\xe9"))
    with pytest.raises(RefusedTable, match="row 3: it has a sign that is not in UTF-8"):
        bring_in(file)


def test_an_export_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    """A file in the place of the folder, and one of the files' names taken by a folder for photos."""
    bring_in(_tanks(tmp_path, NORTH))
    with pytest.raises(RefusedInput, match="a folder that can be written"):
        export_files(tmp_path / "tanks.csv" / "inside")
    assert [file.name for file in tmp_path.iterdir()] == ["tanks.csv"]
