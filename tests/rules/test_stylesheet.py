"""The look stands in tokens: colours in one file, one file a component, nothing inline."""

import re
from pathlib import Path

from tests.rules.reading import PACKAGE, hold, named

SHEETS = sorted((PACKAGE / "web" / "static").rglob("*.css"))
TEMPLATES = sorted((PACKAGE / "web" / "templates").rglob("*.html"))
SCRIPTS = sorted((PACKAGE / "web" / "static").rglob("*.js"))
COLOUR = re.compile(r"#[0-9a-fA-F]{3,8}\b|\b(?:rgb|rgba|hsl|hsla|oklch|oklab|lab|lch|color)\(")
NAMED_COLOUR = re.compile(r":\s*(?:white|black|red|green|blue|gray|grey|brown|orange|yellow|navy|teal)\b")
LAYERS = ["tokens", "reset", "elements", "layout", "components", "places"]
MAIN = PACKAGE / "web" / "static" / "halfwater" / "halfwater.css"


def test_there_are_sheets_and_templates() -> None:
    """The rules look at something."""
    assert SHEETS
    assert TEMPLATES


def test_colours_stand_in_the_tokens_only() -> None:
    """A sheet asks a token for its colour; only the tokens know one."""
    hold(
        f"{named(path)}:{number} {line.strip()}"
        for path in SHEETS
        if "tokens" not in path.stem
        for number, line in enumerate(_bare(path).splitlines(), start=1)
        if COLOUR.search(line) or NAMED_COLOUR.search(line)
    )


def test_every_token_asked_for_exists() -> None:
    """No sheet asks for a token that no sheet gives."""
    text = "\n".join(_bare(path) for path in SHEETS)
    given = set(re.findall(r"(--[\w-]+)\s*:", text)) | _given_by_pages()
    hold(sorted(set(re.findall(r"var\(\s*(--[\w-]+)", text)) - given))


def test_every_sheet_stands_in_a_known_layer() -> None:
    """The one sheet that pages link names the layers' order and lays every other sheet into one of them."""
    text = _bare(MAIN)
    order = re.search(r"@layer\s+([\w\s,]+);", text)
    assert order
    assert [name.strip() for name in order.group(1).split(",")] == LAYERS
    laid = dict(re.findall(r"@import url\(\"([^\"]+)\"\) layer\((\w+)\);", text))
    assert set(laid.values()) <= set(LAYERS)
    others = {path.relative_to(MAIN.parent).as_posix() for path in SHEETS if path != MAIN}
    assert set(laid) == others


def test_nothing_is_styled_or_scripted_inline() -> None:
    """Templates carry no style or script of their own: the content-security policy would refuse them."""
    script = r"<script(?![^>]*\ssrc=)(?![^>]*application/json)"
    inline = re.compile(rf"<style|\sstyle=|\son[a-z]+=|javascript:|{script}")
    hold(
        f"{named(path)}:{number} {line.strip()[:90]}"
        for path in TEMPLATES
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if inline.search(line)
    )


def test_pages_load_nothing_from_elsewhere() -> None:
    """Every sheet, script, picture and font comes from the house itself."""
    elsewhere = re.compile(r"(?:src|href)=[\"'](?:https?:)?//|url\(\s*[\"']?(?:https?:)?//")
    hold(
        f"{named(path)}: {match.group(0)}"
        for path in [*TEMPLATES, *SHEETS, *SCRIPTS]
        for match in elsewhere.finditer(path.read_text(encoding="utf-8"))
    )


def _bare(path: Path) -> str:
    """A sheet without its comments, line numbers kept."""
    text = path.read_text(encoding="utf-8")
    return re.sub(r"/\*.*?\*/", lambda match: "\n" * match.group(0).count("\n"), text, flags=re.DOTALL)


def _given_by_pages() -> set[str]:
    return set(re.findall(r"(--[\w-]+)", "\n".join(p.read_text(encoding="utf-8") for p in SCRIPTS)))
