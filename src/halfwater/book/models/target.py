"""Targets of the grower's own: what a mix is to be."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name


class Target(models.Model):
    """Strengths wanted in a mix, or an EC at their proportions."""

    name = models.CharField(max_length=80)
    wanted = models.JSONField()  # [what, mg/L, weight] each
    ec_ms_cm = models.FloatField(null=True)
    note = models.CharField(max_length=300, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            one_name("target"),
            models.CheckConstraint(condition=Q(ec_ms_cm__isnull=True) | Q(ec_ms_cm__gt=0), name="target_ec"),
        )

    def __str__(self) -> str:
        return self.name
