"""A release as plain text for a newsletter."""

from textwrap import fill

from halfwater.papers.wording import line_terms, line_title, when_told
from halfwater.plain.announcing import Announcement

_WIDTH = 72


def newsletter(said: Announcement) -> str:
    """The release in lines of 72 signs: when, what, at which price, and how to care for it."""
    parts = [said.name, "=" * min(len(said.name), _WIDTH), "", _wrapped(when_told(said))]
    if said.note:
        parts += ["", *(_wrapped(paragraph) for paragraph in said.note.splitlines())]
    for line in said.lines:
        parts += ["", f"* {line_title(line)}", _wrapped(line_terms(line, said), "  ")]
        parts += [_wrapped(line.text, "  ")] if line.text else []
    if said.address:
        parts += ["", f"To order: {said.address}"]
    parts += ["", "Care", "----"]
    for care, names in _cares(said).items():
        parts += ["", _wrapped(f"{', '.join(names)}: {care}")]
    parts += ["", said.seller] if said.seller else []
    return "\n".join(parts) + "\n"


def _cares(said: Announcement) -> dict[str, list[str]]:
    """Each care note once, with the taxa it is for."""
    cares: dict[str, list[str]] = {}
    for line in said.lines:
        names = cares.setdefault(line.care, []) if line.care else []
        if line.taxon_name not in names:
            names.append(line.taxon_name)
    return cares


def _wrapped(text: str, indent: str = "") -> str:
    return fill(
        text,
        _WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
