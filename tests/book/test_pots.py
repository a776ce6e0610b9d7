"""Pots one by one: counted, moved, cut, sold and lost, and put back when an entry is void."""

from collections.abc import Callable
from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.stock import LeafCount, StandingPot, Stay
from tests.book.builders import NOW, WHO, a_tank, an_entry, note

pytestmark = pytest.mark.django_db
POTTED = date(2026, 5, 1)
DAYS = {back: NOW - timedelta(days=back) for back in range(300)}


def _day(back: int) -> date:
    return DAYS[back].date()


@pytest.fixture
def tank() -> int:
    """A tank with four spots."""
    key = a_tank()
    changes.set_spots(key, ["A1", "A2", "B1", "B2"])
    return key


@pytest.fixture
def batch() -> int:
    """A batch of one taxon."""
    taxon = changes.save_taxon(who=WHO, name="Moss fern")
    return changes.save_batch(who=WHO, name="MF-1", taxon=taxon, potted_on=POTTED)


@pytest.fixture
def pot(tank: int, batch: int) -> int:
    """A pot of three leaves on A1."""
    (key,) = changes.place_pots(tank, ["A1"], batch, who=WHO, piece="tip", section_mm=32.0, first_leaves=3)
    return key


def _as_it_stands(pot: int) -> StandingPot:
    found = queries.standing_pot(pot)
    assert found is not None
    return found


def test_a_placed_pot_has_a_number_a_piece_and_its_first_leaves(pot: int, tank: int, batch: int) -> None:
    """What is known of a section at potting is kept, and stands as the first count."""
    assert _as_it_stands(pot) == StandingPot(
        key=pot, number=1, batch=batch, batch_name="MF-1", taxon=queries.taxa()[0].key,
        taxon_name="Moss fern", state="settling", potted_on=POTTED, tank=tank, tank_name="North", spot="A1",
        leaves=3, counted_on=POTTED, piece="tip", section_mm=32.0, first_leaves=3,
    )  # fmt: skip
    assert _as_it_stands(pot).name == "MF-1 1"
    assert changes.place_pots(tank, 2, batch, who=WHO, potted_on=_day(10))
    assert [(one.number, one.spot, one.potted_on) for one in queries.standing_pots(batch=batch)] == [
        (1, "A1", POTTED), (2, "A2", _day(10)), (3, "B1", _day(10)),
    ]  # fmt: skip


def test_more_pots_than_spots_are_refused_with_how_many_fit(pot: int, tank: int, batch: int) -> None:
    """Nothing is placed, and the number of empty spots is said."""
    with pytest.raises(RefusedByBook, match="North has 3 empty spots"):
        changes.place_pots(tank, 4, batch, who=WHO)
    assert len(queries.standing_pots()) == 1


def test_a_count_is_an_entry_and_changes_the_pot(pot: int) -> None:
    """The same id sent twice is one count."""
    uuid = uuid4()
    for _ in range(2):
        assert changes.count_pot(pot, 5, who=WHO, at=DAYS[3], uuid=uuid, now=NOW) == uuid
    assert (_as_it_stands(pot).leaves, _as_it_stands(pot).counted_on) == (5, _day(3))
    (entry,) = queries.entries()
    assert (entry.uuid, entry.kind, entry.pot, entry.spot, entry.value) == (uuid, "leaves", pot, "A1", 5)


def test_a_late_count_does_not_outdo_a_newer_one(pot: int) -> None:
    """An older count is kept among the counts, and the pot stays as counted last."""
    changes.count_pot(pot, 6, who=WHO, at=DAYS[2], now=NOW)
    changes.count_pot(pot, 4, who=WHO, at=DAYS[30], now=NOW)
    assert _as_it_stands(pot).leaves == 6
    assert queries.leaf_counts() == (
        LeafCount(pot, _day(30), 4), LeafCount(pot, _day(2), 6),
    )  # fmt: skip
    assert queries.leaf_counts(since=_day(10), pots=[pot]) == (LeafCount(pot, _day(2), 6),)
    assert queries.leaf_counts(pots=[]) == ()


