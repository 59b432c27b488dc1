from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import click
import pytest

from pairing.aroma.description import levels
from pairing.cards.report import FORMATS, Bullets, Report, Table, Text, render
from pairing.cli import COMMANDS, cli
from pairing.errors import CONTROL
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.tables import data_folder
from pairing.safety.answers import rule_for
from pairing.safety.plants import is_refused, refusal
from pairing.safety.process import commands_for

# fitted coefficients and counts of cups: left out of the total
NOT_FACTS = ("compatibility", "cup_notes", "cup_pairs")
CATALOG = load()
Run = Callable[..., CompletedProcess[str]]
BURUNDI = ("--origin", "burundi", "--process", "washed", "--roast", "light", "--brew", "espresso")


def test_every_command_has_help_with_an_example() -> None:
    ctx = click.Context(cli, info_name="pairing")
    for name in COMMANDS:
        command = cli.get_command(ctx, name)
        assert command is not None
        below = [command]
        if isinstance(command, click.Group):
            below += [c for c in (command.get_command(ctx, n) for n in command.commands) if c]
        for each in below:
            assert each.help, name
            assert f"pairing {name}" in each.help, f"{name} {each.name}: no example in its help"
            for parameter in each.params:
                if isinstance(parameter, click.Option) and parameter.name != "how":
                    assert parameter.help, f"{name} {each.name} {parameter.name}"


GOOD = [
    ("list", "ingredients", "--kind", "citrus", "--month", "10"),
    ("list", "ingredients", "--group", "floral-terpenols"),
    ("list", "coffees"),
    ("list", "compounds", "--group", "roast-pyrazines"),
    ("list", "groups"),
    ("list", "sweeteners"),
    ("list", "brews"),
    ("list", "glasses"),
    ("show", "green-cardamom"),
    ("show", "mandarin peel"),
    ("show", "burundi"),
    ("show", "linalool"),
    ("show", "roast-pyrazines"),
    ("show", "oleander"),
    ("sources",),
    ("sources", "green-cardamom"),
    ("sources", "linalool"),
    ("sources", "--audit"),
    ("suggest", *BURUNDI, "--citrus", "mandarin", "--top", "3"),
    ("check", "green-cardamom", *BURUNDI),
    ("check", "clove", "--with", "sweet-orange"),
    ("formula", "mandarin", "green-cardamom", "black-pepper", *BURUNDI),
    ("label", "mandarin", "green-cardamom", *BURUNDI, "--made-on", "2026-11-24"),
    ("drink", "mandarin", "green-cardamom", *BURUNDI),
    ("drink", "--style", "sparkling", "--glass", "12oz"),
    ("ratio", "--strength", "2:1", "--yield-g", "500"),
    ("graph", "path", "coffee", "mandarin"),
    ("graph", "similar", "green-cardamom"),
    ("graph", "communities"),
    ("graph", "load"),
]


@pytest.mark.parametrize("args", GOOD, ids=" ".join)
def test_four_formats(run: Run, args: tuple[str, ...]) -> None:
    for how in ("table", "json", "csv", "markdown"):
        done = run(*args, "--format", how)
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        if how == "json":
            document = json.loads(done.stdout)
            assert document["schema_version"] == 2
            assert "NaN" not in done.stdout
        elif how == "csv":
            rows = list(csv.reader(io.StringIO(done.stdout)))
            assert len(rows) > 1
            assert {len(r) for r in rows} == {len(rows[0])}
        elif how == "table":
            wide = [line for line in done.stdout.splitlines() if len(line) > 80]
            assert wide == [], f"wider than 80 columns: {wide[0]}"


def test_formula_json_is_what_the_readme_says(run: Run) -> None:
    done = run("formula", "mandarin", "green-cardamom", *BURUNDI, "--servings", "24",
               "--format", "json")  # fmt: skip
    made = json.loads(done.stdout)
    assert [i["id"] for i in made["ingredients"]] == ["mandarin", "green-cardamom"]
    for key in ("sugar_g", "water_g", "yield_g", "yield_ml", "brix", "servings"):
        assert made[key] > 0
    assert made["servings"] == 24
    assert made["yield_g"] == pytest.approx(480, abs=0.01)
    assert made["steps"]
    assert made["cautions"]


WORDS = ("--coffee", "washed burundi light espresso")


