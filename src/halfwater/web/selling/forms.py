"""The forms of Sales."""

from dataclasses import replace
from datetime import datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.plain.figures import bare_money
from halfwater.plain.selling import (
    RULE_KINDS,
    BuyerFacts,
    LineFacts,
    OrderFacts,
    OrderLineFacts,
    ReleaseFacts,
)
from halfwater.plain.stock import GRADES
from halfwater.web.fields import Field, Form

_POTS_HELP = "A number takes the largest ready ones; or spots such as South A1-A4; North B2."


def release_form(known: ReleaseFacts | None) -> Form:
    """A release with its instants."""
    return Form(
        (
            Field("name", "Name", known.name if known else "", help="Such as December."),
            Field(
                "opens",
                "Opens",
                _local(known.opens_at if known else None),
                type="datetime-local",
                is_optional=True,
            ),
            Field(
                "closes",
                "Closes",
                _local(known.closes_at if known else None),
                type="datetime-local",
                is_optional=True,
            ),
            Field(
                "note",
                "What buyers should know",
                known.note if known else "",
                type="area",
                is_optional=True,
                is_wide=True,
            ),
        ),
        action=reverse("release-edit", args=[known.key]) if known else reverse("release-new"),
    )


def line_form(release: int) -> Form:
    """A new line, with the pots behind it."""
    currency = queries.nursery().currency
    standing = {one.taxon_name for one in queries.batches()}
    taxa = tuple((name, name) for name in sorted(standing, key=str.casefold))
    fields = (
        Field("taxon", "Taxon", type="select", choices=taxa),
        Field("grade", "Grade", "standard", type="choice", choices=tuple((one, one) for one in GRADES)),
        Field(
            "price",
            "Price",
            "",
            currency,
            help="Left empty: the usual one.",
            is_optional=True,
            inputmode="decimal",
        ),
        Field("limit", "Plants a buyer may have", is_optional=True, inputmode="numeric"),
        Field("pots", "Pots behind it", is_optional=True, help=_POTS_HELP),
        Field("text", "Words for buyers", type="area", is_optional=True),
        Field("photo", "Photo", type="file", is_optional=True, help="Goes with the announcement."),
    )
    return _prefixed(fields, "line", reverse("line-new", args=[release]))


def change_line_form(line: LineFacts) -> Form:
    """What can be changed of a line."""
    currency = queries.nursery().currency
    limit = "" if line.limit_per_buyer is None else f"{line.limit_per_buyer}"
    fields = [
        Field("price", "Price", bare_money(line.price_minor, currency), currency, inputmode="decimal"),
        Field(
            "limit",
            "Plants a buyer may have",
            limit,
            help="Left empty: no limit.",
            is_optional=True,
            inputmode="numeric",
        ),
        Field("text", "Words for buyers", line.text, type="area", is_optional=True),
        Field("photo", "Another photo" if line.photo else "Photo", type="file", is_optional=True),
    ]
    if line.photo:
        fields.append(Field("no_photo", "Take the photo away", type="tick"))
    action = reverse("line-step", args=[line.release, line.key, "change"])
    return _prefixed(tuple(fields), "change", action)


def offer_form(release: int, line: int) -> Form:
    """Pots put behind a line."""
    fields = (Field("pots", "Pots", help=_POTS_HELP),)
    return _prefixed(fields, "pots", reverse("line-pots", args=[release, line]))


def hold_form(line: LineFacts) -> Form:
    """Plants put aside for a buyer."""
    fields = (
        Field("plants", "Plants", "1", help=f"{line.free} are free.", inputmode="numeric"),
        Field("name", "Buyer", is_optional=True),
        Field("contact", "Where messages reach the buyer", is_optional=True),
        Field(
            "until",
            "Until",
            type="datetime-local",
            is_optional=True,
            help="Left empty: for one day.",
        ),
        Field("uuid", "", str(uuid4()), type="hidden"),
    )
    return _prefixed(fields, "hold", reverse("line-step", args=[line.release, line.key, "hold"]))


def order_form(release: ReleaseFacts) -> Form:
    """An order taken by hand on a release."""
    currency = queries.nursery().currency
    wanted = tuple(
        Field(
            f"plants_{line.key}",
            f"{line.taxon_name}, {line.grade}",
            help=_line_help(line),
            is_optional=True,
            inputmode="numeric",
        )
        for line in release.lines
    )
    return Form(
        (
            *wanted,
            Field("name", "Buyer"),
            Field("contact", "Where messages reach the buyer", is_optional=True),
            Field("address", "Address", type="area", is_optional=True),
            Field("place", "Place it goes to", is_optional=True, help="As your list of places names it."),
            Field("postage", "Postage charged", "", currency, is_optional=True, inputmode="decimal"),
            Field("note", "Note", is_optional=True),
            Field("paid", "It is paid", type="tick"),
            Field("papers", "The papers that the place asks for are there", type="tick"),
            Field("uuid", "", str(uuid4()), type="hidden"),
        ),
        action=reverse("order-new", args=[release.key]),
    )


