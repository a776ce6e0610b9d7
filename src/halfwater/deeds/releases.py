"""Releases: drafted, filled with pots, opened, closed; and all that is known of one."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.cutting import read_onto
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.lines import line_as_it_shall_be, lines_meant, said_of_change
from halfwater.deeds.offerable import grade_now, ready_pots
from halfwater.deeds.prices import taxon_named
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.figures import read_money, show_date, show_list
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.selling import LineFacts, OfferedPot, OrderFacts, ReleaseFacts
from halfwater.plain.stock import GRADES

OPENS_ACCEPTED = "a date and time such as 2026-12-05 19:00"
POTS_ACCEPTED = "a number of pots such as 6, or spots such as “South A1-A4; North B2”"


@dataclass(frozen=True, slots=True)
class ReleaseView:
    """A release with the pots behind each line, its orders, and what to see to before it opens."""

    facts: ReleaseFacts
    pots: Mapping[int, tuple[OfferedPot, ...]]  # by line
    orders: tuple[OrderFacts, ...]
    checks: tuple[str, ...]


def release_view(key: int, now: datetime) -> ReleaseView:
    """All that is known of a release."""
    facts = queries.release(key, now)
    if facts is None:
        raise RefusedInput("release", key, "a release of the book")
    pots = {line.key: queries.line_pots(line.key, now) for line in facts.lines}
    return ReleaseView(facts, pots, queries.orders(release=key), _checks(facts, pots, now))


def release_named(name: str, now: datetime) -> ReleaseFacts:
    """The release of this name, or of a part of a name that one alone has."""
    asked = name.strip().casefold()
    known = queries.releases(now)
    exact = [one for one in known if one.name.casefold() == asked]
    found = exact or [one for one in known if asked and asked in one.name.casefold()]
    if len(found) != 1:
        raise RefusedInput(
            "release", name, f"one of {show_list([one.name for one in known]) or 'none yet: draft one first'}"
        )
    return found[0]


def draft_release(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a release as typed: name, opens, closes and note; instants on the nursery's clock."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "name": sheet.needed("name", str, "", "a name such as “December”"),
        "opens_at": sheet.read("opens", lambda text: read_instant(text, nursery, "opens"), None),
        "closes_at": sheet.read("closes", lambda text: read_instant(text, nursery, "closes"), None),
        "note": sheet.text("note"),
    }
    sheet.finish()
    with sheet.writing(opens_at="opens", closes_at="closes"):
        return changes.save_release(key, who=who, **fields)


@transaction.atomic
def draft_line(
    release: int, typed: Mapping[str, str], who: str, now: datetime, key: int | None = None
) -> int:
    """Write a line as typed: taxon, grade, price, limit and text; `pots` puts pots behind it."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    taxon = sheet.needed("taxon", lambda text: taxon_named(text).key, 0, "a taxon of your stock")
    grade = sheet.choice("grade", GRADES, "standard")
    known = {(one.taxon, one.grade): one.price_minor for one in queries.prices()}
    price = sheet.read("price", lambda text: read_money(text, nursery.currency, "price"), None)
    price = known.get((taxon, grade)) if price is None else price
    limit = sheet.read("limit", _limit, None)
    if price is None and not sheet.refused:
        sheet.refuse("price", f"a price such as 9.50 {nursery.currency}")
    sheet.finish()
    fields = {
        "release": release,
        "taxon": taxon,
        "grade": grade,
        "price_minor": price,
        "limit_per_buyer": limit,
    }
    with sheet.writing(price_minor="price", limit_per_buyer="limit"):
        line = changes.save_line(key, who=who, text=sheet.text("text"), **fields)
    if sheet.text("pots"):
        put_pots_behind(line, sheet.text("pots"), who, now)
    return line


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What is to become of a release in one step."""

    release: Mapping[str, str] | None = None  # as `draft_release` takes it
    line: Mapping[str, str] | None = None  # as `draft_line` takes it
    is_open: bool = False
    is_close: bool = False


@dataclass(frozen=True, slots=True)
class Arranged:
    """What became of it."""

    key: int
    said: str  # of a line that was there before: what changed


@transaction.atomic
def arrange(key: int | None, asked: Arrangement, who: str, now: datetime) -> Arranged:
    """Draft or change a release, add or change a line, open or close it: all of it or nothing."""
    said = ""
    if asked.release is not None or key is None:
        key = draft_release(asked.release or {}, who, key)
    if asked.line is not None:
        said = _add_or_change(key, asked.line, who, now)
    if asked.is_open:
        open_release(key, who, now)
    if asked.is_close:
        close_release(key, who, now)
    return Arranged(key, said)


def _add_or_change(release: int, typed: Mapping[str, str], who: str, now: datetime) -> str:
    """Add a line, or change the one of that taxon and grade: what is not given stays."""
    facts = queries.release(release, now)
    lines = facts.lines if facts is not None else ()
    standing = next(
        (one for one in lines if (one.taxon_name, one.grade) == (typed["taxon"], typed["grade"])), None
    )
    if standing is None:
        draft_line(release, typed, who, now)
        return ""
    draft_line(release, line_as_it_shall_be(standing, typed), who, now, standing.key)
    after = line_of(standing.key, now)
    return said_of_change(standing, after) or f"{after.taxon_name}, {after.grade}: as it was."


def put_pots_behind(line: int, typed: str, who: str, now: datetime) -> tuple[int, ...]:
    """Put pots behind a line, as typed: so many ready ones of its grade, or those on named spots."""
    facts = line_of(line, now)
    text = typed.strip()
    if re.fullmatch(r"[1-9][0-9]{0,4}", text):
        return changes.offer_pots(line, _ready_of(facts, int(text), now), who=who, now=now)
    pots = pots_on_spots(text)
    return changes.offer_pots(line, pots, who=who, now=now)


def take_back(pots: tuple[int, ...], who: str, now: datetime) -> int:
    """Take free pots off their lines."""
    return changes.take_back_pots(pots, who=who, now=now)


def open_release(key: int, who: str, now: datetime) -> None:
    """Open a release for orders, from its announced instant on."""
    changes.open_release(key, who=who, now=now)


def close_release(key: int, who: str, now: datetime) -> None:
    """Close a release."""
    changes.close_release(key, who=who, now=now)


def line_of(line: int, now: datetime) -> LineFacts:
    """A line of any release."""
    for release in queries.releases(now):
        for one in release.lines:
            if one.key == line:
                return one
    raise RefusedInput("line", line, "a line of a release")


def line_named(release: ReleaseFacts, typed: str) -> LineFacts:
    """The line of a release that is meant by a taxon and a grade, or by a taxon that has one line."""
    found = lines_meant(release.lines, typed)
    if len(found) != 1:
        names = show_list([f"{one.taxon_name} {one.grade}" for one in release.lines])
        raise RefusedInput("line", typed, f"one of {names or 'its lines; it has none yet'}")
    return found[0]


def read_instant(text: str, nursery: NurseryFacts, field: str) -> datetime:
    """An instant to come as typed on the nursery's clock; its date alone is the evening's hour."""
    try:
        at = datetime.fromisoformat(text.strip())
    except ValueError:
        raise RefusedInput(field, text, OPENS_ACCEPTED) from None
    if not 1900 < at.year < 2100:
        raise RefusedInput(field, text, OPENS_ACCEPTED)
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text.strip()):
        at = at.replace(hour=nursery.evening_hour)
    local = at if at.tzinfo else at.replace(tzinfo=ZoneInfo(nursery.time_zone))
    return local.astimezone(UTC)


def _limit(text: str) -> int | None:
    if text.lower() in ("none", "no", "-"):
        return None
    if not re.fullmatch(r"[1-9][0-9]{0,3}", text):
        raise RefusedInput("limit", text, "a whole number of plants such as 2, or none")
    return int(text)


def _ready_of(line: LineFacts, pots: int, now: datetime) -> tuple[int, ...]:
    """So many of the ready pots of a line's taxon and grade, the largest first."""
    ready = ready_pots(now).get((line.taxon, line.grade), ())
    if len(ready) < pots:
        raise RefusedByBook(
            f"Only {len(ready)} free pots of {line.taxon_name} stand at {line.grade} today; name the spots "
            f"of others to offer them all the same, such as “South A1-A4”."
        )
    return tuple(pot.key for pot in ready[:pots])


