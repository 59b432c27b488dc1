"""Aroma: concentration over odour threshold (odour activity value), loudness, aroma groups.

Sources
-------
The odour activity value (OAV) is the concentration of an odorant over its odour threshold
[1]_. Perceived intensity grows far more slowly than concentration (Stevens' power law with an
exponent well below one for odours [2]_); here loudness is ``log10(1 + OAV)``, so that a silent
compound counts nothing and every tenfold counts one.

.. [1] Grosch W. Evaluation of the key odorants of foods by dilution experiments, aroma models
   and omission. Chem. Senses 26, 533-545 (2001). (Definition recalled from memory.)
.. [2] Stevens SS. On the psychophysical law. Psychol. Rev. 64, 153-181 (1957). (From memory.)
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from pairing.aroma.threshold import by_mouth_of, threshold_of
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import UNIT_TO_MG_PER_KG, best_estimate, middle_of
from pairing.evidence.rows import Compound, Content, Form

__all__ = [
    "DRINK_ML",
    "SYRUP_G",
    "Axis",
    "Odour",
    "Profiles",
    "axis",
    "form_odours",
    "group_loudness",
    "loudness",
    "profiles",
]

Array = npt.NDArray[np.float64]

# A reference drink, so that OAVs of ingredients can be compared: common practice, no source.
SYRUP_G = 20.0  # g of syrup in a drink
DRINK_ML = 300.0  # ml of finished iced drink (a 12 fl oz glass with ice)


@dataclass(frozen=True)
class Axis:
    """The compound axis shared by all profiles, with thresholds and groups.

    Attributes
    ----------
    compounds : tuple of str
        Compound ids, n_compounds.
    groups : tuple of str
        Aroma group ids, n_groups.
    group_of : (n_compounds,) int array
        Index of each compound's group.
    threshold_low, threshold_best, threshold_high : (n_compounds,) float arrays
        Odour (or pungency) thresholds in water, ug/l; NaN where none is known (silent).
    glass_low, glass_best, glass_high : (n_compounds,) float arrays
        Thresholds by mouth in a sweet citrus drink, ug/l: retronasal in water where measured
        (else as by nose), times the matrix factor of ``matrix.csv`` where one was measured.
    standing : tuple of str
        What each threshold rests on, as in :class:`Sensed`; empty where silent.
    solubility : (n_compounds,) float array
        Solubility in water, mg/l; infinite where neither it nor log P is known.
    """

    compounds: tuple[str, ...]
    groups: tuple[str, ...]
    group_of: npt.NDArray[np.intp]
    threshold_low: Array
    threshold_best: Array
    threshold_high: Array
    glass_low: Array
    glass_best: Array
    glass_high: Array
    standing: tuple[str, ...]
    solubility: Array

    @cached_property
    def estimated(self) -> npt.NDArray[np.bool_]:
        """(n_compounds,) True where the threshold is a family estimate."""
        return np.array([s == "estimate" for s in self.standing], dtype=bool)

    @cached_property
    def position(self) -> dict[str, int]:
        """Compound id -> index."""
        return {c: i for i, c in enumerate(self.compounds)}

    @cached_property
    def membership(self) -> Array:
        """(n_compounds, n_groups) 0/1 matrix."""
        out = np.zeros((len(self.compounds), len(self.groups)))
        out[np.arange(len(self.compounds)), self.group_of] = 1.0
        return out


def _solubility(compound: Compound) -> float:
    """Solubility in water, mg/l; by log S = 0.5 - log P (mol/l) where it is not tabulated.

    Hansch C, Quinlan JE, Lawrence GL, J. Org. Chem. 33, 347-350 (1968), rounded; from memory.
    """
    if compound.water_solubility_mg_per_l:
        return compound.water_solubility_mg_per_l
    if compound.log_p is None or compound.molar_mass_g_per_mol is None:
        return math.inf
    return float(10.0 ** (0.5 - compound.log_p) * compound.molar_mass_g_per_mol * 1000.0)


@once_per_catalog
def axis(catalog: Catalog) -> Axis:
    """Compound axis of a catalogue (computed once per catalogue).

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Axis
    """
    compounds = tuple(catalog.compounds)
    groups = tuple(catalog.groups)
    group_position = {g: i for i, g in enumerate(groups)}
    nose, glass = np.full((2, 3, len(compounds)), np.nan)
    standing = []
    factors = {
        r.compound_id: (r.ratio_low, r.ratio_best, r.ratio_high) for r in catalog.matrix if r.used
    }
    for i, compound_id in enumerate(compounds):
        rows = catalog.thresholds.get(compound_id, ())
        found = threshold_of(rows)
        tasted = by_mouth_of(rows, factors.get(compound_id, (1.0, 1.0, 1.0)), found)
        standing.append(found.standing if found else "")
        if found is None or tasted is None:
            continue
        nose[:, i] = found.low, found.best, found.high
        glass[:, i] = tasted.low, tasted.best, tasted.high
    return Axis(
        compounds,
        groups,
        np.array([group_position[c.group_id] for c in catalog.compounds.values()], dtype=np.intp),
        nose[0],
        nose[1],
        nose[2],
        glass[0],
        glass[1],
        glass[2],
        tuple(standing),
        np.array([_solubility(c) for c in catalog.compounds.values()]),
    )


@dataclass(frozen=True)
class Profiles:
    """Aroma of several ingredients (in a form) or drinks on one axis.

    Attributes
    ----------
    ids : tuple of str
        Form ids, n_forms.
    kinds : tuple of str
        Ingredient kinds, n_forms.
    axis : Axis
    low, best, high : (n_forms, n_compounds) float arrays
        Concentration in the form as used, mg/kg; zero where no row of data names it.
    """

    ids: tuple[str, ...]
    kinds: tuple[str, ...]
    axis: Axis
    low: Array
    best: Array
    high: Array

    @cached_property
    def position(self) -> dict[str, int]:
        """Form id -> row."""
        return {f: i for i, f in enumerate(self.ids)}

    def oav(self, g_per_l: Array | float = 1.0) -> Array:
        """Odour activity values when ``g_per_l`` of each form is in a drink.

        Parameters
        ----------
        g_per_l : float or (n_forms,) array
            Grams of the form per litre of drink, all of its aroma brought over.

        Returns
        -------
        (n_forms, n_compounds) array
            Dimensionless; zero for compounds without a threshold. What exceeds the solubility in
            water stays oil and adds nothing to the smell above it.
        """
        dose = np.broadcast_to(np.asarray(g_per_l, dtype=float), (len(self.ids),))
        dissolved = np.minimum(self.best * dose[:, None], 1e3 * self.axis.solubility)  # ug/l
        with np.errstate(invalid="ignore"):
            out = dissolved / self.axis.threshold_best
        return np.asarray(np.nan_to_num(out))


@once_per_catalog
def amounts(catalog: Catalog, form: Form) -> dict[str, tuple[float, float, float]]:
    """Compound id -> (low, best, high) in mg per kg of the form."""
    rows_by_material: dict[str, dict[str, list[Content]]] = defaultdict(lambda: defaultdict(list))
    for row in catalog.composition.get(form.ingredient_id, ()):
        rows_by_material[row.material][row.compound_id].append(row)
    total: dict[str, tuple[float, float, float]] = {}
    for part in catalog.form_materials.get(form.form_id, ()):
        share = best_estimate(part.percent_low, part.percent_high) / 100.0
        for compound_id, rows in rows_by_material.get(part.material, {}).items():
            factors = [UNIT_TO_MG_PER_KG[r.unit] for r in rows]
            low = min(r.low * f for r, f in zip(rows, factors, strict=True))
            high = max(r.high * f for r, f in zip(rows, factors, strict=True))
            best = middle_of(rows)
            old = total.get(compound_id, (0.0, 0.0, 0.0))
            total[compound_id] = (
                old[0] + low * part.percent_low / 100.0,
                old[1] + best * share,
                old[2] + high * part.percent_high / 100.0,
            )
    return total


def profiles(catalog: Catalog, form_ids: Iterable[str] | None = None) -> Profiles:
    """Aroma profiles of forms.

    Parameters
    ----------
    catalog : Catalog
    form_ids : iterable of str, optional
        Form ids; all forms that have composition rows when not given (then cached).

    Returns
    -------
    Profiles
    """
    if form_ids is None:
        return _all_profiles(catalog)
    return _profiles_of(catalog, [(f, amounts(catalog, catalog.forms[f])) for f in form_ids])


@once_per_catalog
def _all_profiles(catalog: Catalog) -> Profiles:
    found = [(f, amounts(catalog, form)) for f, form in catalog.forms.items()]
    return _profiles_of(catalog, [(f, content) for f, content in found if content])


def _profiles_of(
    catalog: Catalog, found: Sequence[tuple[str, Mapping[str, tuple[float, float, float]]]]
) -> Profiles:
    ax = axis(catalog)
    ids = tuple(f for f, _ in found)
    low = np.zeros((len(ids), len(ax.compounds)))
    best, high = low.copy(), low.copy()
    for i, (_, content) in enumerate(found):
        for compound_id, (lo, mid, hi) in content.items():
            j = ax.position[compound_id]
            low[i, j], best[i, j], high[i, j] = lo, mid, hi
    kinds = tuple(catalog.kind(catalog.forms[f]) for f in ids)
    return Profiles(ids, kinds, ax, low, best, high)


def loudness(oav: Array) -> Array:
    """Loudness of odour activity values, ``log10(1 + OAV)``; same shape, dimensionless.

    Parameters
    ----------
    oav : array
        Odour activity values, dimensionless.

    Returns
    -------
    array
        Same shape, dimensionless.
    """
    return np.asarray(np.log10(1.0 + oav))


def group_loudness(oav: Array, ax: Axis) -> Array:
    """Loudness of aroma groups: the group's OAVs added, then ``log10(1 + sum)``.

    Parameters
    ----------
    oav : (..., n_compounds) array
    ax : Axis

    Returns
    -------
    (..., n_groups) array
    """
    return loudness(oav @ ax.membership)


def usual_dose(form: Form) -> float | None:
    """Middle of the common-practice dose window, g per kg of finished syrup, if there is one."""
    if form.dose_low_g_per_kg is None or form.dose_high_g_per_kg is None:
        return None
    return math.sqrt(form.dose_low_g_per_kg * form.dose_high_g_per_kg)


@dataclass(frozen=True, slots=True)
class Odour:
    """One odorant of a form, in the form as weighed or in a drink.

    Attributes
    ----------
    compound_id, group_id : str
    mg_per_kg_low, mg_per_kg_high : float
        In the form as weighed.
    oav_low, oav, oav_high : float
        Odour activity values, concentration over threshold; 0 where no threshold is known.
    standing : str
        Of the threshold, see :class:`Axis`.
    source_ids : tuple of str
        Of the amount and of the threshold.
    """

    compound_id: str
    group_id: str
    mg_per_kg_low: float
    mg_per_kg_high: float
    oav_low: float
    oav: float
    oav_high: float
    standing: str
    source_ids: tuple[str, ...]


def cited(catalog: Catalog, form: Form) -> dict[str, tuple[str, ...]]:
    """Source ids behind the amount and the threshold of each compound of a form."""
    sources: dict[str, set[str]] = defaultdict(set)
    for row in catalog.composition.get(form.ingredient_id, ()):
        sources[row.compound_id].add(row.source_id)
    for compound_id, found in sources.items():
        found |= {t.source_id for t in catalog.thresholds.get(compound_id, ())}
    return {c: tuple(sorted(found)) for c, found in sources.items()}


def form_odours(catalog: Catalog, form: Form, g_per_l: float = 1.0) -> tuple[Odour, ...]:
    """Odorants of a form as weighed, loudest first: all of its aroma, by nose, over water.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    g_per_l : float
        Grams of the form per litre of drink, all of its aroma brought over.

    Returns
    -------
    tuple of Odour
        Compounds without a threshold come last with OAV 0.
    """
    ax = axis(catalog)
    sources = cited(catalog, form)
    out = []
    for compound_id, (low, best, high) in amounts(catalog, form).items():
        j = ax.position[compound_id]
        known = not np.isnan(ax.threshold_best[j])
        most = 1e3 * float(ax.solubility[j])  # ug/l: what exceeds it stays oil
        out.append(
            Odour(
                compound_id,
                ax.groups[ax.group_of[j]],
                low,
                high,
                min(low * g_per_l, most) / float(ax.threshold_high[j]) if known else 0.0,
                min(best * g_per_l, most) / float(ax.threshold_best[j]) if known else 0.0,
                min(high * g_per_l, most) / float(ax.threshold_low[j]) if known else 0.0,
                ax.standing[j],
                sources[compound_id],
            )
        )
    return tuple(sorted(out, key=lambda o: (-o.oav, o.compound_id)))


AUDIBLE = 1.0  # OAV: the concentration is at the threshold


def backed(ax: Axis, oav: Array) -> Array:
    """OAVs in which no family estimate leads.

    Where anything known is audible, an estimated odorant counts at most as much as the loudest
    known one of its group. Where nothing is, the estimates are all there is.

    Parameters
    ----------
    ax : Axis
    oav : (n_compounds,) array
    """
    known = np.where(ax.estimated, 0.0, oav)
    if not (known >= AUDIBLE).any():
        return oav
    ceiling = np.zeros(len(ax.groups))
    np.maximum.at(ceiling, ax.group_of, known)
    return np.asarray(np.where(ax.estimated, np.minimum(oav, ceiling[ax.group_of]), oav))


def leading_groups(ax: Axis, oav: Array, count: int = 3) -> list[tuple[str, float]]:
    """Loudest aroma groups of one profile, ``(group_id, loudness)``, loudest first."""
    loud = group_loudness(backed(ax, np.asarray(oav))[None, :], ax)[0]
    order: Sequence[int] = np.argsort(-loud).tolist()
    return [(ax.groups[i], float(loud[i])) for i in order[:count] if loud[i] > 0]
