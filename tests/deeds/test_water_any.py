"""Whatever is noted, voided or changed, in whatever order: kept states never change an answer."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.book import changes, queries
from halfwater.book.changes.checkpoints import forget_tanks
from halfwater.deeds.entries import void
from halfwater.deeds.water import reckon_baths
from tests.deeds.nurseries import NOW, TODAY, WHO, a_nursery, a_tank, evenings, noted
from tests.deeds.table_files import scratch

pytestmark = pytest.mark.django_db

_back = st.integers(0, 110)
_note = st.tuples(
    st.just("note"),
    st.sampled_from(
        [("spray", "150ml"), ("spray", "300ml"), ("skip", ""), ("fill", "1 L"), ("siphon", "to low line"),
         ("siphon", "1.5 L"), ("waterline", "17 mm"), ("waterline", "22 mm")]
    ),
    _back,
)  # fmt: skip
_void = st.tuples(st.just("void"), st.integers(0, 500), st.just(0))
_change = st.tuples(
    st.just("change"),
    st.sampled_from(
        [{"pots": 60}, {"pots": 119}, {"low_line_mm": 14.0}, {"margin_mm": 4.0}, {"night_volume_l": 0.2},
         {"lid_ach_per_h": 1.0}, {"inside_temp_c": 28.0}, {"clay_fill_frac": 0.7}, {"lamp_hours": 9.0},
         {"evening_hour": 21}, {"time_zone": "Asia/Tokyo"}, {"room_temp_c": 18.0}]
    ),
    st.just(0),
)  # fmt: skip
_look = st.tuples(st.just("look"), st.just(None), st.sampled_from([0, 0, 0, 20, 45]))


def _answer(at: datetime = NOW) -> tuple[float, ...]:
    """What is said of the bath: depth, catch, loss, siphon date, chance."""
    tank = queries.tank_named("North")
    answer = reckon_baths([tank], queries.nursery(), at)[tank.key].answer
    assert answer is not None
    return (
        answer.depth_mm, answer.depth_low_mm, answer.catch_frac, answer.loss_l_day, answer.siphon_p50_day,
        answer.p_past_limit_now,
    )  # fmt: skip


def _do(step: tuple[str, object, int]) -> None:
    what, which, back = step
    if what == "note":
        kind, value = which  # type: ignore[misc]
        noted(kind, value=value, at=f"{(TODAY - timedelta(days=back)).isoformat()} 19:07")
    elif what == "void":
        standing = queries.entries(newest_first=False)
        void(str(standing[which % len(standing)].uuid), "slip", WHO, NOW)  # type: ignore[operator]
    elif what == "look":
        _answer(NOW - timedelta(days=back))
    elif set(which) <= {"evening_hour", "time_zone", "room_temp_c"}:  # type: ignore[call-overload]
        changes.save_nursery(who=WHO, **which)  # type: ignore[arg-type]
    else:
        changes.save_tank(queries.tank_named("North").key, who=WHO, **which)  # type: ignore[arg-type]


@settings(max_examples=15)
@given(st.lists(st.one_of(_note, _void, _change, _look), min_size=1, max_size=8))
def test_kept_states_never_change_an_answer(steps: list[tuple[str, object, int]]) -> None:
    """Looking between the steps keeps states; dropping them all before the last look gives the same."""
    with scratch():
        a_nursery()
        a_tank()
        noted("waterline", value="16 mm", at=(TODAY - timedelta(days=100)).isoformat() + " 19:00")
        evenings(60)
        for step in steps:
            _answer()
            _do(step)
        kept = _answer()
        forget_tanks([queries.tank_named("North").key])
        assert kept == pytest.approx(_answer(), rel=1e-6, abs=1e-6, nan_ok=True)
