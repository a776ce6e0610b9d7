"""The files of the book of sales: rules of places, buyers, releases, orders, and the pots behind them."""

from halfwater.deeds import cells
from halfwater.deeds.column import Column, Sheet
from halfwater.plain.selling import CHANNELS, HOLD_STATES, ORDER_STATES, RULE_KINDS
from halfwater.plain.stock import GRADES

_NAME = cells.words("a name", 80)
_TAXON = cells.words("a taxon by name", 120)
_RELEASE = cells.words("a release by name", 80)
_GRADE = cells.one_of(*GRADES)
_ONE = cells.whole("a whole number from 1", 999_999_999, low=1)
_MANY = cells.whole("a whole number")
_WORDS = cells.words("any words", 2000)
_BUYER = Column("buyer", "buyer", _ONE, "the buyer's number in buyers.csv", needed=True)
PLACES = Sheet(
    "places",
    frozenset({"place", "checked_on"}),
    (
        Column("place", "place", _NAME, "where plants are sent to", needed=True),
        Column("taxon", "taxon", _TAXON, "blank: any"),
        Column("kind", "kind", cells.one_of(*RULE_KINDS), "what your list says", needed=True),
        Column("text", "text", cells.words("any words", 500), "in words"),
        Column("checked_on", "checked_on", cells.DAY, "the day you asked last"),
    ),
)
SHOPS = Sheet(
    "shops",
    frozenset({"columns", "lines"}),
    (
        Column("name", "name", _NAME, "what you call the web shop", needed=True),
        Column("columns", "columns", cells.JSON, "which of its columns means what"),
        Column("lines", "lines", cells.JSON, "which of its articles is which taxon and grade"),
    ),
)
BUYERS = Sheet(
    "buyers",
    frozenset({"buyer", "contact"}),
    (
        _BUYER,
        Column("name", "name", cells.words("a name", 120), "blank for one that was erased"),
        Column("contact", "contact", cells.words("an address for messages", 200), "tells one from another"),
        Column("address", "address", cells.words("an address", 1000), "where to send"),
        Column("place", "place", _NAME, "destination, as your list of places names it"),
        Column("erased_at", "erased_at", cells.INSTANT, "when the buyer was erased"),
    ),
)
RELEASES = Sheet(
    "releases",
    frozenset({"opens_at", "closes_at"}),
    (
        Column("name", "name", _NAME, "what you call the release", needed=True),
        Column("state", "state", cells.one_of("drafted", "open", "closed"), "blank: drafted"),
        Column("opens_at", "opens_at", cells.INSTANT, "the opening you announced"),
        Column("closes_at", "closes_at", cells.INSTANT, "the closing you announced"),
        Column("opened_at", "opened_at", cells.INSTANT, "when you opened it"),
        Column("closed_at", "closed_at", cells.INSTANT, "when you closed it"),
        Column("note", "note", _WORDS, "words beside it"),
    ),
)
LINES = Sheet(
    "lines",
    frozenset({"release", "limit_per_buyer"}),
    (
        Column("release", "release", _RELEASE, "in which it is offered", needed=True),
        Column("taxon", "taxon", _TAXON, "what is offered", needed=True),
        Column("grade", "grade", _GRADE, "the size", needed=True),
        Column("price", "price_minor", cells.MONEY, "of one plant", needed=True),
        Column("limit_per_buyer", "limit_per_buyer", _ONE, "blank: none"),
        Column("text", "text", _WORDS, "for the announcement"),
        Column("photo", "photo", cells.words("a file", 100), "beside this file, in the folder photos"),
    ),
)
ORDERS = Sheet(
    "orders",
    frozenset({"order", "placed_at"}),
    (
        Column("order", "order", _ONE, "its number", needed=True),
        Column("key", "key", cells.words("an id", 200), "the id its maker gave it", needed=True),
        Column("digest", "digest", cells.words("64 signs", 64), "what was asked with the id, in short"),
        _BUYER,
        Column("release", "release", _RELEASE, "blank: of none, or of several"),
        Column("state", "state", cells.one_of(*ORDER_STATES), "how far it has come", needed=True),
        Column("channel", "channel", cells.one_of(*CHANNELS), "how it came", needed=True),
        Column("reference", "reference", cells.words("a number", 80), "the web shop's own"),
        Column("placed_at", "placed_at", cells.INSTANT, "when it was placed", needed=True),
        Column("paid_at", "paid_at", cells.INSTANT, "when it was paid"),
        Column("packed_at", "packed_at", cells.INSTANT, "when it was packed"),
        Column("sent_at", "sent_at", cells.INSTANT, "when it left"),
        Column("arrived_at", "arrived_at", cells.INSTANT, "when it arrived"),
        Column("cancelled_at", "cancelled_at", cells.INSTANT, "when it was cancelled"),
        Column("postage", "postage_minor", cells.MONEY, "charged"),
        Column("fee", "fee_minor", cells.MONEY, "what the payment took; blank: by the settings"),
        Column("refund", "refund_minor", cells.MONEY, "paid back"),
        Column("cancel_reason", "cancel_reason", cells.words("any words", 300), "why"),
        Column("ship_on", "ship_on", cells.DAY, "the day it is to leave"),
        Column("note", "note", _WORDS, "words beside it"),
        Column("place_notes", "place_notes", cells.JSON, "what your list of places said"),
        Column("who", "who", _NAME, "who wrote it down"),
        Column("refunded_at", "refunded_at", cells.INSTANT, "when money went back last"),
    ),
)
ORDER_LINES = Sheet(
    "order_lines",
    frozenset({"order_line", "plants"}),
    (
        Column("order_line", "order_line", _ONE, "its own number", needed=True),
        Column("order", "order", _ONE, "the number of its order", needed=True),
        Column("release", "release", _RELEASE, "blank: sold without a line"),
        Column("taxon", "taxon", _TAXON, "what was ordered", needed=True),
        Column("grade", "grade", _GRADE, "the size; blank: nobody graded it"),
        Column("price", "price_minor", cells.MONEY, "of one plant", needed=True),
        Column("plants", "plants", _ONE, "as ordered", needed=True),
        Column("cancelled", "cancelled", _MANY, "of them"),
        Column("wanted_at", "wanted_at", cells.INSTANT, "when they were ordered or held", needed=True),
        Column("cancelled_at", "cancelled_at", cells.INSTANT, "when the last of it was"),
        Column("substitutes", "substitutes", _ONE, "the order line it stands in for"),
    ),
)
HOLDS = Sheet(
    "holds",
    frozenset({"until", "made_at"}),
    (
        Column("uuid", "uuid", cells.words("an id", 36), "its id", needed=True),
        Column("release", "release", _RELEASE, "of its line", needed=True),
        Column("taxon", "taxon", _TAXON, "of its line", needed=True),
        Column("grade", "grade", _GRADE, "of its line", needed=True),
        Column("buyer", "buyer", _ONE, "the buyer's number in buyers.csv"),
        Column("plants", "plants", _ONE, "put aside", needed=True),
        Column("until", "until", cells.INSTANT, "until when", needed=True),
        Column("state", "state", cells.one_of(*HOLD_STATES), "what became of it", needed=True),
        Column("made_at", "made_at", cells.INSTANT, "when it was made", needed=True),
        Column("ended_at", "ended_at", cells.INSTANT, "when it ended"),
        Column("order", "order", _ONE, "the order it has become"),
    ),
)
OFFERED = Sheet(
    "offered",
    frozenset({"offered_at", "batch"}),
    (
        Column("batch", "batch", _NAME, "of the pot", needed=True),
        Column("number", "number", _ONE, "of the pot in its batch", needed=True),
        Column("release", "release", _RELEASE, "of the line it stands behind; blank: of none"),
        Column("grade", "grade", _GRADE, "of that line"),
        Column("hold", "hold", cells.words("an id", 36), "the hold it is put aside for"),
        Column("order_line", "order_line", _ONE, "the order line it is promised to"),
        Column("offered_at", "offered_at", cells.INSTANT, "since when", needed=True),
        Column("taken_at", "taken_at", cells.INSTANT, "when it was held or ordered"),
        Column("ended_at", "ended_at", cells.INSTANT, "when it came off"),
        Column("ended_because", "ended_because", cells.words("taken back", 20), "why"),
    ),
)
SALES = (PLACES, SHOPS, BUYERS, RELEASES, LINES, ORDERS, ORDER_LINES, HOLDS, OFFERED)
