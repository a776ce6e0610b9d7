"""The page of one mix as plain data."""

from dataclasses import dataclass

from django.urls import reverse

from halfwater.deeds.mixes import MixToMake
from halfwater.plain.chemistry import MixLook
from halfwater.plain.figures import show
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Form
from halfwater.web.mixes.look import LookPart, look_part
from halfwater.web.mixes.words import USES, dose_text, label_text, minded
from halfwater.web.tonight.page import PartLine, part_line

_SIGNS = {
    "n": "N",
    "p": "P",
    "k": "K",
    "ca": "Ca",
    "mg": "Mg",
    "s": "S",
    "fe": "Fe",
    "mn": "Mn",
    "zn": "Zn",
    "cu": "Cu",
    "b": "B",
    "mo": "Mo",
    "ni": "Ni",
    "co": "Co",
    "cl": "Cl",
    "na": "Na",
    "si": "Si",
}
_NO_FORM = Form(())
_FORMS = {"n_nitrate": "nitrate", "n_ammonium": "ammonium", "n_urea": "urea"}


@dataclass(frozen=True, slots=True)
class MixPage:
    """One mix: what it contains, what to measure."""

    name: str
    use: str
    answer: str
    form: Form
    volume: str
    parts: tuple[PartLine, ...]
    water: str
    elements: tuple[tuple[str, str], ...]
    nitrogen: str
    why: str
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]
    edit_url: str
    key: int
    look: LookPart | None
    looked: Form


def mix_page(
    mix: MixFacts,
    recipe: MixToMake,
    form: Form,
    nursery: NurseryFacts,
    look: MixLook | None = None,
    looked: Form = _NO_FORM,
) -> MixPage:
    """One mix for a volume, with what its chemistry says where it can be said."""
    units = nursery.units
    strength = recipe.strength
    elements: tuple[tuple[str, str], ...] = ()
    if strength is not None:
        found = ((_SIGNS[name], getattr(strength, f"{name}_mg_l")) for name in _SIGNS)
        elements = tuple((sign, show(value, "mg_l")) for sign, value in found if value)
    volume = show(recipe.volume_l, "l", units)
    return MixPage(
        name=mix.name,
        use=USES[mix.use],
        answer=_answer(mix, recipe, volume),
        form=form,
        volume=volume,
        parts=tuple(part_line(part) for part in recipe.parts),
        water=show(recipe.water_l, "l", units),
        elements=elements,
        nitrogen=_nitrogen(recipe),
        why=recipe.why,
        cautions=minded((*recipe.cautions, *(look.cautions if look else ())), cautions.CONCENTRATE),
        workings=(*_workings(mix, recipe), *(look.workings if look else ())),
        edit_url=reverse("mix-edit", args=[mix.key]),
        key=mix.key,
        look=look_part(look, nursery) if look else None,
        looked=looked,
    )


def _answer(mix: MixFacts, recipe: MixToMake, volume: str) -> str:
    if not mix.parts:
        return f"{mix.name} is plain water."
    if recipe.strength is None:
        return f"What {mix.name} contains cannot be said: {recipe.why}."
    n, p, k = (show(value, "mg_l") for value in (recipe.n_mg_l, recipe.p_mg_l, recipe.k_mg_l))
    return (
        f"{mix.name} brings {n} of nitrogen, {p} of phosphorus and {k} of potassium above the source water."
    )


def _nitrogen(recipe: MixToMake) -> str:
    strength = recipe.strength
    if strength is None or not strength.n_mg_l:
        return ""
    known = [(word, getattr(strength, f"{name}_mg_l")) for name, word in _FORMS.items()]
    said = [f"{word} {show(value, 'mg_l')}" for word, value in known if value]
    return f"Nitrogen as {', '.join(said)}. An EC meter does not see urea." if said else ""


def _workings(mix: MixFacts, recipe: MixToMake) -> list[Working]:
    steps = []
    for part in mix.parts:
        strength = next((one.strength for one in recipe.parts if one.feed == part.feed.name), None)
        density = f"{part.feed.density_kg_l:.3g} kg/L" if part.feed.density_kg_l else "not given"
        steps.append(
            Working(
                part.feed.name,
                "mg/L = dose × density × share of the label × 1000; P = P₂O₅ × 0.4364, K = K₂O × 0.8301",
                (
                    ("label", label_text(part.feed)),
                    ("dose", dose_text(part.dose_ml_l, part.dose_g_l)),
                    ("density", density),
                ),
                ", ".join(
                    f"{sign} {show(getattr(strength, f'{sign.lower()}_mg_l'), 'mg_l')}" for sign in "NPK"
                )
                if strength
                else recipe.why,
                "umass-fertcalc",
            )
        )
    return steps
