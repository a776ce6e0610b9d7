"""Tonight's round: gathered from the book, planned, noted with one tap, and undone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.bath import AtHand
from halfwater.deeds.clock import at_hour, evening_of, local_day
from halfwater.deeds.note_values import NoteSetting, NoteValue, read_value
from halfwater.deeds.outlook import outlook_of
from halfwater.deeds.tonight_cutting import work_due
from halfwater.deeds.tonight_salts import Lately, with_salts
from halfwater.deeds.water import reckon_baths
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import PLAIN_FILL, EntryFact, NewEntry, Noted
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import NurseryFacts, day_begins
from halfwater.plain.tank import TankFacts
from halfwater.planning.night import Job, PlannedSpray, Round, RoundInputs, TankNight
from halfwater.planning.night import SiphonAhead as SiphonAhead
from halfwater.planning.tonight import plan_round
from halfwater.science import starting

NOTED_KINDS = ("spray", "siphon", "fill", "look")  # what one tap can note; readings and counts need a number
MORNING_HOUR = 8
AHEAD = timedelta(days=366)  # what lies further is not foreseen
WATCH_DAYS = 14  # a sighting of some or much is looked at again for so long
LAST_KINDS = ("spray", "fill", "siphon", "waterline", "note", "sighting", "leaves", "lamp")
LOOKED = "looked over, nothing new"
UNDONE = "round undone"


@dataclass(frozen=True, slots=True)
class RoundLine:
    """One line of the round as the grower leaves it: done as planned, done otherwise, or skipped."""

    job: Job
    is_done: bool = True
    typed: str = ""  # another amount than planned, as typed


def tonight(on: date | None, now: datetime) -> Round:
    """The round of an evening: tonight's, a past one as it stood then, or a coming one as foreseen."""
    nursery = queries.nursery()
    every = queries.tanks(in_use=None)
    if not any(tank.is_in_use for tank in every):
        raise RefusedByBook(
            "The book has no tank yet: describe one on the set-up page (`halfwater serve`), read in tables "
            "(`halfwater import tanks.csv`), or look at the demo (`halfwater demo`)."
        )
    today = local_day(now, nursery)
    if on is not None and on > today + AHEAD:
        raise RefusedInput("date", on.isoformat(), f"an evening up to {(today + AHEAD).isoformat()}")
    return _round(every, nursery, on or today, now)


def lines_as_planned(planned: Round) -> tuple[RoundLine, ...]:
    """Every line that one tap notes, as planned."""
    return tuple(RoundLine(job) for job in planned.jobs if job.kind in NOTED_KINDS)


def note_round(lines: Sequence[RoundLine], on: date, who: str, now: datetime) -> Noted:
    """Note a round, all of it or nothing; tapped twice it is kept once."""
    nursery = queries.nursery()
    if on > local_day(now, nursery):
        raise RefusedInput(
            "date", on.isoformat(), "tonight or an earlier evening, for a coming one is not done yet"
        )
    tanks = {tank.key: tank for tank in queries.tanks(in_use=None)}
    past = _day_entries(on, nursery)
    void = {entry.uuid for entry in past if entry.voided_at is not None}
    news = [entry for line in lines for entry in _entries_of(line, on, nursery, tanks, void, now)]
    return changes.note_entries(news, who=who, now=now)


def undo_round(on: date, who: str, now: datetime) -> int:
    """Void what one tap noted on an evening; what was noted otherwise stands. Gives how many were voided."""
    nursery = queries.nursery()
    past = _day_entries(on, nursery)
    standing = [entry for entry in past if entry.voided_at is None]
    attempts = 1 + len(past) - len(standing)  # each undoing leaves void entries behind
    own = [entry for entry in standing if entry.uuid in _own_ids(entry, on, attempts)]
    if not own:
        raise RefusedByBook(
            f"Nothing of the round of {on.isoformat()} was noted with one tap, so nothing is undone."
        )
    with transaction.atomic():
        for entry in own:
            changes.void_entry(entry.uuid, UNDONE, who, now)
    return len(own)


