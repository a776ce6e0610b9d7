"""One pot: what the book knows of it and what is foreseen."""

from dataclasses import dataclass
from datetime import date, datetime

from halfwater.book import queries
from halfwater.deeds.growing import stock_outlook
from halfwater.errors import RefusedInput
from halfwater.plain.entry import EntryFact
from halfwater.plain.growing import PotOutlook
from halfwater.plain.stock import LeafCount, ParentFact, StandingPot

POT_ACCEPTED = (
    "a pot by its batch and number such as “Nana, June 3”, or by its tank and spot such as “North B4”"
)


@dataclass(frozen=True, slots=True)
class NamedStay:
    """Where the pot stood, from one day to another."""

    tank_name: str
    spot: str
    from_on: date
    to_on: date | None


@dataclass(frozen=True, slots=True)
class Offspring:
    """A batch that was cut from this pot."""

    batch: int
    batch_name: str
    potted_on: date


@dataclass(frozen=True, slots=True)
class PotPage:
    """One pot with its past and its future."""

    pot: StandingPot
    outlook: PotOutlook | None  # None for a pot that is gone
    counts: tuple[LeafCount, ...]  # oldest first
    stays: tuple[NamedStay, ...]
    parents: tuple[ParentFact, ...]  # of its batch
    offspring: tuple[Offspring, ...]
    entries: tuple[EntryFact, ...]  # about this pot, newest first
    siblings: tuple[StandingPot, ...]  # of the same batch, itself included, by number


def pot_page(key: int, now: datetime) -> PotPage:
    """All about one pot."""
    pots = queries.standing_pots(gone=True)
    pot = next((one for one in pots if one.key == key), None)
    if pot is None:
        raise RefusedInput("pot", key, "the key of a pot in the book")
    outlook = next((one for one in stock_outlook(now).pots if one.pot.key == key), None) if pot.spot else None
    names = {tank.key: tank.name for tank in queries.tanks(in_use=None)}
    return PotPage(
        pot=pot,
        outlook=outlook,
        counts=tuple(sorted(queries.leaf_counts(pots=[key]), key=lambda count: count.on)),
        stays=tuple(
            NamedStay(names.get(stay.tank, ""), stay.spot, stay.from_on, stay.to_on)
            for stay in queries.stays(pots=[key])
        ),
        parents=next((batch.parents for batch in queries.batches() if batch.key == pot.batch), ()),
        offspring=tuple(
            Offspring(batch.key, batch.name, batch.potted_on)
            for batch in queries.batches()
            if any(parent.pot == key for parent in batch.parents)
        ),
        entries=queries.entries(pot=key),
        siblings=tuple(sorted((one for one in pots if one.batch == pot.batch), key=lambda one: one.number)),
    )


def pot_named(typed: str) -> StandingPot:
    """The pot that is meant: by batch and number, or by the tank and spot it stands on."""
    front, _, last = typed.strip().rpartition(" ")
    asked, end = front.strip().casefold(), last.strip().upper().lstrip("#")
    pots = queries.standing_pots(gone=True)
    found = [pot for pot in pots if pot.batch_name.casefold() == asked and str(pot.number) == end]
    found = found or [pot for pot in pots if pot.tank_name.casefold() == asked and pot.spot == end]
    if len(found) != 1:
        raise RefusedInput("pot", typed, POT_ACCEPTED)
    return found[0]
