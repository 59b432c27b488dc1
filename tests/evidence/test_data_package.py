from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from pairing.bar import pantry
from pairing.evidence.tables import read_rows

DATA = Path(__file__).resolve().parents[2] / "data"
PACKAGE = json.loads((DATA / "datapackage.json").read_text(encoding="utf-8"))


def test_valid_frictionless_package() -> None:
    frictionless = pytest.importorskip("frictionless")
    report = frictionless.Package(str(DATA / "datapackage.json")).validate()
    problems = report.flatten(["rowNumber", "fieldNumber", "type", "message"])
    assert report.valid, problems[:5]


def test_every_table_is_described_and_shipped() -> None:
    described = {r["path"] for r in PACKAGE["resources"]}
    assert described == {p.name for p in DATA.glob("*.csv")}


@pytest.mark.parametrize("table", sorted(pantry.RECORDS))
def test_records_follow_the_descriptor(table: str) -> None:
    schema = next(r for r in PACKAGE["resources"] if r["path"] == f"{table}.csv")["schema"]
    record = pantry.RECORDS[table]
    assert [f["name"] for f in schema["fields"]] == list(record.__annotations__)


def test_low_is_never_above_high() -> None:
    for resource in PACKAGE["resources"]:
        header, rows = read_rows(DATA / resource["path"])
        for i, name in enumerate(header):
            if "low" not in name.split("_"):
                continue
            other = header.index("_".join("high" if w == "low" else w for w in name.split("_")))
            for row in rows:
                if row[i] and row[other]:
                    assert float(row[i]) <= float(row[other]), (resource["path"], name, row)


def test_every_table_has_a_primary_key() -> None:
    for resource in PACKAGE["resources"]:
        key = resource["schema"].get("primaryKey")
        header, rows = read_rows(DATA / resource["path"])
        places = [header.index(c) for c in ([key] if isinstance(key, str) else key)]
        seen = [tuple(row[i] for i in places) for row in rows]
        assert len(set(seen)) == len(seen), resource["path"]


def test_one_work_is_one_source() -> None:
    header, rows = read_rows(DATA / "sources.csv")
    works: dict[str, str] = {}
    for row in rows:
        source = dict(zip(header, row, strict=True))
        kinds = ("paper", "thesis")
        pages = re.search(r"\b(\d+)[:,] ?(\d{2,}-\d+)$", source["citation"])
        marks = [source["doi"].lower()] if source["doi"] else []
        marks += [":".join(pages.groups())] if pages and source["kind"] in kinds else []
        for mark in marks:
            assert mark not in works, (mark, works[mark], source["source_id"])
            works[mark] = source["source_id"]
        assert not source["source_id"].endswith("-lit")
        assert not source["doi"] or re.fullmatch(r"10\.\d{4,}/\S+", source["doi"])


def test_a_note_names_only_sources_that_are_there() -> None:
    known = {row[0] for row in read_rows(DATA / "sources.csv")[1]}
    dated = re.compile(r"(?<![\w-])[a-z]+(?:-[a-z]+)*-(?:19|20)\d\d(?:-[a-z]+)*(?![\w-])")
    for path in DATA.glob("*.csv"):
        header, rows = read_rows(path)
        for at in [i for i, c in enumerate(header) if c in ("note", "comment")]:
            for row in rows:
                missing = set(dated.findall(row[at])) - known
                assert not missing, (path.name, row[0], missing)


def test_a_table_is_given_away_only_where_every_row_is_ours() -> None:
    header, rows = read_rows(DATA / "sources.csv")
    licence = {row[0]: row[header.index("licence")] for row in rows}
    for resource in PACKAGE["resources"]:
        if resource["path"].startswith(("compatibility", "cup_")):  # fitted, or counted
            assert "lawyer" in resource["licenses"][0]["title"]
            continue
        columns, cells = read_rows(DATA / resource["path"])
        places = [i for i, c in enumerate(columns) if c.endswith(("source_id", "primary_source"))]
        if resource["path"] == "sources.csv" or not places:
            continue
        cited = {s for row in cells for i in places for s in row[i].split(";") if s}
        ours = all(licence[s] == "own" for s in cited)
        named = resource["licenses"][0].get("name")
        assert (named == "CC0-1.0") == ours, resource["path"]


def test_what_a_text_quotes_of_another_is_not_read() -> None:
    header, rows = read_rows(DATA / "sources.csv")
    sources = {row[0]: dict(zip(header, row, strict=True)) for row in rows}
    columns, amounts = read_rows(DATA / "composition.csv")
    quoting = re.compile(r"as listed in|quoted|as tabulated in|read in Lawrence|quoted elsewhere")
    for row in amounts:
        amount = dict(zip(columns, row, strict=True))
        source = sources[amount["source_id"]]
        if quoting.search(f"{source['citation']} {source['note']}"):
            assert amount["evidence"] != "read", row


def test_a_compound_of_the_whole_plant_is_not_counted_again_in_its_oil() -> None:
    """Coumarin of cassia: bark powder holds that of its oil already."""
    header, rows = read_rows(DATA / "composition.csv")
    places = [header.index(c) for c in ("ingredient_id", "compound_id", "material")]
    has = {tuple(row[i] for i in places) for row in rows}
    plants = {(i, c) for i, c, m in has if m == "solids"}
    assert not plants & {(i, c) for i, c, m in has if m == "essential-oil"}


def test_the_readme_of_the_data_answers_the_twenty_improvements() -> None:
    answers = (DATA.parent / "scripts" / "data_answers.md").read_text(encoding="utf-8")
    assert [int(n) for n in re.findall(r"^(\d+)\. \S", answers, re.M)] == list(range(1, 21))


def test_the_readme_of_the_data_is_up_to_date() -> None:
    import importlib.util

    path = DATA.parent / "scripts" / "data_readme.py"
    spec = importlib.util.spec_from_file_location("data_readme", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert (DATA / "README.md").read_text(encoding="utf-8") == module.page()


def test_no_licence_forbids_commercial_use() -> None:
    header, rows = read_rows(DATA / "sources.csv")
    at = header.index("licence")
    open_ones = {"facts", "regulation", "public-domain", "CC0", "CC-BY", "own"}
    assert {row[at] for row in rows} <= open_ones
