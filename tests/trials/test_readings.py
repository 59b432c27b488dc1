"""What is read out of a panel: sentences, numbers, and how seldom luck is called a result."""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from pairing.errors import PairingError
from pairing.trials import discrimination, liking, preference, ranking, shuffles
from pairing.trials.verdict import holm, luck

NAN = math.nan


def script(name: str) -> ModuleType:
    path = Path(__file__).parents[2] / "scripts" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_nine_of_twelve() -> None:
    found = discrimination.read_count("triangle", 9, 12)
    assert found.told_apart
    assert found.sentence == (
        "Your guests can tell B from A: 9 of 12 picked it; luck does that once in 260."
    )
    assert found.p_value == pytest.approx(2049 / 3**12)  # counted by hand: sum of 12Ck 2^(12-k)
    assert found.more_tasters is None
    low, high = found.numbers["discriminators_interval"]
    assert found.numbers["discriminators"] == pytest.approx(0.625)
    assert low < 0.625 < high


def test_not_yet_says_how_many_more() -> None:
    found = discrimination.read_count("triangle", 5, 12)
    assert not found.told_apart
    assert found.more_tasters == 40  # ISO 4120 table A.3: 30 % notice, 5 and 20 %
    assert "Taste 40 more, counted on their own." in found.sentence


def test_paired_is_two_sided_unless_said_before() -> None:
    assert not discrimination.read_count("paired", 12, 16).told_apart
    one = discrimination.read_count("paired", 12, 16, one_sided=True)
    assert one.told_apart
    away = discrimination.read_count("paired", 2, 16)
    assert away.told_apart
    assert "prefer A: 14 of 16" in away.sentence


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: discrimination.read_count("triangle", 13, 12), "13 of 12 cannot be"),
        (lambda: discrimination.read_count("triangle", 0, 0), "0 tasters"),
        (lambda: discrimination.read_count("ranking", 3, 12), "no right answers"),
        (lambda: discrimination.read_count("triangel", 3, 12), "unknown protocol"),
        (lambda: discrimination.read_count("triangle", 3, 12, alpha=0.7), "level of 0.7"),
        (lambda: discrimination.tasters_needed(0.0, 1 / 3), "more than 0"),
        (lambda: discrimination.tasters_needed(0.001, 1 / 3), "more than 2,000"),
        (lambda: discrimination.power(12, 1.2, 1 / 3), "share of 1.2"),
        (lambda: ranking.read_ranking(["A", "B"], [[1, 2, 3]]), "2 trials but 3 columns"),
        (lambda: ranking.read_ranking(["A", "B"], []), "one row a taster"),
        (lambda: liking.read_liking(["A", "B"], [[1, 12]]), "off the scale"),
        (lambda: liking.read_liking(["A", "B"], [[1, "x"]]), "not a number"),
        (
            lambda: liking.read_liking(list("ABCD"), [[5, 6, NAN, NAN], [NAN, NAN, 7, 8]]),
            "never tasted beside",
        ),
        (lambda: preference.bradley_terry([[0, 1, 0], [1, 0, 0], [0, 0, 0]]), "never compared"),
        (lambda: preference.bradley_terry([[0, -1], [1, 0]]), "counts of 0 or more"),
    ],
)
def test_bad_input_gets_one_line(call, says: str) -> None:
    with pytest.raises(PairingError, match=says) as err:
        call()
    assert "\n" not in str(err.value)


def test_holm_by_hand() -> None:
    # Holm 1979: smallest times 3, next times 2, never falling
    assert holm([0.01, 0.04, 0.03]) == pytest.approx([0.03, 0.06, 0.06])
    assert holm([0.9, 0.8]) == [1.0, 1.0]


def test_luck_in_words() -> None:
    assert luck(0.00386) == "once in 260"
    assert luck(0.5) == "50 times in 100"
    assert luck(1e-9) == "less than once in a million"


def test_shuffling_agrees_with_the_exact_distribution() -> None:
    ranks = np.array([[1, 2, 3], [1, 3, 2], [1, 2, 3], [2, 1, 3], [1, 2, 3.0]])
    exact = ranking.read_ranking(list("ABC"), ranks)
    assert "exact" in exact.method
    centred, covariance = ranking._parts(ranks)
    inverse = np.linalg.pinv(covariance)
    p, _ = shuffles.luck_of(centred, lambda t: np.einsum("bi,ij,bj->b", t, inverse, t))
    assert p == pytest.approx(exact.p_value, abs=0.01)


def test_incomplete_ranking_equals_durbin() -> None:
    # Durbin's statistic by its own formula on the seven-trial design, blocks of three
    from pairing.trials.orders import blocks

    rng = np.random.default_rng(5)
    design = blocks(7, 3, 7)
    ranks = np.full((7, 7), NAN)
    for i, block in enumerate(design.blocks):
        ranks[i, list(block)] = rng.permutation(3) + 1
    t, k, r = 7, 3, 3
    sums = np.nansum(ranks, axis=0)
    durbin = 12 * (t - 1) / (r * t * (k - 1) * (k + 1)) * ((sums - r * (k + 1) / 2) ** 2).sum()
    assert ranking.friedman(ranks)[0] == pytest.approx(durbin)


