"""What an evening asks for because of the salts: EC readings, siphons with their refill, plain water."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from halfwater.plain.figures import show
from halfwater.planning.night import Job, PlannedSpray, SaltsTonight, TankNight
from halfwater.science import starting

PAST_FRAC = 0.5  # chance of standing past the action limit at which something is done
STALE_DAYS = 14.0  # a reading so old is taken anew before a siphon
READ_GAIN_MS_CM = 0.1  # a reading is worth its minutes from this narrowing on
EC_READ_MIN = 1.5  # a tank: probe in, wait, rinse
PLAIN = "plain water"
ACT_MIN = 1.0  # a timer or a dimmer turned


def ec_readings(tanks: Iterable[TankNight], on: date) -> dict[int, Job]:
    """EC readings to take tonight, by tank: where a siphon hangs on it, and the one that tells most.

    Asked only of growers who have a meter; at most one beside those that a siphon hangs on.

    Parameters
    ----------
    tanks : iterable of TankNight
        As the evening finds them.
    on : date
        The evening.

    Returns
    -------
    dict of int to Job
        Jobs of the kind "ec".

    Notes
    -----
    What a reading tells is how much of the range of the EC at the siphon it would take away, in mS/cm. One
    taken within a fortnight is young enough.

    Source: own definition
    """
    found: dict[int, Job] = {}
    worth: list[tuple[float, int, TankNight]] = []
    for tank in tanks:
        salts = tank.salts
        if salts is None or not salts.has_meter or _is_fresh(salts):
            continue
        if is_past(salts):
            why = (
                f"Worked out, its EC stands at {show(salts.ec_ms_cm, 'ms_cm')}, past its limit of "
                f"{salts.action_ms_cm:g}: read it before it is siphoned for that."
            )
            found[tank.key] = _ec_job(tank, on, why)
        elif salts.gain_ms_cm >= READ_GAIN_MS_CM:
            worth.append((-salts.gain_ms_cm, tank.place, tank))
    if worth:
        gain, _, tank = min(worth, key=lambda one: one[:2])
        ago = tank.salts.read_days_ago if tank.salts is not None else None
        when = "It was never read here" if ago is None else f"The last reading is {ago:.0f} days old"
        found[tank.key] = _ec_job(
            tank, on, f"{when}; one narrows the EC at the siphon by about {show(-gain, 'ms_cm')}."
        )
    return found


def salts_jobs(tank: TankNight, on: date, asked: Iterable[str]) -> list[Job]:
    """The siphon and the refill that the salts of a bath ask for; none where the water asks for one.

    A siphon for the waterline takes the same salts out, so only its reason is told there.

    Parameters
    ----------
    tank : TankNight
        As the evening finds it.
    on : date
        The evening.
    asked : iterable of str
        Kinds of jobs asked for at this tank already.

    Returns
    -------
    list of Job
        A siphon and, where something is to be poured in, a fill.

    Notes
    -----
    Due where the bath stands past its action limit more likely than not, and where that rests on a reading
    of the last fortnight or the grower has no meter.

    Source: own definition
    """
    salts = tank.salts
    kinds = set(asked)
    if salts is None or not is_past(salts) or kinds & {"siphon", "fill", "ec"}:
        return []
    now, then = show(salts.ec_ms_cm, "ms_cm"), show(salts.ec_after_ms_cm, "ms_cm")
    why = (
        f"Its EC stands at about {now}, past the limit of {salts.action_ms_cm:g} for what grows here; "
        f"refilled with {salts.refill_name} it comes to {then}."
    )
    jobs = [
        Job(f"siphon-{tank.key}", "siphon", tank.name, tank.key, on, starting.SIPHON_MIN, why,
            volume_l=salts.siphon_l, by_on=on)
    ]  # fmt: skip
    return [*jobs, *_refill_jobs(tank, salts, on)]


def with_salts(job: Job, tank: TankNight, on: date, *, is_read_first: bool = False) -> list[Job]:
    """A siphon for the waterline that serves the salts as well, where they ask for one, with its refill.

    Parameters
    ----------
    job : Job
        Any job.
    tank : TankNight
        Its tank.
    on : date
        The evening.
    is_read_first : bool
        The EC is asked for tonight: what it shows decides, so the siphon takes what the waterline wants.

    Returns
    -------
    list of Job
        The same job, or one that takes the litres the salts want, and the fill after it.

    Notes
    -----
    A siphon for the salts ends, refilled, where one for the waterline does, so the larger one serves both.
    Other jobs come back as they are.

    Source: own definition
    """
    salts = tank.salts
    if job.kind != "siphon" or salts is None or not is_past(salts):
        return [job]
    also = f" Its EC is past its limit of {salts.action_ms_cm:g} as well"
    if is_read_first or salts.siphon_l <= (job.volume_l or 0.0):
        return [replace(job, why=f"{job.why}{also}: refill with {salts.refill_name}.")]
    then = show(salts.ec_after_ms_cm, "ms_cm")
    both = f"{job.why}{also}: with this much taken and {salts.refill_name} after it, it comes to {then}."
    return [
        replace(job, why=both, volume_l=salts.siphon_l, to_line="", line_mm=None),
        *_refill_jobs(tank, salts, on),
    ]


def plain_night(tank: TankNight, spray: PlannedSpray) -> tuple[PlannedSpray, str]:
    """The evening's spray as it should be: plain water once a week for growers who keep that habit.

    Parameters
    ----------
    tank : TankNight
        As the evening finds it.
    spray : PlannedSpray
        As the plan has it.

    Returns
    -------
    tuple
        The spray, and why it is plain; "" where it is not.

    Notes
    -----
    Only night sprays of a feed, only where a plain evening was noted before and the last was six evenings
    ago or more: nobody is put into a habit by the first round.

    Source: own definition
    """
    salts = tank.salts
    if (
        salts is None or not salts.is_plain_night or salts.plain_days_ago is None
        or spray.session != "night" or spray.mix is None
    ):  # fmt: skip
        return spray, ""
    why = (
        f"Plain water tonight, for the last was {salts.plain_days_ago:.0f} days ago: it sheds the salt "
        "of the week's sprays."
    )
    return replace(spray, mix=None, mix_name=""), why


def act_jobs(tank: TankNight, on: date, asked: Iterable[str] = ()) -> list[Job]:
    """What is to be done against algae tonight, one thing at a time.

    Parameters
    ----------
    tank : TankNight
        As the evening finds it.
    on : date
        The evening.
    asked : iterable of str
        Kinds of jobs asked for at this tank already.

    Returns
    -------
    list of Job
        One of the kind "act", or none.

    Notes
    -----
    A siphon that is asked for already is the act.

    Source: own definition
    """
    if not tank.act or (tank.act_lever == "waterline" and "siphon" in set(asked)):
        return []
    return [
        Job(f"act-{tank.key}", "act", tank.name, tank.key, on, ACT_MIN,
            "Algae were seen here. One thing at a time: the next waits for a month.", what=tank.act)
    ]  # fmt: skip


def is_past(salts: SaltsTonight) -> bool:
    """Whether a bath stands past its action limit, more likely than not.

    Parameters
    ----------
    salts : SaltsTonight
        The bath.

    Returns
    -------
    bool
        True from a chance of one half.

    Notes
    -----
    The chance is that of the bath's own reckoning.

    Source: own definition
    """
    return salts.p_past_frac >= PAST_FRAC


def _is_fresh(salts: SaltsTonight) -> bool:
    return salts.read_days_ago is not None and salts.read_days_ago < STALE_DAYS


def _refill_jobs(tank: TankNight, salts: SaltsTonight, on: date) -> list[Job]:
    """What is poured in after the siphon: a mix, or plain water, which is then said."""
    if salts.refill_l <= 0.0:
        return []
    is_mix = salts.refill_mix is not None
    return [
        Job(f"fill-{tank.key}", "fill", tank.name, tank.key, on, starting.SIPHON_MIN / 2,
            f"After the siphon: {salts.refill_name}.", volume_l=salts.refill_l,
            mix=salts.refill_name if is_mix else "", mix_key=salts.refill_mix, what="" if is_mix else PLAIN)
    ]  # fmt: skip


def _ec_job(tank: TankNight, on: date, why: str) -> Job:
    return Job(f"ec-{tank.key}", "ec", tank.name, tank.key, on, EC_READ_MIN, why)
