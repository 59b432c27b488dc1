"""Two formulas side by side: what is different, and what each alone asks care for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pairing.cards.report import Report, Table, Text, number

__all__ = ["comparison"]

FIGURES = (
    ("sugar_g", "sugar, g"),
    ("water_g", "water, g"),
    ("yield_g", "syrup, g"),
    ("brix", "strength, °Bx"),
    ("acid_percent_as_citric", "acid as citric, %"),
    ("servings", "drinks"),
    ("sugar_per_serving_g", "sugar a drink, g"),
)


def comparison(one: str, other: str, a: Mapping[str, Any], b: Mapping[str, Any]) -> Report:
    """Two formulas side by side; what is the same is left out.

    Parameters
    ----------
    one, other : str
        What they are called.
    a, b : mapping
        Their documents.

    Returns
    -------
    Report
    """
    rows: list[list[Any]] = []
    if a["coffee"] != b["coffee"]:
        rows.append(["coffee", a["coffee"]["words"], b["coffee"]["words"], ""])
    for key, word in (("style", "drink"), ("sweetener", "sweetener"), ("strength", "said as")):
        if a[key] != b[key]:
            rows.append([word, a[key], b[key], ""])
    doses = [{i["id"]: i for i in d["ingredients"]} for d in (a, b)]
    for ident in dict.fromkeys([*doses[0], *doses[1]]):
        pair = [d.get(ident) for d in doses]
        name = next(i["name"] for i in pair if i)
        per_kg = [i["dose_g_per_kg"] if i else 0.0 for i in pair]
        if abs(per_kg[0] - per_kg[1]) > 0.005 * max(per_kg):
            rows.append(_row(f"{name}, g/kg", *per_kg))
    rows += [_row(word, a[k], b[k]) for k, word in FIGURES if abs(a[k] - b[k]) > 0.005 * abs(a[k])]
    days = [d["keeping"]["days"] for d in (a, b)]
    if days[0] != days[1]:
        rows.append(["keeps, days", days[0], days[1], ""])
    if a["cost"] and b["cost"] and a["cost"]["per_serving"] and b["cost"]["per_serving"]:
        rows.append(_row("cost a drink", a["cost"]["per_serving"], b["cost"]["per_serving"]))
    said = [{f["text"] for f in d["findings"] if f["level"] != "note"} for d in (a, b)]
    blocks: list[Any] = [
        Text(f"STOP: {name}: {s}") for name, d in ((one, a), (other, b)) for s in d["stops"]
    ]
    table = Table(f"{one} against {other}", ["what", one, other, "change"], rows)
    blocks.append(table if rows else Text(f"{one} and {other} are the same syrup."))
    for name, only in ((one, said[0] - said[1]), (other, said[1] - said[0])):
        blocks += [Text(f"only {name}: {text}") for text in sorted(only)]
    document = {
        "stops": [*a["stops"], *b["stops"]],
        "one": one,
        "other": other,
        "differences": [{"what": w, "one": x, "other": y, "change": c} for w, x, y, c in rows],
        "cautions_only_one": sorted(said[0] - said[1]),
        "cautions_only_other": sorted(said[1] - said[0]),
    }
    return Report(document, blocks, table, "compare")


def _row(what: str, a: float, b: float) -> list[Any]:
    change = f"{100.0 * (b / a - 1.0):+.0f} %" if a and b else "new" if b else "left out"
    return [what, number(a), number(b), change]
