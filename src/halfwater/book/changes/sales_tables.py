"""Tables of the book of sales on their way in: what the book has already is left alone."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.core.management.color import no_style
from django.db import IntegrityError, connection, transaction

from halfwater.book.changes.buyers import contact_mark
from halfwater.book.changes.places import place_mark
from halfwater.book.changes.promises import SENT_STATES
from halfwater.book.changes.sales_soundness import as_uuid
from halfwater.book.changes.table_rows import TableRow, TablesDone, key_meant, one
from halfwater.book.models import (
    Buyer,
    Hold,
    Line,
    OfferedPot,
    Order,
    OrderLine,
    PlaceRule,
    Release,
    ShopColumns,
    StandingPot,
)
from halfwater.book.models.kept import key_named
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import GONE_STATES

Fields = Mapping[str, Any]


@dataclass(slots=True)
class _Sales:
    """What the files' own numbers mean in the book; None for what the book had already."""

    who: str
    buyers: dict[int, int] = field(default_factory=dict)
    orders: dict[int, int | None] = field(default_factory=dict)
    order_lines: dict[int, int | None] = field(default_factory=dict)
    holds: set[UUID] = field(default_factory=set)  # new ones


def bring_sales(done: TablesDone, tables: Mapping[str, Sequence[TableRow]], who: str) -> None:
    """Bring in rules of places, shops, buyers, releases with their lines, orders, holds and offered pots."""
    sales = _Sales(who)
    savers: dict[str, tuple[str, Callable[[_Sales, Fields], bool]]] = {
        "places": ("rule of a place", _place),
        "shops": ("shop", _shop),
        "buyers": ("buyer", _buyer),
        "releases": ("release", _release),
        "lines": ("line", _line),
        "orders": ("order", _order),
        "order_lines": ("order line", _order_line),
        "holds": ("hold", _hold),
        "offered": ("offered pot", _offered),
    }
    for table, (noun, save) in savers.items():
        for row in tables.get(table, ()):
            if one(done, row, lambda fields, save=save: _sound(save, sales, fields)):
                done.new[noun] = done.new.get(noun, 0) + 1
    if sales.orders:
        with connection.cursor() as cursor:  # numbers given by hand: the next one comes after them
            for statement in connection.ops.sequence_reset_sql(no_style(), [Order]):
                cursor.execute(statement)


def _sound(save: Callable[[_Sales, Fields], bool], sales: _Sales, fields: Fields) -> bool:
    try:
        with transaction.atomic():
            return save(sales, fields)
    except IntegrityError as error:
        raise RefusedByBook("The book's own rules stand against this row.", str(error)) from error


def _place(sales: _Sales, fields: Fields) -> bool:
    own = {"taxon_id": key_meant("taxon", fields.get("taxon", "")), "kind": fields["kind"]}
    alike = PlaceRule.objects.filter(**own, text=fields.get("text", ""))
    if any(place_mark(row.place) == place_mark(fields["place"]) for row in alike):
        return False
    kept = {name: fields[name] for name in ("place", "text", "checked_on") if name in fields}
    return _written(PlaceRule(**own, **kept), sales)


def _shop(sales: _Sales, fields: Fields) -> bool:
    if key_named(ShopColumns, fields["name"]) is not None:
        return False
    words = {name: _words(name, fields.get(name, {})) for name in ("columns", "lines")}
    return _written(ShopColumns(name=fields["name"], **words), sales)


