"""Whatever is done in whatever order, a pot is sold once and every number adds up."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from halfwater.book import changes, queries
from halfwater.errors import HalfwaterError
from halfwater.plain.selling import NewBuyer, NewHold, NewOrder, OrderFacts, WantedLine
from tests.book.builders import NOW, WHO
from tests.book.shops import a_shop

POTS, LIMIT = 6, 4
BUYERS = tuple(NewBuyer(name, f"{name}@example.org") for name in ("a", "b"))
FEW = st.integers(1, 3)
ANY = st.integers(0, 10_000)


class Sales(RuleBasedStateMachine):
    """A release of six pots; each step is tried, and what is refused must change nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.whole = transaction.atomic()
        self.whole.__enter__()
        self.shop = a_shop(POTS, limit_per_buyer=LIMIT)
        self.now = NOW
        self.asked: dict[str, NewOrder] = {}
        self.sent: dict[int, int] = {}  # pot -> the order it was sent with

    def teardown(self) -> None:
        """Nothing of it is kept."""
        transaction.set_rollback(True)
        self.whole.__exit__(None, None, None)

    def tried(self, deed: Callable[[], object]) -> None:
        before = self.picture()
        with suppress(HalfwaterError):
            deed()
            return
        assert self.picture() == before

    def picture(self) -> tuple[object, ...]:
        return (
            queries.orders(), queries.holds(now=self.now), queries.line_pots(self.shop.line, self.now),
            queries.standing_pots(gone=True), len(queries.entries(include_void=True)),
        )  # fmt: skip

    def order(self, which: int) -> OrderFacts | None:
        found = queries.orders()
        return found[which % len(found)] if found else None

    @rule(minutes=st.integers(-5, 20))
    def time_goes(self, minutes: int) -> None:
        """Mostly forward; a clock may be set back a little."""
        self.now += timedelta(minutes=minutes)

    @rule(plants=FEW, buyer=st.sampled_from(BUYERS))
    def place(self, plants: int, buyer: NewBuyer) -> None:
        """An order of free plants."""
        new = NewOrder(str(uuid4()), buyer, (WantedLine(self.shop.line, plants),))
        self.asked[new.key] = new
        self.tried(lambda: changes.place_order(new, who=WHO, now=self.now))

    @precondition(lambda self: self.asked)
    @rule(which=ANY)
    def ask_again(self, which: int) -> None:
        """The same request gets the same answer, or is granted or refused anew where it was refused."""
        key = sorted(self.asked)[which % len(self.asked)]
        kept = queries.order_of_key(key)
        if kept is not None:
            assert changes.place_order(self.asked[key], who=WHO, now=self.now).number == kept.number

    @rule(plants=FEW, buyer=st.sampled_from((None, *BUYERS)), minutes=st.integers(1, 15))
    def hold(self, plants: int, buyer: NewBuyer | None, minutes: int) -> None:
        """Plants put aside."""
        until = self.now + timedelta(minutes=minutes)
        new = NewHold(str(uuid4()), self.shop.line, plants, until, buyer)
        self.tried(lambda: changes.place_hold(new, who=WHO, now=self.now))

    @rule(which=ANY, let_go=st.booleans())
    def end_hold(self, which: int, let_go: bool) -> None:
        """A hold is let go, or becomes an order."""
        found = queries.holds(now=self.now)
        if not found:
            return
        uuid = found[which % len(found)].uuid
        new = NewOrder(str(uuid4()), BUYERS[0], holds=(uuid,))
        if let_go:
            self.tried(lambda: changes.let_hold_go(uuid, who=WHO, now=self.now))
        else:
            self.tried(lambda: changes.place_order(new, who=WHO, now=self.now))

    @rule(pot=ANY)
    def sell_by_hand(self, pot: int) -> None:
        """A pot sold without its line."""
        new = NewOrder(str(uuid4()), BUYERS[1], pots=((self.shop.pots[pot % POTS], 800),))
        self.tried(lambda: changes.place_order(new, who=WHO, now=self.now))

    @rule(which=ANY, plants=st.one_of(st.none(), FEW))
    def cancel(self, which: int, plants: int | None) -> None:
        """An order, or plants of it."""
        one = self.order(which)
        if one is not None:
            some = None if plants is None else {one.lines[0].key: plants}
            self.tried(lambda: changes.cancel_order(one.number, some, who=WHO, now=self.now))

    @rule(which=ANY)
    def substitute(self, which: int) -> None:
        """A free plant of the line for one of the order."""
        one = self.order(which)
        if one is not None:
            key, line = one.lines[0].key, self.shop.line
            self.tried(lambda: changes.substitute(key, 1, from_line=line, who=WHO, now=self.now))

    @rule(which=ANY)
    def send(self, which: int) -> None:
        """An order leaves."""
        one = self.order(which)
        if one is not None:
            self.tried(lambda: changes.mark_sent(one.number, who=WHO, now=self.now))

    @rule(pot=ANY, deed=st.sampled_from(("lose", "keep", "cut", "offer", "take back", "grow")))
    def handle(self, pot: int, deed: str) -> None:
        """What may befall a pot beside being sold."""
        key, told = self.shop.pots[pot % POTS], {"who": WHO, "now": self.now}
        deeds = {
            "lose": lambda: changes.lose_pot(key, "rot", at=self.now, **told),
            "keep": lambda: changes.set_state(key, "kept", at=self.now, **told),
            "grow": lambda: changes.set_state(key, "growing", at=self.now, **told),
            "cut": lambda: changes.cut_pot(key, 2, at=self.now, **told),
            "offer": lambda: changes.offer_pots(self.shop.line, [key], **told),
            "take back": lambda: changes.take_back_pots([key], **told),
        }  # fmt: skip
        self.tried(deeds[deed])

    @rule(which=ANY)
    def void(self, which: int) -> None:
        """An entry is struck out."""
        found = queries.entries(kinds=("state", "loss"))
        if found:
            uuid = found[which % len(found)].uuid
            self.tried(lambda: changes.void_entry(uuid, "slip", WHO, self.now))

    @rule()
    def close(self) -> None:
        """The release is closed."""
        self.tried(lambda: changes.close_release(self.shop.release, who=WHO, now=self.now))

    @invariant()
    def a_pot_is_sold_once(self) -> None:
        """No pot is promised twice, none that is gone is free, and one that was sent stays sold."""
        orders = queries.orders()
        promised = [(pot, order) for order in orders for line in order.lines for pot in line.pots]
        assert len({pot.pot for pot, _ in promised}) == len(promised)
        for pot, order in promised:
            if order.sent_at is not None:
                assert self.sent.setdefault(pot.pot, order.number) == order.number
        states = {pot.key: pot for pot in queries.standing_pots(gone=True)}
        assert all(states[pot].state == "sold" for pot in self.sent)
        assert all(states[pot].state not in ("sold", "lost", "kept") for pot in queries.offered_pots())
        told = {pot.key: pot.promised_to for pot in states.values() if pot.promised_to is not None}
        assert queries.promised_pots() == told

    @invariant()
    def every_number_adds_up(self) -> None:
        """Pots behind the line, plants of the orders, and the limit of each buyer."""
        found = queries.release(self.shop.release, self.now)
        assert found is not None
        line = found.lines[0]
        behind = queries.line_pots(self.shop.line, self.now)
        assert line.held == sum(bool(pot.hold) for pot in behind)
        assert line.ordered == sum(pot.order is not None for pot in behind)
        assert len(behind) == line.free + line.held + line.ordered <= line.offered
        assert min(line.free, line.held, line.ordered, line.lost) >= 0
        if found.state == "closed":
            assert line.free == line.held == 0
        bought: dict[int | None, int] = {}
        for order in queries.orders():
            for one in order.lines:
                assert one.plants == one.cancelled + len(one.pots) + one.missing
                assert one.missing >= 0
                if one.line is not None:
                    left = one.plants - one.cancelled
                    bought[order.buyer.key] = bought.get(order.buyer.key, 0) + left
            assert (order.state == "cancelled") == (order.plants == 0)
            assert order.sent_at is None or not any(one.missing for one in order.lines)
        assert max(bought.values(), default=0) <= LIMIT
        for past in queries.past_lines(self.now + timedelta(days=1)):
            assert 0 <= past.sold <= past.offered
            assert sum(sale.plants for sale in past.sales if sale.cancelled_at is None) == past.sold


@pytest.mark.django_db
def test_any_course_of_sales_keeps_the_law() -> None:
    """Random courses of offers, holds, orders, losses and sendings, with a clock that may go back."""
    assert connection.in_atomic_block

    run_state_machine_as_test(Sales, settings=settings(max_examples=8, stateful_step_count=14))
