"""What is at hand for packing, the ways parcels take, and the grower's own rules of shipping."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name


class BoxKind(models.Model):
    """A kind of box, measured inside; `layers` of its walls from the inside outward."""

    name = models.CharField(max_length=80)
    length_mm = models.FloatField()
    width_mm = models.FloatField()
    height_mm = models.FloatField()
    layers = models.JSONField(default=list, blank=True)
    empty_kg = models.FloatField()
    most_plants = models.PositiveIntegerField(null=True)
    most_kg = models.FloatField(null=True)
    cost_minor = models.PositiveIntegerField(default=0)
    postage = models.JSONField(default=list, blank=True)
    is_at_hand = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("box_kind"),
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0, empty_kg__gte=0),
                name="box_kind_sizes",
            ),
        )

    def __str__(self) -> str:
        return self.name


class LinerKind(models.Model):
    """Foil or other insulation laid inside a box."""

    name = models.CharField(max_length=80)
    material = models.CharField(max_length=40)
    thickness_mm = models.FloatField()
    cost_minor = models.PositiveIntegerField(default=0)
    is_at_hand = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("liner_kind"),
            models.CheckConstraint(condition=Q(thickness_mm__gt=0), name="liner_kind_thickness"),
        )

    def __str__(self) -> str:
        return self.name


class HeatPackKind(models.Model):
    """A heat pack by what its label says."""

    name = models.CharField(max_length=80)
    label_h = models.FloatField()
    mean_w = models.FloatField(null=True)
    cost_minor = models.PositiveIntegerField(default=0)
    is_at_hand = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("heat_pack_kind"),
            models.CheckConstraint(condition=Q(label_h__gt=0), name="heat_pack_kind_hours"),
        )

    def __str__(self) -> str:
        return self.name


class Route(models.Model):
    """A way to a place: its stops, and its legs with the weather as it was typed last."""

    name = models.CharField(max_length=80)
    place = models.CharField(max_length=80, blank=True, default="")
    stops = models.JSONField(default=list, blank=True)
    hand_over_h = models.FloatField(default=16.0)
    rest_days = models.JSONField(default=list, blank=True)
    legs = models.JSONField(default=list, blank=True)
    legs_on = models.DateField(null=True)

    class Meta:
        constraints = (
            one_name("route"),
            models.CheckConstraint(
                condition=Q(hand_over_h__gte=0, hand_over_h__lt=24), name="route_hand_over"
            ),
        )

    def __str__(self) -> str:
        return self.name


class ShipRule(models.Model):
    """The grower's own rules of shipping, and what plants take in a box: one row."""

    liner_below_c = models.FloatField(null=True)
    pack_below_c = models.FloatField(null=True)
    hold_below_c = models.FloatField(null=True)
    liner_above_c = models.FloatField(null=True)
    hold_above_c = models.FloatField(null=True)
    most_days = models.FloatField(null=True)
    most_packs = models.PositiveSmallIntegerField(null=True)
    ship_weekdays = models.JSONField(default=list, blank=True)
    over_weekend = models.BooleanField(default=False)
    small_l = models.FloatField(null=True)
    standard_l = models.FloatField(null=True)
    large_l = models.FloatField(null=True)
    fill_frac = models.FloatField(null=True)

    history = kept_past()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(pk=1), name="ship_rule_one_row"),)

    def __str__(self) -> str:
        return "rules of shipping"
