"""Pot types."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name


class Pot(models.Model):
    """A pot type, measured on the outside."""

    name = models.CharField(max_length=80)
    top_mm = models.FloatField()
    base_mm = models.FloatField()
    height_mm = models.FloatField()

    history = kept_past()

    class Meta:
        constraints = (
            one_name("pot"),
            models.CheckConstraint(
                condition=Q(top_mm__gt=0, base_mm__gt=0, height_mm__gt=0), name="pot_sizes_above_zero"
            ),
        )

    def __str__(self) -> str:
        return self.name
