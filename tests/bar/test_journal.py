"""The journal: what it keeps, how it answers, what it forgets."""

from __future__ import annotations

import json
import math
import sqlite3
from pathlib import Path

import pytest

from pairing.aroma.coffee import brewed
from pairing.bar import journal_exchange as exchange
from pairing.bar.journal import Journal, open_journal
from pairing.bar.journal_file import MIGRATIONS, VERSION, default_path
from pairing.bar.journal_learned import learned, own_pot
from pairing.errors import NothingFoundError, PairingError
from pairing.evidence.catalog import Catalog
from pairing.syrup import formula

FORMULA = {
    "put_in_g": 600.0,
    "evaporated_g": 40.0,
    "pot_before_straining_g": 560.0,
    "yield_g": 500.0,
    "brix": 62.0,
}


@pytest.fixture
def book(tmp_path: Path):
    with open_journal(tmp_path / "notes" / "journal.sqlite") as found:
        yield found


def fill(book: Journal) -> int:
    book.add_lot("green-cardamom", "GC-24-11", supplier="Harbour Spice", use_by="2027-06-30")
    batch = book.add_batch(
        "autumn mandarin",
        formula=FORMULA,
        made_on="2026-11-02",
        site="harbour",
        who="Ana",
        pot_g=555,
        yield_g=490,
        brix=61.5,
        ph=4.1,
        bottles="H1 to H6",
        lots=["GC-24-11"],
        photos=["/photos/pot.jpg"],
        note="pith of two mandarins was thick",
    )
    book.add_tastings(
        [
            {
                "trial": "A",
                "taster": "Ana",
                "liking": 6,
                "batch": batch,
                "doses": {"cardamom": 2.0},
            },
            {
                "trial": "B",
                "taster": "Bo",
                "liking": 8,
                "marks": {"sweet": 3},
                "note": "Ana agrees",
            },
        ]
    )
    return batch


def test_what_goes_in_comes_out(book: Journal) -> None:
    batch = fill(book)
    found = book.show("batch", batch)
    assert found["formula"] == FORMULA
    assert found["lots"][0]["code"] == "GC-24-11"
    assert found["photos"] == ["/photos/pot.jpg"]
    assert (found["ph"], found["who"], found["tastings"]) == (4.1, "Ana", [1])
    assert book.show("tasting", 1)["doses"] == {"cardamom": 2.0}
    assert book.counts() == {"batch": 1, "tasting": 2, "lot": 1}
    assert book.sound()


def test_search_finds_every_word_and_nothing_else(book: Journal) -> None:
    fill(book)
    assert [r["kind"] for r in book.search("mandarin harbour")] == ["batch"]
    assert [r["trial"] for r in book.search("ana", kind="tasting")] == ["B", "A"]
    assert book.search("100%") == []
    assert book.search("mandarin", since="2026-11-03") == []
    assert len(book.search("mandarin", since="2026-11-02", until="2026-11-02")) == 1
    with pytest.raises(PairingError, match="unknown kind 'bottle'"):
        book.search(kind="bottle")


def test_a_lot_is_traced_to_bottles(book: Journal) -> None:
    fill(book)
    found = book.trace("GC-24-11")["lots"][0]
    assert found["supplier"] == "Harbour Spice"
    assert found["batches"][0]["bottles"] == "H1 to H6"
    with pytest.raises(NothingFoundError, match="no lot 'X'"):
        book.trace("X")
    with pytest.raises(PairingError, match="in the journal already"):
        book.add_lot("green-cardamom", "GC-24-11")
    book.add_lot("black-pepper", "GC-24-11")
    with pytest.raises(PairingError, match="one of several"):
        book.add_batch("x", lots=["GC-24-11"])
    assert book.add_batch("x", lots=["black-pepper:GC-24-11"]) == 2


def test_a_person_is_forgotten_down_to_the_bytes(book: Journal) -> None:
    book.add_tastings([{"trial": "A", "taster": "Wilhelmina", "liking": 6} for _ in range(20)])
    book.add_tastings([{"trial": "A", "taster": "Bo", "note": "Wilhelmina was late"}])
    assert book.forget("Wilhelmina") == (20, 1)
    assert book.search("Wilhelmina", kind="tasting")[0]["taster"] == "Bo"
    assert book.counts()["tasting"] == 21
    book.measure(book.add_batch("y"), note="z")
    with pytest.raises(NothingFoundError, match="no taster"):
        book.forget("Wilhelmina")
    with book.writing() as db:
        db.execute("UPDATE tasting SET note = NULL")
    book.add_tastings([{"trial": "A", "taster": "Theodora"}])
    assert book.forget("Theodora", answers=True) == (1, 0)
    assert book.counts()["tasting"] == 21
    for side in book.path.parent.iterdir():
        assert b"Theodora" not in side.read_bytes(), side.name


