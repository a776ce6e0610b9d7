"""How the rule tests read the house: its files, its functions, its cards and its words."""

import ast
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "halfwater"
Function = ast.FunctionDef | ast.AsyncFunctionDef
SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "Examples", "Source")


def hold(findings: Iterable[str]) -> None:
    """Fail with every finding on a line of its own."""
    lines = list(findings)
    assert not lines, "\n" + "\n".join(lines)


def named(path: Path) -> str:
    """A file's name as the findings show it."""
    return str(path.relative_to(ROOT))


def python_files(*folders: str, leave_out: tuple[str, ...] = ("/migrations/",)) -> list[Path]:
    """Every Python file under the named folders of the project, migrations left out."""
    found = (path for folder in folders for path in sorted((ROOT / folder).rglob("*.py")))
    return [path for path in found if not any(part in path.as_posix() for part in leave_out)]


@cache
def tree_of(path: Path) -> ast.Module:
    """The parsed file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions(tree: ast.AST) -> Iterator[Function]:
    """Every function and method in a file."""
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def public_functions(path: Path) -> Iterator[Function]:
    """The functions at the top of a file that others may call."""
    at_top = (node for node in tree_of(path).body if isinstance(node, Function))
    return (node for node in at_top if not node.name.startswith("_"))


def lines_without_docstring(function: Function) -> int:
    """Lines from `def` to the end, the docstring not counted."""
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function, clean=False) is not None and first.end_lineno is not None:
        lines -= first.end_lineno - first.lineno + 1
    return lines


@dataclass(frozen=True)
class Field:
    """One line of a Parameters or Returns section with what is said below it."""

    name: str
    kind: str
    text: str

    @property
    def units(self) -> list[str]:
        """The units said in brackets."""
        return re.findall(r"\[([^\]\s]+)\]", self.text)

    @property
    def is_number(self) -> bool:
        """Whether the kind is a number or an array of numbers."""
        is_other = re.search(r"\b(str|Callable|tuple)\b", self.kind)
        return not is_other and bool(re.search(r"\b(float|float64|array_like|ndarray|Floats)\b", self.kind))


@dataclass(frozen=True)
class Card:
    """The card of a function: its sections as they stand in the docstring."""

    summary: str
    sections: dict[str, str]

    def fields(self, section: str) -> list[Field]:
        """The entries of a section: a line at the margin, then its text, indented."""
        entries: list[list[str]] = []
        for line in self.sections.get(section, "").splitlines():
            if line and not line[0].isspace():
                entries.append([line])
            elif entries:
                entries[-1].append(line)
        return [_field(head, "\n".join(rest)) for head, *rest in entries]

    @property
    def source_keys(self) -> list[str]:
        """Keys on the Source line; a place may follow each after a comma."""
        line = self.sections.get("Source", "")
        return re.findall(r"(?:^|;)\s*([a-z0-9-]+)", line.replace("own definition", "definition"))


def _field(head: str, text: str) -> Field:
    name, _, kind = head.partition(" : ")
    return Field(name.strip(), kind.strip() or name.strip(), text)


def card_of(function: Function) -> Card | None:
    """The card in a function's docstring, or None if it has no docstring."""
    text = ast.get_docstring(function)
    if text is None:
        return None
    lines = text.splitlines()
    starts = [
        (number, line)
        for number, line in enumerate(lines[:-1])
        if line in SECTIONS and re.fullmatch(r"-{3,}", lines[number + 1])
    ]
    ends = [number for number, _ in starts[1:]] + [len(lines)]
    sections = {name: "\n".join(lines[at + 2 : end]) for (at, name), end in zip(starts, ends, strict=True)}
    source = re.search(r"^Source:\s*(.+(?:\n.+)*)", text, flags=re.MULTILINE)
    if source:
        sections["Source"] = source.group(1).replace("\n", " ")
    return Card(lines[0], sections)


@cache
def sources() -> dict[str, dict[str, str]]:
    """docs/sources.toml: key -> citation."""
    with (ROOT / "docs" / "sources.toml").open("rb") as file:
        return tomllib.load(file)


@cache
def suffixes() -> dict[str, str]:
    """The closed list of docs/words.md: suffix -> unit, the longest suffix first."""
    rows = re.findall(r"^\| `(_\w+)` \| \[([^\]]+)\] \|", _words(), flags=re.MULTILINE)
    return dict(sorted(rows, key=lambda row: -len(row[0])))


@cache
def names_without_unit() -> frozenset[str]:
    """The closed list of docs/words.md: numbers that count or choose."""
    text = _words().split("## Names without a unit", 1)[1].split(":", 1)[1]
    return frozenset(re.findall(r"\w+", text))


def is_plain_number(name: str) -> bool:
    """Whether a name counts, chooses or weighs, so that it has no unit to say."""
    is_marked = name.startswith(("p_", "is_", "has_")) or name.endswith(("_weight", "_factor"))
    return is_marked or name in names_without_unit()


def suffix_of(name: str) -> str | None:
    """The unit suffix a name ends in, quantile marks left out."""
    bare = re.sub(r"_p\d\d(?=_|$)", "", name)
    return next((suffix for suffix in suffixes() if bare.endswith(suffix) or bare == suffix[1:]), None)


def _words() -> str:
    return (ROOT / "docs" / "words.md").read_text(encoding="utf-8")


@cache
def tracked_texts() -> dict[str, str]:
    """Every text file of the project (its folders, not the environment) by name."""
    kinds = {".py", ".md", ".toml", ".in", ".lock", ".html", ".css", ".js", ".csv", ".txt", ".json", ""}
    texts = {}
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if not _is_left_out(parts) and path.is_file() and path.suffix in kinds:
            texts[named(path)] = path.read_text(encoding="utf-8")
    return texts


def _is_left_out(parts: tuple[str, ...]) -> bool:
    folders = {".git", ".venv", "build", "dist", "__pycache__", ".hypothesis"}
    return any(part in folders or part.endswith((".egg-info", "_cache")) for part in parts)
