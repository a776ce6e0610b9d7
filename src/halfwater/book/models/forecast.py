"""Forecasts and plans as they were shown, kept so that the book can be held to them."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.batch import Batch
from halfwater.book.models.spot import StandingPot
from halfwater.book.models.taxon import Taxon


class KeptForecast(models.Model):
    """One forecast that was shown, and what came of it."""

    made_on = models.DateField()
    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=200)
    about_on = models.DateField(null=True)
    p10 = models.FloatField()
    p50 = models.FloatField()
    p90 = models.FloatField()
    naive = models.FloatField(null=True)
    outcome = models.FloatField(null=True)
    settled_on = models.DateField(null=True)
    why_open = models.CharField(max_length=200, blank=True, default="")
    taxon = models.ForeignKey(Taxon, models.CASCADE, null=True, related_name="+")
    batch = models.ForeignKey(Batch, models.CASCADE, null=True, related_name="+")
    pot = models.ForeignKey(StandingPot, models.CASCADE, null=True, related_name="+")
    grade = models.CharField(max_length=10, blank=True, default="")
    quantiles = models.JSONField(default=list, blank=True)

    class Meta:
        indexes = (models.Index(fields=("settled_on", "about_on"), name="forecast_open"),)
        constraints = (
            models.UniqueConstraint(
                fields=("made_on", "kind", "subject", "about_on"),
                condition=Q(about_on__isnull=False),
                name="forecast_one_a_date",
            ),
            models.UniqueConstraint(
                fields=("made_on", "kind", "subject"),
                condition=Q(about_on__isnull=True),
                name="forecast_one_a_day",
            ),
            models.CheckConstraint(condition=Q(p10__lte=F("p50"), p50__lte=F("p90")), name="forecast_order"),
            models.CheckConstraint(
                condition=Q(outcome__isnull=True) | Q(settled_on__isnull=False), name="forecast_settled"
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.subject}"


class KeptPlan(models.Model):
    """A cutting plan as it was made, with a digest of all that it was made from."""

    made_at = models.DateTimeField(db_index=True)
    inputs_digest = models.CharField(max_length=64)
    plan = models.JSONField()

    def __str__(self) -> str:
        return f"plan of {self.made_at}"
