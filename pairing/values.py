"""Results as values: they print in one line, compare by content, and become documents.

The documents themselves are written in a room above, which the package names in
``pairing/__init__.py`` (:func:`written_in`) and which is loaded when first asked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any

__all__ = ["Value", "written_in"]

_writers: list[Callable[[], Any]] = []


def written_in(load: Callable[[], Any]) -> None:
    """Say where results become documents.

    Parameters
    ----------
    load : callable
        Returns the module that has ``document``, ``pictures`` and ``html`` of a result.
    """
    _writers[:] = [load]


class Value:
    """What every result class builds on: ``@dataclass(frozen=True, eq=False, repr=False)``.

    A class says in ``__str__`` what it is, in one line, stops first.
    """

    __slots__ = ()

    def __repr__(self) -> str:
        """``<Formula: ...>``, one line."""
        return f"<{type(self).__name__}: {self}>"

    def __eq__(self, other: object) -> bool:
        """Same class and same content; arrays are compared number by number, NaN as itself."""
        if type(self) is not type(other):
            return NotImplemented
        names = [f.name for f in fields(self)]  # type: ignore[arg-type]
        return all(_same(getattr(self, n), getattr(other, n)) for n in names)

    def __hash__(self) -> int:
        """Equal values print alike, so that the line they print is their hash."""
        return hash((type(self), str(self)))

    def to_dict(self) -> dict[str, Any]:
        """The document of this result, as its command prints it with ``--format json``."""
        made: dict[str, Any] = _writers[0]().document(self)
        return made

    def pictures(self) -> dict[str, str]:
        """The pictures of this result as SVG, by name; empty where it has none."""
        made: dict[str, str] = _writers[0]().pictures(self)
        return made

    def _repr_html_(self) -> str:
        """The result in a notebook, stops first."""
        return str(_writers[0]().html(self))


def _same(one: Any, other: Any) -> bool:
    if hasattr(one, "__array__") or hasattr(other, "__array__"):
        import numpy as np

        a, b = np.asarray(one), np.asarray(other)
        return a.shape == b.shape and bool(np.array_equal(a, b, equal_nan=a.dtype.kind == "f"))
    return type(one) is type(other) and bool(one == other)
