"""Williams squares, incomplete blocks and blind codes, proved by counting."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest

from pairing.errors import PairingError
from pairing.trials import orders


@pytest.mark.parametrize("trials", range(2, 13))
def test_williams_is_balanced_for_place_and_for_the_cup_before(trials: int) -> None:
    found = orders.williams(trials)
    assert len(found) == (2 * trials if trials % 2 else trials)
    times = len(found) // trials
    assert all(sorted(row) == list(range(trials)) for row in found)
    places = Counter((place, cup) for row in found for place, cup in enumerate(row))
    assert len(places) == trials**2
    assert set(places.values()) == {times}
    follows = Counter(pair for row in found for pair in pairwise(row))
    assert len(follows) == trials * (trials - 1)
    assert set(follows.values()) == {times}


@pytest.mark.parametrize(
    ("trials", "cups", "tasters", "together"),
    # balanced designs known to exist: Cochran and Cox 1957, Experimental Designs, table 11.3
    [(7, 3, 7, 1), (13, 4, 13, 1), (9, 3, 12, 1), (6, 3, 10, 2), (8, 4, 14, 3), (9, 6, 12, 5)],
)
def test_incomplete_blocks_are_balanced_where_a_design_exists(
    trials: int, cups: int, tasters: int, together: int
) -> None:
    found = orders.blocks(trials, cups, tasters)
    assert found.balanced
    assert found.together == (together, together)
    assert all(len(set(b)) == cups for b in found.blocks)
    # the two counting identities of a balanced incomplete block design
    assert trials * found.per_trial[0] == cups * tasters
    assert found.per_trial[0] * (cups - 1) == together * (trials - 1)


def test_blocks_that_cannot_be_balanced_are_near_and_say_so() -> None:
    found = orders.blocks(10, 6, 7, sittings=2)
    assert not found.balanced
    assert max(found.per_trial) - min(found.per_trial) <= 1
    assert found.together[0] >= 3
    both = Counter(found.of(0, 0)) + Counter(found.of(0, 1))
    assert len(both) == 10  # a taster meets all ten in two sittings


def test_complete_blocks_and_refusals() -> None:
    assert orders.blocks(4, 6, 3).blocks == ((0, 1, 2, 3),) * 3
    with pytest.raises(PairingError, match="take more tasters or sittings"):
        orders.blocks(20, 6, 3)
    with pytest.raises(PairingError, match="2 or more"):
        orders.williams(1)
    with pytest.raises(PairingError, match="more codes than there are"):
        orders.blind_codes(700, np.random.default_rng(1))


def test_codes_are_three_different_digits_and_never_twice() -> None:
    first = orders.blind_codes(60, np.random.default_rng(1))
    assert first == orders.blind_codes(60, np.random.default_rng(1))
    assert all(100 <= c <= 999 and len(set(str(c))) == 3 for c in first)
    assert not set(first) & set(orders.blind_codes(60, np.random.default_rng(1), first))


@pytest.mark.parametrize("name", ["triangle", "duo-trio", "paired"])
def test_serving_orders_give_each_trial_its_fair_share(name: str) -> None:
    served = orders.presentation(name)
    cups = Counter("".join(served))
    assert cups["A"] == cups["B"]
    for place in range(len(served[0])):
        at = Counter(s[place] for s in served)
        assert at["A"] == at["B"]
