"""Gather published coffee drinks into data/practice.csv: what people put with coffee.

    python scripts/fit_practice.py [--validation ../shared/validation] [--check]

One row a drink and aromatic partner, facts only: which ingredient, in what form and style of
drink; no wording, no name of a drink, a shop or a person. Two collections are joined:
``coffee_drinks.csv`` of the validation folder, and ``scripts/gathered_drinks.csv``, found later
with queries that named no ingredient. A page of the second is left out whole, as counted already,
where a drink of three partners or two drinks of two stand in the first in the same style.
The model itself (:mod:`pairing.affinity.practice`) is worked out from the table when it is read.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections import defaultdict
from pathlib import Path

from pairing.errors import PairingError
from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parents[1]
COLUMNS = (
    "drink_no",
    "page_no",
    "asked",
    "kind",
    "style",
    "item_id",
    "form",
    "traditional",
    "source_id",
    "evidence",
)
SOURCE = "coffee-drinks-2026"


def read(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV file."""
    try:
        with path.open(encoding="utf-8", newline="") as handle:
            return list(csv.DictReader(handle))
    except OSError:
        raise PairingError(f"no file {path}") from None


def by_drink(rows: list[dict[str, str]]) -> dict[str, list[dict[str, str]]]:
    """Rows of each drink."""
    out: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in rows:
        out[row["drink_no"]].append(row)
    return out


def _partners(rows: list[dict[str, str]]) -> tuple[str, frozenset[str]]:
    """Style and partners of a drink."""
    return rows[0]["style"], frozenset(r["ingredient_id"] for r in rows)


def joined(first: list[dict[str, str]], later: list[dict[str, str]]) -> list[list[str]]:
    """Rows of practice.csv."""
    known = {_partners(rows) for rows in by_drink(first).values()}
    matched: dict[str, int] = defaultdict(int)
    for rows in by_drink(later).values():
        size = len(rows)
        if size > 1 and _partners(rows) in known:
            matched[rows[0]["page_no"]] += size - 1
    counted = {page for page, found in matched.items() if found > 1}
    out = []
    for prefix, page, rows in (("a", "site_no", first), ("b", "page_no", later)):
        for row in rows:
            if prefix == "b" and row[page] in counted:
                continue
            out.append(
                [
                    f"{prefix}{row['drink_no']}",
                    f"{prefix}{row[page]}",
                    row["query"],
                    row["kind"],
                    row["style"],
                    row["ingredient_id"],
                    row["form"],
                    "yes" if row.get("in_traditions") == "yes" else "no",
                    SOURCE,
                    "read",
                ]
            )
    return out


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--validation", type=Path, default=ROOT.parent / "shared" / "validation")
    parser.add_argument(
        "--check", action="store_true", help="only say whether the shipped table would change"
    )
    given = parser.parse_args()
    try:
        rows = joined(
            read(given.validation / "coffee_drinks.csv"), read(ROOT / "scripts/gathered_drinks.csv")
        )
    except PairingError as err:
        print(f"fit_practice: {err}", file=sys.stderr)
        return 2
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    path = ROOT / "data" / "practice.csv"
    changed = not path.exists() or path.read_text(encoding="utf-8") != out.getvalue()
    if changed and not given.check:
        write_atomically(path, out.getvalue())
    print(
        f"{len(rows)} rows, {len({r[0] for r in rows})} drinks, {len({r[1] for r in rows})} pages"
    )
    return int(given.check and changed)


if __name__ == "__main__":
    sys.exit(main())
