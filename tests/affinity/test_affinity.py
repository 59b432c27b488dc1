from __future__ import annotations

import math
import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from sklearn.linear_model import Ridge
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import cross_val_score
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler
from sklearn.utils.estimator_checks import parametrize_with_checks

from pairing.affinity import model as affinity
from pairing.affinity import scorecard
from pairing.affinity.estimator import PairAffinity
from pairing.aroma import draws
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase, brewed
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.tables import read_rows

SHIPPED = load()
BENCH = affinity.bench(SHIPPED)
MODEL = affinity.model(SHIPPED)
ROW = st.integers(0, len(BENCH.ids) - 1)


def cup(**said: str) -> CoffeeBase:
    return brewed(SHIPPED, **said)


# --- reasons --------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(ROW, ROW)
def test_terms_add_up_to_the_score(i: int, j: int) -> None:
    a, b = BENCH.features[i], BENCH.features[j]
    terms = MODEL.explain(a, b)
    assert math.isclose(
        math.fsum(t.value for t in terms), MODEL.score(a, b).item(), rel_tol=0, abs_tol=1e-12
    )
    harmony = math.fsum(t.value for t in terms if t.part in affinity.HARMONY_PARTS)
    nothing = np.zeros_like(a)
    assert_allclose(harmony, MODEL.harmony(a, b, nothing, nothing).item(), atol=1e-12)
    habit = math.fsum(t.value for t in terms if t.part in affinity.HABIT_PARTS)
    assert_allclose(habit, MODEL.habit(a, b).item(), atol=1e-12)


@settings(max_examples=40, deadline=None)
@given(ROW, ROW)
def test_order_of_a_pair_does_not_matter(i: int, j: int) -> None:
    a, b = BENCH.features[i], BENCH.features[j]
    assert_allclose(MODEL.score(a, b), MODEL.score(b, a), atol=1e-12)


def test_reasons_of_a_coffee_say_what_it_has_more_of() -> None:
    floral = affinity.coffee_features(SHIPPED, cup(origin="ethiopia", roast="light"))
    jasmine = affinity.pair_features(SHIPPED, "jasmine")
    bridges = [t for t in MODEL.explain(floral, jasmine) if t.part == "bridge"]
    best = max(bridges, key=lambda t: t.value)
    assert best.label.startswith("this coffee has more")
    assert "shift:floral-terpenols" in {best.a, best.b}


def test_the_ordinary_coffee_has_no_bridge() -> None:
    x = affinity.coffee_features(SHIPPED)
    shift = [i for i, n in enumerate(MODEL.names) if n.startswith("shift:")]
    assert not x[shift].any()
    assert len(shift) == len(SHIPPED.groups)


def test_profiles_have_blocks_of_length_one() -> None:
    start = 1
    for name, width in affinity.blocks(SHIPPED)[:3]:
        length = np.linalg.norm(BENCH.features[:, start : start + width], axis=1)
        assert np.all((np.abs(length - 1.0) < 1e-12) | (length == 0.0)), name
        start += width


# --- scoring tables of pairs ----------------------------------------------------------------


def test_score_pairs_keeps_rows_and_reports_unknown_names() -> None:
    frame = pd.DataFrame(
        {
            "ingredient_a": ["coffee", "Elaichi", "nosuchthing", "coffee"],
            "ingredient_b": ["mandarin peel", "black pepper", "coffee", None],
            "note": ["w", "x", "y", "z"],
        }
    )
    out = affinity.score_pairs(frame)
    assert list(out.columns) == [*frame.columns, "score", "harmony", "low", "high"]
    assert list(out["note"]) == ["w", "x", "y", "z"]
    assert out["score"].notna().tolist() == [True, True, False, False]
    assert out.attrs["unknown"] == ["nosuchthing", ""]
    known = out[:2]
    assert (known["low"] <= known["score"]).all()
    assert (known["score"] <= known["high"]).all()


def test_a_list_of_rows_gives_the_same_numbers_without_pandas() -> None:
    rows = [{"ingredient_a": "coffee", "ingredient_b": "clove"}]
    listed = affinity.score_pairs([*rows, {"ingredient_a": "x?", "ingredient_b": "clove"}])
    framed = affinity.score_pairs(pd.DataFrame(rows))
    assert listed[0]["score"] == framed["score"][0]
    assert listed[1]["score"] is None


