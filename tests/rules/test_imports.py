"""Who may import whom, also inside functions, and who may read the machine.

The import contracts themselves stand in pyproject.toml and run in `make check`; here they are run
once more, so that `make test` alone tells of a breach, and what a contract cannot say is added.
"""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.rules.reading import ROOT, functions, hold, named, python_files, tree_of

# Slow to load, so imported at the door that needs them. Closed: a new one needs a measured reason.
SLOW = {
    "altair",
    "highspy",
    "periodictable",
    "phreeqpython",
    "PIL",
    "pint",
    "psychrolib",
    "scipy",
    "statsmodels",
    "vl_convert",
    "waitress",
}
# A command answers --help at once: it loads the house, Django and the tables only when it runs.
SLOW_FOR_COMMANDS = SLOW | {"django", "halfwater", "numpy", "rich"}
# Starting the house: what Django must not see before it is set up.
SLOW_FOR_CONFIG = SLOW | {"django", "halfwater"}


def test_imports_inside_functions_are_slow_libraries_only() -> None:
    """An import stands at the top of its file unless the library is on the closed list."""
    hold(
        f"{named(path)}:{line} imports {module} inside a function"
        for path in python_files("src")
        for line, module in _inner_imports(path)
        if module.split(".")[0] not in _allowed(path)
    )


def test_config_alone_reads_the_environment() -> None:
    """Only halfwater.config knows os.environ; everyone else is told."""
    readers = [
        f"{named(path)}:{node.lineno}"
        for path in python_files("src")
        if "/config/" not in path.as_posix()
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute) and node.attr in {"environ", "getenv"}
    ]
    hold(readers)


def test_science_and_planning_read_no_clock_and_no_chance() -> None:
    """Today, now and the random generator are arguments."""
    forbidden = {"today", "now", "utcnow", "time.time", "default_rng", "random.random", "localtime"}
    hold(
        f"{named(path)}:{node.lineno} calls {ast.unparse(node.func)}"
        for path in python_files("src/halfwater/science", "src/halfwater/planning", "src/halfwater/pictures")
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call)
        and _says_any(ast.unparse(node.func), forbidden)
        and not (ast.unparse(node.func).endswith("default_rng") and node.args)
    )


def test_the_import_contracts_hold() -> None:
    """The contracts of pyproject.toml, kept by import-linter, are all kept."""
    linter = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run([linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout[-4000:] + run.stderr


def test_nothing_is_printed_by_the_inside() -> None:
    """Only commands speak to the terminal; the inside returns or raises."""
    speakers = [
        f"{named(path)}:{node.lineno}"
        for path in python_files("src")
        if "/cli/" not in path.as_posix()
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in {"print", "sys.stdout.write"}
    ]
    hold(speakers)


def test_no_error_is_swallowed() -> None:
    """No bare except, and no `except Exception` that only passes."""
    hold(
        f"{named(path)}:{node.lineno}"
        for path in python_files("src")
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.ExceptHandler) and _swallows(node)
    )


def _inner_imports(path: Path) -> Iterator[tuple[int, str]]:
    for function in functions(tree_of(path)):
        for node in ast.walk(function):
            if isinstance(node, ast.Import):
                yield from ((node.lineno, alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                yield node.lineno, node.module or "."


def _allowed(path: Path) -> set[str]:
    place = path.as_posix()
    if "/halfwater/cli/" in place:
        return SLOW_FOR_COMMANDS
    if "/halfwater/config/" in place:
        return SLOW_FOR_CONFIG
    return SLOW


def _says_any(call: str, forbidden: set[str]) -> bool:
    return any(call == word or call.endswith("." + word) for word in forbidden)


def _swallows(handler: ast.ExceptHandler) -> bool:
    is_broad = handler.type is None or ast.unparse(handler.type) in {"Exception", "BaseException"}
    return (is_broad and all(isinstance(node, ast.Pass) for node in handler.body)) or handler.type is None
