"""Selling as plain data: releases with their lines, holds, orders, buyers, rules of places."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

RELEASE_STATES = ("drafted", "open", "sold out", "closed")  # "sold out" follows from the pots, it is not kept
ORDER_STATES = ("placed", "paid", "packed", "sent", "arrived", "cancelled")
HOLD_STATES = ("held", "ordered", "run out", "let go")
CHANNELS = ("by hand", "file", "shop")  # typed in, brought by a file, placed by a program
RULE_KINDS = ("not allowed", "needs paper", "note")


@dataclass(frozen=True, slots=True)
class OfferedPot:
    """A pot that stands behind a line."""

    pot: int  # key
    name: str  # batch and number
    tank: str
    spot: str
    taxon: int
    taxon_name: str
    leaves: int | None
    state: str
    hold: str = ""  # uuid of the hold it is put aside for
    order: int | None = None  # number of the order it is promised to
    order_line: int | None = None


@dataclass(frozen=True, slots=True)
class LineFacts:
    """A taxon and grade offered in a release, with where its pots are."""

    key: int
    release: int
    taxon: int
    taxon_name: str
    grade: str
    price_minor: int
    limit_per_buyer: int | None  # None: no limit
    text: str
    offered: int  # pots behind it, those held and ordered included
    held: int
    ordered: int  # promised or sent
    free: int
    lost: int = 0  # ordered pots that died before they were sent and have no substitute
    sold_out_at: datetime | None = None  # when the last free pot went; None while one is free
    photo: str = ""  # path inside the book's photo folder


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """An opening of sales."""

    key: int
    name: str
    opens_at: datetime | None  # aware, UTC; None while nobody set it
    closes_at: datetime | None
    state: str  # one of RELEASE_STATES
    note: str
    lines: tuple[LineFacts, ...]
    opened_at: datetime | None = None  # when it was opened for orders: the grower's own deed
    closed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class NewBuyer:
    """What is needed of a buyer, and no more."""

    name: str
    contact: str = ""  # an address for messages; tells one buyer from another
    address: str = ""
    place: str = ""  # destination as rules of places name it
    key: int | None = None  # of a buyer the book knows: the rest is then left as it stands


@dataclass(frozen=True, slots=True)
class BuyerFacts(NewBuyer):
    """A buyer as the book holds it."""

    orders: int = 0
    erased_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class WantedLine:
    """So many plants of a line."""

    line: int
    plants: int


@dataclass(frozen=True, slots=True)
class NewHold:
    """Plants of one line to be put aside until an instant."""

    uuid: str  # from whoever asks: asking twice holds once
    line: int
    plants: int
    until: datetime
    buyer: NewBuyer | None = None


@dataclass(frozen=True, slots=True)
class HoldFacts:
    """A hold as the book keeps it."""

    uuid: str
    line: int
    taxon_name: str
    grade: str
    plants: int
    until: datetime
    state: str  # one of HOLD_STATES
    made_at: datetime
    buyer: BuyerFacts | None = None
    order: int | None = None


@dataclass(frozen=True, slots=True)
class NewOrder:
    """An order on its way into the book: granted whole or refused whole."""

    key: str  # idempotency key of whoever asks: the same key gives the same order
    buyer: NewBuyer
    lines: tuple[WantedLine, ...] = ()
    holds: tuple[str, ...] = ()  # uuids of holds that become part of the order
    pots: tuple[tuple[int, int], ...] = ()  # (pot, price_minor) sold by hand without a release
    channel: str = "by hand"
    reference: str = ""  # the web shop's own number
    placed_at: datetime | None = None  # when the buyer ordered, where that was earlier
    postage_minor: int = 0  # charged
    fee_minor: int | None = None  # what the payment or shop takes; None: by the money settings
    is_paid: bool = False
    note: str = ""
    papers_seen: bool = False  # the grower says that the papers a rule of the place asks for are there


@dataclass(frozen=True, slots=True)
class OrderLineFacts:
    """So many plants of a taxon and grade in an order."""

    key: int
    line: int | None
    taxon: int
    taxon_name: str
    grade: str
    price_minor: int  # each
    plants: int  # as ordered
    cancelled: int
    pots: tuple[OfferedPot, ...]  # promised to it
    missing: int = 0  # ordered, not cancelled, and no pot behind it: lost before sending
    substitutes: int | None = None  # key of the order line it stands in for
    wanted_at: datetime | None = None  # ordered, or held before it was ordered
    cancelled_at: datetime | None = None  # the last of it that was


@dataclass(frozen=True, slots=True)
class OrderFacts:
    """An order as the book holds it."""

    number: int
    key: str
    state: str  # one of ORDER_STATES
    buyer: BuyerFacts
    release: int | None
    release_name: str
    channel: str
    reference: str
    placed_at: datetime
    lines: tuple[OrderLineFacts, ...]
    postage_minor: int
    fee_minor: int | None
    note: str = ""
    paid_at: datetime | None = None
    packed_at: datetime | None = None
    sent_at: datetime | None = None
    arrived_at: datetime | None = None
    cancelled_at: datetime | None = None
    cancel_reason: str = ""
    refund_minor: int = 0
    ship_on: date | None = None
    refunded_at: datetime | None = None  # the last time that money went back
    place_notes: tuple[str, ...] = ()  # what the rules of the place said when it was placed

    @property
    def plants(self) -> int:
        """Plants still wanted."""
        return sum(line.plants - line.cancelled for line in self.lines)

    @property
    def goods_minor(self) -> int:
        """Price of the plants still wanted, without postage."""
        return sum((line.plants - line.cancelled) * line.price_minor for line in self.lines)


@dataclass(frozen=True, slots=True)
class PlaceRule:
    """What the grower's list says about sending plants to a place; the authority decides."""

    key: int
    place: str
    taxon: int | None  # None: any taxon
    taxon_name: str
    kind: str  # one of RULE_KINDS
    text: str
    checked_on: date | None  # when the grower last asked


@dataclass(frozen=True, slots=True)
class ShopColumns:
    """Which column of a web shop's file means what; mapped once and remembered."""

    name: str
    columns: Mapping[str, str] = field(default_factory=dict)  # our word -> the file's heading
    lines: Mapping[str, str] = field(default_factory=dict)  # the shop's article -> "taxon, grade"


@dataclass(frozen=True, slots=True)
class ApiKeyFacts:
    """A key by which a program is let in; its secret is not kept."""

    key: int
    name: str
    made_at: datetime
    last_used_on: date | None = None
    revoked_at: datetime | None = None
