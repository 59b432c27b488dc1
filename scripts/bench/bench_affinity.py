"""Time scoring 100,000 pairs and drawing every form's aroma 1,000 times; best of five.

Printed beside a plain numpy matrix product in the same run, so that a slow machine does not
read as slow code. Exit code 1 if either takes over a second times the machine factor.
"""

import sys
import time
from collections.abc import Callable

import numpy as np
import pandas as pd

import pairing.evidence.catalog
from pairing.affinity import model as affinity
from pairing.aroma import draws
from pairing.aroma import odour as aroma

PAIRS = 100_000
BUDGET_SECONDS = 1.0
BASELINE_SECONDS = 0.03  # two 1000 x 1000 matrices multiplied, on the machine of the budget


def best(call: Callable[[], object], repeats: int = 5) -> float:
    """Return the shortest of `repeats` timings in seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> int:
    """Print the table; return 1 if a call is over budget."""
    rng = np.random.default_rng(1)
    shipped = pairing.evidence.catalog.load()
    names = np.array([*shipped.forms, "coffee", "cinnamon", "ginger"])
    frame = pd.DataFrame(
        {"ingredient_a": rng.choice(names, PAIRS), "ingredient_b": rng.choice(names, PAIRS)}
    )
    found = aroma.profiles(shipped)
    square = rng.random((1000, 1000))
    baseline = best(lambda: square @ square)
    factor = max(1.0, baseline / BASELINE_SECONDS)
    first = best(lambda: affinity.score_pairs(frame, shipped), 1)
    calls: dict[str, Callable[[], object]] = {
        f"score_pairs, {PAIRS:,} pairs of {len(names)} names": (
            lambda: affinity.score_pairs(frame, shipped)
        ),
        f"draws of {len(found.ids)} forms, 1,000 each": (
            lambda: draws.draw_aroma(
                found.low / 1e3,
                found.high / 1e3,
                found.axis,
                draws.draw_thresholds(found.axis, 1000, rng),
                rng,
            )
        ),
    }
    print(f"{'baseline, matrix product':48s} {baseline:.3f} s (machine factor {factor:.1f})")
    print(f"{'score_pairs, first call with its tables':48s} {first:.3f} s")
    over = first > BUDGET_SECONDS * factor
    for name, call in calls.items():
        took = best(call)
        over |= took > BUDGET_SECONDS * factor
        print(f"{name:48s} {took:.3f} s")
    return int(over)


if __name__ == "__main__":
    sys.exit(main())
