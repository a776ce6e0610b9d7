"""The book of sales as files: out of one book, into another, and back into its own."""

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from PIL import Image

from halfwater.book import changes, queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable
from halfwater.plain.selling import NewBuyer
from tests.book.builders import NOW, WHO
from tests.book.shops import ANNA, BEN, a_hold, a_shop, an_order, place
from tests.deeds.table_files import bring_in, scratch, text_file, the_whole_book

pytestmark = pytest.mark.django_db
LINES = "release,taxon,grade,price,limit_per_buyer"
ORDER_LINES = "order_line,order,taxon,price,plants,wanted_at"


def a_season(photo: str = "") -> None:
    """A release with an order in every state, a hold of each end, a rule, a shop and an erased buyer."""
    shop = a_shop(12, 11, limit_per_buyer=20)
    changes.save_release(shop.release, who=WHO, opens_at=NOW - timedelta(hours=1), note="first; of the year")
    changes.save_line(shop.line, who=WHO, text='two words, and "more"', photo=photo)
    changes.save_place_rule(who=WHO, place="Northland", taxon=shop.taxon, kind="note", text="slow post")
    changes.save_shop_columns("Pond shop", {"reference": "Order ID"}, {"F-1": "Moss fern, standard"}, who=WHO)
    sent = place(shop.line, 2, reference="W-1", channel="file", is_paid=True, fee_minor=60, postage_minor=700)
    changes.mark_packed(sent.number, who=WHO, now=NOW, ship_on=NOW.date())
    changes.mark_sent(sent.number, who=WHO, now=NOW)
    gone = place(shop.line, buyer=BEN)
    changes.cancel_order(gone.number, reason="changed his mind", who=WHO, now=NOW)
    lost = place(shop.line, 2, buyer=BEN)
    changes.lose_pot(lost.lines[0].pots[0].pot, "rot", who=WHO, at=NOW, now=NOW)
    second = changes.save_line(
        who=WHO, release=shop.release, taxon=shop.taxon, grade="large", price_minor=1900
    )
    changes.offer_pots(second, [shop.pots[11]], who=WHO, now=NOW)
    changes.substitute(lost.lines[0].key, 1, from_line=second, who=WHO, now=NOW)
    held = changes.place_hold(a_hold(shop.line, 2, buyer=ANNA), who=WHO, now=NOW)
    changes.place_hold(a_hold(shop.line), who=WHO, now=NOW)
    changes.place_order(an_order(holds=(held.uuid,)), who=WHO, now=NOW + timedelta(minutes=3))
    for pot in shop.pots[9:11]:
        place(pots=((pot, 1250),), buyer=NewBuyer("Anna"))
    third = place(shop.line, buyer=NewBuyer("Cleo", "cleo@example.org"))
    changes.cancel_order(third.number, who=WHO, now=NOW)
    assert third.buyer.key is not None
    changes.erase_buyer(third.buyer.key, who=WHO, now=NOW)


def test_a_season_of_sales_comes_back_from_its_export(tmp_path: Path) -> None:
    """Every order under its number, in an empty book and once more; the next one has its own."""
    with scratch():
        a_season()
        before = the_whole_book()
        orders = {one.number: (one.state, one.plants, one.place_notes) for one in queries.orders()}
        lines = [replace(one, key=0, release=0, taxon=0) for one in queries.releases(NOW)[0].lines]
        past = [one.sales for one in queries.past_lines(NOW)]
        files = export_files(tmp_path / "out")
    assert queries.releases(NOW) == ()
    for _ in range(2):
        bring_in(*files)
        assert the_whole_book() == before
    assert {one.number: (one.state, one.plants, one.place_notes) for one in queries.orders()} == orders
    release = queries.releases(NOW)[0]
    assert [replace(one, key=0, release=0, taxon=0) for one in release.lines] == lines
    assert [one.sales for one in queries.past_lines(NOW)] == past
    again = place(release.lines[0].key, buyer=BEN)
    assert again.number > max(orders)
    assert again.buyer.orders == 3
    sent = next(one for one in queries.orders() if one.state == "sent")
    assert queries.standing_pot(sent.lines[0].pots[0].pot).state == "sold"  # type: ignore[union-attr]


def test_a_lines_photo_travels_with_it(tmp_path: Path) -> None:
    """It lies in the folder photos beside the table, and is looked for nowhere else."""
    picture = BytesIO()
    Image.new("RGB", (8, 8), "green").save(picture, "PNG")
    with scratch():
        a_season(changes.keep_photo(picture.getvalue()))
        files = export_files(tmp_path / "out")
    bring_in(*files, check=True)
    assert queries.releases(NOW) == ()
    bring_in(*files)
    photo = queries.releases(NOW)[0].lines[0].photo
    assert (Path(settings.PHOTO_FOLDER) / photo).is_file()
    away = text_file(
        tmp_path, "lines.csv", f"{LINES},photo", "November,Moss fern,small,9,,../../out/lines.csv"
    )
    with pytest.raises(RefusedTable, match="column photo"):
        bring_in(away)


@pytest.mark.parametrize(
    ("file", "rows", "named"),
    [
        ("lines.csv", [LINES, "May,Moss fern,small,9,"], "column release"),
        ("releases.csv", ["name,state,opens_at,closes_at", "May,ajar,,"], "column state"),
        ("releases.csv", ["name,opens_at,closes_at", "May,someday,"], "column opens_at"),
        ("releases.csv", ["name,opens_at,closes_at", "May,2026-05-02,2026-05-01"], "own rules stand"),
        (
            "orders.csv",
            ["order,key,buyer,state,channel,placed_at", "7,k,3,placed,shop,2026-05-01"],
            "column buyer: “3”",
        ),
        ("offered.csv", ["batch,number,offered_at", "MF-1,1,2026-05-01"], "own rules stand"),
        (
            "offered.csv",
            ["batch,number,release,grade,offered_at", "MF-1,99,November,standard,2026-05-01"],
            "column number",
        ),
        (
            "offered.csv",
            ["batch,number,release,grade,offered_at", "MF-1,1,November,standard,2026-05-01"],
            "own rules stand",
        ),
        ("order_lines.csv", [ORDER_LINES, "1,5,Moss fern,9,1,2026-05-01"], "column order: “5”"),
        ("shops.csv", ["name,columns,lines", "Pond,[1],{}"], "column columns"),
        ("places.csv", ["place,kind,checked_on", "North,maybe,"], "column kind"),
    ],
)  # fmt: skip
def test_what_cannot_be_in_a_file_of_sales_is_named(
    tmp_path: Path, file: str, rows: list[str], named: str
) -> None:
    """By file, row and column, or by what stands against it; nothing is written."""
    a_shop()
    before = the_whole_book()
    with pytest.raises(RefusedTable) as refused:
        bring_in(text_file(tmp_path, file, *rows))
    assert named in refused.value.sentence
    assert file in refused.value.sentence
    assert the_whole_book() == before


def test_another_order_under_a_number_is_refused(tmp_path: Path) -> None:
    """A number and a key belong to one order."""
    shop = a_shop()
    placed = place(shop.line)
    people = text_file(tmp_path, "buyers.csv", "buyer,name,contact", "1,Anna,anna@example.org")
    header = "order,key,buyer,state,channel,placed_at"
    for row in (f"{placed.number},other,1", f"{placed.number + 1},{placed.key},1"):
        file = text_file(tmp_path, "orders.csv", header, f"{row},placed,shop,2026-05-01")
        with pytest.raises(RefusedTable, match="another order under number"):
            bring_in(people, file)
