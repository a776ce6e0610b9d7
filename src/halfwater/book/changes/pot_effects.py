"""What an entry changes of its pot, and how the pot is put back when the entry is voided."""

from datetime import date
from typing import Any

from halfwater.book.changes.pots_at_hand import GROUPS, PotsAtHand, kinds_of
from halfwater.book.changes.promises import refuse_sent, turn_state
from halfwater.book.models import Entry, Spot, StandingPot
from halfwater.errors import RefusedByBook
from halfwater.plain.stock import GONE_STATES

_FIELDS = {
    "leaves": ("leaves", "counted_on"),
    "rhizome": ("rhizome_mm", "measured_on"),
    "state": ("state", "left_on", "cause"),
}
_DAYS = {"leaves": "counted_on", "rhizome": "measured_on"}


def take_effect(row: Entry, at_hand: PotsAtHand, who: str) -> None:
    """Let an entry change its pot, where nothing newer is known; `row` keeps how the pot stood before."""
    group = GROUPS.get(row.kind)
    pot = at_hand.pots.get(row.pot_id or 0)
    if pot is None or pot.pk in at_hand.final:
        return
    if row.kind == "cut":
        turn_state(pot, "cut", row.noted_at)
    if group is None:
        return
    newest = at_hand.newest.get((pot.pk, group))
    if newest is not None and row.at < newest:
        return
    at_hand.newest[(pot.pk, group)] = row.at
    if _knows_newer(pot, group, row.day):
        return
    row.pot_before = _as_it_stands(pot, group)
    if group == "state":
        state = _told(row)["state"]
        if pot.state in GONE_STATES and state not in GONE_STATES:
            raise RefusedByBook(
                f"Pot {pot} was {pot.state} on {pot.left_on}: it cannot be {state}.", str(pot)
            )
        turn_state(pot, state, row.noted_at)
    if group == "move":
        _go_to(pot, at_hand.spots.get((row.tank_id or 0, row.spot.upper())), row)
        at_hand.moved(pot.pk, (row.tank_id or 0, row.spot.upper()), row.day)
    else:
        for name, value in _told(row).items():
            setattr(pot, name, value)
    if pot.state in GONE_STATES:
        pot.spot = None
        at_hand.left(pot.pk, row.day)
    pot.changed_by = who  # type: ignore[attr-defined]
    pot.save()


def put_back(row: Entry, who: str) -> None:
    """Put the pot of an entry that is being voided back as the entries that still stand tell it."""
    group = GROUPS.get(row.kind)
    if group is None or row.pot_id is None:
        return
    pot = (
        StandingPot.objects.select_for_update(of=("self",)).select_related("batch", "spot").get(pk=row.pot_id)
    )
    others = list(
        Entry.objects.filter(pot=pot, kind__in=kinds_of(group), voided_at__isnull=True)
        .exclude(pk=row.pk)
        .order_by("at", "noted_at", "uuid")
    )
    _hand_over(row, others)
    if others and (others[-1].at, others[-1].noted_at) > (row.at, row.noted_at):
        return
    if not _is_as_told(pot, row, group):
        return
    if group == "state":
        refuse_sent(pot)
    if group == "move":
        _stand_again(pot, *_last_place(pot, row))
    else:
        _set(pot, group, _told(others[-1]) if others else _before(row, pot, group))
        if pot.spot is None and pot.state not in GONE_STATES:
            _stand_again(pot, *_last_place(pot, row))
    pot.changed_by = who  # type: ignore[attr-defined]
    pot.save()


def _knows_newer(pot: StandingPot, group: str, day: date) -> bool:
    """Whether the pot holds, without an entry, what is newer than the day."""
    if group in _DAYS:
        known_on = getattr(pot, _DAYS[group])
        return known_on is not None and known_on > day
    if group == "move":
        return pot.state in GONE_STATES
    return pot.state == "sold" and pot.left_on is not None and pot.left_on >= day


def _told(row: Entry) -> dict[str, Any]:
    if row.kind == "leaves":
        return {"leaves": int(row.value or 0), "counted_on": row.day}
    if row.kind == "rhizome":
        return {"rhizome_mm": row.value, "measured_on": row.day}
    state = "lost" if row.kind == "loss" else row.word
    cause = row.word if row.kind == "loss" else ""
    return {"state": state, "left_on": row.day if state in GONE_STATES else None, "cause": cause}


def _as_it_stands(pot: StandingPot, group: str) -> dict[str, Any]:
    if group == "move":
        return {}
    values = {name: getattr(pot, name) for name in _FIELDS[group]}
    return {name: value.isoformat() if isinstance(value, date) else value for name, value in values.items()}


def _before(row: Entry, pot: StandingPot, group: str) -> dict[str, Any]:
    """How the pot stood before its first entry of a group."""
    if row.pot_before is not None:
        return {
            name: date.fromisoformat(value) if name.endswith("_on") and value else value
            for name, value in row.pot_before.items()
        }
    if group == "leaves":
        potted_on = pot.potted_on or pot.batch.potted_on
        return {"leaves": pot.first_leaves, "counted_on": potted_on if pot.first_leaves is not None else None}
    if group == "rhizome":
        return {"rhizome_mm": None, "measured_on": None}
    return {"state": "growing", "left_on": None, "cause": ""}


def _hand_over(row: Entry, others: list[Entry]) -> None:
    """What stood before the first entry stays known when that entry goes."""
    if not others or row.pot_before is None:
        return
    first = others[0]
    if first.pot_before is None or (first.at, first.noted_at) > (row.at, row.noted_at):
        first.pot_before = row.pot_before
        first.save(update_fields=("pot_before",))


def _is_as_told(pot: StandingPot, row: Entry, group: str) -> bool:
    if group == "move":
        return pot.spot is not None and (pot.spot.tank_id, pot.spot.name) == (row.tank_id, row.spot.upper())
    return all(getattr(pot, name) == value for name, value in _told(row).items())


def _set(pot: StandingPot, group: str, values: dict[str, Any]) -> None:
    for name in _FIELDS[group]:
        setattr(pot, name, values[name])
    if pot.state in GONE_STATES:
        pot.spot = None


def _last_place(pot: StandingPot, but: Entry) -> tuple[int | None, str]:
    moves = Entry.objects.filter(pot=pot, kind="move", voided_at__isnull=True).exclude(pk=but.pk)
    last = moves.order_by("-at", "-noted_at").values_list("tank", "spot").first()
    return last or (pot.potted_tank_id, pot.potted_spot)


def _go_to(pot: StandingPot, spot: Spot | None, row: Entry) -> None:
    if spot is None:
        raise RefusedByBook(f"Pot {pot} cannot go to {row.spot}: the floor has no such spot.", row.spot)
    _refuse_taken(spot, pot)
    pot.spot = spot


def _stand_again(pot: StandingPot, tank: int | None, name: str) -> None:
    spot = Spot.objects.select_for_update().filter(tank=tank, name__iexact=name).first()
    if spot is None:
        raise RefusedByBook(
            f"Pot {pot} cannot be put back: its spot {name} is no more.".replace("  ", " "), name
        )
    _refuse_taken(spot, pot)
    pot.spot = spot


def _refuse_taken(spot: Spot, pot: StandingPot) -> None:
    there = StandingPot.objects.filter(spot=spot).exclude(pk=pot.pk).select_related("batch").first()
    if there is not None:
        raise RefusedByBook(
            f"Spot {spot.name} is taken: a pot of batch {there.batch.name} stands on it, {there}.", spot.name
        )
