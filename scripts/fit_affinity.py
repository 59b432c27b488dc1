"""Fit the compatibility of aroma groups, tastes and kitchens and write data/compatibility.csv.

    python scripts/fit_affinity.py [--validation ../shared/validation] [--check]

The same data and code give the same file to the last digit. No count of recipes is written.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
import tempfile
from pathlib import Path

import numpy as np

from pairing.affinity import model as affinity
from pairing.affinity import scorecard
from pairing.affinity.estimator import ALPHA, PASSES, for_blocks
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.evidence.tables import read_rows
from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parents[1]
SOURCE = "affinity-fit"


def coefficients(validation: Path) -> list[list[str]]:
    """Rows of compatibility.csv."""
    catalog = load()
    pairs = scorecard.read_pairs(validation)
    x = scorecard.profiles_of(catalog, pairs)
    target, weight = scorecard.training_target(pairs)
    fitted = for_blocks(affinity.blocks(catalog)).fit(
        np.hstack([x[pairs.a], x[pairs.b]]), target, weight
    )
    made = affinity.Model.from_fit(catalog, fitted.coef_, fitted.likeness_)
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "fit.csv"
        made.save(table, SOURCE)
        return read_rows(table)[1]


def provenance(folder: Path) -> list[list[str]]:
    """Rows of compatibility_fit.csv: how the table was made and how well it predicts."""
    card = scorecard.run(folder, quick=True, seeds=5, resamples=200)
    rows = [
        ["script", "scripts/fit_affinity.py", "", ""],
        [
            "data",
            "pair counts from the recipe collection of Ahn, Ahnert, Bagrow & Barabasi 2011, "
            "Scientific Reports 1:196, doi 10.1038/srep00196 (not shipped)",
            "",
            "",
        ],
        ["target", "log2((both+0.5)/(expected+0.5)) clipped at -2 and 2", "", ""],
        ["model", "symmetric bilinear ridge, pairing.affinity.estimator.PairAffinity", "", ""],
        ["alpha", f"{ALPHA:g}", "", ""],
        ["passes", f"{PASSES}", "", ""],
    ]
    for r in card.rows:
        if r.method == "affinity" and r.protocol in {
            "five-fold",
            "ingredient left out",
            "ingredient left out, each",
            "coffee left out",
        }:
            rows.append(
                [f"{r.protocol}: {r.measure}", f"{r.value:.2f}", f"{r.low:.2f}", f"{r.high:.2f}"]
            )
    return [[*r, SOURCE, "computed"] for r in rows]


def as_csv(header: list[str], rows: list[list[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--validation", type=Path, default=ROOT.parent / "shared" / "validation")
    parser.add_argument(
        "--check", action="store_true", help="only say whether the shipped table would change"
    )
    given = parser.parse_args()
    tables = {
        "compatibility.csv": (
            list(affinity.COLUMNS),
            coefficients,
        ),
        "compatibility_fit.csv": (
            ["item", "value", "low", "high", "source_id", "evidence"],
            provenance,
        ),
    }
    changed = []
    try:
        for name, (header, rows) in tables.items():
            text = as_csv(header, rows(given.validation))
            path = ROOT / "data" / name
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                changed.append(name)
                if not given.check:
                    write_atomically(path, text)
    except PairingError as err:
        print(f"fit_affinity: {err}", file=sys.stderr)
        return 2
    print(f"{'would change' if given.check else 'wrote'}: {', '.join(changed) or 'nothing'}")
    return int(given.check and bool(changed))


if __name__ == "__main__":
    sys.exit(main())
