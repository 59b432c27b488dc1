"""Count what tasters write of coffees and write data/cup_notes.csv, cup_pairs.csv, cup_scores.csv.

    python scripts/fit_cup.py [--validation ../shared/validation] [--check]

Facts only (which coffee, which words, how many); no review's wording is kept. Every word is first
brought to the note of data/note_lexicon.csv that it means.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import combinations
from pathlib import Path

import numpy as np

from pairing.aroma.notes import note_of
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.rows import CupCount, CupPair, CupScore
from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parents[1]
SOURCE = "cup-panel"
SCORE_SOURCE = "cup-panel-scores"
PRIOR_SHIFT = 0.3  # spread of the true means of origins, points of ten


def read(path: Path) -> list[dict[str, str]]:
    """Rows of a validation table."""
    if not path.is_file():
        raise PairingError(f"no {path.name} in {path.parent}; give --validation")
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def words(catalog: Catalog, row: dict[str, str]) -> list[str]:
    """The notes of one coffee as lexicon words, each once; the panel writes English."""
    found = [note_of(catalog, w, "en").note for w in row["notes"].split(";") if w]
    return list(dict.fromkeys(found))


def count(catalog: Catalog, rows: Iterable[dict[str, str]]) -> list[CupCount]:
    """Cups by note for all coffees and by origin, process and roast."""
    cups: Counter[tuple[str, str]] = Counter()
    roasters: dict[tuple[str, str], set[str]] = defaultdict(set)
    named: Counter[tuple[str, str, str]] = Counter()
    for row in rows:
        levels = [("all", "all")]
        levels += [(f, row[f]) for f in ("origin", "process", "roast") if row[f]]
        for level in levels:
            cups[level] += 1
            roasters[level].add(row["roaster_no"])
            for note in words(catalog, row):
                named[(*level, note)] += 1
    return [
        CupCount(f, v, note, n, cups[f, v], len(roasters[f, v]), SOURCE, "computed")
        for (f, v, note), n in sorted(named.items(), key=lambda kv: (kv[0][:2], -kv[1], kv[0][2]))
    ]


def pairs(catalog: Catalog, rows: Iterable[dict[str, str]]) -> list[CupPair]:
    """In how many cups two notes stand together."""
    both: Counter[tuple[str, str]] = Counter()
    for row in rows:
        for a, b in combinations(sorted(words(catalog, row)), 2):
            both[a, b] += 1
    return [CupPair(a, b, n, SOURCE, "computed") for (a, b), n in sorted(both.items())]


def scores(rows: list[dict[str, str]]) -> list[CupScore]:
    """Means by origin and by roast, and their shifts with the other held equal, shrunk.

    The shift of an origin is from all origins, of a roast from medium. Four rounds of alternating
    means; an origin is drawn to 0 as a mean with a prior spread of PRIOR_SHIFT.
    """
    out = []
    for attribute in ("acidity", "body"):
        held = [r for r in rows if r["origin"] and r["roast"] and float(r[attribute] or 0) > 0]
        y = np.array([float(r[attribute]) for r in held])
        origin = np.array([r["origin"] for r in held])
        roast = np.array([r["roast"] for r in held])
        by_origin = dict.fromkeys(sorted(set(origin)), 0.0)
        by_roast = dict.fromkeys(sorted(set(roast)), 0.0)
        spread, middle = float(y.std()), float(y.mean())
        for _ in range(4):
            for factor, values, effect, other, others in (
                ("roast", roast, by_roast, by_origin, origin),
                ("origin", origin, by_origin, by_roast, roast),
            ):
                rest = y - middle - np.array([other[v] for v in others])
                for level in effect:
                    here = rest[values == level]
                    prior = spread**2 / PRIOR_SHIFT**2 if factor == "origin" else 0.0
                    effect[level] = float(here.sum() / (len(here) + prior))
        plain = by_roast["medium"]
        for factor, values, effect, zero in (
            ("origin", origin, by_origin, 0.0),
            ("roast", roast, by_roast, plain),
        ):
            for level, value in effect.items():
                here = y[values == level]
                prior = spread**2 / PRIOR_SHIFT**2 if factor == "origin" else 0.0
                error = spread / float(np.sqrt(len(here) + prior))
                out.append(
                    CupScore(
                        factor, level, attribute, len(here), round(float(here.mean()), 2),
                        round(value - zero, 2), round(error, 2), SCORE_SOURCE, "computed",
                    )
                )  # fmt: skip
        out.append(
            CupScore("all", "all", attribute, len(y), round(middle, 2), 0.0, round(spread, 2),
                     SCORE_SOURCE, "computed")
        )  # fmt: skip
    for level in sorted({r["roast"] for r in rows} - {""}):
        ground = [float(r["agtron_ground"] or 0) for r in rows if r["roast"] == level]
        ground = [g for g in ground if g > 0]
        out.append(
            CupScore("roast", level, "ground colour", len(ground), round(float(np.mean(ground)), 1),
                     0.0, round(float(np.std(ground)), 1), SCORE_SOURCE, "computed")
        )  # fmt: skip
    return out


def as_csv(record: type[object], rows: Iterable[object]) -> str:
    """A table with a record's fields as columns."""
    names = list(record.__annotations__)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([getattr(r, n) for n in names] for r in rows)
    return out.getvalue()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--validation", type=Path, default=ROOT.parent / "shared" / "validation")
    parser.add_argument(
        "--check", action="store_true", help="only say whether the shipped tables would change"
    )
    given = parser.parse_args()
    catalog, changed = load(), []
    try:
        tasted = read(given.validation / "coffee_notes.csv")
        scored = read(given.validation / "coffee_scores.csv")
        tables: dict[str, tuple[type[object], list[object]]] = {
            "cup_notes.csv": (CupCount, [*count(catalog, tasted)]),
            "cup_pairs.csv": (CupPair, [*pairs(catalog, tasted)]),
            "cup_scores.csv": (CupScore, [*scores(scored)]),
        }
        for name, (record, rows) in tables.items():
            text, path = as_csv(record, rows), ROOT / "data" / name
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                changed.append(name)
                if not given.check:
                    write_atomically(path, text)
    except PairingError as err:
        print(f"fit_cup: {err}", file=sys.stderr)
        return 2
    print(f"{'would change' if given.check else 'wrote'}: {', '.join(changed) or 'nothing'}")
    return int(given.check and bool(changed))


if __name__ == "__main__":
    sys.exit(main())
