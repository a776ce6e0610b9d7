"""A web shop's file of orders, read: its columns by our words, its rows joined into orders."""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from halfwater.deeds.csv_files import BadCell, table_of, without_blank_end
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.nursery import NurseryFacts

# our word -> headings it is often found under, as letters only
WORDS: dict[str, tuple[str, ...]] = {
    "reference": ("reference", "order", "ordernumber", "orderno", "orderid", "ordernr", "number"),
    "article": ("article", "sku", "item", "product", "itemname", "productname", "articlename", "line"),
    "variant": ("variant", "option", "grade", "size", "variation"),
    "plants": ("plants", "quantity", "qty", "pieces", "amount", "count"),
    "name": ("name", "buyer", "customer", "customername", "recipient", "shippingname"),
    "contact": ("contact", "email", "mail", "emailaddress", "customeremail"),
    "address": ("address", "shippingaddress", "street", "addressline"),
    "place": ("place", "country", "region", "shippingcountry", "destination", "countrycode"),
    "placed_at": ("placedat", "date", "orderdate", "ordered", "createdat", "placed", "time"),
    "postage": ("postage", "shipping", "shippingcost", "delivery", "shippingprice"),
    "paid": ("paid", "paymentstatus", "payment", "ispaid", "status"),
    "note": ("note", "comment", "message", "customernote", "remark"),
}
NEEDED = ("reference", "article", "plants", "name")
_PAID = ("paid", "yes", "true", "1", "completed", "complete", "settled", "x")
_SIGNS = re.compile(r"[€$£¥\s\u00a0]")
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ ,T]+(\d{1,2}):(\d{2})(?::\d{2})?)?")
_AT_ACCEPTED = "a date and time such as 2026-12-05 19:03 or 5.12.2026 19:03"


@dataclass(frozen=True, slots=True)
class FileLine:
    """An article of an order and how many of it."""

    row: int  # as a spreadsheet counts
    article: str
    plants: int


@dataclass(slots=True)
class FileOrder:
    """One order of a file, its rows joined."""

    reference: str
    row: int
    name: str = ""
    contact: str = ""
    address: str = ""
    place: str = ""
    note: str = ""
    placed_at: datetime | None = None
    postage_minor: int = 0
    is_paid: bool = False
    lines: list[FileLine] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class OrderTable:
    """A file as read: its headings, which of them mean what, and its orders."""

    headings: tuple[str, ...]
    columns: Mapping[str, str]  # our word -> heading
    orders: tuple[FileOrder, ...]
    absent: Mapping[str, str] = field(default_factory=dict)  # remembered, needed by no order, and not there


def read_order_table(
    name: str,
    data: bytes,
    told: Mapping[str, str],
    nursery: NurseryFacts,
    bad: list[BadCell],
    remembered: Mapping[str, str] | None = None,
) -> OrderTable | None:
    """The orders of a file; `told` says which heading means what, the rest is guessed from the words.

    What is `remembered` of files before counts as told; but a file may lack such a column where no order
    needs it: its cells are then empty, and no other heading is guessed in its place.
    """
    table = table_of(name, data, bad)
    if table is None:
        return None
    headings = [cell.strip() for cell in without_blank_end(table[0], 0)]
    before = {word: heading for word, heading in (remembered or {}).items() if word not in told}
    absent = {
        word: heading
        for word, heading in before.items()
        if word in WORDS and word not in NEEDED and heading not in headings
    }
    told = {**{word: heading for word, heading in before.items() if word not in absent}, **told}
    columns = _columns(name, headings, told, absent, bad)
    if columns is None:
        return OrderTable(tuple(headings), guess_columns(headings, told, absent), (), absent)
    found: dict[str, FileOrder] = {}
    for number, cells in enumerate(table[1:], start=2):
        if any(cell.strip() for cell in cells):
            if any(cell.strip() for cell in cells[len(headings) :]):
                over = "no more cells than headings; a comma within a cell needs quotes around the cell"
                bad.append(BadCell(name, number, "after the last", cells[len(headings)], over))
                continue
            filled = dict(zip(headings, [*cells, *[""] * len(headings)], strict=False))
            row = {word: filled[heading].strip() for word, heading in columns.items()}
            _add(found, _Row(name, number, row, columns, bad), nursery)
    return OrderTable(tuple(headings), columns, tuple(found.values()), absent)


