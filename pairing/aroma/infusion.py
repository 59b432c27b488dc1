"""Infusion: how much of an ingredient's aroma gets into the syrup, and from there into the nose.

The model has four plain parts, each with a range:

1. release from the solid, first order in time, set by the distance aroma diffuses [1]_ [2]_;
2. loss to the air while it is hot, two resistances in series: what the steam can carry
   (relative volatility) and what the liquid can deliver to its surface [3]_;
3. partition: the less water-soluble part stays in the spent solid, in its volatile oil and in
   its fixed oil (fats.csv) [4]_;
4. release from the drink in the mouth, warmer from a hot drink than from an iced one [5]_.

References
----------
.. [1] Spiro M, Jago DS. Kinetics and equilibria of tea infusion, part 3. J. Chem. Soc. Faraday
   Trans. 1 78, 295-305 (1982): first-order approach to equilibrium (abstract read).
.. [2] Farakte RA et al., tea infusion kinetics (2015): effective diffusivity 2.2e-10 m2/s at
   60 C and 4.3e-10 m2/s at 80 C (read); whole spice recalled as 0.5e-10 to 4e-10 m2/s.
.. [3] Lewis WK, Whitman WG. Principles of gas absorption. Ind. Eng. Chem. 16, 1215 (1924); Henry
   constants from Sander R, Atmos. Chem. Phys. 23, 10901 (2023) and others in volatility.csv.
.. [4] Leo A, Hansch C, Elkins D. Partition coefficients and their uses. Chem. Rev. 71, 525 (1971):
   octanol stands for the oil (from memory).
.. [5] Copolovici LO, Niinemets U. Chemosphere 61, 1390 (2005): temperature dependence of Henry
   constants of terpenoids (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pairing.aroma.odour import Array, Axis, axis, profiles
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import best_estimate
from pairing.evidence.rows import Fat, Form, Volatility
from pairing.evidence.tables import records

__all__ = [
    "METHODS",
    "Infusion",
    "Stage",
    "added_at",
    "boiled_first",
    "infuse",
    "kitchen_minutes",
    "mouth_release",
    "release_rate",
    "stages_for",
]

DIFFUSIVITY_80C_M2_PER_S = (0.5e-10, 1.5e-10, 4.3e-10)  # low, best, high; [2]
DIFFUSIVITY_Q10 = 1.6  # per 10 degrees; 1.5-1.7 recalled, tea Ea 40 kJ/mol read gives 1.6
SURFACE_TRANSFER_M_PER_S = {  # liquid-side transfer; orders of magnitude recalled from [3]
    "still": 3e-6,
    "simmer": 3e-5,
    "boil": 1.5e-4,
}
POT_DEPTH_M = 0.05  # a litre in a 16 cm pan: common practice, no source
LID_KEEPS = 0.85  # share of steam that a lid returns; 0.80-0.95 recalled
OIL_CARRIED = (0.03, 0.10, 0.30)  # undissolved oil that passes the strainer: estimate, no source
MOUTH_TEMPERATURE_C = 37.0


class Stage(NamedTuple):
    """Some minutes at one temperature.

    Attributes
    ----------
    minutes : float
    temperature_c : float
    surface : {"still", "simmer", "boil"}
    covered : bool
    evaporation_percent_per_10_min : float
        Water lost from the uncovered pot, % of the batch in ten minutes.
    """

    minutes: float
    temperature_c: float
    surface: str
    covered: bool
    evaporation_percent_per_10_min: float


ADDED_AT_C = 90.0  # syrup off the heat, where the table names no temperature
FALLS_C = 8.0  # mean below the temperature at the start, covered, in the first 40 minutes: estimate
LONG_STEEP_MIN = 40.0  # a small pan off the heat nears 60 C by then: estimate
HELD_C = 65.0  # a longer steep is kept above the 57 C of Food Code 3-501.16, with a margin
BAG_C = 62.0  # water bath of a sealed bag, above the 57 C of Food Code 3-501.16
BOIL_MIN = 1.0  # kill step of dry spice, process_cautions.csv
STANDS_BOILING_C = 90.0  # what is steeped cooler than this is too delicate for the boil
DRY_BELOW_PERCENT = 40.0  # water of a dry spice at most; vanilla has about 30


def added_at(form: Form) -> float:
    """Temperature of the syrup that a steeped form goes into, C.

    Parameters
    ----------
    form : Form

    Returns
    -------
    float
        Degrees Celsius.
    """
    return form.temperature_c or ADDED_AT_C


def boiled_first(catalog: Catalog, form: Form, method: str) -> bool:
    """Whether a form gets the minute at the boil: dry spice does; leaf, peel and tea do not.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    method : str
        One of :data:`METHODS`.

    Returns
    -------
    bool
    """
    dry = (form.water_percent or 0.0) < DRY_BELOW_PERCENT
    stands = added_at(form) >= STANDS_BOILING_C and catalog.kind(form) != "tea"
    return method == "hot-steep" and dry and stands


def stages_for(
    method: str, minutes: float, *, boiled: bool = False, added_at_c: float = ADDED_AT_C
) -> tuple[Stage, ...]:
    """Stages of a method, as :mod:`pairing.plan` tells them.

    Parameters
    ----------
    method : str
        One of `METHODS`.
    minutes : float
        Time of the main stage. A hot steep beyond 40 minutes goes on at 65 C.
    boiled : bool
        One minute at the boil, lid ajar, comes first.
    added_at_c : float
        Temperature of the syrup at the start of a hot steep, C.

    Returns
    -------
    tuple of Stage
        Empty for ``stir-in``.

    Raises
    ------
    PairingError
        For an unknown method or minutes that are not positive (``stir-in`` takes none).
    """
    if method not in METHODS:
        raise PairingError(f"unknown method {method!r}; one of {', '.join(METHODS)}")
    if method != "stir-in" and not 0 < minutes <= 7 * 24 * 60:
        raise PairingError(f"{minutes:g} minutes of {method}; give between 1 minute and 7 days")
    # evaporation: common practice, no source (open simmer 3-8 %, covered 0.5-2 % per 10 min)
    if method == "simmer":
        return (Stage(minutes, 95.0, "simmer", True, 5.0), Stage(15.0, 75.0, "still", True, 1.0))
    if method == "water-first":  # the water has boiled; the plant goes in as it would into syrup
        return (Stage(minutes, added_at_c - FALLS_C, "still", True, 1.0),)
    if method == "sealed-bag":  # a closed bag in a water bath loses nothing to the air
        return (Stage(minutes, BAG_C, "still", True, 0.0),)
    if method == "hot-steep":
        boil = (Stage(BOIL_MIN, 101.0, "boil", False, 8.0),) if boiled else ()
        steep_c = added_at_c - FALLS_C
        steep = Stage(min(minutes, LONG_STEEP_MIN), steep_c, "still", True, 1.0)
        left = minutes - LONG_STEEP_MIN
        held = (Stage(left, min(HELD_C, steep_c), "still", True, 1.0),) if left > 0 else ()
        return (*boil, steep, *held)
    if method == "cold-steep":
        return (Stage(minutes, 5.0, "still", True, 0.0), Stage(2.0, 85.0, "still", True, 0.5))
    if method == "maceration":
        return (Stage(minutes, 20.0, "still", True, 0.0), Stage(2.0, 85.0, "still", True, 0.5))
    return ()


METHODS = (
    "hot-steep",
    "simmer",
    "cold-steep",
    "maceration",
    "stir-in",
    "water-first",
    "sealed-bag",
)


@once_per_catalog
def _fats(catalog: Catalog) -> dict[str, float]:
    """Ingredient id -> fixed oil, kg per kg of dry matter; where none is known, none is counted."""
    rows = records(Fat, catalog.folder / "fats.csv")
    return {
        r.ingredient_id: best_estimate(r.fat_percent_low, r.fat_percent_high) / 100 for r in rows
    }


DEFAULT_SLOPE_K = 6000.0  # middle of the table's 3300-9600 K


@once_per_catalog
def _henry_25c(catalog: Catalog) -> tuple[Array, Array]:
    """Henry constants at 25 C (Pa m3/mol) and slopes (K), one a compound.

    Where the table has none: vapour pressure over solubility, the vapour pressure from the
    boiling point by Trouton's rule (ln p = -10.6 (Tb/T - 1), p in atm), the solubility as
    tabulated, else from log P by log S = 0.5 - 1.0 log P (mol/l; Hansch 1968, from memory).
    """
    ax = axis(catalog)
    table = {r.compound_id: r for r in records(Volatility, catalog.folder / "volatility.csv")}
    henry = np.zeros(len(ax.compounds))
    slope = np.full(len(ax.compounds), DEFAULT_SLOPE_K)
    for i, compound_id in enumerate(ax.compounds):
        row = table.get(compound_id)
        if row:
            henry[i] = row.henry_best_pa_m3_per_mol
            slope[i] = row.temperature_slope_k
            continue
        c = catalog.compounds[compound_id]
        if c.boiling_point_c is None or c.molar_mass_g_per_mol is None:
            continue  # not volatile enough to have a boiling point: stays in the pot
        pressure_pa = 101325.0 * math.exp(-10.6 * ((c.boiling_point_c + 273.15) / 298.15 - 1.0))
        if c.water_solubility_mg_per_l:
            mol_per_m3 = c.water_solubility_mg_per_l / c.molar_mass_g_per_mol
        elif c.log_p is not None:
            mol_per_m3 = 1000.0 * 10 ** (0.5 - c.log_p)
        else:
            continue
        henry[i] = pressure_pa / mol_per_m3
    return henry, slope


def _henry_at(henry_25: Array, slope: Array, temperature_c: float) -> Array:
    return np.asarray(henry_25 * np.exp(slope * (1 / 298.15 - 1 / (temperature_c + 273.15))))


def _loss_rate_per_min(henry: Array, stage: Stage) -> Array:
    """First-order loss to the air, 1/min: carried by steam and delivered by the liquid."""
    steam = stage.evaporation_percent_per_10_min / 100.0 / 10.0  # kg steam per kg water and min
    if stage.covered:
        steam *= 1.0 - LID_KEEPS
    steam_pressure_pa = 610.8 * math.exp(
        17.27 * stage.temperature_c / (stage.temperature_c + 237.3)
    )
    alpha = henry * 55_000.0 / steam_pressure_pa  # relative volatility, infinite dilution
    by_gas = alpha * steam
    by_liquid = SURFACE_TRANSFER_M_PER_S[stage.surface] / POT_DEPTH_M * 60.0
    by_liquid *= (1.0 - LID_KEEPS) if stage.covered else 1.0
    return np.asarray(by_gas * by_liquid / (by_gas + by_liquid + 1e-300))


def release_rate(particle_mm: float, temperature_c: float) -> tuple[float, float, float]:
    """First-order release rate from a solid, 1/min, as (low, best, high).

    Parameters
    ----------
    particle_mm : float
        Thickness of a slab (peel, leaf, bark) or size of a piece, mm; above 0, at most 100.
    temperature_c : float
        Of the water or syrup, degrees C.

    Returns
    -------
    tuple of float
        Low, best and high, 1/min.

    Raises
    ------
    PairingError
        For a piece out of range.

    Notes
    -----
    ``k = pi^2 D / L^2`` with D from [2] at 80 C and a Q10 of 1.6.
    """
    if not 0 < particle_mm <= 100:
        raise PairingError(f"a piece of {particle_mm:g} mm; give between 0.05 and 100 mm")
    warm = DIFFUSIVITY_Q10 ** ((temperature_c - 80.0) / 10.0)
    metres = particle_mm / 1000.0
    low, best, high = (math.pi**2 * d * warm / metres**2 * 60.0 for d in DIFFUSIVITY_80C_M2_PER_S)
    return low, best, high


def _two_pools(
    stages: Sequence[Stage], particle_mm: float, henry: tuple[Array, Array], which: int
) -> Array:
    """Share of each compound in the syrup after the stages (before partition)."""
    solid = np.ones_like(henry[0])
    syrup = np.zeros_like(henry[0])
    for stage in stages:
        k = release_rate(particle_mm, stage.temperature_c)[which]
        loss = _loss_rate_per_min(_henry_at(*henry, stage.temperature_c), stage)
        loss = np.where(np.abs(loss - k) < 1e-9 * k, loss * (1 + 1e-6), loss)
        t = stage.minutes
        gained = solid * k / (loss - k) * (np.exp(-k * t) - np.exp(-loss * t))
        syrup = syrup * np.exp(-loss * t) + gained
        solid = solid * math.exp(-k * t)
    return syrup


@dataclass(frozen=True)
class Infusion:
    """What an ingredient leaves in the syrup.

    Attributes
    ----------
    form_id : str
    dose_g_per_kg : float
        Grams of the form per kilogram of finished syrup.
    low, best, high : (n_compounds,) arrays
        Concentration in the syrup, mg/kg.
    share : (n_compounds,) array
        Share of the aroma that got into the syrup and stayed, best estimate.
    """

    form_id: str
    dose_g_per_kg: float
    low: Array
    best: Array
    high: Array
    share: Array


def infuse(
    catalog: Catalog,
    form: Form,
    dose_g_per_kg: float,
    method: str | None = None,
    minutes: float | None = None,
) -> Infusion:
    """Aroma that a dose of an ingredient leaves in a kilogram of syrup.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    dose_g_per_kg : float
        Grams of the form per kilogram of finished syrup.
    method : str, optional
        One of :data:`METHODS`; the form's own when not given.
    minutes : float, optional
        Time of the main stage; the middle of the form's window when not given.

    Returns
    -------
    Infusion
        Concentrations in the syrup, mg/kg, with their range.

    Raises
    ------
    PairingError
        For a dose that is not positive and finite, or above 2 kg per kg.
    """
    if not (math.isfinite(dose_g_per_kg) and 0 < dose_g_per_kg <= 2000):
        raise PairingError(
            f"a dose of {dose_g_per_kg:g} g per kg of syrup; give more than 0 and at most 2000"
        )
    ax = axis(catalog)
    held = profiles(catalog, [form.form_id])
    how = method or form.method or "hot-steep"
    time = minutes if minutes is not None else middle_minutes(form)
    stages = stages_for(
        how,
        time,
        boiled=boiled_first(catalog, form, how),
        added_at_c=added_at(form),
    )
    scale = dose_g_per_kg / 1000.0
    dry = 1.0 - (form.water_percent or 0.0) / 100.0
    fat = scale * dry * _fats(catalog).get(form.ingredient_id, 0.0)  # kg per kg of syrup
    low, best, high = (a[0] * scale for a in (held.low, held.best, held.high))
    shares = []
    for which in range(3):
        if how == "stir-in":
            shares.append(np.ones(len(ax.compounds)))
            continue
        particle = form.particle_mm or 2.0
        if how == "maceration":
            particle = min(particle, 0.5)  # sugar draws oil from glands cut open at the surface
        out = _two_pools(stages, particle, _henry_25c(catalog), which)
        dissolved = _dissolved(catalog, ax, best, fat)
        shares.append(out * (dissolved + (1 - dissolved) * OIL_CARRIED[which]))
    return Infusion(
        form.form_id, dose_g_per_kg, low * shares[0], best * shares[1], high * shares[2], shares[1]
    )


def kitchen_minutes(minutes: float) -> float:
    """Minutes as a timer is set: whole to 20, fives to 90, half hours beyond.

    Parameters
    ----------
    minutes : float
        As worked out.

    Returns
    -------
    float
        Minutes, at least 1.
    """
    step = 1.0 if minutes < 20 else 5.0 if minutes < 90 else 30.0
    return max(1.0, round(minutes / step) * step)


def middle_minutes(form: Form) -> float:
    """Middle of the form's usual time, minutes (20 where the table has none)."""
    if form.minutes_low and form.minutes_high:
        return math.sqrt(form.minutes_low * form.minutes_high)
    return 20.0


