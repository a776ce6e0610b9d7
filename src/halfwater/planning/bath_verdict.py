"""Why the EC of a bath moves, in words, and the reading that would tell."""

from halfwater.plain.bath import EcCause, EcLimit, EcVerdict
from halfwater.plain.growing import Span
from halfwater.science.bath_facts import BathAnswer

_SURE = 0.8  # of a trend
_CLEAR = 0.7  # of one cause over the other
_STILL_MS_CM, _STILL_FRAC = 0.05, 0.07  # a month: slower than this, or than that of itself, is steady
_TEXTS = {
    "spray": "salts the spray brings",
    "water added": "water the spray brings",
    "water leaving": "water that leaves as vapour or into leaves",
    "plants": "salts the plants take",
}
_TELL_RISING = (
    "Read the waterline now and in a week: if it sinks while the EC climbs, the bath is drying; "
    "if it stands or rises, too much is fed."
)
_TELL_FALLING = (
    "Dip a nitrate strip into the bath: next to nothing left means hungry plants; "
    "with plenty left, the bath is being thinned by weak sprays."
)
_TO_DO = {
    "overfed": " Spray weaker.",
    "evaporating": " Top up with plain water.",
    "hungry": " Spray or refill stronger.",
    "diluted": " Plants need not be short of food.",
}
_TELL_TREND = "Read the EC again in a week, before the round."


def ec_verdict(answer: BathAnswer, limit: EcLimit | None = None) -> EcVerdict:
    """The trend of the EC, its likeliest cause, and what to read where causes cannot be told apart.

    Salt in against salt out makes overfed or hungry; water in against water out makes diluted or
    evaporating.

    Parameters
    ----------
    answer : BathAnswer
        The bath as reckoned.
    limit : EcLimit or None
        What its plants bear: a trend that leads towards their range asks for nothing. None: not known.

    Returns
    -------
    EcVerdict
        Trend in mS/cm a month, with causes by size.

    Notes
    -----
    A trend is called when eight of ten futures go that way and the middle one moves by 0.05 a month or
    more, and by seven hundredths of the EC; within that it is steady when the range stays within twice as
    much. A cause is named when it does more than the other kind in seven of ten futures that go the way of
    the trend.

    Source: own definition
    """
    low, mid, high = answer.trend
    rising = answer.p_rising >= 0.5
    p_trend = answer.p_rising if rising else 1.0 - answer.p_rising
    causes = tuple(
        EcCause(name, _TEXTS[name], Span(*answer.rates[name]))
        for name in sorted(answer.rates, key=lambda name: -abs(answer.rates[name][1]))
    )
    still = max(_STILL_MS_CM, _STILL_FRAC * answer.ec_now[1])
    if p_trend < _SURE or abs(mid) < still:
        is_steady = abs(mid) < still and max(abs(low), abs(high)) <= 2.0 * still
        word = "steady" if is_steady else "not known yet"
        said = (
            "What comes in and what goes out balance: the EC holds."
            if is_steady
            else "It cannot be said yet whether the EC climbs or falls."
        )
        tell = "" if is_steady else _TELL_TREND
        return EcVerdict("steady", word, p_trend, Span(low, mid, high), said, tell, causes)
    word, said = _cause(answer, rising)
    said = f"{said}{_what_to_do(word, answer.ec_now[1], limit)}"
    tell = "" if word != "not known yet" else (_TELL_RISING if rising else _TELL_FALLING)
    trend = "rising" if rising else "falling"
    return EcVerdict(trend, word, p_trend, Span(low, mid, high), said, tell, causes)


def _what_to_do(word: str, ec_ms_cm: float, limit: EcLimit | None) -> str:
    """What a cause asks for; nothing while the bath is on its way into the range of its plants."""
    if word not in _TO_DO:
        return ""
    if limit is not None and word in ("overfed", "evaporating") and ec_ms_cm < limit.target_low_ms_cm:
        return " The bath is still weaker than its plants like, so it may."
    if limit is not None and word == "hungry" and ec_ms_cm > limit.target_high_ms_cm:
        return " The bath is stronger than its plants like, so it may."
    return _TO_DO[word]


def _cause(answer: BathAnswer, rising: bool) -> tuple[str, str]:
    """The likeliest cause of a trend, and the sentence for it."""
    if answer.p_by_salts >= _CLEAR:
        if rising:
            return "overfed", "Rising: the spray brings more salt than the plants take."
        return "hungry", "Falling: the plants take more than the spray brings."
    if answer.p_by_salts <= 1.0 - _CLEAR:
        if rising:
            return "evaporating", "Rising: water leaves and salts stay."
        return "diluted", "Falling: more thin solution comes in than salt."
    if rising:
        return "not known yet", "Rising, from too much feed or from water that leaves: not told apart yet."
    return "not known yet", "Falling, from hungry plants or from weak sprays: not told apart yet."