def guess_columns(
    headings: Sequence[str], told: Mapping[str, str], absent: Collection[str] = ()
) -> dict[str, str]:
    """Which heading means what: as told, else the first of the words it is often found under."""
    letters = {re.sub(r"[^a-z]", "", heading.lower()): heading for heading in reversed(headings)}
    found = {word: heading for word, heading in told.items() if heading in headings}
    for word, names in WORDS.items():
        taken = set(found.values())
        guess = next((letters[one] for one in names if one in letters and letters[one] not in taken), None)
        if word not in found and word not in absent and guess is not None:
            found[word] = guess
    return found


def _columns(
    name: str, headings: list[str], told: Mapping[str, str], absent: Collection[str], bad: list[BadCell]
) -> dict[str, str] | None:
    before = len(bad)
    for word, heading in told.items():
        if word not in WORDS:
            bad.append(BadCell(name, 1, heading, word, f"one of {', '.join(WORDS)}"))
        elif heading not in headings:
            bad.append(BadCell(name, 1, word, heading, f"a heading of this file: {', '.join(headings)}"))
    found = guess_columns(headings, told, absent)
    for heading in found.values():
        if headings.count(heading) > 1:
            bad.append(BadCell(name, 1, heading, heading, "a heading that one column alone has"))
    for word in NEEDED:
        if word not in found:
            bad.append(
                BadCell(name, 1, word, "", f"say which column this is; the file has {', '.join(headings)}")
            )
    return found if len(bad) == before else None


@dataclass(frozen=True, slots=True)
class _Row:
    """One row by our words, with where its refusals go."""

    file: str
    number: int
    cells: Mapping[str, str]
    columns: Mapping[str, str]
    bad: list[BadCell]

    def refuse(self, word: str, accepted: str) -> None:
        """Name a cell that cannot be used."""
        column = self.columns.get(word, word)
        self.bad.append(BadCell(self.file, self.number, column, self.cells.get(word, ""), accepted))

    def read(self, word: str, reader: Callable[[str], object]) -> object:
        """What a reader makes of a cell; None where it is empty or cannot be used."""
        text = self.cells.get(word, "")
        try:
            return reader(text) if text else None
        except RefusedInput as refused:
            self.refuse(word, refused.accepted)
            return None


def _add(found: dict[str, FileOrder], row: _Row, nursery: NurseryFacts) -> None:
    """Add a row to its order; what the first row leaves empty a later one may fill."""
    reference = row.cells["reference"]
    if not reference or len(reference) > 60:
        row.refuse("reference", "the shop's own number of the order, of 1 to 60 signs")
        return
    order = found.setdefault(reference, FileOrder(reference, row.number))
    for word in ("name", "contact", "address", "place", "note"):
        if row.cells.get(word) and not getattr(order, word):
            setattr(order, word, row.cells[word])
    placed_at = row.read("placed_at", lambda text: read_placed(text, nursery))
    if isinstance(placed_at, datetime) and order.placed_at is None:
        order.placed_at = placed_at
    postage = row.read("postage", lambda text: read_money(_SIGNS.sub("", text), nursery.currency))
    if isinstance(postage, int) and not order.postage_minor:
        order.postage_minor = postage
    order.is_paid = order.is_paid or row.cells.get("paid", "").lower() in _PAID
    plants, article = row.cells["plants"], f"{row.cells['article']} {row.cells.get('variant', '')}".strip()
    if not re.fullmatch(r"[1-9][0-9]{0,3}(?:[.,]0+)?", plants):
        row.refuse("plants", "a whole number of plants such as 2")
    elif not article:
        row.refuse("article", "what was ordered, such as “Anubias nana, standard”")
    else:
        order.lines.append(FileLine(row.number, article, int(re.split("[.,]", plants)[0])))
    if not order.name and row.number == order.row:
        row.refuse("name", "the buyer's name")


def read_placed(text: str, nursery: NurseryFacts) -> datetime:
    """An instant as web shops write it; without a zone it is on the nursery's clock."""
    dotted = _DAY_FIRST.fullmatch(text)
    try:
        if dotted:
            day, month, year, hour, minute = (int(part or 0) for part in dotted.groups())
            at = datetime(year, month, day, hour, minute)  # noqa: DTZ001 (its zone comes next)
        else:
            at = datetime.fromisoformat(text)
    except ValueError:
        raise RefusedInput("placed_at", text, _AT_ACCEPTED) from None
    local = at if at.tzinfo else at.replace(tzinfo=ZoneInfo(nursery.time_zone))
    return local.astimezone(UTC)
