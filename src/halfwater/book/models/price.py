"""What stock is sold for, and what the grower can and wants to do: the frame of the cutting plan."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past
from halfwater.book.models.taxon import Taxon
from halfwater.plain.stock import GRADES


class Price(models.Model):
    """What a grade of a taxon is sold for, and how many of it a release can sell at most."""

    taxon = models.ForeignKey(Taxon, models.CASCADE, related_name="prices")
    grade = models.CharField(max_length=10)
    price_minor = models.PositiveIntegerField()
    most_per_release = models.PositiveIntegerField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("taxon", "grade"), name="price_one_a_grade"),
            models.CheckConstraint(condition=Q(grade__in=GRADES), name="price_grade"),
        )

    def __str__(self) -> str:
        return f"{self.grade} {self.price_minor}"


class CuttingHabit(models.Model):
    """Minutes, releases and kept parents: one row."""

    minutes_a_week = models.FloatField(null=True)
    release_every_weeks = models.PositiveSmallIntegerField(default=4)
    next_release_on = models.DateField(null=True)
    least_kept = models.PositiveIntegerField(default=2)
    hour_minor = models.PositiveIntegerField(null=True)

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="cutting_habit_one_row"),
            models.CheckConstraint(condition=Q(release_every_weeks__gte=1), name="cutting_habit_release"),
            models.CheckConstraint(
                condition=Q(minutes_a_week__isnull=True) | Q(minutes_a_week__gte=0),
                name="cutting_habit_minutes",
            ),
        )

    def __str__(self) -> str:
        return f"every {self.release_every_weeks} weeks"
