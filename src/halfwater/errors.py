"""Every error halfwater raises on purpose.

HalfwaterError
├── RefusedInput    what was typed cannot be used: field, value, accepted
└── RefusedByBook   the input is sound, but what the book holds stands against it

The shell turns RefusedInput into exit code 2 (or a message beside the field)
and RefusedByBook into exit code 1 (or a message on the page).
"""

_LONGEST_SHOWN = 80


def in_short(text: str) -> str:
    """What was typed as it fits into a sentence: on one line, and not longer than is of use."""
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST_SHOWN else f"{line[: _LONGEST_SHOWN - 1]}…"


class HalfwaterError(Exception):
    """The root: catch this at a door, never inside."""


class RefusedInput(HalfwaterError):
    """A value that cannot be used, with what would be accepted.

    `field` names the quantity or form field, `value` is what was given,
    `accepted` says in words what would have been taken, `where` (optional)
    says where it stood, such as "row 3, column depth".
    """

    def __init__(self, field: str, value: object, accepted: str, where: str = "") -> None:
        self.field = field
        self.value = value
        self.accepted = accepted
        self.where = where
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """One plain sentence: what was wrong, where, and what would be accepted."""
        place = f"{self.where}: " if self.where else ""
        shown = self.value if isinstance(self.value, str) else repr(self.value)
        return f"{place}{self.field} cannot be “{in_short(shown)}”: {self.accepted}."


class RefusedByBook(HalfwaterError):
    """A sound request that the book cannot grant, with what stands against it."""

    def __init__(self, sentence: str, against: str = "") -> None:
        self.sentence = sentence
        self.against = against
        super().__init__(sentence)
