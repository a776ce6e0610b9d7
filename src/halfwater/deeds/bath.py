"""The salts of each bath: where they stand, where they go, why, and what to do about it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.book.queries.chemistry import BathEntries
from halfwater.deeds.bath_facts import (
    NO_PLANTS,
    Kitchen,
    Plants,
    plants_by_tank,
    reckon_once,
    rows_of,
    salts_of,
    the_kitchen,
)
from halfwater.deeds.clock import at_hour, day_from_number, day_number
from halfwater.deeds.meter import corrections
from halfwater.deeds.source_water import water_named
from halfwater.deeds.water import describe_waters, noons_to_keep, still_instant
from halfwater.errors import RefusedInput
from halfwater.plain.bath import BathMark, BathOutlook, EcLimit, FilmAdvice
from halfwater.plain.entry import EntryFact
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import TankFacts
from halfwater.planning.bath import BathNotes, bath_outlook
from halfwater.planning.bath_limit import ec_limit
from halfwater.planning.bath_refill import RefillChoice, usual_refill
from halfwater.planning.foliar import film_advice
from halfwater.science import starting
from halfwater.science.bath_facts import MODEL, BathAnswer, KeptSalts, Solution, TankSalts
from halfwater.science.units import read_quantity

LOOK_BACK_DAY = 120.0
PH_DAYS = 120
PLAIN_MS_CM = 0.05  # a spray that brings less than this above its water is plain
PLAIN_WITHIN_DAYS = 60


@dataclass(frozen=True, slots=True)
class TankBath:
    """The salts of one tank's bath and the film on its leaves; where `outlook` is None, `why` says why."""

    tank: TankFacts
    outlook: BathOutlook | None
    why: str
    film: FilmAdvice | None
    plain_days_ago: float | None = None  # since plain water was sprayed; None: not within two months
    narrows_frac: float = 0.0  # of the variance of EC at the siphon that a reading would take away


@dataclass(frozen=True, slots=True)
class AtHand:
    """What a caller has read of the book already."""

    nursery: NurseryFacts
    tanks: Sequence[TankFacts]
    mixes: Sequence[MixFacts]
    usual_l: Mapping[int, float]  # the last spray of each tank

    @classmethod
    def of(cls, tanks: Sequence[TankFacts]) -> "AtHand":
        """Read now."""
        last = queries.last_entries(kinds=("spray",))
        usual = {tank: entry.value for (tank, _), entry in last.items() if entry.value}
        return cls(queries.nursery(), tanks, queries.mixes(), usual)


def bath_of(name: str, now: datetime, *, refill: str = "", target: str = "") -> TankBath:
    """The bath of the tank of this name, with its past and the fan ahead.

    `refill` names what would be poured in after a siphon, a mix or a water; `target` is an EC.
    """
    tank = queries.tank_named(name)
    asked = Asked(refill, read_quantity(target, "ec", field="target") if target.strip() else None)
    return _baths(AtHand.of((tank,)), now, LOOK_BACK_DAY, asked)[tank.key]


def baths_of(now: datetime, at_hand: AtHand | None = None) -> dict[int, TankBath]:
    """The bath of every tank in use by its key, without past and fan: a few queries, one pass a tank.

    With `at_hand`, as Tonight asks it, pH is left out.
    """
    if at_hand is not None:
        return _baths(at_hand, now, 0.0, Asked(), with_ph=False)
    return _baths(AtHand.of(queries.tanks()), now, 0.0, Asked())


@dataclass(frozen=True, slots=True)
class Asked:
    """What is wanted of a refill."""

    refill: str = ""  # name of a mix or a water; "": the usual one
    target_ms_cm: float | None = None


def refill_choices() -> tuple[RefillChoice, ...]:
    """What could be poured in: our water, the other waters of the book, and every mix."""
    kitchen = the_kitchen()
    others = tuple(
        RefillChoice(kept.water.name, water_named(kept.water.name).ec_ms_cm)
        for kept in queries.waters()
        if not kept.is_ours
    )
    mixes = tuple(
        RefillChoice(mix.name, kitchen.solutions[key].ec_ms_cm)
        for key, mix in kitchen.mixes.items()
        if key in kitchen.solutions
    )
    return (RefillChoice(kitchen.source_name, kitchen.source.ec_ms_cm), *others, *mixes)


