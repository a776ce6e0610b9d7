"""Warmth, light and groups of plants."""

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.plant_groups import GROUPS, plant_group
from halfwater.science.responses import light_response, temperature_response


def test_warmth_is_a_roof():
    """Nothing at both ends, all of it in the middle, straight lines between."""
    found = temperature_response([10, 13, 19, 25, 28, 32, 36, 40], 13, 25, 28, 36)
    np.testing.assert_allclose(found, [0, 0, 0.5, 1, 1, 0.5, 0, 0])


def test_light_saturates():
    """Dark gives nothing, 3 mol a day gives 1, endless light not more than (3 + K) / 3."""
    found = light_response([0.0, 3.0, 70.0], 1.5)
    assert found[:2] == pytest.approx([0.0, 1.0])
    assert 1.4 < found[2] < 1.5


def test_what_cannot_be_is_refused():
    """No number, beyond any lamp, temperatures out of order."""
    for wrong in (np.nan, 80.0, -30.0):
        with pytest.raises(RefusedInput):
            temperature_response(wrong, 13, 25, 28, 36)
    with pytest.raises(RefusedInput):
        temperature_response(20.0, 25, 13, 28, 36)
    for light, half in ((-1.0, 1.5), (np.nan, 1.5), (3.0, 0.0)):
        with pytest.raises(RefusedInput):
            light_response(light, half)


def test_groups_are_found_by_a_word():
    """A profile's word finds its group, else the name's, else what slow aroids do."""
    assert plant_group("Anubias, petite and mini types").word == "petite"
    assert plant_group("", "Bucephalandra brownie").word == "bucephalandra"
    assert plant_group("", "Lagenandra").word == ""
    assert all(one.none_c < one.best_c <= one.best_to_c < one.limit_c for one in GROUPS)
