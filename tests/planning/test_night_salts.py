"""What an evening asks for because of the salts and the algae."""

from dataclasses import replace
from datetime import date

import pytest

from halfwater.plain.mixes import MixFacts
from halfwater.planning.night import (
    Job,
    PlannedSpray,
    Round,
    RoundInputs,
    SaltsTonight,
    TankNight,
    WaterOutlook,
)
from halfwater.planning.tonight import plan_round

ON = date(2026, 11, 20)
SALTS = SaltsTonight(
    ec_ms_cm=0.7, p_past_frac=0.0, action_ms_cm=1.5, siphon_l=2.0, refill_l=2.0, refill_name="Tap",
    refill_mix=None, ec_after_ms_cm=0.7, read_days_ago=3.0, has_meter=True, gain_ms_cm=0.02,
)  # fmt: skip
PAST = replace(SALTS, ec_ms_cm=1.7, p_past_frac=0.9, ec_after_ms_cm=0.8)
WATER = WaterOutlook(
    18.0, 4.0, 16.0, 25.0, 3.5, 0.5, 0.0, date(2026, 12, 10), date(2026, 12, 15), date(2026, 12, 20), 0.2
)
NIGHT = MixFacts(1, "Night", "night", (), None)


def _tank(key: int = 1, **fields: object) -> TankNight:
    usual: dict[str, object] = {
        "key": key, "name": f"T{key}", "place": key, "water": WATER, "looked_days_ago": 1.0,
        "read_days_ago": 1.0, "sprays": (PlannedSpray("night", 0.15, 1, "Night"),),
    }  # fmt: skip
    return TankNight(**(usual | fields))  # type: ignore[arg-type]


def _round(*tanks: TankNight) -> Round:
    return plan_round(RoundInputs(ON, tanks, {1: NIGHT}))


def _jobs(planned: Round, kind: str) -> list[Job]:
    return [job for job in planned.jobs if job.kind == kind]


def test_past_its_limit_it_is_siphoned_and_refilled() -> None:
    """By litres, not to the low line, with the reason and the refill of plain water after it."""
    planned = _round(_tank(salts=PAST))
    (siphon,) = _jobs(planned, "siphon")
    (fill,) = _jobs(planned, "fill")
    assert (siphon.volume_l, siphon.to_line) == (2.0, "")
    assert "past the limit of 1.5" in siphon.why
    assert (fill.volume_l, fill.mix_key) == (2.0, None)
    assert not _jobs(planned, "ec")


@pytest.mark.parametrize("days", [None, 20.0])
def test_an_old_reading_is_taken_anew_before_the_siphon(days: float | None) -> None:
    """Nobody carries water for a figure that was only worked out, if there is a meter in the house."""
    stale = replace(PAST, read_days_ago=days)
    planned = _round(_tank(salts=stale))
    assert _jobs(planned, "siphon") == []
    assert "read it before" in _jobs(planned, "ec")[0].why
    without = _round(_tank(salts=replace(stale, has_meter=False)))
    assert len(_jobs(without, "siphon")) == 1
    assert _jobs(without, "ec") == []


def test_a_siphon_for_the_waterline_does_both() -> None:
    """One siphon, whose reason names both."""
    full = replace(WATER, depth_mm=26.0, siphon_volume_l=3.0)
    planned = _round(_tank(salts=PAST, water=full))
    (siphon,) = _jobs(planned, "siphon")
    assert siphon.to_line == "low"
    assert "limit line" in siphon.why
    assert "its EC" in siphon.why.replace("Its EC", "its EC")
    assert _jobs(planned, "fill") == []


def test_a_siphon_for_the_waterline_takes_what_the_salts_want() -> None:
    """Where the salts want more out, one siphon takes it and its refill follows; first it is read."""
    full = replace(WATER, depth_mm=26.0, siphon_volume_l=1.0)
    planned = _round(_tank(salts=replace(PAST, refill_l=1.5), water=full))
    (siphon,) = _jobs(planned, "siphon")
    (fill,) = _jobs(planned, "fill")
    assert (siphon.volume_l, siphon.to_line) == (2.0, "")
    assert (fill.volume_l, fill.what, fill.mix_key) == (1.5, "plain water", None)
    unread = _round(_tank(salts=replace(PAST, refill_l=1.5, read_days_ago=40.0), water=full))
    assert [(job.volume_l, job.to_line) for job in _jobs(unread, "siphon")] == [(1.0, "low")]
    assert _jobs(unread, "fill") == []


def test_one_reading_an_evening_where_it_tells_most() -> None:
    """Of three tanks worth reading the one whose range would shrink most; young readings are left."""
    tanks = [
        _tank(key, salts=replace(SALTS, read_days_ago=days, gain_ms_cm=gain))
        for key, days, gain in ((1, 30.0, 0.2), (2, None, 0.5), (3, 2.0, 0.9), (4, 60.0, 0.01))
    ]
    (job,) = _jobs(_round(*tanks), "ec")
    assert job.tank == "T2"
    assert "never read" in job.why


def test_a_grower_without_a_meter_is_not_asked() -> None:
    """No reading is asked for that nobody can take."""
    tank = _tank(salts=replace(SALTS, read_days_ago=None, gain_ms_cm=0.9, has_meter=False))
    assert _jobs(_round(tank), "ec") == []


def test_plain_water_once_a_week_for_those_who_keep_it() -> None:
    """The night spray becomes plain water, nothing is mixed for it, and the reason says so."""
    due = replace(SALTS, plain_days_ago=7.0, is_plain_night=True)
    (spray,) = _jobs(_round(_tank(salts=due)), "spray")
    assert (spray.mix_key, spray.mix) == (None, "")
    assert "7 days ago" in spray.why
    assert _round(_tank(salts=due)).mixes_to_make == ()


@pytest.mark.parametrize(
    "salts",
    [
        replace(SALTS, plain_days_ago=None, is_plain_night=True),  # never noted: no habit yet
        replace(SALTS, plain_days_ago=2.0, is_plain_night=False),
        None,
    ],
)
def test_otherwise_the_plan_stands(salts: SaltsTonight | None) -> None:
    """Nobody is put into a habit by a round."""
    (spray,) = _jobs(_round(_tank(salts=salts)), "spray")
    assert spray.mix_key == 1


def test_a_morning_spray_stays_as_planned() -> None:
    """The plain evening is an evening's."""
    due = replace(SALTS, plain_days_ago=7.0, is_plain_night=True)
    morning = PlannedSpray("morning", 0.08, 1, "Night")
    (spray,) = _jobs(_round(_tank(salts=due, sprays=(morning,))), "spray")
    assert spray.mix_key == 1


def test_an_act_against_algae_is_one_job() -> None:
    """It stands at its tank with its words and a minute."""
    (act,) = _jobs(_round(_tank(act="Shorten the day from 12 to 8 hours.")), "act")
    assert act.what == "Shorten the day from 12 to 8 hours."
    assert act.minutes > 0.0
    assert _jobs(_round(_tank()), "act") == []


def test_a_siphon_that_is_asked_for_is_the_act() -> None:
    """What the waterline asks for already is not asked for again; another lever still is."""
    full = replace(WATER, depth_mm=26.0, siphon_volume_l=3.0)
    low = _tank(act="Siphon to the low line.", act_lever="waterline", water=full)
    assert _jobs(_round(low), "act") == []
    assert len(_jobs(_round(replace(low, act_lever="hours")), "act")) == 1
    assert len(_jobs(_round(replace(low, water=WATER)), "act")) == 1