@pytest.mark.parametrize(
    ("word", "kinds"),
    [
        ("cinnamon", ("ceylon-cinnamon", "cassia")),
        ("ginger", ("ginger-fresh", "ginger-dried")),
    ],
)
def test_a_shared_name_scores_as_the_mean_of_its_kinds(word: str, kinds: tuple[str, str]) -> None:
    columns, unknown = affinity.score_rows(
        SHIPPED, [("coffee", word), *(("coffee", k) for k in kinds)]
    )
    assert not unknown
    assert_allclose(columns["score"][0], columns["score"][1:].mean(), atol=1e-12)


def test_a_missing_column_gets_one_line() -> None:
    with pytest.raises(PairingError, match="ingredient_b"):
        affinity.score_pairs(pd.DataFrame({"ingredient_a": ["clove"]}))
    assert affinity.score_pairs([]) == []


def test_the_interval_of_a_pair_is_that_of_plain_draws() -> None:
    # score_rows works from covariances; drawing both profiles outright must agree
    found = aroma.profiles(SHIPPED)
    names = ("green-cardamom", "mandarin-peel")
    at = [found.position[n] for n in names]
    rng = np.random.default_rng(5)
    sides = [
        draws.draw_aroma(
            found.low[[i]] / 1e3,
            found.high[[i]] / 1e3,
            found.axis,
            draws.draw_thresholds(found.axis, 4000, rng),
            rng,
        )[0]
        for i in at
    ]
    groups = slice(1, 1 + len(found.axis.groups))
    x = [np.repeat(affinity.pair_features(SHIPPED, n)[None], 4000, axis=0) for n in names]
    for side, row in zip(sides, x, strict=True):
        row[:, groups] = side.T
    spread = MODEL.score(x[0], x[1]).std()
    columns, _ = affinity.score_rows(SHIPPED, [names])
    half = (columns["high"][0] - columns["low"][0]) / 2 / affinity.LOW_HIGH
    assert half == pytest.approx(spread, rel=0.15)


# --- Monte-Carlo ----------------------------------------------------------------------------


def test_same_seed_same_answer() -> None:
    pairs = [("coffee", "clove"), ("mandarin", "green-cardamom")]
    first, again, other = (
        affinity.score_rows(SHIPPED, pairs, seed=seed)[0]["low"] for seed in (1, 1, 2)
    )
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
    assert_allclose(first, other, atol=0.05)


def test_draws_stay_between_the_ends_of_the_ranges() -> None:
    found = aroma.profiles(SHIPPED)
    ax = found.axis
    row = found.position["mandarin-peel"]
    low, high = found.low[[row]] / 1e3, found.high[[row]] / 1e3
    rng = np.random.default_rng(3)
    drawn = draws.draw_aroma(
        low, high, ax, draws.draw_thresholds(ax, 200, rng), rng, unit_length=False
    )[0]
    with np.errstate(invalid="ignore"):
        most = np.minimum(1e3 * high[0], 1e3 * ax.solubility) / ax.threshold_low
    bound = aroma.group_loudness(np.nan_to_num(most), ax)
    assert (drawn <= bound[:, None] + 1e-4).all()
    assert (drawn.std(axis=1) > 0).any()


def test_draws_of_exact_numbers_are_exact() -> None:
    found = aroma.profiles(SHIPPED)
    ax = found.axis
    exact = replace(ax, threshold_low=ax.threshold_best, threshold_high=ax.threshold_best)
    row = found.position["green-cardamom"]
    rng = np.random.default_rng(0)
    drawn = draws.draw_aroma(
        found.best[[row]] / 1e3,
        found.best[[row]] / 1e3,
        exact,
        draws.draw_thresholds(exact, 3, rng),
        rng,
        unit_length=False,
    )
    expected = aroma.group_loudness(found.oav(1.0)[[row]], ax)[0]
    assert_allclose(drawn[0], np.repeat(expected[:, None], 3, axis=1), atol=1e-4)