def test_a_pot_is_learned_slowly_and_used(book: Journal) -> None:
    nothing = learned(book)
    assert (nothing.evaporation, nothing.straining_batches) == (1.0, 0)
    for _ in range(8):  # boils off 1.5 times and loses 1.2 times what the formula says
        book.add_batch("x", formula=FORMULA, pot_g=540, yield_g=540 - 540 * 60 / 560 * 1.2, brix=63)
    found = learned(book)
    assert found.evaporation == pytest.approx(1.5, abs=0.08)
    assert found.straining == pytest.approx(1.2, abs=0.03)
    assert found.evaporation_interval[0] < found.evaporation < found.evaporation_interval[1]
    assert found.brix_gap == pytest.approx(1.0)
    book.add_batch("y", formula={**FORMULA, "evaporated_g": None, "put_in_g": "lots"}, pot_g=500)
    assert learned(book).evaporation == found.evaporation


def test_a_lesson_counted_already_is_not_learned_away(book: Journal) -> None:
    for _ in range(8):
        book.add_batch("x", formula=FORMULA, pot_g=540)
    first = learned(book).evaporation
    again = {**FORMULA, "evaporated_g": 40 * first, "own_pot": {"boil_off": first, "straining": 1}}
    for _ in range(8):
        book.add_batch("y", formula=again, pot_g=540)
    assert learned(book).evaporation == pytest.approx(first, rel=0.05)


def test_the_next_formula_counts_with_the_own_pot(book: Journal, catalog: Catalog) -> None:
    with pytest.raises(NothingFoundError, match="nothing is learned"):
        own_pot(learned(book))
    for _ in range(8):
        book.add_batch("x", formula=FORMULA, pot_g=540, yield_g=540 - 540 * 60 / 560 * 1.2)
    pot = own_pot(learned(book))
    names = ["mandarin", "green-cardamom"]
    usual = formula.make(catalog, names, brewed(catalog, origin="burundi"))
    ours = formula.make(catalog, names, brewed(catalog, origin="burundi"), own_pot=pot)
    lost = [m.batch.carried_g + m.batch.cling_g for m in (usual, ours)]
    assert lost[1] / lost[0] == pytest.approx(pot.straining, rel=0.03)
    assert ours.batch.yield_g == pytest.approx(usual.batch.yield_g)  # the syrup asked for
    assert ours.batch.put_in_g > usual.batch.put_in_g  # takes more in the pot
    assert any("your own pot" in n and "8 batches" in n for n in ours.notices)
    assert not any("your own pot" in n for n in usual.notices)


def test_one_batch_moves_it_only_a_little(book: Journal) -> None:
    book.add_batch("x", formula=FORMULA, pot_g=520)  # twice the predicted loss
    found = learned(book)
    assert 1.2 < found.evaporation < 1.8
    assert found.evaporation_interval[0] < 1.5
    little = {**FORMULA, "evaporated_g": 5.0, "pot_before_straining_g": 595.0}
    with open_journal(book.path.with_name("other.sqlite")) as other:
        other.add_batch("x", formula=little, pot_g=590)  # twice again, but 5 g is how one weighs
        assert learned(other).evaporation < 1.2


def test_export_and_import_are_each_others_inverse(book: Journal, tmp_path: Path) -> None:
    fill(book)
    document = json.loads(json.dumps(exchange.export(book)))
    assert document["schema_version"] == 1
    with open_journal(tmp_path / "other.sqlite") as other:
        other.add_batch("here before")  # numbers differ there
        assert exchange.take_in(other, document) == (4, 0)
        assert exchange.take_in(other, document) == (0, 4)
        again = exchange.export(other)
        assert again["tastings"][0]["batch"] == 2
        assert other.show("batch", 2)["formula"] == FORMULA
        with open_journal(tmp_path / "third.sqlite") as third:
            assert (
                exchange.take_in_csv(third, exchange.tastings_csv(book).replace(",1,", ",,")) == 2
            )
            assert (
                exchange.take_in_csv(third, exchange.tastings_csv(book).replace(",1,", ",,")) == 0
            )