def test_ladder_in_order_by_page() -> None:
    rng = np.random.default_rng(2)
    strength = np.array([0.0, 0.5, 1.0, 1.5])
    places = np.argsort(np.argsort(strength + rng.normal(size=(14, 4)), axis=1), axis=1) + 1
    found = ranking.read_ranking(list("ABCD"), places, order=list("ABCD"))
    assert found.told_apart
    assert not ranking.read_ranking(list("ABCD"), places, order=list("DCBA")).told_apart


def test_liking_of_full_panels_is_the_two_way_analysis() -> None:
    # against the sums of squares written out, Montgomery's randomized complete block design
    rng = np.random.default_rng(8)
    scores = np.clip(np.round(5 + rng.normal(size=(10, 4)) + [0, 0.5, 1, 2]), 1, 9)
    fitted = liking.adjusted_means(scores)
    grand = scores.mean()
    between = 10 * ((scores.mean(axis=0) - grand) ** 2).sum()
    tasters = 4 * ((scores.mean(axis=1) - grand) ** 2).sum()
    left = ((scores - grand) ** 2).sum() - between - tasters
    assert fitted.means == pytest.approx(scores.mean(axis=0))
    assert fitted.freedom == 27
    assert fitted.variance == pytest.approx(left / 27)
    assert fitted.f == pytest.approx(between / 3 / (left / 27))


def test_adjusted_means_forgive_a_stern_taster() -> None:
    # C is tasted by the stern only; the raw mean says worst, the adjusted one best
    found = liking.adjusted_means([[8, 7, NAN], [8, 7, NAN], [NAN, 3, 5], [NAN, 3, 5]])
    assert found.means.argmax() == 2
    assert found.means[2] - found.means[1] == pytest.approx(2)
    assert found.means[0] - found.means[1] == pytest.approx(1)


def test_penalty_analysis_by_hand() -> None:
    like = {"A": [8, 8, 8, 8, 8, 4, 4, 4, 4, 4, 8, 8]}
    sweet = {("A", "sweet"): [3, 3, 3, 3, 3, 5, 5, 4, 4, 4, 3, 3]}
    most = liking.penalties(like, sweet)[0]
    assert (most.side, most.share, most.drop) == ("too much", pytest.approx(5 / 12), 4.0)
    assert most.counts
    read = liking.read_just_right(like, sweet)
    assert "too much sweet" in " ".join([read.sentence, *read.lines])


def test_a_clean_sweep_is_shrunk_and_said() -> None:
    found = preference.read_pairs({("A", "B"): (8, 0), ("A", "C"): (8, 0), ("B", "C"): (5, 3)},
                                  tasters=8)  # fmt: skip
    assert found.told_apart
    assert found.numbers["shrunk"]
    assert found.sentence.startswith("They pick A over B and C")
    assert all(math.isfinite(t["ability"]) for t in found.numbers["trials"])


@pytest.mark.parametrize("name", ["triangle", "paired", "ranking", "liking", "pairs"])
def test_luck_is_seldom_called_a_result(name: str) -> None:
    """300 panels that cannot tell; scripts/trials_luck.py runs 10,000 of each."""
    false, attained = script("trials_luck").false_alarms(name, 300, seed=11)
    assert attained <= 0.05
    # the chance of so many at the stated level is below one in a thousand
    from scipy.stats import binom

    assert binom.sf(false - 1, 300, 0.05) > 0.001


def test_no_trial_leads_where_all_are_liked_alike() -> None:
    found = liking.read_liking("ABC", [[7, 7, 7]] * 3, shuffles=200)
    assert found.sentence.startswith("You can't tell yet which they like best: no trial leads")
    assert "luck does that" not in found.sentence
    # a panel that never scattered tells nothing of how tasters scatter: one of a usual bar is asked
    assert found.more_tasters is not None
    assert found.more_tasters > 10


def test_two_that_share_the_lead_both_lead() -> None:
    found = liking.read_liking("ABC", [[7, 7, 5], [6, 6, 6]], shuffles=200)
    assert "A and B lead alike with 6.5 of 9" in found.sentence


def test_one_taster_is_no_ground_to_plan_a_panel_of_three() -> None:
    """Share and gap seen in one or two answers are flattered; the panel planned is a usual one."""
    found = discrimination.read_count("triangle", 1, 1)
    assert found.more_tasters == discrimination.tasters_needed(0.5, 1 / 3, 0.05, 0.8, False)
    assert found.more_tasters == 16  # ISO 4120, table A.3: 50 % notice, 5 and 20 %
    assert any("1 taster can't settle it" in line for line in found.lines)
    one = liking.read_liking("ABCDE", [[8, 7, 7, 5, 4]], shuffles=200)
    assert one.more_tasters is not None
    assert one.more_tasters >= 10
    assert "1 taster)" in one.lines[0]


def test_fewer_right_than_luck_points_at_the_key() -> None:
    lines = discrimination.read_count("triangle", 0, 12).lines
    assert any("check the key and the codes" in line for line in lines)
    assert not any("check the key" in x for x in discrimination.read_count("triangle", 2, 12).lines)
