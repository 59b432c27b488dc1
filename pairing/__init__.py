"""Coffee, spice and citrus: pairings with reasons, trial syrup formulas, batch arithmetic.

>>> import pairing
>>> catalog = pairing.load()
>>> coffee = pairing.brewed(catalog, origin="burundi", process="washed", roast="light")
>>> best = pairing.suggest(catalog, [coffee], citrus="mandarin", size=3)
>>> made = pairing.make_formula(catalog, best[0].form_ids, coffee, servings=24)

Names are imported when first used, so that ``import pairing`` stays cheap.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

    from pairing.affinity.model import score_pairs
    from pairing.affinity.search import suggest
    from pairing.affinity.verdict import check
    from pairing.aroma.coffee import brewed
    from pairing.bar.pantry import open_pantry
    from pairing.errors import NothingFoundError, PairingError, UnknownNameError
    from pairing.evidence.catalog import Catalog, load
    from pairing.syrup.formula import make as make_formula

__all__ = [
    "Catalog",
    "NothingFoundError",
    "PairingError",
    "UnknownNameError",
    "brewed",
    "check",
    "load",
    "make_formula",
    "open_pantry",
    "score_pairs",
    "suggest",
    "tables",
]

_HOMES = {
    "Catalog": "evidence.catalog:Catalog",
    "NothingFoundError": "errors:NothingFoundError",
    "PairingError": "errors:PairingError",
    "UnknownNameError": "errors:UnknownNameError",
    "brewed": "aroma.coffee:brewed",
    "check": "affinity.verdict:check",
    "make_formula": "syrup.formula:make",
    "load": "evidence.catalog:load",
    "open_pantry": "bar.pantry:open_pantry",
    "score_pairs": "affinity.model:score_pairs",
    "suggest": "affinity.search:suggest",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        module, attribute = _HOMES[name].split(":")
        value = getattr(import_module(f"pairing.{module}"), attribute)
        globals()[name] = value
        return value
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
