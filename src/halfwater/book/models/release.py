"""Releases: openings of sales, with the taxa and grades they offer."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name
from halfwater.book.models.taxon import Taxon
from halfwater.plain.stock import GRADES

_STATES = ("drafted", "open", "closed")  # "sold out" follows from the pots


class Release(models.Model):
    """An opening of sales: from the announced instant, once the grower has opened it."""

    name = models.CharField(max_length=80)
    opens_at = models.DateTimeField(null=True)
    closes_at = models.DateTimeField(null=True)
    state = models.CharField(max_length=10, default="drafted")
    note = models.TextField(blank=True, default="")
    opened_at = models.DateTimeField(null=True)
    closed_at = models.DateTimeField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("release"),
            models.CheckConstraint(condition=Q(state__in=_STATES), name="release_state"),
            models.CheckConstraint(
                condition=Q(opens_at__isnull=True)
                | Q(closes_at__isnull=True)
                | Q(closes_at__gt=models.F("opens_at")),
                name="release_opens_before_it_closes",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Line(models.Model):
    """A taxon and grade offered in a release; whoever takes or frees pots of it holds this row."""

    release = models.ForeignKey(Release, models.PROTECT, related_name="lines")
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="+")
    grade = models.CharField(max_length=10)
    price_minor = models.PositiveIntegerField()
    limit_per_buyer = models.PositiveIntegerField(null=True)
    text = models.TextField(blank=True, default="")
    photo = models.CharField(max_length=100, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("release", "taxon", "grade"), name="line_one_a_grade"),
            models.CheckConstraint(condition=Q(grade__in=GRADES), name="line_grade"),
            models.CheckConstraint(
                condition=Q(limit_per_buyer__isnull=True) | Q(limit_per_buyer__gte=1), name="line_limit"
            ),
        )

    def __str__(self) -> str:
        return f"{self.taxon} {self.grade}"
