"""The figures of a chart as words, for those who do not see it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChartTable:
    """The same figures as in the chart, row by row."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