def _choice(text: str, kitchen: Kitchen) -> RefillChoice:
    wanted = " ".join(text.split()).casefold()
    for key, mix in kitchen.mixes.items():
        if mix.name.casefold() == wanted and key in kitchen.solutions:
            return RefillChoice(mix.name, kitchen.solutions[key].ec_ms_cm)
    try:
        water = water_named(text)
    except RefusedInput as refused:
        names = ", ".join(mix.name for mix in kitchen.mixes.values())
        raise RefusedInput("refill", text, f"a mix ({names}) or {refused.accepted}") from refused
    return RefillChoice(water.name, water.ec_ms_cm)


def _usual_refill(answer: BathAnswer, kitchen: Kitchen, limit: EcLimit) -> RefillChoice:
    """The fill mix, where it is weak enough to bring this bath into its range; otherwise plain water."""
    key, fill = kitchen.fill_mix, None
    if key is not None and key in kitchen.solutions:
        fill = RefillChoice(kitchen.mixes[key].name, kitchen.solutions[key].ec_ms_cm)
    return usual_refill(answer, limit, fill, RefillChoice(kitchen.source_name, kitchen.source.ec_ms_cm))


def _baths(
    at_hand: AtHand, now: datetime, look_back_day: float, asked: Asked, *, with_ph: bool = True
) -> dict[int, TankBath]:
    nursery, tanks, at = at_hand.nursery, at_hand.tanks, still_instant(now)
    kitchen, plants = the_kitchen(at_hand.mixes), plants_by_tank()
    choice = _choice(asked.refill, kitchen) if asked.refill.strip() else None
    waters, whys = describe_waters(tanks, nursery)
    grown = {tank.key: plants.get(tank.key, NO_PLANTS) for tank in tanks}
    limits = {key: ec_limit(some.taxa, kitchen.source.ec_ms_cm) for key, some in grown.items()}
    able = {
        tank.key: salts_of(tank, waters[tank.key], kitchen, grown[tank.key], limits[tank.key].action_ms_cm)
        for tank in tanks
        if tank.key in waters
    }
    answers, plain = _answers(able, nursery, at, look_back_day, kitchen)
    notes = _noted(at, look_back_day) if with_ph else {}
    found = {}
    for tank in tanks:
        ago = (at - plain[tank.key]).total_seconds() / 86400.0 if tank.key in plain else None
        film = _film(tank, kitchen, grown[tank.key], at_hand.usual_l.get(tank.key), ago)
        answer = answers.get(tank.key)
        if answer is None:
            found[tank.key] = TankBath(tank, None, whys.get(tank.key, ""), film, ago)
            continue
        limit = limits[tank.key]
        outlook = bath_outlook(
            answer, limit, choice or _usual_refill(answer, kitchen, limit), day_number(at, nursery),
            tank=tank.key, tank_name=tank.name, notes=notes.get(tank.key, BathNotes()),
            target_ms_cm=asked.target_ms_cm, units=nursery.units,
        )  # fmt: skip
        found[tank.key] = TankBath(tank, outlook, "", film, ago, float(answer.narrowing.get("ec", 0.0)))
    return found


_States = Mapping[int, tuple[datetime, Any]]


