"""The day to ship: the way of a parcel laid over a week's forecast, rest days included."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from halfwater.errors import RefusedInput
from halfwater.plain.figures import show_date, show_list
from halfwater.plain.transit import (
    DECISIONS,
    GrowerRules,
    Leg,
    PackingBench,
    ParcelLoad,
    PlaceDay,
    Route,
    RouteStop,
    ShipDay,
    ShipDayChoice,
    ShippingBox,
    TransitAdvice,
    TransitLimits,
)
from halfwater.planning.shipping import advise_parcel
from halfwater.planning.transit_words import CAUTIONS

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_DAYS_AHEAD = 7
_LONGEST_H = 24.0 * 30
_MOMENT_H = 1e-9
_Known = Mapping[tuple[str, date], PlaceDay]


@dataclass(frozen=True, slots=True)
class Passage:
    """A way laid into the calendar."""

    legs: tuple[Leg, ...]
    arrives_on: date
    rests: int  # rest days on which the parcel lies still


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stay at one place on one day."""

    place: str
    kind: str
    on: date
    clock_h: float
    span_h: float


def passage_from(route: Route, on: date, forecast: Sequence[PlaceDay], today: date) -> Passage:
    """Legs of a way that begins on a day, with the forecast of each place and day.

    A stop that would begin on a rest day begins as many whole days later; until then the parcel lies where it
    was.

    Parameters
    ----------
    route : Route
        The way, at least one stop.
    on : date
        The day the parcel is handed over.
    forecast : sequence of PlaceDay
        Lowest and highest temperature of places and days.
    today : date
        The day the forecast is of.

    Returns
    -------
    Passage
        One leg for each place and day, the day of arrival, rest days spent lying still.

    Raises
    ------
    RefusedInput
        If the way has no stop or a stop takes no time, the day lies before today, or a place has no forecast
        for a day the parcel is there.

    Notes
    -----
    Days turn at midnight; each has its own swing from its own lowest to its own highest, so a midnight may
    bring a jump.

    Source: own definition
    """
    if on < today:
        raise RefusedInput("ship day", on.isoformat(), "today or later")
    pieces, now_h, rests = _pieces(route, on)
    known = {(day.place, day.on): day for day in forecast}
    missing = _missing(pieces, known)
    if missing is not None:
        raise RefusedInput(
            "forecast", f"{missing.place}, {missing.on.isoformat()}", "one for each day of the way"
        )
    legs = tuple(_leg(piece, known[piece.place, piece.on], today) for piece in pieces)
    return Passage(legs, on + timedelta(days=int(now_h // 24.0)), rests)


def choose_ship_day(
    box: ShippingBox,
    load: ParcelLoad,
    route: Route,
    forecast: Sequence[PlaceDay],
    limits: Sequence[TransitLimits],
    today: date,
    seed: int,
    bench: PackingBench | None = None,
    units: str = "metric",
) -> ShipDayChoice:
    """Day of the coming week on which a parcel is best sent, with what each day would bring.

    Parameters
    ----------
    box : ShippingBox
        The box.
    load : ParcelLoad
        What is in it.
    route : Route
        The way.
    forecast : sequence of PlaceDay
        Of all its places, as far as it reaches.
    limits : sequence of TransitLimits
        Of each taxon in the box.
    today : date
        The day the forecast is of.
    seed : int
        Of the draws.
    bench : PackingBench or None
        What is at hand and gone by: the weekdays that parcels leave, among others.
    units : str
        "metric" or "us", for the words.

    Returns
    -------
    ShipDayChoice
        The best day or none, and all seven.

    Raises
    ------
    RefusedInput
        If the way, the box or the limits cannot be.

    Notes
    -----
    The best is the day that needs the mildest measure, the earliest of those; days that are held, that no
    parcels leave on, or that leave them lying over rest days are no choice. Days beyond the forecast are not
    judged.

    Source: priors, Limits in a box
    """
    bench = bench or PackingBench()
    rules = bench.rules
    known = {(day.place, day.on): day for day in forecast}

    def judged(on: date) -> ShipDay:
        if on.weekday() not in rules.ship_weekdays:
            return ShipDay(on, None, 0.0, 0, None, f"no parcels leave on a {_WEEKDAYS[on.weekday()]}")
        missing = _missing(_pieces(route, on)[0], known)
        if missing is not None:
            why = f"no forecast for {missing.place} on {show_date(missing.on, today)}"
            return ShipDay(on, None, 0.0, 0, None, why)
        passage = passage_from(route, on, forecast, today)
        advice = advise_parcel(box, load, passage.legs, limits, seed, bench, units)
        return _as_day(on, passage, advice, rules)

    days = tuple(judged(today + timedelta(days=ahead)) for ahead in range(_DAYS_AHEAD))
    fit = [day for day in days if _is_choice(day, rules)]
    best = min(fit, key=lambda day: (_severity(day), day.on)) if fit else None
    return ShipDayChoice(best, days, _choice_sentence(best, days, today), CAUTIONS)


def _pieces(route: Route, on: date) -> tuple[list[_Piece], float, int]:
    """Where the parcel is, midnight to midnight; hour of arrival since the first; rest days it lies still."""
    if not route.stops:
        raise RefusedInput("route", route.name, "at least one stop")
    now_h, rests, pieces = route.hand_over_h, 0, list[_Piece]()
    for index, stop in enumerate(route.stops):
        if not 0.0 < stop.span_h <= _LONGEST_H:
            raise RefusedInput("span_h", stop.span_h, f"above 0, at most {_LONGEST_H:g} hours", stop.place)
        still = _rest_days(route, on, now_h) if index else 0
        if still:
            pieces += _by_days(route.stops[index - 1], now_h, now_h + 24.0 * still, on)
            now_h, rests = now_h + 24.0 * still, rests + still
        pieces += _by_days(stop, now_h, now_h + stop.span_h, on)
        now_h += stop.span_h
    return pieces, now_h, rests


def _by_days(stop: RouteStop, begin_h: float, end_h: float, on: date) -> Iterator[_Piece]:
    """A stop cut at its midnights; hours count from the first midnight."""
    while begin_h < end_h - _MOMENT_H:
        day = int((begin_h + _MOMENT_H) // 24.0)
        until_h = min(end_h, 24.0 * (day + 1))
        clock_h = max(begin_h - 24.0 * day, 0.0)
        yield _Piece(stop.place, stop.kind, on + timedelta(days=day), clock_h, until_h - begin_h)
        begin_h = until_h


def _rest_days(route: Route, on: date, now_h: float) -> int:
    """Whole days until something moves on."""
    if set(range(7)) <= set(route.rest_days):
        accepted = "at least one weekday on which parcels move"
        raise RefusedInput("rest_days", route.rest_days, accepted, route.name)
    still = 0
    while (on + timedelta(days=int(now_h // 24.0) + still)).weekday() in route.rest_days:
        still += 1
    return still


def _missing(pieces: Sequence[_Piece], known: _Known) -> _Piece | None:
    return next((piece for piece in pieces if (piece.place, piece.on) not in known), None)


def _leg(piece: _Piece, weather: PlaceDay, today: date) -> Leg:
    return Leg(
        f"{piece.place}, {show_date(piece.on, today)}",
        piece.span_h,
        weather.low_c,
        weather.high_c,
        piece.clock_h,
        piece.kind,
        float((piece.on - today).days),
    )


def _as_day(on: date, passage: Passage, advice: TransitAdvice, rules: GrowerRules) -> ShipDay:
    against = []
    if passage.rests and not rules.over_weekend:
        days = "1 day" if passage.rests == 1 else f"{passage.rests} days"
        against.append(f"would lie still for {days} on which nothing moves")
    if advice.decision == "hold":
        against.append("held")
    why = show_list(against)
    return ShipDay(on, passage.arrives_on, advice.outlook.in_box_days, passage.rests, advice, why)


def _is_choice(day: ShipDay, rules: GrowerRules) -> bool:
    is_judged = day.advice is not None and day.advice.decision != "hold"
    return is_judged and (rules.over_weekend or not day.rests)


def _severity(day: ShipDay) -> tuple[int, int]:
    assert day.advice is not None
    return DECISIONS.index(day.advice.decision), day.advice.measure.packs


def _choice_sentence(best: ShipDay | None, days: Sequence[ShipDay], today: date) -> str:
    if best is not None and best.advice is not None:
        words = best.advice.measure.words
        arrives = show_date(best.arrives_on, today)
        return f"Ship on {show_date(best.on, today)}, {words}; it arrives on {arrives}."
    if all(day.advice is None for day in days):
        return (
            "No day of the coming week can be judged: " + "; ".join(sorted({day.why for day in days})) + "."
        )
    return "No day of the coming week will do: hold the parcel and look again tomorrow."
