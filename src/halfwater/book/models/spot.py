"""Spots on the floors, and the pots that stand, or stood, on them."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.batch import Batch
from halfwater.book.models.kept import kept_past
from halfwater.book.models.tank import Tank
from halfwater.plain.stock import POT_STATES


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
    """A pot of a batch: the spot it stands on, or none once it is sold or lost."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="pots")
    spot = models.OneToOneField(Spot, models.PROTECT, null=True, related_name="pot")
    state = models.CharField(max_length=10)
    leaves = models.PositiveIntegerField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(state__in=POT_STATES), name="pot_state"),
            models.CheckConstraint(
                condition=Q(spot__isnull=True, state__in=("sold", "lost"))
                | Q(spot__isnull=False) & ~Q(state__in=("sold", "lost")),
                name="pot_stands_or_is_gone",
            ),
        )

    def __str__(self) -> str:
        return self.state
