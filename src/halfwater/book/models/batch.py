"""Batches, and which batch was cut from which."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.kept import kept_past, one_name
from halfwater.book.models.taxon import Taxon
from halfwater.plain.stock import BLADES


class Batch(models.Model):
    """Sections potted together, from one parent or several."""

    name = models.CharField(max_length=80)
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="batches")
    potted_on = models.DateField()
    parent_note = models.CharField(max_length=300, blank=True, default="")
    blade = models.CharField(max_length=20, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            one_name("batch"),
            models.CheckConstraint(condition=Q(blade__in=("", *BLADES)), name="batch_blade"),
        )

    def __str__(self) -> str:
        return self.name


class Parentage(models.Model):
    """One parent of a batch: another batch, and the pot of it where that is known."""

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="parentages")
    parent = models.ForeignKey(Batch, models.PROTECT, related_name="children")
    pot = models.ForeignKey("StandingPot", models.PROTECT, null=True, related_name="children")

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("batch", "parent"), condition=Q(pot__isnull=True), name="parentage_one_a_batch"
            ),
            models.UniqueConstraint(
                fields=("batch", "pot"), condition=Q(pot__isnull=False), name="parentage_one_a_pot"
            ),
            models.CheckConstraint(condition=~Q(batch=F("parent")), name="parentage_not_its_own"),
        )

    def __str__(self) -> str:
        return f"{self.batch_id} from {self.parent_id}"
