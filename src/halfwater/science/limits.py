"""The gate every number passes on its way into a formula: finite, and within what the formula is good for."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput

# What a formula gives: a numpy.float64 for one number, an array of its shape for many.
Numbers = np.float64 | NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Limits:
    """What a quantity may be: its name, least and most, and the unit as a grower writes it.

    Nothing is clipped and no nan passes: the first value outside is refused, and the refusal says
    the limits. Text is refused even where it looks like a number; reading text is units' work.
    """

    field: str
    low: float
    high: float
    unit: str = ""

    def many(self, value: Any) -> NDArray[np.float64]:
        """The value or values as an array of floats, once every one of them is within the limits."""
        try:
            raw = np.asarray(value)
        except ValueError as ragged:
            raise RefusedInput(self.field, value, self.accepted) from ragged
        if raw.dtype.kind not in "iuf":
            raise RefusedInput(self.field, value, self.accepted)
        numbers = raw.astype(float)
        outside = ~((numbers >= self.low) & (numbers <= self.high))  # nan compares false: it is outside
        if outside.any():
            raise RefusedInput(self.field, float(numbers[outside].flat[0]), self.accepted)
        return numbers

    def one(self, value: Any) -> float:
        """The value as a plain float, once it is one number within the limits."""
        numbers = self.many(value)
        if numbers.ndim:
            raise RefusedInput(self.field, value, self.accepted)
        return float(numbers)

    @property
    def accepted(self) -> str:
        """What would be taken, in words."""
        return f"a number from {self.low:g} to {self.high:g} {self.unit}".rstrip()
