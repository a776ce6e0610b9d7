"""The light map: shade, number and word at every spot."""

from dataclasses import replace

import pytest

from halfwater.pictures.light_map import (
    LightPlan,
    draw_light,
    draw_shade,
    is_unsure,
    light_sentence,
    light_table,
    shade_of,
    shade_words,
)
from halfwater.plain.growing import Span
from halfwater.plain.lighting import SpotLight


def _spot(name: str, x: float, dli: float, word: str, taxon: str = "Anubias") -> SpotLight:
    ppfd = dli * 25
    return SpotLight(
        name, x, 50.0, Span(ppfd * 0.8, ppfd, ppfd * 1.2), Span(dli * 0.8, dli, dli * 1.2), taxon, word
    )


PLAN = LightPlan(
    "North",
    300.0,
    100.0,
    50.0,
    (
        _spot("A1", 50, 0.4, "too dim"),
        _spot("A2", 150, 1.2, "good"),
        _spot("A3", 250, 2.6, "too bright", taxon="<b>"),
        _spot("A4", 280, 1.1, "not known", taxon=""),
    ),
    read=("A2",),
    read_next="A3",
)


def test_every_spot_has_shade_number_and_word() -> None:
    """What colour shows is also written: the number, a sign, and the word in the title."""
    drawn = draw_light(PLAN)
    for part in ("is-shade-0", "is-shade-2", "is-shade-4", ">0.4<", ">1.2<", ">2.6<", "▼", "▲"):
        assert part in drawn
    assert "A1: 0.4 mol/m²/d a day, 10 µmol/m²/s, too dim for Anubias" in drawn


def test_the_spot_to_read_next_and_those_read_are_marked() -> None:
    """One dashed rim, one inner ring."""
    drawn = draw_light(PLAN)
    assert drawn.count("light-at is-next") == 1
    assert drawn.count("light-read") == 1


def test_names_cannot_break_the_drawing() -> None:
    """A taxon called <b> stays text."""
    assert "<b>" not in draw_light(PLAN)


def test_the_sentence_counts_the_words() -> None:
    """Range and counts, for those who do not see the map."""
    assert light_sentence(PLAN) == (
        "Light over the floor of North: 0.4 to 2.6 mol/m²/d at 4 spots "
        "(1 too dim, 1 good, 1 too bright for what stands there)"
    )


def test_the_table_has_a_row_a_spot() -> None:
    """Strength, daily light, its range, and what stands there."""
    rows = light_table(PLAN).rows
    assert rows[1] == ("A2", "30", "1.2", "0.96 to 1.44", "good for Anubias")
    assert rows[3][4] == "empty"


@pytest.mark.parametrize(("dli", "shade"), [(0.0, 0), (0.5, 1), (1.49, 2), (1.5, 3), (9.0, 4)])
def test_the_shades_rise_with_the_light(dli: float, shade: int) -> None:
    """Each edge belongs to the brighter side, and the legend names as many shades."""
    assert shade_of(dli) == shade
    assert f"is-shade-{shade}" in draw_shade(shade)
    assert len(shade_words()) == 5


def test_a_guess_is_told_apart_from_a_figure() -> None:
    """A wide range has its sign, its rim and its words; a narrow one has none of them."""
    wide = SpotLight("A5", 20, 50.0, Span(20, 30, 60), Span(0.7, 1.1, 2.0), "Anubias", "not known")
    drawn = draw_light(replace(PLAN, spots=(*PLAN.spots, wide)))
    assert is_unsure(wide)
    assert not any(is_unsure(spot) for spot in PLAN.spots)
    assert drawn.count("is-unsure") == 1
    assert ">~1.1<" in drawn
    assert "uncertain (0.7 to 2 mol/m²/d)" in drawn


def test_the_strength_of_the_lamp_stands_in_the_spots_where_asked() -> None:
    """The number changes, the shade stays that of the day."""
    drawn = draw_light(replace(PLAN, shown="strength"))
    assert ">30<" in drawn
    assert "is-shade-2" in drawn


def test_a_floor_turned_keeps_its_spots_and_its_sides() -> None:
    """A quarter round: what lay from the left lies from the top, what lay from the front from the left."""
    turned = draw_light(replace(PLAN, is_turned=True))
    assert 'viewBox="-38 -38 150 350"' in turned
    assert "translate(50.0 150.0)" in turned
    assert "rotate(-90)" in turned
    assert turned.count("light-number") == draw_light(PLAN).count("light-number")
