"""Household measures."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.syrup import household as units


@dataclass
class Row:
    item_id: str
    measure: str
    grams: float


# USDA SR28 household weights
TABLE = [
    Row("white-cane-sugar", "cup", 200.0),
    Row("white-cane-sugar", "teaspoon", 4.2),
    Row("honey", "cup", 339.0),
    Row("honey", "tablespoon", 21.0),
    Row("sugar-cube", "piece", 2.3),
]


@pytest.mark.parametrize(
    ("item", "grams", "words"),
    [
        ("white-cane-sugar", 200, "1 cup"),
        ("white-cane-sugar", 250, "1 1/4 cups"),
        ("white-cane-sugar", 4.2, "1 teaspoon"),
        ("white-cane-sugar", 62.6, "1/4 cup + 1 tablespoon"),
        ("white-cane-sugar", 0.1, "a pinch"),
        ("white-cane-sugar", 0, "none"),
        ("honey", 42, "2 tablespoons"),
        ("sugar-cube", 7, "about 3 pieces"),
        ("water", 7, None),
    ],
)
def test_cups_and_spoons(item: str, grams: float, words: str | None) -> None:
    assert units.household(item, grams, TABLE) == words


@given(st.floats(5, 5000))
def test_measures_stay_close_to_the_grams(grams: float) -> None:
    shown = units.household("white-cane-sugar", grams, TABLE)
    assert shown is not None
    sizes = {"cup": 200.0, "tablespoon": 12.6, "teaspoon": 4.2}
    total = 0.0
    for part in shown.split(" + "):
        *number, name = part.split()
        count = sum(
            float(n.split("/")[0]) / float(n.split("/")[1]) if "/" in n else float(n)
            for n in number
        )
        total += count * sizes[name.rstrip("s")]
    assert total == pytest.approx(grams, abs=4.3)


def test_pieces_and_ounces() -> None:
    assert units.pieces(3, 0.2, "pod") == "about 15 pods"
    assert units.pieces(3.6, 3.5, "stick") == "about 1 stick"
    assert units.pieces(5.2, 3.5, "stick") == "about 1 1/2 sticks"
    assert units.pieces(0.1, 3.5, "stick") == "less than half a stick"
    # NIST Handbook 44: 29.5735 ml to a US fluid ounce; 212 °F is 100 °C
    assert units.with_us_units("355 ml at 85 °C") == "355 ml (12.0 fl oz) at 85 °C, 185 °F"
    assert units.with_us_units("70-80 °C, 12 g") == "70-80 °C, 158-176 °F, 12 g"


@pytest.mark.parametrize(
    "call",
    [
        lambda: units.household("honey", -1, TABLE),
        lambda: units.household("honey", float("nan"), TABLE),
        lambda: units.pieces(1, 0, "pod"),
    ],
)
def test_bad_input(call: object) -> None:
    with pytest.raises(PairingError):
        call()  # type: ignore[operator]
