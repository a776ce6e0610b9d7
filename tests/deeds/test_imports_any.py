"""Whatever sound table is brought in comes back; whatever one cell is broken is named."""

import tempfile
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.book import queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable
from tests.deeds.table_files import NOW, Row, bring_in, scratch, the_whole_book, write

pytestmark = pytest.mark.django_db

_MM = {"": 1.0, " mm": 1.0, " cm": 10.0, "cm": 10.0, " in": 25.4, '"': 25.4, " inches": 25.4}
_LITRES = {"": 1.0, " L": 1.0, "ml": 0.001, " gal": 3.785411784, " fl oz": 0.0295735295625}
_NAMES = st.lists(
    st.text(st.characters(categories=("L", "N"), max_codepoint=0x24F), min_size=1, max_size=12),
    min_size=1, max_size=4, unique_by=str.casefold,
)  # fmt: skip
# Cells that no column of quantities takes.
_BROKEN = st.sampled_from(
    ["nan", "inf", "-5", "abc", "1,200", "5 kg", "12 3", "1e999", "--", "½½", "NULL", "0x1F"]
)


@st.composite
def _cell(draw: st.DrawFn, units: dict[str, float], low: int, high: int) -> tuple[str, float]:
    """A cell with a quantity between two figures in the house unit, and that quantity."""
    unit, factor = draw(st.sampled_from(sorted(units.items())))
    number = round(draw(st.integers(low, high)) / factor, draw(st.integers(1, 3)))
    text = str(number) if draw(st.booleans()) else str(number).replace(".", ",")
    if len(text.rpartition(",")[2]) == 3:  # 1,200 may mean two things and is rightly refused
        text = str(number)
    return f"{text}{unit}", number * factor


@st.composite
def _tank_rows(draw: st.DrawFn) -> list[tuple[Row, dict[str, float]]]:
    """Rows of tanks.csv with what each stands for."""
    rows = []
    for name in draw(_NAMES):
        sizes = {column: draw(_cell(_MM, 300, 2000)) for column in ("length", "width", "height")}
        spray, volume_l = draw(_cell(_LITRES, 1, 4))
        share = draw(st.integers(30, 90))
        row = {"name": name} | {column: cell for column, (cell, _) in sizes.items()}
        row |= {"clay_fill": draw(st.sampled_from([f"{share} %", f"{share / 100}"])), "night_spray": spray}
        meant = {f"{column}_mm": value for column, (_, value) in sizes.items()}
        rows.append((row, meant | {"clay_fill_frac": share / 100, "night_volume_l": volume_l}))
    return rows


@st.composite
def _entry_rows(draw: st.DrawFn, tank: str) -> list[tuple[Row, float]]:
    """Rows of entries.csv for a tank, one a day, with the value each stands for."""
    rows = []
    for back in draw(st.lists(st.integers(1, 2000), min_size=1, max_size=8, unique=True)):
        kind = draw(st.sampled_from(["spray", "fill", "waterline"]))
        cell, value = draw(_cell(_MM, 5, 250) if kind == "waterline" else _cell(_LITRES, 1, 4))
        at: datetime = NOW - timedelta(days=back, minutes=draw(st.integers(0, 600)))
        said = at.strftime("%Y-%m-%d %H:%M") if draw(st.booleans()) else at.date().isoformat()
        rows.append(({"at": said, "tank": tank, "kind": kind, "value": cell, "unit": "", "note": ""}, value))
    return rows


@st.composite
def _tables(draw: st.DrawFn) -> tuple[list[tuple[Row, dict[str, float]]], list[tuple[Row, float]]]:
    tanks = draw(_tank_rows())
    return tanks, draw(_entry_rows(tanks[0][0]["name"]))


@given(tables=_tables(), delimiter=st.sampled_from(",;\t"))
@settings(max_examples=25)
def test_any_sound_tables_come_back_as_they_were_meant(
    tables: tuple[list[tuple[Row, dict[str, float]]], list[tuple[Row, float]]], delimiter: str
) -> None:
    """Each quantity stands in the book in its house unit, and an export brings the same book again."""
    tanks, entries = tables
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)
        files = [
            write(out, "tanks.csv", [row for row, _ in tanks], delimiter),
            write(out, "entries.csv", [row for row, _ in entries], delimiter),
        ]
        with scratch():
            bring_in(*files)
            known = {tank.name: tank for tank in queries.tanks()}
            for row, meant in tanks:
                tank = known[row["name"]]
                assert tank.plan.night_volume_l == pytest.approx(meant.pop("night_volume_l"))
                assert {name: getattr(tank, name) for name in meant} == pytest.approx(meant)
            values = sorted(value for _, value in entries)
            assert sorted(fact.value or 0.0 for fact in queries.entries()) == pytest.approx(values)
            before = the_whole_book()
            exported = export_files(out / "out")
        with scratch():
            bring_in(*exported)
            assert the_whole_book() == before


@given(tables=_tables(), broken=_BROKEN, data=st.data())
@settings(max_examples=40)
def test_any_one_broken_cell_is_named_and_nothing_is_written(
    tables: tuple[list[tuple[Row, dict[str, float]]], list[tuple[Row, float]]],
    broken: str,
    data: st.DataObject,
) -> None:
    """A cell that is no quantity is named by file, row and column, alone, and the book stays empty."""
    rows = {"tanks.csv": [row for row, _ in tables[0]], "entries.csv": [row for row, _ in tables[1]]}
    name = data.draw(st.sampled_from(sorted(rows)))
    place = data.draw(st.integers(0, len(rows[name]) - 1))
    quantities = (
        ["length", "width", "height", "clay_fill", "night_spray"] if name == "tanks.csv" else ["value"]
    )
    column = data.draw(st.sampled_from(quantities))
    rows[name][place][column] = broken
    with tempfile.TemporaryDirectory() as folder:
        files = [write(Path(folder), file, some) for file, some in rows.items()]
        with scratch():
            with pytest.raises(RefusedTable) as refused:
                bring_in(*files)
            assert [(cell.file, cell.row, cell.column) for cell in refused.value.cells] == [
                (name, place + 2, column)
            ]
            assert queries.tanks(in_use=None) == ()
            assert queries.entries() == ()
            assert queries.pots() == ()
