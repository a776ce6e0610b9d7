"""The sheets of Mixes: a mix, a feed, a salt, a water, a target; each is written, changed or removed."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.mix_build import remove_target, save_target_sheet, targets
from halfwater.deeds.mix_sheet import PARTS, save_feed_sheet, save_mix_sheet
from halfwater.deeds.shelf import save_salt_sheet, set_at_hand
from halfwater.deeds.source_water import remove_water, save_water_sheet, water_view, waters
from halfwater.errors import HalfwaterError
from halfwater.web import cautions
from halfwater.web.fields import Form
from halfwater.web.mixes.forms import feed_form, mix_form
from halfwater.web.mixes.known import known_mix
from halfwater.web.mixes.shelf_forms import WATER_GROUPS, salt_form, target_form, water_form
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet, grouped

Groups = tuple[tuple[str, tuple[str, ...]], ...]
_PACK = ("The pack", ("pack_price", "pack_size", "at_hand"))
_REMOVES: Mapping[str, Callable[..., None]] = {"water": remove_water, "target": remove_target}


def mix_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a mix."""
    form = mix_form(known_mix(key) if key is not None else None)
    lines = tuple(name for line in range(1, PARTS + 1) for name in (f"feed_{line}", f"dose_{line}"))
    groups = (("The mix", ("name", "use", "ec")), ("What goes in", lines))
    return _sheet(request, form, groups, "mix", key, save_mix_sheet)


def feed_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a feed by its label."""
    feed = next((one for one in queries.feeds() if one.key == key), None)
    if key is not None and feed is None:
        raise Http404
    if feed is not None and feed.is_salt:
        return redirect("salt", feed.key)
    groups = (
        ("The label", ("feed_name", "form", "label", "basis", "density")),
        ("More of the label", ("n_nitrate", "n_ammonium", "n_urea", "other", "teaspoon")),
        _PACK,
    )
    return _sheet(request, feed_form(feed), groups, "feed", key, save_feed_sheet)


def salt_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a salt by its formula."""
    salt = next((one for one in queries.feeds() if one.key == key and one.is_salt), None)
    if key is not None and salt is None:
        raise Http404
    names = ("formula", "salt_name", "purity", "salt_density", "teaspoon")
    return _sheet(request, salt_form(salt), (("The salt", names), _PACK), "salt", key, save_salt_sheet)


def water_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a source water; one that is kept says what it is once dissolved."""
    kept = next((one for one in waters() if one.key == key), None)
    if key is not None and kept is None:
        raise Http404
    intro = ""
    if key is not None:
        view = water_view(key)
        intro = " ".join((view.said, *view.notes))
    return _sheet(request, water_form(kept), WATER_GROUPS, "water", key, save_water_sheet, intro)


def target_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a target of one's own."""
    kept = next((one for one in targets() if one.key == key), None) if key is not None else None
    if key is not None and kept is None:
        raise Http404
    names = ("target_name", "strengths", "unit", "target_ec", "target_note")
    return _sheet(request, target_form(kept), (("The target", names),), "target", key, save_target_sheet)


@require_POST
def remove(request: HttpRequest, noun: str, key: int) -> HttpResponse:
    """Take a water or a target out of the book."""
    if noun not in _REMOVES:
        raise Http404
    try:
        _REMOVES[noun](key, WHO)
        messages.success(request, f"The {noun} is out of the book.")
    except HalfwaterError as error:
        messages.error(request, str(error))
        return redirect(noun, key)
    return redirect("mixes")


@require_POST
def at_hand(request: HttpRequest, key: int) -> HttpResponse:
    """A feed or salt is at hand, or used up."""
    feed = next((one for one in queries.feeds() if one.key == key), None)
    if feed is None:
        raise Http404
    is_there = request.POST.get("at_hand") == "yes"
    set_at_hand(key, is_there, WHO)
    messages.success(request, f"{feed.name} is {'at hand' if is_there else 'used up'}.")
    return redirect(reverse("mixes") + "#shelf")


def _sheet(
    request: HttpRequest,
    form: Form,
    groups: Groups,
    noun: str,
    key: int | None,
    save: Callable[..., int],
    intro: str = "",
) -> HttpResponse:
    if request.method == "POST":
        try:
            kept = save(form.read(request.POST), who=WHO, key=key)
            messages.success(request, f"The {noun} is kept.")
            return redirect(noun, kept) if noun in ("mix", "water") else redirect("mixes")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    sheets = [Sheet(form, f"Keep the {noun}", groups=grouped(form, *groups))]
    if key is not None and noun in _REMOVES:
        out = replace(Form(()), action=reverse("mixes-remove", args=[noun, key]))
        sheets.append(Sheet(out, f"Take the {noun} out of the book", is_danger=True))
    page = FormPage(
        title=f"Change the {noun}" if key is not None else f"Add a {noun}",
        sheets=tuple(sheets),
        intro=intro,
        back="Mixes",
        back_url=reverse("mixes"),
        cautions=() if noun in ("water", "target") else (cautions.CONCENTRATE,),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)
