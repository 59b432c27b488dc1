"""`suggest` and `check` never send anybody to a formula that ends in a stop."""

from __future__ import annotations

import itertools
import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from pairing.cli import cli

COFFEES = (
    *("washed burundi light espresso", "natural ethiopia light filter", "gesha light filter"),
    *("wet-hulled sumatra dark espresso", "robusta vietnam dark espresso", "kenya medium"),
    *("brazil natural dark moka", "decaf colombia medium espresso"),
)
STYLES = ("", "hot", "iced", "milk", "sparkling", "cold-brew")
MARKETS = ("", "eu", "uk", "us")
# every coffee with every market, the style going round
ROUND = [
    (c, m, STYLES[i % len(STYLES)]) for i, (c, m) in enumerate(itertools.product(COFFEES, MARKETS))
]


def run(args: list[str]) -> tuple[int, str]:
    said = CliRunner(env={"COLUMNS": "600"}).invoke(cli, args)
    return said.exit_code, re.sub(r"\s+", " ", said.stdout)


def following(args: list[str]) -> list[str]:
    """The command that an answer names as the next step."""
    code, text = run(args)
    assert code == 0, text[:300]
    found = re.search(r"Next: pairing (.+?)$", text.strip())
    assert found, text[-300:]
    return shlex.split(found[1])


@pytest.mark.parametrize(("coffee", "market", "style"), ROUND)
def test_a_suggestion_leads_to_a_syrup_that_may_be_served(
    coffee: str, market: str, style: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PAIRING_MARKET", raising=False)
    args = ["suggest", "--coffee", coffee, "--top", "2"]
    args += ["--style", style] if style else []
    args += ["--market", market] if market else []
    then = following(args)
    code, text = run(then)
    assert code == 0, (then, text[:300])
    assert "STOP" not in text


# an own window no kitchen uses, and an own bark with a content that no dose keeps below the law
OWN = """
[[ingredients]]
ingredient_id = "own"
name = "House thing"
kind = "spice"
allergens = []
specification = "sheet 1"
[[forms]]
form_id = "own"
ingredient_id = "own"
form = "ground"
label = "House thing"
dose_low_g_per_kg = 700
dose_high_g_per_kg = 800
method = "hot-steep"
"""


@pytest.mark.parametrize(
    "args",
    [
        ["check", "own"],
        ["suggest", "--only", "own,clove,cassia", "--size", "2", "--citrus", "none"],
    ],
)
def test_no_next_step_where_the_bar_s_own_window_is_a_stop(tmp_path: Path, args: list[str]) -> None:
    path = tmp_path / "p.toml"
    path.write_text(OWN, encoding="utf-8")
    code, text = run([*args, "--pantry", str(path)])
    assert code == 0, text
    named = re.search(r"Next: pairing (.+?)(?: Next|$)", text)
    if named:
        code, text = run(shlex.split(named[1]))
        assert code == 0, text[:300]
    stops, said = run(["formula", "own", "--pantry", str(path)])
    assert stops == 3, said[:200]
    if args[0] == "check":
        assert named is None
        assert text.startswith("House thing: NOT ASSESSED here, which is not safe"), text[:200]
