"""Coffee, spice and citrus: pairings with reasons, trial syrup formulas, batch arithmetic.

>>> import pairing
>>> lab = pairing.open()
>>> cup = lab.coffee("washed burundi light espresso")
>>> best = lab.suggest(cup, citrus="mandarin", size=3)
>>> made = lab.formula(best[0], cup, servings=24)

Names are imported when first used, so that ``import pairing`` stays cheap; every room
(``pairing.syrup``, ``pairing.aroma`` ...) is an attribute.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from pairing.values import written_in

if TYPE_CHECKING:
    import pandas as pd

    from pairing.affinity.model import score_pairs
    from pairing.affinity.search import suggest
    from pairing.affinity.verdict import check
    from pairing.aroma.coffee import brewed
    from pairing.bar.pantry import open_pantry
    from pairing.errors import NothingFoundError, PairingError, UnknownNameError
    from pairing.evidence.catalog import Catalog, load
    from pairing.lab import Lab
    from pairing.lab import open_lab as open
    from pairing.syrup.formula import make as make_formula

__all__ = [
    "Catalog",
    "Lab",
    "NothingFoundError",
    "PairingError",
    "UnknownNameError",
    "brewed",
    "check",
    "load",
    "make_formula",
    "open",
    "open_pantry",
    "score_pairs",
    "suggest",
    "tables",
]

_HOMES = {
    "Catalog": "evidence.catalog:Catalog",
    "Lab": "lab:Lab",
    "NothingFoundError": "errors:NothingFoundError",
    "PairingError": "errors:PairingError",
    "UnknownNameError": "errors:UnknownNameError",
    "brewed": "aroma.coffee:brewed",
    "check": "affinity.verdict:check",
    "load": "evidence.catalog:load",
    "make_formula": "syrup.formula:make",
    "open": "lab:open_lab",
    "open_pantry": "bar.pantry:open_pantry",
    "score_pairs": "affinity.model:score_pairs",
    "suggest": "affinity.search:suggest",
}
_ROOMS = (
    "affinity",
    "aroma",
    "bar",
    "cards",
    "cli",
    "errors",
    "evidence",
    "files",
    "glass",
    "lab",
    "page",
    "safety",
    "syrup",
    "trials",
    "values",
)


written_in(lambda: import_module("pairing.cards.documents"))


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__, *_ROOMS, "__version__"})


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        module, attribute = _HOMES[name].split(":")
        value = getattr(import_module(f"pairing.{module}"), attribute)
        globals()[name] = value
        return value
    if name in _ROOMS:
        return import_module(f"pairing.{name}")
    if name == "__version__":
        from importlib.metadata import version

        return version("coffee-syrup-pairing")
    raise AttributeError(f"module 'pairing' has no attribute {name!r}")


def tables(catalog: Catalog | None = None) -> dict[str, pd.DataFrame]:
    """All tables of the data package as pandas frames.

    Parameters
    ----------
    catalog : Catalog, optional
        The shipped one when not given.

    Returns
    -------
    dict of str to DataFrame
        By table name; columns and units as in ``data/README.md``.
    """
    import pandas as pd

    from pairing.evidence.catalog import load as open_catalog

    folder = (catalog or open_catalog()).folder
    return {p.stem: pd.read_csv(p, keep_default_na=True) for p in sorted(folder.glob("*.csv"))}