def test_first_leaves_are_a_count_until_there_is_another(pot: int) -> None:
    """What a pot came in with stands among the counts though no entry tells it."""
    assert queries.leaf_counts() == (LeafCount(pot, POTTED, 3),)


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 0, 2), (1, 2, 0)])
def test_voided_counts_in_any_order_put_the_pot_back(pot: int, order: tuple[int, ...]) -> None:
    """After each void the pot stands as the newest count left tells, after the last as it was potted."""
    counts = [changes.count_pot(pot, 4 + n, who=WHO, at=DAYS[30 - n], now=NOW) for n in range(3)]
    left = {0, 1, 2}
    for one in order:
        changes.void_entry(counts[one], "miscount", WHO, NOW)
        left.discard(one)
        wanted = (4 + max(left), _day(30 - max(left))) if left else (3, POTTED)
        assert (_as_it_stands(pot).leaves, _as_it_stands(pot).counted_on) == wanted


def test_a_lost_pot_leaves_its_spot_and_comes_back_with_the_void(pot: int, tank: int) -> None:
    """The cause and the day are kept while it is lost."""
    loss = changes.lose_pot(pot, "rot", who=WHO, at=DAYS[2], now=NOW)
    gone = _as_it_stands(pot)
    assert (gone.state, gone.left_on, gone.cause, gone.spot) == ("lost", _day(2), "rot", "")
    assert queries.standing_pots() == ()
    assert [one.key for one in queries.standing_pots(gone=True)] == [pot]
    changes.void_entry(loss, "it lives", WHO, NOW)
    back = _as_it_stands(pot)
    assert (back.state, back.left_on, back.cause, back.spot) == ("settling", None, "", "A1")


def test_a_lost_pot_whose_spot_is_taken_stays_lost(pot: int, tank: int, batch: int) -> None:
    """Putting it back is refused while another pot stands there, and the entry stays."""
    loss = changes.lose_pot(pot, "rot", who=WHO, at=DAYS[2], now=NOW)
    changes.place_pots(tank, ["A1"], batch, who=WHO, potted_on=_day(1))
    with pytest.raises(RefusedByBook, match="A1 is taken"):
        changes.void_entry(loss, "it lives", WHO, NOW)
    assert _as_it_stands(pot).state == "lost"
    assert len(queries.entries(kinds=["loss"])) == 1


def test_states_follow_one_another_and_back(pot: int) -> None:
    """A sold pot is off the floor; void entries bring the state before."""
    changes.set_state(pot, "ready", who=WHO, at=DAYS[5], now=NOW)
    sold = changes.set_state(pot, "sold", who=WHO, at=DAYS[3], now=NOW)
    assert (_as_it_stands(pot).state, _as_it_stands(pot).left_on) == ("sold", _day(3))
    changes.void_entry(sold, "came back", WHO, NOW)
    assert (_as_it_stands(pot).state, _as_it_stands(pot).spot) == ("ready", "A1")


def test_a_moved_pot_is_followed_from_spot_to_spot(pot: int, tank: int) -> None:
    """Each stay has its days; a void takes the pot back where it was."""
    other = a_tank("South")
    changes.set_spots(other, ["A1"])
    changes.move_pot(pot, tank, "B2", who=WHO, at=DAYS[20], now=NOW)
    moved = changes.move_pot(pot, other, "a1", who=WHO, at=DAYS[10], now=NOW)
    assert queries.stays() == (
        Stay(pot, tank, "A1", POTTED, _day(20)),
        Stay(pot, tank, "B2", _day(20), _day(10)),
        Stay(pot, other, "A1", _day(10), None),
    )
    changes.void_entry(moved, "slip", WHO, NOW)
    assert (_as_it_stands(pot).tank_name, _as_it_stands(pot).spot) == ("North", "B2")
    changes.lose_pot(pot, "melt", who=WHO, at=DAYS[1], now=NOW)
    assert queries.stays([pot])[-1] == Stay(pot, tank, "B2", _day(20), _day(1))


