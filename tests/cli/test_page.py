"""The page at the counter: the same documents as the commands, plain forms, clear refusals."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("starlette", reason="the page is an extra: pip install starlette")
pytest.importorskip("httpx", reason="the test client of starlette needs httpx")

from click.testing import CliRunner
from starlette.testclient import TestClient

from pairing.cli import cli
from pairing.cli.counter import application
from pairing.lab import open_lab

ASK = {"coffee": "washed burundi light espresso", "style": "iced", "servings": "24",
       "i": ["mandarin", "clove"]}  # fmt: skip


@pytest.fixture(scope="module")
def client() -> TestClient:
    return TestClient(application(open_lab()))


def test_front_and_shelves(client: TestClient) -> None:
    front = client.get("/")
    assert front.status_code == 200
    assert "<form" in front.text
    shelf = client.get("/suggest", params={"coffee": ASK["coffee"], "style": "iced"})
    assert shelf.status_code == 200
    assert 'href="/formula?' in shelf.text


def test_the_formula_is_the_document_of_the_command(client: TestClient) -> None:
    there = client.get("/formula", params={**ASK, "format": "json"}).json()
    words = ["formula", "mandarin", "clove", "--coffee", str(ASK["coffee"]), "--servings", "24",
             "--format", "json"]  # fmt: skip
    assert there == json.loads(CliRunner().invoke(cli, words).stdout)
    page = client.get("/formula", params=ASK).text
    assert "data-minutes" in page
    assert "Take care" in page


@pytest.mark.parametrize("path", ["/drink", "/card"])
def test_drink_and_card(client: TestClient, path: str) -> None:
    assert "<svg" in client.get(path, params=ASK).text


@pytest.mark.parametrize(
    "change",
    [
        {"coffee": "<script>alert(1)</script>"},
        {"i": ["<img src=x onerror=alert(1)>"]},
        {"i": []},
        {"i": ["clove"] * 9},
        {"servings": "-3"},
        {"servings": "9" * 400},
        {"servings": "inf"},
        {"coffee": "a" * 5000},
        {"style": "\x1b[31m"},
        {"style": "nowhere"},
    ],
)
def test_bad_input_is_one_page_that_says_so(client: TestClient, change: dict[str, Any]) -> None:
    done = client.get("/formula", params={**ASK, **change})
    assert done.status_code == 400
    assert "<script>alert" not in done.text
    assert "<img" not in done.text


def test_core_commands_import_none_of_it(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom pairing.cli import main\n"
        "try:\n    main(['formula', 'mandarin'])\nexcept SystemExit:\n    pass\n"
        "held = ('starlette', 'uvicorn', 'pairing.cards.html', 'pairing.cards.pictures')\n"
        "print([m for m in held if m in sys.modules], file=sys.stderr)\n"
    )
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path,
        env={"PYTHONPATH": str(root), "PATH": "/usr/bin:/bin"},
    )  # fmt: skip
    assert done.stderr.strip() == "[]"


def test_a_missing_extra_answers_with_its_install_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "uvicorn", None)
    done = CliRunner().invoke(cli, ["page"])
    assert 'pip install "coffee-syrup-pairing[page]"' in str(done.exception)
