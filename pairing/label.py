"""A draft label of a syrup: ingredients by weight, allergens, sugar, energy, caffeine, keeping.

It follows the order of Regulation (EU) No 1169/2011 (ingredients in descending weight as used,
art. 18; allergens emphasised, art. 21; caffeine and liquorice statements, Annex III; quinine
named, Annex VII) and names the US rule where it differs. It is a draft: law, language and layout
are for a licensed professional to check.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pairing.errors import PairingError
from pairing.safety import DEFER, Allergen, Finding, allergens_for, tables

__all__ = ["Label", "LabelItem", "draft_label"]

DRAFT = "DRAFT: check with a licensed professional before use."
KJ_PER_KCAL = 4.184  # thermochemical calorie, by definition
COLD = "Keep refrigerated at 5 C or colder. Shake; discard at any haze, gas or mould."


@dataclass(frozen=True, slots=True)
class LabelItem:
    """One ingredient as it goes into the batch, sugar and water included.

    Attributes
    ----------
    name : str
        As a guest reads it: ``"Roasted hazelnut"``.
    grams : float
        Mass as used, g.
    ingredient_id : str
        Catalogue id, for allergens; empty for water or acid.
    """

    name: str
    grams: float
    ingredient_id: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """A draft label, with anything that stops the product in front.

    Attributes
    ----------
    name : str
    stops : tuple of str
        Sentences of findings with level ``stop``; such a product must not be sold.
    ingredients : tuple of str
        Descending weight, allergen words in capitals.
    contains : tuple of str
        Allergens of the EU and US lists, with the lists that name them.
    warnings : tuple of str
        Cross-reactions on no list.
    sugar_g, energy_kcal, energy_kj : float
        Per serving of syrup.
    serving_g : float
        Syrup per serving, g.
    caffeine : str
        Caffeine per drink in words; empty when the drink has none.
    statements : tuple of str
        Statements that a jurisdiction asks for.
    keep, use_by : str
    """

    name: str
    stops: tuple[str, ...]
    ingredients: tuple[str, ...]
    contains: tuple[str, ...]
    warnings: tuple[str, ...]
    sugar_g: float
    energy_kcal: float
    energy_kj: float
    serving_g: float
    caffeine: str
    statements: tuple[str, ...]
    keep: str
    use_by: str

    def to_text(self) -> str:
        """Plain text, one line a fact, stops first."""
        lines = [f"STOP: {s}" for s in self.stops]
        lines += [DRAFT, self.name, f"Ingredients: {', '.join(self.ingredients)}."]
        lines.append(f"Contains: {'; '.join(self.contains) or 'no allergen of the EU or US list'}.")
        lines += [f"Warning: {w}" for w in self.warnings]
        lines.append(
            f"Per serving of {self.serving_g:g} g: sugar {self.sugar_g:.1f} g, "
            f"energy {self.energy_kj:.0f} kJ / {self.energy_kcal:.0f} kcal."
        )
        if self.caffeine:
            lines.append(self.caffeine)
        lines += list(self.statements)
        lines += [self.keep, self.use_by, DEFER]
        return "\n".join(lines)


def _finite(name: str, value: float) -> None:
    if not math.isfinite(value) or value < 0:
        raise PairingError(f"{name} is {value:g}; it must be a finite number, 0 or more")


def _emphasised(item: LabelItem) -> str:
    """Ingredient name with its legal allergens in capitals."""
    name = item.name
    for a in _legal(item.ingredient_id):
        pattern = re.compile(rf"\b{re.escape(a.word)}(?:e?s)?\b", re.IGNORECASE)
        if pattern.search(name):
            name = pattern.sub(lambda m: m.group().upper(), name)
        else:
            name += f" ({a.word.upper()})"
    return name


def _legal(ingredient_id: str) -> tuple[Allergen, ...]:
    rows = allergens_for(ingredient_id) if ingredient_id else ()
    return tuple(a for a in rows if {"EU14", "US9"} & set(a.lists))


def _contains(ids: Sequence[str]) -> tuple[str, ...]:
    names = {"EU14": "EU", "US9": "US"}
    found = {
        f"{a.word.upper()} ({', '.join(names[x] for x in a.lists if x in names)} list)": None
        for i in ids
        for a in _legal(i)
    }
    return tuple(found)


def _warnings(ids: Sequence[str]) -> tuple[str, ...]:
    found = {
        f"{i.replace('-', ' ')}: {a.word}.": None
        for i in ids
        for a in allergens_for(i)
        if not {"EU14", "US9"} & set(a.lists)
    }
    return tuple(found)


def _caffeine_statement(high_mg: float, drink_ml: float, named_as_coffee: bool) -> str:
    row = next(r for r in tables().limits["caffeine"] if r.limit_id == "eu-caffeine-statement")
    per_litre = high_mg / drink_ml * 1000
    if per_litre <= row.value:
        return ""
    if named_as_coffee:
        return (
            f"EU: no caffeine statement at {per_litre:.0f} mg/l, because the name of the drink "
            "says coffee (Regulation (EU) No 1169/2011, Annex III)."
        )
    return (
        "EU: High caffeine content. Not recommended for children or pregnant or breast-feeding "
        f"women ({per_litre / 10:.0f} mg/100 ml)."
    )


def _statements(ids: Sequence[str], findings: Sequence[Finding]) -> list[str]:
    said: list[str] = []
    rows = {f.row_id for f in findings}
    if "cinchona" in ids or {"quinine", "cinchona-alkaloids"} & {f.subject for f in findings}:
        said.append("EU: name it in the ingredient list: flavouring (quinine).")
        said.append("US: Contains quinine (prominent declaration, 21 CFR 172.575).")
    if "eu-glycyrrhizin-pressure-statement" in rows:
        said.append(
            "EU: Contains liquorice - people suffering from hypertension should avoid excessive "
            "consumption."
        )
    elif "eu-glycyrrhizin-liquorice-statement" in rows:
        said.append("EU: Contains liquorice (not needed where the ingredient list says liquorice).")
    if {"eu-sulphites-statement", "us-sulphites-statement"} & rows:
        said.append("EU and US: Contains SULPHITES.")
    if any(f.code == "alcohol" and f.ratio > 1 for f in findings):
        said.append("EU: state the alcoholic strength by volume (above 1.2 %).")
    if "polyols-laxative" in rows:
        said.append(
            "EU: with sweeteners; above 10 % polyols: excessive consumption may produce laxative "
            "effects."
        )
    if "honey" in ids:
        said.append("Not for children under 12 months (honey).")
    return said


def draft_label(
    name: str,
    items: Sequence[LabelItem],
    *,
    serving_g: float,
    sugar_g: float,
    energy_kcal: float,
    findings: Sequence[Finding] = (),
    caffeine_low_mg: float = 0.0,
    caffeine_high_mg: float = 0.0,
    drink_ml: float = 0.0,
    named_as_coffee: bool = True,
    milk: str = "",
    made_on: date | None = None,
    keep_days: int | None = None,
) -> Label:
    """Draft the label of a syrup and of the drink it goes into.

    Parameters
    ----------
    name : str
        Name of the product.
    items : sequence of LabelItem
        Everything that goes into the batch.
    serving_g, sugar_g, energy_kcal : float
        Syrup per serving, and its sugar and energy.
    findings : sequence of Finding
        From :func:`pairing.safety.assess`; stops are printed first.
    caffeine_low_mg, caffeine_high_mg, drink_ml : float
        Caffeine and volume of the drink; zero for the syrup alone.
    named_as_coffee : bool
        Whether the name of the drink says coffee.
    milk : str
        Milk of the drink, as in :class:`pairing.safety.Serving`.
    made_on : date, optional
        Batch date.
    keep_days : int, optional
        Days of keeping, the day of making being day one.

    Raises
    ------
    PairingError
        Without items or a name, for negative or non-finite numbers, or fewer than one day.

    Notes
    -----
    Regulation (EU) No 1169/2011, art. 18, 21 and Annexes II, III, VII; 21 CFR 172.575.
    """
    if not name.strip() or not items:
        raise PairingError("a label needs a name and at least one ingredient")
    for item in items:
        _finite(f"mass of {item.name} (g)", item.grams)
    for what, value in (
        ("serving (g)", serving_g),
        ("sugar (g)", sugar_g),
        ("energy (kcal)", energy_kcal),
        ("caffeine (mg)", caffeine_low_mg),
        ("caffeine (mg)", caffeine_high_mg),
        ("drink volume (ml)", drink_ml),
    ):
        _finite(what, value)
    if keep_days is not None and keep_days < 1:
        raise PairingError(f"keeping time is {keep_days} days; it must be at least 1")
    by_weight = sorted(items, key=lambda i: -i.grams)
    used = [i for i in by_weight if i.grams > 0]
    ids = [i.ingredient_id for i in used if i.ingredient_id] + ([milk] if milk else [])
    statements = _statements(ids, findings)
    caffeine = ""
    if caffeine_high_mg > 0:
        span = f"{caffeine_low_mg:.0f} to {caffeine_high_mg:.0f}"
        caffeine = f"Caffeine per drink: {span} mg."
        if drink_ml > 0:
            said = _caffeine_statement(caffeine_high_mg, drink_ml, named_as_coffee)
            statements = [said, *statements] if said else statements
    return Label(
        name.strip(),
        tuple(f.text for f in findings if f.level == "stop"),
        tuple(_emphasised(i) for i in used),
        _contains(ids),
        _warnings(ids),
        sugar_g,
        energy_kcal,
        energy_kcal * KJ_PER_KCAL,
        serving_g,
        caffeine,
        tuple(statements),
        COLD,
        _use_by(made_on, keep_days),
    )


def _use_by(made_on: date | None, keep_days: int | None) -> str:
    if keep_days is None:
        return "Use by: set after your own keeping test; 7 days at most if it needs cold holding."
    if made_on is None:
        return f"Use by: {keep_days} days, the day of making being day one."
    last = made_on + timedelta(days=keep_days - 1)
    return f"Made {made_on.isoformat()}. Use by {last.isoformat()}."
