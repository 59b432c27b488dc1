from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from pairing.affinity import practice
from pairing.evidence.catalog import Catalog

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def known(catalog: Catalog) -> practice.Practice:
    return practice.practice(catalog)


def test_counts_are_of_the_table(catalog: Catalog, known: practice.Practice) -> None:
    text = (catalog.folder / "practice.csv").read_text(encoding="utf-8").splitlines()[1:]
    rows = [line.split(",") for line in text]
    assert known.counts["saffron", ""] == len({r[0] for r in rows if r[5] == "saffron"})
    assert known.counts["saffron", "hot"] == len(
        {r[0] for r in rows if r[5] == "saffron" and r[4] == "hot"}
    )
    assert known.page_counts["saffron"] == len({r[1] for r in rows if r[5] == "saffron"})


def test_the_cinnamons_count_as_one(known: practice.Practice) -> None:
    assert practice.item_of("cassia") == practice.item_of("ceylon-cinnamon") == "cinnamon"
    assert not practice.CINNAMONS & set(known.items)


def test_uncounted_stands_below_counted(catalog: Catalog, known: practice.Practice) -> None:
    # shrunk toward kind and aroma: not zero, and never above one real drink
    counted = [known.use[known.position[i]] for i in known.items if known.counts[i, ""]]
    ours = {practice.item_of(i) for i in catalog.ingredients} - set(practice.KIN)
    never = [known.use[known.position[i]] for i in ours if not known.counts[i, ""]]
    assert np.isfinite(never).all()
    assert max(never) < min(counted) + 0.2
    assert np.ptp(never) > 0.5


def test_pairs_are_symmetric_and_style_is_a_lift(known: practice.Practice) -> None:
    assert np.allclose(known.beside, known.beside.T)
    assert not known.beside.diagonal().any()
    at = known.position
    assert known.by_style["milk"][at["hazelnut-roasted"]] > 0
    assert known.by_style["sparkling"][at["grapefruit"]] > 0
    assert known.by_style["milk"][at["grapefruit"]] < 0


def test_learning_without_a_page_forgets_it(catalog: Catalog) -> None:
    drinks = practice.read(catalog)
    page = next(
        p for p, held in zip(drinks.pages, drinks.partners, strict=True) if "smoked-paprika" in held
    )
    kept = np.array([p != page for p in drinks.pages])
    without = practice.fit(catalog, drinks, kept)
    here = without.position["smoked-paprika"]
    assert without.use[here] < practice.practice(catalog).use[here] - 0.5


def test_mood_is_warm_against_fresh(known: practice.Practice) -> None:
    warm = known.mood(warm=True)
    assert warm[known.position["nutmeg"]] > 0 > warm[known.position["lime-persian"]]
    assert np.allclose(warm, -known.mood(warm=False))


def test_the_table_is_what_the_script_gathers(outside: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "fit_practice.py"), "--check",
         "--validation", str(outside / "validation")],
        capture_output=True, text=True, cwd=ROOT, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "482 drinks" in done.stdout
