"""Every public function of science and planning carries a true card.

A finding names the file, the function and what its card says wrongly.
"""

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.rules.reading import (
    Card,
    Function,
    card_of,
    hold,
    is_plain_number,
    named,
    public_functions,
    python_files,
    sources,
    suffix_of,
    suffixes,
)

FOLDERS = ("src/halfwater/science", "src/halfwater/planning")
EXTRA_UNITS = {"1", "d", "unit", "unit2", "unit2/d", "1/d", "1/m2", "L2/d", "(L/d)2/d"}
Finding = Iterator[str]


def _missing(function: Function, card: Card) -> Finding:
    """The card has every section it needs."""
    wanted = {"Returns", "Notes", "Source"} | ({"Parameters"} if _parameters(function) else set())
    yield from (f"has no {name} section" for name in sorted(wanted - set(card.sections)))
    if not card.summary.endswith(".") or len(card.summary) > 110:
        yield "its first line is not one sentence that ends with a full stop"


def _names(function: Function, card: Card) -> Finding:
    """The card names the parameters of the signature, in its order."""
    said = [name.strip() for field in card.fields("Parameters") for name in field.name.split(",")]
    if said != _parameters(function):
        yield f"names {said}, the signature has {_parameters(function)}"


def _units(function: Function, card: Card) -> Finding:
    """Each number has one known unit, the one its suffix says."""
    for field in card.fields("Parameters"):
        if not field.is_number:
            continue
        if not field.units:
            yield f"{field.name} has no [unit]"
            continue
        for name in (part.strip() for part in field.name.split(",")):
            suffix = suffix_of(name)
            if suffix is None and not is_plain_number(name):
                yield f"{name} ends in no suffix of docs/words.md"
            elif suffix is not None and not _agrees(suffixes()[suffix], field.units):
                yield f"{name} says {field.units}, its suffix means [{suffixes()[suffix]}]"


def _known_units(function: Function, card: Card) -> Finding:
    """Every unit in brackets is on the closed list."""
    known = set(suffixes().values()) | EXTRA_UNITS
    for field in card.fields("Parameters") + card.fields("Returns"):
        if field.is_number:
            strange = [unit for unit in field.units if unit not in known]
            yield from (f"{field.name}: unit [{unit}] is not in docs/words.md" for unit in strange)
    for field in card.fields("Returns"):
        if field.is_number and not field.units:
            yield f"what it returns ({field.name}) has no [unit]"


def _validity(function: Function, card: Card) -> Finding:
    """Each number says from where to where it is valid."""
    for field in card.fields("Parameters"):
        if field.is_number and "Valid" not in field.text:
            yield f"{field.name} does not say where it is valid"


def _raises(function: Function, card: Card) -> Finding:
    """Each error that the body raises is listed."""
    listed = {field.name for field in card.fields("Raises")}
    yield from (f"raises {name}, which is not listed" for name in sorted(_raised(function) - listed))


def _source(function: Function, card: Card) -> Finding:
    """The source is known, or the card says that the definition is our own."""
    if "Source" in card.sections and not card.source_keys:
        yield "its Source line names nothing"
    strange = [key for key in card.source_keys if key not in sources()]
    yield from (f"source {key} is not in docs/sources.toml" for key in strange)


CHECKS: tuple[Callable[[Function, Card], Finding], ...] = (
    _missing, _names, _units, _known_units, _validity, _raises, _source,
)  # fmt: skip


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__.strip("_"))
def test_cards_are_true(check: Callable[[Function, Card], Finding]) -> None:
    """No card of science or planning says anything untrue of its function."""
    hold(finding for path, function in _public() for finding in _findings(path, function, check))


def test_there_are_cards_to_check() -> None:
    """The rule looks at something: both folders hold public functions."""
    assert len(list(_public())) > 20


def _public() -> Iterator[tuple[Path, Function]]:
    return ((path, function) for path in python_files(*FOLDERS) for function in public_functions(path))


def _findings(path: Path, function: Function, check: Callable[[Function, Card], Finding]) -> Finding:
    card = card_of(function)
    place = f"{named(path)}:{function.lineno} {function.name}"
    if card is None:
        yield f"{place}: has no card"
        return
    yield from (f"{place}: {finding}" for finding in check(function, card))


def _agrees(unit: str, said: list[str]) -> bool:
    return "unit" in unit or unit in said


def _parameters(function: Function) -> list[str]:
    arguments = function.args
    named_ones = [a.arg for a in arguments.posonlyargs + arguments.args + arguments.kwonlyargs]
    starred = [f"*{arguments.vararg.arg}"] if arguments.vararg else []
    return named_ones + starred


def _raised(function: Function) -> set[str]:
    raised = set()
    for node in ast.walk(function):
        if isinstance(node, ast.Raise) and node.exc is not None:
            thrown = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            if isinstance(thrown, ast.Name) and thrown.id[0].isupper():
                raised.add(thrown.id)
    return raised
