"""Changes of feeds and mixes."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from halfwater.book.changes import checks
from halfwater.book.changes.checkpoints import forget_model
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Feed, Mix, MixPart
from halfwater.errors import RefusedInput


def _other(field: str, value: Any) -> dict[str, float]:
    accepted = "label names with fractions from 0 to 1, such as MgO 0.02"
    if not isinstance(value, Mapping):
        raise RefusedInput(field, value, accepted)
    fraction = checks.number(accepted, 0, 1)
    return {str(name).strip(): fraction(field, share) for name, share in value.items()}


_FRAC = checks.number("a fraction from 0 to 1", 0, 1)
_FORM_FRAC = checks.number("a fraction from 0 to 1", 0, 1, none=True)
_FEED = {
    "name": checks.NAME,
    "form": checks.one_of(("liquid", "dry")),
    "basis": checks.one_of(("w/w", "w/v")),
    "density_kg_l": checks.number("a density above 0 and up to 5 kg/L", 0, 5, above=True, none=True),
    "n_frac": _FRAC,
    "p2o5_frac": _FRAC,
    "k2o_frac": _FRAC,
    "n_nitrate_frac": _FORM_FRAC,
    "n_ammonium_frac": _FORM_FRAC,
    "n_urea_frac": _FORM_FRAC,
    "other_frac": _other,
    "formula": checks.words("a formula of at most 80 signs", 80),
    "purity_frac": checks.number("a purity above 0 and up to 1", 0, 1, above=True),
    "pack_minor": checks.whole("a price in the smallest coin", 0, 1_000_000_000, none=True),
    "pack_g": checks.number("a mass above 0 and up to 1000 kg", 0, 1_000_000, above=True, none=True),
    "pack_ml": checks.number("a volume above 0 and up to 1000 L", 0, 1_000_000, above=True, none=True),
    "is_at_hand": checks.flag,
    "teaspoon_g": checks.number("a mass above 0 and up to 50 g", 0, 50, above=True, none=True),
}
_MIX = {
    "name": checks.NAME,
    "use": checks.one_of(("night", "weak", "fill")),
    "ec_above_source_ms_cm": checks.number("an EC from 0 to 20 mS/cm", 0, 20, none=True),
}
_BESIDE_SALTS = {"name", "teaspoon_g", "pack_minor", "pack_g", "pack_ml", "is_at_hand"}
_DOSE = checks.number("a dose above 0 and up to 1000", 0, 1000, above=True, none=True)


@transaction.atomic
def save_feed(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a feed (the fields of FeedFacts), a new one when `key` is None, and give its key."""
    saved = save_row(Feed, key, fields, _FEED, ("name", "form"), who)
    if key is not None and saved.changed - _BESIDE_SALTS:
        forget_model("bath")  # what stood behind every spray is another now
    return int(saved)


@transaction.atomic
def save_mix(
    key: int | None = None, *, who: str, parts: Sequence[Mapping[str, Any]] | None = None, **fields: Any
) -> int:
    """Write a mix (name, use, ec_above_source_ms_cm) and give its key.

    `parts`, when given, are all of its feeds in order, each with `feed` (key),
    `dose_ml_l` or `dose_g_l`, and `typed`.
    """
    saved = save_row(Mix, key, fields, _MIX, ("name", "use"), who)
    mix, is_other = int(saved), bool(saved.changed - {"name", "use"})
    if parts is not None:
        is_other |= _set_parts(mix, [_part(one) for one in parts], who)
    if key is not None and is_other:
        forget_model("bath")
    return mix


def _part(given: Mapping[str, Any]) -> dict[str, Any]:
    feed = checks.key_of(Feed, "feed", none=False)("feed", given.get("feed"))
    dose_ml_l = _DOSE("dose_ml_l", given.get("dose_ml_l"))
    dose_g_l = _DOSE("dose_g_l", given.get("dose_g_l"))
    if (dose_ml_l is None) == (dose_g_l is None):
        raise RefusedInput(
            "dose", given.get("typed", ""), "one dose, by volume or by mass, such as 2 mL/L or 0.5 g/L"
        )
    typed = checks.words("a dose of at most 60 signs", 60)("typed", given.get("typed", ""))
    return {"feed_id": feed, "dose_ml_l": dose_ml_l, "dose_g_l": dose_g_l, "typed": typed}


def _set_parts(mix: int, wanted: list[dict[str, Any]], who: str) -> bool:
    """Write the feeds of a mix; whether anything became different."""
    standing = list(MixPart.objects.select_for_update().filter(mix=mix).order_by("place"))
    is_other = len(standing) > len(wanted)
    for place, values in enumerate(wanted):
        row = standing[place] if place < len(standing) else MixPart(mix_id=mix)
        values = {**values, "place": place}
        if row.pk is None or any(getattr(row, name) != value for name, value in values.items()):
            for name, value in values.items():
                setattr(row, name, value)
            row.changed_by = who  # type: ignore[attr-defined]
            row.save()
            is_other = True
    for row in standing[len(wanted) :]:
        row.changed_by = who  # type: ignore[attr-defined]
        row.delete()
    return is_other
