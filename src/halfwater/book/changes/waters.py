"""Changes of source waters and targets."""

from collections.abc import Mapping, Sequence
from typing import Any

from halfwater.book.changes import checks
from halfwater.book.changes.checkpoints import forget_model
from halfwater.book.changes.door import one_write
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Target, Water
from halfwater.book.models.water import FIGURES
from halfwater.errors import RefusedInput

_MG_L = checks.number("a figure from 0 to 10000 mg/L", 0, 10_000, none=True)
_WATER: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    **dict.fromkeys(FIGURES, _MG_L),
    "ec_ms_cm": checks.number("an EC from 0 to 20 mS/cm", 0, 20, none=True),
    "ph": checks.number("a pH from 0 to 14", 0, 14, none=True),
    "is_pure": checks.flag,
    "is_ours": checks.flag,
}


def _wanted(field: str, value: Any) -> list[list[Any]]:
    accepted = "strengths, each with its element, mg/L and weight"
    if not isinstance(value, Sequence) or isinstance(value, str) or not value:
        raise RefusedInput(field, value, accepted)
    strength = checks.number("a strength from 0 to 5000 mg/L", 0, 5000)
    weight = checks.number("a weight from 0 to 1000", 0, 1000)
    word = checks.words("an element of at most 10 signs", 10, needed=True)
    rows = []
    for one in value:
        if not isinstance(one, Sequence) or len(one) != 3:
            raise RefusedInput(field, value, accepted)
        rows.append([word(field, one[0]), strength(field, one[1]), weight(field, one[2])])
    return rows


_TARGET: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    "wanted": _wanted,
    "ec_ms_cm": checks.number("an EC above 0 and up to 20 mS/cm", 0, 20, above=True, none=True),
    "note": checks.words("a note of at most 300 signs", 300),
}


@one_write
def save_water(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a source water (the fields of SourceWater, and is_ours) and give its key; one is ours at most.

    What the baths were reckoned from may have changed, so their kept states are dropped.
    """
    if fields.get("is_ours") is True:
        for other in Water.objects.select_for_update().filter(is_ours=True).exclude(pk=key):
            save_row(Water, other.pk, {"is_ours": False}, _WATER, (), who)
    saved = save_row(Water, key, fields, _WATER, ("name",), who)
    if saved.changed:
        forget_model("bath")
    return int(saved)


@one_write
def remove_water(key: int, *, who: str) -> None:
    """Take a source water out of the book; its past stays."""
    _remove(Water, "water", key, who)
    forget_model("bath")


@one_write
def save_target(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a target (name, wanted as [what, mg/L, weight] each, ec_ms_cm, note) and give its key."""
    return int(save_row(Target, key, fields, _TARGET, ("name", "wanted"), who))


@one_write
def remove_target(key: int, *, who: str) -> None:
    """Take a target out of the book; its past stays."""
    _remove(Target, "target", key, who)


def _remove(model: Any, noun: str, key: int, who: str) -> None:
    row = model.objects.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput(noun, key, f"the key of a {noun} in the book")
    row.changed_by = who
    row.delete()
