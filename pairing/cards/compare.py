"""Two documents of a kind side by side: what differs, which is stronger, sweeter, keeps longer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from pairing.cards.report import Report, Table, Text, number
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError

__all__ = ["KINDS", "comparison"]

KINDS = ("formula", "drink", "suggest", "ratio")
WORDS = {"suggest": "suggestion", "ratio": "plain syrup"}
SCALES = ("°C", "pH")
ALIKE = 0.02  # share that scale and stove do not hold; common practice, no source
SYRUP = (
    ("sugar_g", "sweetener to weigh", "g"),
    ("water_g", "water to weigh", "g"),
    ("yield_g", "syrup", "g"),
    ("yield_ml", "syrup", "ml"),
    ("brix", "strength", "°Bx"),
    ("acid_percent_as_citric", "acid as citric", "%"),
    ("servings", "drinks", ""),
    ("serving_g", "syrup a drink", "g"),
    ("sugar_per_serving_g", "sugar a drink", "g"),
)
DRINK = (
    ("volume_ml", "drink", "ml"),
    ("glass_ml", "glass", "ml"),
    ("syrup_g", "syrup", "g"),
    ("coffee_g", "coffee", "g"),
    ("filler_g", "filler", "g"),
    ("ice_g", "ice", "g"),
    ("sugar_g", "sugar", "g"),
    ("energy_kcal", "energy", "kcal"),
)
SERVED = (
    ("temperature_c", "served at", "°C"),
    ("brix", "in the glass", "°Bx"),
    ("perceived_sweetness_percent", "as sweet as sugar water of", "%"),
    ("tds_percent", "coffee strength", "% dissolved"),
    ("acid_percent_as_citric", "acid as citric", "%"),
)


@dataclass(frozen=True)
class _Row:
    """One thing that differs; None where it is not there, or not known."""

    what: str
    unit: str
    one: float | str | None
    other: float | str | None

    @property
    def percent(self) -> float | None:
        """Change against the first, %, of amounts; None of scales without a zero and words."""
        a, b = self.one, self.other
        if isinstance(a, str) or isinstance(b, str) or not a or not b or self.unit in SCALES:
            return None
        return 100.0 * (b / a - 1.0)

    @property
    def change(self) -> str:
        """The change in words."""
        if self.one is None:
            return "new"
        if self.other is None:
            return "left out"
        if (
            self.unit in SCALES
            and not isinstance(self.one, str)
            and not isinstance(self.other, str)
        ):
            return f"{self.other - self.one:+.1f}"
        return "" if self.percent is None else f"{self.percent:+.0f} %"

    @property
    def record(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "what": self.what,
            "unit": self.unit,
            "one": self.one,
            "other": self.other,
            "change_percent": self.percent,
        }


def comparison(one: str, other: str, a: Document, b: Document) -> Report:
    """Two documents side by side; what prints alike is left out.

    Parameters
    ----------
    one, other : str
        What they are called.
    a, b : mapping
        Documents of one of :data:`KINDS`; a formula and a ratio are both syrups.

    Returns
    -------
    Report

    Raises
    ------
    PairingError
        For two that are not of one kind, and a document that lacks parts.
    """
    kinds = [str(d["document"]) for d in (a, b)]
    read = {"formula": _syrups, "ratio": _syrups, "drink": _drinks, "suggest": _suggestions}
    if read[kinds[0]] is not read[kinds[1]]:
        raise PairingError(
            f"{one} is a {WORDS.get(kinds[0], kinds[0])} and {other} a "
            f"{WORDS.get(kinds[1], kinds[1])}; compare two of one kind"
        )
    try:
        rows, verdicts = read[kinds[0]](one, other, a, b)
        stops = [(n, str(s)) for n, d in ((one, a), (other, b)) for s in d.get("stops", ())]
        open_ = [(n, str(s)) for n, d in ((one, a), (other, b)) for s in d.get("not_known", ())]
        said = [_cautions(d) for d in (a, b)]
    except (KeyError, TypeError, AttributeError, IndexError, ZeroDivisionError):
        raise PairingError(
            f"{one} or {other} is no whole document; print it again with --format json"
        ) from None
    cells = [[_named(r), _cell(r.one), _cell(r.other), r.change] for r in rows]
    table = Table(f"{one} against {other}", ["what", one, other, "change"], cells)
    word = {"suggest": "suggestion", "drink": "drink"}.get(kinds[0], "syrup")
    blocks: list[Any] = [Text(f"STOP: {name}: {text}") for name, text in stops]
    blocks += [Text(f"{name}: {text}") for name, text in open_]
    blocks += [Text(v["text"]) for v in verdicts]
    blocks.append(table if rows else Text(f"{one} and {other} are the same {word}."))
    only = [sorted(said[0] - said[1]), sorted(said[1] - said[0])]
    for name, texts in zip((one, other), only, strict=True):
        blocks += [Text(f"only {name}: {text}") for text in texts]
    blocks += [Text(f"STOP: {name}: {text}") for name, text in stops]
    document = {
        "stops": [text for _, text in stops],
        "not_known": [text for _, text in open_],
        "kinds": kinds,
        "one": one,
        "other": other,
        "verdicts": verdicts,
        "differences": [r.record for r in rows],
        "cautions_only_one": only[0],
        "cautions_only_other": only[1],
    }
    data = Table(
        "",
        ["what", "unit", "one", "other", "change_percent"],
        [
            *([f"STOP: {name}: {text}", "", "", "", ""] for name, text in stops),
            *([f"{name}: {text}", "", "", "", ""] for name, text in open_),
            *([r.what, r.unit, r.one, r.other, r.percent] for r in rows),
        ],
    )
    return Report(document, blocks, data, "compare")


def _cell(value: float | str | None) -> str:
    return "-" if value is None else value if isinstance(value, str) else number(value)


def _named(row: _Row) -> str:
    return f"{row.what}, {row.unit}" if row.unit else row.what


def _differ(a: Any, b: Any) -> bool:
    """Whether two cells print differently."""
    return _cell(a) != _cell(b)


def _figures(a: Document, b: Document, wanted: Sequence[tuple[str, str, str]]) -> list[_Row]:
    rows = [_Row(what, unit, a[key], b[key]) for key, what, unit in wanted]
    return [r for r in rows if _differ(r.one, r.other)]


def _words(
    a: Document, b: Document, wanted: Sequence[tuple[str, Callable[..., Any]]]
) -> list[_Row]:
    rows = [_Row(what, "", _word(pick(a)), _word(pick(b))) for what, pick in wanted]
    return [r for r in rows if r.one != r.other]


def _word(value: Any) -> str | None:
    return None if value is None else str(value).replace("-", " ")


def _more(
    what: str, one: str, other: str, a: float | None, b: float | None, unit: str, why: str = ""
) -> dict[str, Any]:
    """Which of two has more of something; what one of them does not know is not known."""
    if why or a is None or b is None:
        return {
            "what": what,
            "more": "not-known",
            "text": f"{what}: not known, {why or 'one of them does not say'}.",
        }
    if abs(a - b) <= ALIKE * max(abs(a), abs(b)):
        both = number(a) if not _differ(a, b) else f"{number(a)} and {number(b)}"
        return {"what": what, "more": "same", "text": f"{what}: alike, {both} {unit}."}
    first = a > b
    names, values = ((one, other), (a, b)) if first else ((other, one), (b, a))
    return {
        "what": what,
        "more": "one" if first else "other",
        "text": f"{what}: {names[0]}, {number(values[0])} {unit} against {number(values[1])}.",
    }


# --- syrups -------------------------------------------------------------------------------


def _syrups(
    one: str, other: str, a: Document, b: Document
) -> tuple[list[_Row], list[dict[str, Any]]]:
    sweet = [_sweetener(d) for d in (a, b)]
    rows = _words(
        a,
        b,
        [
            ("coffee", lambda d: (d.get("coffee") or {}).get("words")),
            ("drink it is for", lambda d: d.get("style")),
            ("sweetener", _sweetener),
        ],
    )
    doses = [
        {i["id"]: (str(i["name"]), 1000.0 * i["grams"] / d["yield_g"]) for i in d["ingredients"]}
        for d in (a, b)
    ]
    for ident in dict.fromkeys([*doses[0], *doses[1]]):
        pair = [d.get(ident) for d in doses]
        name = next(p[0] for p in pair if p)
        grams = [p[1] if p else None for p in pair]
        if _differ(*grams):
            rows.append(_Row(name, "g/kg", *grams))
    rows += _figures(a, b, SYRUP)
    kept_a, kept_b = a["keeping"], b["keeping"]
    rows += _figures(
        kept_a, kept_b, [("days", "keeps", "days"), ("opened_days", "keeps once opened", "days"),
                   ("ph_estimate", "acidity, estimate", "pH")]
    )  # fmt: skip
    rows += _words(kept_a, kept_b, [("storage", lambda k: k["storage"])])
    rows += _costs(a, b)
    unlike = (
        f"the sweeteners differ ({sweet[0]}, {sweet[1]}): compare them as drinks"
        if sweet[0] != sweet[1]
        else ""
    )
    verdicts = [
        _more("stronger", one, other, a["brix"], b["brix"], "°Bx"),
        _more("sweeter in a drink", one, other, a["sugar_per_serving_g"], b["sugar_per_serving_g"],
              "g of sugar", unlike),
        _more("keeps longer", one, other, kept_a["days"], kept_b["days"], "days"),
    ]  # fmt: skip
    return rows, verdicts


def _sweetener(document: Document) -> str:
    if "sweeteners" not in document:
        return str(document["sweetener"]).replace("-", " ")
    total = sum(s["grams"] for s in document["sweeteners"]) or 1.0
    return " + ".join(
        (f"{100 * s['grams'] / total:.0f} % " if len(document["sweeteners"]) > 1 else "")
        + str(s["id"]).replace("-", " ")
        for s in document["sweeteners"]
    )


def _costs(a: Document, b: Document) -> list[_Row]:
    """Cost a drink, where both know it in one currency."""
    costs = [d.get("cost") or {} for d in (a, b)]
    each = [c.get("per_serving") for c in costs]
    units = {str(c.get("currency", "")) for c in costs}
    if None in each or len(units) != 1 or not _differ(*each):
        return []
    return [_Row("cost a drink", units.pop(), *each)]


# --- drinks and suggestions -----------------------------------------------------------------


def _drinks(
    one: str, other: str, a: Document, b: Document
) -> tuple[list[_Row], list[dict[str, Any]]]:
    rows = _words(
        a,
        b,
        [
            ("coffee", lambda d: d["coffee"]["words"]),
            ("drink", lambda d: d["style"]),
            ("filled with", lambda d: d["filler"]),
        ],
    )
    held = [{i["id"]: str(i["name"]) for i in d["ingredients"]} for d in (a, b)]
    rows += [
        _Row(name, "", "in it" if i in held[0] else None, "in it" if i in held[1] else None)
        for i, name in {**held[0], **held[1]}.items()
        if (i in held[0]) != (i in held[1])
    ]
    rows += _figures(a, b, DRINK)
    glass_a, glass_b = a["served"], b["served"]
    rows += _figures(glass_a, glass_b, SERVED)
    coffee = [(d["caffeine_range_mg"] or {}) for d in (a, b)]
    for end, word in (("low", "caffeine, at least"), ("high", "caffeine, at most")):
        if _differ(coffee[0].get(end), coffee[1].get(end)):
            rows.append(_Row(word, "mg", coffee[0].get(end), coffee[1].get(end)))
    rows += _costs(a, b)
    key = "perceived_sweetness_percent"
    verdicts = [
        _more("stronger coffee", one, other, glass_a["tds_percent"], glass_b["tds_percent"],
              "% dissolved"),
        _more("sweeter", one, other, glass_a[key], glass_b[key], "% as sugar in water"),
    ]  # fmt: skip
    return rows, verdicts


def _suggestions(
    one: str, other: str, a: Document, b: Document
) -> tuple[list[_Row], list[dict[str, Any]]]:
    rows = _words(
        a,
        b,
        [
            ("coffee", lambda d: "; ".join(c["words"] for c in d["coffees"])),
            ("drink", lambda d: d["style"] or None),
            ("blends within", lambda d: d["shelf"]),
        ],
    )
    names = {
        i["id"]: str(i["name"]).split(",")[0]
        for d in (a, b)
        for blend in d["blends"]
        for i in blend["ingredients"]
    }
    blends = [
        [" + ".join(names[i["id"]] for i in blend["ingredients"]) for blend in d["blends"]]
        for d in (a, b)
    ]
    for n, pair in enumerate(zip_longest(*blends), 1):
        if pair[0] != pair[1]:
            rows.append(_Row(f"place {n}", "", *pair))
    for shelf, word in (
        ("most", "good with most coffees"),
        ("this", "right for this coffee"),
        ("untried", "not served yet"),
    ):
        held = [{s["id"]: str(s["name"]).split(",")[0] for s in d["shelves"][shelf]}
                for d in (a, b)]  # fmt: skip
        only = [", ".join(n for i, n in x.items() if i not in y) for x, y in
                (held, held[::-1])]  # fmt: skip
        if any(only):
            rows.append(_Row(f"only here {word}", "", only[0] or None, only[1] or None))
    return rows, []


def _cautions(document: Document) -> set[str]:
    """What asks for care: findings above a note, allergens whatever their level, cautions."""
    findings = document.get("findings", ())
    said = {
        str(f["text"])
        for f in findings
        if f["level"] not in ("note", "stop") or str(f["code"]).startswith("allergen")
    }
    return said | {
        ("ALLERGEN: " if c["level"] == "allergen" else "") + str(c["text"])
        for blend in document.get("blends", ())
        for c in blend["cautions"]
    }