@pytest.mark.parametrize(
    "args",
    [
        ("formula", "mandarin", "green-cardamom"),
        ("label", "mandarin", "green-cardamom"),
        ("drink", "mandarin", "green-cardamom"),
        ("check", "green-cardamom", "--style", "milk"),
    ],
    ids=" ".join,
)
def test_a_coffee_in_one_breath_is_the_coffee_of_the_options(
    run: Run, args: tuple[str, ...]
) -> None:
    by_words, by_options = run(*args, *WORDS), run(*args, *BURUNDI)
    assert by_words.returncode == 0, by_words.stderr
    assert by_words.stdout == by_options.stdout
    if args[0] != "label":  # a label names no coffee
        assert by_words.stdout != run(*args, "--coffee", "robusta dark filter").stdout


def test_the_help_names_every_species(catalog: Catalog) -> None:
    ctx = click.Context(cli, info_name="pairing")
    command = cli.get_command(ctx, "formula")
    assert command is not None
    text = next(p.help for p in command.params if isinstance(p, click.Option)
                and p.name == "species")  # fmt: skip
    assert text is not None
    assert set(levels(catalog, "species")) <= set(re.findall("[a-z]+", text))


def test_the_short_formula_leaves_the_aroma_dose_to_cautions_and_json(run: Run) -> None:
    args = ("formula", "mandarin", "green-cardamom", *BURUNDI)
    assert "aroma g/kg" not in run(*args).stdout
    assert "bar g/kg" in run(*args).stdout
    assert "aroma g/kg" in run(*args, "--cautions").stdout
    made = json.loads(run(*args, "--format", "json").stdout)
    assert all(set(i["aroma_dose_range_g_per_kg"]) == {"low", "high"} for i in made["ingredients"])


def test_the_audit_says_the_total_first_and_the_worst(run: Run, catalog: Catalog) -> None:
    found = json.loads(run("sources", "--audit", "--format", "json").stdout)
    rows = 0  # counted from the files, not by the audit
    read = 0
    for path in catalog.folder.glob("*.csv"):
        if path.stem.startswith(NOT_FACTS):
            continue  # fitted coefficients and counts of cups, no facts
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                words = [v for k, v in row.items() if k.endswith("evidence") and v]
                rows += len(words)
                read += words.count("read")
    assert sum(found["total"].values()) == rows
    assert found["total"]["read"] == read
    short, full = (run("sources", "--audit", *more).stdout for more in ((), ("--all",)))
    first = " ".join(short.split("\n\n")[0].split())
    assert first.startswith(f"{rows:,} rows with evidence in all")
    assert f"{100 * read / rows:.0f} % read" in first
    assert len(short.splitlines()) < 170 < len(full.splitlines())
    shares = {i: c.get("read", 0) / sum(c.values()) for i, c in found["ingredients"].items()}
    table = full.partition("Evidence by ingredient")[2].partition("\n\n")[0].splitlines()[3:]
    named = [line.split()[0] for line in table]
    assert set(named) == set(shares)
    assert [shares[i] for i in named] == sorted(shares.values())
    assert len(found["thresholds_that_disagree_tenfold"]) > 10
    for line in found["thresholds_that_disagree_tenfold"]:
        assert line in full
    assert found["thresholds_that_disagree_tenfold"][10] not in short


