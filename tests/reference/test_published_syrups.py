"""Yields of published infused syrups against the balance, nothing fitted to them.

Nine of 278 syrups (`shared/validation/syrups.csv`) state a yield in millilitres that is no round
number of cups. The pan is taken to be an open one of 16 cm, as the calculator would for such a
batch; nobody states it.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pairing.evidence.catalog import load
from pairing.syrup.balance import batch
from pairing.syrup.brought import portion_of, stages_of, sweetener_of
from pairing.syrup.pot import Cook

ROOT = Path(__file__).resolve().parents[2]
PLACES = [p / "shared" / "validation" / "syrups.csv" for p in (ROOT.parent, ROOT.parent.parent)]
FILE = next((p for p in PLACES if p.is_file()), None)
METRIC = ("2028", "2033", "2095", "2356", "2333", "2074", "2075", "2085", "2337")
# why the rest does not agree: 2333 and 2085 simmer open or shut for 10 and 70 min, not said;
# 2337 loses more than its water can hold (its own yield is below what stays dissolved); 2074 gives
# 45 to 60 ml of peel oil sugar, the middle is taken
KNOWN_APART = {"2333", "2085", "2337", "2074", "2075"}
METHODS = {"simmer": "simmer", "steep": "hot-steep"}


def ours(rows: list[dict[str, str]]) -> float:
    """Yield by the balance [ml]."""
    catalog = load()
    portions = []
    for row in rows:
        form = catalog.form(row["ingredient_id"])
        for other in catalog.forms_of[form.ingredient_id]:
            if other.form == row["form"]:
                form = other
        how = METHODS.get(row["method"], form.method)
        if form.method == "stir-in":
            portions.append(portion_of(catalog, form, float(row["amount_g"]), "batch"))
            continue
        minutes = float(row["minutes"]) if row["minutes"] else None
        wet = stages_of(catalog, form, how, minutes)
        grams = float(row["amount_g"])
        portions.append(portion_of(catalog, form, grams, "batch", method=how, stages=wet))
    boiled = [float(r["minutes"] or 0) for r in rows if r["method"] == "simmer"]
    minutes = min(max([*boiled, 5.0]), 60.0)
    cook = Cook(minutes=minutes, heat="gentle" if minutes < 15 else "simmer", pan_diameter_cm=16)
    sugar = sweetener_of(catalog.sweetener("white-cane-sugar"))
    made = batch(sugar, float(rows[0]["sugar_g"]), float(rows[0]["water_g"] or 0), portions, cook)
    return made.yield_ml


@pytest.mark.skipif(FILE is None, reason="published syrups are not shipped: see shared/validation")
def test_stated_yields() -> None:
    assert FILE is not None
    syrups: dict[str, list[dict[str, str]]] = {}
    with FILE.open(encoding="utf-8") as handle:
        for row in csv.DictReader(handle):
            syrups.setdefault(row["syrup_no"], []).append(row)
    within = set()
    for number in METRIC:
        rows = syrups[number]
        stated = float(next(r["yield_ml"] for r in rows if r["yield_ml"]))
        if abs(ours(rows) / stated - 1.0) <= 0.08:
            within.add(number)
    assert len(within) >= 4, within
    assert set(METRIC) - within <= KNOWN_APART
