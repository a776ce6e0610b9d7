"""Taxa and their starting values."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.kept import kept_past, one_name


class Taxon(models.Model):
    """A species or cultivar."""

    name = models.CharField(max_length=120)
    group = models.CharField(max_length=120, blank=True, default="")
    care = models.TextField(blank=True, default="")  # told to buyers; "": by the group

    history = kept_past()

    class Meta:
        constraints = (one_name("taxon"),)

    def __str__(self) -> str:
        return self.name


class Prior(models.Model):
    """One starting value of a taxon: its mean, 90 % range, tag and source."""

    taxon = models.ForeignKey(Taxon, models.CASCADE, related_name="priors")
    quantity = models.CharField(max_length=60)
    mean = models.FloatField()
    low = models.FloatField()
    high = models.FloatField()
    tag = models.CharField(max_length=1)
    source = models.CharField(max_length=200)

    history = kept_past()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("taxon", "quantity"), name="prior_one_a_quantity"),
            models.CheckConstraint(
                condition=Q(low__lte=F("mean"), mean__lte=F("high")), name="prior_mean_in_range"
            ),
            models.CheckConstraint(condition=Q(tag__in=("P", "C", "M", "D", "G")), name="prior_tag"),
        )

    def __str__(self) -> str:
        return self.quantity
