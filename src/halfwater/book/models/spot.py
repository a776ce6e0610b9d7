"""Spots on the floors, and the pots that stand, or stood, on them."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.batch import Batch
from halfwater.book.models.kept import kept_past
from halfwater.book.models.tank import Tank
from halfwater.plain.stock import GONE_STATES, GRADES, PIECES, POT_STATES


class Spot(models.Model):
    """A pot's place on a floor."""

    tank = models.ForeignKey(Tank, models.CASCADE, related_name="spots")
    name = models.CharField(max_length=10)
    place = models.PositiveIntegerField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("tank", "name"), name="spot_one_name_a_tank"),)

    def __str__(self) -> str:
        return self.name


class StandingPot(models.Model):
    """A pot of a batch: the spot it stands on, or none once it is sold or lost.

    `potted_tank` and `potted_spot` are where it stood first; where it stood
    since is told by its move entries.
    """

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="pots")
    number = models.PositiveIntegerField()
    spot = models.OneToOneField(Spot, models.PROTECT, null=True, related_name="pot")
    state = models.CharField(max_length=10)
    leaves = models.PositiveIntegerField(null=True)
    counted_on = models.DateField(null=True)
    potted_on = models.DateField(null=True)
    potted_tank = models.ForeignKey(Tank, models.SET_NULL, null=True, related_name="+")
    potted_spot = models.CharField(max_length=10, blank=True, default="")
    piece = models.CharField(max_length=10, blank=True, default="")
    section_mm = models.FloatField(null=True)
    first_leaves = models.PositiveIntegerField(null=True)
    rhizome_mm = models.FloatField(null=True)
    measured_on = models.DateField(null=True)
    grade = models.CharField(max_length=10, blank=True, default="")
    left_on = models.DateField(null=True)
    cause = models.CharField(max_length=40, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("batch", "number"), name="pot_one_number_a_batch"),
            models.CheckConstraint(condition=Q(state__in=POT_STATES), name="pot_state"),
            models.CheckConstraint(
                condition=Q(spot__isnull=True, state__in=GONE_STATES)
                | Q(spot__isnull=False) & ~Q(state__in=GONE_STATES),
                name="pot_stands_or_is_gone",
            ),
            models.CheckConstraint(condition=Q(piece__in=("", *PIECES)), name="pot_piece"),
            models.CheckConstraint(condition=Q(grade__in=("", *GRADES)), name="pot_grade"),
            models.CheckConstraint(
                condition=(Q(section_mm__isnull=True) | Q(section_mm__gt=0))
                & (Q(rhizome_mm__isnull=True) | Q(rhizome_mm__gt=0)),
                name="pot_lengths_above_zero",
            ),
            models.CheckConstraint(
                condition=Q(left_on__isnull=True) | Q(state__in=GONE_STATES), name="pot_left_is_gone"
            ),
        )

    def __str__(self) -> str:
        return f"{self.batch.name} {self.number}"
