"""Two documents side by side: nothing that is alike, units, and which is more of what."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from pairing.cards import schema
from pairing.cards.compare import comparison
from pairing.cli import cli
from pairing.errors import PairingError


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(words: str) -> Result:
    return CliRunner().invoke(cli, shlex.split(words))


def kept(name: str, words: str) -> None:
    assert run(f"{words} --save {name}").exit_code in (0, 3)


def compared(one: str, other: str) -> dict[str, Any]:
    done = run(f"compare {one} {other} --format json")
    assert done.exit_code in (0, 3), done.exception
    found = json.loads(done.stdout)
    jsonschema.validate(found, schema.schema("compare"))
    assert isinstance(found, dict)
    return found


def more(found: dict[str, Any]) -> dict[str, str]:
    return {v["what"]: v["more"] for v in found["verdicts"]}


PAIRS = {
    "formula": ("formula mandarin clove --strength 1:1", "formula mandarin clove --strength 2:1"),
    "ratio": ("ratio --strength 1:1 --yield-g 500", "ratio --strength 2:1 --yield-g 500"),
    "drink": ("drink mandarin --style iced", "drink mandarin --style iced --serving-g 30"),
    "suggest": ("suggest --coffee 'kenya light'", "suggest --coffee 'dark brazil'"),
}


@pytest.mark.parametrize("kind", PAIRS)
@pytest.mark.parametrize("how", ["table", "json", "csv", "markdown"])
def test_four_kinds_in_four_formats(kind: str, how: str) -> None:
    for name, words in zip("ab", PAIRS[kind], strict=True):
        kept(name, words)
    done = run(f"compare a b --format {how}")
    assert done.exit_code == 0, done.exception
    assert done.stdout.strip()
    found = compared("a", "b")
    assert found["differences"]
    assert all(d["one"] != d["other"] for d in found["differences"])
    same = compared("a", "a.toml")
    assert same["differences"] == []
    assert same["cautions_only_one"] == same["cautions_only_other"] == []


def test_which_is_stronger_sweeter_and_keeps_longer() -> None:
    # 1:1 by weight is 50 °Bx and 2:1 is 66.7 °Bx by arithmetic (cane sugar holds 0.02 % of water);
    # the stronger one is the second, whichever stands first
    kept("weak", PAIRS["ratio"][0])
    kept("strong", PAIRS["ratio"][1])
    one = compared("weak", "strong")
    assert more(one)["stronger"] == more(one)["sweeter in a drink"] == "other"
    brix = next(d for d in one["differences"] if d["unit"] == "°Bx")
    assert (brix["one"], brix["other"]) == pytest.approx((50, 200 / 3), rel=1e-3)
    assert brix["change_percent"] == pytest.approx(100 / 3, rel=1e-3)
    turned = compared("strong", "weak")
    assert more(turned)["stronger"] == "one"
    assert {v["text"] for v in turned["verdicts"]} == {v["text"] for v in one["verdicts"]}


def test_sweetness_of_unlike_sweeteners_is_not_told_from_their_weight() -> None:
    kept("sugar", "ratio --strength 1:1 --yield-g 500")
    kept("honey", "ratio --strength 1:1 --yield-g 500 --sweetener honey")
    assert more(compared("sugar", "honey"))["sweeter in a drink"] == "not-known"


def test_a_drink_is_sweeter_and_its_coffee_weaker_with_more_syrup() -> None:
    for name, words in zip("ab", PAIRS["drink"], strict=True):
        kept(name, words)
    assert more(compared("a", "b"))["sweeter"] == "other"


def test_a_stop_comes_first_and_ends_with_3() -> None:
    kept("fine", "formula clove")
    kept("bad", "formula clove --dose clove=900g/kg")
    done = run("compare fine bad")
    assert done.exit_code == 3
    assert done.stdout.startswith("STOP: bad: ")
    assert compared("fine", "bad")["stops"]


def test_an_allergen_of_one_alone_is_said() -> None:
    kept("nut", "formula mandarin hazelnut-roasted")
    kept("plain", "formula mandarin")
    only = compared("nut", "plain")
    assert any("hazelnut" in t.lower() for t in only["cautions_only_one"])
    kept("nuts", "suggest --only hazelnut-roasted --size 1 --citrus none")
    kept("clove", "suggest --only clove --size 1 --citrus none")
    assert any(t.startswith("ALLERGEN") for t in compared("nuts", "clove")["cautions_only_one"])


def test_a_printed_document_is_compared_too() -> None:
    kept("a", "formula mandarin clove")
    Path("b.json").write_text(run("formula mandarin clove --format json").stdout, "utf-8")
    assert compared("a.toml", "b.json")["differences"] == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "not JSON"),
        ("[1", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ("[]", "no document"),
        ('{"document": "label"}', "are compared"),
        ('{"document": "formula"}', "no whole document"),
        ('{"document": "formula", "ingredients": 3}', "no whole document"),
    ],
)
def test_a_document_that_is_none_is_one_line(text: str, says: str) -> None:
    Path("x.json").write_text(text, "utf-8")
    kept("a", "formula mandarin")
    done = run("compare a x.json")
    assert isinstance(done.exception, PairingError)
    assert says in str(done.exception)


def test_two_kinds_are_refused() -> None:
    kept("a", "formula mandarin")
    kept("b", "suggest")
    assert "two of one kind" in str(run("compare a b").exception)
    kept("c", "check clove")
    assert "are compared" in str(run("compare a c").exception)


def test_hostile_names_stay_text() -> None:
    made = json.loads(run("formula mandarin --format json").stdout)
    other = {**made, "style": "<script>x</script>\x1b[31m"}
    report = comparison("one|<b>", "o\x07ther", made, other)
    from pairing.cards.report import render

    for how in ("table", "json", "csv", "markdown"):
        assert "\x1b" not in render(report, how).replace("\\u001b", "")
        assert "\x07" not in render(report, how)
    assert "<script>" not in render(report, "markdown")
