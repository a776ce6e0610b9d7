"""Tonight's round: what to do at each tank, how much, by when, and what can wait."""

from collections.abc import Iterable
from datetime import date
from math import isfinite

from halfwater.errors import RefusedInput
from halfwater.plain.figures import show, show_date, show_list
from halfwater.planning.mixing import MixToMake, plan_mix, volume_to_make
from halfwater.planning.night import (
    Job,
    PlannedSpray,
    PlannedWork,
    Round,
    RoundInputs,
    SiphonAhead,
    TankNight,
    WaterOutlook,
)
from halfwater.planning.night_salts import (
    PLAIN,
    act_jobs,
    ec_readings,
    plain_night,
    salts_jobs,
    with_salts,
)
from halfwater.science import starting

SIPHON_DUE_FRAC = 0.10  # chance of passing the limit line before the next round
READ_GAIN_DAYS = 1.0  # a reading is worth its minutes from this narrowing on
READ_AT_MOST = 3  # readings asked for on one evening
LOOK_EVERY_DAYS = 7.0
COUNT_EVERY_DAYS = 30.0
DRY_SHARE_FRAC = 0.5  # of the low line: below it the bath is topped up
WORK_KINDS = ("cut", "move")
COUNT_MIN = 20 * 5 / 60  # twenty tagged plants at five seconds each


def plan_round(inputs: RoundInputs) -> Round:
    """Round of one evening: its jobs in walking order and what needs no doing.

    Siphons are decided by chance, not by the middle of a forecast: a siphon is
    due when the chance of passing the limit line before the next round is a
    tenth or more, or the level stands at the line already. Readings are asked
    for where they narrow a siphon date most, at most three an evening.

    Parameters
    ----------
    inputs : RoundInputs
        The evening's date, the tanks as the evening finds them, and the mixes
        by key. Valid: every volume, depth and chance a finite number of 0 or
        more.

    Returns
    -------
    Round
        Jobs (mixes first, then tank by tank in walking order), minutes in all,
        the mixes to make, one sentence each for what needs no doing, and what
        is noted already.

    Raises
    ------
    RefusedInput
        If a volume, depth, chance or time is negative, nan or infinite, or a
        spray names a mix that is not among the mixes.

    Notes
    -----
    Due: P(limit line passed before the next round) >= 0.10 or depth >= limit
    line. The amount of each mix is the sum of its sprays and fills, made up to
    the next mark of a jug. No tanks give a round without jobs. Minutes per job are
    starting values. Salts ask for a siphon of their own only where the waterline asks for none, and after
    a reading where the grower has a meter. Cuts and moves come from the cutting plan and have until the end
    of their week, so that their minutes are not the evening's.

    Source: own definition
    """
    _check(inputs)
    tanks = sorted(inputs.tanks, key=lambda tank: (tank.place, tank.name))
    readings = _readings_worth_taking(tanks, inputs.on)
    ec = ec_readings(tanks, inputs.on)
    walk: list[Job] = []
    for tank in tanks:
        begins = len(walk)
        walk += [found[tank.key] for found in (readings, ec) if tank.key in found]
        for job in _bath_jobs(tank, inputs):
            walk += with_salts(job, tank, inputs.on, is_read_first=tank.key in ec)
        walk += salts_jobs(tank, inputs.on, [job.kind for job in walk[begins:]])
        walk += [_spray_job(tank, spray, inputs.on) for spray in tank.sprays if not spray.is_noted]
        walk += _care_jobs(tank, inputs.on)
        walk += act_jobs(tank, inputs.on, [job.kind for job in walk[begins:]])
        walk += [_work_job(tank, work, inputs.on) for work in inputs.work if work.tank_key == tank.key]
    recipes, mix_jobs = _mixes(walk, inputs)
    jobs = (*mix_jobs, *walk)
    return Round(
        on=inputs.on,
        minutes=sum(job.minutes for job in jobs if job.kind not in WORK_KINDS),
        jobs=jobs,
        mixes_to_make=recipes,
        not_needed=(*_not_needed(tanks, jobs, inputs.on), *filter(None, (inputs.no_work,))),
        done=tuple(_done(tanks)),
        siphons=_siphons_ahead(tanks),
    )


