"""What the documents say is so: commands, options, settings, dependencies, version and links."""

import re
import tomllib
from importlib import import_module
from itertools import chain

import typer
import typer.core

from halfwater.book.profiles import profiles
from halfwater.cli.app import COMMANDS
from tests.rules.reading import PACKAGE, ROOT, hold, tracked_texts

DOCS = ROOT / "docs"
GUIDE = DOCS / "guide"
DECISIONS = sorted((DOCS / "decisions").glob("*.md"))


def test_every_command_is_in_the_guide() -> None:
    """docs/guide/commands.md has a heading for each command and names each of its options."""
    guide = (GUIDE / "commands.md").read_text(encoding="utf-8")
    for name, command in _commands().items():
        heading = re.search(rf"^## `halfwater {name}(?: [^`]*)?`\n(.*?)(?=^## |\Z)", guide, flags=re.M | re.S)
        assert heading, f"docs/guide/commands.md has no heading for {name}"
        for option in _options(command):
            assert option in heading.group(0), f"commands.md: {name} does not name {option}"


def test_the_guide_names_no_command_that_is_not_there() -> None:
    """Each heading of docs/guide/commands.md is a command that exists."""
    guide = (GUIDE / "commands.md").read_text(encoding="utf-8")
    headings = set(re.findall(r"^## `halfwater ([\w-]+)", guide, flags=re.M))
    assert headings == set(_commands())


def test_every_setting_is_in_the_guide() -> None:
    """docs/guide/settings.md names each HALFWATER_ variable that the package reads."""
    guide = (GUIDE / "settings.md").read_text(encoding="utf-8")
    read = {
        name
        for path in (PACKAGE / "config").rglob("*.py")
        for name in re.findall(r"HALFWATER_[A-Z_]+", path.read_text(encoding="utf-8"))
    }
    assert read
    hold(sorted(name for name in read if f"`{name}`" not in guide))


def test_every_dependency_has_its_page_of_reasons() -> None:
    """docs/decisions has a page for each thing we stand on: why, what else was weighed, what it costs."""
    titles = " ".join(page.read_text(encoding="utf-8").splitlines()[0] for page in DECISIONS)
    hold(name for name in sorted(_dependencies()) if name not in re.split(r"[#,\s]+", titles))


def test_every_page_of_reasons_answers_three_questions() -> None:
    """Each decision says why, what else was weighed and what it costs."""
    for page in DECISIONS:
        text = page.read_text(encoding="utf-8")
        for question in ("## Why", "## What else was weighed", "## What it costs"):
            assert question in text, f"{page.name}: {question}"


def test_the_top_of_the_changelog_is_the_version() -> None:
    """The changelog's first heading is the version that the package says it is."""
    headings = re.findall(r"^## (\S+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), flags=re.M)
    assert headings[0] == _project()["version"]


def test_links_in_the_documents_lead_somewhere() -> None:
    """Each relative link in a Markdown file leads to a file of the project."""
    for name, text in tracked_texts().items():
        if name.endswith(".md"):
            for target in re.findall(r"\]\((?!https?:|#|mailto:)([^)#\s]+)", text):
                assert (ROOT / name).parent.joinpath(target).exists(), f"{name}: {target}"


def test_the_readme_begins_with_the_job() -> None:
    """README: the name, one paragraph on the job, then the picture, then the two commands."""
    parts = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    assert parts[0] == "# halfwater"
    assert parts[1].startswith("halfwater is")
    assert parts[2].startswith("![")
    assert "make demo" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_commands_said_in_the_documents_exist() -> None:
    """Each `halfwater NAME` and `make NAME` in a document is a command or a target, with options it has."""
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), flags=re.M))
    commands = _commands()
    for name, text in _documents():
        for line in _said_as_code(text):
            if make := re.match(r"make ([a-z]+)", line):
                assert make[1] in targets, f"{name}: {line}"
            if said := re.match(r"(?:\.venv/bin/)?halfwater ([a-z]+)(.*)", line):
                assert said[1] in commands, f"{name}: {line}"
                options = set(re.findall(r"(?<!\S)--[a-z-]+", said[2]))
                assert options <= {*_options(commands[said[1]]), "--help"}, f"{name}: {line}"


