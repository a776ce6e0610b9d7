"""The form that notes a planned cut, with all its pots in one go."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import uuid4

from django.urls import reverse

from halfwater.deeds.planned_cut import PlannedCut
from halfwater.plain.stock import BLADES
from halfwater.web.fields import Field, Form
from halfwater.web.stock.words import pots_said
from halfwater.web.tanks.drawers import Drawer


def cut_drawers(cuts: Sequence[PlannedCut]) -> tuple[Drawer, ...]:
    """One drawer a planned cut that is left to do, filled in as planned."""
    return tuple(_drawer(cut) for cut in cuts)


def _drawer(cut: PlannedCut) -> Drawer:
    onto = "; ".join(f"{tank} {', '.join(spots)}" for tank, spots in cut.onto.items())
    blades = tuple((word, word or "not noted") for word in ("", *BLADES))
    fields = (
        Field("batch", "Name of the new batch", cut.batch_name),
        Field("blade", "Blade", type="select", choices=blades),
        Field("to", "Potted onto", onto, type="area", help="As planned; change what went elsewhere."),
        Field("first_leaves", "Leaves on each section", inputmode="numeric", is_optional=True),
        Field("uuid", "", str(uuid4()), type="hidden"),
    )
    made = tuple(replace(field, prefix=f"cut-{cut.key}") for field in fields)
    form = Form(made, action=reverse("plan-cut", args=[cut.key]))
    return Drawer(cut.key, f"Note this cut of {pots_said(len(cut.pots))}", "Note the cut", "", form)
