"""The pots that entries are about: found by key, or by tank, spot and day."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Max, Q

from halfwater.book.models import Entry, Spot, StandingPot, Tank
from halfwater.book.queries.standing import stays
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import POT_KINDS, NewEntry
from halfwater.plain.stock import GONE_STATES, Stay

GROUPS = {"leaves": "leaves", "rhizome": "rhizome", "move": "move", "loss": "state", "state": "state"}
TIED_KINDS = ("leaves", "loss", *POT_KINDS)
_Place = tuple[int, str]  # tank, spot


def kinds_of(group: str) -> tuple[str, ...]:
    """The kinds of entries that say the same thing of a pot."""
    return tuple(kind for kind, name in GROUPS.items() if name == group)


@dataclass(slots=True)
class PotsAtHand:
    """Pots, where they stood when, and when each was last told about; kept up as entries are written."""

    pots: dict[int, StandingPot]
    spots: dict[_Place, Spot]
    tank_names: dict[int, str]
    newest: dict[tuple[int, str], datetime]
    stays: dict[_Place, list[Stay]]
    final: frozenset[int] = frozenset()  # came in as they stand now: entries change nothing of them

    @classmethod
    def of(cls, news: Sequence[NewEntry], final: Collection[int] = ()) -> "PotsAtHand":
        """What `news` need: the pots they name, and those of the floors they name a spot of."""
        named = {new.pot for new in news if new.pot is not None}
        floors = {new.tank for new in news if new.pot is None and new.spot and new.tank is not None}
        onto = {new.tank for new in news if new.kind == "move" and new.tank is not None}
        moved = Entry.objects.filter(kind="move", tank__in=floors, voided_at__isnull=True).values("pot")
        wanted = Q(pk__in=named) | Q(spot__tank__in=floors) | Q(potted_tank__in=floors)
        rows = StandingPot.objects.select_for_update(of=("self",)).select_related("batch", "spot")
        pots = {pot.pk: pot for pot in rows.filter(wanted | Q(pk__in=moved)).order_by("pk")}
        return cls(
            pots,
            {(spot.tank_id, spot.name): spot for spot in Spot.objects.filter(tank__in=floors | onto)},
            dict(Tank.objects.values_list("pk", "name")),
            _newest(pots),
            _by_place(stays(tuple(pots)) if floors else ()),
            frozenset(final),
        )

    def tie(self, new: NewEntry, day: date, lenient: bool = False) -> NewEntry:
        """The entry with its pot, if it is about one; what cannot be is refused."""
        if new.kind not in TIED_KINDS:
            return new
        if new.pot is not None:
            return self._named(new, day)
        is_single = new.kind != "loss" or new.value == 1
        if new.kind != "move" and new.spot and new.tank is not None and is_single:
            found = self._standing_on(new, day, lenient)
            if found is not None:
                self._refuse_unfit(self.pots[found], new, day)
                return replace(new, pot=found, batch=self.pots[found].batch_id)
        if new.kind in POT_KINDS:
            raise RefusedInput("pot", "", f"a pot, for a {new.kind} always belongs to one")
        return new

    def _named(self, new: NewEntry, day: date) -> NewEntry:
        pot = self.pots.get(new.pot or 0)
        if pot is None:
            raise RefusedInput("pot", new.pot, "the key of a pot in the book")
        if new.batch not in (None, pot.batch_id):
            raise RefusedInput("batch", new.batch, f"the batch of the pot, {pot.batch.name}")
        self._refuse_unfit(pot, new, day)
        new = replace(new, batch=pot.batch_id)
        if new.tank is None and pot.spot is not None:
            return replace(new, tank=pot.spot.tank_id, spot=pot.spot.name)
        return new

    def _refuse_unfit(self, pot: StandingPot, new: NewEntry, day: date) -> None:
        potted_on = pot.potted_on or pot.batch.potted_on
        if day < potted_on:
            raise RefusedByBook(
                f"Pot {pot} was potted on {potted_on}: {_SAID[new.kind]} on {day}, before that.", str(pot)
            )
        if pot.state not in GONE_STATES or pot.pk in self.final:
            return
        left = f"Pot {pot} was {pot.state}" + (f" on {pot.left_on}" if pot.left_on else "")
        if pot.left_on is not None and day > pot.left_on:
            raise RefusedByBook(f"{left}: {_SAID[new.kind]} on {day}, after that.", str(pot))
        if new.kind == "loss" and (pot.state == "sold" or pot.cause):
            raise RefusedByBook(f"{left}: it cannot be lost as well.", str(pot))

    def _standing_on(self, new: NewEntry, day: date, lenient: bool) -> int | None:
        place = (new.tank or 0, new.spot.upper())
        there = [stay for stay in self.stays.get(place, ()) if self._is_of(stay.pot, new.batch)]
        on_day = [stay for stay in there if stay.from_on <= day and (stay.to_on is None or day <= stay.to_on)]
        if on_day:
            return max(on_day, key=lambda stay: (stay.from_on, stay.to_on is None, stay.pot)).pot
        if not any(tank == new.tank for tank, _ in self.spots) or (lenient and new.batch is not None):
            return None
        where = f"spot {new.spot.upper()} of {self.tank_names[new.tank or 0]}"
        if place not in self.spots:
            names = [name for tank, name in self.spots if tank == new.tank]
            raise RefusedInput("spot", new.spot, f"a spot of this floor, {names[0]} to {names[-1]}")
        later = min((stay for stay in there if stay.from_on > day), key=lambda s: s.from_on, default=None)
        if later is None:
            raise RefusedByBook(f"No pot stood on {where} on {day}: say first what stands there.", where)
        pot = self.pots[later.pot]
        raise RefusedByBook(
            f"Pot {pot} stands on {where} since {later.from_on}: {_SAID[new.kind]} on {day}, before that.",
            str(pot),
        )

    def _is_of(self, pot: int, batch: int | None) -> bool:
        return batch is None or self.pots[pot].batch_id == batch

    def moved(self, pot: int, place: _Place, day: date) -> None:
        """Keep where pots stand when up to date: this one went to a spot."""
        self.left(pot, day)
        self.stays.setdefault(place, []).append(Stay(pot, *place, from_on=day, to_on=None))

    def left(self, pot: int, day: date) -> None:
        """Keep where pots stand when up to date: this one left its spot."""
        for there in self.stays.values():
            for index, stay in enumerate(there):
                if stay.pot == pot and stay.to_on is None:
                    there[index] = replace(stay, to_on=day)


_SAID = {
    "leaves": "leaves cannot be counted on it",
    "loss": "it cannot be lost",
    "move": "it cannot be moved",
    "cut": "it cannot be cut",
    "rhizome": "it cannot be measured",
    "state": "its state cannot change",
}


def _newest(pots: Collection[int]) -> dict[tuple[int, str], datetime]:
    rows = Entry.objects.filter(pot__in=tuple(pots), kind__in=tuple(GROUPS), voided_at__isnull=True)
    newest: dict[tuple[int, str], datetime] = {}
    for pot, kind, at in rows.order_by().values_list("pot", "kind").annotate(last=Max("at")):
        key = (pot, GROUPS[kind])
        newest[key] = max(at, newest.get(key, at))
    return newest


def _by_place(found: Iterable[Stay]) -> dict[_Place, list[Stay]]:
    places: dict[_Place, list[Stay]] = defaultdict(list)
    for stay in found:
        places[(stay.tank, stay.spot.upper())].append(stay)
    return places
