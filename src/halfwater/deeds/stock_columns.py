"""The files of living stock: pots of a collection, prices, habit, and forecasts that were kept."""

from halfwater.deeds import cells
from halfwater.deeds.column import Column, Sheet
from halfwater.plain.entry import CAUSES
from halfwater.plain.stock import BLADES, GRADES, PIECES, POT_STATES

_NAME = cells.words("a name", 80)
_DEPTH = cells.quantity("length", "45 mm or 1.75 in")
_COUNT = cells.whole("a whole number of leaves up to 10000", 10_000)
_SPOT = cells.words("A1", 10)
STANDING = Sheet(
    "standing",
    frozenset({"batch", "taxon"}),
    (
        Column("batch", "batch", _NAME, "batch of the pot; one that is not in the book is made", needed=True),
        Column(
            "number",
            "number",
            cells.whole("a whole number from 1", low=1),
            "of the pot in its batch; blank: the pot of the batch on this spot",
        ),
        Column("taxon", "taxon", cells.words("a taxon by name", 120), "needed where the batch is new"),
        Column("potted_on", "potted_on", cells.DAY, "the day it was potted; needed where the batch is new"),
        Column("lineage", "lineage", cells.LINEAGE, "from which batches or pots its batch was cut"),
        Column("blade", "blade", cells.one_of(*BLADES), "between two parents"),
        Column("tank", "tank", cells.words("a tank by name", 80), "where it stands; blank: sold or lost"),
        Column("spot", "spot", _SPOT, "its spot; blank: the first empty one of the tank"),
        Column("state", "state", cells.one_of(*POT_STATES), "its state; blank: growing"),
        Column("leaves", "leaves", _COUNT, "leaves counted last"),
        Column("counted_on", "counted_on", cells.DAY, "the day they were counted"),
        Column("grade", "grade", cells.one_of(*GRADES), "by hand, against the leaf count"),
        Column("piece", "piece", cells.one_of(*PIECES), "of the rhizome it was cut from"),
        Column("section", "section_mm", _DEPTH, "length of its section when it was potted"),
        Column("first_leaves", "first_leaves", _COUNT, "on its section when it was potted"),
        Column("rhizome", "rhizome_mm", _DEPTH, "length of its rhizome, measured last"),
        Column("measured_on", "measured_on", cells.DAY, "the day it was measured"),
        Column("left_on", "left_on", cells.DAY, "the day it was sold or lost"),
        Column("cause", "cause", cells.one_of(*CAUSES), "cause of its loss"),
        Column(
            "first_tank",
            "first_tank",
            cells.words("a tank by name", 80),
            "where it was potted; blank: where it is",
        ),
        Column("first_spot", "first_spot", _SPOT, "on which spot it was potted"),
    ),
)
PRICES = Sheet(
    "prices",
    frozenset({"grade", "price"}),
    (
        Column("taxon", "taxon", cells.words("a taxon by name", 120), "what is sold", needed=True),
        Column("grade", "grade", cells.one_of(*GRADES), "the size", needed=True),
        Column("price", "price_minor", cells.MONEY, "for one pot", needed=True),
        Column(
            "most_per_release",
            "most_per_release",
            cells.whole("a whole number of pots"),
            "blank: as many as there are",
        ),
    ),
)
HABIT = Sheet(
    "habit",
    frozenset({"release_every_weeks"}),
    (
        Column(
            "minutes_a_week",
            "minutes_a_week",
            cells.number("minutes", 0, 10_080),
            "for plants; blank: no limit",
        ),
        Column(
            "release_every_weeks",
            "release_every_weeks",
            cells.whole("a number of weeks", 52, low=1),
            "the rhythm",
        ),
        Column("next_release_on", "next_release_on", cells.DAY, "the next release"),
        Column(
            "least_kept", "least_kept", cells.whole("a whole number of pots"), "parents of a taxon never sold"
        ),
        Column("hour", "hour_minor", cells.MONEY, "what an hour of yours is worth"),
    ),
)
_VALUE = cells.number("a number", -1e9, 1e9)
FORECASTS = Sheet(
    "forecasts",
    frozenset({"made_on", "subject"}),
    (
        Column("made_on", "made_on", cells.DAY, "the day it was shown", needed=True),
        Column("kind", "kind", cells.words("ready count", 40), "what was forecast", needed=True),
        Column("subject", "subject", cells.words("any words", 200), "of what", needed=True),
        Column("about_on", "about_on", cells.DAY, "the day it is about"),
        Column("p10", "p10", _VALUE, "lower end of its 80 % range", needed=True),
        Column("p50", "p50", _VALUE, "the median", needed=True),
        Column("p90", "p90", _VALUE, "upper end", needed=True),
        Column("naive", "naive", _VALUE, "the same as last time"),
        Column("outcome", "outcome", _VALUE, "what came of it"),
        Column("settled_on", "settled_on", cells.DAY, "the day that was known"),
        Column("why_open", "why_open", cells.words("any words", 200), "what is missing"),
        Column("about_taxon", "taxon", cells.words("a taxon by name", 120), "what it is about"),
        Column("about_batch", "batch", _NAME, "what it is about"),
        Column(
            "about_number", "number", cells.whole("a whole number from 1", low=1), "of the pot in the batch"
        ),
        Column("grade", "grade", cells.one_of(*GRADES), "the size it is about"),
        Column("quantiles", "quantiles", cells.NUMBERS, "of the whole forecast, evenly spaced"),
    ),
)
