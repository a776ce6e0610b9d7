"""Feeds and mixes as typed on a sheet."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.shelf import read_pack
from halfwater.errors import RefusedInput
from halfwater.science.feed import Label, read_label
from halfwater.science.units import Dose, read_dose, read_quantity

PARTS = 5  # lines of a mix sheet
_NITROGEN = ("n_nitrate", "n_ammonium", "n_urea")
_FORMS = tuple(f"{name}_frac" for name in _NITROGEN)
_FIGURES = ("n_frac", "p2o5_frac", "k2o_frac", "other_frac", "form", "basis", "density_kg_l", *_FORMS)


def save_feed_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a feed as its label tells it."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = read_feed(sheet)
    if any(name in typed for name in ("pack_size", "pack_price", "at_hand")):
        fields |= read_pack(sheet, queries.nursery().currency)
    sheet.finish()
    with sheet.writing(name="feed_name"):
        return changes.save_feed(key, who=who, **fields)


@transaction.atomic
def save_mix_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a mix: its name, its use, and each feed with its dose."""
    sheet = Sheet(typed, queries.nursery().units)
    name = sheet.needed("name", str, "", "a name such as Night mix")
    use = sheet.choice("use", ("night", "weak", "fill"), "night")
    ec = sheet.quantity("ec", "ec")
    parts = []
    for line in range(1, PARTS + 1):
        feed = sheet.key(f"feed_{line}")
        if feed is None:
            if sheet.text(f"dose_{line}"):
                sheet.refuse(f"feed_{line}", "a feed from the list, for the dose beside it")
            continue
        dose = read_dose_of(sheet, f"dose_{line}")
        parts.append(
            {
                "feed": feed,
                "dose_ml_l": dose.dose_ml_l,
                "dose_g_l": dose.dose_g_l,
                "typed": sheet.text(f"dose_{line}"),
            }
        )
    sheet.finish()
    with sheet.writing(ec_above_source_ms_cm="ec"):
        return changes.save_mix(key, who=who, name=name, use=use, ec_above_source_ms_cm=ec, parts=parts)


def read_feed(sheet: Sheet) -> dict[str, Any]:
    """The fields of a feed; refusals stay on the sheet."""
    form = sheet.choice("form", ("liquid", "dry"), "liquid")
    basis = sheet.choice("basis", ("w/w", "w/v"), "w/w")
    density = sheet.quantity("density", "density") if form == "liquid" else None
    label = _read_label(sheet, form, basis, density)
    other = sheet.read("other", read_other, {})
    fields: dict[str, Any] = {
        "name": sheet.text("feed_name") or f"{sheet.text('label')} feed",
        "form": form,
        "basis": basis,
        "density_kg_l": density,
        "other_frac": other,
        "teaspoon_g": sheet.quantity("teaspoon", "mass"),
    }
    for name in _NITROGEN:
        fields[f"{name}_frac"] = sheet.quantity(name, "fraction")
    if label is not None:
        fields |= {"n_frac": label.n_frac, "p2o5_frac": label.p2o5_frac, "k2o_frac": label.k2o_frac}
        fault = label_fault(fields)
        if fault is not None:
            sheet.refuse(*fault)
    return fields


def _read_label(sheet: Sheet, form: str, basis: str, density_kg_l: float | None) -> Label | None:
    """The label, or None; a weight that no liquid has is refused beside its own field."""

    def read(text: str) -> Label | None:
        try:
            return read_label(text, form=form, basis=basis, density_kg_l=density_kg_l)
        except RefusedInput as refused:
            if refused.field != "density":
                raise
            if not any(one.field == "density" for one in sheet.refused):
                sheet.refuse("density", refused.accepted)
            return None

    return sheet.needed("label", read, None, "the three numbers of the label such as 9-3-6")


def label_fault(fields: Mapping[str, Any]) -> tuple[str, str] | None:
    """What no label can say, unknown names, over 100 %, forms that do not add up: field and what would do."""
    figures = {name: fields[name] for name in _FIGURES if name in fields}
    forms = dict.fromkeys(_FORMS)
    for field, stated in (("other", figures | forms), ("n_nitrate", figures)):
        try:
            Label(**stated)
        except RefusedInput as refused:
            return field, refused.accepted
    return None


def read_dose_of(sheet: Sheet, name: str) -> Dose:
    """A dose by volume or by mass, more than nought."""
    accepted = "a dose such as 2.6 mL/L, 2 tsp/gal or 0.5 g/L"

    def read(text: str) -> Dose:
        dose = read_dose(text, name)
        if not (dose.dose_ml_l or dose.dose_g_l):
            raise RefusedInput(name, text, accepted)
        return dose

    return sheet.needed(name, read, Dose(1.0, None), accepted)


def read_other(text: str) -> dict[str, float]:
    """Other label figures, such as MgO 2 %, Fe 0.1 %."""
    accepted = "names and percentages such as MgO 2 %, Fe 0.1 %"
    found: dict[str, float] = {}
    for part in filter(str.strip, text.replace(";", ",").split(",")):
        name, _, share = part.strip().partition(" ")
        if not name.isalnum() or not share.strip():
            raise RefusedInput("other", text, accepted)
        share = share.strip()
        found[name] = read_quantity(share if "%" in share else f"{share} %", "fraction", field="other")
    return found
