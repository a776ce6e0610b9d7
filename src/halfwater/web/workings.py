"""How a figure was worked out, as a page shows it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what it gives, by which equation, from what, on whose word."""

    title: str
    value: str
    equation: str
    inputs: str
    source: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its name and its range or remark."""

    name: str
    value: str
    more: str = ""
