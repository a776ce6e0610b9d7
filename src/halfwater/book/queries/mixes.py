"""Feeds and mixes."""

from django.db.models import Prefetch

from halfwater.book.models import Feed, Mix, MixPart
from halfwater.plain.mixes import FeedFacts, MixFacts
from halfwater.plain.mixes import MixPart as Part


def feeds() -> tuple[FeedFacts, ...]:
    """The feeds by name."""
    return tuple(_feed_facts(row) for row in Feed.objects.order_by("name"))


def mixes() -> tuple[MixFacts, ...]:
    """The mixes by name, each with its feeds in the order they go in."""
    in_order = Prefetch("parts", MixPart.objects.select_related("feed").order_by("place"))
    return tuple(
        MixFacts(
            key=row.pk,
            name=row.name,
            use=row.use,
            parts=tuple(
                Part(
                    feed=_feed_facts(part.feed),
                    dose_ml_l=part.dose_ml_l,
                    dose_g_l=part.dose_g_l,
                    typed=part.typed,
                )
                for part in row.parts.all()
            ),
            ec_above_source_ms_cm=row.ec_above_source_ms_cm,
        )
        for row in Mix.objects.prefetch_related(in_order).order_by("name")
    )


def _feed_facts(row: Feed) -> FeedFacts:
    return FeedFacts(
        key=row.pk,
        name=row.name,
        form=row.form,
        basis=row.basis,
        density_kg_l=row.density_kg_l,
        n_frac=row.n_frac,
        p2o5_frac=row.p2o5_frac,
        k2o_frac=row.k2o_frac,
        n_nitrate_frac=row.n_nitrate_frac,
        n_ammonium_frac=row.n_ammonium_frac,
        n_urea_frac=row.n_urea_frac,
        other_frac=dict(row.other_frac),
        teaspoon_g=row.teaspoon_g,
        formula=row.formula,
        purity_frac=row.purity_frac,
        pack_minor=row.pack_minor,
        pack_g=row.pack_g,
        pack_ml=row.pack_ml,
        is_at_hand=row.is_at_hand,
    )
