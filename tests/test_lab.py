"""The one door."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import pairing
from pairing.lab import Lab


@pytest.fixture(scope="module")
def lab() -> Lab:
    return pairing.open()


def test_from_a_coffee_to_a_formula_in_four_lines(lab: Lab) -> None:
    cup = lab.coffee("washed burundi light espresso")
    best = lab.suggest(cup, citrus="mandarin", size=3)[0]
    made = lab.formula(best, cup, servings=24)
    assert made.servings == 24
    assert sorted(made.grams) == sorted(best.form_ids)


def test_one_name_may_be_said_as_a_string(lab: Lab) -> None:
    cup = lab.coffee("brazil")
    assert list(lab.formula("mandarin", cup).grams) == ["mandarin"]
    held = lab.suggest(cup, with_="clove", size=2)[0]
    assert "clove" in held.form_ids


def test_what_is_said_of_a_coffee_is_said_once(lab: Lab) -> None:
    assert lab.coffee(origin="kenya") == lab.coffee(origin="kenya")
    with pytest.raises(pairing.PairingError, match="leave roast out"):
        lab.coffee("kenya light", roast="dark")


@pytest.mark.parametrize(
    "ask",
    [
        lambda lab, cup: lab.formula("mandarin", cup, servings=float("inf")),
        lambda lab, cup: lab.formula("mandarin", cup, yield_g=float("nan")),
        lambda lab, cup: lab.formula("mandarin", cup, doses={"mandarin": -1.0}),
        lambda lab, cup: lab.formula([], cup),
        lambda lab, cup: lab.suggest(cup, size=9),
        lambda lab, cup: lab.suggest([], size=2),
        lambda lab, cup: lab.suggest(cup, top=0),
        lambda lab, cup: lab.suggest(cup, style="soup"),
        lambda lab, cup: lab.check("unobtainium", cup),
        lambda lab, cup: lab.coffee("unobtainium"),
        lambda lab, cup: lab.coffee(roast="purple"),
        lambda lab, cup: lab.score_blends([["unobtainium"] * 9], cup),
        lambda lab, cup: pairing.open(pantry="nowhere.toml"),
        lambda lab, cup: pairing.open(data="nowhere"),
        lambda lab, cup: pairing.open(model="nowhere.csv"),
    ],
    ids=range(15),
)
def test_every_bad_argument_is_an_error_of_our_own_in_one_line(
    lab: Lab, ask: Callable[..., object]
) -> None:
    with pytest.raises(pairing.PairingError) as caught:
        ask(lab, lab.coffee("burundi"))
    assert len(str(caught.value).splitlines()) == 1
    assert "--" not in str(caught.value)


def test_paths_may_be_text(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text('name = "Quay bar"\ncurrency = "EUR"\n', encoding="utf-8")
    opened = pairing.open(pantry=str(tmp_path / "own.toml"), data=str(pairing.load().folder))
    assert opened.pantry.name == "Quay bar"
    assert "Quay bar" in repr(opened)


def test_the_face_tells_the_whole_public_api() -> None:
    assert set(pairing.__all__) <= set(dir(pairing))
    assert pairing.syrup.sugar.density(0.0, 20.0) == pytest.approx(998.2, abs=0.1)  # Kell 1975
    assert pairing.glass is not None


def test_without_a_coffee_it_is_a_plain_double_espresso(lab: Lab) -> None:
    plain = lab.formula("mandarin")
    assert plain.base.coffee == lab.coffee().coffee
    assert lab.check("clove").verdict == lab.check("clove", lab.coffee()).verdict
    assert lab.instead("clove") == lab.instead("clove", lab.coffee())


def test_labels_and_batches_are_documents_too() -> None:
    from click.testing import CliRunner

    from pairing.cli import cli

    def printed(*words: str) -> dict[str, Any]:
        done = CliRunner().invoke(cli, [*words, "--format", "json"])
        found: dict[str, Any] = json.loads(done.stdout)
        return {k: v for k, v in found.items() if k != "command"}

    lab = pairing.open()
    label = lab.label(lab.formula(["mandarin", "clove"]), name="Harbour")
    made = json.loads(json.dumps(label.to_dict()))
    assert {k: v for k, v in made.items() if k != "command"} == printed(
        "label", "mandarin", "clove", "--name", "Harbour"
    )
    batch = lab.ratio("2:1", yield_g=500)
    made = json.loads(json.dumps(batch.to_dict()))
    assert {k: v for k, v in made.items() if k != "command"} == printed(
        "ratio", "--strength", "2:1", "--yield-g", "500"
    )
    assert "500 g" in repr(batch)
    thirty = lab.ratio("2:1", servings=10, serving_g=30).to_dict()
    assert (thirty["servings"], thirty["serving_g"]) == (10, 30)
    for shown in (label._repr_html_(), batch._repr_html_()):
        assert "<table" in shown or "<p" in shown
    stopped = lab.label(lab.formula(["clove"], doses={"clove": 900}))
    assert repr(stopped).startswith("<Label: STOP")
