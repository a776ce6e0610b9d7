"""Entries: one thing noted, never edited, voided at most."""

import uuid

from django.db import models
from django.db.models import Q

from halfwater.book.models.batch import Batch
from halfwater.book.models.mix import Mix
from halfwater.book.models.spot import StandingPot
from halfwater.book.models.tank import Tank
from halfwater.plain.entry import KIND_UNITS, POT_KINDS

STANDING = Q(voided_at__isnull=True)


class Entry(models.Model):
    """One thing noted at an instant, under the id its maker gave it."""

    uuid = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=10)
    at = models.DateTimeField()
    day = models.DateField()
    tank = models.ForeignKey(Tank, models.PROTECT, null=True, related_name="entries", db_index=False)
    value = models.FloatField(null=True)
    second = models.FloatField(null=True)
    third = models.FloatField(null=True)
    to_line = models.CharField(max_length=10, blank=True, default="")
    word = models.CharField(max_length=40, blank=True, default="")
    text = models.TextField(blank=True, default="")
    typed = models.CharField(max_length=80, blank=True, default="")
    mix = models.ForeignKey(Mix, models.PROTECT, null=True, related_name="+", db_index=False)
    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="entries", db_index=False)
    spot = models.CharField(max_length=10, blank=True, default="")
    pot = models.ForeignKey(StandingPot, models.PROTECT, null=True, related_name="entries", db_index=False)
    pot_before = models.JSONField(null=True)  # how the pot stood before this entry, where it changed it
    photo = models.CharField(max_length=100, blank=True, default="")
    corrects = models.UUIDField(null=True)
    who = models.CharField(max_length=80, blank=True, default="")
    noted_at = models.DateTimeField()
    voided_at = models.DateTimeField(null=True)
    voided_by = models.CharField(max_length=80, blank=True, default="")
    void_reason = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        indexes = (
            models.Index(fields=("tank", "kind", "at"), condition=STANDING, name="entry_standing"),
            models.Index(fields=("tank", "at"), name="entry_tank_at"),
            models.Index(fields=("kind", "at"), name="entry_kind_at"),
            models.Index(fields=("at",), name="entry_at"),
            models.Index(fields=("pot", "kind", "at"), condition=Q(pot__isnull=False), name="entry_pot"),
        )
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=tuple(KIND_UNITS)), name="entry_kind"),
            models.CheckConstraint(
                condition=~Q(kind__in=POT_KINDS) | Q(pot__isnull=False), name="entry_of_a_pot"
            ),
            models.CheckConstraint(
                condition=Q(value__isnull=True) | Q(kind="air") | Q(value__gte=0), name="entry_value"
            ),
            models.CheckConstraint(condition=Q(second__isnull=True) | Q(second__gte=0), name="entry_second"),
            models.CheckConstraint(condition=Q(third__isnull=True) | Q(third__gte=0), name="entry_third"),
            models.CheckConstraint(
                condition=Q(to_line="") | Q(to_line="low", kind="siphon"), name="entry_to_line"
            ),
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, void_reason="")
                | Q(voided_at__isnull=False) & ~Q(void_reason=""),
                name="entry_void_has_reason",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.at}"
