"""The lineage picture: each batch once, its lines from its parents, what is gone told by a shape."""

import xml.etree.ElementTree as ET
from datetime import date

from halfwater.pictures.lineage import draw_lineage
from halfwater.plain.lineage import Lineage, LineageBatch
from halfwater.plain.stock import ParentFact

SVG = "{http://www.w3.org/2000/svg}"


def _batch(key: int, generation: int, *parents: int, standing: int = 4) -> LineageBatch:
    facts = tuple(ParentFact(one, f"B{one}") for one in parents)
    return LineageBatch(
        key, f"B{key} <i>", 1, "Nana", date(2025, 1, key), generation, standing, 0, 0, 1, facts
    )


LINEAGE = Lineage(
    "B1",
    (_batch(1, 0, standing=0), _batch(2, 0), _batch(3, 1, 1, 2, 2), _batch(4, 2, 3)),
    3,
    "B1 & what came",
)


def test_every_batch_is_drawn_once_below_its_first_parent() -> None:
    """The tree reads from the top: 1, its child 3, its grandchild 4, then 2."""
    tree = ET.fromstring(draw_lineage(LINEAGE))
    names = [one.text for one in tree.iter(f"{SVG}text") if one.get("class") == "lineage-name"]
    assert names == ["B1 <i>", "B3 <i>", "B4 <i>", "B2 <i>"]


def test_a_further_parent_has_a_line_of_its_own() -> None:
    """Three lines of descent, one of them from a second parent; two cuts of it are one line."""
    tree = ET.fromstring(draw_lineage(LINEAGE))
    lines = [one.get("class") for one in tree.iter(f"{SVG}path")]
    assert lines.count("lineage-line is-further") == 1
    assert lines.count("lineage-line") == 2 + 1  # two first parents, and the bar through what is gone


def test_a_batch_leads_to_its_page() -> None:
    """Where an address is given the batch is a link."""
    tree = ET.fromstring(draw_lineage(LINEAGE, {3: "/stock/3/"}))
    assert [one.get("href") for one in tree.iter(f"{SVG}a")] == ["/stock/3/"]


def test_nothing_is_styled_inline() -> None:
    """The picture keeps to the pages' content-security policy."""
    assert "style=" not in draw_lineage(LINEAGE)