def cancel_form(order: OrderFacts) -> Form:
    """Cancel an order, or a part of it."""
    currency = queries.nursery().currency
    parts = tuple(
        Field(
            f"part_{line.key}",
            f"Of {line.taxon_name}, {line.grade}",
            is_optional=True,
            inputmode="numeric",
            help=f"Of {line.plants - line.cancelled}. All left empty: the whole order.",
        )
        for line in order.lines
        if line.plants > line.cancelled
    )
    fields = (
        *parts,
        Field("reason", "Why"),
        Field("refund", "Money given back", "", currency, is_optional=True, inputmode="decimal"),
    )
    return _prefixed(fields, "cancel", reverse("order-cancel", args=[order.number]))


def ship_form(order: OrderFacts) -> Form:
    """The day on which an order leaves."""
    day = order.ship_on.isoformat() if order.ship_on else ""
    fields = (
        Field("ship_on", "Leaves on", day, type="date", is_optional=True, help="Empty: no day is set."),
    )
    return _prefixed(fields, "ship", reverse("order-ship", args=[order.number]))


def refund_form(order: OrderFacts) -> Form:
    """Money that was paid back, whatever became of the order."""
    currency = queries.nursery().currency
    amount = Field("refund", "Money given back", "", currency, inputmode="decimal")
    return _prefixed((amount,), "refund", reverse("order-refund", args=[order.number]))


def substitute_form(order: OrderFacts, line: OrderLineFacts) -> Form:
    """Other plants in place of some of an order line: of any line that is on offer."""
    currency = queries.nursery().currency
    lines = sorted(queries.open_lines(timezone.now()), key=lambda one: one.key != line.line)
    choices = tuple(
        (f"{one.key}", f"{one.taxon_name}, {one.grade}: {one.free} free") for one in lines if one.free
    )
    plants = f"{line.missing or line.plants - line.cancelled}"
    fields = (
        Field(
            "plants",
            "How many",
            plants,
            help=f"{line.missing} of them died." if line.missing else "",
            inputmode="numeric",
        ),
        Field(
            "from_line",
            "Free plants of",
            choices[0][0] if choices else "",
            type="select",
            choices=choices or (("", "nothing is free"),),
        ),
        Field(
            "price",
            "Price of each",
            "",
            currency,
            is_optional=True,
            inputmode="decimal",
            help="Left empty: as before.",
        ),
    )
    action = reverse("order-substitute", args=[order.number, line.key])
    return _prefixed(fields, f"others-{line.key}", action)


def buyer_form(known: BuyerFacts) -> Form:
    """What is kept of a buyer."""
    return Form(
        (
            Field("name", "Name", known.name),
            Field("contact", "Where messages reach the buyer", known.contact, is_optional=True),
            Field("address", "Address", known.address, type="area", is_optional=True),
            Field("place", "Place", known.place, is_optional=True, help="As your list of places names it."),
        ),
        action=reverse("buyer", args=[known.key]),
    )


def rule_form() -> Form:
    """A rule of a place."""
    taxa = (("", "any"), *((one.name, one.name) for one in queries.taxa()))
    fields = (
        Field("place", "Place", help="As buyers write it, such as a country or a region."),
        Field("taxon", "Taxon", type="select", choices=taxa, is_optional=True),
        Field("kind", "What it says", "note", type="choice", choices=tuple((one, one) for one in RULE_KINDS)),
        Field("text", "In words", is_optional=True, help="Such as the paper that is needed."),
        Field("checked_on", "Last asked on", type="date", is_optional=True),
    )
    return Form(fields, action=reverse("places-list"))


def _line_help(line: LineFacts) -> str:
    price = f"{bare_money(line.price_minor, queries.nursery().currency)} {queries.nursery().currency}"
    limit = f", at most {line.limit_per_buyer} a buyer" if line.limit_per_buyer else ""
    return f"{price} each, {line.free} free{limit}"


def _prefixed(fields: tuple[Field, ...], prefix: str, action: str) -> Form:
    return Form(tuple(replace(one, prefix=prefix) for one in fields), action=action)


def _local(at: datetime | None) -> str:
    if at is None:
        return ""
    return at.astimezone(ZoneInfo(queries.nursery().time_zone)).strftime("%Y-%m-%dT%H:%M")
