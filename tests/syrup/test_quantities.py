"""The grammar of quantities."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.syrup.quantities import Quantity, celsius, grams_of, in_unit, parse_quantity

CATALOG = load()


@pytest.mark.parametrize(
    ("text", "number", "unit", "per_kg"),
    [
        ("180g", 180.0, "g", False),
        ("180 g", 180.0, "g", False),
        ("22g/kg", 22.0, "g", True),
        ("22 g / kg", 22.0, "g", True),
        ("1.5kg", 1500.0, "g", False),
        ("1,5 kg", 1500.0, "g", False),
        ("2 sticks", 2.0, "sticks", False),
        ("1 tbsp", 1.0, "tablespoon", False),
        ("1 1/2 tsp", 1.5, "teaspoon", False),
        ("1/2 cup", 0.5, "cup", False),
        ("2 cups", 2.0, "cup", False),
        ("2 oz", 56.699, "g", False),
        ("2 fl oz", 59.147, "ml", False),
        ("100 ml", 100.0, "ml", False),
        ("3 star anise", 3.0, "star anise", False),
    ],
)
def test_what_is_said(text: str, number: float, unit: str, per_kg: bool) -> None:
    found = parse_quantity(text)
    assert found == Quantity(pytest.approx(number), unit, per_kg)


@pytest.mark.parametrize("text", ["180", "0.5", "1/2"])
def test_a_bare_number_is_asked_back(text: str) -> None:
    with pytest.raises(PairingError, match=r"in the pot.*of finished syrup"):
        parse_quantity(text)


@pytest.mark.parametrize(
    "text",
    ["", "g", "-5g", "0g", "1/0 g", "nan g", "5 %", "5g/l", "1e9kg", "5g5g", "٣g/x", "5 \x1b"],
)
def test_the_rest_is_refused(text: str) -> None:
    with pytest.raises(PairingError):
        parse_quantity(text)


@given(st.text(max_size=12))
def test_no_text_breaks_it(text: str) -> None:
    try:
        found = parse_quantity(text)
    except PairingError:
        return
    assert found.number > 0


def test_pieces_and_spoons() -> None:
    stick = CATALOG.form("cassia")
    assert stick.unit_mass_g
    two = grams_of(parse_quantity("2 sticks"), ["cassia"], CATALOG.household, stick)
    assert two == pytest.approx(2 * stick.unit_mass_g)
    cup = grams_of(parse_quantity("1 cup"), ["white-cane-sugar"], CATALOG.household)
    assert cup == pytest.approx(200.0)  # USDA SR28
    spoon = grams_of(parse_quantity("1 tbsp"), ["white-cane-sugar"], CATALOG.household)
    assert spoon == pytest.approx(12.5)  # a sixteenth of it
    with pytest.raises(PairingError, match="say it in grams"):
        grams_of(parse_quantity("2 pods"), ["cassia"], CATALOG.household, stick)
    with pytest.raises(PairingError, match="say it in grams"):
        grams_of(parse_quantity("1 cup"), ["no-such-thing"], CATALOG.household)


def test_temperatures() -> None:
    assert celsius("185F") == pytest.approx(85.0)
    assert celsius("85") == celsius("85 °C") == 85.0
    with pytest.raises(PairingError):
        celsius("warm")


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("500", "g", 500.0),
        ("1.5kg", "g", 1500.0),
        ("12 oz", "g", 340.19),
        ("1l", "ml", 1000.0),
        ("24 fl oz", "ml", 709.76),
        ("79F", "C", 26.11),
        ("26", "C", 26.0),
    ],
)
def test_an_amount_is_said_in_any_unit_of_its_kind(text: str, unit: str, number: float) -> None:
    assert in_unit(text, unit) == pytest.approx(number, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "unit"), [("1l", "g"), ("2 cups", "g"), ("5g/kg", "g"), ("3kg", "ml"), ("warm", "C")]
)
def test_an_amount_of_another_kind_is_asked_back(text: str, unit: str) -> None:
    with pytest.raises(PairingError):
        in_unit(text, unit)
