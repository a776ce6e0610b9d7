"""What grades are sold for, and what the grower can and wants to do: the frame of the cutting plan."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import read_day
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.stock import GRADES, CuttingHabit, TaxonFacts

NONE_WORDS = ("", "none", "no", "-")
MOST_ACCEPTED = "a whole number of pots such as 20, or none"
SET_ACCEPTED = (
    "one of “price TAXON GRADE 9.50”, “most TAXON GRADE 20”, “minutes_a_week 90”, “release_every_weeks 4”, "
    "“next_release_on 2026-12-05”, “least_kept 2” or “hour 15”; none takes a value away"
)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A taxon and grade, with its price if it has one."""

    taxon: int
    taxon_name: str
    grade: str
    price_minor: int | None
    most_per_release: int | None


def price_lines() -> tuple[PriceLine, ...]:
    """Every grade of every taxon that has pots standing or a price, by the taxon's name."""
    known = {(one.taxon, one.grade): one for one in queries.prices()}
    wanted = {pot.taxon for pot in queries.standing_pots()} | {taxon for taxon, _ in known}
    return tuple(
        PriceLine(
            taxon.key,
            taxon.name,
            grade,
            fact.price_minor if (fact := known.get((taxon.key, grade))) else None,
            fact.most_per_release if fact else None,
        )
        for taxon in queries.taxa()
        if taxon.key in wanted
        for grade in GRADES
    )


@transaction.atomic
def save_price_sheet(typed: Mapping[str, str], who: str) -> None:
    """Write prices as typed in price_KEY_GRADE and most_KEY_GRADE; an empty price takes the grade off."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    read: list[tuple[PriceLine, int | None, int | None]] = []
    for line in price_lines():
        mark = f"{line.taxon}_{line.grade}"
        if f"price_{mark}" not in typed:
            continue
        name = f"price_{mark}"
        minor = sheet.read(name, lambda text: read_money(text, nursery.currency), None)
        most = sheet.read(f"most_{mark}", read_most, None)
        if minor is None and most is not None:
            sheet.refuse(name, f"a price such as 9.50 {nursery.currency}, where a number of pots is given")
        read.append((line, minor, most))
    sheet.finish()
    for line, minor, most in read:
        if (minor, most) != (line.price_minor, line.most_per_release):
            changes.save_price(line.taxon, line.grade, minor, most, who=who)


@transaction.atomic
def save_habit_sheet(typed: Mapping[str, str], who: str) -> CuttingHabit:
    """Write the cutting habit as typed, in fields of its own names; the worth of an hour is `hour`."""
    sheet = Sheet(typed, queries.nursery().units)
    habit = queries.cutting_habit()
    fields = {
        "minutes_a_week": sheet.read("minutes_a_week", read_minutes, None),
        "release_every_weeks": sheet.read("release_every_weeks", read_weeks, habit.release_every_weeks),
        "next_release_on": sheet.read("next_release_on", _read_release, None),
        "least_kept": sheet.read("least_kept", read_kept, habit.least_kept),
        "hour_minor": sheet.read("hour", _read_hour, None),
    }
    sheet.finish()
    changes.save_cutting_habit(who=who, **fields)
    return queries.cutting_habit()


@transaction.atomic
def set_for_plan(lines: Sequence[str], who: str) -> tuple[str, ...]:
    """Set what the plan rests on, one thing a line, all or none; gives what was set, in words."""
    return tuple(_set_one(typed, who) for typed in lines)


def _set_one(typed: str, who: str) -> str:
    word, _, rest = typed.strip().partition(" ")
    word = word.lower()
    if word in ("price", "most"):
        return _set_price(word, rest.strip(), typed, who)
    if word not in _HABIT_WORDS or not rest.strip():
        raise RefusedInput("set", typed, SET_ACCEPTED)
    field, reader = _HABIT_WORDS[word]
    text = rest.strip()
    is_none = text.lower() in NONE_WORDS
    if is_none and field in ("release_every_weeks", "least_kept"):
        raise RefusedInput(word, text, "a whole number")
    changes.save_cutting_habit(who=who, **{field: None if is_none else reader(text)})
    return f"{word}: {'none' if is_none else text}"


def _set_price(word: str, rest: str, typed: str, who: str) -> str:
    """A price, or the most that a release sells of it."""
    taxon, grade, value = read_line(rest, typed)
    known = {(one.taxon, one.grade): one for one in queries.prices()}
    fact = known.get((taxon.key, grade))
    is_none = value.lower() in NONE_WORDS
    if word == "price":
        minor = None if is_none else read_money(value, queries.nursery().currency)
        changes.save_price(taxon.key, grade, minor, fact.most_per_release if fact else None, who=who)
    else:
        if fact is None:
            raise RefusedInput(
                "most", rest, f"a grade with a price: set “price {taxon.name} {grade} 9.50” first"
            )
        changes.save_price(taxon.key, grade, fact.price_minor, None if is_none else read_most(value), who=who)
    return f"{word} of {taxon.name}, {grade}: {'none' if is_none else value}"


def read_line(rest: str, typed: str) -> tuple[TaxonFacts, str, str]:
    """A taxon, a grade and a value, in this order; the taxon's name may hold spaces."""
    match = re.fullmatch(rf"(?P<taxon>.+?)\s+(?P<grade>{'|'.join(GRADES)})\s+(?P<value>\S.*)", rest, re.I)
    if match is None:
        raise RefusedInput("set", typed, SET_ACCEPTED)
    return taxon_named(match["taxon"]), match["grade"].lower(), match["value"].strip()


