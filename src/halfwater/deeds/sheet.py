"""A sheet as typed: many fields read at once, every refusal collected before anything is written."""

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TypeVar

from halfwater.errors import RefusedInput
from halfwater.science.units import read_quantity, read_size

Kept = TypeVar("Kept")
_UNIT = re.compile(r"_(mm|l|g|w|c|frac|kg_l|ms_cm|umol_m2_s|per_h)$")


class RefusedSheet(RefusedInput):
    """Several fields of one sheet cannot be used; `refused` holds each."""

    def __init__(self, refused: list[RefusedInput]) -> None:
        self.refused = tuple(refused)
        first = refused[0]
        super().__init__(first.field, first.value, first.accepted, first.where)


@dataclass(slots=True)
class Sheet:
    """Reads fields by name in the grower's units."""

    typed: Mapping[str, str]
    units: str = "metric"
    refused: list[RefusedInput] = field(default_factory=list)

    def text(self, name: str) -> str:
        """What stands in the field, without the spaces at its ends."""
        return str(self.typed.get(name, "") or "").strip()

    def read(self, name: str, reader: Callable[[str], Kept], if_empty: Kept) -> Kept:
        """What `reader` makes of the field, or `if_empty`; a refusal is kept for later."""
        text = self.text(name)
        if not text:
            return if_empty
        try:
            return reader(text)
        except RefusedInput as refused:
            self.refused.append(RefusedInput(name, text, refused.accepted))
            return if_empty

    def needed(self, name: str, reader: Callable[[str], Kept], if_refused: Kept, accepted: str) -> Kept:
        """As `read`, but an empty field is refused."""
        if not self.text(name):
            self.refused.append(RefusedInput(name, "", accepted))
            return if_refused
        return self.read(name, reader, if_refused)

    def quantity(self, name: str, kind: str, if_empty: float | None = None) -> float | None:
        """A quantity of a kind known to science.units."""
        return self.read(
            name, lambda text: read_quantity(text, kind, system=self.units, field=name), if_empty
        )

    def number(self, name: str, kind: str, if_empty: float) -> float:
        """As `quantity`, where an empty field stands for a known value."""
        return self.read(
            name, lambda text: read_quantity(text, kind, system=self.units, field=name), if_empty
        )

    def sides(self, name: str, count: int, accepted: str) -> tuple[float, ...]:
        """Sides of a floor or a tank; they must be there."""

        def reader(text: str) -> tuple[float, ...]:
            try:
                return read_size(text, count, name, system=self.units)
            except RefusedInput as refused:
                raise RefusedInput(name, text, accepted) from refused

        return self.needed(name, reader, (1.0,) * count, accepted)

    def choice(self, name: str, choices: tuple[str, ...], if_empty: str) -> str:
        """One of a closed list of words."""
        text = self.text(name) or if_empty
        if text not in choices:
            self.refused.append(RefusedInput(name, text, f"one of {', '.join(choices)}"))
            return if_empty
        return text

    def key(self, name: str) -> int | None:
        """The key picked from a list; None when nothing was picked."""
        return self.read(name, lambda text: _whole_key(name, text), None)

    def refuse(self, name: str, accepted: str) -> None:
        """Keep a refusal found by a rule between fields."""
        self.refused.append(RefusedInput(name, self.text(name), accepted))

    def finish(self) -> None:
        """Raise what was refused, if anything was."""
        if self.refused:
            raise RefusedSheet(self.refused)

    @contextmanager
    def writing(self, **names: str) -> Iterator[None]:
        """What the book itself refuses is said of the sheet's field, with what was typed there."""
        try:
            yield
        except RefusedInput as refused:
            name = names.get(refused.field) or _UNIT.sub("", refused.field)
            if name not in self.typed:
                raise
            raise RefusedInput(name, self.text(name), refused.accepted) from refused


def _whole_key(name: str, text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 12:
        raise RefusedInput(name, text, "one from the list")
    return int(text)
