"""Numbers from outside say where they come from."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tests.rules.reading import Function, hold, named, public_functions, python_files, sources, tree_of

NO_SOURCE = "common practice, no source"


def test_every_published_case_names_its_source() -> None:
    """Each test in tests/published names a key of docs/sources.toml, in itself or in the cases it reads."""
    hold(
        f"{named(path)}:{function.lineno} {function.name} names no source"
        for path, function in _published_tests()
        if not _names_a_source(_text_of(path, function))
    )


def test_every_list_of_cases_names_its_sources() -> None:
    """A table of numbers at the top of a published test names the source of what stands in it."""
    hold(
        f"{named(path)}:{node.lineno} numbers without a source"
        for path in python_files("tests/published")
        for node in tree_of(path).body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        and _count_of_numbers(node) >= 3
        and not _names_a_source(_with_comment_above(path, node))
    )


def test_keys_in_published_tests_exist() -> None:
    """A key said in a `source=` or in a `"key, place"` string is in docs/sources.toml."""
    for path in python_files("tests/published"):
        said = re.findall(r"source\s*=\s*\"([a-z0-9-]+)", path.read_text(encoding="utf-8"))
        hold(f"{named(path)}: {key}" for key in said if key not in sources())


def test_there_are_published_tests() -> None:
    """The rule looks at something."""
    assert len(list(_published_tests())) > 10


def test_every_source_says_how_it_was_seen() -> None:
    """docs/sources.toml gives each key a citation and one of the three ways of knowing it."""
    for key, entry in sources().items():
        assert re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*", key)
        assert entry["cite"].endswith("."), key
        assert entry["seen"] in {"published", "recomputed", "memory"}, key


def _published_tests() -> Iterator[tuple[Path, Function]]:
    for path in python_files("tests/published"):
        tests = (node for node in public_functions(path) if node.name.startswith("test_"))
        yield from ((path, function) for function in tests)


def _text_of(path: Path, function: Function) -> str:
    """The test's own lines, and those of the module's names that it uses."""
    used = {node.id for node in ast.walk(function) if isinstance(node, ast.Name)}
    parts = [_with_comment_above(path, function)]
    for node in tree_of(path).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        names = {target.id for target in targets if isinstance(target, ast.Name)}
        names.add(getattr(node, "name", ""))
        if node is not function and names & used:
            parts.append(_with_comment_above(path, node))
    return "\n".join(parts)


def _with_comment_above(path: Path, node: ast.stmt) -> str:
    lines = path.read_text(encoding="utf-8").splitlines()
    decorators = getattr(node, "decorator_list", [])
    start = min([node.lineno, *(decorator.lineno for decorator in decorators)]) - 1
    while start > 0 and lines[start - 1].lstrip().startswith("#"):
        start -= 1
    return "\n".join(lines[start : node.end_lineno])


def _names_a_source(text: str) -> bool:
    keys = "|".join(re.escape(key) for key in sources())
    return NO_SOURCE in text or bool(re.search(rf"(?<![\w-])(?:{keys})(?![\w-])", text))


def _count_of_numbers(node: ast.stmt) -> int:
    return sum(isinstance(n, ast.Constant) and isinstance(n.value, float) for n in ast.walk(node))