def pots_on_spots(typed: str) -> tuple[int, ...]:
    """The keys of the pots on named spots."""
    try:
        named = read_onto(typed)
    except RefusedInput as refused:
        raise RefusedInput("pots", typed, POTS_ACCEPTED) from refused
    found = []
    for tank_name, spots in named.items():
        tank = queries.tank_named(tank_name)
        there = {pot.spot: pot.key for pot in queries.standing_pots(tank=tank.key)}
        empty = [spot for spot in spots if spot not in there]
        if empty:
            raise RefusedByBook(f"No pot stands on {show_list(empty)} of {tank.name}.", tank.name)
        found += [there[spot] for spot in spots]
    return tuple(found)


def _checks(
    facts: ReleaseFacts, pots: Mapping[int, tuple[OfferedPot, ...]], now: datetime
) -> tuple[str, ...]:
    """What to see to before a release opens; empty when it is sound, or not drafted any more."""
    if facts.state != "drafted":
        return ()
    said = [] if facts.lines else ["It has no line yet: add a taxon and grade."]
    if facts.opens_at is None:
        said.append("No opening is set: it would open at once.")
    elif facts.opens_at <= now:
        said.append("Its opening has passed: it would open at once.")
    grades = {one.pot.key: grade_now(one) for one in stock_outlook(now).pots}
    for line in facts.lines:
        name = f"{line.taxon_name}, {line.grade}"
        if not line.offered:
            said.append(f"{name}: no pot stands behind it.")
        small = sum(
            grade not in GRADES or GRADES.index(grade) < GRADES.index(line.grade)
            for grade in (grades.get(pot.pot, "") for pot in pots.get(line.key, ()))
        )
        if small:
            said.append(f"{name}: {small} of its pots are not at that grade by their last count.")
    return tuple(said)


def show_instant(at: datetime | None, nursery: NurseryFacts) -> str:
    """An instant on the nursery's clock; "not set" for none."""
    if at is None:
        return "not set"
    local = at.astimezone(ZoneInfo(nursery.time_zone))
    return f"{show_date(local.date())} {local:%H:%M}"
