"""A draft label of a bottle of syrup: ingredients, allergens, nutrition, keeping.

It follows the order of Regulation (EU) No 1169/2011 (ingredients in descending weight as used,
art. 18; allergens emphasised, art. 21; caffeine and liquorice statements, Annex III; quinine
named, Annex VII; energy and sugars per 100 g, art. 32 and Annex XV) and names the US rule where
it differs. What coffee and milk add stands apart, in a line on the drink. It is a draft: law,
language and layout are for a licensed professional to check.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from pairing.errors import CONTROL, PairingError, quoted
from pairing.safety.assess import DEFER, Allergen, Finding, allergens_found, tables

if TYPE_CHECKING:
    from pairing.evidence.catalog import Catalog
    from pairing.evidence.rows import Form

__all__ = ["Label", "LabelItem", "Nutrition", "draft_label", "plain_name", "product_name"]

DRAFT = "DRAFT: check with a licensed professional before use."
COLD = "Keep refrigerated at 5 °C or colder. Shake; discard at any haze, gas or mould."
# Regulation (EU) No 1169/2011, Annex XIV: (kJ/g, kcal/g)
SUGAR_ENERGY, POLYOL_ENERGY, ACID_ENERGY = (17.0, 4.0), (10.0, 2.4), (13.0, 3.0)
CROSS_CONTACT = (
    "Cross-contact: add what else your kitchen handles (such as nuts, sesame, milk, gluten)."
)
NO_LISTED = (
    "Allergens: no named ingredient is a listed allergen by nature; check supplier specifications."
)
FIRST_YEAR, LAST_YEAR = 2000, 2100  # of making; any other is a slip of the keys
TO_FILL_IN = "Still to fill in: net quantity, lot, name and address of the business."


@dataclass(frozen=True, slots=True)
class LabelItem:
    """One ingredient as it goes into the batch, sugar and water included.

    Attributes
    ----------
    name : str
        The ingredient's plain name, as a guest reads it: ``"Roasted hazelnut"``.
    grams : float
        Mass as used, g.
    ingredient_id : str
        Catalogue id, for allergens; empty for water or acid.
    """

    name: str
    grams: float
    ingredient_id: str = ""


@dataclass(frozen=True, slots=True)
class Nutrition:
    """What is declared of 100 g of syrup.

    Attributes
    ----------
    sugars_g, polyols_g, acid_g : float
        Grams in 100 g of syrup; the acid as citric.
    """

    sugars_g: float
    polyols_g: float = 0.0
    acid_g: float = 0.0

    @property
    def energy(self) -> tuple[float, float]:
        """Energy of 100 g, (kJ, kcal)."""
        kj, kcal = (
            s * self.sugars_g + p * self.polyols_g + a * self.acid_g
            for s, p, a in zip(SUGAR_ENERGY, POLYOL_ENERGY, ACID_ENERGY, strict=True)
        )
        return kj, kcal

    def record(self, grams: float) -> dict[str, float]:
        """The figures for so many grams of syrup, for programs."""
        part = grams / 100.0
        kj, kcal = self.energy
        return {
            "grams": grams,
            "energy_kj": part * kj,
            "energy_kcal": part * kcal,
            "carbohydrate_g": part * (self.sugars_g + self.polyols_g),
            "sugars_g": part * self.sugars_g,
            "polyols_g": part * self.polyols_g,
        }

    def words(self, grams: float) -> str:
        """The figures for so many grams of syrup."""
        part = grams / 100.0
        kj, kcal = self.energy
        text = f"energy {part * kj:.0f} kJ / {part * kcal:.0f} kcal, "
        text += f"carbohydrate {part * (self.sugars_g + self.polyols_g):.1f} g, "
        text += f"of which sugars {part * self.sugars_g:.1f} g"
        if self.polyols_g > 0:
            text += f", polyols {part * self.polyols_g:.1f} g"
        return text


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
    unknown : tuple of str
        Ingredients whose allergens nobody has stated.
    warnings : tuple of str
        Cross-reactions on no list.
    nutrition : Nutrition
        Per 100 g of syrup.
    serving_g : float
        Syrup per serving, g.
    in_the_drink : tuple of str
        What coffee and milk add; empty for the syrup alone.
    statements : tuple of str
        Statements on the syrup that a jurisdiction asks for.
    keep, use_by : str
    """

    name: str
    stops: tuple[str, ...]
    ingredients: tuple[str, ...]
    contains: tuple[str, ...]
    unknown: tuple[str, ...]
    warnings: tuple[str, ...]
    nutrition: Nutrition
    serving_g: float
    in_the_drink: tuple[str, ...]
    statements: tuple[str, ...]
    keep: str
    use_by: str

    def to_text(self) -> str:
        """Plain text, one line a fact, stops first."""
        lines = [f"STOP: {s}" for s in self.stops]
        lines += [DRAFT, self.name, f"Ingredients: {', '.join(self.ingredients)}."]
        lines += [f"Allergens: NOT KNOWN for {name}: ask the supplier." for name in self.unknown]
        lines.append(f"Contains: {'; '.join(self.contains)}." if self.contains else NO_LISTED)
        lines += [f"Warning: {w}" for w in self.warnings]
        lines += [CROSS_CONTACT, *self.statements]
        lines.append(f"Per 100 g: {self.nutrition.words(100.0)}.")
        lines.append(
            f"Per serving of {self.serving_g:g} g: {self.nutrition.words(self.serving_g)}."
        )
        lines.append("Fat, protein and salt are not worked out here; the full EU table needs them.")
        lines += [self.keep, self.use_by, TO_FILL_IN]
        if self.in_the_drink:
            lines.append(f"In the drink: {' '.join(self.in_the_drink)}")
        return "\n".join([*lines, DEFER])


