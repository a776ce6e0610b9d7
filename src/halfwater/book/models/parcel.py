"""Parcels, the plants in them, and how they arrived."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.box import BoxKind, HeatPackKind, LinerKind, Route
from halfwater.book.models.kept import kept_past
from halfwater.book.models.order import OrderLine
from halfwater.book.models.spot import StandingPot
from halfwater.plain.packing import PARCEL_STATES


class Parcel(models.Model):
    """A box for one buyer; `said` is what was said of it when it left."""

    uuid = models.UUIDField(unique=True)
    ship_on = models.DateField(null=True, db_index=True)
    state = models.CharField(max_length=10, default="packing")
    box = models.ForeignKey(BoxKind, models.PROTECT, null=True, related_name="parcels")
    liner = models.ForeignKey(LinerKind, models.PROTECT, null=True, related_name="parcels")
    pack = models.ForeignKey(HeatPackKind, models.PROTECT, null=True, related_name="parcels")
    packs = models.PositiveSmallIntegerField(default=0)
    route = models.ForeignKey(Route, models.SET_NULL, null=True, related_name="parcels")
    place = models.CharField(max_length=80, blank=True, default="")
    legs = models.JSONField(default=list, blank=True)
    said = models.JSONField(null=True)
    weight_kg = models.FloatField(null=True)
    tracking = models.CharField(max_length=80, blank=True, default="")
    postage_paid_minor = models.PositiveIntegerField(null=True)
    note = models.TextField(blank=True, default="")
    started_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    who = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(state__in=PARCEL_STATES), name="parcel_state"),
            models.CheckConstraint(
                condition=Q(state="packing", sent_at__isnull=True)
                | ~Q(state="packing") & Q(sent_at__isnull=False),
                name="parcel_sent",
            ),
            models.CheckConstraint(
                condition=Q(packs=0) | Q(pack__isnull=False), name="parcel_packs_of_a_kind"
            ),
        )

    def __str__(self) -> str:
        return f"parcel {self.pk}"


class ParcelItem(models.Model):
    """A plant of an order in a parcel; a pot is in one parcel at most."""

    parcel = models.ForeignKey(Parcel, models.CASCADE, related_name="items")
    pot = models.OneToOneField(StandingPot, models.PROTECT, related_name="parcel_item")
    order_line = models.ForeignKey(OrderLine, models.PROTECT, related_name="parcel_items")
    packed_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.pot_id} in {self.parcel_id}"


class Arrival(models.Model):
    """How a parcel arrived, as its buyer told or a logger read."""

    parcel = models.OneToOneField(Parcel, models.CASCADE, related_name="arrival")
    on = models.DateField()
    alive = models.PositiveIntegerField()
    damaged = models.PositiveIntegerField(default=0)
    late_days = models.FloatField(default=0.0)
    logger_low_c = models.FloatField(null=True)
    logger_high_c = models.FloatField(null=True)
    note = models.TextField(blank=True, default="")
    photo = models.CharField(max_length=100, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(damaged__lte=F("alive")), name="arrival_damaged_live"),
            models.CheckConstraint(condition=Q(late_days__gte=0), name="arrival_late"),
        )

    def __str__(self) -> str:
        return f"arrival of {self.parcel_id}"