def _siphons_ahead(tanks: Iterable[TankNight]) -> tuple[SiphonAhead, ...]:
    """When each tank wants its siphon, the earliest first, those without a date last."""
    ahead = [
        SiphonAhead(
            tank.name, tank.key, water.depth_mm, _volume_when_due(water), water.low_line_mm,
            water.siphon_p10_on, water.siphon_p50_on, water.siphon_p90_on,
        )
        for tank in tanks
        if (water := tank.water) is not None and tank.is_filled
    ]  # fmt: skip
    return tuple(sorted(ahead, key=lambda s: (s.siphon_p50_on or date.max, s.siphon_p10_on or date.max)))


def _volume_when_due(water: WaterOutlook) -> float:
    """Litres to take on the siphon date: what stands there now if due, else what lies between the lines."""
    return (
        water.siphon_volume_l if _siphon_is_due(water) or water.due_volume_l is None else water.due_volume_l
    )


def _check(inputs: RoundInputs) -> None:
    """Refuse numbers that no evening can have."""
    for tank in inputs.tanks:
        for spray in tank.sprays:
            _refuse_unless_sound(f"{tank.name}, {spray.session} spray", spray.volume_l)
            if spray.mix is not None and spray.mix not in inputs.mixes:
                raise RefusedInput(f"{tank.name}, mix", spray.mix_name, "one of the mixes in the book")
        if tank.water is not None:
            for name in (
                "depth_mm",
                "volume_l",
                "low_line_mm",
                "limit_line_mm",
                "low_volume_l",
                "siphon_volume_l",
                "p_past_limit_frac",
            ):
                _refuse_unless_sound(f"{tank.name}, {name}", getattr(tank.water, name))
    for work in inputs.work:
        _refuse_unless_sound(f"{work.kind} of {work.taxon_name}, minutes", work.minutes)


def _refuse_unless_sound(field: str, value: float) -> None:
    if not isfinite(value) or value < 0:
        raise RefusedInput(field, value, "a finite number of 0 or more")


def _siphon_is_due(water: WaterOutlook) -> bool:
    return water.depth_mm >= water.limit_line_mm or water.p_past_limit_frac >= SIPHON_DUE_FRAC


def _readings_worth_taking(tanks: Iterable[TankNight], on: date) -> dict[int, Job]:
    """Readings to take tonight by tank, ranked: one that cannot be right again, then what narrows most."""
    worth = []
    for tank in tanks:
        water = tank.water
        if water is None or not tank.is_filled or _siphon_is_due(water):
            continue
        if _is_worth_reading(tank) and not _is_read_today(tank):
            worth.append((water.doubted_mm is None, -_gain(water), tank.place, tank))
    worth.sort(key=lambda found: found[:3])
    return {
        tank.key: Job(
            key=f"read-{tank.key}", kind="read", tank=tank.name, tank_key=tank.key, due_on=on,
            minutes=starting.READING_MIN, rank=rank, gain_days=-lost,
            why=_why_read(tank, -lost, is_first=rank == 1 and len(worth) > 1),
        )
        for rank, (_, lost, _, tank) in enumerate(worth[:READ_AT_MOST], start=1)
    }  # fmt: skip


def _gain(water: WaterOutlook) -> float:
    """Days by which a reading narrows the siphon date, 0 where that cannot be said."""
    gain = water.reading_gain_days
    return gain if gain is not None and isfinite(gain) else 0.0


def _is_worth_reading(tank: TankNight) -> bool:
    water = tank.water
    return water is not None and (water.doubted_mm is not None or _gain(water) >= READ_GAIN_DAYS)


def _is_read_today(tank: TankNight) -> bool:
    return tank.read_days_ago is not None and tank.read_days_ago < 0.5


def _why_read(tank: TankNight, gain_days: float, *, is_first: bool) -> str:
    """Why a reading is worth its two minutes."""
    if tank.water is not None and tank.water.doubted_mm is not None:
        return (
            f"The last reading, {tank.water.doubted_mm:.0f} mm, does not fit what was noted: read it again, "
            "and note a siphon or a fill that is missing."
        )
    beyond = ", more than at any other tank." if is_first else "."
    return f"Reading the waterline would narrow the siphon date by about {_days(gain_days)}{beyond}"


