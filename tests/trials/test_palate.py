"""The palate: what it learns, what it never proposes, and that it finds a hidden liking sooner."""

from __future__ import annotations

import importlib.util
import itertools
import sys
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from pairing.errors import PairingError
from pairing.trials import palate
from pairing.trials.design import Factor
from pairing.trials.palate import Tasted

FACTORS = (Factor("cardamom", 2, 18), Factor("pepper", 1, 9))


def liked(doses: Mapping[str, float]) -> float:
    return 7.5 - 1.5 * sum((f.coded(doses[f.name]) - 0.4) ** 2 for f in FACTORS)


def some(count: int, seed: int = 1) -> list[Tasted]:
    rng = np.random.default_rng(seed)
    out = []
    for row in rng.uniform(-1, 1, (count, 2)):
        doses = {f.name: f.at(c) for f, c in zip(FACTORS, row, strict=True)}
        out.append(Tasted(doses, liked(doses) + rng.normal(0, 0.2), 0.3))
    return out


def free(doses: Mapping[str, float]) -> Mapping[str, object]:
    return {"stops": []}


def test_it_learns_the_hidden_liking() -> None:
    learned = palate.learn(FACTORS, some(16))
    fresh = [t.doses for t in some(60, seed=9)]
    mean, spread = learned.expect(fresh)
    true = np.array([liked(d) for d in fresh])
    assert np.corrcoef(mean, true)[0, 1] > 0.9
    inside = np.abs(mean - true) <= 2 * spread
    assert inside.mean() > 0.85  # how sure it says it is, it is


def test_the_prior_speaks_until_tastings_do() -> None:
    few = some(3)
    wise = palate.learn(FACTORS, few, prior=lambda d: liked(d) - 7.5)
    flat = palate.learn(FACTORS, few)
    fresh = [t.doses for t in some(60, seed=9)]
    true = np.array([liked(d) for d in fresh])
    errors = [np.abs(p.expect(fresh)[0] - true).mean() for p in (wise, flat)]
    assert errors[0] < errors[1] / 2
    # a wrong practice is overruled
    wrong = palate.learn(FACTORS, some(25), prior=lambda d: 7.5 - liked(d))
    assert np.abs(wrong.expect(fresh)[0] - true).mean() < 0.5


def test_nothing_outside_window_or_law_is_ever_proposed() -> None:
    def make(doses: Mapping[str, float]) -> Mapping[str, object]:
        return {"stops": ["too much"] if doses["cardamom"] > 6 else []}

    for seed in range(5):
        found = palate.next_trials(palate.learn(FACTORS, some(8, seed)), make, count=4, seed=seed)
        assert len(found) == 4
        for f in found:
            assert f.doses["cardamom"] <= 6
            assert all(g.low <= f.doses[g.name] <= g.high for g in FACTORS)
            assert 0 <= f.better <= 1
        assert len({tuple(f.doses.values()) for f in found}) == 4
    with pytest.raises(PairingError, match="would be stopped"):
        palate.next_trials(palate.learn(FACTORS, some(8)), lambda d: {"stops": ["no"]})


def test_panels_are_levelled_by_the_trial_they_share() -> None:
    a, b, c = ({"cardamom": x, "pepper": 2.0} for x in (2.0, 6.0, 10.0))
    generous = [[5, 7], [6, 8], [5, 7]]
    stern = [[3, 4], [2, 3], [3, 4]]  # b again, two points sterner... and c a point above it
    found = palate.from_panels([([a, b], generous), ([b, c], stern)])
    means = [t.liking for t in found]
    assert means[2] == pytest.approx(means[1])
    assert means[3] - means[2] == pytest.approx(1)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: palate.learn(FACTORS, some(1)), "two different trials"),
        (
            lambda: palate.learn(FACTORS, [Tasted({"cardamom": x}, 5, 1) for x in (2, 4)]),
            "dose of pepper",
        ),
        (lambda: palate.next_trials(palate.learn(FACTORS, some(4)), free, count=20), "1 to 8"),
    ],
)
def test_bad_input_gets_one_line(call, says: str) -> None:
    with pytest.raises(PairingError, match=says):
        call()


def test_next_beats_random_and_the_ladder_on_a_few_seeds() -> None:
    """Four seeds here; scripts/simulate_trials.py runs fifty."""
    path = Path(__file__).parents[2] / "scripts" / "simulate_trials.py"
    spec = importlib.util.spec_from_file_location("simulate_trials", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["simulate_trials"] = module
    spec.loader.exec_module(module)
    last = {
        way: np.median([module.run(way, seed)[-1] for seed in range(100, 104)])
        for way in ("next", "random", "ladder")
    }
    assert last["next"] < last["random"]
    assert last["next"] < last["ladder"]


def test_results_print_in_one_line() -> None:
    from pairing.trials import design, discrimination, sheets

    made = design.plan("ladder", FACTORS[:1], lambda d: {"stops": [], "long": "x" * 9999})
    for value, says in (
        (palate.learn(FACTORS, some(4)), "<Palate: cardamom, pepper, learned from 4 trials>"),
        (made, "<Plan: ladder, 5 trials of cardamom>"),
        (
            sheets.make_sheet("paired", ["A", "B"], 4, seed=1),
            "<Sheet: paired, 2 trials, 4 tasters, 8 cups>",
        ),
        (discrimination.read_count("triangle", 9, 12), "<Reading: Your guests can tell B from A"),
    ):
        assert repr(value).startswith(says)
        assert len(repr(value)) < 200


def test_next_trials_are_cups_that_a_taster_can_tell_apart() -> None:
    one = (Factor("vanilla", 2.66, 14),)
    tasted = [Tasted({"vanilla": d}, 6.5 - abs(d - 4) / 5, 0.5) for d in (2.66, 4.0, 6.1, 9.2, 14)]
    learned = palate.learn(one, tasted)
    found = palate.next_trials(learned, free, count=4)
    best, _, _ = learned.best()
    doses = sorted([f.doses["vanilla"] for f in found] + [best["vanilla"]])
    assert all(high / low > 1.07 for low, high in itertools.pairwise(doses))
