"""Kept work: asked again it gives the same document, changed by hand it is read like a command.

TOML 1.0 (toml.io) is read by the standard library; what a person may write is not invented here.
"""

from __future__ import annotations

import json
import os
import shlex
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pairing.cli import cli
from pairing.cli.saved import TAKES
from pairing.errors import PairingError


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(words: str) -> Result:
    return CliRunner().invoke(cli, shlex.split(words))


def document(words: str) -> dict[str, Any]:
    done = run(f"{words} --format json")
    assert done.exit_code in (0, 3), (words, done.output, done.exception)
    made = json.loads(done.stdout)
    assert isinstance(made, dict)
    return made


def refusal(words: str) -> str:
    done = run(words)
    assert done.exit_code != 0, done.output
    assert isinstance(done.exception, (PairingError, SystemExit)), done.exception
    said = str(done.exception) if isinstance(done.exception, PairingError) else done.stderr
    assert "Traceback" not in said
    return said


SAID = (
    "formula mandarin clove --coffee 'kenya light filter' --notes 'black currant' --servings 48",
    "formula mandarin cassia --yield-g 640 --dose 'cassia=1 stick' --market us",
    "formula mandarin clove --dose clove=900g/kg --sweetener honey",  # a stop
    "formula lemon-juice ginger-fresh --site harbour=120 --site station=80 --spare 5",
    "formula ginger-fresh jasmine --technique jasmine=water-first --minutes jasmine=10 --ph 3.61",
    "drink mandarin clove --style milk --milk oat --glass 12oz --price 4.5",
    "drink --style iced --for-brix 8 --bottle-ml 700",
    "suggest --origin brazil --citrus mandarin --style milk --top 3 --avoid nuts",
    "suggest --coffee 'washed burundi light' --coffee 'natural brazil dark' --size 2 --average",
    "ratio --strength 2:1 --sugar-g 250 --fruit orange=200g --simmer-min 9 --household",
    "ratio --strength 1:1 --sweetener honey=20 --sweetener sugar=80 --servings 24 --scale 2",
    "check green-cardamom --origin kenya --style milk",
    "check clove --with sweet-orange-peel",
    "instead hazelnut-roasted --avoid nuts --origin brazil",
    "card mandarin clove --servings 24 --times 2 --site harbour=48",
    "label mandarin clove --made-on 2026-11-24 --market uk --name 'Harbour \"no. 1\"'",
    "papers batch mandarin clove --made-on 2026-11-24",
    "papers guest hazelnut-roasted grapefruit-juice",
    "papers matrix mandarin,clove hazelnut-roasted",
    "report --coffee 'washed kenya light' --servings 12",
    "trials plan mandarin clove --vary clove=1..3 --steps 3 --tasters 6",
)


@pytest.mark.parametrize("words", SAID)
def test_kept_and_taken_up_it_is_the_same_document(words: str) -> None:
    first = document(f"{words} --save kept")
    command = " ".join(words.split()[: 2 if words.startswith(("papers", "trials")) else 1])
    again = document(f"{command} --from kept.toml")
    assert again == first
    kept = tomllib.loads(Path("kept.toml").read_text("utf-8"))
    assert kept["version"] == 1
    assert kept["command"] == command
    assert document(f"{command} --from kept") == first  # the ending may be left out


def test_every_command_that_keeps_work_is_tried() -> None:
    assert {t for t in TAKES if any(s.startswith(t) for s in SAID)} == set(TAKES)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    grams=st.floats(60, 5000),
    strength=st.sampled_from(("1:1", "1.5:1", "2:1")),
    dose=st.floats(0.1, 6),
    name=st.text(st.characters(blacklist_categories=("Cs", "Cc", "Cf", "Zl", "Zp")), min_size=1,
                 max_size=30),
)  # fmt: skip
def test_any_amount_and_any_name_comes_back(
    grams: float, strength: str, dose: float, name: str
) -> None:
    said = ["mandarin", "clove", "--yield-g", repr(grams), "--strength", strength,
            "--dose", f"clove={dose!r}g/kg"]  # fmt: skip
    for more in (["formula"], ["card", f"--name={name}"]):
        runner = CliRunner()
        first = runner.invoke(
            cli, [more[0], *said, *more[1:], "--format", "json", "--save", "any", "--force"]
        )
        again = runner.invoke(cli, [more[0], "--from", "any.toml", "--format", "json"])
        assert first.exit_code in (0, 3), first.exception
        assert json.loads(again.stdout) == json.loads(first.stdout)


