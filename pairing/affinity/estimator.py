"""Learning which aroma groups, tastes and kitchens go together: a scikit-learn regressor.

This module imports scikit-learn and is used for fitting and validation only; prediction from
the shipped coefficients is in :mod:`pairing.affinity.model` and needs numpy alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Self

import numpy as np
from sklearn.base import BaseEstimator, RegressorMixin, TransformerMixin
from sklearn.utils.validation import _check_sample_weight, check_is_fitted, validate_data

from pairing.affinity.model import blocks as blocks_of
from pairing.affinity.model import pair_features
from pairing.aroma.odour import Array
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load

__all__ = ["PairAffinity", "PairFeatures", "for_blocks"]

# Chosen once, on a plateau: see "How the model was chosen" in docs/score-card.md.
WITHIN_BLOCK, ACROSS_BLOCKS, ALPHA, PASSES = 0.5, 0.25, 2.0, 2


class PairAffinity(RegressorMixin, BaseEstimator):  # type: ignore[misc]
    r"""Symmetric bilinear ridge on pairs of profiles, shrunk toward likeness.

    Row i of ``X`` is the profile of one partner followed by the profile of the other. The
    prediction is

    .. math:: f(a, b) = [1\ a]^T M [1\ b], \qquad
              M = \mathrm{diag}(\lambda) + W, \qquad W = W^T

    where :math:`\lambda` (one number a block) is fitted first, by weighted least squares: how
    far likeness alone explains the target. :math:`W` is the compatibility learned from what is
    left, shrunk to zero, so that a partner unlike any that was seen is judged by likeness. The
    second step is pairwise kernel ridge regression with the symmetric product kernel and linear
    profile kernels [1]_, solved in the dual and written back in its primal form, so that the
    prediction splits exactly into one term for each pair of features.

    Parameters
    ----------
    blocks : sequence of (str, int), optional
        Names and widths of the blocks of one profile, in order; one block when not given.
    scales : mapping of (str, str) to float, optional
        Prior variance of each pair of blocks (``"one"`` is the constant); a pair that is not
        named is not learned. Every pair at 1 when not given.
    likeness : sequence of str, optional
        Blocks whose likeness counts; none when not given.
    alpha : float
        Noise variance of a pair of weight 1 (the strength of the shrinkage).
    passes : int
        1: plain. 2: fit again with one more kernel, under which two profiles are alike when
        the first fit expects them to meet the same partners.
    expected_scale : float
        Prior variance of the second pass's kernel.

    Attributes
    ----------
    coef_ : (1 + n_profile, 1 + n_profile) array
        M, symmetric.
    likeness_ : (n_profile,) array
        The diagonal share of ``coef_`` that is likeness.
    n_features_in_ : int

    References
    ----------
    .. [1] Stock M, Pahikkala T, Airola A, De Baets B, Waegeman W. A comparative study of
       pairwise learning methods based on kernel ridge regression. Neural Comput. 30,
       2245-2283 (2018). (From memory.)
    """

    def __init__(
        self,
        blocks: Any = None,
        scales: Any = None,
        likeness: Any = None,
        alpha: float = 1.0,
        passes: int = 1,
        expected_scale: float = 0.5,
    ) -> None:
        self.blocks = blocks
        self.scales = scales
        self.likeness = likeness
        self.alpha = alpha
        self.passes = passes
        self.expected_scale = expected_scale

    def _slices(self, width: int) -> dict[str, slice]:
        blocks = self.blocks if self.blocks is not None else [("profile", width)]
        out = {"one": slice(0, 1)}
        start = 1
        for name, size in blocks:
            out[name] = slice(start, start + size)
            start += size
        if start != 1 + width:
            raise ValueError(f"blocks are {start - 1} wide, half of X is {width}")
        return out

    def _prior(self, slices: dict[str, slice], width: int) -> Array:
        """Prior variance of every entry of M, (1 + width, 1 + width)."""
        out = np.zeros((1 + width, 1 + width))
        if self.scales is None:
            out[:] = 1.0
        for (first, second), value in (self.scales or {}).items():
            out[slices[first], slices[second]] = value
            out[slices[second], slices[first]] = value
        return out

    def fit(self, X: Any, y: Any, sample_weight: Any = None) -> Self:
        """Fit the compatibility matrix.

        Parameters
        ----------
        X : (n_pairs, 2 * n_profile) array
        y : (n_pairs,) array
        sample_weight : (n_pairs,) array, optional
            Inverse noise variances, up to ``alpha``.

        Returns
        -------
        PairAffinity
            Itself.

        Raises
        ------
        ValueError
            For an odd number of columns, and for what scikit-learn refuses.
        """
        X, y = validate_data(self, X, y, y_numeric=True, ensure_min_features=2)
        if X.shape[1] % 2:
            raise ValueError(f"X needs an even number of columns (two profiles), has {X.shape[1]}")
        weight = _check_sample_weight(sample_weight, X, dtype=float)
        kept = weight > 0
        width = X.shape[1] // 2
        a, b = _with_one(X[kept, :width]), _with_one(X[kept, width:])
        y, weight = np.asarray(y, dtype=float)[kept], weight[kept]
        slices = self._slices(width)
        prior = self._prior(slices, width)
        start = self._start(a, b, y, weight, slices)
        rest = y - ((a @ start) * b).sum(axis=1)
        kernel = self._pair_kernel(a, b, slices)
        outer = _outer(a, b, _solve(kernel, rest, self.alpha / weight))
        self.coef_ = start + prior * outer
        if self.passes > 1:
            metric = self._expected_metric(np.vstack([a, b]))
            kernel += self.expected_scale * _product_kernel(a, b, metric)
            outer = _outer(a, b, _solve(kernel, rest, self.alpha / weight))
            self.coef_ = start + prior * outer + self.expected_scale * metric @ outer @ metric
        self.likeness_ = np.diag(start)[1:].copy()
        return self

    def _start(
        self, a: Array, b: Array, y: Array, weight: Array, slices: dict[str, slice]
    ) -> Array:
        """What likeness alone says: weighted least squares, (1 + width, 1 + width) diagonal."""
        names = tuple(self.likeness or ())
        shared = [(a[:, slices[k]] * b[:, slices[k]]).sum(axis=1) for k in names]
        design = np.column_stack([np.ones(len(a)), *shared])
        root = np.sqrt(weight)
        found, *_ = np.linalg.lstsq(design * root[:, None], y * root)
        diagonal = np.zeros(a.shape[1])
        diagonal[0] = found[0]
        for name, value in zip(names, found[1:], strict=True):
            diagonal[slices[name]] = value
        return np.diag(diagonal)

    def _pair_kernel(self, a: Array, b: Array, slices: dict[str, slice]) -> Array:
        """Kernel of the symmetric bilinear form under the prior variances, block by block."""
        scales = self.scales
        if scales is None:
            return _product_kernel(a, b, np.eye(a.shape[1]))
        grams = {
            name: (a[:, s] @ a[:, s].T, a[:, s] @ b[:, s].T, b[:, s] @ b[:, s].T)
            for name, s in slices.items()
        }
        out = np.zeros((len(a), len(a)))
        for (first, second), value in scales.items():
            aa, ab, bb = grams[first]
            cc, cd, dd = grams[second]
            crossed = aa * dd + ab * cd.T + ab.T * cd + bb * cc
            out += value * crossed / (4.0 if first == second else 2.0)
        return out

    def _expected_metric(self, rows: Array) -> Array:
        """Metric under which profiles are alike when they expect the same partners."""
        rows = np.unique(rows, axis=0)
        centre = rows.mean(axis=0)
        to_deviation = np.eye(rows.shape[1])
        to_deviation[0] -= centre  # rows start with a one, so this subtracts the mean profile
        expected = to_deviation @ self.coef_ @ (rows - centre).T
        metric = expected @ expected.T
        typical = np.einsum("ij,jk,ik->i", rows, metric, rows).mean()
        return np.asarray(metric / typical) if typical > 0 else np.zeros_like(metric)

    def predict(self, X: Any) -> Array:
        """Predicted target of pairs.

        Parameters
        ----------
        X : (n_pairs, 2 * n_profile) array

        Returns
        -------
        (n_pairs,) array
        """
        check_is_fitted(self)
        X = validate_data(self, X, reset=False)
        width = X.shape[1] // 2
        a, b = _with_one(X[:, :width]), _with_one(X[:, width:])
        return np.asarray(((a @ self.coef_) * b).sum(axis=1))


class PairFeatures(TransformerMixin, BaseEstimator):  # type: ignore[misc]
    """Pairs of names to pairs of profiles: the first step of a pipeline that ends in a regressor.

    Parameters
    ----------
    catalog : Catalog, optional
        The shipped one when not given.
    """

    def __init__(self, catalog: Catalog | None = None) -> None:
        self.catalog = catalog

    def fit(self, X: Any, y: Any = None) -> Self:
        """Nothing is learned.

        Parameters
        ----------
        X : (n_pairs, 2) array of str
        y : ignored

        Returns
        -------
        PairFeatures
            Itself.
        """
        self.n_features_in_ = 2
        return self

    def transform(self, X: Any) -> Array:
        """Profiles of both partners side by side.

        Parameters
        ----------
        X : (n_pairs, 2) array of str
            Names as :func:`pairing.affinity.model.resolve` takes them; ``coffee`` is one.

        Returns
        -------
        (n_pairs, 2 * n_profile) array

        Raises
        ------
        PairingError
            For unknown names, or rows that are no pairs.
        """
        rows = np.asarray(X, dtype=object)
        if rows.ndim != 2 or rows.shape[1] != 2:
            raise PairingError(f"give pairs of names, an array of two columns; got {rows.shape}")
        catalog = self.catalog if self.catalog is not None else load()
        width = 1 + sum(size for _, size in blocks_of(catalog))
        names = {str(n): pair_features(catalog, str(n))[1:width] for n in rows.ravel()}
        return np.array([np.hstack([names[str(a)], names[str(b)]]) for a, b in rows])


def _with_one(rows: Array) -> Array:
    return np.hstack([np.ones((len(rows), 1)), rows])


def _outer(a: Array, b: Array, dual: Array) -> Array:
    """Sum over pairs of the dual times the symmetric product of the two profiles."""
    product = a.T @ (dual[:, None] * b)
    return np.asarray((product + product.T) / 2.0)


def _product_kernel(a: Array, b: Array, metric: Array) -> Array:
    """Symmetric product kernel of pairs under one metric of profiles."""
    am, bm = a @ metric, b @ metric
    return np.asarray(((am @ a.T) * (bm @ b.T) + (am @ b.T) * (bm @ a.T)) / 2.0)


def _solve(kernel: Array, target: Array, noise: Array) -> Array:
    return np.asarray(np.linalg.solve(kernel + np.diag(noise), target))


def for_blocks(blocks: Sequence[tuple[str, int]], alpha: float = ALPHA) -> PairAffinity:
    """The estimator with the settings of the shipped model.

    Every pair of blocks is learned but two: the constant with anything except a known item
    (that would let recipes' baking set the level of whole kinds), and known items with each
    other (these get coefficients only through the second pass). Likeness counts for aroma and
    kitchen, not for taste (two sour things).

    Parameters
    ----------
    blocks : sequence of (str, int)
        As from :func:`pairing.affinity.model.blocks`.
    alpha : float
        Noise variance of a pair of weight 1.

    Returns
    -------
    PairAffinity
    """
    inner = ("aroma", "taste", "kitchen")
    scales = {(k, k): WITHIN_BLOCK for k in inner}
    scales |= {(a, b): ACROSS_BLOCKS for i, a in enumerate(inner) for b in inner[i + 1 :]}
    scales |= {(k, "known"): ACROSS_BLOCKS for k in ("one", *inner)}
    return PairAffinity(tuple(blocks), scales, ("aroma", "kitchen"), alpha, PASSES)
