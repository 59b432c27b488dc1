"""Score card A on published coffee drinks (facts, ../shared/validation), page by page."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pairing.affinity import completion, practice
from pairing.affinity.scorecard import drinks_card
from pairing.evidence.catalog import Catalog


@pytest.fixture(scope="module")
def questions(catalog: Catalog, outside: Path) -> completion.Asked:
    return completion.asked(catalog, outside / "validation")


def test_drinks_are_completed_as_the_frozen_protocol_measures(
    catalog: Catalog, outside: Path, questions: completion.Asked
) -> None:
    spec = importlib.util.spec_from_file_location(
        "protocol", outside / "validation" / "protocol.py"
    )
    assert spec is not None
    assert spec.loader is not None
    protocol = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(protocol)

    def predictor(rows: list[dict[str, str]]) -> Any:
        model = practice.fit(
            catalog,
            practice.gathered(
                (r["drink_no"], r["site_no"], r["query"], r["style"], r["ingredient_id"], r["form"])
                for r in rows
            ),
        )

        def score(others: list[str], style: str) -> dict[str, float]:
            value = model.alone(style) + model.beside[[model.position[o] for o in others]].sum(0)
            return dict(zip(model.items, value.tolist(), strict=True))

        return score

    names = (outside / "validation" / "candidates.txt").read_text(encoding="utf-8").split()
    found = protocol.complete_drinks(predictor, names)
    places, _ = completion.completed(questions, completion.rivals(catalog, questions)["practice"])
    assert len(places) == found["cases"]
    assert float((places <= 10).mean()) == pytest.approx(found["hit_in_ten"], abs=0.01)
    assert float((1 / places).mean()) == pytest.approx(found["reciprocal_rank"], abs=0.01)


def test_the_cup_alone_does_not_tell_what_people_put_into_a_coffee(
    catalog: Catalog, outside: Path
) -> None:
    """What the answers claim rests on this: the day it is above chance they may claim more."""
    areas, pages = completion.cup_of_stated(catalog, outside / "validation")
    assert len(areas) >= 90
    assert len(set(pages)) >= 30
    by_page = [np.mean(areas[[q == p for q in pages]]) for p in dict.fromkeys(pages)]
    error = float(np.std(by_page) / np.sqrt(len(by_page)))
    assert abs(float(areas.mean()) - 0.5) < 3 * error


def test_card_a_reaches_what_counts_can(catalog: Catalog, outside: Path) -> None:
    # the validation README: 0.77 and 0.41, spread over sites 0.03; used against never 0.84, 0.97
    rows = {
        (r.protocol, r.method, r.measure): r
        for r in drinks_card(outside / "validation", catalog, resamples=200)
    }
    complete = "A: complete a drink"
    hits = {m: r.value for (p, m, k), r in rows.items() if p == complete and k == "hit in ten"}
    assert hits["practice"] >= 0.75
    assert hits["practice"] > max(v for m, v in hits.items() if m != "practice") + 0.05
    assert rows[complete, "practice", "reciprocal rank"].high >= 0.42
    assert rows["A: used, against never", "practice", "area"].value >= 0.85
    assert rows["A: used three times or more, against never", "practice", "area"].value >= 0.96
    unseen = rows["A: used by no other page, against never", "practice", "area"]
    assert unseen.low > 0.5
    assert np.isfinite(unseen.value)
