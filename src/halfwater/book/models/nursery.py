"""The nursery's settings: one row."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past


class Nursery(models.Model):
    """How this nursery measures, counts and keeps time."""

    name = models.CharField(max_length=80, blank=True, default="")
    units = models.CharField(max_length=10, default="metric")
    currency = models.CharField(max_length=3, default="EUR")
    time_zone = models.CharField(max_length=64, default="UTC")
    evening_hour = models.PositiveSmallIntegerField(default=20)
    room_temp_c = models.FloatField(null=True)
    room_rh_frac = models.FloatField(null=True)
    is_set_up = models.BooleanField(default=False)
    price_step_minor = models.PositiveIntegerField(null=True)
    price_move_frac = models.FloatField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="nursery_one_row"),
            models.CheckConstraint(condition=Q(units__in=("metric", "us")), name="nursery_units"),
            models.CheckConstraint(condition=Q(evening_hour__lte=23), name="nursery_evening_hour"),
            models.CheckConstraint(
                condition=Q(price_move_frac__isnull=True)
                | Q(price_move_frac__gte=0, price_move_frac__lte=0.5),
                name="nursery_price_move",
            ),
            models.CheckConstraint(
                condition=Q(room_rh_frac__isnull=True) | Q(room_rh_frac__gte=0, room_rh_frac__lte=1),
                name="nursery_room_rh",
            ),
        )

    def __str__(self) -> str:
        return self.name
