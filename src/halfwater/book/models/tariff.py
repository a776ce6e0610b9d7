"""What electricity costs and who else uses it; what shops and banks take of an order."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past
from halfwater.book.models.tank import Tank
from halfwater.plain.selling import CHANNELS


class Tariff(models.Model):
    """What a kilowatt-hour costs from a day on; may be a part of a coin."""

    from_on = models.DateField(unique=True)
    kwh_minor = models.DecimalField(max_digits=12, decimal_places=4)

    history = kept_past()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(kwh_minor__gte=0), name="tariff_price"),)

    def __str__(self) -> str:
        return f"from {self.from_on}"


class PowerUse(models.Model):
    """A heater, pump or lamp beside the lamps of the tanks."""

    text = models.CharField(max_length=80)
    power_w = models.FloatField()
    hours = models.FloatField()
    dimmer_frac = models.FloatField(default=1.0)
    from_on = models.DateField()
    to_on = models.DateField(null=True)
    tank = models.ForeignKey(Tank, models.PROTECT, null=True, related_name="+")

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(power_w__gte=0, hours__gte=0, hours__lte=24)
                & Q(dimmer_frac__gte=0, dimmer_frac__lte=1),
                name="power_use_figures",
            ),
        )

    def __str__(self) -> str:
        return self.text


class Fee(models.Model):
    """What is taken of orders by a channel, from a day on."""

    text = models.CharField(max_length=80, blank=True, default="")
    channel = models.CharField(max_length=10, blank=True, default="")
    from_on = models.DateField(null=True)
    fixed_minor = models.PositiveIntegerField(default=0)
    share_frac = models.FloatField(default=0.0)
    is_on_postage = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(channel__in=("", *CHANNELS)), name="fee_channel"),
            models.CheckConstraint(condition=Q(share_frac__gte=0, share_frac__lte=1), name="fee_share"),
        )

    def __str__(self) -> str:
        return self.text
