"""A chart as a page shows it."""

from dataclasses import dataclass
from typing import Any

from halfwater.pictures.table import ChartTable


@dataclass(frozen=True, slots=True)
class Key:
    """One line of a chart's legend."""

    word: str
    icon: str


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart with its table."""

    id: str
    caption: str
    spec: dict[str, Any]
    table: ChartTable
    keys: tuple[Key, ...] = ()
