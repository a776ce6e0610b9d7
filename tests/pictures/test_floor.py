"""The floor map: every spot drawn once, its state told without colour."""

import xml.etree.ElementTree as ET

import pytest

from halfwater.pictures.floor import STATES, FloorPlan, FloorSpot, draw_floor, draw_state, floor_sentence
from halfwater.plain.tank import KeepOut

SVG = "{http://www.w3.org/2000/svg}"


def _plan(*states: str) -> FloorPlan:
    spots = tuple(FloorSpot(f"A{i + 1}", 25.0 + 50 * i, 25.0, state) for i, state in enumerate(states))
    return FloorPlan("North", 400.0, 200.0, 50.0, spots, (KeepOut(300, 100, 60, 40, "siphon <corner>"),))


def test_every_spot_is_drawn_once_with_its_name() -> None:
    """A title a spot, with its name and its state in words."""
    tree = ET.fromstring(draw_floor(_plan(*STATES)))
    titles = [one.text for one in tree.iter(f"{SVG}title")]
    assert titles[1:] == [f"A{place + 1}: {state}" for place, state in enumerate(STATES)]
    assert titles[0] == "siphon <corner>"


def test_the_front_is_at_the_foot() -> None:
    """A spot near the front is drawn low: the book measures from the front, a picture from the top."""
    tree = ET.fromstring(draw_floor(_plan("ready")))
    pot = next(one for one in tree.iter(f"{SVG}g") if "is-ready" in one.get("class", ""))
    assert pot.get("transform") == "translate(25.0 175.0)"


def test_no_two_states_have_the_same_shape() -> None:
    """Take the colour and the class away, and the drawings still differ, the empty spot by having none."""
    shapes = {
        next((path.get("d") for path in ET.fromstring(draw_state(state)).iter(f"{SVG}path")), None)
        for state in STATES
    }
    assert len(shapes) == len(STATES)


def test_the_picture_is_said_in_one_sentence() -> None:
    """Who cannot see the map hears the counts."""
    plan = _plan("ready", "ready", "lost")
    said = "Floor of North seen from above: 3 spots (2 ready, 1 lost)"
    assert floor_sentence(plan) == said
    assert ET.fromstring(draw_floor(plan)).get("aria-label") == said


@pytest.mark.parametrize("tag", ["style=", "<script", "onload"])
def test_nothing_is_styled_or_scripted(tag: str) -> None:
    """The map keeps to the pages' content-security policy."""
    assert tag not in draw_floor(_plan(*STATES))