def taxon_named(typed: str) -> TaxonFacts:
    """The taxon that is meant: by its name, or by a part of it that one taxon with stock or price has."""
    taxa = queries.taxa()
    asked = typed.strip().strip("“”\"'").casefold()
    exact = [taxon for taxon in taxa if taxon.name.casefold() == asked]
    own = {pot.taxon for pot in queries.standing_pots()} | {one.taxon for one in queries.prices()}
    part = [taxon for taxon in taxa if taxon.key in own and asked and asked in taxon.name.casefold()]
    found = exact or part
    if len(found) != 1:
        names = ", ".join(taxon.name for taxon in taxa if taxon.key in own) or "none stands in the book yet"
        raise RefusedInput("taxon", typed, f"one of your taxa: {names}")
    return found[0]


def read_most(text: str) -> int:
    """Pots a release sells at most."""
    return _whole(text, "most", MOST_ACCEPTED, 0, 100_000)


def read_weeks(text: str) -> int:
    """Weeks from one release to the next."""
    return _whole(text, "release_every_weeks", "a whole number of weeks from 1 to 52", 1, 52)


def read_kept(text: str) -> int:
    """Parents of each taxon that are never sold."""
    return _whole(text, "least_kept", "a whole number of pots from 0", 0, 100_000)


def read_minutes(text: str) -> float:
    """Minutes a week for cutting, moving, counting and packing."""
    found = re.fullmatch(r"(\d{1,5}(?:[.,]\d+)?)\s*(min|minutes)?", text.strip())
    minutes = float(found[1].replace(",", ".")) if found else -1.0
    if not 0 <= minutes <= 10_080:
        raise RefusedInput("minutes_a_week", text, "minutes from 0 to 10080")
    return minutes


def _whole(text: str, field: str, accepted: str, least: int, most: int) -> int:
    digits = text.strip()
    if not (digits.isascii() and digits.isdecimal() and len(digits) < 8 and least <= int(digits) <= most):
        raise RefusedInput(field, text, accepted)
    return int(digits)


def _read_release(text: str) -> date:
    return read_day(text, "next_release_on")


def _read_hour(text: str) -> int:
    return read_money(text, queries.nursery().currency, "hour")


_HABIT_WORDS: dict[str, tuple[str, Callable[[str], object]]] = {
    "minutes_a_week": ("minutes_a_week", read_minutes),
    "release_every_weeks": ("release_every_weeks", read_weeks),
    "next_release_on": ("next_release_on", _read_release),
    "least_kept": ("least_kept", read_kept),
    "hour": ("hour_minor", _read_hour),
}
