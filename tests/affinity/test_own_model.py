"""An own affinity: fitted in a pipeline, saved, read again, used."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from sklearn.pipeline import make_pipeline

from pairing.affinity import model as affinity
from pairing.affinity.estimator import PairFeatures, for_blocks
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.lab import open_lab

PAIRS = [
    ("mandarin", "green-cardamom"),
    ("mandarin", "black-pepper"),
    ("clove", "sweet-orange"),
    ("coffee", "green-cardamom"),
    ("coffee", "lime-persian"),
    ("vanilla-bean", "clove"),
]
LIKED = [1.5, 0.5, 1.0, 1.2, -1.0, 0.8]


def test_a_pipeline_learns_from_names_and_its_model_survives_the_file(tmp_path: Path) -> None:
    catalog = load()
    fitted = make_pipeline(PairFeatures(), for_blocks(affinity.blocks(catalog))).fit(PAIRS, LIKED)
    said = fitted.predict(PAIRS)
    made = affinity.Model.from_fit(catalog, fitted[-1].coef_, fitted[-1].likeness_, "palate")
    made.save(tmp_path / "palate.csv")
    read = affinity.read_model(catalog, tmp_path / "palate.csv")
    assert read.name == "palate"
    x = [[affinity.pair_features(catalog, n) for n in pair] for pair in PAIRS]
    again = [float(read.score(a, b)[0]) for a, b in x]
    assert np.corrcoef(said, LIKED)[0, 1] > 0.9  # it did learn
    assert np.allclose(again, said, atol=0.15)  # written to three digits, small ones left out


def test_a_catalogue_opened_with_a_model_scores_by_it(tmp_path: Path) -> None:
    shipped = load()
    fitted = make_pipeline(PairFeatures(), for_blocks(affinity.blocks(shipped))).fit(PAIRS, LIKED)
    affinity.Model.from_fit(shipped, fitted[-1].coef_, fitted[-1].likeness_).save(
        tmp_path / "own.csv"
    )
    own = Catalog(shipped.folder, model=tmp_path / "own.csv")
    assert affinity.model(own).name == "own"
    assert affinity.model(shipped).name == ""
    lab = open_lab(model=tmp_path / "own.csv")
    assert lab.check("clove", lab.coffee("kenya light")).to_dict()["model"] == "own"
    pair = [("mandarin", "green-cardamom")]
    assert affinity.score_rows(own, pair)[0] != affinity.score_rows(shipped, pair)[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a,b\n1,2\n", "lacks the column"),
        ("feature_a,feature_b,part,coefficient\none,nosuch,learned,1\n", "cannot use row 2"),
        ("feature_a,feature_b,part,coefficient\none,one,learned,nan\n", "finite"),
    ],
)
def test_a_file_that_is_no_model_gets_one_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "x.csv").write_text(text)
    with pytest.raises(PairingError, match=said):
        affinity.read_model(load(), tmp_path / "x.csv")


def test_features_want_pairs() -> None:
    with pytest.raises(PairingError, match="two columns"):
        PairFeatures().fit_transform([("mandarin", "clove", "vanilla-bean")])


def test_a_fit_on_other_profiles_is_refused() -> None:
    with pytest.raises(PairingError, match="PairFeatures"):
        affinity.Model.from_fit(load(), np.eye(5), np.ones(4))
