"""Mixes: feeds at their doses."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.feed import Feed
from halfwater.book.models.kept import kept_past, one_name


class Mix(models.Model):
    """A recipe at a strength."""

    name = models.CharField(max_length=80)
    use = models.CharField(max_length=10)
    ec_above_source_ms_cm = models.FloatField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("mix"),
            models.CheckConstraint(condition=Q(use__in=("night", "weak", "fill")), name="mix_use"),
            models.CheckConstraint(
                condition=Q(ec_above_source_ms_cm__isnull=True) | Q(ec_above_source_ms_cm__gte=0),
                name="mix_ec",
            ),
        )

    def __str__(self) -> str:
        return self.name


class MixPart(models.Model):
    """One feed in a mix."""

    mix = models.ForeignKey(Mix, models.CASCADE, related_name="parts")
    feed = models.ForeignKey(Feed, models.PROTECT, related_name="parts")
    place = models.PositiveSmallIntegerField()
    dose_ml_l = models.FloatField(null=True)
    dose_g_l = models.FloatField(null=True)
    typed = models.CharField(max_length=60, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("mix", "place"), name="mix_part_one_a_place"),
            models.CheckConstraint(
                condition=Q(dose_ml_l__gt=0, dose_g_l__isnull=True)
                | Q(dose_g_l__gt=0, dose_ml_l__isnull=True),
                name="mix_part_one_dose",
            ),
        )

    def __str__(self) -> str:
        return self.typed
