"""Numbers from outside say where they come from."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tests.rules.reading import (
    ROOT,
    Function,
    hold,
    named,
    public_functions,
    python_files,
    sources,
    tracked_texts,
    tree_of,
)

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


def test_every_published_file_names_a_source_beside_common_practice() -> None:
    """A file of published numbers stands on at least one source that exists."""
    hold(named(path) for path in python_files("tests/published") if not _keys_in(path.read_text("utf-8")))


def test_what_looks_like_a_source_is_one() -> None:
    """A word made like a key (name and year) is in docs/sources.toml, wherever it stands."""
    like_a_key = re.compile(r"(?<![\w/.-])(?:[a-z]+-)+(?:19|20)\d\d(?![\w-])")
    hold(
        f"{name}: {key}"
        for name, text in tracked_texts().items()
        if name.startswith(("src/", "tests/", "docs/")) and name != "tests/rules/test_the_rules.py"
        for key in like_a_key.findall(text)
        if key not in sources()
    )


def test_no_source_is_kept_that_nothing_names() -> None:
    """Each key of docs/sources.toml is named by a card, a test or a page."""
    texts = [text for name, text in tracked_texts().items() if name != "docs/sources.toml"]
    said = set().union(*(_keys_in(text) for text in texts))
    hold(sorted(set(sources()) - said))


def test_our_own_table_is_cited_by_its_headings() -> None:
    """After `priors` stands a heading of docs/starting-values.md, so that a reader finds the row."""
    page = (ROOT / "docs" / "starting-values.md").read_text(encoding="utf-8")
    headings = tuple(re.findall(r"^## (.+)$", page, flags=re.MULTILINE))
    hold(
        f"{name}: priors, {place}"
        for name, text in tracked_texts().items()
        if name.startswith(("src/", "tests/")) and "/rules/" not in name
        for place in re.findall(r"\bpriors,? (?=[A-Z0-9§]|section)([^\n\";)]+)", text)
        if not place.startswith(headings)
    )


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
    return NO_SOURCE in text or bool(_keys_in(text))


def _keys_in(text: str) -> set[str]:
    """The keys of docs/sources.toml that a text names."""
    keys = "|".join(re.escape(key) for key in sources())
    return set(re.findall(rf"(?<![\w-])(?:{keys})(?![\w-])", text))


def _count_of_numbers(node: ast.stmt) -> int:
    return sum(isinstance(n, ast.Constant) and isinstance(n.value, float) for n in ast.walk(node))
