"""Figures as a page lists them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its name and its range or remark."""

    name: str
    value: str
    more: str = ""
