"""Published dilution and odour-activity rankings against the package's odour activity.

``data/rankings.csv`` holds the rankings with their sources. Those that bound a threshold or an
amount are no check any more; the others are compared by rank correlation (Kendall), by nose and
over water, as such studies work. Dilution rankings are of extracts, so agreement is asked on the
whole, not of each.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from pairing.aroma.odour import form_odours
from pairing.evidence.catalog import load
from pairing.evidence.rows import Ranking

PACKAGE = load(Path(__file__).parents[2] / "data")
BOUNDS = {"bound", "amount"}  # what bounds a threshold or an amount is no check of it


def strength(row: Ranking) -> float | None:
    if row.value is not None:
        return row.value
    return -float(row.place) if row.place is not None else None


def lists() -> dict[tuple[str, str, str], dict[str, float]]:
    """Ingredient, source and measure -> compound -> strength, bounded thresholds left out."""
    out: dict[tuple[str, str, str], dict[str, float]] = {}
    bounded = {
        (r.ingredient_id, r.compound_id)
        for rows in PACKAGE.rankings.values()
        for r in rows
        if r.use in BOUNDS
    }
    for rows in PACKAGE.rankings.values():
        for r in rows:
            value = strength(r)
            if r.use != "check" or value is None or (r.ingredient_id, r.compound_id) in bounded:
                continue
            out.setdefault((r.ingredient_id, r.source_id, r.measure), {})[r.compound_id] = value
    return {k: v for k, v in out.items() if len(v) >= 2}


def pairs(key: tuple[str, str, str]) -> tuple[int, int]:
    """Pairs in the published order, and all pairs of unequal place that the package can rank."""
    ranked = lists()[key]
    ours = {o.compound_id: o.oav for o in form_odours(PACKAGE, PACKAGE.forms[key[0]]) if o.oav > 0}
    good = total = 0
    for a, b in combinations([c for c in ranked if c in ours], 2):
        if ranked[a] != ranked[b]:
            total += 1
            good += (ranked[a] > ranked[b]) == (ours[a] > ours[b])
    return good, total


def test_rank_agreement_with_published_rankings() -> None:
    good = total = 0
    for key in lists():
        g, t = pairs(key)
        if t:
            print(f"\n{key[0]} ({key[1]}, {key[2]}): {g} of {t} pairs in the published order")
        good, total = good + g, total + t
    print(f"\nin all: {good} of {total}, Kendall tau {2 * good / total - 1:.2f}")
    assert total >= 20
    assert good > 0.6 * total


LOUDEST = 10


def test_odorants_named_together_are_loud() -> None:
    """Studies that name key odorants without an order: most are among our ten loudest."""
    loud = said = 0
    studied = {"odour activity value", "flavour dilution factor", "GC-O", "omission"}
    for ingredient_id, rows in PACKAGE.rankings.items():
        ours = [o.compound_id for o in form_odours(PACKAGE, PACKAGE.forms[ingredient_id]) if o.oav]
        named = {r.compound_id for r in rows if r.use not in BOUNDS and r.measure in studied}
        here = [c for c in named if c in ours]
        hits = [c for c in here if c in ours[:LOUDEST]]
        if here:
            print(f"\n{ingredient_id}: {len(hits)} of {len(here)} named odorants among the loudest")
        loud, said = loud + len(hits), said + len(here)
    print(f"\nin all: {loud} of {said}")
    assert said >= 90
    assert loud > 0.6 * said


@pytest.mark.parametrize("use", ["amount", "bound", "check", "context"])
def test_rankings_are_put_to_a_stated_use(use: str) -> None:
    assert any(r.use == use for rows in PACKAGE.rankings.values() for r in rows)
