"""A label that cannot be is refused wherever it is typed, and nothing is written."""

from datetime import UTC, datetime

import pytest

from halfwater.book import queries
from halfwater.deeds.imports import RefusedTable, import_files
from halfwater.deeds.mix_sheet import save_feed_sheet
from halfwater.errors import RefusedInput

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"label": "9-3-6", "n_nitrate": "5 %", "n_ammonium": "1 %"}, "n_nitrate", "add up to the 9 % N"),
        ({"label": "9-3-6", "other": "Zz 3 %"}, "other", "one of P, K"),
        ({"label": "40-40-40"}, "label", "100 % or less"),
        ({"label": "40-40-10", "other": "MgO 20 %"}, "other", "100 % or less"),
    ],
)
def test_a_sheet_with_an_impossible_label(typed, field, said):
    """The refusal stands beside the field it is about, and no feed is made."""
    with pytest.raises(RefusedInput, match=said) as refused:
        save_feed_sheet(typed, "grower")
    assert refused.value.field == field
    assert queries.feeds() == ()


def test_a_table_with_an_impossible_label(tmp_path):
    """The cell is named by row and column, and no feed is made."""
    table = tmp_path / "feeds.csv"
    table.write_text("name,form,n,p2o5,k2o,n_nitrate,n_ammonium\nLiquid,liquid,9 %,3 %,6 %,5 %,1 %\n")
    with pytest.raises(RefusedTable, match=r"row 2, column n_nitrate") as refused:
        import_files([table], False, "grower", NOW)
    assert "9 % N" in refused.value.sentence
    assert queries.feeds() == ()
