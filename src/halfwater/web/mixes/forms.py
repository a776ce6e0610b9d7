"""The forms of a mix and of a feed."""

from halfwater.book import queries
from halfwater.deeds.mix_sheet import PARTS
from halfwater.plain.figures import bare_money
from halfwater.plain.mixes import FeedFacts, MixFacts
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.words import USES, dose_text


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
    return Form((*_label_fields(feed), *_nitrogen_fields(feed), *_further_fields(feed), *pack_fields(feed)))


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


def pack_fields(feed: FeedFacts | None) -> tuple[Field, ...]:
    """What a pack cost, what it holds, and whether it stands on the shelf."""
    money, price, size = queries.nursery().currency, "", ""
    if feed is not None:
        price = "" if feed.pack_minor is None else bare_money(feed.pack_minor, money)
        size = f"{feed.pack_g:g} g" if feed.pack_g else f"{feed.pack_ml:g} mL" if feed.pack_ml else ""
    return (
        Field("pack_price", "A pack costs", price, money, is_optional=True, inputmode="decimal"),
        Field("pack_size", "A pack holds", size, is_optional=True, help="Such as 1 kg, 500 g or 1 L."),
        Field("at_hand", "It is", "no" if feed is not None and not feed.is_at_hand else "yes", type="choice",
              choices=(("yes", "At hand"), ("no", "Used up"))),
    )  # fmt: skip
