"""Orders brought by a web shop's CSV file: columns mapped once, each order once, whole or not at all."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256

from halfwater.book import changes, queries
from halfwater.deeds.csv_files import BadCell, RefusedTable
from halfwater.deeds.order_rows import FileOrder, OrderTable, read_order_table
from halfwater.deeds.releases import line_named
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_list
from halfwater.plain.selling import (
    LineFacts,
    NewBuyer,
    NewOrder,
    OrderFacts,
    ReleaseFacts,
    ShopColumns,
    WantedLine,
)

_MOST_BYTES = 16_000_000
_BETWEEN = " · "  # between a shop's name, which then never holds it, and the shop's own number
_MOST_NAME = 17  # with that and the longest reference it fills what the book keeps
_MOST_NAME_BEFORE = 18  # when a space stood between


@dataclass(frozen=True, slots=True)
class NotGranted:
    """An order of the file that the book could not grant, and why."""

    reference: str
    why: str


@dataclass(frozen=True, slots=True)
class BroughtOrders:
    """What became of a file: orders by the shop's reference."""

    new: tuple[str, ...]
    kept: tuple[str, ...]  # there already
    paid: tuple[str, ...]  # there already, and paid since
    refused: tuple[NotGranted, ...]
    notes: tuple[str, ...] = ()  # what the file lacked that files before it had


@dataclass(frozen=True, slots=True)
class OrderPreview:
    """A file before it is brought: what its columns mean, what is new, and what cannot be used."""

    headings: tuple[str, ...]
    columns: Mapping[str, str]
    orders: tuple[FileOrder, ...]
    known: frozenset[str]  # references that are in the book
    bad: tuple[BadCell, ...]
    articles: tuple[str, ...]  # that name no line yet


def preview_order_file(
    data: bytes, shop: str, now: datetime, columns: Mapping[str, str] | None = None
) -> OrderPreview:
    """Read a file and write nothing."""
    bad: list[BadCell] = []
    table, remembered = _read(data, shop, columns, bad)
    if table is None:
        return OrderPreview((), {}, (), frozenset(), tuple(bad), ())
    lines = _Lines(queries.releases(now), remembered.lines)
    unknown = dict.fromkeys(
        line.article for order in table.orders for line in order.lines if lines.find(line.article) is None
    )
    known = frozenset(_known(shop))
    return OrderPreview(table.headings, table.columns, table.orders, known, tuple(bad), tuple(unknown))


def bring_order_file(
    data: bytes,
    shop: str,
    who: str,
    now: datetime,
    columns: Mapping[str, str] | None = None,
    articles: Mapping[str, str] | None = None,
) -> BroughtOrders:
    """Bring the orders of a file.

    Nothing is written where a cell cannot be used or an article names no line. Otherwise each order is
    granted whole or refused whole; a file brought again brings each order once, and marks as paid
    what was paid since. Columns and articles that were told are remembered under the shop's name.
    """
    bad: list[BadCell] = []
    table, remembered = _read(data, shop, columns, bad)
    if table is None:
        raise RefusedTable(bad)
    meant = {**remembered.lines, **(articles or {})}
    lines = _Lines(queries.releases(now), meant)
    bad += [
        BadCell("the file", line.row, table.columns["article"], line.article, lines.accepted)
        for order in table.orders
        for line in order.lines
        if lines.find(line.article) is None
    ]
    if bad:
        raise RefusedTable(bad)
    changes.save_shop_columns(shop, {**table.absent, **table.columns}, meant, who=who)
    return replace(_bring(table.orders, shop, lines, who, now), notes=_lacking(table))


def _lacking(table: OrderTable) -> tuple[str, ...]:
    """Columns that were told before and are not in this file."""
    if not table.absent:
        return ()
    named = show_list([f"“{heading}” ({word})" for word, heading in table.absent.items()])
    return (f"This file lacks {named}, which files of this shop had before: left empty.",)


def _bring(
    orders: tuple[FileOrder, ...], shop: str, lines: "_Lines", who: str, now: datetime
) -> BroughtOrders:
    known = _known(shop)
    new, kept, paid, refused = [], [], [], []
    for one in orders:
        standing = known.get(one.reference)
        try:
            if standing is None:
                changes.place_order(_asked(one, shop, lines), who=who, now=now)
                new.append(one.reference)
                continue
            if _wanted(standing) != _wanted_now(one, lines):
                why = f"It is order {standing.number} already, with other plants: change it by hand."
                refused.append(NotGranted(one.reference, why))
                continue
            kept.append(one.reference)
            if one.is_paid and standing.state == "placed":
                changes.mark_paid(standing.number, who=who, now=now)
                paid.append(one.reference)
        except HalfwaterError as refusal:
            refused.append(NotGranted(one.reference, str(refusal)))
    return BroughtOrders(tuple(new), tuple(kept), tuple(paid), tuple(refused))


