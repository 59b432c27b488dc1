"""Spoons, leaves and fruit against the USDA household weights.

Published values: USDA National Nutrient Database for Standard Reference, household weights file
(public domain, read), one row each in ``shared/household_usda.csv``.
"""

from __future__ import annotations

import csv
from pathlib import Path

from pairing.evidence.catalog import Catalog

ROOT = Path(__file__).parents[2]
PUBLISHED = list(
    csv.DictReader((ROOT / "shared" / "household_usda.csv").open(encoding="utf-8", newline=""))
)


def test_spoons_and_leaves_of_the_household_table(catalog: Catalog) -> None:
    ours = {(row.item_id, row.measure): row.grams for row in catalog.household}
    checked = 0
    for row in PUBLISHED:
        grams = ours.get((row["form_id"], row["measure"]))
        if grams is not None:
            assert grams == float(row["grams"]), row
            checked += 1
    assert checked >= 30


def test_units_of_the_forms(catalog: Catalog) -> None:
    """A form counted by the teaspoon, leaf or fruit weighs what is published, within a fifth."""
    checked = 0
    for row in PUBLISHED:
        form = catalog.forms.get(row["form_id"])
        if form is None or form.unit_mass_g is None:
            continue
        if row["measure"] == "fruit without peel":  # ours is whole: peel is 15 to 50 % of it
            flesh = float(row["grams"]) / form.unit_mass_g
            assert 0.5 <= flesh <= 0.85, (row, flesh)
            checked += 1
        fruit = row["measure"] == "fruit"
        if fruit or row["measure"] in form.unit_name:
            assert abs(form.unit_mass_g / float(row["grams"]) - 1.0) <= 0.2, (row, form.unit_mass_g)
            checked += 1
    assert checked >= 20
