"""Score many blends at once: the total that ranks, and the three things it is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
import numpy.typing as npt

from pairing.affinity.pool import counted_style, gather
from pairing.affinity.search import names_no_form
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array
from pairing.errors import PairingError, RefusedError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.safety.plants import is_refused, refusal

__all__ = ["MOST_PARTNERS", "Scores", "score_blends"]

MOST_PARTNERS = 4


@dataclass(frozen=True)
class Scores:
    """Columns of (n_blends,) arrays; NaN where a name is unknown or a blend is empty.

    Attributes
    ----------
    score : array
        Sum of the other three: natural log units a partner; it ranks blends of one size.
    practice, this_coffee, together : arrays
        ``this_coffee`` is 0 for a plain coffee.
    stop : tuple of str
        Why a blend must not be served; empty where nothing is known against it.
    unknown : tuple of str
        Names that were not understood, each once.
    """

    score: Array
    practice: Array
    this_coffee: Array
    together: Array
    stop: tuple[str, ...]
    unknown: tuple[str, ...]


def score_blends(
    catalog: Catalog,
    blends: Sequence[Sequence[str]],
    base: CoffeeBase,
    style: str = "",
) -> Scores:
    """Score blends of one to four ingredients with a coffee.

    Parameters
    ----------
    catalog : Catalog
    blends : sequence of sequences of str
        Ids, names or aliases; empty names are left out.
    base : CoffeeBase
    style : str
        Style of the drink; any with an empty one.

    Returns
    -------
    Scores

    Raises
    ------
    PairingError
        For an unknown style or a blend of more than four.
    """
    counted_style(catalog, style)  # refuses an unknown one
    width = max((len(b) for b in blends), default=0)
    if width > MOST_PARTNERS:
        raise PairingError(f"a blend of {width}; give 1 to {MOST_PARTNERS} partners")
    columns = list(zip_longest(*blends, fillvalue="")) or [()]
    said = dict.fromkeys(name for column in columns for name in set(column))
    names = {name: k for k, name in enumerate(n for n in said if n.strip())}
    at = np.array([[names.get(n, -1) for n in column] for column in columns], dtype=np.intp).T
    found, unknown, refused = _resolved(catalog, list(names))
    parts = _parts(catalog, found, base, style)
    held = at >= 0
    count = held.sum(axis=1)
    bad = np.array([f is None for f in found], dtype=bool)
    useless = (count == 0) | (held & bad[at]).any(axis=1) if len(found) else count == 0
    size = np.maximum(count, 1)
    usual = np.where(held, parts[0][at], 0.0).sum(axis=1) / size
    moved = np.where(held, parts[1][at], 0.0).sum(axis=1) / size
    pairs = np.zeros(len(blends))
    for i in range(at.shape[1]):
        for j in range(i + 1, at.shape[1]):
            both = held[:, i] & held[:, j]
            pairs += np.where(both, parts[2][at[:, i], at[:, j]], 0.0)
    pairs /= size
    for column in (usual, moved, pairs):
        column[useless] = np.nan
    stops = _stops(catalog, found, refused)
    lines = [
        "; ".join(dict.fromkeys(stops[k] for k in row if k >= 0 and stops[k])) if any_ else ""
        for row, any_ in zip(at.tolist(), _any_stop(at, held, stops).tolist(), strict=True)
    ]
    return Scores(usual + moved + pairs, usual, moved, pairs, tuple(lines), tuple(unknown))


def _any_stop(at: npt.NDArray[np.intp], held: npt.NDArray[np.bool_], stops: list[str]) -> Array:
    if not stops:
        return np.zeros(len(at), dtype=bool)
    bad = np.array([bool(s) for s in stops])
    return np.asarray((held & bad[at]).any(axis=1))


def _resolved(
    catalog: Catalog, names: Sequence[str]
) -> tuple[list[tuple[str, str | None] | None], list[str], dict[int, str]]:
    """Each name's ingredient and, where it says one, form; names not understood; and poisons."""
    out: list[tuple[str, str | None] | None] = []
    unknown, refused = [], {}
    for name in names:
        try:
            form = catalog.form(name)
        except UnknownNameError as err:
            if isinstance(err, RefusedError):
                refused[len(out)] = str(err).removeprefix("STOP: ")
            out.append(None)
            unknown.append(name)
            continue
        plain = form.is_default and names_no_form(catalog, name)
        out.append((form.ingredient_id, None if plain else form.form_id))
    return out, unknown, refused


def _parts(
    catalog: Catalog,
    found: Sequence[tuple[str, str | None] | None],
    base: CoffeeBase,
    style: str,
) -> tuple[Array, Array, Array]:
    """Practice, this coffee and together by place in the list of names."""
    known = [(k, f) for k, f in enumerate(found) if f is not None]
    n = max(len(found), 1)
    usual, moved, pairs = np.zeros(n), np.zeros(n), np.zeros((n, n))
    # a name with a form and the same one without it are two rows of the pool
    for form_id in dict.fromkeys(f[1] for _, f in known):
        rows = [(k, f[0]) for k, f in known if f[1] == form_id]
        forms = {i: form_id for _, i in rows} if form_id else {}
        pool = gather(catalog, [base], [i for _, i in rows], style, forms=forms)
        at = [k for k, _ in rows]
        usual[at], moved[at] = pool.practice, pool.this_coffee[0]
    if known:
        together = gather(catalog, [base], [f[0] for _, f in known], style).together
        at = [k for k, _ in known]
        pairs[np.ix_(at, at)] = together
    return usual, moved, pairs


def _stops(
    catalog: Catalog, found: Sequence[tuple[str, str | None] | None], refused: Mapping[int, str]
) -> list[str]:
    """Why each named ingredient must not be served; empty where nothing is known against it."""
    return [
        refusal(catalog, f[0])
        if f is not None and is_refused(catalog, f[0])
        else refused.get(k, "")
        for k, f in enumerate(found)
    ]
