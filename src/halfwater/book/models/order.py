"""Holds and orders, and the pots that stand behind lines and orders."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.buyer import Buyer
from halfwater.book.models.release import Line, Release
from halfwater.book.models.spot import StandingPot
from halfwater.book.models.taxon import Taxon
from halfwater.plain.selling import CHANNELS, HOLD_STATES, ORDER_STATES
from halfwater.plain.stock import GRADES

LIVE = Q(ended_at__isnull=True)


class Order(models.Model):
    """An order under its number; `key` is the id its maker gave it, `digest` tells what was asked with it."""

    number = models.BigAutoField(primary_key=True)
    key = models.CharField(max_length=200, unique=True)
    digest = models.CharField(max_length=64, blank=True, default="")
    buyer = models.ForeignKey(Buyer, models.PROTECT, related_name="orders")
    release = models.ForeignKey(Release, models.PROTECT, null=True, related_name="orders")
    state = models.CharField(max_length=10, default="placed")
    channel = models.CharField(max_length=10)
    reference = models.CharField(max_length=80, blank=True, default="")
    placed_at = models.DateTimeField(db_index=True)
    paid_at = models.DateTimeField(null=True)
    packed_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    arrived_at = models.DateTimeField(null=True)
    cancelled_at = models.DateTimeField(null=True)
    postage_minor = models.PositiveIntegerField(default=0)
    fee_minor = models.PositiveIntegerField(null=True)
    refund_minor = models.PositiveIntegerField(default=0)
    refunded_at = models.DateTimeField(null=True)  # the last time that money went back
    cancel_reason = models.CharField(max_length=300, blank=True, default="")
    ship_on = models.DateField(null=True)
    note = models.TextField(blank=True, default="")
    place_notes = models.JSONField(default=list, blank=True)
    who = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("channel", "reference"), condition=~Q(reference=""), name="order_one_a_reference"
            ),
            models.CheckConstraint(condition=Q(state__in=ORDER_STATES), name="order_state"),
            models.CheckConstraint(condition=Q(channel__in=CHANNELS), name="order_channel"),
            models.CheckConstraint(
                condition=Q(cancelled_at__isnull=True) & ~Q(state="cancelled")
                | Q(cancelled_at__isnull=False, state="cancelled"),
                name="order_cancelled",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=("sent", "arrived")) | Q(sent_at__isnull=False), name="order_sent"
            ),
        )

    def __str__(self) -> str:
        return f"order {self.number}"


class OrderLine(models.Model):
    """So many plants of a taxon and grade in an order."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="lines")
    line = models.ForeignKey(Line, models.PROTECT, null=True, related_name="order_lines")
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="+", db_index=False)
    grade = models.CharField(max_length=10, blank=True, default="")
    price_minor = models.PositiveIntegerField()
    plants = models.PositiveIntegerField()
    cancelled = models.PositiveIntegerField(default=0)
    wanted_at = models.DateTimeField()  # ordered, or held before it was ordered
    cancelled_at = models.DateTimeField(null=True)  # the last plant of it that was
    substitutes = models.ForeignKey("self", models.PROTECT, null=True, related_name="stands_in")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(grade__in=("", *GRADES)), name="order_line_grade"),
            models.CheckConstraint(
                condition=Q(plants__gte=1, cancelled__lte=F("plants")), name="order_line_plants"
            ),
        )

    def __str__(self) -> str:
        return f"{self.plants} of {self.taxon_id}"


class Hold(models.Model):
    """Plants put aside until an instant; it is freed by the next write on its line after that."""

    uuid = models.UUIDField(primary_key=True, editable=False)
    line = models.ForeignKey(Line, models.PROTECT, related_name="holds")
    buyer = models.ForeignKey(Buyer, models.PROTECT, null=True, related_name="holds")
    plants = models.PositiveIntegerField()
    until = models.DateTimeField()
    state = models.CharField(max_length=10, default="held")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    order = models.ForeignKey(Order, models.PROTECT, null=True, related_name="holds")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(state__in=HOLD_STATES), name="hold_state"),
            models.CheckConstraint(
                condition=Q(state="held", ended_at__isnull=True)
                | ~Q(state="held") & Q(ended_at__isnull=False),
                name="hold_ended",
            ),
            models.CheckConstraint(condition=Q(plants__gte=1), name="hold_plants"),
        )

    def __str__(self) -> str:
        return f"{self.plants} until {self.until}"


class OfferedPot(models.Model):
    """A pot behind a line or an order. One live row a pot is the law that a pot is sold once.

    The row of a pot that was sent lives on for ever. `taken_at` is the instant at
    which the pot was held or ordered; it stays when the hold becomes an order.
    """

    line = models.ForeignKey(Line, models.PROTECT, null=True, related_name="offered", db_index=False)
    pot = models.ForeignKey(StandingPot, models.PROTECT, related_name="offers")
    hold = models.ForeignKey(Hold, models.PROTECT, null=True, related_name="pots", db_index=False)
    order_line = models.ForeignKey(OrderLine, models.PROTECT, null=True, related_name="pots", db_index=False)
    offered_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    ended_because = models.CharField(max_length=20, blank=True, default="")

    class Meta:
        indexes = (
            models.Index(fields=("line",), condition=Q(line__isnull=False), name="offered_line"),
            models.Index(fields=("hold",), condition=Q(hold__isnull=False), name="offered_hold"),
            models.Index(
                fields=("order_line",), condition=Q(order_line__isnull=False), name="offered_order_line"
            ),
            models.Index(
                fields=("line", "id"),
                condition=Q(ended_at__isnull=True, order_line__isnull=True),
                name="offered_free",
            ),
        )
        constraints = (
            models.UniqueConstraint(fields=("pot",), condition=LIVE, name="offered_once"),
            models.CheckConstraint(
                condition=Q(hold__isnull=True) | Q(order_line__isnull=True), name="offered_to_one"
            ),
            models.CheckConstraint(
                condition=Q(line__isnull=False) | Q(order_line__isnull=False), name="offered_for_something"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_because="")
                | Q(ended_at__isnull=False) & ~Q(ended_because=""),
                name="offered_ended_because",
            ),
        )

    def __str__(self) -> str:
        return f"{self.pot_id} behind {self.line_id}"
