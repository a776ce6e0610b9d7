"""The examples on the cards print what they say."""

import doctest
import importlib

import pytest

from tests.rules.reading import PACKAGE, named, python_files

FOLDERS = ("src/halfwater/science", "src/halfwater/planning", "src/halfwater/plain", "src/halfwater/pictures")
MODULES = [
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
    for path in python_files(*FOLDERS)
    if ">>>" in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("module", MODULES)
def test_examples_print_what_they_say(module: str) -> None:
    """Each example in a docstring, run, gives the printed text."""
    result = doctest.testmod(importlib.import_module(module), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.attempted > 0
    assert result.failed == 0


def test_there_are_examples() -> None:
    """Somewhere a card shows a worked call."""
    assert MODULES, named(PACKAGE)
