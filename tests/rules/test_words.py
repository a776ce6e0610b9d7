"""One word a thing, one unit a quantity, and nothing in the files that belongs elsewhere."""

import ast
import re
from collections.abc import Iterator

from tests.rules.reading import (
    PACKAGE,
    hold,
    is_plain_number,
    named,
    names_without_unit,
    python_files,
    suffix_of,
    suffixes,
    tracked_texts,
    tree_of,
)

PURE = ("src/halfwater/plain", "src/halfwater/science", "src/halfwater/planning")
# Endings that name a unit or share in a way the house does not use; the word after the arrow is ours.
FOREIGN_ENDINGS = {
    "_pct": "_frac", "_percent": "_frac", "_share": "_frac", "_cm": "_mm", "_inch": "_mm", "_inches": "_mm",
    "_litres": "_l", "_liters": "_l", "_gal": "_l", "_gallons": "_l", "_ppm": "_mg_l", "_celsius": "_c",
    "_fahrenheit": "_c", "_minutes": "_min", "_grams": "_g", "_watts": "_w", "_utc": "_at",
    "_date": "_on", "_datetime": "_at",
}  # fmt: skip
# Words of other trades for things that have one word here.
FOREIGN_WORDS = {
    "aquarium_id": "tank", "reservoir": "bath", "sump": "bath", "fertilizer": "feed", "fertiliser_id": "feed",
    "recipe_id": "mix", "water_level": "waterline", "log_entry": "entry", "cutting_id": "section",
}  # fmt: skip
# Machine paths, unfinished work and tools' chatter, joined here so that this file holds none of them.
BANNED = [
    "/" + "work/", "/" + "root/", "/" + "home/", "/" + "opt/pypi", "/" + "tmp/bash", "TO" + "DO",
    "FIX" + "ME", "XX" + "X:", "lorem " + "ipsum", "chat" + "gpt", "as an " + "ai ",
]  # fmt: skip


def test_names_of_quantities_end_in_a_known_suffix() -> None:
    """Every number in plain, science and planning results says its unit in its name."""
    hold(
        f"{place} {name} ends in no suffix of docs/words.md"
        for place, name in _number_fields()
        if suffix_of(name) is None and not is_plain_number(name)
    )


def test_no_name_uses_another_unit() -> None:
    """Shares are _frac, lengths _mm, dates _on, instants _at: no name says it otherwise."""
    hold(
        f"{named(path)}:{line} {name}: say {FOREIGN_ENDINGS[ending]}"
        for path in python_files("src")
        for line, name in _names(tree_of(path))
        for ending in FOREIGN_ENDINGS
        if name.endswith(ending) and suffix_of(name) is None
    )


def test_no_other_word_for_a_thing() -> None:
    """A thing with a word in docs/words.md is called by it."""
    hold(
        f"{named(path)}:{line} {name}: say {ours}"
        for path in python_files("src")
        for line, name in _names(tree_of(path))
        for foreign, ours in FOREIGN_WORDS.items()
        if foreign in name.lower()
    )


def test_nothing_that_belongs_elsewhere_is_in_the_files() -> None:
    """No machine path, unfinished work or foreign chatter stands in any file of the project."""
    hold(
        f"{name}: {word}"
        for name, text in tracked_texts().items()
        for word in BANNED
        if word.lower() in text.lower() and not (word.isupper() and word not in text)
    )


def test_the_list_of_suffixes_is_read() -> None:
    """The closed list is there, without a suffix named twice."""
    text = (PACKAGE.parents[1] / "docs" / "words.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(_\w+)` \| \[", text, flags=re.MULTILINE)
    assert len(rows) == len(set(rows)) == len(suffixes()) > 20


def test_no_suffix_is_kept_that_nothing_uses() -> None:
    """Each suffix of the closed list ends a name of the package, or of a quantity kept by its name."""
    strings = "\n".join(path.read_text(encoding="utf-8") for path in python_files("src"))
    quoted = set(re.findall(r"\"(\w+)\"", strings))
    used = {suffix_of(name.lower()) for name in _all_names() | quoted}
    hold(sorted(set(suffixes()) - used))


def test_no_plain_number_is_kept_that_nothing_uses() -> None:
    """Each name without a unit is a name somewhere."""
    hold(sorted(names_without_unit() - _all_names()))


def _all_names() -> set[str]:
    """What the package gives a name to, and what it asks for behind a dot."""
    trees = [tree_of(path) for path in python_files("src")]
    behind_a_dot = {n.attr for tree in trees for n in ast.walk(tree) if isinstance(n, ast.Attribute)}
    return behind_a_dot | {name for tree in trees for _, name in _names(tree)}


def _number_fields() -> Iterator[tuple[str, str]]:
    """Fields of dataclasses that hold a number or an array of numbers."""
    for path in python_files(*PURE):
        classes = (node for node in ast.walk(tree_of(path)) if isinstance(node, ast.ClassDef))
        for node in classes:
            if any("dataclass" in ast.dump(decorator) for decorator in node.decorator_list):
                fields = (line for line in node.body if isinstance(line, ast.AnnAssign) and _is_number(line))
                yield from ((f"{named(path)}:{line.lineno}", ast.unparse(line.target)) for line in fields)


def _is_number(line: ast.AnnAssign) -> bool:
    kind = ast.unparse(line.annotation)
    return kind in {"float", "float | None", "Floats", "Floats | None", "NDArray[np.float64]"}


def _names(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Names that a file gives to what it holds: variables and arguments."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.lineno, node.id
        elif isinstance(node, ast.arg):
            yield node.lineno, node.arg
