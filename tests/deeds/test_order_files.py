"""Orders brought by a web shop's file: each once, whole or not at all, columns mapped once."""

from datetime import UTC, datetime, timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.csv_files import RefusedTable
from halfwater.deeds.order_files import bring_order_file, preview_order_file
from halfwater.deeds.order_rows import read_placed
from halfwater.errors import RefusedInput
from halfwater.plain.selling import NewBuyer, NewOrder, WantedLine
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_releases import a_release

pytestmark = pytest.mark.django_db
HEAD = "Order no;Customer;E-mail;Product;Variant;Qty;Country;Payment;Date;Shipping\r\n"
COLUMNS = {"reference": "Order no", "contact": "E-mail"}
TWO = (
    HEAD
    + "1001;Anna;anna@example.org;Anubias barteri var. nana;standard;2;Northland;paid;"
    + "19.11.2026 19:03;€ 6,90\r\n"
    + "1002;Ben;ben@example.org;nana;standard;1;;open;2026-11-19T20:10;\r\n"
)


def brought(text: str, shop: str = "My shop", **more: object):
    """Bring a file."""
    return bring_order_file(("\ufeff" + text).encode(), shop, WHO, NOW, **more)  # type: ignore[arg-type]


def test_a_file_brings_its_orders_once() -> None:
    """Semicolons, a byte mark, decimal commas and dotted dates are read; sent again it adds nothing."""
    a_release("8", is_open=True)
    assert brought(TWO, columns=COLUMNS).new == ("1001", "1002")
    again = brought(TWO)
    assert (again.new, again.kept, again.refused) == ((), ("1001", "1002"), ())
    anna = next(one for one in queries.orders() if one.buyer.name == "Anna")
    assert (anna.plants, anna.postage_minor, anna.state, anna.buyer.place) == (2, 690, "paid", "Northland")
    assert anna.placed_at == datetime(2026, 11, 19, 18, 3, tzinfo=UTC)


def test_what_was_paid_since_is_marked_paid() -> None:
    """With another payment it is kept and marked; with other plants it is told, not changed."""
    a_release("8", is_open=True)
    brought(TWO, columns=COLUMNS)
    later = TWO.replace(";open;", ";paid;").replace(";standard;2;", ";standard;3;")
    told = brought(later)
    assert (told.paid, [one.reference for one in told.refused]) == (("1002",), ["1001"])
    assert "with other plants" in told.refused[0].why
    assert {one.state for one in queries.orders()} == {"paid"}


def test_columns_are_mapped_once_and_remembered() -> None:
    """A second file of the shop needs no mapping; a heading that is not there is named."""
    a_release("8", is_open=True)
    odd = TWO.replace("Order no", "Vorgang").replace("Product", "Ware")
    with pytest.raises(RefusedTable, match="say which column this is"):
        brought(odd)
    brought(odd, columns={"reference": "Vorgang", "article": "Ware"})
    assert brought(odd).kept == ("1001", "1002")
    with pytest.raises(RefusedTable, match="a heading of this file"):
        brought(TWO)


def test_rows_of_one_order_are_joined() -> None:
    """Two rows with one reference are one order of two articles; its buyer is told once."""
    a_release("8", is_open=True)
    rows = HEAD + "7;Cleo;;nana;standard;1;;;;\r\n7;;;nana standard;;2;;;;\r\n"
    assert brought(rows, columns=COLUMNS).new == ("7",)
    (order,) = queries.orders()
    assert (order.plants, len(order.lines)) == (3, 1)


def test_a_bad_cell_stops_the_whole_file_and_each_is_named() -> None:
    """Nothing is written; row and column of every bad cell are said."""
    a_release("8", is_open=True)
    bad = TWO + "1003;;x@example.org;petite;small;two;;paid;yesterday;\r\n"
    with pytest.raises(RefusedTable) as refused:
        brought(bad, columns=COLUMNS)
    assert {(cell.row, cell.column) for cell in refused.value.cells} == {
        (4, "Qty"), (4, "Date"), (4, "Customer"),
    }  # fmt: skip
    assert queries.orders() == ()
    unknown = TWO.replace(";nana;", ";petite;")
    with pytest.raises(RefusedTable, match=r"one of Anubias barteri var\. nana, standard"):
        brought(unknown, columns=COLUMNS)
    assert brought(unknown, columns=COLUMNS, articles={"petite standard": "nana standard"}).new


def test_what_is_sold_out_is_told_by_its_reference() -> None:
    """An order that cannot be granted whole is refused whole; the others stand."""
    a_release("2", is_open=True)
    told = brought(TWO, columns=COLUMNS)
    assert (told.new, [one.reference for one in told.refused]) == (("1001",), ["1002"])
    assert [one.buyer.name for one in queries.orders()] == ["Anna"]


def test_a_preview_writes_nothing() -> None:
    """It tells the headings, what they mean, what is known, and which articles name no line."""
    a_release("8", is_open=True)
    seen = preview_order_file(TWO.replace(";nana;", ";fern;").encode(), "My shop", NOW, COLUMNS)
    assert (seen.columns["article"], len(seen.orders), seen.articles) == ("Product", 2, ("fern standard",))
    assert queries.orders() == ()
    assert queries.shop_columns() == ()
    brought(TWO, columns=COLUMNS)
    assert preview_order_file(TWO.encode(), "My shop", NOW).known == {"1001", "1002"}


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"a;b\r\n1;2", b'"open'])
def test_what_is_no_file_of_orders_is_refused(data: bytes) -> None:
    """Empty, not UTF-8, without the needed columns, broken quotes: a sentence each."""
    a_release("8", is_open=True)
    with pytest.raises(RefusedTable):
        bring_order_file(data, "My shop", WHO, NOW)
    with pytest.raises(RefusedInput, match="the name under which"):
        bring_order_file(data, " ", WHO, NOW)


