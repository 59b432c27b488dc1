"""Designs against the library's own and the textbook's counts; windows, law, the bench."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import numpy as np
import pytest

from pairing.errors import PairingError
from pairing.trials import design
from pairing.trials.design import Factor

TWO = (Factor("cardamom", 2, 8), Factor("pepper", 0.5, 2))
THREE = (*TWO, Factor("mandarin", 40, 160))


def make(doses: Mapping[str, float]) -> Mapping[str, object]:
    """A formula that is stopped above 5 g/kg of cardamom, or where pepper and it pass 6."""
    stop = []
    if doses.get("cardamom", 0) > 5:
        stop.append("cardamom is above 5 g/kg")
    if doses.get("cardamom", 0) + doses.get("pepper", 0) > 6:
        stop.append("both pass 6 g/kg")
    return {"stops": stop, "doses": dict(doses)}


def free(doses: Mapping[str, float]) -> Mapping[str, object]:
    return {"stops": [], "doses": dict(doses)}


def test_a_ladder_climbs_by_ratio() -> None:
    made = design.plan("ladder", TWO[:1], free, steps=5)
    doses = [t.doses["cardamom"] for t in made.trials]
    assert doses == pytest.approx([2, 2.83, 4, 5.66, 8], abs=0.005)
    assert [t.name for t in made.trials] == list("ABCDE")
    steps = np.diff(np.log(doses))
    assert steps == pytest.approx(np.full(4, np.log(4) / 4), abs=0.005)


def test_designs_are_the_librarys_own() -> None:
    import pydoe

    pairs = (
        ("factorial", 3, pydoe.ff2n(3)),
        ("fraction", 4, pydoe.fracfact("a b c abc")),
        ("composite", 2, pydoe.ccdesign(2, center=(0, 1), face="ccf")),
    )
    for kind, count, theirs in pairs:
        ours = design.coded(kind, count)
        assert sorted(map(tuple, ours)) == sorted(map(tuple, np.asarray(theirs)))
    lattice = np.asarray(pydoe.simplex_centroid_design(3))
    made = design.plan("mixture", [Factor(n, 0, 12) for n in "abc"], free, total=12)
    ours = np.array([[t.doses[n] for n in "abc"] for t in made.trials]) / 12
    assert np.allclose(sorted(map(tuple, ours)), sorted(map(tuple, lattice)), atol=0.001)


@pytest.mark.parametrize(("kind", "count"), [("factorial", 2), ("factorial", 4), ("fraction", 5)])
def test_two_level_designs_are_orthogonal(kind: str, count: int) -> None:
    # Box, Hunter and Hunter 1978, Statistics for Experimenters, ch. 10 and 12
    rows = design.coded(kind, count)
    assert set(np.unique(rows)) == {-1.0, 1.0}
    assert (rows.sum(axis=0) == 0).all()
    assert all(rows[:, i] @ rows[:, j] == 0 for i, j in combinations(range(count), 2))


def test_a_half_fraction_has_resolution_four() -> None:
    rows = design.coded("fraction", 4)
    assert rows.shape == (8, 4)
    assert len(np.unique(rows.prod(axis=1))) == 1  # I = ABCD
    for i, j, k in combinations(range(4), 3):
        assert (rows[:, i] * rows[:, j]) @ rows[:, k] == 0


def test_composite_and_spread_stay_in_the_windows() -> None:
    made = design.plan("composite", TWO, free)
    assert len(made.trials) == 9  # four corners, four faces, one centre
    assert {t.doses["pepper"] for t in made.trials} == {0.5, 1.0, 2.0}
    made = design.plan("spread", THREE, free, trials=8, seed=4)
    for f in THREE:
        doses = sorted(t.doses[f.name] for t in made.trials)
        assert f.low <= doses[0] < doses[-1] <= f.high
        # one in each eighth of the window, by ratio: a Latin hypercube
        cells = [int(4 * (f.coded(x) + 1)) for x in doses]
        assert cells == list(range(8))


def test_law_cuts_the_window_and_drops_the_corner() -> None:
    made = design.plan("factorial", TWO, make)
    top = made.factors[0].high
    assert 4.9 < top <= 5.0
    assert "cardamom ends at" in made.notes[0]
    assert "above 5 g/kg" in made.notes[0]
    assert len(made.trials) == 3
    assert made.left_out == (({"cardamom": top, "pepper": 2.0}, "both pass 6 g/kg"),)
    assert all(not t.document["stops"] for t in made.trials)


def test_what_was_not_assessed_is_not_proposed() -> None:
    with pytest.raises(PairingError, match="not assessed"):
        design.plan("ladder", TWO[:1], lambda d: {"doses": d})

    def broken(doses: Mapping[str, float]) -> Mapping[str, object]:
        raise PairingError("no such pot")

    with pytest.raises(PairingError, match="no such pot"):
        design.plan("ladder", TWO[:1], broken)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Factor("x", 4, 4), "low below high"),
        (lambda: Factor("x", 1, 4, centre=9), "outside"),
        (lambda: design.plan("square", TWO, free), "unknown design 'square'"),
        (lambda: design.plan("ladder", (), free), "1 to 7"),
        (lambda: design.plan("ladder", (TWO[0], TWO[0]), free), "varied twice"),
        (lambda: design.plan("ladder", TWO, free, steps=40), "2 to 9"),
        (lambda: design.plan("mixture", TWO, free, total=90), "does not fit"),
        (lambda: design.plan("composite", TWO[:1], free), "needs two things"),
        (lambda: design.plan("spread", TWO, free, trials=99), "2 to 26"),
        (lambda: design.plan("factorial", [Factor(n, 1, 2) for n in "abcde"], free), "32 trials"),
    ],
)
def test_bad_input_gets_one_line(call, says: str) -> None:
    with pytest.raises(PairingError, match=says) as err:
        call()
    assert "\n" not in str(err.value)


def test_the_smallest_pot_that_can_be_weighed() -> None:
    assert design.honest_pot_g([4.0, 60], needed_g=90) == (250.0, True)  # 1 g on a 0.1 g balance
    assert design.honest_pot_g([60], needed_g=90) == (100.0, True)
    assert design.honest_pot_g([0.2], needed_g=90) == (2000.0, False)
    assert design.honest_pot_g([0.2], needed_g=90, balance_g=0.01) == (500.0, True)


def test_two_pots_make_a_ladder_and_the_mix_holds_the_doses() -> None:
    made = design.plan("ladder", TWO[:1], free, steps=5)
    found = design.pots(made, free, grams=200)
    assert found is not None
    shared, recipe = found
    assert [p.name for p in shared] == ["base", "cardamom"]
    inside = {p.name: p.doses["cardamom"] for p in shared}
    for t in made.trials:
        parts = recipe[t.name]
        assert sum(parts.values()) == pytest.approx(200)
        mixed = sum(inside[n] * g for n, g in parts.items()) / 200
        assert mixed == pytest.approx(t.doses["cardamom"], rel=0.006)


def test_no_stock_is_cooked_that_might_not_be_served() -> None:
    made = design.plan("composite", TWO, make)
    # nine corners and faces need twice the cardamom in its stock, which law forbids
    assert design.pots(made, make, grams=200) is None
