"""What a page of Sales is made of: an answer, then tables, buttons and drawers."""

from dataclasses import dataclass, field
from typing import Any

from halfwater.plain.working import Working
from halfwater.web.selling.words import OrderRow
from halfwater.web.tanks.drawers import Drawer


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell, perhaps a link."""

    text: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """Rows under a heading; `empty` stands where there are none."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str = ""
    more: str = ""

    @property
    def caption(self) -> str:
        """What the table holds, for those who listen to the page."""
        return self.title


@dataclass(frozen=True, slots=True)
class Card:
    """One thing with its sentence, its figures, and what is told on asking."""

    title: str
    sentence: str
    figures: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    asks: str = "Why"
    state: str = ""
    tone: str = ""
    url: str = ""
    button: "Button | None" = None


@dataclass(frozen=True, slots=True)
class Row:
    """One thing in a list that leads to its page."""

    title: str
    url: str
    more: str
    count: str


@dataclass(frozen=True, slots=True)
class SaidList:
    """Sentences under a heading; `empty` stands where there are none."""

    title: str
    said: tuple[str, ...]
    empty: str


@dataclass(frozen=True, slots=True)
class Button:
    """One thing that is done by a press."""

    does: str
    url: str
    is_post: bool = True
    is_main: bool = False
    is_danger: bool = False


@dataclass(frozen=True, slots=True)
class SalesPage:
    """A page of Sales."""

    title: str
    answer: str
    back: str = ""
    back_url: str = ""
    state: str = ""
    more: tuple[str, ...] = ()
    buttons: tuple[Button, ...] = ()
    chart: Any = None
    cards_title: str = ""
    cards: tuple[Card, ...] = ()
    orders: tuple[OrderRow, ...] = ()
    rows_title: str = ""
    rows: tuple[Row, ...] = ()
    rows_empty: str = ""
    lists: tuple[SaidList, ...] = ()
    listings: tuple[Listing, ...] = ()
    links_title: str = ""
    links: tuple[Cell, ...] = ()
    drawers: tuple[Drawer, ...] = ()
    cautions: tuple[str, ...] = ()
    workings: tuple[Working, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class ConfirmPage:
    """A question before something that is not easily taken back."""

    title: str
    back: str
    back_url: str
    said: tuple[str, ...]
    does: str
    url: str
    checks: tuple[str, ...] = ()
    is_danger: bool = False


def plain_row(*texts: str) -> tuple[Cell, ...]:
    """A row without links."""
    return tuple(Cell(text) for text in texts)
