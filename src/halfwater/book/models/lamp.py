"""Lamps."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name


class Lamp(models.Model):
    """A lamp by what it gives at the pots at full power."""

    name = models.CharField(max_length=80)
    ppfd_umol_m2_s = models.FloatField(null=True)
    lux = models.FloatField(null=True)
    lux_per_umol = models.FloatField(null=True)
    power_w = models.FloatField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("lamp"),
            models.CheckConstraint(
                condition=(Q(ppfd_umol_m2_s__isnull=True) | Q(ppfd_umol_m2_s__gte=0))
                & (Q(lux__isnull=True) | Q(lux__gte=0))
                & (Q(lux_per_umol__isnull=True) | Q(lux_per_umol__gt=0))
                & (Q(power_w__isnull=True) | Q(power_w__gte=0)),
                name="lamp_figures",
            ),
        )

    def __str__(self) -> str:
        return self.name
