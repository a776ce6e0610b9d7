"""What-ifs: a change to what a plan is made from, typed in a short plain phrase or given by its fields."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import PlanFacts, PlanPot, PlanTank, PlanTaxon
from halfwater.plain.figures import read_money, show_list
from halfwater.plain.stock import GRADES, PriceFact

KINDS = (
    "release every", "next release", "price", "most per release",
    "new tank", "lost batch", "minutes", "least kept",
)  # fmt: skip
EXAMPLES = (
    "release every 6 weeks", "next release on {on}", "{taxon} standard at 9",
    "at most 20 {taxon} standard a release", "new tank of 60 spots", "batch {batch} lost",
    "120 minutes a week", "no limit of minutes", "keep 4 parents",
)  # fmt: skip
_MOST_WEEKS, _MOST_SPOTS, _MOST_MINUTES, _MOST_POTS = 52, 2000, 10_080.0, 100_000


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One change; which fields count hangs on the kind, one of KINDS."""

    kind: str
    weeks: int | None = None
    on: date | None = None
    taxon: int | None = None
    grade: str = ""
    price_minor: int | None = None
    pots: int | None = (
        None  # most per release (None: no limit), least kept, spots of a new tank (None: as the largest)
    )
    batch: str = ""
    minutes: float | None = None  # a week; None: no limit


def changed(facts: PlanFacts, what_if: WhatIf | str) -> PlanFacts:
    """The facts of a plan after one change.

    Parameters
    ----------
    facts : PlanFacts
        What stands; it stays as it is.
    what_if : WhatIf or str
        The change, by its fields or as a phrase such as "release every 6 weeks".

    Returns
    -------
    PlanFacts
        Ready for another plan.

    Raises
    ------
    RefusedInput
        If the phrase is not understood, or names what is not there, or an amount is out of range.

    Notes
    -----
    A lost batch leaves its spots free. A new tank stands empty and costs the minutes of the usual one;
    without a number it has as many spots as the largest. A price of 0 gives pots away; 0 minutes forbid all
    work; nan is refused.

    Source: own definition

    Examples
    --------
    >>> from halfwater.plain.stock import CuttingHabit
    >>> facts = PlanFacts(date(2026, 1, 5), 52, (), (), (), CuttingHabit())
    >>> changed(facts, "release every 6 weeks").habit.release_every_weeks
    6
    """
    change = read_what_if(what_if, facts) if isinstance(what_if, str) else what_if
    doers: dict[str, Callable[[PlanFacts, WhatIf], PlanFacts]] = {
        "release every": _rhythm, "next release": _next_release, "price": _price, "most per release": _most,
        "new tank": _new_tank, "lost batch": _lost_batch, "minutes": _minutes, "least kept": _least_kept,
    }  # fmt: skip
    if change.kind not in doers:
        raise RefusedInput("what_if", change.kind, "one of " + ", ".join(KINDS))
    return doers[change.kind](facts, change)


def read_what_if(words: str, facts: PlanFacts) -> WhatIf:
    """The change that a phrase asks for.

    Parameters
    ----------
    words : str
        Such as "new tank of 60 spots" or "Bucephalandra standard at 9.50".
    facts : PlanFacts
        For the names of taxa and batches, and the currency.

    Returns
    -------
    WhatIf
        Its kind and fields; whether the amounts can be used is seen when it is applied.

    Raises
    ------
    RefusedInput
        If the phrase is not understood; phrases that would be are named.

    Notes
    -----
    Capitals and spaces do not matter; a taxon is found by any part of its name that only one taxon has. There
    is no number to be 0 or nan yet.

    Source: own definition
    """
    text = re.sub(r"^what if ", "", " ".join(words.split()).rstrip(".?"), flags=re.IGNORECASE)
    for pattern, reader in _PHRASES:
        found = re.fullmatch(pattern, text, flags=re.IGNORECASE)
        if found:
            return reader({name: value or "" for name, value in found.groupdict().items()}, facts)
    raise RefusedInput("what_if", words, "such as " + "; ".join(examples_for(facts)))


