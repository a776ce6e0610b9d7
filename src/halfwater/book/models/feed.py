"""Feeds as their labels tell them."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name

_SHARES = ("n_frac", "p2o5_frac", "k2o_frac")
_N_FORMS = ("n_nitrate_frac", "n_ammonium_frac", "n_urea_frac")


def _label_fractions() -> Q:
    condition = Q()
    for name in _SHARES:
        condition &= Q(**{f"{name}__gte": 0, f"{name}__lte": 1})
    for name in _N_FORMS:
        condition &= Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gte": 0, f"{name}__lte": 1})
    return condition


class Feed(models.Model):
    """A fertiliser product or salt."""

    name = models.CharField(max_length=80)
    form = models.CharField(max_length=10)
    basis = models.CharField(max_length=4, default="w/w")
    density_kg_l = models.FloatField(null=True)
    n_frac = models.FloatField(default=0.0)
    p2o5_frac = models.FloatField(default=0.0)
    k2o_frac = models.FloatField(default=0.0)
    n_nitrate_frac = models.FloatField(null=True)
    n_ammonium_frac = models.FloatField(null=True)
    n_urea_frac = models.FloatField(null=True)
    other_frac = models.JSONField(default=dict, blank=True)
    teaspoon_g = models.FloatField(null=True)
    formula = models.CharField(max_length=80, blank=True, default="")  # of a salt; "": a label
    purity_frac = models.FloatField(default=1.0)
    pack_minor = models.PositiveIntegerField(null=True)
    pack_g = models.FloatField(null=True)
    pack_ml = models.FloatField(null=True)
    is_at_hand = models.BooleanField(default=True)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("feed"),
            models.CheckConstraint(condition=Q(form__in=("liquid", "dry")), name="feed_form"),
            models.CheckConstraint(condition=Q(basis__in=("w/w", "w/v")), name="feed_basis"),
            models.CheckConstraint(condition=_label_fractions(), name="feed_fractions"),
            models.CheckConstraint(
                condition=(Q(density_kg_l__isnull=True) | Q(density_kg_l__gt=0))
                & (Q(teaspoon_g__isnull=True) | Q(teaspoon_g__gt=0)),
                name="feed_figures",
            ),
            models.CheckConstraint(
                condition=Q(purity_frac__gt=0, purity_frac__lte=1)
                & (Q(pack_g__isnull=True) | Q(pack_g__gt=0, pack_ml__isnull=True))
                & (Q(pack_ml__isnull=True) | Q(pack_ml__gt=0, pack_g__isnull=True)),
                name="feed_pack",
            ),
        )

    def __str__(self) -> str:
        return self.name
