"""What the salts and the algae add to the evening's tanks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from halfwater.deeds.algae import NUISANCE, algae_from
from halfwater.deeds.bath import AtHand, TankBath, baths_of
from halfwater.plain.entry import EntryFact
from halfwater.plain.lid import AlgaeAct
from halfwater.plain.tank import TankFacts
from halfwater.planning.night import SaltsTonight, TankNight


@dataclass(frozen=True, slots=True)
class Lately:
    """What the algae are judged by, as the evening has read it already."""

    all_tanks: Sequence[TankFacts]  # in use or not
    sightings: Sequence[EntryFact]
    last: Mapping[tuple[int, str], EntryFact]  # newest entry of each tank and kind, lamps among them


def with_salts(
    nights: tuple[TankNight, ...],
    at_hand: AtHand,
    lately: Lately,
    now: datetime,
    on: date,
) -> tuple[TankNight, ...]:
    """The tanks of an evening with their salts, and the next act where algae were seen lately."""
    baths = baths_of(now, at_hand)
    has_meter = any(bath.outlook is not None and bath.outlook.last_reading_on for bath in baths.values())
    names = {mix.name.casefold(): mix.key for mix in at_hand.mixes}
    is_seen = any(entry.word == "algae" and (entry.value or 0.0) >= NUISANCE for entry in lately.sightings)
    acts = _acts(now, at_hand, lately, baths) if is_seen else {}
    return tuple(
        replace(
            night,
            salts=_salts(baths[night.key], names, on, has_meter=has_meter) if night.is_filled else None,
            act=acts[night.key].said if night.key in acts else "",
            act_lever=acts[night.key].lever if night.key in acts else "",
        )
        for night in nights
        if night.key in baths
    )


def _salts(bath: TankBath, names: Mapping[str, int], on: date, *, has_meter: bool) -> SaltsTonight | None:
    outlook, film = bath.outlook, bath.film
    if outlook is None:
        return None
    refill = outlook.refill
    read_on = outlook.last_reading_on
    later = outlook.ec_at_siphon or outlook.ec_in_90_days
    kept = (1.0 - min(max(bath.narrows_frac, 0.0), 1.0)) ** 0.5
    return SaltsTonight(
        ec_ms_cm=outlook.ec_now.p50,
        p_past_frac=outlook.p_past_action_now_frac,
        action_ms_cm=outlook.limit.action_ms_cm,
        siphon_l=refill.siphon_l,
        refill_l=refill.refill_l,
        refill_name=refill.refill_name,
        refill_mix=names.get(refill.refill_name.casefold()),
        ec_after_ms_cm=refill.ec_after.p50,
        read_days_ago=None if read_on is None else float((on - read_on).days),
        has_meter=has_meter,
        gain_ms_cm=(later.p90 - later.p10) * (1.0 - kept),
        plain_days_ago=bath.plain_days_ago,
        is_plain_night=film is not None and film.is_plain_night,
    )


def _acts(
    now: datetime, at_hand: AtHand, lately: Lately, baths: Mapping[int, TankBath]
) -> dict[int, AlgaeAct]:
    """The next act in each tank where algae were seen as a nuisance."""
    found = {}
    watches = algae_from(now, at_hand.nursery, lately.all_tanks, lately.last, baths)
    for key, watch in watches.items():
        act = next((act for act in watch.acts if act.is_next), None)
        if act is not None and watch.seen_word in ("some", "much"):
            found[key] = act
    return found
