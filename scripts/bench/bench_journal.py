"""10,000 tastings in the journal: how long a search and a reading take; median of seven.

    python scripts/bench/bench_journal.py

Exit code 1 if one takes over 0.3 s (best of seven, so that a busy machine does not read as slow
code).
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from pairing.bar.journal import open_journal
from pairing.bar.journal_exchange import tastings_csv
from pairing.trials.liking import read_liking

TASTINGS = 10_000
BUDGET_S = 0.3


def main() -> int:
    """Fill a journal and time what a bar asks of it."""
    rng = np.random.default_rng(1)
    words = ("peel", "bright", "too sweet", "smoky", "dries out", "clean", "Burundi")
    slow = 0
    with tempfile.TemporaryDirectory() as folder, open_journal(Path(folder) / "j.sqlite") as book:
        batches = [book.add_batch(f"trial {i}", yield_g=500) for i in range(50)]
        start = time.perf_counter()
        book.add_tastings(
            [
                {
                    "trial": "ABCDEF"[i % 6],
                    "taster": f"T{i // 6 % 40}",
                    "batch": batches[i // 200],
                    "panel": f"panel {i // 240}",
                    "liking": int(rng.integers(3, 10)),
                    "doses": {"green-cardamom": float(rng.uniform(2, 8))},
                    "note": f"{words[i % 7]} {words[i % 5]} note {i}",
                    "tasted_on": f"2026-{1 + i % 12:02}-{1 + i % 28:02}",
                }
                for i in range(TASTINGS)
            ]
        )
        print(
            f"{TASTINGS:,} tastings written in one transaction: {time.perf_counter() - start:.2f} s"
        )

        def read_panel() -> None:
            rows = book.tastings_of(panel="panel 7")
            tasters = sorted({r["taster"] for r in rows})
            table = np.full((len(tasters), 6), np.nan)
            for r in rows:
                table[tasters.index(r["taster"]), "ABCDEF".index(r["trial"])] = r["liking"]
            read_liking(list("ABCDEF"), table)

        calls: dict[str, Callable[[], object]] = {
            "search, two words": lambda: book.search("smoky burundi"),
            "search, no hit": lambda: book.search("no such words anywhere"),
            "search, a month": lambda: book.search(since="2026-05-01", until="2026-05-31"),
            "every tasting, with doses": lambda: book.tastings_of(),
            "a panel of 240, read": read_panel,
            "all as CSV": lambda: tastings_csv(book),
        }
        for name, call in calls.items():
            times = []
            for _ in range(7):
                start = time.perf_counter()
                call()
                times.append(time.perf_counter() - start)
            slow += min(times) > BUDGET_S
            print(f"{name:28} median {statistics.median(times):6.3f} s  best {min(times):6.3f} s")
    return int(slow > 0)


if __name__ == "__main__":
    sys.exit(main())
