"""What dissolved ions do together, by PHREEQC: pH, conductivity, and what falls out. Its only importer.

PHREEQC's phreeqc.dat is the one database taken. Minerals of feeds that it lacks are added from
science/data/minerals.toml. Urea and boric acid carry no charge; chelates, molybdate, nickel and cobalt are
told to it as another ion of their charge: in the traces of a feed no meter sees the difference.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock
from types import MappingProxyType
from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.ions import added_ions, charges_of, checked_ions, ion_table, read_data
from halfwater.science.limits import Limits
from halfwater.science.salts import salt_mass

DATABASE = "phreeqc.dat"
AIR_CO2_LOG_ATM = -3.38  # 415 ppm of carbon dioxide
DILUTE_MMOL_L = 500.0  # ionic strength up to which its activities are good; above they are a warning only
_TEMPERATURE = Limits("temperature", 0, 50, "C")
_UNEVEN_MEQ_L = 1e-3
_PH_GUESSES = (6.5, 3.0, 1.5, 9.5)
_ENGINE_LOCK = Lock()  # the library keeps one state for all; pages are served by several threads


@dataclass(frozen=True, slots=True)
class Mineral:
    """A mineral that may fall out, as the data file tells it."""

    name: str
    formula: str
    at_the_edge_index: float  # saturation index from which on it is worth a word
    settles_index: float  # from which on it is seen to fall out
    takes: Mapping[str, int]
    reaction: str  # "" for PHREEQC's own
    log_k: float
    delta_h_factor: float  # kJ/mol
    source: str


@dataclass(frozen=True, slots=True)
class Speciation:
    """A solution at rest: how acid, how strong in ions, how far from each mineral."""

    ph: float
    ionic_mmol_l: float
    indices: Mapping[str, float]  # mineral -> saturation index; only those whose parts are all there


@lru_cache(maxsize=1)
def minerals() -> Mapping[str, Mineral]:
    """Minerals that a mix or a stock is held against.

    Gypsum, calcite, brushite and struvite: what clots when feeds meet.

    Returns
    -------
    Mapping of str to Mineral
        Name to mineral; read-only.

    Notes
    -----
    Apatite is left out: every mix of calcium and phosphate is above it and none shows it for weeks.

    Source: parkhurst-appelo-2013; gregory-1970; ronteltap-2007
    """
    return MappingProxyType(
        {
            name: Mineral(
                name,
                row["formula"],
                row["at_the_edge"],
                row["settles"],
                MappingProxyType(row["takes"]),
                row.get("reaction", ""),
                row.get("log_k", 0.0),
                row.get("delta_h_kj", 0.0),
                row["source"],
            )
            for name, row in read_data("minerals.toml").items()
        }
    )


def speciate(ions: Mapping[str, Any], temp_c: float = 25.0, *, has_air: bool = False) -> Speciation:
    """How the dissolved ions stand with each other at a temperature.

    As mixed, or once it has stood in the air and taken on or given off carbon dioxide.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre, charges even (see `made_even`). [mmol/L]
    temp_c : float
        Temperature. [C] Valid 0..50.
    has_air : bool
        Whether carbon dioxide is in balance with the air.

    Returns
    -------
    Speciation
        pH, ionic strength, saturation indices.

    Raises
    ------
    RefusedInput
        If an ion is unknown, an amount or the temperature impossible, charges are uneven by more
        than 0.001 meq/L, or PHREEQC finds no answer.

    Notes
    -----
    pH from the balance of charge; nitrate and ammonium are kept apart, as they are in a bath without
    time or bacteria. Above 0.5 mol/L its activities are a warning and no measure.

    Source: parkhurst-appelo-2013
    """
    temp = _TEMPERATURE.one(temp_c)
    return _solved(_even(ions), temp, has_air)[0]


def ec_of_ions(ions: Mapping[str, Any]) -> float:
    """Conductivity of dissolved ions at 25 C.

    What a true meter would show, within 1 % for a dilute salt and about 5 % for a full nutrient solution.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre, charges even (see `made_even`). [mmol/L]

    Returns
    -------
    float
        Conductivity at 25 C. [mS/cm]

    Raises
    ------
    RefusedInput
        If an ion is unknown, an amount impossible, charges are uneven by more than 0.001 meq/L, or
        PHREEQC finds no answer.

    Notes
    -----
    PHREEQC's SC, from the diffusion coefficients of every species; 0.4 % low for 1 mmol/L of KCl, 1 % for
    10, 3 % for 100. Urea alone conducts nothing.

    Source: parkhurst-appelo-2013

    Examples
    --------
    >>> round(ec_of_ions({"K+": 1.0, "Cl-": 1.0}), 3)
    0.146
    """
    return _solved(_even(ions), 25.0, False)[1]


def fallen_out(
    ions: Mapping[str, Any], mineral: str, temp_c: float = 25.0, *, has_air: bool = False
) -> float:
    """How much of a mineral falls out of a litre before it is clear again.

    The sediment once all has come to rest, if only this mineral forms.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre, charges even (see `made_even`). [mmol/L]
    mineral : str
        One of `minerals`.
    temp_c : float
        Temperature. [C] Valid 0..50.
    has_air : bool
        Whether carbon dioxide is in balance with the air.

    Returns
    -------
    float
        Mineral with its water. [mg/L]

    Raises
    ------
    RefusedInput
        If the mineral or an ion is unknown, a number impossible, charges are uneven, or PHREEQC finds
        no answer.

    Notes
    -----
    The amount at which the saturation index comes down to 0, by Brent's method; 0 if it is not above.

    Source: parkhurst-appelo-2013
    """
    from scipy.optimize import brentq  # scipy is slow to load: at the door that needs it

    if mineral not in minerals():
        raise RefusedInput("mineral", mineral, f"one of {', '.join(minerals())}")
    temp, sound, one = _TEMPERATURE.one(temp_c), _even(ions), minerals()[mineral]

    def over(mmol_l: float) -> float:
        left = added_ions(sound, {name: -count * mmol_l for name, count in one.takes.items()})
        return float(10 ** _solved(left, temp, has_air)[0].indices.get(mineral, -99.0) - 1)

    if over(0.0) <= 0:
        return 0.0
    totals = _totals(sound)
    most = min(totals.get(ion_table()[name].phreeqc, 0.0) / n for name, n in one.takes.items())
    if has_air and mineral == "Calcite":
        most = totals["Ca"]  # the air gives what carbonate the mix lacks
    return float(brentq(over, 0.0, most, xtol=3e-4 * most, rtol=3e-4)) * salt_mass(one.formula)


@lru_cache(maxsize=1)
def open_database(name: str = DATABASE) -> Any:
    """PHREEQC with its database and our minerals.

    Loaded once, at the first mix.

    Parameters
    ----------
    name : str
        File name of the database; phreeqc.dat only.

    Returns
    -------
    phreeqpython.PhreeqPython
        The engine; not safe to share between threads without the lock that this file holds.

    Raises
    ------
    RefusedInput
        If another database is asked for, or the one loaded does not know nitrogen, phosphorus and potassium.

    Notes
    -----
    pitzer.dat has no nitrogen and no phosphorus, says nothing of it, and gives nonsense: so what is
    loaded is asked for a solution of all three before it is used.

    Source: parkhurst-appelo-2013
    """
    if name != DATABASE:
        raise RefusedInput("database", name, f"{DATABASE}: others lack nitrogen or phosphorus without a word")
    import phreeqpython  # 0.25 s: at the door that needs it

    engine = phreeqpython.PhreeqPython(database=name)
    if not knows_feeds(engine):
        raise RefusedInput("database", name, "one that knows nitrogen, phosphorus and potassium")
    engine.ip.run_string(_added_minerals())
    return engine


def knows_feeds(engine: Any) -> bool:
    """Whether a PHREEQC database knows what feeds are made of.

    The guard against databases that drop an element in silence.

    Parameters
    ----------
    engine : phreeqpython.PhreeqPython
        A loaded engine.

    Returns
    -------
    bool
        True if nitrogen in both forms, phosphorus, potassium, calcium and sulphur are all found again.

    Notes
    -----
    One mmol of each is dissolved and looked for.

    Source: own definition
    """
    asked = {"N(5)": 3.0, "N(-3)": 1.0, "P": 1.0, "K": 1.0, "Ca": 1.0, "S(6)": 1.0}
    solution = engine.add_solution({"units": "mmol/L", "temp": 25, "pH": "7", **asked})
    try:
        found = {name: solution.total_element(name.partition("(")[0]) for name in asked}
    finally:
        solution.forget()
    wanted = {"N(5)": 4.0, "N(-3)": 4.0}
    return all(abs(found[name] / wanted.get(name, 1.0) - 1) < 0.05 for name in asked)


def _even(ions: Mapping[str, Any]) -> dict[str, float]:
    """Checked ions, refused if their charges do not cancel."""
    sound = checked_ions(ions)
    charges = charges_of(sound)
    over = charges.cations_meq_l - charges.anions_meq_l
    if abs(over) > _UNEVEN_MEQ_L:
        raise RefusedInput(
            "ions", f"{over:+.3g} meq/L over", "as much charge of cations as of anions: make them even first"
        )
    return sound


def _totals(ions: Mapping[str, float]) -> dict[str, float]:
    """What PHREEQC is told: mmol/L under its own names."""
    totals: dict[str, float] = {}
    for symbol, amount in ions.items():
        name = ion_table()[symbol].phreeqc
        if name:
            totals[name] = totals.get(name, 0.0) + amount
    return totals


def _solved(ions: Mapping[str, float], temp_c: float, has_air: bool) -> tuple[Speciation, float]:
    """One run of PHREEQC: the speciation and the conductivity at that temperature in mS/cm."""
    totals = {name: amount for name, amount in _totals(ions).items() if amount > 1e-12}
    asked: dict[str, object] = {"units": "mmol/L", "temp": temp_c, **totals}
    if sum(totals.values()) > 100:
        asked["density"] = "1.0 calculate"
    if has_air:
        asked["C(4)"] = f"{max(totals.get('C(4)', 0.0), 0.01)} CO2(g) {AIR_CO2_LOG_ATM}"
    with _ENGINE_LOCK:
        engine = open_database()
        solution = _first_solved(engine, asked, totals)
        try:
            indices = {name: solution.si(name) for name in minerals()}
            answer = Speciation(
                ph=float(solution.pH),
                ionic_mmol_l=1000 * float(solution.I),
                indices=MappingProxyType({name: float(si) for name, si in indices.items() if si > -99}),
            )
            return answer, float(solution.sc) / 1000
        finally:
            solution.forget()


def _first_solved(engine: Any, asked: dict[str, object], totals: Mapping[str, float]) -> Any:
    """The solution from the first guess of its pH that PHREEQC gets anywhere from."""
    for guess in _PH_GUESSES:
        try:
            return engine.add_solution(asked | {"pH": f"{guess} charge"})
        except Exception as unsolved:  # the library raises its own plain Exception
            fault = unsolved
    raise RefusedInput(
        "mix",
        ", ".join(f"{name} {amount:.3g}" for name, amount in totals.items()),
        "one that PHREEQC can work out: check the amounts and the acids",
    ) from fault


def _added_minerals() -> str:
    """PHREEQC's own words for the minerals that phreeqc.dat lacks."""
    lines = ["PHASES"]
    for mineral in minerals().values():
        if mineral.reaction:
            lines += [mineral.name, f"  {mineral.reaction}", f"  log_k {mineral.log_k}"]
            lines += [f"  delta_h {mineral.delta_h_factor} kJ"] if mineral.delta_h_factor else []
    return "\n".join([*lines, "END"])
