"""Measure B: does the cup move ingredients as tasters do. Called by scripts/validate.py.

    python scripts/validate_cup.py [--validation ../shared/validation]

By the frozen protocol of the validation folder: origins (learned on a random half of the roasters,
tested on the other half, forty times) and lots (a hidden note of one coffee, roasters kept apart).
Every count is made anew from the rows that may be learned from.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from pairing.affinity.scorecard import Measure
from pairing.aroma.cup import Cups, cups, drawn
from pairing.aroma.notes import note_of
from pairing.evidence.catalog import Catalog, load

ROOT = Path(__file__).resolve().parents[1]
WIDE = 1.96  # standard deviations on each side of a figure over the halves
ASKED_ORIGINS = ("ethiopia", "panama-gesha", "guatemala", "sumatra")


def module(path: Path) -> ModuleType:
    """A module from a file."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = made
    spec.loader.exec_module(made)
    return made


def measures(catalog: Catalog, folder: Path) -> list[Measure]:
    """Rows of the score card for B.

    Parameters
    ----------
    catalog : Catalog
    folder : Path
        Validation folder with ``protocol.py`` and ``coffee_notes.csv``.

    Returns
    -------
    list of Measure
    """
    protocol, fit = module(folder / "protocol.py"), module(Path(__file__).with_name("fit_cup.py"))
    shipped = cups(catalog)
    wanted = [catalog.form(f).ingredient_id for f in protocol.words()]

    def learned(rows: list[dict[str, str]], paired: bool) -> Cups:
        beside = fit.pairs(catalog, rows)  # the company of words is learned from these rows, too
        return Cups(
            fit.count(catalog, rows),
            lambda: beside if paired else [],
            catalog.notes,
            shipped.regions,
            shipped.colours,
        )

    def values(held: Cups, by_id: dict[str, float]) -> np.ndarray:
        return np.array([by_id.get(i, 0.0) for i in wanted])

    def moved(rows: list[dict[str, str]]) -> Any:
        held = learned(rows, True)

        def shift(name: str) -> np.ndarray:
            found, _ = held.origin(name)
            return values(held, dict(zip(held.ids, found.tolist(), strict=True)))

        return shift

    def company(rows: list[dict[str, str]]) -> Any:
        held = learned(rows, True)

        def shift(name: str) -> np.ndarray:
            level = ("origin", name)
            if level not in held.size:
                return values(held, {})
            found = held.by_company(level)
            return values(held, dict(zip(held.ids, found.tolist(), strict=True)))

        return shift

    def unbiased(rows: list[dict[str, str]]) -> Any:
        held = learned(rows, True)

        def shift(name: str) -> np.ndarray:
            level = ("origin", name)
            if level not in held.size:
                return values(held, {})
            n = held.size[level][0]
            found = drawn(held.rates(level), n, *held.without(level)) + held.by_company(level)
            return values(held, dict(zip(held.ids, found.tolist(), strict=True)))

        return shift

    def hidden_with_origin(rows: list[dict[str, str]]) -> Any:
        held, by_notes = learned(rows, True), hidden(rows)

        def score(coffee: dict[str, str], others: list[str]) -> np.ndarray:
            found = held.origin(coffee["origin"])[0] if coffee["origin"] else []
            place = dict(zip(held.ids, np.asarray(found).tolist(), strict=False))
            return np.asarray(by_notes(coffee, others) + values(held, place))

        return score

    def hidden(rows: list[dict[str, str]]) -> Any:
        held = learned(rows, True)
        often = np.log(protocol.named(rows).mean(0) + 1e-4)

        def score(coffee: dict[str, str], others: list[str]) -> np.ndarray:
            notes = tuple(dict.fromkeys(note_of(catalog, w, "en").note for w in others if w))
            found = held.lot(notes) if notes else {}
            return often + values(held, {i: m.score for i, m in found.items()})

        return score

    out = []
    for method, predictor in (
        ("cup", moved),
        ("plain counts", protocol._counts),
        ("cup, own word left out", company),
        ("cup, nothing added to rare words", unbiased),
    ):
        found = protocol.origins(predictor)
        mean, sd = found["mean"], found["sd"]
        out.append(
            Measure("B1: origins", method, "rank correlation", mean, mean - WIDE * sd,
                    mean + WIDE * sd, 40)
        )  # fmt: skip
        out += [
            Measure(f"B1: {name}", method, "rank correlation", found[name], np.nan, np.nan, 40)
            for name in ASKED_ORIGINS
            if method in ("cup", "plain counts")
        ]
    for method, predictor in (
        ("cup", hidden),
        ("popularity", protocol._often),
        ("cup, its origin added", hidden_with_origin),
    ):
        area = protocol.hidden_notes(predictor)
        out.append(Measure("B2: a hidden note of one lot", method, "area", area, np.nan, np.nan, 5))
    return out


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--validation", type=Path, default=ROOT.parent / "shared" / "validation")
    for row in measures(load(), parser.parse_args().validation):
        print(f"{row.protocol:32} {row.method:14} {row.measure:18} {row.value:.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