def examples_for(facts: PlanFacts) -> tuple[str, ...]:
    """Phrases that would be understood, with names from the stock.

    Parameters
    ----------
    facts : PlanFacts
        Its first taxon and batch are named.

    Returns
    -------
    tuple of str
        One a kind of change.

    Notes
    -----
    Without stock the words TAXON and BATCH stand for names. No number is taken, so that there is nothing at
    0, nan or outside.

    Source: own definition
    """
    taxon = facts.taxa[0].name if facts.taxa else "TAXON"
    batch = next((_batch_of(pot) for each in facts.taxa for pot in each.pots), "BATCH")
    on = facts.on + timedelta(weeks=8)
    return tuple(example.format(taxon=taxon, batch=batch, on=on) for example in EXAMPLES)


def _batch_of(pot: PlanPot) -> str:
    """A pot is called by its batch and its number in it."""
    return pot.name.rpartition(" ")[0] or pot.name


def _taxon_named(name: str, facts: PlanFacts) -> PlanTaxon:
    asked = name.strip().casefold()
    exact = [taxon for taxon in facts.taxa if taxon.name.casefold() == asked]
    found = exact or [taxon for taxon in facts.taxa if asked and asked in taxon.name.casefold()]
    if len(found) != 1:
        accepted = (
            "one of " + show_list([taxon.name for taxon in facts.taxa]) if facts.taxa else "no taxon stands"
        )
        raise RefusedInput("taxon", name, accepted)
    return found[0]


def _read_price(said: dict[str, str], facts: PlanFacts) -> WhatIf:
    taxon = _taxon_named(said["taxon"], facts)
    price_minor = read_money(said["price"], facts.currency, "price")
    return WhatIf("price", taxon=taxon.key, grade=said["grade"].lower(), price_minor=price_minor)


def _read_most(said: dict[str, str], facts: PlanFacts) -> WhatIf:
    taxon = _taxon_named(said["taxon"], facts)
    return WhatIf("most per release", taxon=taxon.key, grade=said["grade"].lower(), pots=int(said["pots"]))


def _read_date(said: dict[str, str], facts: PlanFacts) -> WhatIf:
    try:
        return WhatIf("next release", on=date.fromisoformat(said["on"]))
    except ValueError:
        raise RefusedInput("on", said["on"], "a date such as 2026-03-01") from None


def _read_minutes(said: dict[str, str], facts: PlanFacts) -> WhatIf:
    each = 60.0 if said["unit"].lower().startswith("h") else 1.0
    return WhatIf("minutes", minutes=each * float(said["amount"].replace(",", ".")))


_GRADE = f"(?P<grade>{'|'.join(GRADES)})"
_Reader = Callable[[dict[str, str], PlanFacts], WhatIf]
_PHRASES: tuple[tuple[str, _Reader], ...] = (
    (
        r"(?:a )?releases? every (?P<weeks>-?\d{1,4} |other |)weeks?",
        lambda said, facts: WhatIf("release every", weeks=_weeks(said["weeks"])),
    ),
    (r"(?:the )?(?:next )?release (?:is )?on (?P<on>\S+)", _read_date),
    (rf"(?:price )?(?P<taxon>.+?) {_GRADE}(?: is| at| for|) (?P<price>\S+(?: [a-z]{{3}})?)", _read_price),
    (rf"at most (?P<pots>\d{{1,6}}) (?P<taxon>.+?) {_GRADE}(?: (?:a|per|each) release)?", _read_most),
    (
        r"(?:a |one )?(?:new|more) tank(?: of (?P<spots>\d{1,6}) spots)?",
        lambda said, facts: WhatIf("new tank", pots=int(said["spots"]) if said["spots"] else None),
    ),
    (
        r"(?:(?:lose|lost) batch (?P<first>.+)|batch (?P<second>.+?)(?: is)? lost)",
        lambda said, facts: WhatIf("lost batch", batch=said["first"] or said["second"]),
    ),
    (r"(?P<amount>\d{1,6}(?:[.,]\d+)?) ?(?P<unit>minutes|min|hours?|h)(?: a| per) week", _read_minutes),
    (r"no limit (?:of|on|to) (?:the )?minutes", lambda said, facts: WhatIf("minutes")),
    (
        r"keep (?:at least )?(?P<pots>\d{1,6}) (?:parents?|pots?)",
        lambda said, facts: WhatIf("least kept", pots=int(said["pots"])),
    ),
)


def _weeks(said: str) -> int:
    return {"": 1, "other": 2}.get(said.strip().lower(), 0) or int(said)


