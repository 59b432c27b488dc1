"""`pairing trials` as a bar uses it: plan, sheet, answers, reading, next."""

from __future__ import annotations

import csv
import json
import math
import random
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
PLAN = ("mandarin", "green-cardamom", "black-pepper", "--origin", "burundi", "--roast", "light",
        "--vary", "green-cardamom=4..16", "--vary", "black-pepper=7..28")  # fmt: skip


def answer(folder: Path, name: str, plan: str) -> None:
    """Ten guests who like 8 g/kg of cardamom and 14 g/kg of pepper best."""
    rng = random.Random(1)
    key = {(c["taster"], c["code"]): c["trial"]
           for c in json.loads((folder / f"{name}.json").read_text())["key"]}  # fmt: skip
    doses = {t["trial"]: t["doses"] for t in json.loads((folder / plan).read_text())["trials"]}
    path = folder / f"{name}.csv"
    rows = list(csv.DictReader(path.open()))
    for row in rows:
        x = doses[key[row["taster"], row["code"]]]
        far = math.log(x["green-cardamom"] / 8) ** 2 + math.log(x["black-pepper"] / 14) ** 2
        row["answer"] = str(max(1, min(9, round(8 - 3 * far + rng.gauss(0, 0.8)))))
    with path.open("w", newline="") as out:
        writer = csv.DictWriter(out, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PAIRING_JOURNAL", str(tmp_path / "journal.sqlite"))
    return tmp_path


def test_the_whole_loop(run: Run, home: Path) -> None:
    done = run("trials", "plan", *PLAN, "--save", "autumn.json")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("6 trials of Mandarin slices + Green cardamom")
    assert "pairing trials sheet autumn.json" in done.stdout
    plan = json.loads((home / "autumn.json").read_text())
    assert (plan["schema_version"], plan["command"], plan["stops"]) == (2, "trials plan", [])
    for trial in plan["trials"]:
        sheet = trial["formula"]
        assert sheet["stops"] == []
        assert sheet["steps"]
        made = {i["id"]: i["dose_g_per_kg"] for i in sheet["ingredients"]}
        assert made["green-cardamom"] == pytest.approx(trial["doses"]["green-cardamom"])
        assert sheet["brix"] == pytest.approx(plan["brix"], abs=0.1)
        assert sheet["yield_g"] == pytest.approx(plan["pot_g"], rel=1e-3)
    windows = {f["name"]: (f["low"], f["high"]) for f in plan["factors"]}
    for trial in plan["trials"]:
        for name, dose in trial["doses"].items():
            assert windows[name][0] * 0.99 <= dose <= windows[name][1] * 1.01

    done = run("trials", "sheet", "autumn.json", "--tasters", "10", "--seed", "3", "--save", "a1")
    assert done.returncode == 0, done.stderr
    assert "mg caffeine a taster at a sitting" in done.stdout
    assert "Allergens:" in done.stdout
    html = (home / "a1.html").read_text()
    assert html.count("<section") == 10
    assert "http" not in html
    assert not any(d in html for d in ("5.5", "cardamom"))  # blind
    before = (home / "a1.json").read_bytes()
    again = run("trials", "sheet", "autumn.json", "--tasters", "4", "--save", "a1")
    assert again.returncode == 2
    assert "never overwritten" in again.stderr
    assert (home / "a1.json").read_bytes() == before

    answer(home, "a1", "autumn.json")
    done = run("trials", "read", "a1.json", "a1.csv", "--keep")
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[0].startswith(("They like", "Liking differs"))
    assert "60 tastings are in the journal" in " ".join(done.stdout.split())
    assert "0 tastings" in run("trials", "read", "a1.json", "a1.csv", "--keep").stdout

    leaned = run("suggest", "--origin", "burundi", "--own-palate")
    assert "your own palate counts (60 tastings of 6 trials)" in " ".join(leaned.stdout.split())
    assert "own palate" not in run("suggest", "--origin", "burundi").stdout
    args = ("trials", "next", "autumn.json", "--count", "3", "--format", "json")
    found = json.loads(run(*args, "--answers", "a1.json", "a1.csv", "--save", "b.json").stdout)
    from_book = json.loads(run(*args, "--journal").stdout)
    for f, g in zip(found["next"], from_book["next"], strict=True):
        assert f["expected_liking"] == pytest.approx(g["expected_liking"], abs=0.05)
        for name, dose in f["doses"].items():
            assert windows[name][0] <= dose <= windows[name][1]
    # the hidden best is 8 and 14
    first = found["next"][0]["doses"]
    assert first["green-cardamom"] == pytest.approx(8, rel=0.4)
    assert first["black-pepper"] == pytest.approx(14, rel=0.4)
    later = json.loads((home / "b.json").read_text())
    assert later["trials"][0]["doses"] == found["best_so_far"]["doses"]
    assert run("trials", "sheet", "b.json", "--tasters", "6").returncode == 0


def test_law_cuts_what_is_proposed(run: Run, home: Path) -> None:
    done = run("trials", "plan", "mandarin", "cassia", "--vary", "cassia=2..60", "--steps", "3",
               "--format", "json")  # fmt: skip
    found = json.loads(done.stdout)
    top = max(t["doses"]["cassia"] for t in found["trials"])
    assert 25 < top < 31
    assert any("coumarin" in b for b in found["bench"] + run(
        "trials", "plan", "mandarin", "cassia", "--vary", "cassia=2..60", "--steps", "3"
    ).stdout.split("\n"))  # fmt: skip


def test_an_unnamed_jar_counts_as_the_worst_of_it(run: Run, home: Path) -> None:
    """What "cinnamon" might be is cassia, with its coumarin, until the jar is named."""
    args = ("--vary", "mandarin=200..400", "--steps", "2", "--save", "c.json", "--format", "json")
    found = json.loads(run("trials", "plan", "cinnamon", "mandarin", *args).stdout)
    said = json.dumps([t["formula"]["findings"] for t in found["trials"]])
    alone = json.loads(run("formula", "cinnamon", "mandarin", "--format", "json").stdout)
    for code in {f["subject"] for f in alone["findings"] if f["subject"] == "coumarin"}:
        assert code in said
    assert ("coumarin" in said) == ("coumarin" in json.dumps(alone["findings"]))
    assert "coumarin" in said


def test_counts_alone(run: Run, home: Path) -> None:
    done = run("trials", "read", "--protocol", "triangle", "--count", "9/12")
    assert done.stdout.splitlines()[0] == (
        "Your guests can tell B from A: 9 of 12 picked it; luck does that once in 260."
    )
    done = run("trials", "read", "--protocol", "triangle", "--count", "5/12", "--format", "json")
    found = json.loads(done.stdout)
    assert (found["told_apart"], found["more_tasters"]) == (False, 40)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("plan", "mandarin", "--vary", "clove"), "not in the formula"),
        (("plan", "mandarin", "--vary", "mandarin=9"), "should look like mandarin=2..8"),
        (("plan", "mandarin", "--yield-g", "500"), "follows from the tasters"),
        (("plan", "mandarin", "--design", "square"), "unknown design"),
        (("plan", "nosuchfruit"), "unknown"),
        (("sheet", "--tasters", "3"), "give the file of a plan"),
        (("sheet", "none.json", "--tasters", "3"), "cannot read"),
        (("sheet", "--trial", "x", "--trial", "y"), "say --tasters 12"),
        (("sheet", "--trial", "x", "--trial", "y", "--tasters", "3", "--protocol", "cross"),
         "unknown protocol"),
        (("read",), "give the sheet's JSON"),
        (("read", "--protocol", "triangle", "--count", "nine"), "should look like 9/12"),
        (("read", "--protocol", "triangle", "--count", "13/12"), "13 of 12"),
        (("next", "none.json"), "cannot read"),
    ],
)  # fmt: skip
def test_bad_input_gets_one_line(run: Run, home: Path, args: tuple[str, ...], says: str) -> None:
    done = run("trials", *args)
    assert done.returncode == 2, done.stdout
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert says in done.stderr
    assert not list(home.glob("*.json"))


def test_another_file_is_no_plan(run: Run, home: Path) -> None:
    (home / "x.json").write_text('{"command": "formula"}')
    done = run("trials", "sheet", "x.json", "--tasters", "3")
    assert (done.returncode, "no file of pairing trials plan" in done.stderr) == (2, True)


def test_hostile_names_stay_inert_on_the_cards(run: Run, home: Path) -> None:
    name = "<script>alert(1)</script>"
    done = run("trials", "sheet", "--trial", "A", "--trial", "B", "--protocol", "paired",
               "--taster", name, "--taster", "Bo", "--format", "html")  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "<script>" not in done.stdout
    assert "&lt;script&gt;" in done.stdout
    assert "not known here" in done.stdout  # allergens and caffeine of loose trials


def test_powders_and_blends_are_weighed_into_every_pot(run: Run, home: Path) -> None:
    blend = ("--sweetener", "sugar=7", "--sweetener", "erythritol=3", "--market", "us")
    done = run("trials", "plan", "clove", "cassia", "citric-acid", "--vary", "clove", *blend)
    head = next(line for line in done.stdout.splitlines() if line.startswith("pot "))
    for what in ("sugar", "water", "clove", "cassia", "citric-acid", "erythritol"):
        assert what in head