def _bath_jobs(tank: TankNight, inputs: RoundInputs) -> list[Job]:
    """The siphon or the fill that the bath asks for, if any."""
    water = tank.water
    if water is None:
        return []
    low = show(water.low_line_mm, "mm", inputs.units)
    if not tank.is_filled:
        why = f"Nothing is noted about this bath yet: fill it up to the low line at {low}."
        return [_fill_job(tank, water.low_volume_l, water.low_line_mm, why, inputs)]
    if _siphon_is_due(water):
        return [_siphon_job(tank, water, inputs)]
    if water.depth_mm < DRY_SHARE_FRAC * water.low_line_mm:
        depth = show(water.depth_mm, "mm", inputs.units)
        why = f"The bath stands at {depth}, below half its low line at {low}."
        return [_fill_job(tank, water.low_volume_l - water.volume_l, water.low_line_mm, why, inputs)]
    return []


def _siphon_job(tank: TankNight, water: WaterOutlook, inputs: RoundInputs) -> Job:
    on, limit = inputs.on, show(water.limit_line_mm, "mm", inputs.units)
    if water.depth_mm >= water.limit_line_mm:
        depth = show(water.depth_mm, "mm", inputs.units)
        why = f"The bath stands at about {depth}, at or past the limit line ({limit})."
        by_on = on
    else:
        why = (
            f"The chance that it passes the limit line ({limit}) before the next round "
            f"is {100 * water.p_past_limit_frac:.0f} %."
        )
        by_on = max(on, water.siphon_p10_on or on)
    return Job(
        key=f"siphon-{tank.key}", kind="siphon", tank=tank.name, tank_key=tank.key, due_on=on,
        minutes=starting.SIPHON_MIN, why=why, volume_l=water.siphon_volume_l, to_line="low",
        line_mm=water.low_line_mm, by_on=by_on,
    )  # fmt: skip


def _fill_job(tank: TankNight, volume_l: float, line_mm: float, why: str, inputs: RoundInputs) -> Job:
    """A fill up to the low line with the fill mix, when the book has one."""
    mix = next((mix for _, mix in sorted(inputs.mixes.items()) if mix.use == "fill"), None)
    return Job(
        key=f"fill-{tank.key}", kind="fill", tank=tank.name, tank_key=tank.key, due_on=inputs.on,
        minutes=starting.SIPHON_MIN / 2, why=why, volume_l=volume_l, to_line="low", line_mm=line_mm,
        mix=mix.name if mix else "", mix_key=mix.key if mix else None,
    )  # fmt: skip


def _spray_job(tank: TankNight, spray: PlannedSpray, on: date) -> Job:
    spray, plain = plain_night(tank, spray)
    habit = " (the amount this tank usually gets)" if spray.is_drench else ""
    when = "every evening" if spray.session == "night" else "in the morning"
    return Job(
        key=f"spray-{tank.key}-{spray.session}", kind="spray", tank=tank.name, tank_key=tank.key,
        due_on=on, minutes=starting.SPRAY_MIN, why=plain or f"The plan sprays it {when}{habit}.",
        volume_l=spray.volume_l, mix=spray.mix_name, mix_key=spray.mix, session=spray.session,
        what=PLAIN if plain else "",
    )  # fmt: skip


def _care_jobs(tank: TankNight, on: date) -> list[Job]:
    """The weekly look-over and the monthly leaf count."""
    jobs = []
    ago = tank.looked_days_ago
    is_watched = bool(tank.sighting) and (
        ago is None or ago >= 1.0
    )  # looked at tonight is enough for tonight
    if ago is None or ago >= LOOK_EVERY_DAYS or is_watched:
        if tank.sighting:
            why = f"Look again: {tank.sighting} was sighted here."
        else:
            why = "No look-over is noted yet." if ago is None else f"The last look-over was {_days(ago)} ago."
        jobs.append(Job(f"look-{tank.key}", "look", tank.name, tank.key, on, starting.LOOK_MIN, why))
    ago = tank.counted_days_ago
    if tank.growing_pots and (ago is None or ago >= COUNT_EVERY_DAYS):
        why = "No leaf count is noted yet" if ago is None else f"The last leaf count was {_days(ago)} ago"
        jobs.append(
            Job(f"count-{tank.key}", "count", tank.name, tank.key, on, COUNT_MIN,
                f"{why}: count twenty plants, the same ones each month.")
        )  # fmt: skip
    return jobs


