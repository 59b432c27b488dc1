"""Every document fits its JSON Schema, and a schema changes only with a new version.

JSON Schema, draft 2020-12 (json-schema.org); validated by the jsonschema library.
"""

from __future__ import annotations

import importlib.util
import json
import shlex
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from pairing.cards import schema
from pairing.cards.report import SCHEMA_VERSION
from pairing.cli import COMMANDS, cli

ROOT = Path(__file__).resolve().parents[2]
PANTRY = """
currency = "EUR"

[[prices]]
item = "sugar"
per_kg = 1.2

[[stock]]
item = "mandarin"
grams = 4000
"""
SAID = [line for line in (Path(__file__).parent / "commands.txt").read_text().splitlines() if line]


def answer(words: str) -> dict[str, Any]:
    done = CliRunner().invoke(cli, [*shlex.split(words), "--format", "json"])
    document = json.loads(done.stdout)
    assert isinstance(document, dict)
    return document


@pytest.fixture(autouse=True)
def _pantry(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "bar.toml").write_text(PANTRY, encoding="utf-8")
    (tmp_path / "one.toml").write_text('ingredients = ["mandarin", "clove"]\nservings = 20\n')
    (tmp_path / "other.toml").write_text('ingredients = ["mandarin"]\nservings = 24\n')
    (tmp_path / "pairs.csv").write_text("ingredient_a,ingredient_b\nclove,coffee\nxyzzy,clove\n")
    (tmp_path / "blends.csv").write_text(
        "ingredient_a,ingredient_b,site\nclove,,north\nxyzzy,clove,\n"
    )
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("words", SAID)
def test_every_document_fits_its_schema(words: str) -> None:
    document = answer(words)
    jsonschema.validate(
        document,
        schema.schema(document["document"]),
        cls=jsonschema.Draft202012Validator,
    )


def test_every_schema_is_one_and_knows_its_words() -> None:
    for name in schema.names():
        whole = schema.schema(name)
        jsonschema.Draft202012Validator.check_schema(whole)
        assert whole["title"], name
        assert whole["description"], name
        assert "TODO" not in json.dumps(whole), name


def test_an_unknown_key_and_a_missing_one_fail() -> None:
    document = answer("ratio --strength 2:1 --yield-g 500")
    whole = schema.schema("ratio")
    for spoilt in ({**document, "surprise": 1}, {k: v for k, v in document.items() if k != "brix"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(spoilt, whole)


def test_a_schema_changes_only_with_a_new_version() -> None:
    spec = importlib.util.spec_from_file_location("lock", ROOT / "scripts" / "lock_schemas.py")
    assert spec is not None
    assert spec.loader is not None
    lock = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(lock)
    written = json.loads(lock.LOCK.read_text("utf-8"))["digests"]
    assert written[str(SCHEMA_VERSION)] == lock.digests(), (
        "a schema differs from its lock: raise SCHEMA_VERSION if that version was released, then "
        "run scripts/lock_schemas.py"
    )


def test_stops_come_first_in_a_document_that_has_them() -> None:
    document = answer("formula clove --dose clove=900g/kg")
    assert list(document)[3] == "stops"
    assert document["stops"]


@pytest.mark.parametrize(
    ("words", "kind", "code"),
    [
        ("show cloove", "unknown-name", 2),
        ("list ingredients --kind nut --group fruit-thiols", "nothing-found", 1),
        ("ratio --strength nine --yield-g 5", "bad-input", 2),
        ("ratio --yield-g", "bad-input", 2),
    ],
)
def test_errors_are_json_in_json_mode(
    words: str, kind: str, code: int, capfd: pytest.CaptureFixture[str]
) -> None:
    from pairing.cli import main

    with pytest.raises(SystemExit) as stop:
        main([*shlex.split(words), "--format=json"] if words.split()[-1] != "--yield-g"
             else ["ratio", "--format", "json", "--yield-g"])  # fmt: skip
    out, err = capfd.readouterr()
    document = json.loads(out)
    jsonschema.validate(document, schema.schema("error"))
    assert stop.value.code == code == document["error"]["exit_code"]
    assert document["error"]["kind"] == kind
    assert err == f"pairing: {document['error']['message']}\n"


# no document: completion, help, schema, page; files of their own: journal, trials; not shipped data
NOT_ASKED = {"completion", "help", "schema", "page", "journal", "trials", "validate"}


def test_every_command_is_asked_for_its_document() -> None:
    asked = {shlex.split(words)[0] for words in SAID}
    assert set(COMMANDS) - asked <= NOT_ASKED


def test_a_refused_plant_is_no_mere_bad_input() -> None:
    from click.testing import CliRunner

    from pairing.cli import MUST_NOT_BE_SERVED, main

    done = CliRunner()
    with done.isolation() as streams, pytest.raises(SystemExit) as stopped:
        main(["formula", "kava", "--format", "json"])
    said = json.loads(streams[0].getvalue())["error"]
    assert stopped.value.code == said["exit_code"] == MUST_NOT_BE_SERVED
    assert said["kind"] == "must-not-be-served"