PART_NAMES = {"peel": "peel", "zest": "peel", "juice": "juice"}  # what is named of a fruit


def plain_name(catalog: Catalog, form: Form) -> str:
    """Name of a form in an ingredient list: the ingredient, with peel or juice of a fruit.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    """
    ingredient = catalog.ingredients[form.ingredient_id]
    name = re.sub(r"\s*[(,].*", "", ingredient.name)
    part = PART_NAMES.get(form.form, "") if ingredient.kind == "citrus" else ""
    return f"{name} {part}" if part and part not in name.lower() else name


def product_name(names: Sequence[str]) -> str:
    """Plain name of a syrup: "Mandarin, green cardamom and clove syrup".

    Parameters
    ----------
    names : sequence of str
        Ingredient names, the first to be named first; one at least.
    """
    different = list(dict.fromkeys(names))
    words = [
        different[0],
        *(n if n[1:2].isupper() else n[:1].lower() + n[1:] for n in different[1:]),
    ]
    listed = ", ".join(words[:-1]) + " and " + words[-1] if len(words) > 1 else words[0]
    return f"{listed} syrup"


def _finite(name: str, value: float) -> None:
    if not math.isfinite(value) or value < 0:
        raise PairingError(f"{name} is {value:g}; it must be a finite number, 0 or more")


LEGAL = {"EU14": "EU", "US9": "US"}


def _emphasised(item: LabelItem, findings: Sequence[Finding]) -> str:
    """Ingredient name with its legal allergens in capitals."""
    name = item.name
    for a in _legal(item.ingredient_id, findings):
        pattern = re.compile(rf"\b{re.escape(a.word)}(?:e?s)?\b", re.IGNORECASE)
        if pattern.search(name):
            name = pattern.sub(lambda m: m.group().upper(), name)
        else:
            name += f" ({a.word.upper()})"
    return name


def _legal(ingredient_id: str, findings: Sequence[Finding]) -> tuple[Allergen, ...]:
    return tuple(a for a in allergens_found(findings, ingredient_id) if set(LEGAL) & set(a.lists))


def _contains(ids: Sequence[str], findings: Sequence[Finding]) -> tuple[str, ...]:
    found = {
        f"{a.word.upper()} ({', '.join(LEGAL[x] for x in a.lists if x in LEGAL)} list)": None
        for i in ids
        for a in _legal(i, findings)
    }
    return tuple(found)


