"""The page at the counter: the commands' own documents, strangers kept out, refusals in a line.

Who is let in follows published rules: the Host header of RFC 9110 7.2 against DNS rebinding, the
Origin header of RFC 6454 and Fetch Metadata against cross-site request forgery, CSP level 3.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import html
import io
import json
import re
import shlex
import socket
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("starlette", reason="the page is an extra: pip install starlette")
pytest.importorskip("httpx", reason="the test client of starlette needs httpx")

from click.testing import CliRunner
from starlette.testclient import TestClient

from pairing.cli import cli
from pairing.cli.options import open_bar
from pairing.page.application import application

HOME = "http://127.0.0.1:8437"
FROM_HERE = {"origin": HOME}
COFFEE = "washed burundi light espresso"
ASK = {"coffee": COFFEE, "style": "iced", "servings": "24", "ingredients": ["mandarin", "clove"]}
BAR = """
name = "Harbour and Station"
currency = "EUR"
[[prices]]
item = "mandarin"
per_kg = 2.4
[[stock]]
item = "mandarin"
grams = 4000
[[menus]]
name = "autumn"
coffees = [{ origin = "burundi", process = "washed", roast = "light", brew = "espresso" }]
"""


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return TestClient(application(lambda m: open_bar(None, None, m), tmp_path), base_url=HOME)


def command(words: str) -> Any:
    done = CliRunner().invoke(cli, [*shlex.split(words), "--format", "json"])
    assert done.exit_code in (0, 3), done.exception
    return json.loads(done.stdout)


def posted(client: TestClient, path: str, **fields: Any) -> Any:
    return client.post(path, data=fields, headers=FROM_HERE, follow_redirects=False)


# --- the same documents -------------------------------------------------------------------------

MADE = "mandarin clove --coffee 'washed burundi light espresso' --style iced --servings 24"


@pytest.mark.parametrize(
    ("path", "asked", "words"),
    [
        ("/formula", ASK, f"formula {MADE}"),
        ("/formula", {**ASK, "dose.clove": "1g/kg"}, f"formula {MADE} --dose clove=1g/kg"),
        ("/formula", {**ASK, "market": "us"}, f"formula {MADE} --market us"),
        (
            "/formula",
            {**ASK, "amount": "640", "unit": "yield_g", "strength": "1:1", "sweetener": "honey"},
            "formula mandarin clove --coffee 'washed burundi light espresso' --style iced "
            "--yield-g 640 --strength 1:1 --sweetener honey",
        ),
        ("/drink", ASK, f"drink {MADE}"),
        ("/drink", {**ASK, "style": "milk", "milk": "oat", "glass": "mug"},
         f"drink {MADE.replace('iced', 'milk')} --milk oat --glass mug"),
        ("/card", ASK, f"card {MADE}"),
        (
            "/drink",
            {**ASK, "more.0": "cold-foam", "more.1": "vodka", "much.1": "40ml", "as": "half-sweet"},
            f"drink {MADE} --add cold-foam --add vodka=40ml --as half-sweet",
        ),
        ("/drink", {**ASK, "style": "milk", "without_coffee": "yes"},
         f"drink {MADE.replace('iced', 'milk')} --without-coffee"),
        ("/card", {**ASK, "add": ["cold-foam", "nutmeg=0.05g"], "kind": "recipe"},
         f"card {MADE} --add cold-foam --add nutmeg=0.05g --kind recipe"),
        (
            "/label",
            {**ASK, "made_on": "2026-11-24", "sale": "premises", "name": "Harbour"},
            f"label {MADE} --made-on 2026-11-24 --sale premises --name Harbour",
        ),
        (
            "/suggest",
            {"coffee": COFFEE, "notes": "black currant", "style": "iced"},
            f"suggest --coffee '{COFFEE}' --notes 'black currant' --style iced",
        ),
        ("/suggest", {"origin": "kenya", "roast": "light"}, "suggest --origin kenya --roast light"),
        (
            "/ratio",
            {"strength": "2:1", "yield_g": "500", "fruit.0": "orange", "grams.0": "200g"},
            "ratio --strength 2:1 --yield-g 500 --fruit orange=200g",
        ),
        ("/ratio", {"brix": "60", "servings": "40", "sweetener": "honey"},
         "ratio --brix 60 --servings 40 --sweetener honey"),
        ("/pantry", {"market": "uk"}, "pantry --market uk"),
        (
            "/trials/plan",
            {"ingredients": ["mandarin", "clove"], "vary": "clove", "steps": "3", "tasters": "6"},
            "trials plan mandarin clove --vary clove --steps 3 --tasters 6",
        ),
    ],
)  # fmt: skip
def test_the_document_is_that_of_the_command(
    client: TestClient, path: str, asked: dict[str, Any], words: str
) -> None:
    there = client.get(path, params={**asked, "format": "json"})
    assert there.json() == command(words)
    page = client.get(path, params=asked)
    assert page.status_code == there.status_code == 200
    assert "<main" in page.text


def test_a_tasting_is_that_of_the_command(client: TestClient, tmp_path: Path) -> None:
    plan = {"ingredients": ["mandarin", "clove"], "vary": "clove", "steps": "3", "tasters": "6"}
    assert posted(client, "/trials/keep", **plan, keep_as="autumn").status_code == 303
    kept = json.loads((tmp_path / "autumn.json").read_text())
    words = "trials plan mandarin clove --vary clove --steps 3 --tasters 6"
    assert kept == command(words)
    assert command("trials plan --from autumn.toml") == kept
    made = posted(client, "/trials/sheet", plan="autumn", tasters="3", keep_as="first")
    assert made.headers["location"] == "/trials/sheet/first"
    assert "How much do you like" in client.get("/trials/of/autumn").text
    key = json.loads((tmp_path / "first.json").read_text())["key"]
    for n, taster in enumerate(("T1", "T2", "T3")):
        ballot = client.get("/trials/ballot/first", params={"taster": taster}).text
        mine = [c for c in key if c["taster"] == taster]
        assert all(c["code"] in ballot for c in mine)
        likes = {f"answer.{c['code']}": str(4 + n + (c["trial"] == "B")) for c in mine}
        likes[f"note.{mine[0]['code']}"] = "=1+1 bright"
        done = posted(client, "/trials/answer/first", taster=taster, **likes)
        assert done.status_code == 303
    there = client.get("/trials/read/first", params={"format": "json"}).json()
    assert there == command("trials read first.json first.csv")
    assert there["told_apart"] is not None
    rows = list(csv.DictReader(io.StringIO((tmp_path / "first.csv").read_text())))
    assert len(rows) == len(key)
    assert {r["note"] for r in rows} == {"", "'=1+1 bright"}
    assert "has answered" in client.get("/trials/ballot/first").text


@pytest.mark.parametrize("protocol", ["triangle", "duo-trio", "paired", "ranking", "just-right"])
def test_every_kind_of_ballot_is_filled_in_and_read(
    client: TestClient, tmp_path: Path, protocol: str
) -> None:
    plan = {"ingredients": ["mandarin", "clove"], "vary": "clove", "steps": "3", "tasters": "6"}
    posted(client, "/trials/keep", **plan, keep_as="p")
    only = "" if protocol in ("ranking", "just-right") else "A, C"
    made = posted(client, "/trials/sheet", plan="p", protocol=protocol, tasters="Ana, Bo, Cy",
                  only=only, quality="sweet, clove", keep_as="s")  # fmt: skip
    assert made.status_code == 303, made.text
    key = json.loads((tmp_path / "s.json").read_text())["key"]
    for taster in ("Ana", "Bo", "Cy"):
        mine = [c for c in key if c["taster"] == taster and c["code"] != "R"]
        page = client.get("/trials/ballot/s", params={"taster": taster}).text
        assert not re.search(r"\btrial\b", re.sub(r"<nav.*?</nav>", "", page).lower())
        if protocol == "ranking":
            fields = {f"answer.{c['code']}": str(n) for n, c in enumerate(mine, 1)}
        elif protocol == "just-right":
            fields = {f"answer.{c['code']}": "6" for c in mine}
            fields |= {f"mark.{i}.{c['code']}": "4" for c in mine for i in (0, 1)}
        else:
            fields = {f"pick.{mine[0]['set']}": mine[0]["code"]}
        done = posted(client, "/trials/answer/s", taster=taster, **fields)
        assert done.status_code == 303, done.text
    assert client.get("/trials/read/s", params={"format": "json"}).json() == command(
        "trials read s.json s.csv"
    )


def test_what_is_handed_out_is_taken_up_by_the_command(client: TestClient) -> None:
    asked = {**ASK, "command": "formula", "keep_as": "counter"}
    done = client.get("/keep", params=asked)
    assert 'filename="counter.toml"' in done.headers["content-disposition"]
    Path("counter.toml").write_text(done.text, encoding="utf-8")
    assert command("formula --from counter.toml") == command(f"formula {MADE}")
    assert client.get("/keep", params={**asked, "pantry": "/etc"}).status_code == 400
    assert client.get("/keep", params={**asked, "keep_as": "../up"}).status_code == 400


def test_the_pantry_says_stock_and_gaps(tmp_path: Path) -> None:
    (tmp_path / "pairing.toml").write_text(BAR, encoding="utf-8")
    client = TestClient(application(lambda m: open_bar(None, None, m), tmp_path), base_url=HOME)
    there = client.get("/pantry", params={"format": "json"}).json()
    assert there == command("pantry")
    assert there["stock"] == [
        {"item": "mandarin", "name": "Mandarin slices", "grams": 4000.0, "price_per_kg": 2.4}
    ]
    cup = there["coffees"][0]
    assert {h["id"].partition("-")[0] for h in cup["here"]} == {"mandarin"}
    assert cup["gaps"]
    page = client.get("/pantry").text
    assert "origin=burundi" in page
    assert "European Union" in client.get("/pantry", params={"market": "eu"}).text


def test_stops_come_first_and_are_no_success(client: TestClient) -> None:
    done = client.get("/formula", params={**ASK, "dose.clove": "900g/kg"})
    assert done.status_code == 422
    assert done.text.index("STOP") < done.text.index("Weigh")
    assert client.get("/formula", params={**ASK, "ingredients": "kava"}).status_code == 422


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/formula", "/drink", "/card", "/suggest", "/trials/plan"])
@pytest.mark.parametrize(
    "change",
    [
        {"coffee": "<script>alert(1)</script>"},
        {"coffee": COFFEE, "origin": "kenya"},
        {"coffee": "a" * 5000},
        {"coffee": "\x1b[31m"},
        {"style": "nowhere"},
        {"market": "moon"},
        {"ingredients": ["<img src=x onerror=alert(1)>"]},
        {"ingredients": []},
        {"ingredients": ["clove", "mandarin", "lime", "vanilla", "cassia", "mace", "anise"]},
        {"servings": "-3"},
        {"servings": "9" * 150},
        {"servings": "nan"},
        {"amount": "inf", "unit": "yield_g"},
        {"amount": "3", "unit": "yield_t"},
        {"dose.clove": "-1g"},
    ],
)
def test_bad_input_is_one_page_that_says_so(
    client: TestClient, path: str, change: dict[str, Any]
) -> None:
    made = path not in ("/suggest", "/trials/plan")
    if not made and not set(change) & {"coffee", "style", "market"}:
        pytest.skip("it has no such field")
    done = client.get(path, params={**ASK, **change})
    assert done.status_code == 400
    assert "<script>alert" not in done.text
    assert "<img" not in done.text
    said = re.findall(r"<h1>[^<]*</h1><p>([^<]*)</p>", done.text)
    assert len(said) == 1
    assert said[0].strip()
    assert "Traceback" not in done.text
    told = client.get(path, params={**ASK, **change, "format": "json"})
    assert told.json()["error"]["message"]


def test_what_is_not_there_is_404(client: TestClient, tmp_path: Path) -> None:
    for path in ("/nowhere", "/trials/of/none", "/trials/sheet/none", "/trials/read/none"):
        assert client.get(path).status_code == 404, path
    for name in ("..%2f..%2fetc%2fpasswd", "a%00b", ".hidden"):
        assert client.get(f"/trials/of/{name}").status_code in (400, 404), name
    assert posted(client, "/formula").status_code == 405
    assert client.get("/trials/keep").status_code == 405
    (tmp_path / "x.json").write_text("[" * 100_000)
    assert client.get("/trials/sheet/x").status_code == 400
    (tmp_path / "y.json").write_text('{"command": "trials plan"}')
    assert client.get("/trials/of/y").status_code == 400
    (tmp_path / "z.json").mkdir()
    assert client.get("/trials/of/z").status_code == 400


def test_a_fault_is_one_line_too(tmp_path: Path) -> None:
    def broken(_market: str) -> Any:
        raise RuntimeError("secret of the house")

    client = TestClient(application(broken, tmp_path), base_url=HOME, raise_server_exceptions=False)
    done = client.get("/")
    assert done.status_code == 500
    assert "secret" not in done.text
    assert "not of your input" in done.text


def test_nothing_is_written_over(client: TestClient, tmp_path: Path) -> None:
    plan = {"ingredients": "mandarin", "vary": "mandarin", "steps": "3", "tasters": "6"}
    assert posted(client, "/trials/keep", **plan, keep_as="p").status_code == 303
    before = (tmp_path / "p.json").read_text()
    again = posted(client, "/trials/keep", **{**plan, "steps": "4"}, keep_as="p")
    assert again.status_code == 400
    assert "there already" in again.text
    assert (tmp_path / "p.json").read_text() == before
    (tmp_path / "bar.csv").write_text("mine")
    assert posted(client, "/trials/sheet", plan="p", tasters="3", keep_as="bar").status_code == 400
    assert (tmp_path / "bar.csv").read_text() == "mine"
    for name in ("../up", "a/b", "", ".x", "x" * 80):
        assert posted(client, "/trials/keep", **plan, keep_as=name).status_code == 400, name


def test_a_ballot_that_can_not_be_is_refused_whole(client: TestClient, tmp_path: Path) -> None:
    plan = {"ingredients": "mandarin", "vary": "mandarin", "steps": "3", "tasters": "6"}
    posted(client, "/trials/keep", **plan, keep_as="p")
    posted(client, "/trials/sheet", plan="p", protocol="ranking", tasters="2", keep_as="s")
    before = (tmp_path / "s.csv").read_text()
    code = [c["code"] for c in json.loads((tmp_path / "s.json").read_text())["key"]]
    for fields, status in (
        ({"taster": "T1"}, 400),
        ({"taster": "T9"}, 404),
        ({"taster": "T1", f"answer.{code[0]}": "12"}, 400),
        ({"taster": "T1", f"answer.{code[0]}": "1", f"answer.{code[1]}": "1"}, 400),
    ):
        assert posted(client, "/trials/answer/s", **fields).status_code == status
    assert (tmp_path / "s.csv").read_text() == before


# --- strangers ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("host", "let_in"),
    [
        ("127.0.0.1:8437", True),
        ("localhost:8437", True),
        ("LOCALHOST:8437", True),
        ("[::1]:8437", True),
        ("127.0.0.1", True),
        ("evil.example", False),
        ("localhost.evil.example:8437", False),
        ("127.0.0.1.evil.example", False),
        ("127.0.0.1@evil.example", False),
        ("192.168.1.20:8437", False),
        ("localhost:8437, evil.example", False),
        ("localhost:99999999", False),
        ("", False),
    ],
)
def test_only_this_machine_is_a_host(client: TestClient, host: str, let_in: bool) -> None:
    done = client.get("/trials", headers={"host": host})
    assert (done.status_code == 200) is let_in
    if not let_in:
        assert done.status_code == 421
        assert "<form" not in done.text


def test_on_the_network_an_address_is_a_host_and_a_name_is_not(tmp_path: Path) -> None:
    app = application(lambda m: open_bar(None, None, m), tmp_path, open_to_network=True)
    client = TestClient(app, base_url="http://192.168.1.20:8437")
    assert client.get("/trials").status_code == 200
    assert client.get("/trials", headers={"host": "bar.example:8437"}).status_code == 421


@pytest.mark.parametrize(
    ("headers", "let_in"),
    [
        ({"origin": HOME}, True),
        ({"origin": HOME, "sec-fetch-site": "same-origin"}, True),
        ({"sec-fetch-site": "same-origin"}, True),
        ({}, False),
        ({"origin": "null"}, False),
        ({"origin": "http://evil.example"}, False),
        ({"origin": "http://127.0.0.1:9999"}, False),
        ({"origin": "https://127.0.0.1:8437"}, False),
        ({"origin": HOME, "sec-fetch-site": "cross-site"}, False),
        ({"sec-fetch-site": "same-site"}, False),
    ],
)
def test_only_the_page_itself_changes_a_file(
    client: TestClient, tmp_path: Path, headers: dict[str, str], let_in: bool
) -> None:
    plan = {"ingredients": "mandarin", "vary": "mandarin", "steps": "3", "keep_as": "p"}
    done = client.post("/trials/keep", data=plan, headers=headers, follow_redirects=False)
    assert done.status_code == (303 if let_in else 403)
    assert (tmp_path / "p.json").exists() is let_in


def test_a_flood_of_a_form_is_cut(client: TestClient) -> None:
    assert posted(client, "/trials/keep", keep_as="x" * 300_000).status_code == 413
    many = {"ingredients": ["clove"] * 4000}
    assert posted(client, "/trials/keep", **many).status_code == 400
    bad = client.post("/trials/keep", content=b"a=\xff\xfe", headers=FROM_HERE)
    assert bad.status_code == 400


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


@pytest.mark.parametrize("path", ["/", "/formula", "/suggest", "/ratio", "/pantry", "/nowhere"])
def test_nothing_is_loaded_and_only_the_known_script_runs(client: TestClient, path: str) -> None:
    done = client.get(path, params=ASK if path in ("/formula",) else {})
    policy = done.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    scripts = re.findall(r"<script>(.*?)</script>", done.text, re.S)
    for script in scripts:
        digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy
    assert "'unsafe-inline'" not in policy.partition("style-src")[0]
    tags = _Tags()
    tags.feed(done.text)
    for tag, attributes in tags.found:
        assert not any(name.startswith("on") for name in attributes)
        assert tag not in ("iframe", "object", "embed", "base", "img", "audio", "video")
        for name in ("src", "href", "action"):
            said = attributes.get(name) or "/"
            assert said.startswith(("/", "#", "data:")), (tag, said)
            assert not said.startswith("//")


def test_it_is_read_without_script(client: TestClient) -> None:
    bare = re.sub(r"<script>.*?</script>", "", client.get("/formula", params=ASK).text, flags=re.S)
    for words in ("Weigh", "Take care", "Keeping", "min"):
        assert words in bare
    assert "data-minutes" in bare


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


def test_a_taken_port_and_a_strange_address_are_one_line() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        done = CliRunner().invoke(cli, ["page", "--port", port])
        assert "cannot listen at" in str(done.exception)
    done = CliRunner().invoke(cli, ["page", "--host", "999.1.1.1"])
    assert "cannot listen at" in str(done.exception)


def test_a_scaled_formula_keeps_its_doses(client: TestClient) -> None:
    asked = {**ASK, "dose.mandarin": "100g"}
    first = client.get("/formula", params={**asked, "format": "json"}).json()
    page = client.get("/formula", params=asked).text
    assert 'name="dose.mandarin" value="100g"' in page
    twice = re.search(r'href="([^"]*)">Twice<', page)
    assert twice is not None
    address = html.unescape(twice[1]) + "&format=json"
    scaled = client.get(address).json()
    assert scaled["servings"] == 48
    grams = [d["ingredients"][0]["grams"] for d in (first, scaled)]
    assert grams == [pytest.approx(100, rel=1e-3), pytest.approx(200, rel=1e-3)]


# --- side by side, and on -----------------------------------------------------------------------


def test_a_change_is_compared_with_what_was(client: TestClient) -> None:
    Path("one.toml").write_text(client.get("/keep", params={**ASK, "command": "formula"}).text)
    stronger = {**ASK, "command": "formula", "dose": "clove=2g/kg"}
    Path("two.toml").write_text(client.get("/keep", params=stronger).text)
    by_hand = command("compare one.toml two.toml")
    kept = client.get("/compare", params={"one": "one", "other": "two", "format": "json"}).json()
    assert kept == by_hand
    was = {f"was.{k}": v for k, v in ASK.items()}
    asked = {**ASK, **was, "dose.clove": "2g/kg", "format": "json"}
    changed = client.get("/compare", params=asked).json()
    assert changed["differences"] == by_hand["differences"]
    shown = client.get("/compare").text
    assert "one" in shown
    assert "two" in shown
    assert client.get("/compare", params={"one": "one", "other": "../etc"}).status_code in (
        400,
        404,
    )
    form = client.get("/formula", params=ASK).text
    assert 'formaction="/compare"' in form
    assert 'name="was.ingredients"' in form


def test_what_to_taste_next_is_that_of_the_command(client: TestClient) -> None:
    said = {"ingredients": ["mandarin", "clove"], "vary": "clove", "steps": "3", "tasters": "3"}
    posted(client, "/trials/keep", **said, keep_as="autumn")
    asked = {
        "plan": "autumn",
        "protocol": "liking",
        "tasters": "Ana, Bo, Cy",
        "keep_as": "autumn-1",
    }
    assert posted(client, "/trials/sheet", **asked).status_code == 303
    with Path("autumn-1.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    place = rows[0].index("answer")
    for n, row in enumerate(rows[1:]):
        row[place] = str(3 + n % 6)
    with Path("autumn-1.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
    assert "What to taste next" in client.get("/trials/read/autumn-1").text
    there = client.get("/trials/next/autumn-1", params={"plan": "autumn", "format": "json"}).json()
    by_hand = command("trials next autumn.json --answers autumn-1.json autumn-1.csv --count 3")
    assert there["next"] == by_hand["next"]
    sent = {"plan": "autumn", "sheet": "autumn-1", "keep_as": "autumn-2"}
    assert posted(client, "/trials/keep-next", **sent).headers["location"] == "/trials/of/autumn-2"
    kept = json.loads(Path("autumn-2.json").read_text("utf-8"))
    assert kept["design"] == "next"
    assert len(kept["trials"]) == 4
    assert posted(client, "/trials/keep-next", **sent).status_code == 400  # nothing is written over
    assert client.get("/trials/next/gone", params={"plan": "autumn"}).status_code == 404


# --- what nobody assessed, edited files, odd names ------------------------------------------

OWN_THING = (
    '[[ingredients]]\ningredient_id = "own"\nname = "House thing"\nkind = "spice"\n'
    '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "ground"\nlabel = "House thing"\n'
    'dose_low_g_per_kg = 5\ndose_high_g_per_kg = 10\nmethod = "hot-steep"\n'
)


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/formula", {"ingredients": "own", "amount": "24"}),
        ("/drink", {"ingredients": "own", "amount": "24"}),
        ("/card", {"ingredients": "own", "amount": "24"}),
        ("/ratio", {"sugar_g": "300", "strength": "1:1", "fruit": "own=3g"}),
        ("/trials/plan", {"ingredients": "own"}),
    ],
)
def test_what_nobody_assessed_stands_before_every_form(
    tmp_path: Path, path: str, fields: dict[str, str]
) -> None:
    (tmp_path / "own.toml").write_text(OWN_THING, "utf-8")
    bar = TestClient(
        application(lambda m: open_bar(tmp_path / "own.toml", None, m), tmp_path), base_url=HOME
    )
    text = bar.get(path, params=fields).text
    assert "House thing: NOT ASSESSED here" in text
    assert text.index("NOT ASSESSED") < (text + "<form").index("<form")


def test_a_card_that_must_not_be_served_is_no_success(client: TestClient) -> None:
    fields = {"ingredients": "nutmeg", "dose": "nutmeg=300g/kg", "amount": "4"}
    for path in ("/formula", "/drink", "/card"):
        assert client.get(path, params=fields).status_code == 422


def test_a_refusal_as_json_has_the_exit_code_of_the_command(client: TestClient) -> None:
    for name, code in (("sassafras", 3), ("belladonna", 3), ("no-such-thing", 2)):
        said = client.get("/formula", params={"ingredients": name, "format": "json"}).json()
        assert said["error"]["exit_code"] == code


def test_marks_that_turn_the_writing_are_turned_away(client: TestClient) -> None:
    said = client.get("/formula", params={"ingredients": "clove\u202e"})
    assert said.status_code == 400
    assert "plain letters" in said.text


def test_a_file_is_handed_out_under_any_plain_name(client: TestClient) -> None:
    """RFC 6266 and RFC 8187: a name beyond ASCII goes percent-encoded."""
    asked = {"command": "formula", "ingredients": "clove", "keep_as": "mandarine-été"}
    said = client.get("/keep", params=asked)
    assert said.status_code == 200
    assert said.headers["content-disposition"].endswith("''mandarine-%C3%A9t%C3%A9.toml")


def test_an_edited_plan_or_sheet_clears_nobody_and_breaks_nothing(
    client: TestClient, tmp_path: Path
) -> None:
    assert posted(client, "/trials/keep", ingredients=["hazelnut-roasted", "clove"],
                  keep_as="p").status_code == 303  # fmt: skip
    plan = json.loads((tmp_path / "p.json").read_text("utf-8"))
    (tmp_path / "q.json").write_text(json.dumps({**plan, "allergens": "none"}), "utf-8")
    assert "HAZELNUT" in client.get("/trials/of/q").text
    assert posted(client, "/trials/sheet", plan="q", tasters="3", keep_as="s").status_code == 303
    assert "HAZELNUT" in client.get("/trials/ballot/s").text
    sheet = json.loads((tmp_path / "s.json").read_text("utf-8"))
    for caffeine in ({}, {"per_sitting_mg": "x"}):
        (tmp_path / "t.json").write_text(json.dumps({**sheet, "caffeine": caffeine}), "utf-8")
        for path in ("sheet", "ballot"):
            assert client.get(f"/trials/{path}/t").status_code == 400
