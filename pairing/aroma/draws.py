"""Monte-Carlo draws of aroma over concentration and threshold ranges; seeded and vectorised.

Each concentration and each threshold is drawn log-uniformly between the lowest and the highest
published value: between sources that disagree nothing says which is nearer. A threshold is
drawn once a draw for all forms, a concentration for each form.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from pairing.aroma.coffee import COFFEE, plain_coffee
from pairing.aroma.odour import Array, Axis, profiles
from pairing.evidence.catalog import Catalog
from pairing.evidence.ranges import FLOOR_OF_HIGH

__all__ = ["aroma_covariance", "draw_aroma"]

Single = npt.NDArray[np.float32]


def draw_thresholds(ax: Axis, draws: int, rng: np.random.Generator) -> Single:
    """Log thresholds, (n_compounds, draws), natural log of ug/l; +inf where silent."""
    known = ~np.isnan(ax.threshold_best)
    low = np.log(ax.threshold_low[known])[:, None]
    width = np.log(ax.threshold_high[known])[:, None] - low
    out = np.full((len(ax.compounds), draws), np.inf, dtype=np.float32)
    out[known] = low + width * rng.random((int(known.sum()), draws), dtype=np.float32)
    return out


def draw_aroma(
    low: Array,
    high: Array,
    ax: Axis,
    log_thresholds: Single,
    rng: np.random.Generator,
    unit_length: bool = True,
) -> Single:
    """Draws of group loudness of several forms.

    Parameters
    ----------
    low, high : (n_forms, n_compounds) arrays
        Ends of the concentration ranges, mg/l in the drink; zero where absent.
    ax : Axis
    log_thresholds : (n_compounds, draws) array
        As from :func:`draw_thresholds`.
    rng : numpy Generator
    unit_length : bool
        Scale each profile to length one, as the model wants it.

    Returns
    -------
    (n_forms, n_groups, draws) float32 array
    """
    draws = log_thresholds.shape[1]
    audible = (high > 0) & np.isfinite(log_thresholds[:, 0])[None, :]
    form, compound = np.nonzero(audible)
    order = np.lexsort((ax.group_of[compound], form))
    form, compound = form[order], compound[order]
    top = np.log(1e3 * high[form, compound])  # ug/l
    bottom = np.log(1e3 * np.maximum(low, FLOOR_OF_HIGH * (low <= 0) * high)[form, compound])
    oav = rng.random((len(form), draws), dtype=np.float32)
    oav *= (top - bottom)[:, None].astype(np.float32)
    oav += bottom[:, None].astype(np.float32)
    # what exceeds its solubility stays oil and adds nothing to the smell
    np.minimum(oav, np.log(1e3 * ax.solubility[compound])[:, None].astype(np.float32), out=oav)
    oav -= log_thresholds[compound]
    np.exp(oav, out=oav)
    out = np.zeros((len(low), len(ax.groups), draws), dtype=np.float32)
    if len(form):
        cell = form * len(ax.groups) + ax.group_of[compound]
        starts = np.flatnonzero(np.r_[True, np.diff(cell) != 0])
        summed = np.add.reduceat(oav, starts, axis=0)
        out.reshape(-1, draws)[cell[starts]] = np.log1p(summed) / np.float32(np.log(10.0))
    if unit_length:
        length = np.sqrt(np.einsum("fgd,fgd->fd", out, out))
        out /= np.where(length > 0, length, 1.0)[:, None, :]
    return out


def aroma_covariance(
    catalog: Catalog, items: Sequence[tuple[str, ...]], draws: int, seed: int
) -> Array:
    """Covariance of the unit aroma profile of each item over the draws.

    Parameters
    ----------
    catalog : Catalog
    items : sequence of tuple of str
        Form ids of each item (the mean of several is meant), or ``("coffee",)``.
    draws, seed : int

    Returns
    -------
    (n_items, n_groups, n_groups) array
    """
    found = profiles(catalog)
    ax = found.axis
    wanted = tuple(dict.fromkeys(f for forms in items for f in forms))
    low = np.zeros((len(wanted), len(ax.compounds)))
    high = low.copy()
    for i, form_id in enumerate(wanted):
        if form_id == COFFEE:
            cup = plain_coffee(catalog, "filter")
            low[i], high[i] = cup.low / 1e3, cup.high / 1e3
        elif form_id in found.position:
            row = found.position[form_id]
            low[i], high[i] = found.low[row] / 1e3, found.high[row] / 1e3  # 1 g per litre
    rng = np.random.default_rng(seed)
    drawn = draw_aroma(low, high, ax, draw_thresholds(ax, draws, rng), rng)
    at = {f: i for i, f in enumerate(wanted)}
    out = np.empty((len(items), len(ax.groups), len(ax.groups)))
    for i, forms in enumerate(items):
        rows = drawn[at[forms[0]]] if len(forms) == 1 else drawn[[at[f] for f in forms]].mean(0)
        rows = rows - rows.mean(axis=1, keepdims=True)
        out[i] = rows @ rows.T / max(draws - 1, 1)
    return out