def test_a_rhizome_and_a_cut_are_noted(pot: int) -> None:
    """The last length stands on the pot; a cut is an entry with its blade."""
    first = changes.measure_rhizome(pot, 60.0, who=WHO, at=DAYS[9], now=NOW)
    changes.cut_pot(pot, 3, "disinfected", who=WHO, at=DAYS[8], now=NOW)
    assert (_as_it_stands(pot).rhizome_mm, _as_it_stands(pot).measured_on) == (60.0, _day(9))
    (cut,) = queries.entries(kinds=["cut"])
    assert (cut.value, cut.word, cut.pot) == (3, "disinfected", pot)
    changes.void_entry(first, "slip", WHO, NOW)
    assert (_as_it_stands(pot).rhizome_mm, _as_it_stands(pot).measured_on) == (None, None)


def test_a_count_on_a_spot_finds_the_pot_of_that_day(pot: int, tank: int, batch: int) -> None:
    """Two pots that stood on one spot after each other each get their own counts."""
    changes.lose_pot(pot, "rot", who=WHO, at=DAYS[20], now=NOW)
    (second,) = changes.place_pots(tank, ["A1"], batch, who=WHO, potted_on=_day(15))
    old = an_entry("leaves", tank, value=4.0, spot="A1", at=DAYS[25])
    new = an_entry("leaves", tank, value=7.0, spot="a1", at=DAYS[5])
    note(old, new)
    assert [queries.entry(one.uuid).pot for one in (old, new)] == [pot, second]  # type: ignore[union-attr]
    assert (_as_it_stands(second).leaves, _as_it_stands(pot).leaves) == (7, 4)


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda pot, tank: changes.count_pot(pot, 4, who=WHO, at=DAYS[250], now=NOW), "potted on 2026-05-01"),
        (lambda pot, tank: note(an_entry("leaves", tank, value=4.0, spot="A1", at=DAYS[250])), "2026-05-01"),
        (lambda pot, tank: note(an_entry("leaves", tank, value=4.0, spot="B1")), "No pot stood on spot B1"),
        (lambda pot, tank: note(an_entry("leaves", tank, value=4.0, spot="Z9")), "A1 to B2"),
        (lambda pot, tank: changes.count_pot(10_000, 4, who=WHO, now=NOW), "key of a pot"),
        (lambda pot, tank: changes.count_pot(pot, -4, who=WHO, now=NOW), "whole number of leaves"),
        (lambda pot, tank: changes.set_state(pot, "lost", who=WHO, now=NOW), "one of settling"),
        (lambda pot, tank: changes.lose_pot(pot, "boredom", who=WHO, now=NOW), "one of rot"),
        (lambda pot, tank: changes.cut_pot(pot, 0, who=WHO, now=NOW), "sections from 1"),
        (lambda pot, tank: changes.cut_pot(pot, 2, "rusty", who=WHO, now=NOW), "disinfected"),
        (lambda pot, tank: changes.measure_rhizome(pot, float("nan"), who=WHO, now=NOW), "length"),
        (lambda pot, tank: changes.move_pot(pot, tank, "Z9", who=WHO, now=NOW), "no such spot"),
        (lambda pot, tank: changes.set_grade(pot, "giant", who=WHO), "one of"),
        (lambda pot, tank: note(an_entry("state", tank, value=None, word="ready")), "pot"),
    ],
)  # fmt: skip
def test_what_a_pot_cannot_have_is_refused(
    pot: int, tank: int, refused: Callable[[int, int], object], sentence: str
) -> None:
    """Each is refused with a sentence, and the pot stands as before with no entry more."""
    before = _as_it_stands(pot)
    with pytest.raises(HalfwaterError, match=sentence):
        refused(pot, tank)
    assert _as_it_stands(pot) == before
    assert queries.entries() == ()


