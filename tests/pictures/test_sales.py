"""The sales picture: steps, the sell-out, the fan of those who came too late; the row of pots."""

import json
import re

import pytest
import vl_convert

from halfwater.pictures.pot_row import MOST, PotRow, draw_pot_row, pot_row_sentence
from halfwater.pictures.sales import SalesPicture, sales_sentence, sales_spec, sales_steps, sales_table
from halfwater.pictures.sales_wanted import WantedLine, wanted_sentence, wanted_spec, wanted_table
from halfwater.plain.growing import Span

OPEN = SalesPicture("December", 10, ((0.0, 2), (0.5, 5)), until_h=2.0)
SOLD_OUT = SalesPicture(
    "Nana, standard", 6, ((0.1, 2), (0.3, 6)), until_h=0.4, sold_out_h=0.3, unmet=Span(2.0, 5.0, 9.0),
    unmet_until_h=72.0,
)  # fmt: skip


def test_steps_count_what_was_put_aside_and_what_came_back() -> None:
    """A hold before the opening counts from the opening on; a cancellation takes its plants off again."""
    assert sales_steps([(0.5, 3), (-2.0, 2), (1.0, -3)]) == ((0.0, 2), (0.5, 5), (1.0, 2))
    assert sales_steps([]) == ()


def test_orders_at_one_instant_are_one_step() -> None:
    """The step shows what there was after both."""
    assert sales_steps([(1.0, 1), (1.0, 2)]) == ((1.0, 3),)


def test_an_open_line_has_no_fan_and_no_sell_out() -> None:
    """Nothing is said of unmet demand while plants are left."""
    styles = [layer["mark"]["style"] for layer in sales_spec(OPEN)["layer"]]
    assert "fan" not in styles
    assert "siphon" not in styles
    assert sales_sentence(OPEN) == "December: 5 of 10 plants ordered in the first 2.0 hours"


def test_a_sold_out_line_shows_when_and_how_many_more() -> None:
    """The fan starts at what was offered, at the sell-out, and ends at the whole unmet demand."""
    spec = sales_spec(SOLD_OUT)
    layers = {layer["mark"]["style"]: layer for layer in spec["layer"]}
    rows = spec["datasets"][layers["fan"]["data"]["name"]]
    assert (rows[0]["t"], rows[0]["low"], rows[0]["high"]) == (pytest.approx(0.3), 6.0, 6.0)
    assert (rows[-1]["t"], rows[-1]["low"], rows[-1]["high"]) == (pytest.approx(72.0), 8.0, 15.0)
    assert spec["datasets"][layers["siphon-word"]["data"]["name"]][0]["word"] == "sold out"
    assert "about 5 more were wanted (2 to 9)" in sales_sentence(SOLD_OUT)


def test_the_table_tells_what_the_picture_shows() -> None:
    """Each order, the sell-out, and the range of what would have been ordered."""
    table = sales_table(SOLD_OUT)
    assert [row[1:] for row in table.rows] == [
        ("2", "ordered"), ("6", "ordered"), ("6", "sold out"), ("8 to 15", "would have been ordered"),
    ]  # fmt: skip
    assert all(len(row) == len(table.heads) for row in table.rows)


@pytest.mark.parametrize("picture", [OPEN, SOLD_OUT, SalesPicture("Empty", 3, (), until_h=0.0)])
def test_the_spec_is_drawn_and_carries_no_colour(picture: SalesPicture) -> None:
    """The library that the pages serve makes a drawing of it; colours come from the page."""
    spec = sales_spec(picture)
    assert "#" not in json.dumps({**spec, "$schema": ""})
    assert f">{picture.offered} offered</text>" in vl_convert.vegalite_to_svg({**spec, "width": 500})


def test_the_row_draws_a_pot_for_each_pot() -> None:
    """Ordered, held and free ones, each by its own shape, and the same in words."""
    picture = PotRow(ordered=5, held=2, free=3)
    drawn = draw_pot_row(picture)
    counts = [len(re.findall(f"is-{one}", drawn)) for one in ("ordered", "held", "free")]
    assert counts == [5, 2, 3]
    assert pot_row_sentence(picture) == "5 of 10 pots ordered, 2 held, 3 free"


def test_a_full_house_is_drawn_small_and_says_so() -> None:
    """Two thousand pots are drawn as few; what one of them stands for is said."""
    drawn = draw_pot_row(PotRow(1500, 0, 500))
    assert drawn.count("row-pot") <= MOST + 2
    assert "one drawn pot stands for 25" in drawn


WANTED = (
    WantedLine("Nana, standard", Span(4.0, 12.0, 30.0), 8),
    WantedLine("Lace, large", Span(0.0, 2.0, 6.0), 5),
)


def test_what_is_wanted_stands_beside_what_is_offered() -> None:
    """A span, a middle, an offer and a name for each line; the table and the sentence say the same."""
    drawn = vl_convert.vegalite_to_svg({**wanted_spec(WANTED), "width": 500})
    assert ">Nana, standard</text>" in drawn
    assert wanted_table(WANTED).rows[0] == ("Nana, standard", "8", "12", "4 to 30")
    assert "1 of 2 lines" in wanted_sentence(WANTED)
    assert wanted_sentence(()) == "No line was on offer yet"