def test_kind_means_centre_harmony() -> None:
    # citrus must not be punished for being citrus: its mean harmony is about zero ...
    cup_row = affinity.coffee_features(SHIPPED)[None]
    mean = BENCH.kind_means["citrus"][None]
    rows = [i for i, k in enumerate(BENCH.kinds) if k == "citrus" and BENCH.has_aroma[i]]
    harmony = MODEL.harmony(BENCH.features[rows], cup_row, mean, cup_row)
    assert abs(harmony.mean()) < 0.03
    # ... while the plain prediction says that cooks seldom do it
    assert MODEL.score(mean, cup_row).item() < -0.8


# --- what a change of coffee does -----------------------------------------------------------


def moved(first: dict[str, str], second: dict[str, str]) -> dict[str, float]:
    """Change of the plain prediction of every form from the first coffee to the second."""
    rows = BENCH.features[BENCH.has_aroma]
    before, after = (affinity.coffee_features(SHIPPED, cup(**c)) for c in (first, second))
    change = MODEL.score(rows, after[None]) - MODEL.score(rows, before[None])
    ids = np.array(BENCH.ids)[BENCH.has_aroma]
    return dict(zip(ids.tolist(), change.tolist(), strict=True))


LIGHT = {"origin": "ethiopia", "process": "washed", "roast": "light", "brew": "filter"}
DARK = {"species": "robusta", "process": "washed", "roast": "dark", "brew": "filter"}


@pytest.mark.parametrize(
    "form_id", ["lemon-peel", "bergamot-peel", "mandarin-peel", "jasmine", "coriander-seed"]
)
def test_a_light_washed_coffee_moves_toward_citrus_peel_and_flowers(form_id: str) -> None:
    # washed Ethiopian coffee is described as floral and citrus: common practice, no source
    change = moved(DARK, LIGHT)
    assert change[form_id] > np.median(list(change.values()))
    assert change[form_id] > 0


@pytest.mark.parametrize(
    "form_id", ["cacao-nib", "hazelnut-roasted", "walnut", "cassia", "clove", "vanilla-bean"]
)
def test_a_dark_robusta_moves_toward_cacao_nut_and_warm_spice(form_id: str) -> None:
    # robusta and dark roasts are higher in guaiacols and alkylpyrazines: Blank, Sen & Grosch
    # 1991; Semmelroch & Grosch 1996, J. Agric. Food Chem. 44, 537 (from memory); partners:
    # common practice, no source
    change = moved(LIGHT, DARK)
    assert change[form_id] > np.median(list(change.values()))
    assert change[form_id] > 0


def test_a_natural_moves_toward_fruit_esters() -> None:
    # natural coffees taste of fermented fruit: common practice, no source
    change = moved(LIGHT, {**LIGHT, "process": "natural"})
    group = MODEL.names.index("aroma:fruity-esters")
    esters = np.array([BENCH.features[BENCH.position[f], group] for f in change])
    delta = np.array(list(change.values()))
    assert scorecard.rank_correlation(esters, delta) > 0.2
    assert delta[esters > 0.3].mean() > delta[esters == 0].mean()


# --- the estimator --------------------------------------------------------------------------

ODD = "makes X with an odd number of columns, which cannot be two profiles"
NOT_FOR_PAIRS = {
    "check_regressors_train": "needs a free line; this form is symmetric in its two halves",
    **dict.fromkeys(
        (
            "check_dict_unchanged",
            "check_dont_overwrite_parameters",
            "check_estimators_dtypes",
            "check_estimators_nan_inf",
            "check_estimators_pickle",
            "check_f_contiguous_array_estimator",
            "check_fit2d_predict1d",
            "check_fit_score_takes_y",
            "check_methods_sample_order_invariance",
            "check_methods_subset_invariance",
            "check_pipeline_consistency",
            "check_sample_weights_list",
            "check_supervised_y_2d",
        ),
        ODD,
    ),
}


@parametrize_with_checks([PairAffinity()], expected_failed_checks=lambda _: NOT_FOR_PAIRS)
def test_scikit_learn_checks(estimator: PairAffinity, check: object) -> None:
    check(estimator)  # type: ignore[operator]


def random_pairs(seed: int = 0, n: int = 80, p: int = 4) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    x = rng.normal(size=(n, 2 * p))
    return x, x[:, 0] * x[:, p] + 0.1 * rng.normal(size=n)


