"""Source waters, by their analysis or by their EC alone."""

from django.db import models
from django.db.models import Q

from halfwater.book.models.kept import kept_past, one_name

FIGURES = (
    "ec_ms_cm", "ph", "alkalinity_mg_l", "hardness_mg_l", "ca_mg_l", "mg_mg_l", "na_mg_l", "k_mg_l",
    "cl_mg_l", "so4_mg_l", "no3_mg_l",
)  # fmt: skip


def _not_negative() -> Q:
    condition = Q()
    for name in FIGURES:
        condition &= Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gte": 0})
    return condition


class Water(models.Model):
    """A water that mixes are made with; what nobody measured is null."""

    name = models.CharField(max_length=80)
    ec_ms_cm = models.FloatField(null=True)
    ph = models.FloatField(null=True)
    alkalinity_mg_l = models.FloatField(null=True)
    hardness_mg_l = models.FloatField(null=True)
    ca_mg_l = models.FloatField(null=True)
    mg_mg_l = models.FloatField(null=True)
    na_mg_l = models.FloatField(null=True)
    k_mg_l = models.FloatField(null=True)
    cl_mg_l = models.FloatField(null=True)
    so4_mg_l = models.FloatField(null=True)
    no3_mg_l = models.FloatField(null=True)
    is_pure = models.BooleanField(default=False)
    is_ours = models.BooleanField(default=False)

    history = kept_past()

    class Meta:
        constraints = (
            one_name("water"),
            models.UniqueConstraint(fields=("is_ours",), condition=Q(is_ours=True), name="water_one_is_ours"),
            models.CheckConstraint(condition=_not_negative(), name="water_figures"),
        )

    def __str__(self) -> str:
        return self.name