def test_an_instant_may_carry_its_zone() -> None:
    """Without a zone it is on the nursery clock; slashes, read in two ways, are refused."""
    a_release()
    nursery = queries.nursery()
    assert read_placed("2026-11-19T19:03:00Z", nursery).hour == 19
    assert read_placed("2026-11-19 19:03", nursery).hour == 18
    with pytest.raises(RefusedInput, match="a date and time such as"):
        read_placed("11/12/2026", nursery)


def test_two_shops_with_names_that_begin_alike_stay_apart() -> None:
    """The same number in two shops is two orders, however long their names are the same."""
    a_release("8", is_open=True)
    start = "The plant shop beside the mill "
    rows = HEAD + "1;{};;nana;standard;1;;;;\r\n"
    assert brought(rows.format("Anna"), shop=start + "north", columns=COLUMNS).new == ("1",)
    assert brought(rows.format("Ben"), shop=start + "south", columns=COLUMNS).new == ("1",)
    assert brought(rows.format("Ben"), shop=start + "south").kept == ("1",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Order no;Product;Qty;Customer\r\n1;nana;1;Smith;Ann\r\n", "no more cells than headings"),
        ("Order no;Product;Qty;Customer;Qty\r\n1;nana;1;Smith;9\r\n", "one column alone has"),
    ],
)
def test_a_file_that_can_mean_two_things_is_refused(text: str, said: str) -> None:
    """A cell beyond the headings, or two columns of one heading: nothing is guessed or cut."""
    a_release("8", is_open=True)
    with pytest.raises(RefusedTable, match=said):
        brought(text)
    assert not queries.orders()


def test_a_column_that_no_order_needs_may_be_lacking() -> None:
    """A remembered column that is not there is told and stays remembered; a needed one is asked for."""
    a_release("8", is_open=True)
    brought(TWO, columns=COLUMNS)
    lacking = TWO.replace("E-mail;", "").replace("anna@example.org;", "").replace("ben@example.org;", "")
    lacking = lacking.replace("1001;", "2001;").replace("1002;", "2002;")
    told = brought(lacking)
    assert told.new == ("2001", "2002")
    assert told.notes == (
        "This file lacks “E-mail” (contact), which files of this shop had before: left empty.",
    )
    assert brought(TWO).notes == ()
    with pytest.raises(RefusedTable, match="a heading of this file"):
        brought(lacking.replace("Order no", "Vorgang"))
    with pytest.raises(RefusedTable, match="a heading of this file"):
        brought(lacking, columns={"contact": "E-mail"})


def test_nothing_is_guessed_for_a_column_that_is_lacking() -> None:
    """Where the payment column is not there, a column of another state does not say that it is paid."""
    a_release("8", is_open=True)
    brought(TWO, columns=COLUMNS)
    other = TWO.replace("Payment", "Status").replace(";open;", ";completed;").replace("1002;", "2002;")
    told = brought(other)
    assert (told.new, told.paid, "“Payment” (paid)" in told.notes[0]) == (("2002",), (), True)
    assert next(one for one in queries.orders() if one.buyer.name == "Ben").state == "placed"


def test_an_order_placed_before_the_opening_is_told_not_granted() -> None:
    """What the buyer's instant says counts, also when the file is brought after the closing."""
    release, _ = a_release("8", is_open=True)
    changes.save_release(
        release,
        who=WHO,
        opens_at=datetime(2026, 11, 19, 18, 30, tzinfo=UTC),
        closes_at=NOW - timedelta(hours=1),
    )
    told = brought(TWO, columns=COLUMNS)
    assert told.new == ("1002",)
    (early,) = told.refused
    assert early.reference == "1001"
    assert "placed on 19 Nov 2026 at 19:03, before the opening of" in early.why
    assert "on 19 Nov 2026 at 19:30" in early.why
    late = TWO.replace("1002;", "3002;").replace("2026-11-19T20:10", "2026-11-20T20:45")
    assert "after" in brought(late).refused[-1].why


def test_a_shop_and_its_number_are_one_mark_and_no_other() -> None:
    """“A” with “B 1” and “A B” with “1” are two orders; one noted under the older mark is known."""
    _, line = a_release("8", is_open=True)
    one = TWO.split("\r\n")[0] + "\r\n" + TWO.split("\r\n")[2]
    assert brought(one.replace("1002;", "B 1;"), shop="A", columns=COLUMNS).new == ("B 1",)
    assert brought(one.replace("1002;", "1;"), shop="A B", columns=COLUMNS).new == ("1",)
    assert brought(one.replace("1002;", "1;"), shop="A · B", columns=COLUMNS).new == ("1",)
    assert len({order.reference for order in queries.orders()}) == 3
    older = NewOrder("file a b 7", NewBuyer("Ben"), (WantedLine(line, 1),), channel="file", reference="a b 7")
    changes.place_order(older, who=WHO, now=NOW)
    assert brought(one.replace("1002;", "7;"), shop="A B", columns=COLUMNS).kept == ("7",)
