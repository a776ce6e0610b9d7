"""From what a mix contains to what a litre of it brings into a bath."""

from halfwater.science.bath_facts import EC, SEEN_MS_CM, Solution
from halfwater.science.feed import Strength

_OTHERS = 1.1  # ions that go with the nutrients and are none: sulphate, chloride, sodium
_LABEL_CV_FRAC = 0.15
_MEASURED_CV_FRAC = 0.04


def solution_of(strength: Strength, source: Solution, ec_above_source_ms_cm: float | None = None) -> Solution:
    """What a litre of a mix brings, its source water in it, from its strength and its EC if that is known.

    The EC of the whole is that above the source plus the source's own.

    Parameters
    ----------
    strength : Strength
        What its feeds bring, over the source water.
    source : Solution
        The water it is made with.
    ec_above_source_ms_cm : float or None
        Measured or worked out, over the source; None: from its ions. [mS/cm] Valid 0..20.

    Returns
    -------
    Solution
        With 4 % of doubt about a known EC, 15 % about one from ions.

    Raises
    ------
    RefusedInput
        If the EC is nan or out of range.

    Notes
    -----
    Without an EC: the ionic shares of the nutrients, and a tenth for ions that go with them. Nitrogen whose
    form no label states counts as what the meter sees. Plain water is its source.

    Source: priors, Salts in the bath

    Examples
    --------
    >>> solution_of(Strength(n_mg_l=50.0, k_mg_l=50.0), Solution(0.2), 0.4).ec_ms_cm
    0.6000000000000001
    """
    urea = strength.n_urea_mg_l or 0.0
    own = Solution(
        0.0, max(strength.n_mg_l - urea, 0.0), urea, strength.p_mg_l, strength.k_mg_l, strength.ca_mg_l,
        strength.mg_mg_l,
    )  # fmt: skip
    if ec_above_source_ms_cm is None:
        nutrients = own.salts
        nutrients[0] = 0.0
        above, doubt = _OTHERS * float(SEEN_MS_CM @ nutrients), _LABEL_CV_FRAC
    else:
        above, doubt = EC.one(ec_above_source_ms_cm), _MEASURED_CV_FRAC
    return Solution(
        source.ec_ms_cm + above,
        source.n_mg_l + own.n_mg_l,
        source.urea_n_mg_l + own.urea_n_mg_l,
        source.p_mg_l + own.p_mg_l,
        source.k_mg_l + own.k_mg_l,
        source.ca_mg_l + own.ca_mg_l,
        source.mg_mg_l + own.mg_mg_l,
        ec_cv_frac=doubt,
    )
