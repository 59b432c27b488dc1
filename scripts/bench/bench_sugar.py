"""Time a million evaluations of each property of `pairing.sugar`, best of five.

Printed as seconds and as a ratio to a plain numpy polynomial of degree 5 in the same run, so
that a slow machine does not read as slow code. Exit code 1 if any property takes over 0.2 s
times the machine factor (the baseline against 9 ms).
"""

import sys
import time
from collections.abc import Callable

import numpy as np

from pairing.syrup import sugar

COUNT = 1_000_000
BUDGET_SECONDS = 0.2
BASELINE_SECONDS = 0.009  # numpy degree-5 Horner, a million points, on the machine of the budget


def best(call: Callable[[], object], repeats: int = 5) -> float:
    """Return the shortest of `repeats` timings in seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> int:
    """Print the table; return 1 if a property is over budget."""
    rng = np.random.default_rng(1)
    brix = rng.uniform(0, 60, COUNT)
    t = rng.uniform(10, 30, COUNT)
    index = rng.uniform(1.333, 1.5, COUNT)
    ph = rng.uniform(2.5, 6, COUNT)
    baseline = best(lambda: np.polynomial.polynomial.polyval(brix / 100, np.arange(1.0, 7.0)))
    calls: dict[str, Callable[[], object]] = {
        "density": lambda: sugar.density(brix, t),
        "refractive_index 20 °C": lambda: sugar.refractive_index(brix),
        "refractive_index": lambda: sugar.refractive_index(brix, t),
        "brix_from_refractive_index": lambda: sugar.brix_from_refractive_index(index),
        "refractometer_correction": lambda: sugar.refractometer_correction(brix, t),
        "viscosity": lambda: sugar.viscosity(brix, t),
        "boiling_point": lambda: sugar.boiling_point(brix),
        "solubility": lambda: sugar.solubility(t),
        "water_activity": lambda: sugar.water_activity(brix, t),
        "water_activity of a mixture": lambda: sugar.water_activity(brix, t, 0.2, 0.2),
        "freezing_point": lambda: sugar.freezing_point(brix),
        "heat_capacity": lambda: sugar.heat_capacity(brix, t),
        "inversion_fraction": lambda: sugar.inversion_fraction(ph, t, 10.0),
    }
    allowed = BUDGET_SECONDS * max(1.0, baseline / BASELINE_SECONDS)
    print(f"{'baseline polynomial':30s} {baseline:7.4f} s   budget {allowed:.3f} s")
    slow = 0
    for name, call in calls.items():
        seconds = best(call)
        slow += seconds > allowed
        print(f"{name:30s} {seconds:7.4f} s {seconds / baseline:7.1f} x baseline")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
