"""A map of what smells alike: places in two dimensions from the likeness of every two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pairing.aroma.graph import AromaGraph
from pairing.aroma.odour import Array
from pairing.errors import PairingError

__all__ = ["Nearby", "nearby", "placed"]

ROUNDS = 200
MOST_LINKS = 2  # each is joined to the two most alike: more lines do not read


@dataclass(frozen=True, slots=True)
class Nearby:
    """Places of ingredients on a map.

    Attributes
    ----------
    ids, names : tuple of str
        The asked one first.
    xy : Array
        Places, shape (n, 2); distances are those of the aroma, as far as a plane can hold them.
    links : tuple of (int, int, float)
        Each with the two most alike of the others, and how much (cosine, 0 to 1).
    stress : float
        Kruskal's stress-1, 0 (every distance is kept) to 1.
    """

    ids: tuple[str, ...]
    names: tuple[str, ...]
    xy: Array
    links: tuple[tuple[int, int, float], ...]
    stress: float


def nearby(graph: AromaGraph, name: str, others: Sequence[str]) -> Nearby:
    """A map of an ingredient and others.

    Parameters
    ----------
    graph : AromaGraph
    name : str
        Id or name of the ingredient in the middle of the question.
    others : sequence of str
        Ids, such as the first of :meth:`pairing.aroma.graph.AromaGraph.similar`.

    Returns
    -------
    Nearby

    Raises
    ------
    PairingError
        For no other ingredient, and names nobody knows.
    """
    if not others:
        raise PairingError("a map needs at least two ingredients")
    rows = [graph.find(n) for n in (name, *others)]
    alike = np.clip(graph.unit[rows] @ graph.unit[rows].T, 0.0, 1.0)
    away = np.sqrt(2.0 - 2.0 * alike)  # chord between unit vectors
    np.fill_diagonal(away, 0.0)
    xy, stress = placed(away)
    others_of = alike - 2.0 * np.eye(len(rows))
    joined = {
        (max(i, int(j)), min(i, int(j)))
        for i in range(len(rows))
        for j in np.argsort(-others_of[i], kind="stable")[: min(MOST_LINKS, len(rows) - 1)]
    }
    links = [(i, j, float(alike[i, j])) for i, j in sorted(joined)]
    return Nearby(
        tuple(graph.ingredient_ids[r] for r in rows),
        tuple(graph.ingredient_names[r] for r in rows),
        xy,
        tuple(links),
        stress,
    )


def placed(away: Array) -> tuple[Array, float]:
    """Points of a plane whose distances are as near to the given as they get.

    Parameters
    ----------
    away : Array
        Distances, shape (n, n), symmetric with zeros on the diagonal.

    Returns
    -------
    tuple of (Array, float)
        Points, shape (n, 2), and Kruskal's stress-1.

    Notes
    -----
    Begins with classical scaling (Torgerson, Psychometrika 17, 1952) and goes on by majorization
    (de Leeuw 1977; Borg and Groenen, Modern Multidimensional Scaling, 2005, chapter 8).
    """
    n = len(away)
    centred = np.eye(n) - 1.0 / n
    values, vectors = np.linalg.eigh(-0.5 * centred @ (away**2) @ centred)
    top = np.argsort(-values, kind="stable")[:2]
    xy = vectors[:, top] * np.sqrt(np.maximum(values[top], 0.0))
    if xy.shape[1] < 2:
        xy = np.hstack([xy, np.zeros((n, 2 - xy.shape[1]))])
    for k in range(2):  # the sign of an eigenvector is arbitrary: the first point left and above
        if xy[0, k] > 0:
            xy[:, k] = -xy[:, k]
    for _ in range(ROUNDS):
        drawn = _distances(xy)
        pull = -np.divide(away, drawn, out=np.zeros_like(away), where=drawn > 1e-12)
        np.fill_diagonal(pull, 0.0)
        np.fill_diagonal(pull, -pull.sum(axis=1))
        xy = pull @ xy / n
    off = float(((_distances(xy) - away) ** 2).sum())
    whole = float((away**2).sum())
    return xy, float(np.sqrt(off / whole)) if whole > 0 else 0.0


def _distances(xy: Array) -> Array:
    apart: Array = np.sqrt(((xy[:, None, :] - xy[None, :, :]) ** 2).sum(axis=2))
    return apart
