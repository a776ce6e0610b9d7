"""The lineage picture: batches as a tree, one row a batch, forebears above, all generations."""

from dataclasses import dataclass
from html import escape

from halfwater.plain.lineage import Lineage, LineageBatch

_WIDE = 360
_ROW = 46
_INDENT = 26.0
_DEEPEST = 150.0  # where the innermost generation may begin
_LEFT = 14.0
_RADIUS = 7.0


@dataclass(frozen=True, slots=True)
class _Row:
    batch: LineageBatch
    x: float
    y: float


def draw_lineage(lineage: Lineage, url_of: dict[int, str] | None = None) -> str:
    """The tree as one SVG: a line from the first parent, a dashed one from each further parent."""
    ordered = _ordered(lineage.batches)
    indent = min(_INDENT, _DEEPEST / max(1, lineage.generations - 1))
    base = min((one.generation for one in ordered), default=0)
    rows = {
        batch.key: _Row(batch, _LEFT + indent * (batch.generation - base), _ROW * (place + 0.5))
        for place, batch in enumerate(ordered)
    }
    high = _ROW * len(ordered)
    lines = [
        _line(rows[parent], row, is_first=place == 0)
        for row in rows.values()
        for place, parent in enumerate(_parents_in(row.batch, rows))
    ]
    nodes = [_node(row, (url_of or {}).get(row.batch.key, "")) for row in rows.values()]
    return (
        f'<svg class="lineage" role="group" aria-label="{escape(lineage.said)}" viewBox="0 0 {_WIDE} {high}" '
        f'xmlns="http://www.w3.org/2000/svg">{"".join(lines)}{"".join(nodes)}</svg>'
    )


def _parents_in(batch: LineageBatch, rows: dict[int, _Row]) -> list[int]:
    """The parents of a batch that stand in the picture, each once."""
    return [key for key in dict.fromkeys(one.batch for one in batch.parents) if key in rows]


def _ordered(batches: tuple[LineageBatch, ...]) -> list[LineageBatch]:
    """Each batch below its first parent, its own descendants right below it."""
    known = {batch.key: batch for batch in batches}
    below: dict[int, list[LineageBatch]] = {}
    tops = []
    for batch in batches:
        first = next((one.batch for one in batch.parents if one.batch in known), None)
        below.setdefault(first, []).append(batch) if first is not None else tops.append(batch)
    found: list[LineageBatch] = []
    waiting = tops[::-1]
    while waiting:
        batch = waiting.pop()
        found.append(batch)
        waiting += below.get(batch.key, [])[::-1]
    return found


def _line(parent: _Row, child: _Row, *, is_first: bool) -> str:
    if is_first:
        path = f"M{parent.x:.1f} {parent.y + _RADIUS:.1f}V{child.y:.1f}H{child.x - _RADIUS:.1f}"
        return f'<path class="lineage-line" d="{path}" fill="none" stroke="#5b5d4d"/>'
    middle = parent.x + 5
    path = f"M{middle:.1f} {parent.y + _RADIUS:.1f}V{child.y + 4:.1f}H{child.x - _RADIUS + 1:.1f}"
    return f'<path class="lineage-line is-further" d="{path}" fill="none" stroke="#5b5d4d"/>'


def _node(row: _Row, url: str) -> str:
    batch = row.batch
    said = ", ".join(
        f"{pots} {word}"
        for pots, word in (
            (batch.standing, "standing"),
            (batch.kept, "kept"),
            (batch.sold, "sold"),
            (batch.lost, "lost"),
        )
        if pots
    )
    state = "asked" if batch.is_asked else ("standing" if batch.standing else "gone")
    mark = (
        f'<circle class="lineage-node is-{state}" cx="{row.x:.1f}" cy="{row.y:.1f}" r="{_RADIUS}" '
        'fill="#fdf9ee" stroke="#0e5a52"/>'
    )
    if state == "gone":  # a bar through what no longer stands: told without its colour
        mark += f'<path class="lineage-line" d="M{row.x - 5:.1f} {row.y:.1f}h10" stroke="#5b5d4d"/>'
    x = row.x + _RADIUS + 8
    words = (
        f'<text class="lineage-name" x="{x:.1f}" y="{row.y - 2:.1f}" font-size="14">'
        f"{escape(batch.name)}</text>"
        f'<text class="lineage-more" x="{x:.1f}" y="{row.y + 13:.1f}" font-size="11.5">'
        f"{batch.potted_on:%-d %b %Y}{escape(f' · {said}') if said else ''}</text>"
    )
    if not url:
        return f"<g>{mark}{words}</g>"
    field = (
        f'<rect x="0" y="{row.y - _ROW / 2 + 1:.1f}" width="{_WIDE}" height="{_ROW - 2}" fill-opacity="0"/>'
    )
    return f'<a href="{escape(url)}">{field}{mark}{words}</a>'
