"""What is said beside the figures of a mix: charge, cautions, what is not modelled, the workings."""

from halfwater.plain.chemistry import ChargeBalance, EcAnswer, SaltFacts
from halfwater.plain.working import Working
from halfwater.planning.dissolved_mix import DissolvedMix
from halfwater.science.chemistry import DATABASE, DILUTE_MMOL_L, Speciation, minerals
from halfwater.science.feed import Strength
from halfwater.science.ions import Charges

REDUCED_MOST_FRAC = 0.5  # ammonium and urea of all nitrogen; priors, Mixes
FREE_IRON_PH = 6.0  # above it iron without a chelate rusts out
_ADDED = {"Na+": "sodium", "Cl-": "chloride", "": ""}


def charge_text(before: Charges, added: str, added_meq_l: float) -> str:
    """The balance of charge in a sentence.

    Cations against anions, and what was assumed to make them even.

    Parameters
    ----------
    before : Charges
        As the labels and the analysis have it.
    added : str
        Ion that was assumed, or "".
    added_meq_l : float
        How much of it. [meq/L] Valid 0 and more.

    Returns
    -------
    str
        One or two sentences.

    Notes
    -----
    Differences under 0.01 meq/L are not worth a word.

    Source: own definition
    """
    text = f"{before.cations_meq_l:.2f} meq/L of cations, {before.anions_meq_l:.2f} of anions."
    if added and added_meq_l >= 0.01:
        text += f" {added_meq_l:.2f} meq/L of {_ADDED[added]} is assumed to make them even."
    return text


def not_modelled(mix: DissolvedMix, strength: Strength) -> tuple[str, ...]:
    """What the chemistry leaves out of this mix.

    So that nobody takes silence for knowledge.

    Parameters
    ----------
    mix : DissolvedMix
        The mix.
    strength : Strength
        All that is in it. [mg/L]

    Returns
    -------
    tuple of str
        Sentences; none where nothing is left out.

    Notes
    -----
    Urea, chelates, molybdate, traces of a label, a water without ions, notes of the water.

    Source: own definition
    """
    found = []
    if strength.n_urea_mg_l:
        found.append(f"Urea ({strength.n_urea_mg_l:.0f} mg/L N) carries no charge and is carried apart.")
    if any(name in mix.even.ions for name in ("FeEDTA-", "EDTA-2", "MoO4-2", "Ni+2", "Co+2")):
        found.append("Chelates, molybdate, nickel and cobalt are counted as other ions of their charge.")
    if any(contents.is_label and units and _has_traces(contents.strength) for contents, units in mix.parts):
        found.append("Trace metals of a label are taken as chelates and left out of the ions.")
    if not mix.water.has_ions:
        found.append("The lime of the water is not known, so clots with it cannot be foreseen.")
    return (*found, *mix.water.notes)


def look_cautions(
    mix: DissolvedMix, strength: Strength, fresh: Speciation, standing: Speciation
) -> tuple[str, ...]:
    """What to mind with this mix, most urgent first.

    Acids, iron that rusts out, lime on standing, too much ammonium.

    Parameters
    ----------
    mix : DissolvedMix
        The mix.
    strength : Strength
        All that is in it. [mg/L]
    fresh : Speciation
        As mixed.
    standing : Speciation
        Once it has stood in the air.

    Returns
    -------
    tuple of str
        Sentences.

    Notes
    -----
    Follow local rules and qualified advice beyond them.

    Source: priors, Mixes
    """
    found = []
    if any(_is_acid(contents.item.product) and units for contents, units in mix.parts):
        found.append("Acid into water, never water into acid; gloves and eye protection.")
    elif any(units for _, units in mix.parts):
        found.append("Gloves and eye protection when handling concentrates.")
    if (mix.even.ions.get("Fe+2") or mix.even.ions.get("Fe+3")) and standing.ph > FREE_IRON_PH:
        found.append("Iron without a chelate rusts out of a mix above pH 6: use a chelate.")
    lime = minerals()["Calcite"]
    if lime.settles_index <= standing.indices.get("Calcite", -99.0) > fresh.indices.get("Calcite", -99.0):
        found.append("Left standing, this water leaves lime on leaves and glass: mix it fresh, or soften it.")
    nitrogen, nitrate = strength.n_mg_l, strength.n_nitrate_mg_l
    if nitrate is not None and nitrogen > 0 and 1 - nitrate / nitrogen > REDUCED_MOST_FRAC:
        found.append(
            f"{100 * (1 - nitrate / nitrogen):.0f} % of the nitrogen is ammonium and urea: "
            "slow plants in low light take nitrate better."
        )
    if fresh.ionic_mmol_l > DILUTE_MMOL_L:
        found.append("So strong a solution is judged roughly: try a glass of it first.")
    return tuple(found)


def look_workings(
    ec: EcAnswer, charge: ChargeBalance, fresh: Speciation, temp_c: float
) -> tuple[Working, ...]:
    """How the figures of a mix were worked out.

    EC, its upper bound, the charges and what is held against the minerals.

    Parameters
    ----------
    ec : EcAnswer
        The answer on EC.
    charge : ChargeBalance
        The balance of charge.
    fresh : Speciation
        As mixed.
    temp_c : float
        Temperature. [C] Valid 0..50.

    Returns
    -------
    tuple of Working
        One a figure.

    Notes
    -----
    Sources are keys of docs/sources.toml.

    Source: own definition
    """
    inputs = (
        ("ionic strength", f"{fresh.ionic_mmol_l:.3g} mmol/L"),
        ("rule", ec.rule),
        ("from", f"{ec.ec_low_ms_cm:.3g} to {ec.ec_high_ms_cm:.3g} mS/cm"),
    )
    made = Working(
        "EC at 25 °C", "sum over species of z² F² D c / (R T), hindered by the others", inputs,
        f"{ec.ec_ms_cm:.3g} mS/cm", f"parkhurst-appelo-2013, {DATABASE}", "ionic strength up to 0.5 mol/L",
    )  # fmt: skip
    ions = (("cations", f"{charge.cations_meq_l:.3g} meq/L"), ("anions", f"{charge.anions_meq_l:.3g} meq/L"))
    even = Working(
        "balance of charge", "(cations − anions) / (cations + anions)", ions,
        f"{100 * charge.off_frac:.1f} %",
        "hoagland-arnon-1950",
    )  # fmt: skip
    indices = tuple((name, f"{index:+.2f}") for name, index in fresh.indices.items())
    clots = Working(
        "saturation indices", "log10 (ion product / solubility product)", indices, f"at {temp_c:g} °C",
        "parkhurst-appelo-2013; gregory-1970; ronteltap-2007", "ionic strength up to 0.5 mol/L",
    )  # fmt: skip
    bound = ec.bound_ms_cm
    most = () if bound is None else (
        Working("upper bound of the EC", "Σ |z| c λ° (no ion hinders another)", ions, f"{bound:.3g} mS/cm",
                "vanysek-crc", "a bound, never the answer"),
    )  # fmt: skip
    return (made, *most, even, *((clots,) if indices else ()))


def _is_acid(product: object) -> bool:
    """Whether it is an acid of the shelf."""
    return isinstance(product, SaltFacts) and product.formula.replace(" ", "").startswith(
        ("HNO3", "H3PO4", "H2SO4", "HCl")
    )


def _has_traces(strength: Strength) -> bool:
    """Whether a label names trace metals."""
    return any((strength.fe_mg_l, strength.mn_mg_l, strength.zn_mg_l, strength.cu_mg_l))
