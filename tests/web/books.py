"""Books for the tests of the pages: typed as a grower types them."""

from datetime import UTC, datetime

from halfwater.book import queries
from halfwater.deeds.notes import Typed, note
from halfwater.deeds.setting_up import set_up_nursery
from halfwater.deeds.stock import place_pots_sheet, save_batch_sheet
from halfwater.plain.tank import TankFacts

SET_UP = {
    "nursery": "Reedmoor",
    "units": "metric",
    "time_zone": "UTC",
    "name": "North",
    "floor": "90 x 45 cm",
    "height": "45 cm",
    "pot": "5 cm",
    "pots": "",
    "night_spray": "150 mL",
    "label": "9-3-6",
    "form": "liquid",
    "density": "1.2",
    "dose": "0.5 mL/L",
}


def now() -> datetime:
    """This instant."""
    return datetime.now(UTC)


def small_book(**typed: str) -> TankFacts:
    """A nursery with one tank, as set-up leaves it."""
    return set_up_nursery(SET_UP | typed, who="test", now=now())


def read_waterline(depth: str) -> None:
    """A waterline noted for the tank North."""
    note(Typed("waterline", "North", depth), who="test", now=now())


def batch_on_row_a(potted_on: str = "") -> int:
    """A batch with a pot on every spot of row A, ready."""
    taxon = queries.taxa()[0].key
    key = save_batch_sheet(
        {"name": "June", "taxon": str(taxon), "potted_on": potted_on}, who="test", now=now()
    )
    place_pots_sheet({"tank": "North", "spots": "A", "batch": str(key), "state": "ready"}, who="test")
    return key
