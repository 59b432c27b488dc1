"""Panel statistics against the tables of the standards and worked examples of textbooks.

``shared/sensory_*.csv`` says of each value where it comes from and whether it was read or recalled.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from pairing.trials import discrimination, preference, ranking

ROOT = Path(__file__).parents[2]
THIRD, HALF = 1 / 3, 1 / 2


def read(name: str) -> list[dict[str, str]]:
    with (ROOT / "shared" / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


WORKED = {row["what"]: row["value"] for row in read("sensory_worked.csv")}


def worked(name: str) -> float:
    return float(WORKED[name])


def test_triangle_critical_numbers_of_iso_4120() -> None:
    rows = read("sensory_triangle_critical.csv")
    assert len(rows) == 176
    for row in rows:
        found = discrimination.correct_needed(int(row["tasters"]), THIRD, float(row["alpha"]))
        assert str(found or "") == row["correct_needed"], row


def test_paired_critical_numbers_of_iso_5495() -> None:
    rows = read("sensory_paired_critical.csv")
    assert {r["sides"] for r in rows} == {"one", "two"}
    for row in rows:
        found = discrimination.correct_needed(
            int(row["tasters"]), HALF, float(row["alpha"]), row["sides"] == "two"
        )
        assert str(found) == row["agreeing_needed"], row


def test_panel_sizes_of_iso_4120() -> None:
    rows = read("sensory_triangle_panel.csv")
    assert len(rows) == 100
    for row in rows:
        found = discrimination.tasters_needed(
            float(row["discriminators"]), THIRD, float(row["alpha"]), 1 - float(row["beta"])
        )
        assert str(found) == row["tasters"], row


def test_discriminators_of_the_examples_of_iso_5495() -> None:
    share, low, high = discrimination.discriminators(21, 30, HALF)
    assert share == pytest.approx(
        worked("iso5495 example 1 of 30, 21 agree: distinguishers"), abs=1e-9
    )
    # the standard's interval is the normal approximation; the exact one is a little wider
    error = worked("iso5495 example 1 of 30, 21 agree: standard error")
    assert low == pytest.approx(share - 1.96 * error, abs=0.08)
    assert high == pytest.approx(share + 1.96 * error, abs=0.08)
    share, _, _ = discrimination.discriminators(32, 44, HALF)
    assert share == pytest.approx(
        worked("iso5495 example 3 of 44, 32 agree: distinguishers"), abs=0.005
    )


def test_eleven_of_twenty_triangles() -> None:
    assert discrimination.p_value(11, 20, THIRD) < worked("triangle 11 of 20: p below")
    assert discrimination.p_value(10, 20, THIRD) > worked("triangle 11 of 20: p below")


def friedman_examples() -> dict[str, list[list[float]]]:
    found: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for row in read("sensory_friedman.csv"):
        found[row["example"]][row["block"]].append(float(row["value"]))
    return {name: list(rows.values()) for name, rows in found.items()}


def test_friedman_of_hollander_and_wolfe() -> None:
    value, freedom, p = ranking.friedman(friedman_examples()["hollander-wolfe"])
    assert value == pytest.approx(worked("friedman hollander-wolfe chi-square"), abs=5e-5)
    assert freedom == 2
    assert p == pytest.approx(worked("friedman hollander-wolfe p"), rel=1e-3)


def test_friedman_of_the_turmeric_panel() -> None:
    rows = friedman_examples()["turmeric"]
    value, freedom, _ = ranking.friedman(rows)
    assert value == pytest.approx(worked("friedman turmeric chi-square"), abs=0.005)
    assert freedom == 5
    assert sum(r[4] for r in rows) == worked("friedman turmeric rank sum E")


def test_friedman_agrees_with_scipy() -> None:
    from scipy.stats import friedmanchisquare

    for rows in friedman_examples().values():
        theirs = friedmanchisquare(*np.array(rows).T)
        value, _, p = ranking.friedman(rows)
        assert value == pytest.approx(theirs.statistic, rel=1e-9)
        assert p == pytest.approx(theirs.pvalue, rel=1e-9)


@pytest.mark.parametrize(
    ("tasters", "trials", "statistic"), [(5, 3, 6.4), (4, 3, 6.5), (3, 4, 7.4), (3, 3, 6)]
)
def test_exact_distribution_of_friedman_1937(tasters: int, trials: int, statistic: float) -> None:
    published = worked(f"friedman exact k{trials} n{tasters} Q {statistic:g}")
    assert ranking.exact_tail(tasters, trials, statistic, 0.05)[0] == pytest.approx(
        published, abs=6e-4
    )


def citations() -> tuple[list[str], np.ndarray]:
    rows = read("sensory_bradley_terry.csv")
    names = ["Biometrika", "Comm Statist", "JASA", "JRSS-B"]
    wins = np.zeros((4, 4))
    for row in rows:
        i, j = names.index(row["first"]), names.index(row["second"])
        wins[i, j], wins[j, i] = float(row["first_wins"]), float(row["second_wins"])
    return names, wins


def test_bradley_terry_of_the_journal_citations() -> None:
    names, wins = citations()
    fitted = preference.bradley_terry(wins)
    for j, name in enumerate(names[1:], 1):
        found = fitted.ability[j] - fitted.ability[0]
        assert found == pytest.approx(worked(f"bradley-terry {name}"), abs=6e-6)
    c = fitted.covariance
    error = (c[0, 0] + c[1, 1] - 2 * c[0, 1]) ** 0.5
    assert error == pytest.approx(worked("bradley-terry se Comm Statist"), abs=6e-6)


def test_bradley_terry_agrees_with_choix() -> None:
    choix = pytest.importorskip("choix")
    rng = np.random.default_rng(3)
    _, wins = citations()
    tables = [wins, *(rng.integers(1, 9, size=(n, n)).astype(float) for n in (3, 5, 8))]
    for table in tables:
        np.fill_diagonal(table, 0)
        count = len(table)
        data = [(i, j) for i in range(count) for j in range(count) for _ in range(int(table[i, j]))]
        theirs = choix.ilsr_pairwise(count, data)
        ours = preference.bradley_terry(table).ability
        assert np.allclose(ours, theirs - theirs.mean(), atol=1e-6)