def test_each_page_of_reasons_is_about_something_we_have() -> None:
    """No decision is kept for a dependency that is gone."""
    for page in DECISIONS:
        title = page.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
        assert title == "layout of the house" or set(title.split(", ")) <= _dependencies(), page.name
        assert page.stem in (title.split(", ")[0], "layout"), page.name


def test_every_page_of_the_guide_is_reached_from_its_first() -> None:
    """docs/guide/README.md links each other page of the guide."""
    first = (GUIDE / "README.md").read_text(encoding="utf-8")
    hold(
        page.name
        for page in sorted(GUIDE.glob("*.md"))
        if page.name != "README.md" and f"({page.name})" not in first
    )


def test_starting_values_are_the_ones_documented() -> None:
    """Each value of science/starting.py stands in docs/starting-values.md under its own name."""
    code = (PACKAGE / "science" / "starting.py").read_text(encoding="utf-8")
    page = (DOCS / "starting-values.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]+?) \|", page, flags=re.M))
    for name, value in re.findall(r"^([A-Z_0-9]+)(?:: \w+)? = ([^#\n]+)", code, flags=re.M):
        assert name in rows, f"starting-values.md has no row {name}"
        if re.fullmatch(r"-?[\d._]+", value.strip()):
            assert float(rows[name].split()[0]) == float(value), name


def test_shipped_profiles_are_the_ones_documented() -> None:
    """Each value of a shipped profile stands in docs/starting-values.md with its range and its tag."""
    page = (DOCS / "starting-values.md").read_text(encoding="utf-8")
    for name, facts in profiles().items():
        part = page.split(f"### {name}\n", 1)[1].split("\n### ", 1)[0]
        for fact in facts:
            is_rule = fact.low == fact.high
            shown = f"{fact.mean:g}" if is_rule else f"{fact.mean:g} ({fact.low:g}-{fact.high:g})"
            assert f"| {fact.quantity} | {shown} | {fact.tag} |" in part, f"{name}: {fact.quantity}"


def _documents() -> list[tuple[str, str]]:
    return [(name, text) for name, text in tracked_texts().items() if name.endswith(".md")]


def _said_as_code(text: str) -> list[str]:
    """What stands between single marks, indented, or in a fenced block, line by line, comments left out."""
    fenced = re.findall(r"^```\w*\n(.*?)^```", text, flags=re.M | re.S)
    inline = re.findall(r"(?<!`)`([^`\n]+)`|^    (\S.*)$", text, flags=re.M)
    lines = ["".join(one) for one in inline] + "\n".join(fenced).splitlines()
    return [line.split("  #")[0].strip() for line in lines]


def _commands() -> dict[str, typer.core.TyperCommand]:
    modules = {name: import_module(f"halfwater.cli.{module}") for name, (module, *_) in COMMANDS.items()}
    return {name: typer.main.get_command(module.app) for name, module in modules.items()}


def _options(command: typer.core.TyperCommand) -> list[str]:
    named = [p for p in command.params if isinstance(p, typer.core.TyperOption) and not p.hidden]
    return [max(p.opts, key=len) for p in named if p.name != "help"]


def _project() -> dict:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def _dependencies() -> set[str]:
    """What the package needs to run, by name, its makers' tools, and the peers of the benchmarks."""
    project = _project()
    lines = [*project["dependencies"], *chain(*project["optional-dependencies"].values())]
    for asked in ("requirements.in", "benchmarks/requirements.in"):
        lines += (ROOT / asked).read_text(encoding="utf-8").splitlines()
    names = (re.match(r"[A-Za-z0-9-]+", line) for line in lines if not line.startswith("#"))
    return {name.group(0).lower() for name in names if name}
