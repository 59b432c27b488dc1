"""Work done once for a catalogue: what is derived from its tables is kept as long as it lives."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from pairing.evidence.catalog import Catalog

__all__ = ["once_per_catalog"]

P = ParamSpec("P")
T = TypeVar("T")


def once_per_catalog(
    function: Callable[Concatenate[Catalog, P], T],
) -> Callable[Concatenate[Catalog, P], T]:
    """Keep what a function works out of a catalogue, for each of its further arguments.

    Parameters
    ----------
    function : callable
        Takes a catalogue first; further arguments must be hashable and given by position.

    Returns
    -------
    callable
        The same answers; each is worked out once per catalogue and forgotten with it.
    """
    kept: WeakKeyDictionary[Catalog, dict[Hashable, T]] = WeakKeyDictionary()

    @wraps(function)
    def remembered(catalog: Catalog, /, *args: P.args, **kwargs: P.kwargs) -> T:
        answers = kept.setdefault(catalog, {})
        if args not in answers:
            answers[args] = function(catalog, *args, **kwargs)
        return answers[args]

    return remembered
