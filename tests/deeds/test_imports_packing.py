"""Packing and money as files: out of one book, into another, and back into its own."""

from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.conf import settings
from PIL import Image

from halfwater.book import changes, queries
from halfwater.deeds import money_sheets, packing, packing_goods
from halfwater.deeds.arrivals import note_arrival
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable
from halfwater.deeds.packing_columns import MONEY, PACKING
from halfwater.deeds.packing_files import packing_rows
from halfwater.plain.transit import WallLayer
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.table_files import bring_in, scratch, text_file, the_whole_book
from tests.deeds.test_packing import MILD, an_order, goods, packed

pytestmark = pytest.mark.django_db
BOX_HEAD = "name,inside_length,inside_width,inside_height,walls,empty"


def a_year(photo: str = "") -> None:
    """Goods, a way with its weather, a parcel that arrived and one begun; every kind of money."""
    goods()
    layers = (WallLayer("wool", 20.0, 0.038),)
    sides = {"length_mm": 300.0, "width_mm": 200.0, "height_mm": 150.0}
    changes.save_box(who=WHO, name="Odd; box", layers=layers, empty_kg=0.35, is_at_hand=False, **sides)
    packing_goods.save_route_sheet({"name": "Post", "place": "Northland", "stops": "Depot 12 h indoors"}, WHO)
    packing_goods.save_ship_rule_sheet({"hold_below": "2 C", "ship_weekdays": "Mon", "fill": "50 %"}, WHO)
    order = an_order("3")
    pots = [pot.pot for pot in order.lines[0].pots]
    key = packed(order.number, route="Post", weather=MILD, liner="Foil", pack="Pack", packs="1")
    packing.take_out(key, pots[2], WHO)
    packing.arrange_parcel(key, {"weather": MILD, "note": "first, of two"}, WHO, NOW)
    packing.send_parcel(key, {"postage": "5.90", "weight": "1.45 kg", "tracking": "N-1"}, WHO, NOW)
    note_arrival(key, {"damaged": "1", "low": "13.5 C", "note": "a leaf broke"}, WHO, NOW, photo)
    packing.start_planned(order.number, UUID(int=7), WHO, NOW)
    for _ in range(2):
        money_sheets.save_purchase_sheet({"text": "Lamp", "amount": "40", "kind": "equipment"}, WHO, NOW)
    more = {"tank": "North", "life_months": "60", "ended_on": "2026-11-20", "got_back": "3"}
    money_sheets.save_purchase_sheet(
        {"text": "Shelf", "amount": "-5.50", "kind": "equipment"} | more, WHO, NOW
    )
    money_sheets.save_charge_sheet({"text": "Rent", "amount": "80", "from": "2026-01-01"}, WHO, NOW)
    money_sheets.save_tariff_sheet({"price": "0.32545", "from": "2026-01-01"}, WHO, NOW)
    money_sheets.save_power_sheet(
        {"text": "Heater", "power": "200 W", "hours": "3 h", "tank": "South"}, WHO, NOW
    )
    money_sheets.save_fee_sheet({"channel": "shop", "share": "2.9 %", "fixed": "0.35"}, WHO)


def all_rows() -> dict[str, list[dict[str, Any]]]:
    """Every row of packing and money, with names where the book has keys."""
    return {sheet.name: list(packing_rows(sheet.name, "EUR")) for sheet in (*PACKING, *MONEY)}


def told(rows: dict[str, list[dict[str, Any]]]) -> dict[str, list[str]]:
    """Rows by what their files say of them."""
    kept = {sheet.name: {column.field for column in sheet.columns} for sheet in (*PACKING, *MONEY)}
    return {
        name: sorted(repr(sorted((at, one[at]) for at in kept[name] & set(one))) for one in some)
        for name, some in rows.items()
    }


def test_a_year_of_parcels_and_money_comes_back_from_its_export(tmp_path: Path) -> None:
    """Every box, parcel, arrival and payment, in an empty book and once more; nothing comes twice."""
    with scratch():
        a_year()
        before, whole = told(all_rows()), the_whole_book()
        files = export_files(tmp_path / "out")
    assert queries.parcels() == ()
    for _ in range(2):
        bring_in(*files)
        assert told(all_rows()) == before
        assert the_whole_book() == whole
    sent, begun = sorted(queries.parcels(), key=lambda one: one.key)
    assert (sent.said is not None, sent.plants, begun.plants) == (True, 2, 1)
    assert sent.arrival is not None
    assert (sent.arrival.damaged, sent.arrival.logger_low_c) == (1, 13.5)
    assert len(queries.purchases()) == 3
    for item in begun.items:
        packing.tick_pot(begun.key, item.pot, True, WHO, NOW)
    assert packing.send_parcel(begun.key, {}, WHO, NOW) == begun.orders


def test_an_arrivals_photo_travels_with_it(tmp_path: Path) -> None:
    """It is kept in the book it comes into."""
    data = BytesIO()
    Image.new("RGB", (8, 8), "green").save(data, "JPEG")
    with scratch():
        photo = changes.keep_photo(data.getvalue())
        a_year(photo)
        files = export_files(tmp_path / "out")
    (Path(settings.PHOTO_FOLDER) / photo).unlink()
    bring_in(*files)
    (kept,) = [one.arrival.photo for one in queries.parcels() if one.arrival]
    assert (Path(settings.PHOTO_FOLDER) / kept).is_file()


@pytest.mark.parametrize(
    ("name", "lines", "says"),
    [
        ("boxes", (BOX_HEAD, "A,1 m,1 m,1 m,glass 3 mm,1 kg"), "materials"),
        ("purchases", ("on,kind,text,amount,enough_for,life_months", "2026-01-01,room,x,5,12,"), "potting"),
        ("parcel_pots", ("parcel,order,batch,number", "9,1,Nana,1"), "parcels.csv"),
        ("tariffs", ("from,kwh_price", "2026-01-01,cheap"), "kilowatt-hour"),
        ("routes", ("name,stops,hand_over", "Post,Depot,16 h"), "a place, its hours"),
    ],
)  # fmt: skip
def test_a_bad_cell_is_named(tmp_path: Path, name: str, lines: tuple[str, ...], says: str) -> None:
    """File, row and column of what cannot be used, and nothing is written."""
    with pytest.raises(RefusedTable, match=says):
        bring_in(text_file(tmp_path, f"{name}.csv", *lines))
    assert queries.purchases() == ()
