"""Physical properties of sugar solutions, each from one published equation.

Every function takes floats or numpy arrays, broadcasts, and refuses values outside the range
its equation was published for with one line that says so. Degrees Brix (``brix``) are grams of
dissolved sucrose in 100 g of solution, temperatures are in degrees Celsius.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pairing.errors import PairingError

__all__ = [
    "boiling_point",
    "brix_from_refractive_index",
    "density",
    "freezing_point",
    "heat_capacity",
    "inversion_fraction",
    "refractive_index",
    "refractometer_correction",
    "solubility",
    "supersaturation",
    "viscosity",
    "water_activity",
    "water_activity_of_mixture",
    "water_density",
]

Array = NDArray[np.float64]
N = TypeVar("N", bound=float | Array)

MOLAR_MASS_WATER = 18.015  # g/mol, CRC Handbook
MOLAR_MASS_SUCROSE = 342.30  # g/mol, CRC Handbook
MOLAR_MASS_HEXOSE = 180.16  # g/mol, glucose and fructose, CRC Handbook
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
ZERO_C = 273.15  # K

# Kell (1975), J. Chem. Eng. Data 20, 97-105: density of water, kg/m3, temperature in C.
_KELL = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
_KELL_DENOMINATOR = 16.887236e-3

# Emmerich in ICUMSA SPS-4 (1998): row = power of (t - 20)/100, column = power of w from 1.
_SPS4 = np.array(
    [
        [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890],
        [-46.2720, -7.1720, 1.1597, 5.1126, 17.5254, 0.0],
        [59.7712, 7.2491, 12.3630, -35.4791, 0.0, 0.0],
        [-47.2207, -21.6977, 27.6301, 0.0, 0.0, 0.0],
        [18.3184, 12.3081, 0.0, 0.0, 0.0, 0.0],
    ]
)

# Own least-squares quartic through 19 points of the ICUMSA (1974) table of the refractive index
# of sucrose at 20 C and 589 nm, 0-85 Brix; residual under 1.5e-5.
_INDEX = (1.33298093, 1.43125745e-3, 5.09713621e-6, 2.54449181e-8, -5.91129489e-11)

# Inverse quintic of the sugar trade for the same table, recalled; polished by one Newton step.
_BRIX = (-99127.4536, 318417.95, -413145.80, 270177.93, -88885.21, 11758.74)

# Own fit to the international temperature correction table (1936, as in NBS Circular C440) above
# 20 C and to Table I of OIV-MA-AS2-02 below it: (t - 20) (a0 + a1 B + a2 B2) +
# (t - 20)^2 (b0 + b1 B + b2 B2), residual under 0.02 Brix.
_CORRECTION_LINEAR = (6.195736e-2, 5.153615e-4, -4.096250e-6)
_CORRECTION_SQUARE = (1.033411e-3, -2.639286e-5, 2.304139e-7)

# Starzak and Peacock (1997), Zuckerindustrie 122, 380-387.
_STARZAK_Q, _STARZAK_A, _STARZAK_B = -17638.0, -1.0038, -0.24653

# Norrish constants, natural-log form: Chirife et al. (1980), J. Food Technol. 15, 59-70
# (recalled). Sucrose itself follows Starzak and Peacock. Value: (K, molar mass g/mol).
SOLUTES: dict[str, tuple[float, float]] = {
    "glucose": (2.25, MOLAR_MASS_HEXOSE),
    "fructose": (2.25, MOLAR_MASS_HEXOSE),
    "maltose": (4.54, MOLAR_MASS_SUCROSE),
    "lactose": (10.2, MOLAR_MASS_SUCROSE),
    "glycerol": (1.16, 92.09),
    "sorbitol": (1.65, 182.17),
    "xylitol": (1.66, 152.15),
    "erythritol": (1.34, 122.12),
    "citric-acid": (6.2, 192.12),
}

# IAPWS-IF97 (2007), region 4: saturation line, backward equation T(p).
_IF97 = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def _checked(what: str, value: ArrayLike, low: float, high: float, unit: str, of: str) -> Array:
    """Return `value` as float64 after refusing what lies outside [low, high] or is not finite."""
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise PairingError(f"{what} must be a number, got {value!r:.40}") from None
    if array.size == 0:
        return array
    smallest, largest = float(array.min()), float(array.max())
    if not (smallest >= low and largest <= high):
        bad = largest if largest > high else smallest
        raise PairingError(f"{what} {bad:g} {unit} is outside {low:g} to {high:g} {unit} ({of})")
    return array


def water_density(temperature_c: N) -> N:
    """Return the density of air-free water at 101.325 kPa.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C], 0 to 100.

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    PairingError
        Outside 0 to 100 °C.

    References
    ----------
    Kell (1975), J. Chem. Eng. Data 20, 97-105.
    """
    t = _checked("temperature", temperature_c, 0, 100, "°C", "Kell 1975")
    a = _KELL
    top = a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * (a[4] + t * a[5]))))
    return cast("N", top / (1.0 + _KELL_DENOMINATOR * t))


def density(brix: N, temperature_c: ArrayLike = 20.0) -> N:
    """Return the density of a sucrose solution.

    Parameters
    ----------
    brix : float or array
        Dissolved sucrose [% w/w], 0 to 100.
    temperature_c : float or array
        Temperature [°C], 0 to 100 (fitted 0 to 80).

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    rho(w, t) = rho_water(t) + sum_i tau^i sum_j c_ij w^j with w = brix/100, tau = (t - 20)/100.
    Above 45 °Bx this is 0.1 to 0.3 kg/m3 higher than tables on the older Plato scale. Invert
    sugar is 0.3 to 0.5 % lighter at 60 to 70 °Bx.

    References
    ----------
    ICUMSA Methods Book, SPS-4 (1998), equation of Emmerich; water after Kell (1975).
    """
    w = _checked("strength", brix, 0, 100, "°Bx", "ICUMSA SPS-4") / 100.0
    t = _checked("temperature", temperature_c, 0, 100, "°C", "ICUMSA SPS-4")
    tau = (t - 20.0) / 100.0
    total = np.zeros(np.broadcast_shapes(w.shape, tau.shape))
    for column in _SPS4.T[::-1]:
        count = np.flatnonzero(column)[-1] + 1
        slope = np.full_like(tau, column[count - 1])
        for coefficient in column[count - 2 :: -1] if count > 1 else ():
            slope *= tau
            slope += coefficient
        total += slope
        total *= w
    return cast("N", total + water_density(t))


def refractometer_correction(reading: N, temperature_c: ArrayLike) -> N:
    """Return what to add to a refractometer reading taken away from 20 °C.

    Parameters
    ----------
    reading : float or array
        Reading of an instrument with the 20 °C sucrose scale [°Bx], 0 to 85.
    temperature_c : float or array
        Sample temperature [°C], 10 to 30.

    Returns
    -------
    float or array
        Correction to add [°Bx], zero at 20 °C.

    Raises
    ------
    PairingError
        Outside the ranges above.

    References
    ----------
    International temperature correction table (1936), in NBS Circular C440 (1942); below 20 °C
    OIV-MA-AS2-02, Table I. Own fit within 0.02 °Bx of both.
    """
    b = _checked("reading", reading, -2, 85, "°Bx", "temperature correction table")
    t = _checked("temperature", temperature_c, 10, 30, "°C", "temperature correction table")
    d, p, q = t - 20.0, _CORRECTION_LINEAR, _CORRECTION_SQUARE
    return cast("N", d * (p[0] + b * (p[1] + b * p[2])) + d * d * (q[0] + b * (q[1] + b * q[2])))


def refractive_index(brix: N, temperature_c: ArrayLike = 20.0) -> N:
    """Return the refractive index of a sucrose solution at 589 nm.

    Parameters
    ----------
    brix : float or array
        Dissolved sucrose [% w/w], 0 to 85.
    temperature_c : float or array
        Temperature [°C], 10 to 30; away from 20 °C through `refractometer_correction`.

    Returns
    -------
    float or array
        Refractive index [-].

    Raises
    ------
    PairingError
        Outside the ranges above.

    References
    ----------
    Own quartic (residual under 1.5e-5) to the ICUMSA (1974) table, 20 °C.
    """
    b = _checked("strength", brix, 0, 85, "°Bx", "ICUMSA refractive index table")
    t = np.asarray(temperature_c, dtype=np.float64)
    if np.any(t != 20.0):
        once = b - refractometer_correction(b, t)
        b = b - refractometer_correction(once, t)
    a = _INDEX
    return cast("N", a[0] + b * (a[1] + b * (a[2] + b * (a[3] + b * a[4]))))


def brix_from_refractive_index(index: N) -> N:
    """Return the sucrose strength that has a refractive index at 20 °C.

    Parameters
    ----------
    index : float or array
        Refractive index at 20 °C, 589 nm [-], 1.3325 to 1.5041.

    Returns
    -------
    float or array
        Sucrose [% w/w]; the exact inverse of `refractive_index` at 20 °C within 0.001.

    Raises
    ------
    PairingError
        Outside the range above.

    References
    ----------
    ICUMSA (1974) table; quintic of the sugar trade, then one Newton step on the quartic.
    """
    n = _checked("refractive index", index, 1.3325, 1.5041, "", "ICUMSA table, 0 to 85 °Bx")
    c, a = _BRIX, _INDEX
    b = c[0] + n * (c[1] + n * (c[2] + n * (c[3] + n * (c[4] + n * c[5]))))
    excess = a[0] + b * (a[1] + b * (a[2] + b * (a[3] + b * a[4]))) - n
    slope = a[1] + b * (2 * a[2] + b * (3 * a[3] + b * 4 * a[4]))
    return cast("N", b - excess / slope)


def viscosity(brix: N, temperature_c: ArrayLike = 20.0, purity: ArrayLike = 1.0) -> N:
    """Return the dynamic viscosity of a sugar solution.

    Parameters
    ----------
    brix : float or array
        Dissolved solids [% w/w], 0 to 75.
    temperature_c : float or array
        Temperature [°C], 0 to 80.
    purity : float or array
        Sucrose share of the dissolved solids, 0 to 1 (Bubnik et al. 1995).

    Returns
    -------
    float or array
        Viscosity [mPa s]; within 4 % at 20 to 60 °C, 12 % in the refrigerator.

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    N = B/(1900 - 18 B), phi = (30 - t)/(91 + t),
    log10 mu = 22.46 N - 0.114 + phi (1.1 + 43.1 N^1.25).

    References
    ----------
    Genotelle (1978), Ind. Aliment. Agric. 95, 747-755, as in Mathlouthi and Reiser (1995),
    Sucrose: Properties and Applications, eq. 6.29; purity after Bubnik et al. (1995).
    """
    b = _checked("strength", brix, 0, 75, "°Bx", "Genotelle 1978")
    t = _checked("temperature", temperature_c, 0, 80, "°C", "Genotelle 1978")
    q = _checked("purity", purity, 0, 1, "", "share of the dissolved solids")
    b = b * (0.962 + 0.038 * q)
    n = b / (1900.0 - 18.0 * b)
    phi = (30.0 - t) / (91.0 + t)
    steep = 43.1 * (0.85 + 0.15 * q)
    log10 = 22.46 * n - 0.114 + phi * (1.1 + steep * n * np.sqrt(np.sqrt(n)))
    return cast("N", np.exp(np.log(10.0) * log10))


def solubility(temperature_c: N) -> N:
    """Return the solubility of pure sucrose in water.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C], -13 to 100.

    Returns
    -------
    float or array
        Sucrose in the saturated solution [% w/w].

    Raises
    ------
    PairingError
        Outside the range above.

    Notes
    -----
    Follows the Vavrinecz series, which ICUMSA adopted; the older Herzfeld series is 0.3 to 0.4
    points higher at 10 to 40 °C.

    References
    ----------
    Vavrinecz (1962), Z. Zuckerind. 12, 481-487; ICUMSA SPS-2 (1998).
    """
    t = _checked("temperature", temperature_c, -13, 100, "°C", "Vavrinecz 1962")
    return cast("N", 64.447 + t * (0.08222 + t * (1.6169e-3 + t * (-1.558e-6 - t * 4.63e-8))))


def supersaturation(
    sucrose_g: N, water_g: ArrayLike, temperature_c: ArrayLike, other_solids_g: ArrayLike = 0.0
) -> N:
    """Return the sucrose : water ratio of a solution over that of the saturated solution.

    Parameters
    ----------
    sucrose_g : float or array
        Dissolved sucrose [g], 0 or more.
    water_g : float or array
        Water [g], above zero.
    temperature_c : float or array
        Temperature [°C], -13 to 100.
    other_solids_g : float or array
        Other dissolved solids, such as invert sugar [g].

    Returns
    -------
    float or array
        Supersaturation [-]; 1 is saturated, above it crystals can grow.

    Raises
    ------
    PairingError
        Negative grams, no water, or a temperature outside the range.

    Notes
    -----
    Other solids I in water W lower the saturated ratio by the factor 1 - 0.088 I/W (linear
    ICUMSA coefficient for cane liquors), used to I/W = 3 and held there beyond it.
    """
    sucrose = _checked("sucrose", sucrose_g, 0, np.inf, "g", "solution")
    water = _checked("water", water_g, 1e-9, np.inf, "g", "solution")
    other = _checked("other solids", other_solids_g, 0, np.inf, "g", "solution")
    saturated = np.asarray(solubility(np.asarray(temperature_c, dtype=np.float64)))
    ratio = saturated / (100.0 - saturated) * (1.0 - 0.088 * np.minimum(other / water, 3.0))
    return cast("N", sucrose / water / ratio)


def _sucrose_k(mole_fraction: Array, kelvin: Array) -> Array:
    """Norrish constant of sucrose that reproduces Starzak and Peacock at a mole fraction."""
    x = mole_fraction
    return -_STARZAK_Q / (GAS_CONSTANT * kelvin) * (1.0 + x * (_STARZAK_A + x * _STARZAK_B))


def water_activity(
    brix: N,
    temperature_c: ArrayLike = 25.0,
    glucose_share: ArrayLike = 0.0,
    fructose_share: ArrayLike = 0.0,
) -> N:
    """Return the water activity of a solution of sucrose, glucose and fructose.

    Parameters
    ----------
    brix : float or array
        All dissolved sugar [% w/w], 0 to 90.
    temperature_c : float or array
        Temperature [°C], 0 to 130.
    glucose_share, fructose_share : float or array
        Mass share of the sugar that is glucose, fructose; the rest is sucrose.

    Returns
    -------
    float or array
        Water activity [-].

    Raises
    ------
    PairingError
        Outside the ranges above, or shares that add up to more than 1.

    Notes
    -----
    Sucrose: ln gamma_w = (Q/RT) x^2 (1 + a x + b x^2). Mixtures: ln a_w = ln X_w -
    (sum_i sqrt(K_i) X_i)^2 with the sucrose constant taken from the first equation, so that the
    mixture turns into it without a step.

    References
    ----------
    Starzak and Peacock (1997), Zuckerindustrie 122, 380-387; Norrish (1966), J. Food Technol.
    1, 25-39, constants of Chirife et al. (1980).
    """
    b = _checked("strength", brix, 0, 90, "°Bx", "Starzak and Peacock 1997")
    t = _checked("temperature", temperature_c, 0, 130, "°C", "Starzak and Peacock 1997")
    g = _checked("glucose share", glucose_share, 0, 1, "", "share of the sugar")
    f = _checked("fructose share", fructose_share, 0, 1, "", "share of the sugar")
    simple = g + f
    if np.any(simple > 1.0 + 1e-9):
        raise PairingError("glucose and fructose shares add up to more than 1 of the sugar")
    sucrose = b * (1.0 - simple) / MOLAR_MASS_SUCROSE
    total = (100.0 - b) / MOLAR_MASS_WATER + sucrose
    if not np.any(simple):
        x = sucrose / total
        return cast("N", (1.0 - x) * np.exp(-_sucrose_k(x, t + ZERO_C) * x * x))
    hexose = b * simple / MOLAR_MASS_HEXOSE
    total = total + hexose
    xs, xh = sucrose / total, hexose / total
    pull = np.sqrt(_sucrose_k(xs + xh, t + ZERO_C)) * xs + np.sqrt(SOLUTES["glucose"][0]) * xh
    return cast("N", (1.0 - xs - xh) * np.exp(-pull * pull))


def water_activity_of_mixture(
    water_g: float, solutes_g: Mapping[str, float], temperature_c: float = 25.0
) -> float:
    """Return the water activity of a mixture given in grams.

    Parameters
    ----------
    water_g : float
        Water [g], above zero.
    solutes_g : mapping of str to float
        Grams of ``sucrose`` and of any key of `SOLUTES`.
    temperature_c : float
        Temperature [°C], 0 to 130.

    Returns
    -------
    float
        Water activity [-], by the mixing rule of `water_activity`.

    Raises
    ------
    PairingError
        Unknown solute, negative grams or no water.
    """
    if not water_g > 0:
        raise PairingError(f"a water activity needs water above 0 g, got {water_g:g} g")
    kelvin = float(_checked("temperature", temperature_c, 0, 130, "°C", "water activity")) + ZERO_C
    moles = {"water": water_g / MOLAR_MASS_WATER}
    for name, grams in solutes_g.items():
        if name != "sucrose" and name not in SOLUTES:
            known = ", ".join(["sucrose", *SOLUTES])
            raise PairingError(f"no water activity constant for {name!r}; known: {known}")
        if not grams >= 0:
            raise PairingError(f"grams of {name} must be 0 or more, got {grams:g}")
        mass = MOLAR_MASS_SUCROSE if name == "sucrose" else SOLUTES[name][1]
        moles[name] = grams / mass
    total = sum(moles.values())
    x_solute = 1.0 - moles["water"] / total
    k_sucrose = float(_sucrose_k(np.asarray(x_solute), np.asarray(kelvin)))
    pull = sum(
        (max(k_sucrose, 0.0) if name == "sucrose" else SOLUTES[name][0]) ** 0.5 * n / total
        for name, n in moles.items()
        if name != "water"
    )
    return float((moles["water"] / total) * np.exp(-(pull**2)))


def _saturation_temperature(pressure_kpa: Array) -> Array:
    """Boiling point of water [K] at a pressure [kPa], IAPWS-IF97 region 4 backward equation."""
    n = _IF97
    beta = np.sqrt(np.sqrt(pressure_kpa / 1000.0))
    e = beta * (beta + n[2]) + n[5]
    f = beta * (n[0] * beta + n[3]) + n[6]
    g = beta * (n[1] * beta + n[4]) + n[7]
    d = 2.0 * g / (-f - np.sqrt(f * f - 4.0 * e * g))
    s = n[9] + d
    return 0.5 * (s - np.sqrt(s * s - 4.0 * (n[8] + n[9] * d)))


def boiling_point(brix: N, pressure_kpa: ArrayLike = 101.325) -> N:
    """Return the boiling point of a sucrose solution.

    Parameters
    ----------
    brix : float or array
        Dissolved sucrose [% w/w], 0 to 85.
    pressure_kpa : float or array
        Air pressure [kPa], 50 to 110 (about 5500 m above sea level to below it).

    Returns
    -------
    float or array
        Boiling point [°C].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    Solves p_sat(t) a_w(brix, t) = p with `water_activity`. Published tables fall in two
    families: this follows the thermodynamic one (60 °Bx 102.9 °C, 70 °Bx 105.0 °C), because it
    agrees with measured water activity; the confectioners' series (Browne) reads 0.2 to 0.4 °C
    higher to 50 °Bx, the same at 60 and 1.5 °C higher at 70. Below 60 °Bx temperature is a poor
    end point: weigh the pan.

    References
    ----------
    Starzak and Peacock (1997), Zuckerindustrie 122, 380-387; IAPWS-IF97 (2007) saturation line.
    """
    b = _checked("strength", brix, 0, 85, "°Bx", "Starzak and Peacock 1997")
    p = _checked("air pressure", pressure_kpa, 50, 110, "kPa", "boiling point")
    sucrose = b / MOLAR_MASS_SUCROSE
    x = sucrose / (sucrose + (100.0 - b) / MOLAR_MASS_WATER)
    pull = _sucrose_k(x, np.ones(())) * x * x  # times 1/T
    ideal = p / (1.0 - x)
    kelvin: Array = np.asarray(376.0)
    for _ in range(3):  # the activity coefficient hardly moves with T: error / 100 each round
        kelvin = _saturation_temperature(ideal * np.exp(pull / kelvin))
    return cast("N", kelvin - ZERO_C)


def freezing_point(brix: N) -> N:
    """Return the temperature at which ice starts to form in a sucrose solution.

    Parameters
    ----------
    brix : float or array
        Dissolved sucrose [% w/w], 0 to 62 (the eutectic is near 62 °Bx, -14 °C).

    Returns
    -------
    float or array
        Freezing point [°C], zero or below.

    Raises
    ------
    PairingError
        Outside the range above.

    Notes
    -----
    ln a_w = -9.6934e-3 d - 4.761e-6 d^2 with d the depression, a_w from `water_activity` at 0 °C.

    References
    ----------
    Ferro Fontan and Chirife (1981), J. Food Technol. 16, 21-30.
    """
    b = _checked("strength", brix, 0, 62, "°Bx", "above it sugar, not ice, separates")
    log_a = np.log(water_activity(b, 0.0))
    first, second = 9.6934e-3, 4.761e-6
    root = np.sqrt(first * first - 4.0 * second * log_a)
    return cast("N", -(root - first) / (2.0 * second))


def heat_capacity(brix: N, temperature_c: ArrayLike = 20.0, purity: ArrayLike = 1.0) -> N:
    """Return the specific heat capacity of a sugar solution.

    Parameters
    ----------
    brix : float or array
        Dissolved solids [% w/w], 0 to 90.
    temperature_c : float or array
        Temperature [°C], 0 to 110.
    purity : float or array
        Sucrose share of the dissolved solids, 0 to 1.

    Returns
    -------
    float or array
        Heat capacity [J/(kg K)].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    c_p = 4184 - 2971 w + 460 w q + 7.5 w t.

    References
    ----------
    Bubnik et al. (1995), Sugar Technologists Manual, 8th ed.
    """
    w = _checked("strength", brix, 0, 90, "°Bx", "Bubnik 1995") / 100.0
    t = _checked("temperature", temperature_c, 0, 110, "°C", "Bubnik 1995")
    q = _checked("purity", purity, 0, 1, "", "share of the dissolved solids")
    return cast("N", 4184.0 + w * (-2971.0 + 460.0 * q + 7.5 * t))


def inversion_fraction(
    ph: N, temperature_c: ArrayLike, minutes: ArrayLike, brix: ArrayLike = 50.0
) -> N:
    """Return the share of the sucrose that acid and heat split into glucose and fructose.

    Parameters
    ----------
    ph : float or array
        pH at the working temperature, 2 to 8 (fitted 4 to 8; below that extrapolated).
    temperature_c : float or array
        Temperature [°C], 0 to 110 (fitted from 60; below that extrapolated).
    minutes : float or array
        Time [min], 0 to 10 years.
    brix : float or array
        Strength [% w/w], 0 to 85.

    Returns
    -------
    float or array
        Fraction of the sucrose inverted [-].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    First order, k [1/min] = 8.12831e16 c_w exp(-13055.7/T - 2.302585 pH), c_w the water in
    g/ml of solution. Enzymes (invertase in raw honey or fruit) are not counted.

    References
    ----------
    Vukov (1965), Int. Sugar J. 67, 172-175, as printed in Rein (2012), Cane Sugar Engineering.
    """
    acidity = _checked("pH", ph, 2, 8, "", "Vukov 1965")
    t = _checked("temperature", temperature_c, 0, 110, "°C", "Vukov 1965")
    time = _checked("time", minutes, 0, 5.26e6, "min", "ten years")
    b = _checked("strength", brix, 0, 85, "°Bx", "Vukov 1965")
    water = (1.0 - b / 100.0) * density(b, np.minimum(t, 100.0)) / 1000.0
    rate = 8.12831e16 * water * np.exp(-13055.7 / (t + ZERO_C) - np.log(10.0) * acidity)
    return cast("N", -np.expm1(-rate * time))