@pytest.mark.parametrize("command", ["card", "label", "drink", "papers batch", "papers guest"])
def test_a_kept_formula_is_taken_up_elsewhere(command: str) -> None:
    run("formula mandarin clove --coffee 'kenya light' --servings 48 --save autumn")
    by_hand = f"{command} mandarin clove --coffee 'kenya light' --servings 48"
    assert document(f"{command} --from autumn.toml") == document(by_hand)


def test_a_kept_formula_is_planned_and_tasted() -> None:
    run("formula mandarin clove --coffee 'kenya light' --servings 48 --save autumn")
    said = refusal("trials plan --from autumn.toml --vary clove --steps 3")
    assert "tasters" in said  # a trial's pot follows from them, not from the kept amount
    run("formula mandarin clove --coffee 'kenya light' --save plain")
    done = run("trials plan --from plain.toml --vary clove --steps 3 --save tasting")
    assert done.exit_code == 0, done.exception
    assert run("trials sheet tasting.json --tasters 4 --save first").exit_code == 0
    assert tomllib.loads(Path("tasting.toml").read_text())["vary"] == ["clove"]


# --- changed by hand, and said anew -----------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('servings = "a lot"', "not a number"),
        ("servings = -3", "out of range"),
        ("servings = nan", "not a finite number"),
        ("servings = inf", "not a finite number"),
        ("servings = true", "not a number"),
        ('yield_g = 500\ndose = ["clove=2 furlongs"]', "furlongs"),
        ('yield_g = 500\ndose = ["clove=-2g"]', "clove"),
        ('strength = "2:0"', "2:0"),
        ('style = "nowhere"', "nowhere"),
        ("servings = [1, 2]", "takes one servings"),
        ("coffee = ''", "is empty"),
        ("version = 2", "version 1 is read"),
        ("version = true", "version 1 is read"),
        ("command = 'rm'", "keeps no work"),
        ("pantry = '/etc'", "as it lies from this one"),
        ("pantry = 'gone.toml'", "bring it, or take the line out"),
        ("pantry = 7", "as it lies from this one"),
        ("servngs = 3", "did you mean servings"),
        ("servings = 3\nservings = 4", "not TOML"),
        ("when = 2026-11-24T10:00:00", "text, a number or a list"),
        ("[dose]\nclove = '2g'", "text, a number or a list"),
        ("notes = [" + "'a'," * 300 + "]", "lists more than"),
        ("servings = " + "9" * 5000, "not TOML"),
        ("servings = " + "[" * 20000, "not TOML"),
        ('name = "a\\u202eb"', "control character"),
    ],
)
def test_a_hand_that_slips_gets_one_line(line: str, says: str) -> None:
    Path("x.toml").write_text(f"ingredients = ['mandarin', 'clove']\n{line}\n", encoding="utf-8")
    said = refusal("formula --from x.toml")
    assert says in said
    assert len(said.splitlines()) == 1 or "Error: " in said  # click's own has its usage above


def test_whole_numbers_stay_whole() -> None:
    Path("x.toml").write_text("top = 2.7\n", encoding="utf-8")
    assert "2.7" in refusal("suggest --from x.toml")


def test_files_that_are_none() -> None:
    Path("empty.toml").touch()
    Path("folder.toml").mkdir()
    Path("latin.toml").write_bytes("coffee = 'caf\xe9'".encode("latin-1"))
    Path("huge.toml").write_bytes(b"# " + b"x" * 200_000)
    Path("nul.toml").write_bytes(b"a = 1\0")
    for name, says in (
        ("empty", "is empty"),
        ("folder", "a folder"),
        ("latin", "not UTF-8"),
        ("huge", "the most that is read"),
        ("nul", "NUL"),
        ("nobody", "cannot read"),
    ):
        assert says in refusal(f"formula --from {name}.toml"), name
    assert "cannot read" in refusal("formula --from nobody")


