"""Acid, solids and pH of fruit against a handbook's averages.

Published values: Belitz, Grosch and Schieberle, Food Chemistry, 4th ed., table 18.3 (read), in
``shared/fruit_composition.csv``. The rows of fresh fruit are taken from it, so for them this
guards later edits; orange, grapefruit and lemon were not used and are a check.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pairing.evidence.catalog import Catalog

ROOT = Path(__file__).parents[2]
PUBLISHED = list(
    csv.DictReader((ROOT / "shared" / "fruit_composition.csv").open(encoding="utf-8", newline=""))
)
KEPT_APART = [row for row in PUBLISHED if "a check" in row["note"]]


@pytest.mark.parametrize("row", KEPT_APART, ids=lambda row: row["form_id"])
def test_citrus_that_was_not_used(catalog: Catalog, row: dict[str, str]) -> None:
    form = catalog.forms[row["form_id"]]
    assert form.acid_percent_low is not None
    assert form.acid_percent_high is not None
    assert form.acid_percent_low <= float(row["acid_percent"]) <= form.acid_percent_high
    assert form.ph_low is not None
    assert form.ph_high is not None
    assert form.ph_low <= float(row["ph"]) <= form.ph_high
    assert form.brix_low is not None
    assert form.brix_high is not None
    most = float(row["dry_matter_percent"]) - float(row["fibre_percent"] or 0)
    least = sum(float(row[c]) for c in ("sugar_percent", "acid_percent", "ash_percent"))
    assert form.brix_low <= most
    assert form.brix_high >= least


def test_fruit_holds_the_acid_printed(catalog: Catalog) -> None:
    checked = 0
    for row in PUBLISHED:
        if row in KEPT_APART:
            continue
        form = catalog.forms[row["form_id"]]
        assert form.acid_percent_low is not None
        assert form.acid_percent_high is not None
        assert form.acid_percent_low <= float(row["acid_percent"]) <= form.acid_percent_high
        if row["ph"]:
            assert form.ph_low is not None
            assert form.ph_high is not None
            assert form.ph_low - 0.05 <= float(row["ph"]) <= form.ph_high + 0.05, row
        checked += 1
    assert checked >= 17


def test_every_form_says_how_bitter_it_is(catalog: Catalog) -> None:
    assert all(form.bitterness for form in catalog.forms.values())