def _words(name: str, value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise RefusedInput(name, str(value), "names with what they mean")
    return value


def _buyer(sales: _Sales, fields: Fields) -> bool:
    own = {name: value for name, value in fields.items() if name != "buyer"}
    mark = contact_mark(own.get("contact", "")) or None
    alike = Buyer.objects.filter(contact_mark=mark) if mark else Buyer.objects.filter(**own)
    known = alike.exclude(pk__in=sales.buyers.values()).order_by("pk").first()
    row = known or Buyer(contact_mark=mark, **own)
    if known is None:
        row.save()
    sales.buyers[fields["buyer"]] = row.pk
    return known is None


def _release(sales: _Sales, fields: Fields) -> bool:
    return key_named(Release, fields["name"]) is None and _written(Release(**fields), sales)


def _line(sales: _Sales, fields: Fields) -> bool:
    place = {"release_id": _release_meant(fields), "taxon_id": key_meant("taxon", fields["taxon"])}
    own = {name: value for name, value in fields.items() if name not in ("release", "taxon")}
    if Line.objects.filter(**place, grade=own["grade"]).exists():
        return False
    return _written(Line(**place, **own), sales)


def _order(sales: _Sales, fields: Fields) -> bool:
    number = fields["order"]
    standing = Order.objects.filter(number=number).first()
    if standing is not None and standing.key == fields["key"]:
        sales.orders[number] = None
        return False
    if standing is not None or Order.objects.filter(key=fields["key"]).exists():
        raise RefusedByBook(f"The book has another order under number {number} or its key.", str(number))
    own = {name: value for name, value in fields.items() if name not in ("order", "buyer", "release")}
    release = _release_meant(fields) if fields.get("release") else None
    Order.objects.create(number=number, buyer_id=_buyer_meant(sales, fields), release_id=release, **own)
    sales.orders[number] = number
    return True


def _order_line(sales: _Sales, fields: Fields) -> bool:
    order = _known(sales.orders, "order", fields["order"])
    if order is None:
        sales.order_lines[fields["order_line"]] = None
        return False
    first = fields.get("substitutes")
    row = OrderLine.objects.create(
        order_id=order,
        line=_line_meant(fields, fields["taxon"]) if fields.get("release") else None,
        taxon_id=key_meant("taxon", fields["taxon"]),
        substitutes_id=None if first is None else _known(sales.order_lines, "substitutes", first),
        **{name: fields[name] for name in _OF_ORDER_LINE if name in fields},
    )
    sales.order_lines[fields["order_line"]] = row.pk
    return True


_OF_ORDER_LINE = ("grade", "price_minor", "plants", "cancelled", "wanted_at", "cancelled_at")
_OF_HOLD = ("plants", "until", "state", "made_at", "ended_at")
_OF_OFFER = ("offered_at", "taken_at", "ended_at", "ended_because")


def _hold(sales: _Sales, fields: Fields) -> bool:
    uuid = as_uuid("uuid", fields["uuid"])
    if Hold.objects.filter(pk=uuid).exists():
        return False
    Hold.objects.create(
        uuid=uuid,
        line=_line_meant(fields, fields["taxon"]),
        buyer_id=_buyer_meant(sales, fields) if "buyer" in fields else None,
        order_id=fields["order"] if _known(sales.orders, "order", fields.get("order")) else None,
        **{name: fields[name] for name in _OF_HOLD if name in fields},
    )
    sales.holds.add(uuid)
    return True


def _offered(sales: _Sales, fields: Fields) -> bool:
    batch = key_meant("batch", fields["batch"])
    pot = (
        StandingPot.objects.select_related("batch__taxon")
        .filter(batch=batch, number=fields["number"])
        .first()
    )
    if pot is None:
        raise RefusedInput("number", fields["number"], f"the number of a pot of batch {fields['batch']}")
    line = _line_meant(fields, pot.batch.taxon.name) if fields.get("release") else None
    if OfferedPot.objects.filter(pot=pot, line=line, offered_at=fields["offered_at"]).exists():
        return False
    order_line = _known(sales.order_lines, "order_line", fields.get("order_line"))
    if order_line is None and "order_line" in fields:
        return False  # the book had the order already, with its pots
    hold = as_uuid("hold", fields["hold"]) if fields.get("hold") else None
    row = OfferedPot(pot=pot, line=line, hold_id=hold, order_line_id=order_line)
    for name in _OF_OFFER:
        setattr(row, name, fields.get(name, getattr(row, name)))
    _refuse_gone(row)
    row.save()
    return True


def _refuse_gone(row: OfferedPot) -> None:
    """A pot that is offered stands, and one that was sent does not."""
    if row.ended_at is not None:
        return
    order = OrderLine.objects.select_related("order").filter(pk=row.order_line_id).first()
    is_sent = order is not None and order.order.state in SENT_STATES
    if is_sent != (row.pot.state in GONE_STATES):
        said = "was sent and is" if is_sent else "is offered and"
        raise RefusedByBook(f"Pot {row.pot} {said} {row.pot.state}: that cannot be.", str(row.pot))


def _written(row: Any, sales: _Sales) -> bool:
    row.changed_by = sales.who
    row.save()
    return True


def _known(numbers: Mapping[int, int | None], column: str, number: int | None) -> int | None:
    if number is None:
        return None
    if number not in numbers:
        raise RefusedInput(column, number, "a number that a row before has")
    return numbers[number]


def _buyer_meant(sales: _Sales, fields: Fields) -> int | None:
    return _known(sales.buyers, "buyer", fields["buyer"])


def _release_meant(fields: Fields) -> int:
    key = key_named(Release, fields["release"])
    if key is None:
        raise RefusedInput("release", fields["release"], "a release of the book or of releases.csv")
    return key


def _line_meant(fields: Fields, taxon: str) -> Line:
    row = Line.objects.filter(
        release=_release_meant(fields), taxon=key_meant("taxon", taxon), grade=fields.get("grade", "")
    ).first()
    if row is None:
        raise RefusedInput("grade", fields.get("grade", ""), f"a line of {taxon} in {fields['release']}")
    return row
