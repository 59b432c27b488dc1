"""Brix, acid, pH and yield of citrus juice against official food tables and trade standards.

Published values: USDA FoodData Central SR Legacy, MEXT food composition tables (Japan), US FDA pH
list, Codex STAN 247-2005, UNECE FFV-14 and single papers; citation and evidence beside each row of
``shared/citrus_juice_usda.csv``. Rows marked memory are recalled, not reopened.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
Row = dict[str, str]


def read(path: str) -> list[Row]:
    with (ROOT / path).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


CHECKS = read("shared/citrus_juice_usda.csv")
# Our column of each published quantity.
COLUMNS = {
    "brix": "brix",
    "acid_percent": "acid_percent",
    "ph": "ph",
    "juice_yield_minimum": "juice_yield_percent",
}


@pytest.fixture(scope="module")
def forms() -> dict[str, Row]:
    return {row["form_id"]: row for row in read("data/forms.csv")}


def juice_form(forms: dict[str, Row], ingredient: str) -> Row:
    """Return the juice form, or the slices where the fruit is not squeezed (kumquat)."""
    return forms.get(f"{ingredient}-juice") or forms[ingredient]


def test_table_covers_eight_fruits_and_four_quantities() -> None:
    assert len({row["ingredient_id"] for row in CHECKS}) >= 8
    assert {row["quantity"] for row in CHECKS} == set(COLUMNS)
    assert all(row["citation"] and row["evidence"] in {"read", "memory"} for row in CHECKS)


@pytest.mark.parametrize(
    "check",
    CHECKS,
    ids=[f"{r['ingredient_id']}-{r['quantity']}-{i}" for i, r in enumerate(CHECKS)],
)
def test_published_value_lies_in_our_range(check: Row, forms: dict[str, Row]) -> None:
    form = juice_form(forms, check["ingredient_id"])
    column = COLUMNS[check["quantity"]]
    low, high = float(form[f"{column}_low"]), float(form[f"{column}_high"])
    tolerance = float(check["tolerance"])
    published = (float(check["published_low"]) + float(check["published_high"])) / 2
    assert low <= high
    if check["quantity"] == "juice_yield_minimum":  # a floor set by trade, not a typical value
        assert low >= published - tolerance
    else:
        assert low - tolerance <= published <= high + tolerance


@pytest.mark.parametrize("ingredient", ["sweet-orange", "navel-orange", "blood-orange"])
def test_orange_juice_oil_is_within_the_us_grade_limit(ingredient: str) -> None:
    """US Standards for Grades of Orange Juice (7 CFR 52.1551 ff.), recalled from memory.

    Recoverable oil of grade A juice is at most 0.035 % by volume. Limonene is about 94 % of the
    oil (0.84 g/ml), so our juice rows must imply an oil content of that order and not more.
    """
    rows = [
        row
        for row in read("data/composition.csv")
        if (row["ingredient_id"], row["material"], row["compound_id"])
        == (ingredient, "juice", "limonene")
    ]
    assert rows
    assert {row["unit"] for row in rows} == {"ug_per_l"}
    low = min(float(row["low"]) for row in rows)
    high = max(float(row["high"]) for row in rows)
    oil_percent_v_v = [ug_per_l * 1e-6 / 0.94 / 0.84 / 10 for ug_per_l in (low, high)]
    assert oil_percent_v_v[0] > 0.001
    assert oil_percent_v_v[1] <= 0.035


def test_oil_rises_from_juice_to_slices_to_peel_to_zest() -> None:
    """The oil sits in the flavedo (common practice; Braddock 1999, Kesterson 1971).

    Juice of peeled satsuma had lost 98 % of its volatiles (Beaulieu 2014), so juice holds little.
    """
    oil: dict[str, float] = {}
    for row in read("data/form_materials.csv"):
        if row["material"] == "peel-oil":
            oil[row["form_id"]] = math.sqrt(float(row["percent_low"]) * float(row["percent_high"]))
    peels = [form_id for form_id in oil if form_id.endswith("-peel")]
    assert len(peels) >= 27
    for peel in peels:
        fruit = peel.removesuffix("-peel")
        assert oil[fruit] < oil[peel]
        assert oil[peel] < oil.get(f"{fruit}-zest", math.inf)
        assert oil.get(f"{fruit}-juice", 0.0) < oil[fruit] / 5


def test_no_juice_counts_its_entrained_oil_twice() -> None:
    measured = {
        row["ingredient_id"]
        for row in read("data/composition.csv")
        if row["material"] == "juice" and row["compound_id"] == "limonene"
    }
    assert measured
    oily = {
        row["form_id"]
        for row in read("data/form_materials.csv")
        if row["form_id"].endswith("-juice") and row["material"] == "peel-oil"
    }
    assert oily
    assert not {f"{ingredient}-juice" for ingredient in measured} & oily