BAD = [
    (("show", "gren cardamon"), "did you mean green-cardamom"),
    (("show", "piment"), "two spices"),
    (("show", ""), "unknown"),
    (("show", "x" * 5000), "unknown"),
    (("list", "spoons"), "spoons"),
    (("sources", "--all"), "--all goes with --audit"),
    (("list", "ingredients", "--month", "13"), "month"),
    (("list", "ingredients", "--kind", "spicy"), "spice"),
    (("list", "coffees", "--kind", "citrus"), "does not go with"),
    (("formula", "mandarin", "--origin", "atlantis"), "coffee origin"),
    (("formula", "mandarin", "--origin", "liberica"), "is a species: give it with --species"),
    (("drink", "--origin", "natural"), "is a process: give it with --process"),
    (("check", "clove", "--roast", "kenya"), "is an origin: give it with --origin"),
    (("label", "mandarin", "--brew", "dark"), "is a roast: give it with --roast"),
    (("formula", "mandarin", "--coffee", "washed burundi", "--roast", "light"), "put --roast into"),
    (("drink", "--coffee", "washed burundi", "--brew", "espresso"), "put --brew into"),
    (("check", "clove", "--coffee", "washed narnia"), "unknown word for a coffee 'narnia'"),
    (("label", "mandarin", "--coffee", ""), "coffee is empty"),
    (("formula", "mandarin", "--yield-g", "-5"), "more than 0"),
    (("formula", "mandarin", "--yield-g", "nan"), "finite"),
    (("formula", "mandarin", "--serving-g", "1e-308"), "at least 1"),
    (("formula", "mandarin", "--yield-g", "inf"), "finite"),
    (("formula", "mandarin", "--yield-g", "0"), "more than 0"),
    (("formula", "mandarin", "--yield-g", "1e12"), "at most"),
    (("formula", "mandarin", "--brix", "90"), "saturated at"),
    (("formula", "mandarin", "--yield-g", "500", "--servings", "3"), "twice"),
    (("formula", "mandarin", "--strength", "2:0"), "strength"),
    (("formula", "mandarin", "--strength", "=1+1"), "strength"),
    (("formula", "mandarin", "--dose", "mandarin"), "should look like"),
    (("formula", "mandarin", "--dose", "mandarin=-3"), "should look like"),
    (("formula", "mandarin", "--dose", "mandarin=2000g/kg", "--brix", "64"), "juice"),
    (("formula", "mandarin", "--level", "mandarin=loud"), "accent, balanced, lead"),
    (("formula",), "ngredients"),
    (("drink", "--glass", "bucket"), "highball"),
    (("drink", "--glass", "3000ml"), "glass"),
    (("drink", "--for-brix", "39"), ""),
    (("graph", "path", "coffee", "nothing-like-it"), "unknown"),
    (("graph", "export", "--to", "x.docx"), "graphml"),
    (("graph", "load", "--ingredients", "a.tsv"), "all of"),
    (("suggest", "--size", "9"), ""),
    (("suggest", "--top", "0"), ""),
    (("check", "green-cardamom", "--roast", "burnt"), "roast"),
    (("suggst",), "suggest"),
    (("formula", "mandarin", "--nosuch"), "nosuch"),
    (("formula", "mandarin", "--pantry", "missing.toml"), "missing.toml"),
    (("list", "groups", "--data", "missing"), "missing"),
    (("suggest", "--menu", ""), "there is no menu"),
    (("suggest", "--coffee", ""), "coffee is empty"),
    (("suggest", "--coffee", "-"), "coffee is empty"),
    (("suggest", "--origin", ""), "the origin of the coffee is ''"),
    (("formula", "clove", "--process", ""), "the process of the coffee is ''"),
    (("formula", "clove", "--species", " "), "the species of the coffee is ' '"),
    (("list", "ingredients", "--group", ""), "unknown"),
    (("formula", "clove", "--yield-g", "\uff11\uff12"), "is not a number"),
    (("formula", "clove", "--yield-g", "1_000"), "is not a number"),
    (("drink", "--coffee-g", "1e-308"), "at least 1"),
    (("label", "clove", "--made-on", "9999-12-31"), "2000 to 2100"),
    (("label", "clove", "--made-on", "0001-01-01"), "2000 to 2100"),
    (("label", "clove", "--name", "\x1b[31mX"), "control character"),
    (("label", "clove", "--name", "X\nNOTE: safe"), "control character"),
    (("formula", "clove", "--pantry", "p" * 300), "name too long"),
    (("formula", "clove", "--pantry", os.devnull), "device or pipe"),
    (("score", os.devnull), "device or pipe"),
    (("score", "s" * 300), "name too long"),
    (("graph", "export", "--to", "g" * 300 + ".json"), "name too long"),
    (("graph", "export", "--to", os.devnull + ".d/x.json"), "no folder"),
]  # fmt: skip


@pytest.mark.parametrize(("args", "says"), BAD, ids=lambda v: " ".join(v)[:60])
def test_bad_input_gets_one_line_and_exit_2(run: Run, args: tuple[str, ...], says: str) -> None:
    done = run(*args)
    assert done.returncode == 2, (done.stdout, done.stderr)
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1, done.stderr
    assert lines[0].startswith("pairing: ")
    assert says.lower() in lines[0].lower()