def test_it_is_ridge_regression_on_symmetric_products() -> None:
    # against scikit-learn's Ridge on the products written out
    x, y = random_pairs()
    y = y - y.mean()  # the mean is taken out before the ridge
    p = x.shape[1] // 2
    one = np.ones((len(x), 1))
    a, b = np.hstack([one, x[:, :p]]), np.hstack([one, x[:, p:]])
    products = (a[:, :, None] * b[:, None, :] + a[:, None, :] * b[:, :, None]).reshape(len(x), -1)
    ridge = Ridge(alpha=0.7, fit_intercept=False).fit(products / 2.0, y)
    ours = PairAffinity(alpha=0.7).fit(x, y)
    assert_allclose(ours.predict(x), ridge.predict(products / 2.0), atol=1e-8)
    assert_allclose(ours.coef_.ravel(), ridge.coef_, atol=1e-8)


def test_blocks_and_likeness_are_honoured() -> None:
    x, y = random_pairs()
    only = PairAffinity(
        blocks=[("first", 1), ("rest", 3)], scales={("first", "first"): 1.0}, alpha=0.1
    ).fit(x, y)
    assert only.coef_[1, 1] > 0.5
    assert not only.coef_[2:, :].any()
    alike = PairAffinity(
        blocks=[("first", 1), ("rest", 3)], scales={}, likeness=("first",), alpha=0.1
    ).fit(x, y)
    assert alike.likeness_[0] > 0.5
    assert not alike.likeness_[1:].any()
    with pytest.raises(ValueError, match="half of X is 4"):
        PairAffinity(blocks=[("first", 1)]).fit(x, y)


def test_checks_that_scikit_learn_makes_with_odd_data_hold_with_even_data() -> None:
    x, y = random_pairs()
    fitted = PairAffinity(passes=2).fit(x, y, np.ones(len(y)).tolist())
    assert_allclose(pickle.loads(pickle.dumps(fitted)).predict(x), fitted.predict(x))
    order = np.random.default_rng(1).permutation(len(x))
    assert_allclose(fitted.predict(x[order]), fitted.predict(x)[order], atol=1e-10)
    assert_allclose(
        np.concatenate([fitted.predict(x[[i]]) for i in range(5)]), fitted.predict(x[:5])
    )
    assert fitted.predict(x.astype(np.float32)).shape == y.shape
    assert_allclose(fitted.predict(np.asfortranarray(x)), fitted.predict(x))
    with pytest.raises(ValueError, match="even number"):
        PairAffinity().fit(x[:, :3], y)
    hole = x.copy()
    hole[0, 0] = np.nan
    with pytest.raises(ValueError, match="NaN"):
        PairAffinity().fit(hole, y)
    with pytest.raises(ValueError, match="NaN"):
        fitted.predict(hole)


def test_it_works_in_pipelines_and_cross_validation() -> None:
    x, y = random_pairs()
    assert cross_val_score(PairAffinity(alpha=0.1), x, y, cv=4).mean() > 0.8
    assert cross_val_score(make_pipeline(StandardScaler(), PairAffinity()), x, y).mean() > 0.7


# --- the score card -------------------------------------------------------------------------


def test_measures_are_those_of_the_reference_libraries() -> None:
    from scipy.stats import spearmanr

    rng = np.random.default_rng(0)
    guess, truth = np.round(rng.normal(size=(2, 200)), 1)  # with ties
    assert scorecard.rank_correlation(guess, truth) == pytest.approx(
        spearmanr(guess, truth).statistic
    )
    assert scorecard.auc(guess, truth) == pytest.approx(roc_auc_score(truth > 0, guess))
    assert math.isnan(scorecard.rank_correlation(np.ones(5), truth[:5]))


def test_completion_counts_ranks() -> None:
    matrix = np.array([[0.0, 2.0, 1.0], [2.0, 0.0, 0.0], [1.0, 0.0, 0.0]])
    found = scorecard._completion([[0, 1], [0, 2]], {"m": (matrix, np.zeros(3))}, 10)
    # hide 0 of (0,1): 0 beats 2; hide 1: 1 beats 2; hide 0 of (0,2): first; hide 2: 1 is before it
    assert found[0].value == pytest.approx((1 + 1 + 1 + 0.5) / 4)
    assert found[1].value == 1.0


