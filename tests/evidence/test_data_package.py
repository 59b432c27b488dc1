from __future__ import annotations

import json
from dataclasses import fields
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
    assert [f["name"] for f in schema["fields"]] == [f.name for f in fields(record)]


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