@pytest.mark.parametrize(
    "args",
    [("list", "{}"), ("{}",), ("list", "ingredients", "--kind", "{}"), ("drink", "--glass", "{}"),
     ("drink", "--milk", "{}"), ("drink", "--style={}"), ("show", "{}"),
     ("suggest", "--coffee", "{}"), ("formula", "clove", "--yield-g", "{}")],
    ids=" ".join,
)  # fmt: skip
def test_an_echo_is_cut_and_holds_nothing_a_terminal_obeys(run: Run, args: tuple[str, ...]) -> None:
    for said in ("x" * 5000, "x y" * 1700, "\x1b]0;x\x07\u202e\u009b2J" * 9):
        done = run(*(a.format(said) for a in args))
        assert done.returncode == 2, args
        assert len(done.stderr) < 600, args
        assert len(done.stderr.splitlines()) == 1
        assert not CONTROL.search(done.stderr.rstrip("\n"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
@pytest.mark.parametrize("command", ["list compounds", "formula clove", "--help"])
def test_a_full_disk_is_one_line(command: str) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-c", "from pairing.cli import main; main()", *command.split()],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    assert done.returncode == 2
    assert re.fullmatch(r"pairing: cannot write the output: .+\n", done.stderr)


def test_no_format_lets_a_control_character_through() -> None:
    evil = "a\x1b[31m\x07\u009b2J\u202eb\nSTOP: c"
    report = Report(
        {"x": evil}, [Text(evil), Bullets(evil, [evil]), Table(evil, [evil], [[evil]])],
        Table("", ["x"], [[evil]]),
    )  # fmt: skip
    for how in FORMATS:
        text = render(report, how)
        assert "STOP: c" in text
        assert not CONTROL.search(text.replace("\n", "")), how
        if how in ("table", "markdown"):
            assert not [line for line in text.splitlines() if line.startswith("STOP")], how


def test_a_pairs_file_with_a_wrong_header_is_refused_before_the_rest(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "big.csv").write_text("a,b\n" + "clove,mandarin\n" * 400_000 + '"open\n')
    done = run("score", "big.csv")
    assert done.returncode == 2
    assert "lacks the column 'ingredient_a'" in done.stderr  # not the open quote at the end


def test_label_json_has_its_parts_as_fields(run: Run) -> None:
    args = ("label", "hazelnut-roasted", "sweet-orange-peel", "--made-on", "2026-11-24")
    made = json.loads(run(*args, "--format", "json").stdout)
    grams = [i["grams"] for i in made["ingredients"]]
    assert grams == sorted(grams, reverse=True)
    assert sum(i["percent_of_put_in"] for i in made["ingredients"]) == pytest.approx(100, abs=0.01)
    assert any(d.startswith("Roasted HAZELNUT") for d in made["declared"])
    assert made["contains"] == ["HAZELNUT"]
    per = made["per_100_g"]
    # Regulation (EU) No 1169/2011, Annex XIV: 4 kcal a gram of sugar; a little more for the acid
    assert per["energy_kcal"] == pytest.approx(4 * per["sugars_g"], abs=2)
    assert made["per_serving"]["sugars_g"] == pytest.approx(per["sugars_g"] * 0.2, rel=1e-4)
    for words in (made["name"], made["use_by"]):
        assert words in made["lines"]
        assert words in made["label"]
    assert made["made_on"] == "2026-11-24"
    assert made["caffeine_mg_in_the_drink"][0] < made["caffeine_mg_in_the_drink"][1]
    assert {"in_the_drink", "notes", "keep_days", "market", "sale"} <= set(made)


def test_nothing_found_is_exit_1(run: Run) -> None:
    done = run("list", "ingredients", "--kind", "sweetener", "--group", "roast-thiols")
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1


def test_an_empty_catalogue_file_is_named(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    shutil.copytree(data_folder(), folder)
    (folder / "ingredients.csv").write_text("")
    done = run("list", "ingredients", "--data", str(folder))
    assert done.returncode == 2
    assert re.fullmatch(r"pairing: ingredients\.csv is empty; .*\n", done.stderr)


# --- safety on the command line ---------------------------------------------------------------

# (ingredient, dose in g per kg of syrup) that passes a limit that applies: high end of contents
OVER = [
    ("cassia", "250"),
    ("sage", "600"),
    ("nutmeg", "600"),
    ("liquorice-root", "400"),
    ("chilli", "900"),
    # no law stops these at any dose; at twice the far end of food use they stop all the same
    ("clove", "999"),
    ("star-anise", "999"),
    ("bay-leaf", "999"),
    ("sweet-basil", "999"),
    ("fennel", "999"),
    ("tarragon", "999"),
    ("nutmeg", "200"),
]


@pytest.mark.parametrize(("name", "dose"), OVER)
@pytest.mark.parametrize("how", ["table", "json", "csv", "markdown"])
def test_a_breach_is_never_printed_without_the_stop(
    run: Run, name: str, dose: str, how: str
) -> None:
    done = run(
        "formula", name, "--dose", f"{name}={dose}g/kg", "--serving-g", "100", "--format", how
    )
    assert done.returncode == 3, done.stderr
    if how == "json":
        document = json.loads(done.stdout)
        assert document["stops"], "no stop"
        keys = list(document)
        assert keys.index("stops") < keys.index("ingredients")
    elif how == "csv":
        rows = list(csv.reader(io.StringIO(done.stdout)))
        assert rows[1][0] == "stop"
    else:
        assert done.stdout.startswith("STOP: ")
        last = done.stdout.split("\n\n")[-2:]
        assert any(x.startswith("STOP: ") for x in last), "the stop is not repeated"


def test_regulated_plants_answer_with_the_rule(run: Run, catalog: Catalog) -> None:
    # with no market the strictest law decides
    regulated = [i for i in catalog.ingredients if is_refused(catalog, i)]
    assert {"sassafras", "tonka-bean", "wormwood", "bitter-almond"} <= set(regulated)
    for name in regulated:
        done = run("formula", name)
        assert done.returncode == 3, name
        assert len(done.stderr.splitlines()) == 1
        rule = rule_for(CATALOG, name)
        assert rule is not None
        assert rule.text[:30] in done.stderr
        assert refusal(CATALOG, name) in done.stderr
        assert f"see `pairing show {name}`" in done.stderr
        assert len(refusal(CATALOG, name)) <= 320
        assert any(r.provision in done.stderr for r in CATALOG.safety.rules[name])
        shown = run("show", name)
        assert shown.returncode == 0
        assert shown.stdout.startswith("STOP: ")


def test_every_hazard_row_is_printed_by_its_command(run: Run) -> None:
    from click.testing import CliRunner

    cache: dict[str, str] = {}

    def printed(command: str) -> str:
        if command not in cache:
            args = command.split()[1:]
            if args[0] == "show":
                args = ["show", command.removeprefix("pairing show ")]
            elif args[0] in ("formula", "drink"):
                args.append("--cautions")
            done = CliRunner().invoke(cli, args, standalone_mode=True, env={"COLUMNS": "100"})
            cache[command] = re.sub(r"\s+", " ", done.output)
        return cache[command]

    tables = CATALOG.safety
    rows = [(h.hazard_id, h.text) for h in tables.hazards]
    rows += [(c.caution_id, c.text) for c in tables.process]
    assert len(rows) > 200
    for row_id, text in rows:
        commands = commands_for(CATALOG, row_id)
        assert commands, row_id
        # the first words of the caution, which no wrapping at hyphens can cut
        start = re.sub(r"\s+", " ", text)[:40].split("-")[0].strip()
        assert start in printed(commands[0]), (row_id, commands[0])


@pytest.mark.parametrize(
    "args",
    [("clove", "--sweetener", "agave", "--strength", "2:1"), ("mandarin", "green-cardamom"),
     ("marjoram", "--yield-g", "40"), ("lemon-juice", "--servings", "24")],
)  # fmt: skip
def test_the_json_of_a_formula_balances(run: Run, args: tuple[str, ...]) -> None:
    made = json.loads(run("formula", *args, "--format", "json").stdout)
    weighed = made["sugar_g"] + made["water_g"] + sum(i["grams"] for i in made["ingredients"])
    put_in = made["put_in_g"]
    assert put_in == pytest.approx(weighed, abs=0.01)
    pot = made["pot_before_straining_g"]
    assert put_in == pytest.approx(pot + made["evaporated_g"], abs=0.01)
    out = made["yield_g"] + made["drained_g"] + made["left_on_pan_g"]
    assert pot == pytest.approx(out, abs=0.01)
    assert made["pan_cm"] > 0
    assert made["pans"] == 1


def test_show_knows_a_word_for_a_coffee(run: Run) -> None:
    done = run("show", "robusta")
    assert done.returncode == 2
    assert "a word for a coffee" in done.stderr