def _work_job(tank: TankNight, work: PlannedWork, on: date) -> Job:
    """A cut or a move that the cutting plan asks for."""
    said = show_list(work.pots)
    if work.kind == "cut":
        said = f"{said} into {work.sections} sections"
    if work.to_spots:
        said = f"{said}, to {f'{work.to_tank} '.lstrip()}{', '.join(work.to_spots)}"
    return Job(
        key=work.key, kind=work.kind, tank=tank.name, tank_key=tank.key, due_on=on, minutes=work.minutes,
        why=f"The cutting plan asks for it by {show_date(work.by_on, on)}.", by_on=work.by_on,
        pots=work.pots, sections=work.sections or None, to_tank=work.to_tank, to_spots=work.to_spots,
        what=said,
    )  # fmt: skip


def _mixes(walk: Iterable[Job], inputs: RoundInputs) -> tuple[tuple[MixToMake, ...], list[Job]]:
    """How much of each mix the jobs take in all, and the job of making it."""
    needs: dict[int, float] = {}
    users: dict[int, list[str]] = {}
    for job in walk:
        if job.mix_key is not None and job.volume_l:
            needs[job.mix_key] = needs.get(job.mix_key, 0.0) + job.volume_l
            users.setdefault(job.mix_key, []).append(job.tank)
    recipes, jobs = [], []
    share_min = starting.MIX_MIN / max(len(needs), 1)
    for key, volume_l in needs.items():
        mix = inputs.mixes[key]
        made_l = volume_to_make(volume_l, inputs.units)
        recipe = plan_mix(mix, made_l)
        recipes.append(recipe)
        tanks, needed = list(dict.fromkeys(users[key])), show(volume_l, "l", inputs.units)
        jobs.append(
            Job(f"mix-{key}", "mix", "", None, inputs.on, share_min,
                f"For {show_list(tanks)}: {needed} in all.",
                volume_l=made_l, mix=mix.name, mix_key=key, recipe=recipe)
        )  # fmt: skip
    return tuple(recipes), jobs


def _not_needed(tanks: list[TankNight], jobs: Iterable[Job], on: date) -> Iterable[str]:
    """One sentence for each thing that tonight does not ask for."""
    asked = {(job.kind, job.tank_key) for job in jobs}
    calm = [tank for tank in tanks if tank.water and tank.is_filled and ("siphon", tank.key) not in asked]
    dated = sorted((tank.water.siphon_p10_on, tank.name) for tank in calm
                   if tank.water and tank.water.siphon_p10_on)  # fmt: skip
    names = show_list([tank.name for tank in calm])
    if dated:
        yield f"No siphon at {names}: the earliest date is {show_date(dated[0][0], on)}, at {dated[0][1]}."
    elif calm:
        yield f"No siphon at {names}: none is in sight."
    unread = [tank for tank in calm if ("read", tank.key) not in asked]
    read = [tank.name for tank in unread if _is_read_today(tank)]
    little = [tank.name for tank in unread if not _is_read_today(tank) and not _is_worth_reading(tank)]
    later = [tank.name for tank in unread if not _is_read_today(tank) and _is_worth_reading(tank)]
    if read:
        yield f"No further reading at {show_list(read)}: taken today."
    if little:
        yield f"No reading at {show_list(little)}: it would narrow a siphon date too little tonight."
    if later:
        yield f"No reading at {show_list(later)} yet: the others narrow their dates more."
    looked = [tank.name for tank in tanks if ("look", tank.key) not in asked]
    if looked:
        yield f"No look-over at {show_list(looked)}: done within the last {LOOK_EVERY_DAYS:.0f} days."
    counted = [tank.name for tank in tanks if tank.growing_pots and ("count", tank.key) not in asked]
    if counted:
        yield f"No leaf count at {show_list(counted)}: done within the last {COUNT_EVERY_DAYS:.0f} days."
    for tank in tanks:
        if tank.water is None:
            yield f"No forecast for {tank.name}: {tank.why_no_water or 'it has no pots with clay described'}."


def _done(tanks: Iterable[TankNight]) -> Iterable[str]:
    """What the book holds for this evening already."""
    for tank in tanks:
        for spray in tank.sprays:
            if spray.is_noted:
                yield f"{tank.name}: the {spray.session} spray is noted."


def _days(days: float) -> str:
    return "1 day" if round(days) == 1 else f"{days:.0f} days"
