"""Does `trials next` find a hidden palate sooner than random search or the plain ladder?

    python scripts/simulate_trials.py [SEEDS] [--figure docs/trials-next.svg]

Each seed draws a hidden liking over three doses: a best point, how fast liking falls off on either
side of it (by ratio of dose), a give and take between two of them, and a practice that is roughly
right (its centre is off by a quarter of the window). Every way tastes five rounds of six cups with
eight tasters, who answer 1 to 9 with their own level and noise. All start with the same first
round, a spread. Regret is the liking of the best lawful dose less that of the trial a way would put
on the menu. Ways:

- next: Gaussian process with practice as prior, expected improvement
- next, no prior: the same with a flat prior
- random: six random trials a round
- random, learned: random trials, but the winner chosen by the same Gaussian process
- ladder: one thing at a time, a ladder of six through its window, the best kept

Random and ladder put on the menu the trial with the highest mean so far. Prints medians by round
and exit code 1 unless `next` has the least median regret after five rounds.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np

from pairing.trials.design import Factor, coded
from pairing.trials.palate import Tasted, from_panels, learn, next_trials

FACTORS = (Factor("cardamom", 4, 16), Factor("pepper", 2, 16), Factor("mandarin", 100, 600))
ROUNDS, CUPS, TASTERS, NOISE = 5, 6, 8, 1.2
WAYS = ("next", "next, no prior", "random", "random, learned", "ladder")
Doses = dict[str, float]


class Hidden:
    """A palate that the ways do not know."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.peak = rng.uniform(-0.7, 0.7, 3)
        self.fall = rng.uniform(0.8, 2.5, (2, 3))  # points lost a window away, below and above
        self.cross = rng.uniform(-0.8, 0.8)
        self.top = rng.uniform(6.5, 7.5)
        # practice: a quarter of the window off, a common steepness
        self.practice = np.clip(self.peak + rng.normal(0, 0.5, 3), -0.9, 0.9)
        self.limit = rng.uniform(0.6, 1.0)  # law cuts the first factor here

    def liking(self, x: np.ndarray) -> np.ndarray:
        gap = np.atleast_2d(x) - self.peak
        loss = np.where(gap < 0, self.fall[0], self.fall[1]) * gap**2
        lost = loss.sum(axis=1) + self.cross * gap[:, 0] * gap[:, 1]
        return np.clip(self.top - lost, 1, 9)

    def best(self) -> float:
        grid = np.stack(np.meshgrid(*[np.linspace(-1, 1, 25)] * 3), axis=-1).reshape(-1, 3)
        return float(self.liking(grid[grid[:, 0] <= self.limit]).max())

    def panel(self, x: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        level = rng.normal(0, 0.8, (TASTERS, 1))
        true = self.liking(x)[None, :]
        return np.clip(np.round(true + level + rng.normal(0, NOISE, (TASTERS, len(x)))), 1, 9)


def as_doses(row: np.ndarray) -> Doses:
    return {f.name: f.at(float(c)) for f, c in zip(FACTORS, row, strict=True)}


def as_row(doses: Mapping[str, float]) -> np.ndarray:
    return np.array([f.coded(doses[f.name]) for f in FACTORS])


def run(way: str, seed: int) -> list[float]:
    """Regret after each round."""
    rng = np.random.default_rng(seed)
    hidden = Hidden(rng)
    start = coded("spread", 3, CUPS, seed)
    start[:, 0] = np.minimum(start[:, 0], hidden.limit)
    first = hidden.panel(start, rng)  # the same for every way
    luck = np.random.default_rng([seed, WAYS.index(way)])

    def make(doses: Mapping[str, float]) -> Mapping[str, object]:
        over = FACTORS[0].coded(doses["cardamom"]) > hidden.limit + 1e-9
        return {"stops": ["law"] if over else []}

    def prior(doses: Mapping[str, float]) -> float:
        return float(-1.0 * ((as_row(doses) - hidden.practice) ** 2).sum())

    panels = [([as_doses(r) for r in start], first)]
    regrets = []
    best = hidden.best()
    for round_ in range(1, ROUNDS + 1):
        tasted = from_panels(panels)
        learned = way in ("next", "next, no prior", "random, learned")
        palate = learn(FACTORS, tasted, prior=prior if way == "next" else None) if learned else None
        chosen = palate.best()[0] if palate else _highest(tasted)
        regrets.append(best - float(hidden.liking(as_row(chosen))[0]))
        if round_ == ROUNDS:
            return regrets
        if way.startswith("next"):
            assert palate is not None
            found = [dict(f.doses) for f in next_trials(palate, make, count=CUPS - 1, seed=seed)]
            doses = [dict(chosen), *found]  # the best so far links the panels
        elif way == "ladder":
            axis = (round_ - 1) % 3
            rows = np.tile(as_row(chosen), (CUPS, 1))
            top = hidden.limit if axis == 0 else 1.0
            now = rows[0, axis]
            rows[:, axis] = np.linspace(-1, top, CUPS)
            rows[np.abs(rows[:, axis] - now).argmin(), axis] = now  # the best so far is a rung
            doses = [as_doses(r) for r in rows]
        else:
            rows = luck.uniform(-1, 1, (CUPS, 3))
            rows[:, 0] = luck.uniform(-1, hidden.limit, CUPS)
            rows[0] = as_row(chosen)  # the best so far links the panels here too
            doses = [as_doses(r) for r in rows]
        panels.append((doses, hidden.panel(np.array([as_row(d) for d in doses]), luck)))
    return regrets


def _highest(tasted: list[Tasted]) -> Doses:
    """The trial with the highest mean over the panels that had it."""
    means: dict[tuple[tuple[str, float], ...], list[float]] = {}
    for t in tasted:
        means.setdefault(tuple(t.doses.items()), []).append(t.liking)
    return dict(max(means, key=lambda k: float(np.mean(means[k]))))


def simulate(seeds: int, say: Callable[[str], object] = print) -> dict[str, np.ndarray]:
    """Regrets, seeds x rounds, by way."""
    found = {}
    for way in WAYS:
        found[way] = np.array([run(way, s) for s in range(seeds)])
        say(f"{way:18}" + "".join(f"{m:8.2f}" for m in np.median(found[way], axis=0)))
    return found


def figure(found: dict[str, np.ndarray], path: Path) -> None:
    """Median regret by round, with the middle half, as SVG text."""
    import matplotlib

    matplotlib.use("svg")
    import matplotlib.pyplot as plt

    matplotlib.rcParams["svg.fonttype"] = "none"
    matplotlib.rcParams["svg.hashsalt"] = "trials"
    marks = {"next": ("#0b4f6c", "o", "-"), "next, no prior": ("#3a86a8", "s", "--"),
             "random": ("#8a5a00", "^", "-"), "random, learned": ("#c08a2d", "v", "--"),
             "ladder": ("#6b6b6b", "D", ":")}  # fmt: skip
    fig, ax = plt.subplots(figsize=(7, 4.2))
    rounds = np.arange(1, ROUNDS + 1)
    for way, regrets in found.items():
        colour, mark, line = marks[way]
        ax.plot(rounds, np.median(regrets, axis=0), color=colour, marker=mark, ls=line, label=way)
        if way in ("next", "random", "ladder"):
            low, high = np.percentile(regrets, [25, 75], axis=0)
            ax.fill_between(rounds, low, high, color=colour, alpha=0.12, lw=0)
    seeds = len(found["next"])
    ax.set_xticks(rounds)
    ax.set_xlabel(f"rounds of {CUPS} cups, {TASTERS} tasters")
    ax.set_ylabel("points of liking short of the best")
    ax.set_ylim(bottom=0)
    ax.set_title(
        f"Finding a hidden palate: median of {seeds} seeds, middle half shaded", fontsize=11
    )
    ax.legend(frameon=False)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    fig.tight_layout()
    fig.savefig(path, metadata={"Date": None})


def main() -> int:
    """Run, print, draw."""
    args = sys.argv[1:]
    seeds = int(args[0]) if args and args[0].isdigit() else 50
    print(f"median points of liking short of the best, {seeds} seeds, after round 1 to {ROUNDS}")
    found = simulate(seeds, lambda line: print(line, flush=True))
    if "--figure" in args:
        figure(found, Path(args[args.index("--figure") + 1]))
    last = {way: float(np.median(r[:, -1])) for way, r in found.items()}
    for other in ("random", "ladder"):
        gaps = found[other][:, -1] - found["next"][:, -1]
        print(f"next is better than {other} in {(gaps > 0).mean():.0%} of seeds")
    return int(last["next"] >= min(last["random"], last["ladder"]))


if __name__ == "__main__":
    sys.exit(main())
