"""Pots behind lines and orders, one by one."""

from datetime import datetime

from django.db.models import F, Q
from django.utils import timezone

from halfwater.book.models import OfferedPot as Offer
from halfwater.book.models.order import LIVE
from halfwater.plain.selling import OfferedPot

SENT = ("sent", "arrived")
POT = (
    "pot_id",
    "pot__batch__name",
    "pot__number",
    "pot__spot__tank__name",
    "pot__spot__name",
    "pot__leaves",
    "pot__state",
)
_TAXON = ("line__taxon_id", "line__taxon__name")
_PROMISE = (
    "hold_id",
    "hold__until",
    "order_line__order_id",
    "order_line_id",
)
BY_PLACE = (
    F("pot__spot__tank__place").asc(nulls_last=True),
    "pot__spot__tank__name",
    "pot__spot__place",
    "pot__batch__name",
    "pot__number",
)


def promised_pots() -> dict[int, int]:
    """The pots that an order waits for, each with the order's number; not those that were sent."""
    rows = Offer.objects.filter(LIVE, order_line__isnull=False).exclude(order_line__order__state__in=SENT)
    return dict(rows.values_list("pot", "order_line__order"))


def offered_pots() -> dict[int, int]:
    """The pots behind lines that no order waits for, held ones included, each with its line."""
    rows = Offer.objects.filter(LIVE, order_line__isnull=True, line__isnull=False)
    return dict(rows.values_list("pot", "line"))


def line_pots(line: int, now: datetime | None = None) -> tuple[OfferedPot, ...]:
    """The pots behind a line in walking order, those that were sent last; a hold that ran out holds none."""
    now = now or timezone.now()
    rows = Offer.objects.filter(LIVE, line=line).order_by(*BY_PLACE).values_list(*POT, *_TAXON, *_PROMISE)
    found = []
    for pot, batch, number, tank, spot, leaves, state, taxon, taxon_name, hold, until, order, of in rows:
        held = str(hold) if hold is not None and until > now else ""
        name = f"{batch} {number}"
        found.append(
            OfferedPot(pot, name, tank or "", spot or "", taxon, taxon_name, leaves, state, held, order, of)
        )
    return tuple(found)


def is_free(now: datetime) -> Q:
    """Live rows that neither an order nor a hold that still runs waits for."""
    held = Q(hold__isnull=False, hold__until__gt=now)
    return LIVE & Q(order_line__isnull=True) & ~held
