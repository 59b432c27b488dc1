"""`pairing journal` as a bar uses it."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "journal.sqlite"
    monkeypatch.setenv("PAIRING_JOURNAL", str(path))
    return path


def test_from_the_bag_to_the_bottle_and_back(run: Run, book: Path, tmp_path: Path) -> None:
    empty = run("journal", "search", "mandarin")
    assert empty.returncode == 1
    assert "begin it with: pairing journal add" in empty.stderr
    made = run("formula", "mandarin", "green-cardamom", "--origin", "burundi", "--format", "json")
    (tmp_path / "f.json").write_text(made.stdout, encoding="utf-8")
    for args in (
        ("add", "lot", "green-cardamom", "GC-24-11", "--supplier", "Harbour Spice"),
        ("add", "batch", "autumn mandarin", "--formula", "f.json", "--lot", "GC-24-11",
         "--pot-g", "655", "--yield-g", "490", "--brix", "61", "--bottles", "H1 to H6"),
        ("measure", "1", "--ph", "4.1"),
        ("add", "tasting", "A", "--taster", "Ana", "--batch", "1", "--liking", "7"),
    ):  # fmt: skip
        done = run("journal", *args)
        assert done.returncode == 0, done.stderr
    assert "autumn mandarin, 490 g" in run("journal", "search", "mandarin").stdout
    assert "H1 to H6" in run("journal", "lots", "GC-24-11").stdout
    shown = json.loads(run("journal", "show", "batch", "1", "--format", "json").stdout)
    assert (shown["schema_version"], shown["ph"], shown["tastings"]) == (2, 4.1, [1])
    assert shown["formula"]["command"] == "formula"
    told = run("journal", "learned").stdout
    assert "boils off" in told
    assert "1 batch)" in " ".join(told.split())

    assert "1 tastings, 1 batches, 1 lots" in run("journal", "export", "--to", "j.json").stdout
    assert "0 records taken in, 3" in run("journal", "import", "j.json").stdout
    taken = run("journal", "import", "j.json", "--file", "other.sqlite")
    assert taken.stdout == "3 records taken in, 0 were there already.\n"
    run("journal", "export", "--to", "t.csv")
    assert (tmp_path / "t.csv").read_text().startswith("number,uid,tasted_on,trial,taster")

    kept = run("journal", "forget", "Ana", stdin="n\n")
    assert kept.returncode == 130
    gone = run("journal", "forget", "Ana", "--yes")
    assert gone.stdout == "'Ana' is forgotten; 1 tasting stays without a name.\n"
    assert b"Ana" not in book.read_bytes()


@pytest.mark.parametrize(
    ("args", "code", "says"),
    [
        (("add", "batch", "x", "--ph", "15"), 2, "15 is out of range"),
        (("add", "batch", "x", "--made-on", "soon"), 2, "is not a day"),
        (("add", "batch", "x", "--formula", "none.json"), 2, "cannot read"),
        (("add", "batch", "x", "--lot", "no"), 1, "no lot 'no'"),
        (("add", "batch", "x", "--pot-g", "400", "--yield-g", "500"), 2, "more than pot_g"),
        (("show", "batch", "3"), 1, "no journal"),
        (("import", "none.json"), 2, "cannot read"),
        (("search", "--since", "soon"), 1, "no journal"),
    ],
)
def test_bad_input_gets_one_line(
    run: Run, book: Path, args: tuple[str, ...], code: int, says: str
) -> None:
    done = run("journal", *args)
    assert done.returncode == code, done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert says in done.stderr