def _dissolved(catalog: Catalog, ax: Axis, mg_per_kg_syrup: Array, fat: float) -> Array:
    """Share of each compound that dissolves in the syrup rather than staying in the oil.

    ``fat`` is the fixed oil of the solid, kg per kg of syrup; the volatile oil is in the amounts.
    """
    oil_share = float(mg_per_kg_syrup.sum()) * 1e-6 + fat
    log_p = np.array([c.log_p if c.log_p is not None else 2.5 for c in catalog.compounds.values()])
    return np.asarray(1.0 / (1.0 + 10.0**log_p * oil_share))


def mouth_release(catalog: Catalog, drink_temperature_c: float) -> Array:
    """How much more aroma leaves a drink in the mouth than at body warmth.

    Parameters
    ----------
    catalog : Catalog
    drink_temperature_c : float
        Degrees C.

    Returns
    -------
    (n_compounds,) array
        Ratio to a drink at 37 C, from the Henry constants at the mean of drink and mouth
        temperature (an estimate: a sip warms or cools about half way).
    """
    _, slope = _henry_25c(catalog)
    mean_k = (drink_temperature_c + MOUTH_TEMPERATURE_C) / 2.0 + 273.15
    return np.asarray(np.exp(slope * (1.0 / (MOUTH_TEMPERATURE_C + 273.15) - 1.0 / mean_k)))