@pytest.mark.parametrize(
    ("kept", "anew", "same_as"),
    [
        ("--servings 48", "--yield-g 300", "--yield-g 300"),
        ("--yield-ml 300", "--sugar-g 200", "--sugar-g 200"),
        ("--site a=40 --spare 5", "--servings 12", "--servings 12"),
        ("--strength 1:1", "--brix 60", "--brix 60"),
        ("--brix 60", "--strength 1:1", "--strength 1:1"),
        ("--origin kenya --notes lime", "--coffee 'brazil dark'", "--coffee 'brazil dark'"),
        ("--coffee 'kenya light'", "--coffee 'brazil dark'", "--coffee 'brazil dark'"),
        ("--origin kenya --roast light", "--roast dark", "--origin kenya --roast dark"),
        ("--dose clove=1g/kg", "--dose mandarin=90g/kg", "--dose mandarin=90g/kg"),
    ],
)
def test_what_is_said_anew_goes_over_what_was_kept(kept: str, anew: str, same_as: str) -> None:
    assert run(f"formula mandarin clove {kept} --save x").exit_code == 0
    wanted = document(f"formula mandarin clove {same_as}")
    assert document(f"formula --from x.toml {anew} --save y") == wanted
    assert document("formula --from y.toml") == wanted


def test_a_part_of_a_coffee_does_not_go_over_a_whole_one() -> None:
    run("formula mandarin --coffee 'kenya light' --save x")
    assert "say the new one whole" in refusal("formula --from x.toml --roast dark")


# --- the same name twice ------------------------------------------------------------------------


def test_a_kept_file_is_not_written_over_unasked() -> None:
    assert run("formula mandarin --save x").exit_code == 0
    before = Path("x.toml").read_text()
    assert run("formula mandarin --save x").exit_code == 0  # the same question: nothing is lost
    done = run("formula clove --save x")
    assert "there already" in str(done.exception)
    assert done.stdout == ""  # it is said before anything else
    assert Path("x.toml").read_text() == before
    assert run("formula clove --save x --force").exit_code == 0
    assert "clove" in Path("x.toml").read_text()
    Path("folder.toml").mkdir()
    assert "a folder" in refusal("formula clove --save folder")
    assert "a folder" in refusal("formula clove --save folder --force")


def test_a_failed_question_keeps_nothing() -> None:
    refusal("formula nosuchplant --save x")
    assert not list(Path().iterdir())


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        assert "read-only" in refusal("formula mandarin --save x")
    finally:
        tmp_path.chmod(0o700)


# --- the pantry in use ------------------------------------------------------------------------

BAR = """
name = "Harbour"
currency = "EUR"
[[prices]]
item = "mandarin"
per_kg = 2.4
"""


@pytest.mark.parametrize("said", ["", " --pantry shelf/bar.toml"])
def test_the_pantry_in_use_is_kept_and_found_again_from_elsewhere(
    said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = Path("shelf/bar.toml" if said else "pairing.toml")
    at.parent.mkdir(exist_ok=True)
    at.write_text(BAR, encoding="utf-8")
    first = document(f"formula mandarin clove{said} --save kept")
    assert first["cost"]["currency"] == "EUR"
    assert f'pantry = "{at.as_posix()}"' in Path("kept.toml").read_text("utf-8")
    assert document("formula --from kept") == first
    Path("away").mkdir()
    monkeypatch.chdir("away")
    assert document("formula --from ../kept.toml") == first
    assert run("compare ../kept.toml ../kept.toml").exit_code == 0
    Path("own.toml").write_text(BAR.replace("EUR", "GBP"), encoding="utf-8")
    assert document("formula --from ../kept.toml --pantry own.toml")["cost"]["currency"] == "GBP"


def test_without_a_pantry_none_is_kept() -> None:
    run("formula mandarin clove --save kept")
    assert "pantry" not in Path("kept.toml").read_text("utf-8")
