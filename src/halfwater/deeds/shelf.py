"""The shelf: feeds by their labels and salts by their formulas, with what a pack cost."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from halfwater.book import changes, queries
from halfwater.deeds.salt_label import label_of_salt
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import SaltFacts, ShelfItem
from halfwater.plain.figures import read_money
from halfwater.plain.mixes import FeedFacts
from halfwater.science.units import read_quantity

PACK_WANTED = "what a pack holds such as 1 kg, 500 g or 1 L"
_KNOWN = (
    ("Calcium nitrate", "Ca(NO3)2·4H2O"), ("Potassium nitrate", "KNO3"),
    ("Monopotassium phosphate", "KH2PO4"), ("Epsom salt", "MgSO4·7H2O"),
    ("Potassium sulphate", "K2SO4"), ("Ammonium nitrate", "NH4NO3"),
    ("Monoammonium phosphate", "NH4H2PO4"), ("Magnesium nitrate", "Mg(NO3)2·6H2O"),
    ("Calcium chloride", "CaCl2·2H2O"), ("Urea", "CO(NH2)2"), ("Boric acid", "H3BO3"),
    ("Manganese sulphate", "MnSO4·H2O"), ("Zinc sulphate", "ZnSO4·7H2O"),
    ("Copper sulphate", "CuSO4·5H2O"), ("Sodium molybdate", "Na2MoO4·2H2O"),
    ("Iron sulphate", "FeSO4·7H2O"), ("Nitric acid", "HNO3"), ("Phosphoric acid", "H3PO4"),
)  # fmt: skip

_HYDRATES = {
    "monohydrate": "", "dihydrate": "2", "trihydrate": "3", "tetrahydrate": "4",
    "pentahydrate": "5", "hexahydrate": "6", "heptahydrate": "7", "octahydrate": "8", "nonahydrate": "9",
    "decahydrate": "10", "anhydrous": "",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One thing on the shelf: a feed by its label, or a salt by its formula."""

    key: int
    item: ShelfItem
    feed: FeedFacts
    is_at_hand: bool

    @property
    def name(self) -> str:
        """What the grower calls it."""
        return self.feed.name

    @property
    def is_salt(self) -> bool:
        """Known by its formula."""
        return self.feed.is_salt


def shelf(at_hand: bool = True) -> tuple[ShelfRow, ...]:
    """What stands on the shelf, by name; with `at_hand` false also what is used up."""
    return tuple(
        ShelfRow(feed.key, item_of(feed), feed, feed.is_at_hand)
        for feed in queries.feeds()
        if feed.is_at_hand or not at_hand
    )


def item_of(feed: FeedFacts) -> ShelfItem:
    """A feed of the book as a thing to mix from: a salt by its formula."""
    product: FeedFacts | SaltFacts = feed
    if feed.is_salt:
        density = feed.density_kg_l if feed.form == "liquid" else None
        product = SaltFacts(feed.key, feed.name, feed.formula, feed.purity_frac, density, feed.teaspoon_g)
    return ShelfItem(product, feed.pack_minor, feed.pack_g, feed.pack_ml)


def known_salts() -> tuple[tuple[str, str], ...]:
    """Salts that growers keep, by name and formula, to choose from."""
    return _KNOWN


def save_salt_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a salt as typed: its name, formula with crystal water, purity, and what a pack cost."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    formula = sheet.needed("formula", _formula, "", "a formula such as MgSO4·7H2O")
    purity = sheet.number("purity", "fraction", 1.0)
    density = sheet.quantity("salt_density", "density")
    label = {}
    if formula:
        try:
            label = label_of_salt(formula, purity)
        except RefusedInput as refused:
            sheet.refuse("purity" if refused.field == "purity" else "formula", refused.accepted)
    fields = {
        "name": sheet.text("salt_name") or {known: name for name, known in _KNOWN}.get(formula, formula),
        "form": "dry" if density is None else "liquid",
        "formula": formula,
        "purity_frac": purity,
        "density_kg_l": density,
        "teaspoon_g": sheet.quantity("teaspoon", "mass"),
        **label,
        **read_pack(sheet, nursery.currency),
    }
    sheet.finish()
    with sheet.writing(name="salt_name"):
        return changes.save_feed(key, who=who, **fields)


def set_at_hand(key: int, is_at_hand: bool, who: str) -> None:
    """A feed or salt is on the shelf again, or used up: recipes are built from what is at hand."""
    changes.save_feed(key, who=who, is_at_hand=is_at_hand)


def read_pack(sheet: Sheet, currency: str) -> dict[str, object]:
    """What a pack cost and holds, and whether it is at hand; refusals stay on the sheet."""
    grams, millilitres = sheet.read("pack_size", _pack_size, (None, None))
    price = sheet.read("pack_price", lambda text: read_money(text, currency, "pack_price"), None)
    if price is not None and grams is None and millilitres is None:
        sheet.refuse("pack_size", PACK_WANTED)
    at_hand = sheet.choice("at_hand", ("on", "yes", "no"), "yes")
    return {"pack_minor": price, "pack_g": grams, "pack_ml": millilitres, "is_at_hand": at_hand != "no"}


def _formula(text: str) -> str:
    """The raised dot, which no keyboard has, where a stop, a star, an x or a word tells the crystal water."""
    words = re.fullmatch(rf"(.*[A-Za-z)\d])[\s,-]+({'|'.join(_HYDRATES)})\s*", text, flags=re.IGNORECASE)
    if words is not None and words[2].lower() == "anhydrous":
        return words[1].strip()
    if words is not None:
        return f"{words[1].strip()}·{_HYDRATES[words[2].lower()]}H2O"
    bare = re.sub(r"\s+", "", text)
    if "·" in bare or "+" in bare:
        return bare
    dotted = re.sub(r"(?<=[A-Za-z)\d])[.*•∙⋅](?=[A-Z(])", "·", bare)
    return re.sub(r"(?<=[A-Za-z)\d])[.*•∙⋅xX×](?=\d*(?:\.\d+)?H2O$)", "·", dotted, count=1)


def _pack_size(text: str) -> tuple[float | None, float | None]:
    """Grams or millilitres, by the unit it was typed in."""
    if re.search(r"\d\s*(k?g|mg|oz|lb|lbs|pounds?|grams?|kilos?)\.?$", text.strip().lower()):
        return read_quantity(text, "mass", field="pack_size"), None
    if not re.search(r"[a-z]", text.lower()):
        raise RefusedInput("pack_size", text, PACK_WANTED)
    return None, 1000.0 * read_quantity(text, "volume", field="pack_size")
