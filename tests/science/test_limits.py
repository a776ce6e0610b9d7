"""The gate of numbers refuses what is none."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

LEVEL = Limits("level", -1, 10, "mm")


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, -1.01, 10.01, "5", None, True, 2j, [1, math.nan], [[1], [2, 3]]]
)
def test_what_is_no_number_within_is_refused(value: object) -> None:
    """Text, missing, nan, infinite, ragged and outside values are refused with the limits."""
    with pytest.raises(RefusedInput, match="a number from -1 to 10 mm") as refused:
        LEVEL.many(value)
    assert refused.value.field == "level"


@given(st.lists(st.floats(-1, 10), min_size=1))
def test_what_is_within_passes_unchanged(values: list[float]) -> None:
    """Nothing within the limits is touched."""
    assert LEVEL.many(values).tolist() == values


def test_the_offender_is_shown() -> None:
    """The refusal shows the first value outside, not the whole array."""
    with pytest.raises(RefusedInput) as refused:
        LEVEL.many(np.array([[1.0, 2.0], [77.0, 99.0]]))
    assert refused.value.value == 77.0


def test_one_takes_one() -> None:
    """Where one number is meant, a list of one is refused."""
    assert LEVEL.one(np.float64(3)) == 3.0
    with pytest.raises(RefusedInput):
        LEVEL.one([3.0])
