"""Killed, full, read-only, two at once: what was said to be kept is kept, nothing is half there."""

from __future__ import annotations

import contextlib
import os
import random
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from pairing.bar.journal import open_journal
from pairing.errors import PairingError

ROOT = Path(__file__).resolve().parents[2]
KILLS = 200

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def _write_for_ever(path: Path, told: int) -> None:
    """Batches with two tastings each; a number is told only after it is kept."""
    with open_journal(path) as book:
        while True:
            number = book.add_batch("batch", yield_g=500, note="n" * 200)
            book.add_tastings([{"trial": t, "batch": number, "liking": 5} for t in "AB"])
            os.write(told, b"%d\n" % number)


def test_killed_two_hundred_times_nothing_kept_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    rng = random.Random(7)
    kept: set[int] = set()
    for kill in range(KILLS):
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):
                os.close(read)
                _write_for_ever(path, write)
            os._exit(1)
        os.close(write)
        if kill % 2:  # every other one is killed at work, the rest while it opens or begins
            select.select([read], [], [], 30.0)
        time.sleep(rng.uniform(0.0, 0.01))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(read) as told:
            kept |= {int(x) for x in told.read().split("\n")[:-1]}
    with open_journal(path) as book:
        assert book.sound()
        there = {r["id"] for r in book.rows("SELECT id FROM batch")}
        assert kept <= there
        # a batch said to be kept has both its tastings; none ever has one
        counts = {
            r[0]: r[1]
            for r in book.rows("SELECT batch_id, count(*) FROM tasting GROUP BY batch_id")
        }
        assert set(counts.values()) <= {2}
        assert all(counts[n] == 2 for n in kept)
        assert len(kept) >= KILLS // 2  # the children were really at work when they were killed


def test_two_writers_wait_for_each_other(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    code = (
        "import sys\n"
        "from pairing.bar.journal import open_journal\n"
        "with open_journal(sys.argv[1]) as book:\n"
        "    for i in range(40):\n"
        "        book.add_tastings([{'trial': sys.argv[2], 'note': str(i)}])\n"
    )
    both = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path), name],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stderr=subprocess.PIPE,
        )
        for name in "AB"
    ]
    for p in both:
        _, said = p.communicate(timeout=60)
        assert p.returncode == 0, said
    with open_journal(path, write=False) as book:
        assert book.counts()["tasting"] == 80
        assert book.sound()


def test_a_writer_that_holds_on_is_named(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    with open_journal(path) as first, open_journal(path) as second:
        second.rows("PRAGMA busy_timeout = 50")
        with first.writing(), pytest.raises(PairingError, match="in use by another program"):
            second.add_batch("x")
        second.add_batch("x")
        assert first.counts()["batch"] == 1


def test_a_full_disk_writes_nothing_and_says_so(tmp_path: Path) -> None:
    with open_journal(tmp_path / "journal.sqlite") as book:
        book.add_batch("kept")
        pages = book.rows("PRAGMA page_count")[0][0]
        book.rows(f"PRAGMA max_page_count = {pages + 2}")
        many = [{"trial": "A", "note": "n" * 3000} for _ in range(10)]
        with pytest.raises(PairingError, match="no room left") as err:
            any(book.add_tastings(many) is None for _ in range(100))
        assert "nothing was written" in str(err.value)
        assert "\n" not in str(err.value)
        assert book.counts()["tasting"] % 10 == 0
        assert book.search("kept")[0]["name"] == "kept"
        assert book.sound()


def test_a_limit_of_the_file_system_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    with open_journal(path) as book:
        book.add_batch("kept")
    code = (
        "import resource, signal, sys\n"
        "from pairing.bar.journal import open_journal\n"
        "from pairing.errors import PairingError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))\n"
        "try:\n"
        "    with open_journal(sys.argv[1]) as book:\n"
        "        for i in range(1000):\n"
        "            book.add_batch('more', note='n' * 3000)\n"
        "except PairingError as err:\n"
        "    print(err)\n"
        "    sys.exit(2)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2, done.stderr
    assert len(done.stdout.splitlines()) == 1
    assert "nothing was written" in done.stdout
    with open_journal(path) as book:
        assert book.sound()
        assert book.show("batch", 1)["name"] == "kept"


def test_a_read_only_file_is_read_and_not_written() -> None:
    """As a user who may not write there (root may write anywhere, so root steps down first)."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "journal.sqlite"
    with open_journal(path) as book:
        book.add_batch("kept")
    path.chmod(0o444)
    folder.chmod(0o555)
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            with open_journal(path, write=False) as book:
                os.write(write, f"{book.search('kept')[0]['name']}\n".encode())
            try:
                open_journal(path).add_batch("x")
            except PairingError as err:
                os.write(write, f"{err}\n".encode())
        finally:
            os._exit(0)
    os.close(write)
    os.waitpid(child, 0)
    with os.fdopen(read) as told:
        said = told.read().splitlines()
    folder.chmod(0o755)
    shutil.rmtree(folder)
    assert said[0] == "kept"
    assert said[1].startswith("journal 'journal.sqlite' is read-only: nothing was written")
    assert len(said) == 2
