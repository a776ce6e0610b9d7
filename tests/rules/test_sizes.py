"""Files and functions stay small enough to be read at one sitting."""

import ast
from pathlib import Path

from tests.rules.reading import (
    ROOT,
    Function,
    functions,
    hold,
    lines_without_docstring,
    named,
    python_files,
    tree_of,
)

FILE_LINES = 400
FUNCTION_LINES = 40
COMPONENT_LINES = 150
DRAWERS = {"utils", "util", "common", "helpers", "helper", "manager", "managers", "misc", "tools"}


def test_every_python_file_is_under_400_lines() -> None:
    """A file that outgrows its limit is split by noun, not by date."""
    lengths = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in _all_python()}
    hold(f"{name}: {lines} lines" for name, lines in lengths.items() if lines >= FILE_LINES)


def test_every_function_is_under_40_lines_without_its_docstring() -> None:
    """A function that outgrows its limit holds two thoughts."""
    lengths = {
        f"{named(path)}:{function.lineno} {function.name}": lines_without_docstring(function)
        for path in _all_python()
        for function in functions(tree_of(path))
    }
    hold(f"{name}: {lines} lines" for name, lines in lengths.items() if lines >= FUNCTION_LINES)


def test_every_stylesheet_and_script_of_ours_is_small() -> None:
    """One stylesheet a component, under 150 lines; scripts and templates under 150 too."""
    found = [path for kind in ("*.css", "*.html", "*.js") for path in (ROOT / "src").rglob(kind)]
    lengths = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in found}
    hold(f"{name}: {lines} lines" for name, lines in lengths.items() if lines >= COMPONENT_LINES)


def test_no_module_is_a_drawer() -> None:
    """Nothing is called utils, common, helpers or manager: a module is named for what it is about."""
    drawers = [named(path) for path in _all_python() if DRAWERS & {path.stem, path.parent.name}]
    hold(drawers)


def test_no_function_is_a_stub() -> None:
    """A function does its work: none only passes, shows dots or says that it is not written yet."""
    stubs = [
        f"{named(path)}:{function.lineno} {function.name}"
        for path in python_files("src")
        for function in functions(tree_of(path))
        if _is_stub(function) and not function.decorator_list and not _is_protocol_method(path, function)
    ]
    hold(stubs)


def test_every_module_and_public_function_says_what_it_is() -> None:
    """Modules, classes and public functions of the package carry at least one sentence."""
    silent = [named(path) for path in python_files("src") if not ast.get_docstring(tree_of(path))]
    for path in python_files("src"):
        for node in tree_of(path).body:
            is_public = isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
            if is_public and not ast.get_docstring(node):
                silent.append(f"{named(path)}:{node.lineno} {node.name}")
    hold(silent)


def test_every_test_says_in_a_sentence_what_it_holds() -> None:
    """A test's docstring is the sentence that would be false if it failed."""
    silent = [
        f"{named(path)}:{function.lineno} {function.name}"
        for path in python_files("tests")
        for function in functions(tree_of(path))
        if function.name.startswith("test_") and not ast.get_docstring(function)
    ]
    hold(silent)


def _all_python() -> list[Path]:
    return python_files("src", "tests", "benchmarks", "docs", "examples")


def _is_stub(function: Function) -> bool:
    body = [node for node in function.body if not _is_text(node)]
    return all(isinstance(node, ast.Pass) or _is_dots(node) or _is_not_written(node) for node in body)


def _is_text(node: ast.stmt) -> bool:
    return _is_constant(node) and isinstance(node.value.value, str)


def _is_dots(node: ast.stmt) -> bool:
    return _is_constant(node) and node.value.value is ...


def _is_constant(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _is_not_written(node: ast.stmt) -> bool:
    return isinstance(node, ast.Raise) and "NotImplementedError" in ast.unparse(node)


def _is_protocol_method(path: Path, function: Function) -> bool:
    classes = [node for node in ast.walk(tree_of(path)) if isinstance(node, ast.ClassDef)]
    return any(function in c.body and "Protocol" in ast.unparse(c).split(":", 1)[0] for c in classes)