def _answers(
    salts: Mapping[int, TankSalts],
    nursery: NurseryFacts,
    at: datetime,
    look_back_day: float,
    kitchen: Kitchen,
) -> tuple[dict[int, BathAnswer], Mapping[int, datetime]]:
    """Each bath from the state kept last before anything that is to be shown; and its last plain spray."""
    feeding = [key for key in kitchen.mixes if not _is_plain(key, kitchen)]

    def read() -> tuple[_States, BathEntries]:
        states = queries.checkpoints(MODEL, at - timedelta(days=look_back_day))
        since = {tank: states[tank][0] if tank in states else None for tank in salts}
        plain_since = at - timedelta(days=PLAIN_WITHIN_DAYS)
        return states, queries.bath_entries(since, feeding, plain_since, at)

    states, noted = read()
    noons = [] if look_back_day else noons_to_keep(at, nursery)
    if noons and _is_worth_keeping(states, noted, noons[-1]):
        with transaction.atomic():  # once a month: no entry may come between what is read and what is kept
            states, noted = read()
            answers = _reckon(salts, nursery, at, look_back_day, noons, states, noted)
            changes.keep_checkpoints(
                (tank, at_hour(day_from_number(kept.at_day), 12, nursery), MODEL, kept.as_dict())
                for tank, answer in answers.items()
                for kept in answer.kept
            )
        return answers, noted.plain
    return _reckon(salts, nursery, at, look_back_day, (), states, noted), noted.plain


def _is_worth_keeping(states: _States, noted: BathEntries, noon: datetime) -> bool:
    """Has any tank something noted or kept before this noon, and no state kept at it?"""
    old = [tank for tank in noted.rows if tank not in states or states[tank][0] < noon]
    return any(tank in states or (noted.rows[tank] and noted.rows[tank][0][0] < noon) for tank in old)


def _reckon(
    salts: Mapping[int, TankSalts],
    nursery: NurseryFacts,
    at: datetime,
    look_back_day: float,
    noons: Sequence[datetime],
    states: _States,
    noted: BathEntries,
) -> dict[int, BathAnswer]:
    factor = corrections(noted.checks)
    days = tuple(day_number(noon, nursery) for noon in noons)
    return {
        tank: reckon_once(
            one,
            rows_of(noted.rows[tank], nursery, factor),
            day_number(at, nursery),
            KeptSalts.from_dict(states[tank][1]) if tank in states else None,
            days,
            look_back_day,
        )
        for tank, one in salts.items()
    }


def _noted(at: datetime, look_back_day: float) -> dict[int, BathNotes]:
    """What else was noted of each bath lately: pH, and siphons and fills for the picture."""
    ph: dict[int, list[EntryFact]] = {}
    marks: dict[int, list[EntryFact]] = {}
    for entry in queries.entries(kinds=("ph",), since=at - timedelta(days=PH_DAYS), newest_first=False):
        ph.setdefault(entry.tank or 0, []).append(entry)
    if look_back_day:
        since = at - timedelta(days=look_back_day)
        for entry in queries.entries(kinds=("siphon", "fill"), since=since, newest_first=False):
            marks.setdefault(entry.tank or 0, []).append(entry)
    return {
        tank: BathNotes(
            tuple(BathMark(one.day, one.kind, one.value, one.mix_name) for one in marks.get(tank, ())),
            tuple((one.day, float(one.value or 0.0)) for one in ph.get(tank, ())),
        )
        for tank in {*ph, *marks}
    }


def _film(
    tank: TankFacts, kitchen: Kitchen, plants: Plants, usual_l: float | None, plain_days_ago: float | None
) -> FilmAdvice | None:
    """The evening's spray as the leaves feel it; None where nothing is sprayed or no leaf stands."""
    volume = tank.plan.night_volume_l
    if volume is None:
        volume = usual_l or starting.SPRAY_VOLUME_L
    if not volume or not plants.leaf_m2:
        return None
    night = _solution(tank.plan.night_mix, kitchen)
    return film_advice(
        volume,
        plants.leaf_m2,
        night.n_mg_l + night.urea_n_mg_l,
        max(night.ec_ms_cm - kitchen.source.ec_ms_cm, 0.0),
        tender=plants.is_tender,
        plain_days_ago=None if plain_days_ago is None else max(plain_days_ago, 0.0),
    )


def _solution(mix: int | None, kitchen: Kitchen) -> Solution:
    return kitchen.source if mix is None else kitchen.solutions.get(mix, kitchen.source)


def _is_plain(mix: int | None, kitchen: Kitchen) -> bool:
    return _solution(mix, kitchen).ec_ms_cm - kitchen.source.ec_ms_cm < PLAIN_MS_CM