@pytest.fixture(scope="module")
def card(outside: Path) -> scorecard.Card:
    network = outside / "open-data" / "flavour-network-2011"
    return scorecard.run(outside / "validation", network, quick=True, seeds=3, resamples=50)


def test_baselines_are_those_published_with_the_validation_data(card: scorecard.Card) -> None:
    # ../shared/validation/README.md: shared count 0.08 / 0.54, Jaccard 0.12 / 0.56
    for method, correlation, area in (
        ("shared compounds", 0.08, 0.54),
        ("Jaccard", 0.12, 0.56),
    ):
        assert round(card.find("no fitting", method, "rank correlation").value, 2) == correlation
        assert round(card.find("no fitting", method, "AUC").value, 2) == area


def test_the_affinity_predicts_pairs_it_never_saw(card: scorecard.Card) -> None:
    for protocol, correlation, area in (
        ("five-fold", 0.63, 0.83),
        ("ingredient left out", 0.60, 0.81),
        ("ingredient left out, each", 0.53, 0.78),
    ):
        assert card.find(protocol, "affinity", "rank correlation").value >= correlation
        assert card.find(protocol, "affinity", "AUC").value >= area
    left = card.find("coffee left out", "affinity", "rank correlation")
    assert left.value > card.find("coffee left out", "shared compounds", "rank correlation").value


def test_no_pair_of_a_left_out_ingredient_is_learned_from(outside: Path) -> None:
    pairs = scorecard.read_pairs(outside / "validation")
    seen: list[bool] = []

    def spy(learn: scorecard.Index, ask: scorecard.Index) -> np.ndarray:
        held = set(pairs.a[ask]) & set(pairs.b[ask]) or (set(pairs.a[ask]) | set(pairs.b[ask]))
        common = [n for n in held if all(n in (pairs.a[k], pairs.b[k]) for k in ask)]
        seen.append(any(not ((pairs.a[learn] == n) | (pairs.b[learn] == n)).any() for n in common))
        return np.zeros(len(ask))

    scorecard.left_out(pairs, spy)
    assert len(seen) > 40
    assert all(seen)


def test_the_shipped_table_is_what_the_fit_gives(outside: Path) -> None:
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, str(root / "scripts" / "fit_affinity.py"), "--check"],
        capture_output=True,
        text=True,
        cwd=root,
        env={"PYTHONPATH": str(root), "PATH": ""},
        check=False,
    )
    assert done.stdout == "would change: nothing\n", done.stderr


def test_an_absent_validation_folder_gets_one_line(tmp_path: Path) -> None:
    with pytest.raises(PairingError, match=r"recipe_pairs\.csv"):
        scorecard.run(tmp_path)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (None, "no compatibility.csv"),
        ("aroma:nosuch,one,learned,0.1,x,computed", "cannot use row"),
        ("one,one,learned,much,x,computed", "cannot use row"),
    ],
)
def test_a_bad_table_gets_one_line(tmp_path: Path, row: str | None, said: str) -> None:
    for name in ("groups.csv", "kitchens.csv", "kitchen_names.csv"):
        (tmp_path / name).write_bytes((SHIPPED.folder / name).read_bytes())
    if row is not None:
        header = "feature_a,feature_b,part,coefficient,source_id,evidence"
        (tmp_path / "compatibility.csv").write_text(f"{header}\n{row}\n", encoding="utf-8")
    with pytest.raises(PairingError, match=said):
        affinity.model(Catalog(tmp_path))


def test_no_counts_of_recipes_ship() -> None:
    header, rows = read_rows(SHIPPED.folder / "compatibility.csv")
    assert header[:4] == ["feature_a", "feature_b", "part", "coefficient"]
    values = np.array([float(r[3]) for r in rows])
    assert np.abs(values).max() < 3
    assert not (values == np.round(values)).any()


def test_predicting_does_not_wait_for_pandas_or_scikit_learn() -> None:
    root = Path(__file__).resolve().parents[2]
    code = (
        "import sys; from pairing.affinity import model as affinity; "
        "from pairing.evidence import catalog; c = catalog.load(); "
        "affinity.score_pairs([{'ingredient_a': 'coffee', 'ingredient_b': 'clove'}], c); "
        "print([m for m in ('pandas', 'sklearn', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=root,
        check=True,
    )
    assert done.stdout.strip() == "[]"
