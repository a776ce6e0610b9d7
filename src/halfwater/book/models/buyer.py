"""Buyers: what is needed to sell and send, and no past of it."""

from django.db import models
from django.db.models import Q


class Buyer(models.Model):
    """Whoever ordered; `contact_mark` is the contact as it is compared, so that one buyer is one row."""

    name = models.CharField(max_length=120, blank=True, default="")
    contact = models.CharField(max_length=200, blank=True, default="")
    contact_mark = models.CharField(max_length=600, null=True, unique=True)  # None: no contact
    address = models.TextField(blank=True, default="")
    place = models.CharField(max_length=80, blank=True, default="")
    erased_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(erased_at__isnull=True)
                | Q(name="", contact="", contact_mark__isnull=True, address="", place=""),
                name="buyer_erased_is_blank",
            ),
        )

    def __str__(self) -> str:
        return self.name