def _round(every: Sequence[TankFacts], nursery: NurseryFacts, on: date, now: datetime) -> Round:
    tanks = tuple(tank for tank in every if tank.is_in_use)
    today = local_day(now, nursery)
    at = now if on >= today else min(now, evening_of(on, nursery))
    baths = reckon_baths(tanks, nursery, at, look_back_day=1.0 if on > today else 0.0)
    mixes = {mix.key: mix for mix in queries.mixes()}
    last = _last_entries(at, is_past=on < today)
    noted = _noted_sprays(on, nursery, is_ahead=on > today)
    growing = queries.growing_by_tank()
    sightings = queries.sightings(at - timedelta(days=WATCH_DAYS))
    watched = _watched(sightings, at)
    nights = tuple(
        TankNight(
            key=tank.key,
            name=tank.name,
            place=tank.place,
            sprays=_sprays(tank, mixes, last, noted),
            water=outlook_of(baths[tank.key], on, at, nursery),
            why_no_water=baths[tank.key].why,
            is_filled=any((tank.key, kind) in last for kind in ("fill", "siphon", "waterline", "spray")),
            read_days_ago=_days_ago(last.get((tank.key, "waterline")), on, nursery),
            looked_days_ago=_latest_ago(
                [last.get((tank.key, kind)) for kind in ("note", "sighting")], on, nursery
            ),
            counted_days_ago=_days_ago(last.get((tank.key, "leaves")), on, nursery),
            growing_pots=growing.get(tank.name, 0),
            sighting=watched.get(tank.key, ""),
        )
        for tank in tanks
    )
    if on >= today:
        usual = {tank: entry.value for (tank, kind), entry in last.items() if kind == "spray" and entry.value}
        at_hand = AtHand(nursery, tanks, tuple(mixes.values()), usual)
        nights = with_salts(nights, at_hand, Lately(every, sightings, last), now, on)
    work, no_work = work_due(on, now) if on >= today else ((), "")
    return plan_round(RoundInputs(on, nights, mixes, nursery.units, work, no_work))


def _last_entries(at: datetime, *, is_past: bool) -> Mapping[tuple[int, str], EntryFact]:
    """The newest entry of each tank and kind; for a past evening those that stood before it."""
    if not is_past:
        return queries.last_entries(kinds=LAST_KINDS)
    found: dict[tuple[int, str], EntryFact] = {}
    for entry in queries.entries(since=at - timedelta(days=60), until=at):
        if entry.tank is not None:
            found.setdefault((entry.tank, entry.kind), entry)
    return found


def _noted_sprays(on: date, nursery: NurseryFacts, *, is_ahead: bool) -> set[tuple[int, str]]:
    """Tanks and sessions of the day for which a spray or a skip stands."""
    if is_ahead:
        return set()
    return {
        (entry.tank, entry.word or "night")
        for entry in _day_entries(on, nursery, kinds=("spray", "skip"))
        if entry.tank is not None and entry.voided_at is None
    }


def _sprays(
    tank: TankFacts,
    mixes: Mapping[int, MixFacts],
    last: Mapping[tuple[int, str], EntryFact],
    noted: set[tuple[int, str]],
) -> tuple[PlannedSpray, ...]:
    """What the plan asks for today, morning before night."""
    plan, sprays = tank.plan, []

    def spray(session: str, volume_l: float, mix: int | None, *, is_drench: bool) -> PlannedSpray:
        name = mixes[mix].name if mix is not None else ""
        return PlannedSpray(session, volume_l, mix, name, is_drench, (tank.key, session) in noted)

    if plan.morning_volume_l:
        sprays.append(spray("morning", plan.morning_volume_l, plan.morning_mix, is_drench=False))
    if plan.night_volume_l is None:
        entry = last.get((tank.key, "spray"))
        usual = entry.value if entry is not None and entry.value else starting.SPRAY_VOLUME_L
        sprays.append(spray("night", usual, plan.night_mix, is_drench=True))
    elif plan.night_volume_l > 0:
        sprays.append(spray("night", plan.night_volume_l, plan.night_mix, is_drench=False))
    return tuple(sprays)


