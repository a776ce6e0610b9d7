"""How a number was worked out, as plain data: what the page shows under the answer."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Working:
    """One step: its equation, the figures that went in, what came out, and where it is from."""

    title: str
    equation: str
    inputs: tuple[tuple[str, str], ...]  # what, and its figure with the unit
    value: str
    source: str
    valid: str = ""  # the range in which it holds
