"""Lineage: where a batch came from and what came of it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from halfwater.book import queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.figures import show_list
from halfwater.plain.lineage import Lineage, LineageBatch
from halfwater.plain.stock import GONE_STATES, BatchFacts

ACCEPTED = "the name of a batch or of a taxon in the book"


def lineage_of(name: str) -> Lineage:
    """The lineage of a batch (its forebears and descendants) or of a taxon (all its batches)."""
    batches = {batch.key: batch for batch in queries.batches()}
    if not batches:
        raise RefusedByBook("The book has no batch yet, so there is no lineage.")
    asked = name.strip().casefold()
    own = next((batch for batch in batches.values() if batch.name.casefold() == asked), None)
    if own is not None:
        wanted = _reach(own.key, _parents(batches)) | _reach(own.key, _children(batches))
        return _lineage(own.name, [batches[key] for key in wanted], batches, own.key)
    of_taxon = [batch for batch in batches.values() if batch.taxon_name.casefold() == asked]
    if not of_taxon:
        raise RefusedInput("lineage", name, ACCEPTED)
    return _lineage(of_taxon[0].taxon_name, of_taxon, batches, None)


def _lineage(
    subject: str, chosen: Sequence[BatchFacts], batches: Mapping[int, BatchFacts], asked: int | None
) -> Lineage:
    depth = generations_of(_parents(batches))
    rows = sorted(chosen, key=lambda one: (depth[one.key], one.potted_on, one.name))
    shown = tuple(_shown(batch, depth[batch.key], is_asked=batch.key == asked) for batch in rows)
    generations = len({one.generation for one in shown})
    return Lineage(
        subject, shown, generations, _said(subject, shown, generations, is_batch=asked is not None)
    )


def _shown(batch: BatchFacts, generation: int, *, is_asked: bool) -> LineageBatch:
    counts = batch.counts
    return LineageBatch(
        key=batch.key, name=batch.name, taxon=batch.taxon, taxon_name=batch.taxon_name,
        potted_on=batch.potted_on, generation=generation,
        standing=sum(pots for state, pots in counts.items() if state not in GONE_STATES),
        kept=counts.get("kept", 0), sold=counts.get("sold", 0), lost=counts.get("lost", 0),
        parents=batch.parents, is_asked=is_asked, blade=batch.blade,
    )  # fmt: skip


def generations_of(parents: Mapping[int, Iterable[int]]) -> dict[int, int]:
    """How many generations stand above each batch: 0 without parents, else one more than the youngest's."""
    depth: dict[int, int] = {}
    waiting = {key: set(above) for key, above in parents.items()}
    level = 0
    while waiting:
        free = [key for key, above in waiting.items() if not above - depth.keys()]
        if not free:  # the book refuses a circle, so that this one was never written by it
            names = ", ".join(str(key) for key in sorted(waiting))
            raise RefusedByBook(f"Batches are their own ancestors in the book: keys {names}.")
        for key in free:
            depth[key] = level
            del waiting[key]
        level += 1
    return depth


def _parents(batches: Mapping[int, BatchFacts]) -> dict[int, set[int]]:
    return {key: {parent.batch for parent in batch.parents} for key, batch in batches.items()}


def _children(batches: Mapping[int, BatchFacts]) -> dict[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    for key, above in _parents(batches).items():
        for parent in above:
            found[parent].add(key)
    return found


def _reach(key: int, links: Mapping[int, Iterable[int]]) -> set[int]:
    """All batches that links lead to from this one, itself included."""
    found: set[int] = set()
    ahead = [key]
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += links.get(one, ())
    return found


def _said(subject: str, shown: Sequence[LineageBatch], generations: int, *, is_batch: bool) -> str:
    """The answer in one sentence."""
    standing = sum(one.standing for one in shown)
    if not is_batch:
        deep = "1 generation" if generations == 1 else f"{generations} generations"
        return f"{subject}: {_batches(len(shown))} over {deep}, {standing} pots standing."
    own = next(one for one in shown if one.is_asked)
    above = [parent.batch_name for parent in own.parents]
    below = [one for one in shown if any(parent.batch == own.key for parent in one.parents)]
    origin = f"was cut from {show_list(list(dict.fromkeys(above)))}" if above else "has no parent in the book"
    came = f"{_batches(len(below))} came of it" if below else "nothing was cut from it yet"
    return f"{subject} {origin}; {came}; {own.standing} of its pots stand."


def _batches(count: int) -> str:
    return "1 batch" if count == 1 else f"{count} batches"