def _warnings(ids: Sequence[str], findings: Sequence[Finding]) -> tuple[str, ...]:
    found = {
        f"{i.replace('-', ' ')}: {a.word}.": None
        for i in ids
        for a in allergens_found(findings, i)
        if not set(LEGAL) & set(a.lists)
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
    nutrition: Nutrition,
    findings: Sequence[Finding] = (),
    caffeine_low_mg: float = 0.0,
    caffeine_high_mg: float = 0.0,
    drink_ml: float = 0.0,
    named_as_coffee: bool = True,
    milk: str = "",
    made_on: date | None = None,
    keep_days: int | None = None,
) -> Label:
    """Draft the label of a bottle of syrup, with a line on the drink it goes into.

    Parameters
    ----------
    name : str
        Name of the product.
    items : sequence of LabelItem
        Everything that goes into the batch.
    serving_g : float
        Syrup per serving, g.
    nutrition : Nutrition
        Of 100 g of syrup.
    findings : sequence of Finding
        From :func:`pairing.safety.assess.assess`; stops are printed first.
    caffeine_low_mg, caffeine_high_mg, drink_ml : float
        Caffeine and volume of the drink; zero for the syrup alone.
    named_as_coffee : bool
        Whether the name of the drink says coffee.
    milk : str
        Milk of the drink, as in :class:`pairing.safety.assess.Serving`.
    made_on : date, optional
        Batch date.
    keep_days : int, optional
        Days of keeping, the day of making being day one.

    Raises
    ------
    PairingError
        Without items or a name, for a name with control characters, a day outside 2000-2100,
        negative or non-finite numbers, or fewer than one day.

    Notes
    -----
    Regulation (EU) No 1169/2011, art. 18, 21 and Annexes II, III, VII; 21 CFR 172.575.
    """
    if not name.strip() or not items:
        raise PairingError("a label needs a name and at least one ingredient")
    if CONTROL.search(name):
        raise PairingError(f"the name {quoted(name)} holds a control character; give plain text")
    if made_on is not None and not FIRST_YEAR <= made_on.year <= LAST_YEAR:
        raise PairingError(f"made on {made_on}: give a day in {FIRST_YEAR} to {LAST_YEAR}")
    for item in items:
        _finite(f"mass of {item.name} (g)", item.grams)
    for what, value in (
        ("serving (g)", serving_g),
        ("sugars in 100 g (g)", nutrition.sugars_g),
        ("polyols in 100 g (g)", nutrition.polyols_g),
        ("acid in 100 g (g)", nutrition.acid_g),
        ("caffeine (mg)", caffeine_low_mg),
        ("caffeine (mg)", caffeine_high_mg),
        ("drink volume (ml)", drink_ml),
    ):
        _finite(what, value)
    if keep_days is not None and keep_days < 1:
        raise PairingError(f"keeping time is {keep_days} days; it must be at least 1")
    by_weight = sorted(items, key=lambda i: -i.grams)
    used = [i for i in by_weight if i.grams > 0]
    ids = [i.ingredient_id for i in used if i.ingredient_id]
    drink = []
    if caffeine_high_mg > 0:
        drink.append(f"{caffeine_low_mg:.0f} to {caffeine_high_mg:.0f} mg caffeine.")
        if drink_ml > 0:
            drink.append(_caffeine_statement(caffeine_high_mg, drink_ml, named_as_coffee))
    if milk:
        contains = "; ".join(_contains([milk], findings))
        drink.append(f"Contains {contains}." if contains else f"Milk: {milk}; read its carton.")
    return Label(
        name.strip(),
        tuple(f.text for f in findings if f.level == "stop"),
        tuple(_emphasised(i, findings) for i in used),
        _contains(ids, findings),
        tuple(
            i.name
            for i in used
            if any(f.code == "allergen-unknown" and f.subject == i.ingredient_id for f in findings)
        ),
        _warnings(ids, findings),
        nutrition,
        serving_g,
        tuple(text for text in drink if text),
        tuple(_statements(ids, findings)),
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
