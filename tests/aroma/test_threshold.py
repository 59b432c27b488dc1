"""Thresholds put together from their life stories."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from pairing.aroma import odour
from pairing.aroma.threshold import LAB_SPREAD, by_mouth_of, threshold_of
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.ranges import best_estimate
from pairing.evidence.rows import Threshold

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def package() -> Catalog:
    return load(DATA)


def row(low: float, high: float | None = None, **kw: object) -> Threshold:
    base = Threshold(
        threshold_id="t",
        compound_id="x",
        low_ug_per_l=low,
        high_ug_per_l=high if high is not None else low,
        kind="odour-orthonasal",
        medium="water",
        task="detection",
        stereo="",
        primary_source="lab",
        copy_of="",
        counted=True,
        why_not="",
        source_id="lab",
        evidence="read",
        note="",
    )
    return base._replace(**kw)  # type: ignore[arg-type]


def test_a_range_is_its_geometric_mean_and_the_floor_is_for_zero_alone() -> None:
    assert best_estimate(1, 10_000) == pytest.approx(100)
    assert best_estimate(0, 100) == pytest.approx(math.sqrt(10 * 100))
    assert best_estimate(0.5, 100) < best_estimate(0, 100)  # the less known is not the louder


def test_copies_and_left_out_rows_do_not_count() -> None:
    copy = row(1.0, counted=False, why_not="copy", copy_of="t")
    alone = threshold_of([row(1.0), row(100.0)])
    with_copies = threshold_of([row(1.0), copy, copy, copy, row(100.0)])
    assert alone == with_copies
    assert alone is not None
    assert alone.best == pytest.approx(10.0)


def test_unknown_medium_is_not_water() -> None:
    unknown = row(1.0, medium="unknown", counted=False, why_not="medium")
    found = threshold_of([unknown, row(100.0)])
    assert found is not None
    assert found.best == pytest.approx(100.0)
    alone = threshold_of([unknown])
    assert alone is not None
    assert alone.standing == "other medium"


def test_wine_raises_thresholds() -> None:
    """Linalool 6.4 to 7.9 fold in beer, rotundone 2 fold in red wine (rows of matrix.csv)."""
    catalog = load(DATA)
    rises = [
        r.ratio_low * r.ratio_high
        for r in catalog.matrix
        if r.reference_medium == "water" and r.matrix in ("unhopped beer", "red wine")
    ]
    rise = math.exp(sum(map(math.log, [6.4, 7.9, 2.0])) / 3)
    assert len(rises) == 2
    wine = threshold_of([row(46.0, medium="wine", counted=False, why_not="medium")])
    assert wine is not None
    assert wine.best == pytest.approx(46.0 / rise, rel=0.02)


def test_a_wide_range_weighs_less_and_disagreement_widens() -> None:
    near = threshold_of([row(1.0), row(0.1, 1000.0)])
    assert near is not None
    assert 1.0 < near.best < math.sqrt(1.0 * 10.0)
    same, apart = threshold_of([row(1.0), row(1.2)]), threshold_of([row(1.0), row(10_000.0)])
    assert same is not None
    assert apart is not None
    assert apart.high / apart.low > same.high / same.low


def test_by_mouth_takes_mouth_then_nose_times_the_matrix() -> None:
    tasted = row(5.0, kind="odour-retronasal")
    juice = row(2.0, kind="odour-retronasal", medium="juice", counted=False, why_not="medium")
    factor = (2.0, 4.0, 8.0)
    for rows, best in (
        ([row(1.0)], 4.0),
        ([row(1.0), tasted], 20.0),
        ([row(1.0), tasted, juice], 2.0),
        ([row(100.0), row(30.0, kind="pungency")], 30.0),
    ):
        found = by_mouth_of(rows, factor)
        assert found is not None
        assert found.best == pytest.approx(best)


def test_measurements_copied_in_books_are_copies_in_the_table(package: Catalog) -> None:
    """One value of beta-ionone stands in three books; no two counted rows repeat each other."""
    counted = [r for r in package.thresholds["beta-ionone"] if r.counted]
    assert sorted(r.low_ug_per_l for r in counted) == [0.007, 0.021, 0.2, 3.5]
    by_id = {r.threshold_id: r for rows in package.thresholds.values() for r in rows}
    for r in by_id.values():
        assert (r.why_not == "copy") == bool(r.copy_of)
        assert r.counted == (not r.why_not)
        assert not r.counted or r.medium == "water"
        if r.copy_of:
            assert by_id[r.copy_of].compound_id == r.compound_id
    for rows in package.thresholds.values():
        seen = [(r.kind, r.stereo, r.low_ug_per_l, r.high_ug_per_l) for r in rows if r.counted]
        assert len(seen) == len(set(seen))


def test_laboratories_differ_as_much_as_the_constant_says(package: Catalog) -> None:
    squares, freedom = 0.0, 0
    for rows in package.thresholds.values():
        logs = [
            math.log10(r.low_ug_per_l * r.high_ug_per_l) / 2.0
            for r in rows
            if r.counted and r.kind == "odour-orthonasal" and r.high_ug_per_l <= 10 * r.low_ug_per_l
        ]
        if len(logs) > 1:
            mean = sum(logs) / len(logs)
            squares += sum((x - mean) ** 2 for x in logs)
            freedom += len(logs) - 1
    assert freedom > 100
    assert math.sqrt(squares / freedom) == pytest.approx(LAB_SPREAD, abs=0.03)


def test_estimates_rest_on_their_family_and_carry_its_error(package: Catalog) -> None:
    found = 0
    for compound_id, rows in package.thresholds.items():
        for r in rows:
            if r.kind != "estimate":
                continue
            found += 1
            named = re.search(r"ug/l of ([a-z0-9;-]+), error .* ([0-9.]+) decades", r.note)
            assert named, r.note
            family = [threshold_of(package.thresholds[n]) for n in named[1].split(";")]
            logs = [math.log10(t.best) for t in family if t and t.standing != "estimate"]
            assert len(logs) == len(family) >= 3
            middle = math.log10(r.low_ug_per_l * r.high_ug_per_l) / 2.0
            assert middle == pytest.approx(sum(logs) / len(logs), abs=0.05)
            off = [x - (sum(logs) - x) / (len(logs) - 1) for x in logs]
            error = math.sqrt(sum(x * x for x in off) / len(off))
            assert float(named[2]) >= error - 0.05
            width = math.log10(r.high_ug_per_l / r.low_ug_per_l)
            assert width == pytest.approx(2 * math.sqrt(3) * float(named[2]), abs=0.1)
            assert all(o.kind in ("estimate", "bound") or not o.counted for o in rows), compound_id
    assert found > 80


def test_no_estimate_leads_where_anything_known_is_heard(package: Catalog) -> None:
    ax = odour.axis(package)
    guessed = int(np.flatnonzero(ax.estimated)[0])
    group = ax.group_of[guessed]
    known = int(np.flatnonzero(~ax.estimated & (ax.threshold_best > 0) & (ax.group_of != group))[0])
    oav = np.zeros(len(ax.compounds))
    oav[guessed], oav[known] = 1e6, 1.0
    assert odour.leading_groups(ax, oav)[0][0] == ax.groups[ax.group_of[known]]
    oav[known] = 0.0
    assert odour.leading_groups(ax, oav)[0][0] == ax.groups[group]


def test_bounds_are_what_their_rankings_give(package: Catalog) -> None:
    import importlib.util

    path = DATA.parent / "scripts" / "bound_thresholds.py"
    spec = importlib.util.spec_from_file_location("bound_thresholds", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    ranked = [r for rows in package.rankings.values() for r in rows if r.use == "bound"]
    stored = {
        r.compound_id: r for rows in package.thresholds.values() for r in rows if r.kind == "bound"
    }
    assert {r.compound_id for r in ranked} == set(stored)
    for r in ranked:
        assert stored[r.compound_id].low_ug_per_l == pytest.approx(
            module.bound(package, r), rel=0.06
        )
