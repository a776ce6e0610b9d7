"""Tanks, with what each is sprayed with on an ordinary day."""

from django.db import models
from django.db.models import F, Q

from halfwater.book.models.kept import kept_past, one_name
from halfwater.book.models.lamp import Lamp
from halfwater.book.models.mix import Mix
from halfwater.book.models.pot import Pot


def _frac(name: str) -> Q:
    return Q(**{f"{name}__gte": 0, f"{name}__lte": 1})


class Tank(models.Model):
    """A lidded tank: floor, pots, lines, spray plan, light and air."""

    name = models.CharField(max_length=80)
    place = models.PositiveIntegerField(default=0)
    length_mm = models.FloatField()
    width_mm = models.FloatField()
    height_mm = models.FloatField()
    pot = models.ForeignKey(Pot, models.PROTECT, null=True, related_name="tanks")
    pots = models.PositiveIntegerField(default=0)
    clay_fill_frac = models.FloatField()
    clay_porosity_frac = models.FloatField()
    margin_mm = models.FloatField()
    low_line_mm = models.FloatField(null=True)
    keep_outs = models.JSONField(default=list, blank=True)
    night_mix = models.ForeignKey(Mix, models.PROTECT, null=True, related_name="+")
    night_volume_l = models.FloatField(null=True)
    morning_mix = models.ForeignKey(Mix, models.PROTECT, null=True, related_name="+")
    morning_volume_l = models.FloatField(null=True)
    lamp = models.ForeignKey(Lamp, models.PROTECT, null=True, related_name="tanks")
    lamp_dimmer_frac = models.FloatField(default=1.0)
    lamp_hours = models.FloatField(default=0.0)
    stray_ppfd_umol_m2_s = models.FloatField(default=0.0)
    stray_hours = models.FloatField(default=0.0)
    lid_ach_per_h = models.FloatField(null=True)
    inside_temp_c = models.FloatField(null=True)
    inside_rh_frac = models.FloatField(null=True)
    set_up_on = models.DateField()
    is_in_use = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("tank"),
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0), name="tank_sizes_above_zero"
            ),
            models.CheckConstraint(
                condition=_frac("clay_fill_frac") & _frac("clay_porosity_frac"), name="tank_clay_fractions"
            ),
            models.CheckConstraint(condition=Q(margin_mm__gte=0), name="tank_margin"),
            models.CheckConstraint(
                condition=Q(low_line_mm__isnull=True)
                | Q(low_line_mm__gte=0, low_line_mm__lte=F("height_mm")),
                name="tank_low_line",
            ),
            models.CheckConstraint(
                condition=_frac("lamp_dimmer_frac")
                & Q(lamp_hours__gte=0, lamp_hours__lte=24, stray_hours__gte=0, stray_hours__lte=24)
                & Q(stray_ppfd_umol_m2_s__gte=0),
                name="tank_light",
            ),
            models.CheckConstraint(
                condition=(Q(night_volume_l__isnull=True) | Q(night_volume_l__gte=0))
                & (Q(morning_volume_l__isnull=True) | Q(morning_volume_l__gte=0)),
                name="tank_spray_plan",
            ),
            models.CheckConstraint(
                condition=(Q(lid_ach_per_h__isnull=True) | Q(lid_ach_per_h__gte=0))
                & (Q(inside_rh_frac__isnull=True) | _frac("inside_rh_frac")),
                name="tank_air",
            ),
        )

    def __str__(self) -> str:
        return self.name
