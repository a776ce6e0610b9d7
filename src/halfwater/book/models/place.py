"""Rules of places, the columns of web shops' files, and the keys of programs."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name
from halfwater.book.models.taxon import Taxon
from halfwater.plain.selling import RULE_KINDS


class PlaceRule(models.Model):
    """What the grower's own list says about sending a taxon, or any, to a place."""

    place = models.CharField(max_length=80)
    taxon = models.ForeignKey(Taxon, models.CASCADE, null=True, related_name="+")
    kind = models.CharField(max_length=12)
    text = models.CharField(max_length=500, blank=True, default="")
    checked_on = models.DateField(null=True)

    history = kept_past()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(kind__in=RULE_KINDS), name="place_rule_kind"),)

    def __str__(self) -> str:
        return f"{self.place}: {self.kind}"


class ShopColumns(models.Model):
    """Which column of a web shop's file means what."""

    name = models.CharField(max_length=80)
    columns = models.JSONField(default=dict, blank=True)
    lines = models.JSONField(default=dict, blank=True)

    history = kept_past()

    class Meta:
        constraints = (one_name("shop_columns"),)

    def __str__(self) -> str:
        return self.name


class ApiKey(models.Model):
    """A program's key: the book keeps only its digest, the secret is shown once."""

    name = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    last_used_on = models.DateField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                models.functions.Lower("name"),
                condition=Q(revoked_at__isnull=True),
                name="api_key_one_name",
            ),
        )

    def __str__(self) -> str:
        return self.name
