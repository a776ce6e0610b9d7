"""What is said of a pot in one word or two: a count, "same", a loss, another state."""

import re
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.entry import CAUSES
from halfwater.plain.stock import GONE_STATES, POT_STATES

MOST_LEAVES = 999  # more is a slip of the finger
STATES = tuple(state for state in POT_STATES if state not in GONE_STATES)
SAID_ACCEPTED = (
    f"a number of leaves such as 7, “same”, “lost” with a cause ({', '.join(CAUSES)}), "
    f"or a state ({', '.join(STATES)})"
)
_SAME = ("same", "=", "s")


@dataclass(frozen=True, slots=True)
class Said:
    """One pot as it was found; exactly one of the four is given."""

    leaves: int | None = None
    is_same: bool = False
    cause: str = ""
    state: str = ""


def read_said(typed: str, field: str = "leaves", where: str = "") -> Said:
    """What was typed beside a pot."""
    words = typed.strip().lower().split()
    if len(words) == 1 and re.fullmatch(r"[0-9]{1,4}", words[0]) and int(words[0]) <= MOST_LEAVES:
        return Said(leaves=int(words[0]))
    if words and words[0] in ("lost", "loss"):
        cause = " ".join(words[1:]) or "unknown"
        if cause in CAUSES:
            return Said(cause=cause)
    elif len(words) == 1 and words[0] in _SAME:
        return Said(is_same=True)
    elif len(words) == 1 and words[0] in STATES:
        return Said(state=words[0])
    raise RefusedInput(field, typed, SAID_ACCEPTED, where)
