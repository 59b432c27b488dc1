"""Water of dry spices, nuts and seeds against the USDA's figures.

Published values: USDA National Nutrient Database for Standard Reference, release 28, abbreviated
nutrient file (public domain), in ``shared/water_usda.csv``. The column of ``forms.csv`` was
recalled before the file was read.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pairing.evidence.catalog import Catalog

FILE = Path(__file__).parents[2] / "shared" / "water_usda.csv"
ROWS = list(csv.DictReader(FILE.open(encoding="utf-8", newline="")))


@pytest.mark.parametrize("row", ROWS, ids=[row["form_id"] for row in ROWS])
def test_water_of_dry_plants_is_what_the_usda_prints(catalog: Catalog, row: dict[str, str]) -> None:
    ours = catalog.forms[row["form_id"]].water_percent
    assert ours == pytest.approx(float(row["water_percent"]), abs=2.0)


def test_the_file_names_enough_forms() -> None:
    assert len(ROWS) >= 20
