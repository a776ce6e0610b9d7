"""Mixes: feeds by their labels, mixes by their doses, and what to measure."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from halfwater.book import queries
from halfwater.deeds.mix_sheet import PARTS, save_feed_sheet, save_mix_sheet
from halfwater.deeds.mixes import mix_to_make
from halfwater.errors import HalfwaterError
from halfwater.plain.mixes import FeedFacts, MixFacts
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.page import USES, dose_text, mix_page, mixes_page
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet, grouped


def mixes(request: HttpRequest) -> HttpResponse:
    """All mixes and feeds."""
    return render(request, "mixes/page.html", {"page": mixes_page(queries.mixes(), queries.feeds())})


def mix(request: HttpRequest, key: int) -> HttpResponse:
    """One mix, measured for the volume in the address, or for a litre."""
    found, units = _known_mix(key), queries.nursery().units
    volume = unit_of("volume", units)
    form = Form((Field("volume", "To make", "1", volume.sign, inputmode="decimal"),))
    try:
        typed = {"volume": request.GET.get("volume", "1")}
        recipe = mix_to_make(found.name, form.read(typed)["volume"])
        form = form.with_typed(typed)
    except HalfwaterError as error:
        form = form.with_typed(request.GET).with_refusal(error)
        recipe = mix_to_make(found.name, f"1 {volume.sign}")
    page = mix_page(found, recipe, form, units)
    return render(request, "mixes/mix.html", {"page": page}, status=422 if form.is_refused else 200)


def mix_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a mix."""
    form = mix_form(_known_mix(key) if key is not None else None)
    lines = tuple(name for line in range(1, PARTS + 1) for name in (f"feed_{line}", f"dose_{line}"))
    groups = (("The mix", ("name", "use", "ec")), ("What goes in", lines))
    return _sheet(request, form, groups, "mix", key, save_mix_sheet)


def feed_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Describe a feed."""
    feed = next((one for one in queries.feeds() if one.key == key), None)
    if key is not None and feed is None:
        raise Http404
    groups = (
        ("The label", ("feed_name", "form", "label", "basis", "density")),
        ("More of the label", ("n_nitrate", "n_ammonium", "n_urea", "other", "teaspoon")),
    )
    return _sheet(request, feed_form(feed), groups, "feed", key, save_feed_sheet)


def _sheet(
    request: HttpRequest,
    form: Form,
    groups: tuple[tuple[str, tuple[str, ...]], ...],
    noun: str,
    key: int | None,
    save: Callable[..., int],
) -> HttpResponse:
    if request.method == "POST":
        try:
            kept = save(form.read(request.POST), who=WHO, key=key)
            messages.success(request, f"The {noun} is kept.")
            return redirect("mix", kept) if noun == "mix" else redirect("mixes")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = FormPage(
        title=f"Change the {noun}" if key is not None else f"Add a {noun}",
        sheets=(Sheet(form, f"Keep the {noun}", groups=grouped(form, *groups)),),
        back="Mixes",
        back_url="/mixes/",
        cautions=(cautions.CONCENTRATE,),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


def mix_form(known: MixFacts | None) -> Form:
    """A mix: name, use, and lines of feed with dose."""
    feeds = (("", "nothing"), *((str(feed.key), feed.name) for feed in queries.feeds()))
    lines: list[Field] = []
    for line in range(1, PARTS + 1):
        part = known.parts[line - 1] if known and len(known.parts) >= line else None
        dose = (part.typed or dose_text(part.dose_ml_l, part.dose_g_l)) if part else ""
        help_text = "Such as 2.6 mL/L, 2 tsp/gal or 0.5 g/L." if line == 1 else ""
        lines.append(
            Field(
                f"feed_{line}",
                f"Feed {line}",
                str(part.feed.key) if part else "",
                type="select",
                choices=feeds,
            )
        )
        lines.append(Field(f"dose_{line}", f"Dose {line}", dose, help=help_text, is_optional=line > 1))
    ec = unit_of("ec", "")
    return Form(
        (
            Field("name", "Name", known.name if known else ""),
            Field(
                "use", "Used as", known.use if known else "night", type="choice", choices=tuple(USES.items())
            ),
            Field(
                "ec",
                "EC above the source water",
                ec.text(known.ec_above_source_ms_cm) if known else "",
                ec.sign,
                is_optional=True,
                help="If you have measured it.",
            ),
            *lines,
        )
    )


def feed_form(feed: FeedFacts | None) -> Form:
    """A feed by its label."""
    return Form((*_label_fields(feed), *_nitrogen_fields(feed), *_further_fields(feed)))


def _label_fields(feed: FeedFacts | None) -> tuple[Field, ...]:
    """What stands large on the label."""
    density = unit_of("density", "")
    label = "-".join(f"{100 * one:g}" for one in (feed.n_frac, feed.p2o5_frac, feed.k2o_frac)) if feed else ""
    return (
        Field("feed_name", "Name", feed.name if feed else ""),
        Field(
            "form",
            "It is",
            feed.form if feed else "liquid",
            type="choice",
            choices=(("liquid", "Liquid"), ("dry", "Dry")),
        ),
        Field("label", "Label", label, help="The three numbers N-P-K, such as 9-3-6."),
        Field(
            "basis",
            "Its % are by",
            feed.basis if feed else "w/w",
            type="choice",
            choices=(("w/w", "Weight"), ("w/v", "Volume")),
            help="Most labels: by weight.",
        ),
        Field(
            "density",
            "Weight of a litre",
            density.text(feed.density_kg_l) if feed else "",
            density.sign,
            is_optional=True,
            help="Needed for a liquid with % by weight: weigh 100 mL.",
        ),
    )


def _nitrogen_fields(feed: FeedFacts | None) -> tuple[Field, ...]:
    """The forms of nitrogen, where the label tells them."""
    share = unit_of("fraction", "")
    return tuple(
        Field(
            f"n_{form}",
            f"N as {form}",
            share.text(getattr(feed, f"n_{form}_frac")) if feed else "",
            share.sign,
            is_optional=True,
        )
        for form in ("nitrate", "ammonium", "urea")
    )


def _further_fields(feed: FeedFacts | None) -> tuple[Field, ...]:
    """The small print, and the grower's own spoon."""
    mass = unit_of("mass", "")
    other = ", ".join(f"{name} {100 * one:g} %" for name, one in feed.other_frac.items()) if feed else ""
    return (
        Field(
            "other",
            "Other figures of the label",
            other,
            is_optional=True,
            is_wide=True,
            help="Such as MgO 2 %, Fe 0.1 %.",
        ),
        Field(
            "teaspoon",
            "Your level teaspoon of it weighs",
            mass.text(feed.teaspoon_g) if feed else "",
            mass.sign,
            is_optional=True,
            help="For a dry feed.",
        ),
    )


def _known_mix(key: int) -> MixFacts:
    found = next((one for one in queries.mixes() if one.key == key), None)
    if found is None:
        raise Http404
    return found