@pytest.mark.parametrize("gone", ["sold", "lost"])
def test_nothing_more_is_noted_of_a_pot_after_it_is_gone(pot: int, tank: int, gone: str) -> None:
    """A count, a move or a second end after its last day names that day."""
    if gone == "sold":
        changes.set_state(pot, "sold", who=WHO, at=DAYS[5], now=NOW)
    else:
        changes.lose_pot(pot, "rot", who=WHO, at=DAYS[5], now=NOW)
    for later in (
        lambda: changes.count_pot(pot, 4, who=WHO, at=DAYS[1], now=NOW),
        lambda: changes.move_pot(pot, tank, "B1", who=WHO, at=DAYS[1], now=NOW),
        lambda: changes.lose_pot(pot, "rot", who=WHO, at=DAYS[1], now=NOW),
    ):
        with pytest.raises(RefusedByBook, match=f"{gone} on {_day(5)}"):
            later()


def test_a_lost_pot_gets_no_other_state_on_the_same_day(pot: int) -> None:
    """Only a void brings it back: a later state of that day is refused by its name."""
    changes.lose_pot(pot, "rot", who=WHO, at=DAYS[5], now=NOW)
    with pytest.raises(RefusedByBook, match=f"was lost on {_day(5)}: it cannot be kept"):
        changes.set_state(pot, "kept", who=WHO, at=DAYS[5] + timedelta(minutes=1), now=NOW)
    assert _as_it_stands(pot).state == "lost"


def test_a_grade_by_hand_stands_until_it_is_taken_off(pot: int) -> None:
    """The grower's eye outdoes the leaf count."""
    changes.set_grade(pot, "large", who=WHO)
    assert _as_it_stands(pot).grade == "large"
    changes.set_grade(pot, "", who=WHO)
    assert _as_it_stands(pot).grade == ""


def test_a_pot_that_was_noted_is_not_taken_away_in_silence(pot: int, tank: int, batch: int) -> None:
    """Its spot is not emptied under it, and its batch stays in the book."""
    changes.count_pot(pot, 4, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="MF-1 1 has entries"):
        changes.set_pot(tank, "A1", None, who=WHO)
    with pytest.raises(RefusedByBook, match="has entries"):
        changes.remove_batch(batch, who=WHO)


def test_a_batch_that_nothing_was_noted_of_can_be_removed(pot: int, batch: int, tank: int) -> None:
    """It goes with its pots and its parentage."""
    child = changes.save_batch(who=WHO, name="MF-2", taxon=queries.taxa()[0].key, potted_on=date(2026, 9, 1))
    changes.save_lineage(child, [(batch, pot)], who=WHO)
    changes.place_pots(tank, 2, child, who=WHO)
    with pytest.raises(RefusedByBook, match="MF-2 was cut from MF-1"):
        changes.remove_batch(batch, who=WHO)
    changes.remove_batch(child, who=WHO)
    assert [one.name for one in queries.batches()] == ["MF-1"]
    assert queries.lineage() == ()


def test_a_stock_take_leaves_the_kept_water_states_alone(pot: int, tank: int) -> None:
    """What is counted of pots changes nothing of the bath."""
    changes.keep_checkpoints([(tank, DAYS[1], "water", {"back": 1})])
    changes.void_entry(changes.count_pot(pot, 4, who=WHO, at=DAYS[3], now=NOW), "slip", WHO, NOW)
    assert queries.checkpoints("water", NOW)[tank][1] == {"back": 1}


def test_a_thousand_pots_are_read_in_a_handful_of_queries(
    tank: int, batch: int, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    """However many pots stand, each question is one or two queries."""
    changes.set_spots(tank, [f"A{n}" for n in range(1, 301)])
    changes.place_pots(tank, 300, batch, who=WHO, first_leaves=3)
    with django_assert_max_num_queries(6):  # type: ignore[attr-defined]
        assert len(queries.standing_pots()) == 300
        assert len(queries.stays()) == 300
        assert len(queries.leaf_counts()) == 300


def test_an_id_is_given_back(pot: int) -> None:
    """Whoever notes without an id of their own learns it, to take the entry back."""
    given = changes.count_pot(pot, 4, who=WHO, now=NOW)
    assert isinstance(given, UUID)
    assert queries.entry(given) is not None
    with pytest.raises(RefusedInput, match="reason"):
        changes.void_entry(given, "", WHO)
