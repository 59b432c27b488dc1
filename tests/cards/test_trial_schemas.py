"""Documents of trials and journal fit their JSON Schema (draft 2020-12, jsonschema library)."""

from __future__ import annotations

import csv
import json
import shlex
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from pairing.cards import schema
from pairing.cli import cli


def run(words: str) -> str:
    done = CliRunner().invoke(cli, shlex.split(words))
    assert done.exit_code == 0, (words, done.output, done.exception)
    return done.stdout


def answer(words: str) -> dict[str, Any]:
    document = json.loads(run(f"{words} --format json"))
    jsonschema.validate(
        document, schema.schema(document["document"]), cls=jsonschema.Draft202012Validator
    )
    return document


def fill(name: str) -> None:
    path = Path(f"{name}.csv")
    rows = list(csv.DictReader(path.open()))
    for i, row in enumerate(rows):
        row["answer"] = str(3 + (i * 7) % 6)
        row.update({q: str(2 + i % 3) for q in row if q == "sweet"})
    with path.open("w", newline="") as out:
        writer = csv.DictWriter(out, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PAIRING_JOURNAL", str(tmp_path / "j.sqlite"))


def test_trials() -> None:
    made = answer("trials plan mandarin clove --vary clove --steps 3 --save p.json")
    assert made["pots"] is not None or made["trials"]
    assert answer("papers bench p.json")["sheets"]
    answer("trials sheet p.json --protocol triangle --only A,B --tasters 6")
    for name, more in (("liking", ""), ("just-right", "--quality sweet"), ("ranking", "")):
        answer(f"trials sheet p.json --protocol {name} {more} --tasters 6 --save {name}")
        if name != "ranking":
            fill(name)
            answer(f"trials read {name}.json {name}.csv")
    answer("trials read --protocol paired --count 9/12")
    answer("trials next p.json --answers liking.json liking.csv --count 2")


def test_journal() -> None:
    run("journal add lot clove C1 --supplier S")
    run("journal add batch x --lot C1 --yield-g 500 --ph 4")
    run("journal add tasting A --batch 1 --liking 6 --taster Ana")
    assert len(answer("journal search")["found"]) == 3
    for kind in ("batch", "tasting", "lot"):
        answer(f"journal show {kind} 1")
    answer("journal lots C1")
    answer("journal learned")
