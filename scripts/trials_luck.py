"""How often is luck called a result? Panels without any difference, read as the bar reads them.

    python scripts/trials_luck.py [PANELS]     (10,000 when not said; some minutes)

Prints false alarms beside the level asked for (5 in 100) and the level that the discrete test
really holds; exit code 1 if the alarms are more than the stated level explains (one in a thousand).
"""

from __future__ import annotations

import sys

import numpy as np
from scipy.stats import binom

from pairing.trials import discrimination, liking, preference, ranking

ALPHA = 0.05
SHUFFLES = 199  # a shuffle test holds its level at any number of shuffles


def false_alarms(name: str, panels: int, seed: int = 1) -> tuple[int, float]:
    """Panels that call luck a result, and the mean level the test held."""
    rng = np.random.default_rng(seed)
    alarms, levels = 0, []
    for panel in range(panels):
        if name in ("triangle", "duo-trio", "paired"):
            guess = 1 / 3 if name == "triangle" else 1 / 2
            found = discrimination.read_count(name, int(rng.binomial(12, guess)), 12)
        elif name == "ranking":
            places = np.argsort(rng.random((12, 4)), axis=1) + 1
            found = ranking.read_ranking(list("ABCD"), places, shuffles=SHUFFLES, seed=panel)
        elif name == "ranking in order":
            places = np.argsort(rng.random((12, 4)), axis=1) + 1
            found = ranking.read_ranking(
                list("ABCD"), places, order=list("ABCD"), shuffles=SHUFFLES, seed=panel
            )
        elif name == "incomplete ranking":
            places = np.full((14, 7), np.nan)
            for row in places:
                row[rng.choice(7, 4, replace=False)] = rng.permutation(4) + 1
            found = ranking.read_ranking(list("ABCDEFG"), places, shuffles=SHUFFLES, seed=panel)
        elif name == "liking":
            tasters = rng.normal(6, 1, size=(10, 1))  # stern and generous tasters, skewed answers
            scores = np.clip(np.round(tasters + rng.gumbel(0, 1, size=(10, 4))), 1, 9)
            found = liking.read_liking(list("ABCD"), scores, shuffles=SHUFFLES, seed=panel)
        elif name == "just-right":
            like = {"A": list(rng.integers(3, 10, 14).astype(float))}
            marks = {("A", q): list(rng.choice([2.0, 3, 3, 4], 14)) for q in ("sweet", "spicy")}
            found = liking.read_just_right(like, marks, shuffles=SHUFFLES, seed=panel)
        else:
            coins = rng.binomial(10, 0.5, size=6)
            both = [(a, b) for i, a in enumerate("ABCD") for b in "ABCD"[i + 1 :]]
            picks = {p: (int(c), 10 - int(c)) for p, c in zip(both, coins, strict=True)}
            found = preference.read_pairs(picks, tasters=10, deals=SHUFFLES, seed=panel)
        alarms += found.told_apart
        levels.append(found.attained if found.attained is not None else ALPHA)
    return alarms, float(np.mean(levels))


NAMES = ("triangle", "duo-trio", "paired", "ranking", "ranking in order", "incomplete ranking",
         "liking", "just-right", "pairs")  # fmt: skip


def main() -> int:
    """Print the table."""
    panels = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    print(f"{panels:,} panels each, nobody can tell anything; 5 in 100 false alarms allowed")
    print(f"{'test':20} {'alarms':>7} {'per 100':>8} {'level held':>11}")
    worst = 0
    for name in NAMES:
        alarms, held = false_alarms(name, panels)
        print(f"{name:20} {alarms:7} {100 * alarms / panels:8.2f} {100 * held:11.2f}", flush=True)
        worst += binom.sf(alarms - 1, panels, ALPHA) < 0.001
    return int(worst > 0)


if __name__ == "__main__":
    sys.exit(main())
