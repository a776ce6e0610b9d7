"""Batches."""

from django.db import models

from halfwater.book.models.kept import kept_past, one_name
from halfwater.book.models.taxon import Taxon


class Batch(models.Model):
    """Sections potted together, from one parent or several."""

    name = models.CharField(max_length=80)
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="batches")
    potted_on = models.DateField()
    parent_note = models.CharField(max_length=300, blank=True, default="")

    history = kept_past()

    class Meta:
        constraints = (one_name("batch"),)

    def __str__(self) -> str:
        return self.name
