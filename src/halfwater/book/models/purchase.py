"""What was paid: purchases and monthly charges."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.batch import Batch
from halfwater.book.models.kept import kept_past
from halfwater.book.models.tank import Tank
from halfwater.plain.costing import PURCHASE_KINDS, SPACE_KINDS


class Purchase(models.Model):
    """Something paid for once; an amount below 0 is money given back."""

    on = models.DateField(db_index=True)
    kind = models.CharField(max_length=12)
    text = models.CharField(max_length=200)
    amount_minor = models.IntegerField()
    life_months = models.PositiveSmallIntegerField(null=True)
    enough_for = models.PositiveIntegerField(null=True)
    tank = models.ForeignKey(Tank, models.PROTECT, null=True, related_name="+")
    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="+")
    ended_on = models.DateField(null=True)
    got_back_minor = models.PositiveIntegerField(default=0)

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=PURCHASE_KINDS), name="purchase_kind"),
            models.CheckConstraint(
                condition=Q(tank__isnull=True) | Q(batch__isnull=True), name="purchase_for_one"
            ),
            models.CheckConstraint(
                condition=(Q(life_months__isnull=True) | Q(life_months__gte=1))
                & (Q(enough_for__isnull=True) | Q(enough_for__gte=1)),
                name="purchase_lasts",
            ),
        )

    def __str__(self) -> str:
        return self.text


class Charge(models.Model):
    """Something paid every month."""

    kind = models.CharField(max_length=12)
    text = models.CharField(max_length=200)
    amount_minor = models.IntegerField()
    from_on = models.DateField()
    to_on = models.DateField(null=True)
    tank = models.ForeignKey(Tank, models.PROTECT, null=True, related_name="+")

    history = kept_past()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(kind__in=SPACE_KINDS), name="charge_kind"),)

    def __str__(self) -> str:
        return self.text
