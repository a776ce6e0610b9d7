"""Lineage as plain data: which batch was cut from which, over any number of generations."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.stock import ParentFact


@dataclass(frozen=True, slots=True)
class LineageBatch:
    """One batch of a lineage, with what became of its pots."""

    key: int
    name: str
    taxon: int
    taxon_name: str
    potted_on: date
    generation: int  # 0: its parents are not in the book; else one more than the youngest parent's
    standing: int  # pots
    kept: int  # of the standing ones
    sold: int
    lost: int
    parents: tuple[ParentFact, ...] = ()
    is_asked: bool = False  # the batch that was asked for
    blade: str = ""


@dataclass(frozen=True, slots=True)
class Lineage:
    """A batch with all its forebears and descendants, or all of a taxon: parents stand before children."""

    subject: str  # the batch or taxon asked for
    batches: tuple[LineageBatch, ...]
    generations: int
    said: str  # one sentence
