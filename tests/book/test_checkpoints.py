"""Kept filter states are dropped when what they rest on changes, and only then."""

from datetime import timedelta

import pytest

from halfwater.book import changes, queries
from tests.book.builders import NOW, WHO, a_tank, an_entry, note

pytestmark = pytest.mark.django_db
DAYS = {back: NOW - timedelta(days=back) for back in range(10)}


def _keep(tank: int, *backs: int) -> None:
    changes.keep_checkpoints([(tank, DAYS[back], "water", {"back": back}) for back in backs])


def _newest(tank: int) -> int | None:
    kept = queries.checkpoints("water", NOW).get(tank)
    return None if kept is None else kept[1]["back"]


def test_the_newest_state_before_an_instant_is_given() -> None:
    """Each tank and model has its own newest state, none later than asked for."""
    north, south = a_tank("North"), a_tank("South")
    _keep(north, 1, 3, 5)
    _keep(south, 2)
    changes.keep_checkpoints([(north, DAYS[0], "other", {"back": 0})])
    assert {tank: state["back"] for tank, (_, state) in queries.checkpoints("water", NOW).items()} == {
        north: 1,
        south: 2,
    }
    assert queries.checkpoints("water", DAYS[3])[north] == (DAYS[3], {"back": 3})
    assert south not in queries.checkpoints("water", DAYS[3])


def test_a_state_kept_again_replaces_the_one_before() -> None:
    """One state an instant: the last computed."""
    tank = a_tank()
    _keep(tank, 1)
    changes.keep_checkpoints([(tank, DAYS[1], "water", {"back": 99})])
    assert _newest(tank) == 99


def test_a_late_entry_drops_the_states_from_its_instant_on() -> None:
    """A spray of three days ago leaves the state of four days ago; other tanks keep theirs."""
    north, south = a_tank("North"), a_tank("South")
    _keep(north, 1, 3, 4)
    _keep(south, 1)
    note(an_entry("spray", north, at=DAYS[3]), an_entry("spray", north, at=DAYS[1]))
    assert (_newest(north), _newest(south)) == (4, 1)


def test_a_void_drops_the_states_from_the_entry_on() -> None:
    """A struck-out reading is forgotten by every state that had seen it."""
    tank = a_tank()
    new = an_entry("waterline", tank, at=DAYS[2])
    note(new)
    _keep(tank, 1, 2, 3)
    changes.void_entry(new.uuid, "misread", WHO)
    assert _newest(tank) == 3


@pytest.mark.parametrize(
    ("fields", "left"),
    [
        ({"length_mm": 800.0}, None),
        ({"night_volume_l": 0.2}, None),
        ({"lid_ach_per_h": 1.0}, None),
        ({"name": "Northern"}, 1),
        ({"lamp_hours": 9.0}, 1),
        ({"length_mm": 900.0}, 1),
    ],
)
def test_a_change_of_the_tank_drops_its_states_where_it_matters(
    fields: dict[str, object], left: int | None
) -> None:
    """Geometry, plan and air matter to the bath; a name, a lamp or the same value again do not."""
    tank = a_tank()
    _keep(tank, 1)
    changes.save_tank(tank, who=WHO, **fields)
    assert _newest(tank) == left


def test_a_change_of_the_pot_type_drops_the_states_of_its_tanks() -> None:
    """Pots displace the bath: where they stand, the states go; elsewhere they stay."""
    pot = changes.save_pot(who=WHO, name="small", top_mm=50.0, base_mm=38.0, height_mm=50.0)
    with_pot, without = a_tank("North", pot=pot, pots=100), a_tank("South")
    _keep(with_pot, 1)
    _keep(without, 1)
    changes.save_pot(pot, who=WHO, top_mm=52.0)
    assert (_newest(with_pot), _newest(without)) == (None, 1)


def test_a_change_of_the_room_drops_every_state() -> None:
    """The room's air stands behind the starting value of every tank's loss."""
    tank = a_tank()
    _keep(tank, 1)
    changes.save_nursery(who=WHO, room_rh_frac=0.4)
    assert _newest(tank) is None
