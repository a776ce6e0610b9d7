"""The rules themselves: each finds what it is for, and leaves alone what is sound."""

import ast
from textwrap import dedent

import pytest

from tests.rules.reading import Function, card_of, functions, lines_without_docstring, suffix_of
from tests.rules.test_cards import CHECKS

SOUND = '''
def free_area(floor_m2, depth_mm):
    """Area of water that stands free between the pots.

    Parameters
    ----------
    floor_m2 : float
        The floor. [m2] Valid above 0.
    depth_mm : array_like
        Depth of the bath. [mm] Valid 0..500.

    Returns
    -------
    numpy.ndarray
        Shape of `depth_mm`. [m2]

    Raises
    ------
    RefusedInput
        If a depth is negative.

    Notes
    -----
    At 0 the whole floor.

    Source: fao-56, chapter 1
    """
    if depth_mm < 0:
        raise RefusedInput("depth", depth_mm, "a depth from 0 mm")
    return floor_m2
'''
# What is made wrong in the sound card -> a part of the finding it must bring.
SLIPS = {
    ("depth_mm : array_like", "depth : array_like"): "the signature has",
    ("bath. [mm]", "bath. [cm]"): "its suffix means [mm]",
    ("bath. [mm]", "bath."): "has no [unit]",
    ("`depth_mm`. [m2]", "`depth_mm`. [acre]"): "is not in docs/words.md",
    ("`depth_mm`. [m2]", "`depth_mm`."): "has no [unit]",
    ("Valid 0..500.", ""): "does not say where it is valid",
    ("RefusedInput\n        If", "RefusedByBook\n        If"): "raises RefusedInput, which is not listed",
    ("Source: fao-56", "Source: hearsay-1900"): "is not in docs/sources.toml",
    ("Source: fao-56, chapter 1", ""): "has no Source section",
    ("Notes\n    -----", "Remarks\n    -------"): "has no Notes section",
}


@pytest.mark.parametrize(("slip", "finding"), SLIPS.items())
def test_a_slip_in_a_card_is_found(slip: tuple[str, str], finding: str) -> None:
    """A card that says one untrue thing brings a finding that names it."""
    assert slip[0] in SOUND
    assert any(finding in found for found in _findings(SOUND.replace(*slip)))


def test_a_sound_card_brings_no_finding() -> None:
    """A true card passes every check."""
    assert _findings(SOUND) == []


def test_a_docstring_does_not_count_as_lines() -> None:
    """A function's length is what it does, not what it says."""
    assert lines_without_docstring(_function(SOUND)) == 4


@pytest.mark.parametrize(
    ("name", "suffix"),
    [
        ("depth_mm", "_mm"), ("siphon_p50_on", None), ("dose_ml_l", "_ml_l"), ("load_kg_m2", "_kg_m2"),
        ("volume_p90_l", "_l"), ("catch_frac", "_frac"), ("share_pct", None), ("loss_l_day", "_l_day"),
    ],
)  # fmt: skip
def test_the_longest_suffix_names_the_unit(name: str, suffix: str | None) -> None:
    """A name's unit is the longest suffix of the list that it ends in, quantile marks left out."""
    assert suffix_of(name) == suffix


def _function(source: str) -> Function:
    return next(functions(ast.parse(dedent(source))))


def _findings(source: str) -> list[str]:
    function = _function(source)
    card = card_of(function)
    assert card is not None
    return [finding for check in CHECKS for finding in check(function, card)]