def _rhythm(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    if change.weeks is None or not 1 <= change.weeks <= _MOST_WEEKS:
        raise RefusedInput("weeks", str(change.weeks), f"1 to {_MOST_WEEKS} weeks")
    return replace(facts, habit=replace(facts.habit, release_every_weeks=change.weeks))


def _next_release(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    if change.on is None or change.on < facts.on:
        raise RefusedInput("on", str(change.on), f"a date from {facts.on} on")
    return replace(facts, habit=replace(facts.habit, next_release_on=change.on))


def _line(facts: PlanFacts, change: WhatIf) -> tuple[PriceFact | None, tuple[PriceFact, ...]]:
    """The price of the line as it is, and all others."""
    if change.taxon not in {taxon.key for taxon in facts.taxa}:
        raise RefusedInput("taxon", str(change.taxon), "a taxon of the plan")
    if change.grade not in GRADES:
        raise RefusedInput("grade", change.grade, "one of " + ", ".join(GRADES))
    own = [price for price in facts.prices if (price.taxon, price.grade) == (change.taxon, change.grade)]
    return (own[0] if own else None), tuple(price for price in facts.prices if price not in own)


def _price(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    own, others = _line(facts, change)
    if change.taxon is None or change.price_minor is None or change.price_minor < 0:
        raise RefusedInput("price", str(change.price_minor), "an amount from 0")
    most = None if own is None else own.most_per_release
    return replace(facts, prices=(*others, PriceFact(change.taxon, change.grade, change.price_minor, most)))


def _most(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    own, others = _line(facts, change)
    if own is None:
        raise RefusedInput("grade", change.grade, "a grade of the taxon that has a price")
    if change.pots is not None and not 0 <= change.pots <= _MOST_POTS:
        raise RefusedInput("pots", str(change.pots), f"0 to {_MOST_POTS} pots, or no number for no limit")
    return replace(facts, prices=(*others, replace(own, most_per_release=change.pots)))


def _new_tank(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    largest = max((tank.spots for tank in facts.tanks), default=0)
    spots = largest if change.pots is None else change.pots
    if not 1 <= spots <= _MOST_SPOTS:
        raise RefusedInput("spots", str(spots), f"1 to {_MOST_SPOTS} spots")
    minutes = [tank.minutes_a_week for tank in facts.tanks]
    usual = sum(minutes) / len(minutes) if minutes else 0.0
    names = {tank.name for tank in facts.tanks}
    name = next(word for n in range(1, len(names) + 2) if (word := f"new tank {n}") not in names)
    key = max((tank.key for tank in facts.tanks), default=0) + 1
    free = tuple(f"new {place + 1}" for place in range(spots))
    return replace(facts, tanks=(*facts.tanks, PlanTank(key, name, spots, free, usual)))


def _lost_batch(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    asked = change.batch.strip().casefold()
    lost = [pot for taxon in facts.taxa for pot in taxon.pots if _batch_of(pot).casefold() == asked]
    if not lost:
        standing = sorted({_batch_of(pot) for taxon in facts.taxa for pot in taxon.pots})
        more = f" and {len(standing) - 12} more" if len(standing) > 12 else ""
        raise RefusedInput("batch", change.batch, "a batch that stands: " + ", ".join(standing[:12]) + more)
    gone = {pot.key for pot in lost}
    taxa = tuple(
        replace(taxon, pots=tuple(pot for pot in taxon.pots if pot.key not in gone)) for taxon in facts.taxa
    )
    tanks = tuple(
        replace(tank, free=(*tank.free, *(pot.spot for pot in lost if pot.tank == tank.name)))
        for tank in facts.tanks
    )
    return replace(facts, taxa=taxa, tanks=tanks)


def _minutes(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    if change.minutes is not None and not 0.0 <= change.minutes <= _MOST_MINUTES:
        raise RefusedInput("minutes", f"{change.minutes:g}", f"0 to {_MOST_MINUTES:g} minutes a week")
    return replace(facts, habit=replace(facts.habit, minutes_a_week=change.minutes))


def _least_kept(facts: PlanFacts, change: WhatIf) -> PlanFacts:
    if change.pots is None or not 0 <= change.pots <= _MOST_POTS:
        raise RefusedInput("pots", str(change.pots), f"0 to {_MOST_POTS} parents of each taxon")
    return replace(facts, habit=replace(facts.habit, least_kept=change.pots))
