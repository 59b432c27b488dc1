"""Exact search: the best combinations out of millions, by branch and bound.

The score of a combination is what its members are worth, summed, and what its pairs add, summed,
divided by its size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from pairing.aroma.odour import Array

__all__ = ["best_combinations", "merged", "totals"]

Index = npt.NDArray[np.intp]


def totals(single: Array, paired: Array, combos: Index) -> Array:
    """Score of each combination with each coffee.

    Parameters
    ----------
    single : (n_coffees, n) array
        What each candidate is worth with each coffee.
    paired : (n, n) array
        What each pair adds.
    combos : (n_combos, size) int array

    Returns
    -------
    (n_coffees, n_combos) array
    """
    size = combos.shape[1]
    total = single[:, combos].sum(axis=2)
    i, j = np.triu_indices(size, 1)
    return np.asarray((total + paired[combos[:, i], combos[:, j]].sum(axis=1)) / size)


def merged(per_coffee: Array, worst: bool) -> Array:
    """One score a combination: of the worst served coffee, or the mean.

    Parameters
    ----------
    per_coffee : (n_coffees, n_combos) array
    worst : bool

    Returns
    -------
    (n_combos,) array
    """
    return np.asarray(per_coffee.min(axis=0) if worst else per_coffee.mean(axis=0))


def best_combinations(
    single: Array,
    paired: Array,
    owner: Index,
    slots: Sequence[Index],
    fixed: Index,
    keep: int,
    worst: bool = True,
) -> Index:
    """The best combinations, exactly, by branch and bound.

    Parameters
    ----------
    single : (n_coffees, n) array
        Worth of each candidate with each coffee.
    paired : (n, n) array
        What each pair adds.
    owner : (n,) int array
        Candidates with one owner exclude each other.
    slots : sequence of int arrays
        Candidates allowed in each free slot; equal consecutive slots are filled in rising order.
    fixed : int array
        Candidates that are in every combination.
    keep : int
        How many to find.
    worst : bool
        Rank by the worst served coffee, else by the mean.

    Returns
    -------
    (at most keep, size) int array
        Best first; ties by position.
    """
    size = len(fixed) + len(slots)
    share = pair_share = 1.0 / size
    top_pair = float(paired.max()) if paired.size else 0.0

    def grow(parents: Index, slot: int) -> Index:
        allowed = slots[slot]
        children = np.repeat(parents, len(allowed), axis=0)
        added = np.tile(allowed, len(parents))
        good = np.ones(len(added), dtype=bool)
        for column in children.T:
            good &= owner[column] != owner[added]
        if slot and np.array_equal(slots[slot - 1], allowed):
            good &= added > children[:, -1]
        return np.hstack([children[good], added[good, None]])

    def value(combos: Index) -> Array:
        """Score so far on the scale of the full size; exact when complete."""
        out = single[:, combos].sum(axis=2) * share
        i, j = np.triu_indices(combos.shape[1], 1)
        if len(i):
            out = out + paired[combos[:, i], combos[:, j]].sum(axis=1) * pair_share
        return np.asarray(out)

    def bound(combos: Index, slot: int) -> Array:
        """No completion of these can score more."""
        left = len(slots) - slot
        depth = combos.shape[1]
        best = value(combos)
        for allowed in slots[slot:]:
            if depth:
                # u/k + q sum_y p(y, x) is the mean over y of u/k + q d p(y, x): bound each y
                reach = (
                    single[:, None, allowed] * share + pair_share * depth * paired[:, allowed][None]
                ).max(axis=2)
                best = best + reach[:, combos].mean(axis=2)
            else:
                best = best + single[:, allowed].max(axis=1, keepdims=True) * share
        best = best + pair_share * top_pair * (left * (left - 1) / 2)
        return merged(best, worst)

    start = fixed[None, :].astype(np.intp)
    floor = -math.inf
    # a narrow first pass gives a floor that prunes the exact one
    beam = start
    for slot in range(len(slots)):
        beam = grow(beam, slot)
        if not len(beam):
            break
        order = np.argsort(-bound(beam, slot + 1), kind="stable")[: 4 * keep]
        beam = beam[order]
    if len(beam) >= keep and beam.shape[1] == size:
        floor = float(np.sort(merged(value(beam), worst))[-keep])
    parts = [start]
    for slot in range(len(slots)):
        grown = []
        for block in parts:
            for at in range(0, len(block), 2000):
                children = grow(block[at : at + 2000], slot)
                if len(children):
                    grown.append(children[bound(children, slot + 1) >= floor - 1e-9])
        parts = [g for g in grown if len(g)]
    if not parts:
        return np.zeros((0, size), dtype=np.intp)
    found = np.concatenate(parts)
    score = merged(value(found), worst)
    return found[np.argsort(-score, kind="stable")[:keep]]
