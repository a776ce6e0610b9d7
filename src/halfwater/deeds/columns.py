"""The files of an import: their columns, what each cell may hold, and the field it fills."""

from halfwater.deeds import cells
from halfwater.deeds.chemistry_columns import FEED_COLUMNS, TARGETS, WATERS
from halfwater.deeds.column import Column, Sheet
from halfwater.deeds.packing_columns import MONEY, PACKING
from halfwater.deeds.sales_columns import SALES
from halfwater.deeds.stock_columns import FORECASTS, HABIT, PRICES, STANDING
from halfwater.plain.stock import BLADES, POT_STATES, PriorFact

_NAME = cells.words("a name", 80)
_LENGTH = cells.quantity("length", "900 mm, 90 cm, 36 in")
_DEPTH = cells.quantity("length", "6 mm or 1/4 in")
_FRACTION = cells.quantity("fraction", "62 % or 0.62")
_STEP = cells.whole("a whole number from 1", 1_000_000, low=1)
_TEMP = cells.quantity("temperature", "26 C or 79 F")
_HOURS = cells.quantity("hours", "10 h")
_PPFD = cells.quantity("ppfd", "60 umol/m2/s")

NURSERY = Sheet(
    "nursery",
    frozenset({"time_zone"}),
    (
        Column("name", "name", cells.words("a name", 80), "name of the nursery"),
        Column("units", "units", cells.one_of("metric", "us"), "what a bare number means"),
        Column("currency", "currency", cells.words("EUR", 3), "three letters"),
        Column("time_zone", "time_zone", cells.words("Europe/Berlin", 64), "the nursery's own time"),
        Column(
            "evening_hour",
            "evening_hour",
            cells.whole("an hour from 12 to 23", 23, low=12),
            "when the round is walked",
        ),
        Column("room_temp", "room_temp_c", _TEMP, "usual temperature of the room"),
        Column("room_rh", "room_rh_frac", _FRACTION, "usual relative humidity of the room"),
        Column("set_up", "is_set_up", cells.FLAG, "yes once the nursery has been set up"),
        Column("price_step", "price_step_minor", _STEP, "prices are multiples of it, in the smallest coin"),
        Column("price_move", "price_move_frac", _FRACTION, "so far a price moves from release to release"),
    ),
)
POTS = Sheet(
    "pots",
    frozenset({"top", "base"}),
    (
        Column("name", "name", _NAME, "name of the pot type", needed=True),
        Column(
            "top",
            "top_mm",
            cells.quantity("length", "50 mm or 2 in"),
            "diameter at the rim, outside",
            needed=True,
        ),
        Column(
            "base",
            "base_mm",
            cells.quantity("length", "50 mm or 2 in"),
            "diameter at the foot, outside",
            needed=True,
        ),
        Column(
            "height", "height_mm", cells.quantity("length", "50 mm or 2 in"), "height of the pot", needed=True
        ),
    ),
)
LAMPS = Sheet(
    "lamps",
    frozenset({"ppfd"}),
    (
        Column("name", "name", _NAME, "name of the lamp", needed=True),
        Column("ppfd", "ppfd_umol_m2_s", _PPFD, "at pot height, full power"),
        Column("lux", "lux", cells.quantity("lux", "4000 lux"), "at pot height, full power"),
        Column(
            "lux_per_umol",
            "lux_per_umol",
            cells.number("a number above 0 such as 65", 1e-9, 200),
            "the lamp's own factor",
        ),
        Column("power", "power_w", cells.quantity("power", "30 W"), "power drawn at full"),
    ),
)
FEEDS = Sheet(
    "feeds",
    frozenset({"p2o5", "k2o"}),
    (
        Column("name", "name", _NAME, "name of the feed", needed=True),
        Column("form", "form", cells.one_of("liquid", "dry"), "liquid or dry", needed=True),
        Column("basis", "basis", cells.one_of("w/w", "w/v"), "what the label's per cent are of"),
        Column("density", "density_kg_l", cells.quantity("density", "1.2 kg/L"), "of a liquid"),
        Column("n", "n_frac", _FRACTION, "nitrogen on the label"),
        Column("p2o5", "p2o5_frac", _FRACTION, "phosphate on the label"),
        Column("k2o", "k2o_frac", _FRACTION, "potash on the label"),
        Column("n_nitrate", "n_nitrate_frac", _FRACTION, "nitrogen as nitrate"),
        Column("n_ammonium", "n_ammonium_frac", _FRACTION, "nitrogen as ammonium"),
        Column("n_urea", "n_urea_frac", _FRACTION, "nitrogen as urea"),
        Column("other", "other_frac", cells.SHARES, "the rest of the label"),
        Column(
            "teaspoon", "teaspoon_g", cells.quantity("mass", "5.1 g"), "what your level teaspoon of it weighs"
        ),
        *FEED_COLUMNS,
    ),
)
MIXES = Sheet(
    "mixes",
    frozenset({"mix", "feed", "dose"}),
    (
        Column("mix", "name", _NAME, "name of the mix; one row for each feed in it", needed=True),
        Column("use", "use", cells.one_of("night", "weak", "fill"), "what the mix is for", needed=True),
        Column("feed", "feed", _NAME, "a feed by its name; blank for a mix of plain water"),
        Column("dose", "dose", cells.DOSE, "the dose of this feed"),
        Column(
            "ec",
            "ec_above_source_ms_cm",
            cells.quantity("ec", "0.6 mS/cm"),
            "measured, above the source water",
        ),
    ),
)
TAXA = Sheet(
    "taxa",
    frozenset({"taxon", "quantity"}),
    (
        Column("taxon", "name", cells.words("a name", 120), "species or cultivar", needed=True),
        Column("group", "group", cells.words("a group", 120), "the profile it started from"),
        Column("care", "care", cells.words("any words", 2000), "care note for buyers; blank: the usual one"),
        Column("quantity", "quantity", cells.words("leaf_rate_per_30d", 60), "which starting value"),
        Column("mean", "mean", cells.number("a number", -1e6, 1e6), "the starting value"),
        Column("low", "low", cells.number("a number", -1e6, 1e6), "lower end of its 90 % range"),
        Column("high", "high", cells.number("a number", -1e6, 1e6), "upper end of its 90 % range"),
        Column("tag", "tag", cells.words("P, C, M, D or G", 1), "how it is known"),
        Column("source", "source", cells.words("a source", 200), "where it is from"),
    ),
)
TANKS = Sheet(
    "tanks",
    frozenset({"length", "width"}),
    (
        Column("name", "name", _NAME, "what you call the tank", needed=True),
        Column("length", "length_mm", _LENGTH, "of the floor, inside, left to right", needed=True),
        Column("width", "width_mm", _LENGTH, "of the floor, inside, front to back", needed=True),
        Column("height", "height_mm", _LENGTH, "from the floor to the rim", needed=True),
        Column(
            "pot",
            "pot",
            cells.words("2 in, a pot type by name, or 50 x 38 x 50 mm", 80),
            "diameter at the rim, or a pot type, or top x foot x height",
        ),
        Column(
            "pots",
            "pots",
            cells.whole("a whole number of pots", 100_000),
            "how many stand on the floor; blank: as many as fit",
        ),
        Column("clay_fill", "clay_fill_frac", _FRACTION, "share of the pot's height filled with clay"),
        Column("clay_porosity", "clay_porosity_frac", _FRACTION, "voids between the pellets"),
        Column("margin", "margin_mm", _DEPTH, "limit line = clay line less this"),
        Column(
            "low_line", "low_line_mm", _DEPTH, "where a siphon leaves the bath; blank: a third of the pot"
        ),
        Column("keep_outs", "keep_outs", cells.KEEP_OUTS, "where no pot may stand"),
        Column("night_mix", "night_mix", _NAME, "mix of the evening spray, by name"),
        Column(
            "night_spray",
            "night_volume_l",
            cells.volume_or_drench("150 mL, or drench"),
            "volume of the evening spray",
        ),
        Column("morning_mix", "morning_mix", _NAME, "mix of the morning spray, by name"),
        Column(
            "morning_spray",
            "morning_volume_l",
            cells.volume_or_drench("80 mL, or drench"),
            "volume of the morning spray",
        ),
        Column("lamp", "lamp", _NAME, "the lamp above it, by name"),
        Column(
            "lamp_ppfd",
            "lamp_ppfd",
            _PPFD,
            "instead of a lamp's name: what it gives at the pots at full power",
        ),
        Column("lamp_hours", "lamp_hours", _HOURS, "hours a day"),
        Column("lamp_dimmer", "lamp_dimmer_frac", _FRACTION, "setting of the dimmer"),
        Column("stray_ppfd", "stray_ppfd_umol_m2_s", _PPFD, "light from elsewhere"),
        Column("stray_hours", "stray_hours", _HOURS, "hours a day of it"),
        Column(
            "lid_ach",
            "lid_ach_per_h",
            cells.number("air changes an hour from 0 to 100 such as 0.5", 0, 100, "/h"),
            "air changes an hour under the lid",
        ),
        Column("inside_temp", "inside_temp_c", _TEMP, "usual temperature under the lid"),
        Column("inside_rh", "inside_rh_frac", _FRACTION, "usual relative humidity under the lid"),
        Column("set_up_on", "set_up_on", cells.DAY, "the day the tank was set up; blank: today"),
        Column("place", "place", cells.whole("a whole number", 100_000), "its place in the walking order"),
        Column("in_use", "is_in_use", cells.FLAG, "no for a tank put away"),
    ),
)
BATCHES = Sheet(
    "batches",
    frozenset({"taxon", "potted_on"}),
    (
        Column("name", "name", _NAME, "name of the batch", needed=True),
        Column("taxon", "taxon", cells.words("a taxon by name", 120), "what was potted", needed=True),
        Column("potted_on", "potted_on", cells.DAY, "the day it was potted", needed=True),
        Column("parents", "parent_note", cells.words("a note", 300), "from which parents, in words"),
        Column("lineage", "lineage", cells.LINEAGE, "from which batches or pots of this book"),
        Column("blade", "blade", cells.one_of(*BLADES), "between two parents"),
    ),
)
SPOTS = Sheet(
    "spots",
    frozenset({"spot", "state"}),
    (
        Column("tank", "tank", cells.words("a tank by name", 80), "whose floor; blank for pots sold or lost"),
        Column("spot", "name", cells.words("A1", 10), "name of the spot, in reading order"),
        Column("batch", "batch", _NAME, "batch of the pot on it; blank when empty"),
        Column("state", "state", cells.one_of(*POT_STATES), "state of the pot"),
        Column(
            "leaves",
            "leaves",
            cells.whole("a whole number of leaves up to 10000", 10_000),
            "leaves counted last",
        ),
    ),
)
ENTRIES = Sheet(
    "entries",
    frozenset({"at", "kind"}),
    (
        Column(
            "at",
            "at",
            cells.words("2026-11-20, or 2026-11-20 21:00", 40),
            "nursery time; a date alone is that day's evening",
            needed=True,
        ),
        Column("tank", "tank", cells.words("a tank by name", 80), "blank only for what belongs to no tank"),
        Column("kind", "kind", cells.words("spray, waterline, siphon …", 10), "what was noted", needed=True),
        Column(
            "value",
            "value",
            cells.words("21, 21 mm, to low line", 80),
            "the quantity, with or without its unit",
        ),
        Column("unit", "unit", cells.words("mm", 20), "unit of the value, when it is not in the cell before"),
        Column("note", "text", cells.words("any words", 5000), "words beside it"),
        Column(
            "second",
            "second",
            cells.words("92 %, 10 h", 40),
            "humidity of an air entry, hours of a lamp entry, dimmer of a light reading, standard of a meter"
            " check",
        ),
        Column(
            "third",
            "third",
            cells.number("a number", 0, 1e6),
            "stray light of a light reading in umol/m2/s, temperature of a meter's standard in C",
        ),
        Column(
            "word",
            "word",
            cells.words("rot, algae, morning", 40),
            "cause of a loss, thing sighted, session of a spray, state of a pot, blade of a cut",
        ),
        Column("mix", "mix", _NAME, "mix of a spray or fill, by name"),
        Column("batch", "batch", _NAME, "batch of what a pot entry is about, by name"),
        Column("number", "number", cells.whole("a whole number from 1", low=1), "of the pot in its batch"),
        Column(
            "spot", "spot", cells.words("A1", 10), "spot of a leaf count or loss, or to which a pot was moved"
        ),
        Column(
            "photo", "photo", cells.words("a file", 100), "a photo beside this file, in the folder photos"
        ),
        Column("who", "who", cells.words("a name", 80), "who noted it"),
        Column("uuid", "uuid", cells.words("an id", 36), "the entry's id; blank: made from the row itself"),
        Column(
            "corrects",
            "corrects",
            cells.words("an id", 36),
            "id of the void entry this one was written anew for",
        ),
        Column("void", "void", cells.words("a reason", 300), "not blank: the entry is void, for this reason"),
    ),
)
# Order matters twice: a file is taken for the first sheet whose mark its header
# has, and the tables are written in this order.
SHEETS = (
    *(NURSERY, FEEDS, WATERS, TARGETS, MIXES, TAXA, POTS, LAMPS, TANKS, STANDING, BATCHES, SPOTS),
    *SALES,
    *PACKING,
    *MONEY,
    *(PRICES, HABIT, ENTRIES, FORECASTS),
)
__all__ = ["SHEETS", "Column", "Sheet", "prior"]


def prior(quantity: str, mean: float, low: float, high: float, tag: str, source: str) -> PriorFact:
    """A starting value from the cells of its row."""
    return PriorFact(quantity, mean, low, high, tag, source)