def _watched(sightings: Sequence[EntryFact], at: datetime) -> dict[int, str]:
    """What was last sighted in each tank, while it is still to be watched."""
    found: dict[int, str] = {}
    for entry in sightings:
        if entry.tank is not None and entry.at <= at and entry.tank not in found:
            found[entry.tank] = entry.word if (entry.value or 0) >= 2 else ""
    return found


def _days_ago(entry: EntryFact | None, on: date, nursery: NurseryFacts) -> float | None:
    return None if entry is None else float((on - entry.day).days)


def _latest_ago(entries: Iterable[EntryFact | None], on: date, nursery: NurseryFacts) -> float | None:
    found = [ago for entry in entries if (ago := _days_ago(entry, on, nursery)) is not None]
    return min(found, default=None)


def _day_entries(on: date, nursery: NurseryFacts, kinds: Sequence[str] | None = None) -> Sequence[EntryFact]:
    """All entries of a nursery day, void ones too."""
    start, end = (day_begins(day, nursery.time_zone) for day in (on, on + timedelta(days=1)))
    return queries.entries(since=start, until=end, kinds=kinds, include_void=True)


def _entries_of(
    line: RoundLine,
    on: date,
    nursery: NurseryFacts,
    tanks: Mapping[int, TankFacts],
    void: set[UUID],
    now: datetime,
) -> Iterable[NewEntry]:
    """The entry that one line becomes; a line that cannot be noted with one tap becomes none."""
    job = line.job
    if job.tank_key is None or (not line.is_done and job.kind != "spray"):
        return
    if job.kind not in NOTED_KINDS and not line.typed.strip():
        return
    hour_at = at_hour(on, MORNING_HOUR, nursery) if job.session == "morning" else evening_of(on, nursery)
    at = min(hour_at, now)
    if not line.is_done:
        yield NewEntry(
            uuid=_own_id(job.tank_key, on, "skip", job.session, void), kind="skip", at=at, tank=job.tank_key,
            word=job.session,
        )  # fmt: skip
        return
    kind = {"look": "note", "read": "waterline", "count": "leaves", "act": "lamp"}.get(job.kind, job.kind)
    setting = NoteSetting(nursery.units, tanks.get(job.tank_key), job.volume_l)
    read = read_value(kind, line.typed or (LOOKED if job.kind == "look" else ""), setting) if (
        line.typed or job.kind == "look" or (job.kind == "siphon" and job.to_line)
    ) else None  # fmt: skip
    yield NewEntry(
        uuid=_own_id(job.tank_key, on, kind, job.session, void),
        kind=kind,
        at=at,
        tank=job.tank_key,
        value=read.value if read else job.volume_l,
        second=read.second if read else None,
        to_line=read.to_line if read else "",
        word=_word(job, kind, read),
        text=read.text if read else "",
        typed=line.typed.strip(),
        mix=job.mix_key if kind in ("spray", "fill") else None,
    )


def _word(job: Job, kind: str, read: NoteValue | None) -> str:
    """A spray's session, a fill that is plain water, or what was read."""
    if kind == "spray":
        return job.session
    if kind == "fill" and job.mix_key is None and job.what:
        return PLAIN_FILL
    return read.word if read else ""


def _own_id(tank: int, on: date, kind: str, session: str, void: set[UUID]) -> UUID:
    """The id of a line: the same for the same line, another one after it was undone."""
    attempt = 0
    while (uuid := _line_id(tank, on, kind, session, attempt)) in void:
        attempt += 1
    return uuid


def _line_id(tank: int, on: date, kind: str, session: str, attempt: int) -> UUID:
    return uuid5(NAMESPACE_URL, f"halfwater:round:{on.isoformat()}:{tank}:{kind}:{session}:{attempt}")


def _own_ids(entry: EntryFact, on: date, attempts: int) -> set[UUID]:
    """The ids under which one tap could have noted such an entry."""
    if entry.tank is None:
        return set()
    session = entry.word if entry.kind in ("spray", "skip") else ""
    return {_line_id(entry.tank, on, entry.kind, session, attempt) for attempt in range(attempts)}
