"""pH readings of a bath, judged."""

from collections.abc import Sequence
from datetime import date

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.bath import PhVerdict
from halfwater.science import starting

_MEMORY_DAYS = 60
_MONTH_DAYS = 30.0
_MOVES = 0.2  # a month
_TELL_FALLS = (
    "Measure the alkalinity of the source water: soft water has nothing against the acid that roots give "
    "back for ammonium and urea."
)
_TELL_CLIMBS = (
    "Measure the alkalinity of the source water: hard water brings more bicarbonate with every spray than "
    "roots use up."
)


def ph_verdict(readings: Sequence[tuple[date, float]]) -> PhVerdict | None:
    """The last pH reading against what slow plants bear, with its trend and what would explain it.

    Aimed at 5.5 to 7.0, tolerated from 5.0 to 7.8.

    Parameters
    ----------
    readings : sequence of tuple
        Days and pH, in any order.

    Returns
    -------
    PhVerdict or None
        None where nothing was read.

    Raises
    ------
    RefusedInput
        If a pH is nan or outside 0 to 14.

    Notes
    -----
    Trend by least squares over the last sixty days, from two days of reading on; 0.2 a month is a move.

    Source: priors, pH of the bath
    """
    for _, value in readings:
        if not 0.0 <= value <= 14.0:
            raise RefusedInput("pH", value, "a number from 0 to 14")
    if not readings:
        return None
    on, ph = max(readings, key=lambda reading: reading[0])
    trend = _trend(on, readings)
    word = _word(ph)
    moves = "" if trend is None or abs(trend) < _MOVES else (" and falling" if trend < 0 else " and climbing")
    tell = ""
    if word != "good" or moves:
        downward = ph < starting.PH_LOW or (ph <= starting.PH_HIGH and moves == " and falling")
        tell = _TELL_FALLS if downward else _TELL_CLIMBS
    return PhVerdict(ph, on, word, trend, f"pH {ph:.1f}{moves}: {_SAID[word]}", tell)


_SAID = {
    "good": "where slow plants feed well.",
    "tolerated": "borne, but iron and phosphate begin to be out of reach at one end, calcium at the other.",
    "too low": "too acid for roots. Siphon and refill; harder water or less ammonium and urea keeps it up.",
    "too high": "iron and phosphate are out of reach. Siphon and refill with softer or rain water; "
    "acid goes into water, never water into acid, with gloves and eye protection.",
}


def _word(ph: float) -> str:
    if starting.PH_LOW <= ph <= starting.PH_HIGH:
        return "good"
    if starting.PH_LEAST <= ph <= starting.PH_MOST:
        return "tolerated"
    return "too low" if ph < starting.PH_LEAST else "too high"


def _trend(on: date, readings: Sequence[tuple[date, float]]) -> float | None:
    late = [((day - on).days, ph) for day, ph in readings if (on - day).days <= _MEMORY_DAYS]
    days, values = np.array(late, dtype=float).T
    if days.max() == days.min():
        return None
    return float(np.polyfit(days, values, 1)[0]) * _MONTH_DAYS
