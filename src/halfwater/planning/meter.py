"""An EC meter held into a standard: what its readings are worth, in words."""

from halfwater.plain.chemistry import MeterCheck
from halfwater.science.conductivity import check_meter


def judge_meter(
    standard_ms_cm: float, read_ms_cm: float, temp_c: float | None = None, *, has_compensation: bool = True
) -> MeterCheck:
    """Meter check to be kept as an entry, and what to do about it.

    Readings after it are multiplied by its factor, until the next check.

    Parameters
    ----------
    standard_ms_cm : float
        The standard's conductivity at 25 C. [mS/cm] Valid 0.05..20.
    read_ms_cm : float
        What the meter showed in it. [mS/cm] Valid 0..20.
    temp_c : float, optional
        Temperature of the standard; needed for a meter without compensation. [C] Valid 0..40.
    has_compensation : bool
        Whether the meter brings its readings to 25 C itself.

    Returns
    -------
    MeterCheck
        Factor, spread, and one sentence.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or a meter without compensation comes without a temperature.

    Notes
    -----
    See `check_meter`.

    Source: own definition
    """
    found = check_meter(standard_ms_cm, read_ms_cm, temp_c, has_compensation=has_compensation)
    off, way = abs(found.off_frac), "too much" if found.off_frac > 0 else "too little"
    if not found.is_usable:
        text = (
            f"The meter shows {100 * off:.0f} % {way}: that is more than a factor puts right. "
            "Clean the probe, take fresh standard and check again; readings are left as they are."
        )
    elif off <= found.spread_frac:
        text = f"The meter is right within {100 * found.spread_frac:.0f} %."
    else:
        text = (
            f"The meter shows {100 * off:.0f} % {way}: readings from now on are put right by "
            f"{found.correction_factor:.3f}."
        )
    return MeterCheck(
        standard_ms_cm=standard_ms_cm,
        read_ms_cm=read_ms_cm,
        temp_c=temp_c,
        correction_factor=found.correction_factor,
        spread_frac=found.spread_frac,
        is_usable=found.is_usable,
        text=text,
    )