def test_import_is_all_or_nothing(book: Journal) -> None:
    bad = {
        "schema_version": 1,
        "batches": [{"name": "good", "uid": "1"}],
        "tastings": [{"trial": "A", "liking": 99}],
    }
    with pytest.raises(PairingError, match="tasting 1: liking 99: give 1 to 9"):
        exchange.take_in(book, bad)
    assert book.counts() == {"batch": 0, "tasting": 0, "lot": 0}
    with pytest.raises(PairingError, match="file, line 3: liking"):
        exchange.take_in_csv(book, "trial,liking\nA,6\nB,60\n")
    assert book.counts()["tasting"] == 0


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda b: b.add_batch(""), "needs its name"),
        (lambda b: b.add_batch("x", ph=15), "ph 15: give 0 to 14"),
        (lambda b: b.add_batch("x", brix=math.nan), "brix"),
        (lambda b: b.add_batch("x", colour="red"), "unknown batch field 'colour'"),
        (lambda b: b.add_batch("x", made_on="yesterday"), "is not a day"),
        (lambda b: b.add_batch("x", pot_g=400, yield_g=500), "more than pot_g"),
        (lambda b: b.add_batch("x", lots=["nope"]), "no lot 'nope'"),
        (lambda b: b.add_batch("x", note="n" * 5000), "at most 4000"),
        (lambda b: b.add_batch("x", formula=[1]), "JSON objects"),
        (lambda b: b.add_batch("x", formula={"a": math.inf}), "what JSON cannot"),
        (lambda b: b.add_tastings([{"trial": "A"}, {"liking": 3}]), "tasting 2: a tasting needs"),
        (lambda b: b.add_tastings([{"trial": "A", "batch": 7}]), "no batch 7"),
        (lambda b: b.add_tastings([{"trial": "A", "batch": "x"}]), "no batch number"),
        (lambda b: b.measure(9, brix=50), "no batch 9"),
        (lambda b: b.show("batch", 9), "no batch 9"),
        (lambda b: exchange.take_in(b, {"schema_version": 2}), "no exported journal"),
        (lambda b: exchange.take_in_csv(b, "a,b\n1,2\n"), "no column 'trial'"),
        (lambda b: exchange.take_in_csv(b, "trial,zzz\nA,2\n"), "unknown column 'zzz'"),
    ],
)
def test_bad_records_are_refused_and_leave_nothing(book: Journal, call, says: str) -> None:
    with pytest.raises(PairingError, match=says) as err:
        call(book)
    assert "\n" not in str(err.value)
    assert sum(book.counts().values()) == 0
    assert not book.rows("SELECT 1 FROM taster")


def test_text_of_people_is_inert(book: Journal) -> None:
    book.add_tastings([{"trial": "A'; DROP TABLE tasting; --\x1b[2J", "note": "=1+1"}])
    assert "\x1b" not in book.show("tasting", 1)["trial"]
    assert ",'=1+1\n" in exchange.tastings_csv(book)


def test_an_old_journal_is_brought_up_and_a_newer_one_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    with sqlite3.connect(path) as old:
        old.executescript(MIGRATIONS[0])
        old.execute("INSERT INTO batch (uid, made_on, name) VALUES ('u', '2026-01-01', 'first')")
        old.execute(f"PRAGMA application_id = {0x53595231}")
        old.execute("PRAGMA user_version = 1")
    with pytest.raises(PairingError, match="write to it once"):
        open_journal(path, write=False)
    with open_journal(path) as book:
        assert book.show("batch", 1)["name"] == "first"
        book.add_lot("clove", "C1")
    with sqlite3.connect(path) as changed:
        assert changed.execute("PRAGMA user_version").fetchone()[0] == VERSION
        changed.execute("PRAGMA user_version = 99")
    with pytest.raises(PairingError, match="newer version"):
        open_journal(path)


def test_other_files_are_never_touched(tmp_path: Path) -> None:
    theirs = tmp_path / "theirs.sqlite"
    with sqlite3.connect(theirs) as db:
        db.execute("CREATE TABLE their (x)")
    text = tmp_path / "notes.txt"
    text.write_text("not a database, but long enough to look like one " * 50)
    for path in (theirs, text, tmp_path):
        before = path.read_bytes() if path.is_file() else b""
        with pytest.raises(PairingError):
            open_journal(path)
        assert (path.read_bytes() if path.is_file() else b"") == before
    with pytest.raises(NothingFoundError, match="begin it with"):
        open_journal(tmp_path / "none.sqlite", write=False)
    assert not (tmp_path / "none.sqlite").exists()


def test_where_it_lives(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PAIRING_JOURNAL", str(tmp_path / "j.sqlite"))
    assert default_path() == tmp_path / "j.sqlite"
    monkeypatch.delenv("PAIRING_JOURNAL")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_path().name == "journal.sqlite"
