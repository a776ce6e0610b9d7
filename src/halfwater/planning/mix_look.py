"""What a mix is: strengths, charge, EC, pH, what falls out, what it costs, and what cannot be said."""

from collections.abc import Iterable

from halfwater.plain.chemistry import ChargeBalance, Dose, MixLook, SourceWater, StrengthLine, Target, Wanted
from halfwater.planning.dissolved_mix import DissolvedMix, dissolve_mix
from halfwater.planning.mix_ec import EcFacts, answer_ec
from halfwater.planning.mix_settling import settlings_of, worst
from halfwater.planning.mix_words import charge_text, look_cautions, look_workings, not_modelled
from halfwater.planning.source_water import DissolvedWater, dissolved_water
from halfwater.science.chemistry import ec_of_ions, speciate
from halfwater.science.feed import Strength
from halfwater.science.formula import atomic_mass
from halfwater.science.ions import ion_sum_ec
from halfwater.science.limits import Limits
from halfwater.science.strengths import ELEMENTS, field_of

ROOM_TEMP_C = 20.0
FORMS = ("N-NO3", "N-NH4", "N-urea")
_TEMPERATURE = Limits("temperature", 0, 50, "C")


def look_at_mix(
    name: str,
    doses: tuple[Dose, ...],
    water: SourceWater | DissolvedWater,
    temp_c: float = ROOM_TEMP_C,
    target: Target | None = None,
) -> MixLook:
    """What a mix is, whatever it was made from.

    For a mix of the book, a recipe, or something a grower is about to try.

    Parameters
    ----------
    name : str
        What it is called.
    doses : tuple of Dose
        Each thing and its dose; none for the water alone.
    water : SourceWater or DissolvedWater
        The water it is made with.
    temp_c : float
        Temperature at which it is kept and sprayed. [C] Valid 0..50.
    target : Target, optional
        What it was meant to be, to show wanted beside got.

    Returns
    -------
    MixLook
        Strengths, charge, EC, pH, what falls out, cost of a litre, cautions and workings.

    Raises
    ------
    RefusedInput
        If a label, formula, dose, water or temperature is refused.

    Notes
    -----
    pH is told only where every ion is known, and then as mixed and as it is once it has stood in the air.

    Source: parkhurst-appelo-2013
    """
    temp = _TEMPERATURE.one(temp_c)
    mix = dissolve_mix(name, doses, water)
    fresh, standing = speciate(mix.even.ions, temp), speciate(mix.even.ions, temp, has_air=True)
    strength = mix.strength
    ec = answer_ec(_ec_facts(mix, strength))
    settlings = settlings_of(mix.even.ions, fresh, standing, temp)
    has_ph = mix.water.has_ions and not mix.has_label
    costs = [(contents, units, contents.cost_minor) for contents, units in mix.parts if units]
    unpriced = tuple(contents.item.name for contents, _, cost in costs if cost is None)
    charge = _charge(mix)
    look = MixLook(
        name=name,
        water=mix.water.name,
        temp_c=temp,
        strengths=_lines(mix, strength, target),
        charge=charge,
        ec=ec,
        ph=fresh.ph if has_ph else None,
        ph_standing=standing.ph if has_ph else None,
        ionic_mmol_l=fresh.ionic_mmol_l,
        settlings=settlings,
        state=worst(settlings),
        cost_minor=None if unpriced else sum(units * (cost or 0.0) for _, units, cost in costs),
        unpriced=unpriced,
        not_modelled=not_modelled(mix, strength),
        cautions=look_cautions(mix, strength, fresh, standing),
        workings=look_workings(ec, charge, fresh, temp),
    )
    return look


def compare_mixes(
    mixes: Iterable[tuple[str, tuple[Dose, ...]]],
    water: SourceWater | DissolvedWater,
    temp_c: float = ROOM_TEMP_C,
) -> tuple[MixLook, ...]:
    """Several mixes in the same water, side by side.

    For the page that compares them.

    Parameters
    ----------
    mixes : iterable of tuple
        Name and doses of each.
    water : SourceWater or DissolvedWater
        The water that all are made with.
    temp_c : float
        Temperature. [C] Valid 0..50.

    Returns
    -------
    tuple of MixLook
        In the order given.

    Raises
    ------
    RefusedInput
        If one of them is refused; its name is in the refusal.

    Notes
    -----
    The water is dissolved once.

    Source: own definition
    """
    dissolved = water if isinstance(water, DissolvedWater) else dissolved_water(water)
    return tuple(look_at_mix(name, doses, dissolved, temp_c) for name, doses in mixes)


def _ec_facts(mix: DissolvedMix, strength: Strength) -> EcFacts:
    """What the answer on EC is made from."""
    found = [ec_of_ions(mix.even.ions)]
    bounds = [ion_sum_ec(mix.even.ions)]
    if mix.even_silent is not None:
        found.append(ec_of_ions(mix.even_silent.ions))
    return EcFacts(
        found_ms_cm=tuple(found),
        bound_ms_cm=max(bounds),
        water_ec_ms_cm=mix.water.ec_ms_cm,
        has_water_ions=mix.water.has_ions,
        has_label=mix.has_label,
        urea_mg_l=strength.n_urea_mg_l,
        n_mg_l=strength.n_mg_l,
    )


def _charge(mix: DissolvedMix) -> ChargeBalance:
    """The balance of charge, with what was assumed in the water and in the feeds."""
    before, even, water = mix.even.before, mix.even, mix.water
    added = even.added or water.made_even_with
    assumed = even.added_meq_l if even.added else water.assumed_meq_l
    return ChargeBalance(
        cations_meq_l=before.cations_meq_l,
        anions_meq_l=before.anions_meq_l,
        off_frac=before.off_frac,
        made_even_with=added,
        assumed_meq_l=assumed,
        text=charge_text(before, even.added, even.added_meq_l),
    )


def _lines(mix: DissolvedMix, strength: Strength, target: Target | None) -> tuple[StrengthLine, ...]:
    """Each element and form: wanted, from the water, in all."""
    wanted = {one.what: one for one in (target.wanted if target else ())}
    rows = []
    for what in (*ELEMENTS, *FORMS):
        in_all = getattr(strength, field_of(what))
        if in_all is None or (not in_all and what not in wanted):
            continue
        element = what.partition("-")[0]
        is_known = element in mix.water.known
        from_water = getattr(mix.water.strength, field_of(what)) if is_known else None
        rows.append(
            StrengthLine(what, _wanted(wanted.get(what)), from_water, in_all, in_all / atomic_mass(element))
        )
    return tuple(rows)


def _wanted(one: Wanted | None) -> float | None:
    return None if one is None else one.strength_mg_l