def _read(
    data: bytes, shop: str, columns: Mapping[str, str] | None, bad: list[BadCell]
) -> tuple[OrderTable | None, ShopColumns]:
    name = shop.strip()
    if not name:
        raise RefusedInput("shop", shop, "the name under which the columns of this file are remembered")
    if len(data) > _MOST_BYTES:
        raise RefusedInput("file", f"{len(data)} bytes", "a CSV file of at most 16 MB")
    known = {one.name.casefold(): one for one in queries.shop_columns()}
    remembered = known.get(name.casefold(), ShopColumns(name))
    told = dict(columns) if columns is not None else {}
    table = read_order_table("the file", data, told, queries.nursery(), bad, remembered.columns)
    return table, remembered


def _known(shop: str) -> dict[str, OrderFacts]:
    """Orders of this shop's files by its reference, those of before included."""
    starts = (shop_reference(shop, ""), _reference_before(shop))
    found: dict[str, OrderFacts] = {}
    for one in queries.orders():
        start = next((start for start in starts if one.reference.startswith(start)), None)
        if one.channel == "file" and start is not None:
            found.setdefault(one.reference.removeprefix(start), one)
    return found


def shop_reference(shop: str, reference: str) -> str:
    """The shop's own number, told apart from any other shop's: a long name keeps its start and a mark."""
    name = shop.strip().casefold().replace("%", "%25").replace("·", "%b7")
    if len(name) > _MOST_NAME:
        name = f"{name[:8]}~{sha256(name.encode()).hexdigest()[:8]}"
    return f"{name}{_BETWEEN}{reference}"


def _reference_before(shop: str) -> str:
    """How the reference of an older order of this shop begins; “A” with “B 1” looked like “A B” with “1”."""
    name = shop.strip().casefold()
    if len(name) > _MOST_NAME_BEFORE:
        name = f"{name[:9]}~{sha256(name.encode()).hexdigest()[:8]}"
    return f"{name} "


def _asked(one: FileOrder, shop: str, lines: "_Lines") -> NewOrder:
    reference = shop_reference(shop, one.reference)
    return NewOrder(
        key=f"file {reference}", buyer=NewBuyer(one.name, one.contact, one.address, one.place),
        lines=tuple(WantedLine(line, plants) for line, plants in _wanted_now(one, lines).items()),
        channel="file", reference=reference, placed_at=one.placed_at, postage_minor=one.postage_minor,
        is_paid=one.is_paid, note=one.note,
    )  # fmt: skip


def _wanted_now(one: FileOrder, lines: "_Lines") -> dict[int, int]:
    wanted: dict[int, int] = {}
    for line in one.lines:
        found = lines.find(line.article)
        if found is not None:
            wanted[found.key] = wanted.get(found.key, 0) + line.plants
    return wanted


def _wanted(order: OrderFacts) -> dict[int, int]:
    """What an order asked for when it was placed; substitutes stand for what they replace."""
    wanted: dict[int, int] = {}
    for line in order.lines:
        if line.line is not None and line.substitutes is None:
            wanted[line.line] = wanted.get(line.line, 0) + line.plants
    return wanted


class _Lines:
    """Which line an article means: by our own number, as told before, or by taxon and grade."""

    def __init__(self, releases: tuple[ReleaseFacts, ...], told: Mapping[str, str]) -> None:
        self._open = [one for one in releases if one.state in ("open", "sold out")]
        self._by_sku = {f"{one.key}-{line.key}": line for one in releases for line in one.lines}
        self._told = {article.casefold(): meant for article, meant in told.items()}
        self._found: dict[str, LineFacts | None] = {}

    @property
    def accepted(self) -> str:
        """What would name a line."""
        names = [f"{line.taxon_name}, {line.grade}" for one in self._open for line in one.lines]
        return f"one of {show_list(names)}" if names else "a line of an open release; none is open"

    def find(self, article: str) -> LineFacts | None:
        """The line, or None where none or several are meant."""
        if article not in self._found:
            self._found[article] = self._look(article)
        return self._found[article]

    def _look(self, article: str) -> LineFacts | None:
        meant = self._told.get(article.casefold(), article).strip()
        if meant in self._by_sku:
            return self._by_sku[meant]
        every = _all_lines(self._open)
        if every is None:
            return None
        try:
            return line_named(every, meant)
        except RefusedInput:
            return None


def _all_lines(releases: list[ReleaseFacts]) -> ReleaseFacts | None:
    """The lines of several releases as if they were of one."""
    if not releases:
        return None
    return replace(releases[0], lines=tuple(line for one in releases for line in one.lines))
