"""What goes in and out, with the limits of each value."""

from datetime import datetime
from typing import Annotated, Literal
from uuid import UUID

from ninja import Field, Schema
from pydantic import AwareDatetime, BeforeValidator, ConfigDict, StrictBool, StringConstraints

LARGEST = 2**31 - 1


def _number(value: object) -> object:
    """JSON has one kind of number, so 2.0 is whole; a text or a truth value is none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("a whole number is wanted")
    return value


def _text(value: object) -> object:
    """An instant comes as text."""
    if value is not None and not isinstance(value, str | datetime):
        raise ValueError("an instant as text is wanted")
    return value


Instant = Annotated[AwareDatetime, BeforeValidator(_text)]
Key = Annotated[int, Field(ge=1, le=LARGEST), BeforeValidator(_number)]
Plants = Annotated[int, Field(ge=1, le=10_000), BeforeValidator(_number)]
Money = Annotated[
    int, Field(ge=0, le=1_000_000_000, description="in the smallest coin"), BeforeValidator(_number)
]
_SIGNS = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f]*$"


_SOME = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f]*[^\x00-\x20\x7f-\xa0][^\x00-\x08\x0b\x0c\x0e-\x1f]*$"


def _words(most: int, least: int = 0) -> type[str]:
    signs = _SOME if least else _SIGNS
    return Annotated[str, StringConstraints(min_length=least, max_length=most, pattern=signs)]  # type: ignore[return-value]


class Asked(Schema):
    """What a program sends: nothing that is not known here."""

    model_config = ConfigDict(extra="forbid")


class BuyerIn(Asked):
    """What is needed of a buyer, and no more."""

    name: _words(120, 1)  # type: ignore[valid-type]
    contact: _words(200) = ""  # type: ignore[valid-type]
    address: _words(1000) = ""  # type: ignore[valid-type]
    place: _words(80) = Field("", description="as the grower's list of places names it")  # type: ignore[valid-type]


class WantedIn(Asked):
    """So many plants of a line."""

    line: Key
    plants: Plants


class HoldIn(Asked):
    """Plants of one line, put aside for some minutes."""

    line: Key
    plants: Plants
    minutes: Annotated[int, Field(ge=1, le=7 * 24 * 60), BeforeValidator(_number)] = 15
    buyer: BuyerIn | None = None


class OrderIn(Asked):
    """An order: granted whole or refused whole. It wants at least one line or one hold."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "anyOf": [
                {"required": [name], "properties": {name: {"minItems": 1}}} for name in ("lines", "holds")
            ]
        },
    )

    buyer: BuyerIn
    lines: list[WantedIn] = Field(default_factory=list, max_length=100)
    holds: list[UUID] = Field(default_factory=list, max_length=100)
    reference: _words(80) = Field("", description="the shop's own number")  # type: ignore[valid-type]
    placed_at: Instant | None = Field(None, description="when the buyer ordered, if that was earlier")
    postage_minor: Money = 0
    fee_minor: Money | None = None
    is_paid: StrictBool = False
    note: _words(2000) = ""  # type: ignore[valid-type]
    papers_seen: StrictBool = Field(False, description="the papers that the place asks for are there")


Form = Literal["newsletter", "html", "csv", "json-ld", "atom"]


class CancelIn(Asked):
    """Why an order is cancelled, whole."""

    reason: _words(300, 1)  # type: ignore[valid-type]
    refund_minor: Money = 0


class Part(Asked):
    """Which part of a long list."""

    limit: Annotated[int, Field(ge=1, le=100)] = 20
    offset: Annotated[int, Field(ge=0, le=1_000_000)] = 0


class LineOut(Schema):
    """A taxon and grade on sale."""

    key: int
    taxon_name: str
    grade: str
    price_minor: int
    limit_per_buyer: int | None
    free: int
    text: str


class ReleaseOut(Schema):
    """An opening of sales."""

    key: int
    name: str
    state: str
    opens_at: datetime | None
    closes_at: datetime | None
    note: str
    currency: str
    lines: list[LineOut]


class ReleasesOut(Schema):
    """The releases that were opened, the last first."""

    releases: list[ReleaseOut]


class HoldOut(Schema):
    """A hold as it stands."""

    uuid: str
    line: int
    plants: int
    until: datetime
    state: str
    order: int | None


class OrderedOut(Schema):
    """So many plants of a line in an order."""

    line: int | None
    taxon_name: str
    grade: str
    price_minor: int
    plants: int
    cancelled: int


class OrderOut(Schema):
    """An order as it stands; of the buyer only what the program sent itself is known to it."""

    number: int
    state: str
    reference: str
    placed_at: datetime
    currency: str
    goods_minor: int
    postage_minor: int
    lines: list[OrderedOut]
    place_notes: list[str]
    sent_at: datetime | None


class OrdersOut(Schema):
    """Some of a program's orders, the newest first; `total` counts all."""

    total: int
    orders: list[OrderOut]


class StockOut(Schema):
    """How many pots of a taxon and grade are ready and not offered yet."""

    taxon_name: str
    grade: str
    ready: int


class StocksOut(Schema):
    """What is ready."""

    stock: list[StockOut]


class Problem(Schema):
    """Why a request was not granted (RFC 9457)."""

    type: Literal["about:blank"] = "about:blank"
    title: str
    status: int
    detail: str
    field: str | None = None
    accepted: str | None = None
