"""Words of the kitchen."""

import pytest

from pairing.evidence import words


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Green cardamom", "green cardamom"),
        ("Ceylon cinnamon, broken quills", "Ceylon cinnamon, broken quills"),
        ("Green Sichuan pepper", "green Sichuan pepper"),
        ("Bitter orange (Seville)", "bitter orange (Seville)"),
    ],
)
def test_places_keep_their_capital_within_a_sentence(name: str, said: str) -> None:
    assert words.within(name) == said
