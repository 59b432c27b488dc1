"""A draft label of a bottle of syrup, per market and way of sale: what stands on it, and notes.

EU and UK: Regulation (EU) No 1169/2011 (in Great Britain as retained): name with sweeteners
beside it, list in descending weight (art. 18) with allergens emphasised and no second
"Contains" (art. 21), water by finished weight (Annex VII A), quantity of named ingredients
(art. 22), net quantity in ml, use-by date as day, month, year (Annex X), seven lines of
nutrition (art. 30) or the exemption (Annex V). US: 21 CFR 101 and the Food Allergen Labeling
and Consumer Protection Act. What coffee and milk add stands apart, in a line on the drink.
It is a draft: an environmental health officer or food lawyer checks law, language and layout.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from pairing.cards.nutrition import Nutrition
from pairing.errors import CONTROL, PairingError, quoted
from pairing.evidence.words import within
from pairing.safety.allergens import SUPPLIER, legal_words, unknown_allergens
from pairing.safety.assess import named_as_coffee
from pairing.safety.findings import DEFER, Finding
from pairing.values import Value

if TYPE_CHECKING:
    from pairing.evidence.catalog import Catalog
    from pairing.evidence.rows import Form
    from pairing.syrup.formula import Formula

__all__ = [
    "SALES",
    "Label",
    "LabelItem",
    "Nutrition",
    "draft_label",
    "plain_name",
    "product_name",
]

SALES = ("prepacked", "premises", "loose")
MARKET_WORDS = {"eu": "EU", "uk": "UK", "us": "US"}
_ASK = "come from the suppliers' data or a laboratory:"
COLD = "Keep refrigerated at 5 °C or colder. Shake; discard at any haze, gas or mould."
CAFFEINE_MG_PER_L = 150.0  # Regulation (EU) No 1169/2011, Annex III point 4.1; retained in the UK
US_ADDED_SUGARS_G = 50.0  # daily value, 21 CFR 101.9(c)(9) (second-hand)
US_SYRUP_ML = 30.0  # reference amount of a syrup, 21 CFR 101.12(b), table 2 (second-hand)
ML_PER_FL_OZ = 29.5735  # 21 CFR 101.7: the US fluid ounce
# Regulation (EU) No 1169/2011 art. 44; LMIDV 2017 and Real Decreto 126/2015 (second-hand); FSA best
# practice of March 2025; Food Code 3-602.12(C) (second-hand)
_EU_LOOSE = (
    "EU, loose: allergens must be told, each state says how (Germany: menu, sign, or spoken with a "
    "written record; Spain: spoken if it can be checked); to be confirmed."
)
LOOSE = {
    "": _EU_LOOSE,
    "eu": _EU_LOOSE,
    "uk": "UK, loose: have the allergens in writing at hand and talk with the guest; a notice says "
    "where to ask.",
    "us": "US, loose: the Food Code asks for the major allergens in writing (to be confirmed).",
}
FIRST_YEAR, LAST_YEAR = 2000, 2100  # of making; any other is a slip of the keys
OMIT_WATER = 0.05  # Regulation (EU) No 1169/2011, Annex VII A: water up to 5 % may be left out
QUANTITY_KINDS = frozenset({"citrus", "fruit", "nut", "seed", "flower", "roast", "cocoa"})
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


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
    kind : str
        Kind of ingredient: a named fruit or nut needs its quantity, spice in flavouring amounts
        does not.
    """

    name: str
    grams: float
    ingredient_id: str = ""
    kind: str = ""


@dataclass(frozen=True, eq=False, repr=False)
class Label(Value):
    """A draft label, with anything that stops the product in front.

    Attributes
    ----------
    name : str
    market, sale : str
        ``eu``, ``uk``, ``us`` or empty; a word of ``SALES``.
    stops : tuple of str
        Why the product must not be sold or this label not be used.
    ingredients : tuple of str
        Descending weight, allergen words in capitals, quantities of named fruit and nuts.
    contains : tuple of str
        Words that declare the allergens of the market.
    unknown : tuple of str
        Ingredients whose allergens nobody has stated.
    not_known : tuple of str
        Plants that nobody here assessed, rows that a pantry would loosen.
    nutrition : Nutrition
        Per 100 g of syrup.
    serving_g : float
        Syrup per serving, g.
    copy : tuple of str
        The lines that stand on the label.
    in_the_drink : tuple of str
        What coffee and milk add; empty for the syrup alone.
    notes : tuple of str
        What the maker should know and no guest reads.
    use_by : str
    made : Formula or None
        What is in the bottle.
    made_on : date or None
    """

    name: str
    market: str
    sale: str
    stops: tuple[str, ...]
    ingredients: tuple[str, ...]
    contains: tuple[str, ...]
    unknown: tuple[str, ...]
    not_known: tuple[str, ...]
    nutrition: Nutrition
    serving_g: float
    copy: tuple[str, ...]
    in_the_drink: tuple[str, ...]
    notes: tuple[str, ...]
    use_by: str
    made: Formula | None = None
    made_on: date | None = None

    def __str__(self) -> str:
        """Stops first, then what it is a label of."""
        first = "STOP, must not be sold: " if self.stops else ""
        return f"{first}draft label of {self.name}, {', '.join(self.ingredients)}"

    def to_text(self) -> str:
        """Plain text, one line a fact: stops, the draft, what it adds to a drink, notes."""
        where = MARKET_WORDS.get(self.market, "EU")
        lines = [f"STOP: {s}" for s in self.stops]
        lines += self.not_known
        lines.append(
            f"DRAFT ({where}, {self.sale}): an environmental health officer or food lawyer "
            "checks it before use."
        )
        lines += self.copy
        if self.in_the_drink:
            lines.append(f"In the drink: {' '.join(self.in_the_drink)}")
        lines += [f"Note: {n}" for n in self.notes]
        return "\n".join([*lines, DEFER])


PART_NAMES = {"peel": "peel", "zest": "peel", "juice": "juice"}  # what is named of a fruit


def plain_name(catalog: Catalog, form: Form) -> str:
    """Name of a form in an ingredient list: the ingredient, with peel or juice of a fruit.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    str
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

    Returns
    -------
    str
    """
    different = list(dict.fromkeys(names))
    words = [
        different[0],
        *(within(n) for n in different[1:]),
    ]
    listed = ", ".join(words[:-1]) + " and " + words[-1] if len(words) > 1 else words[0]
    return f"{listed} syrup"


def draft_label(
    name: str,
    items: Sequence[LabelItem],
    *,
    serving_g: float,
    nutrition: Nutrition,
    findings: Sequence[Finding] = (),
    market: str = "",
    sale: str = "prepacked",
    yield_g: float | None = None,
    yield_ml: float | None = None,
    caffeine_low_mg: float = 0.0,
    caffeine_high_mg: float = 0.0,
    drink_ml: float = 0.0,
    drink_name: str | None = None,
    milk: str = "",
    made_on: date | None = None,
    keep_days: int | None = None,
    opened_days: int | None = None,
    quantity_in_name: bool = True,
) -> Label:
    """Draft the label of a bottle of syrup, with a line on the drink it goes into.

    Parameters
    ----------
    name : str
        Name of the product.
    items : sequence of LabelItem
        Everything that goes into the batch, g.
    serving_g : float
        Syrup per serving, g.
    nutrition : Nutrition
        Of 100 g of syrup.
    findings : sequence of Finding
        From :func:`pairing.safety.assess.assess`; the one source of stops and allergens.
    market : str
        ``eu``, ``uk`` or ``us``; the EU draft with the allergens of every list while empty.
    sale : str
        ``prepacked``, ``premises`` (packed where it is sold, before the order) or ``loose``.
    yield_g, yield_ml : float, optional
        Finished syrup, for water, quantities and net contents.
    caffeine_low_mg, caffeine_high_mg, drink_ml : float
        Caffeine and volume of the drink; zero for the syrup alone.
    drink_name : str, optional
        Name of the drink on the menu; both cases of the caffeine statement when not given.
    milk : str
        Milk of the drink, as in :class:`pairing.safety.amounts.Serving`.
    made_on : date, optional
        Batch date.
    keep_days, opened_days : int, optional
        Days of keeping, the day of making (of opening) being day one.
    quantity_in_name : bool
        Whether the fruit and nuts stand in the product's name, so that their share is declared.

    Returns
    -------
    Label

    Raises
    ------
    PairingError
        Without items or a name, for a name with control characters, an unknown market or way of
        sale, a day outside 2000-2100, negative or non-finite numbers, or fewer than one day.

    Notes
    -----
    Regulation (EU) No 1169/2011, art. 18, 21, 22, 30, 44 and Annexes II, III, V, VII, X;
    The Food Information (Amendment) (England) Regulations 2019 for food packed on the premises
    (from memory); 21 CFR 101.
    """
    _check(name, items, serving_g, nutrition, market, sale, made_on, keep_days, opened_days)
    _finite("caffeine (mg)", caffeine_low_mg)
    _finite("caffeine (mg)", caffeine_high_mg)
    _finite("drink volume (ml)", drink_ml)
    used = _in_order(items, yield_g, market)
    ingredients = tuple(_declared(i, findings, market, yield_g, quantity_in_name) for i in used)
    unknown_ids = set(unknown_allergens(findings))
    unknown = tuple(i.name for i in used if i.ingredient_id in unknown_ids)
    inside = [i.ingredient_id for i in used if i.ingredient_id]
    contains = tuple(
        dict.fromkeys(w.upper() for i in inside for w in legal_words(findings, i, market))
    )
    stops = [f.text for f in findings if f.level == "stop"]
    if unknown:
        stops.append(
            f"Allergens NOT KNOWN for {' and '.join(unknown)}: this label must not be used before "
            "the supplier has stated them."
        )
    use_by = _use_by(market, made_on, keep_days)
    title = _title(name, nutrition, market)
    full = [
        title,
        f"Ingredients: {', '.join(ingredients)}.",
        *([f"Contains: {', '.join(contains)}."] if market == "us" and contains else []),
        *_statements(inside, findings, market, nutrition),
        _net(yield_ml, market),
        *_nutrition_lines(nutrition, market, serving_g, yield_g, yield_ml),
        COLD,
        *([f"Once opened, use within {opened_days} days."] if opened_days else []),
        use_by,
        "Lot: ____. Name and address of the business: ____.",
    ]
    if sale == "loose":
        copy = [title, _told(contains, market)]
    elif sale == "premises" and market != "us":
        copy = [*full[:2], use_by]
    else:
        copy = full
    drink = _drink_lines(
        inside, findings, market, milk, caffeine_low_mg, caffeine_high_mg, drink_ml, drink_name
    )
    return Label(
        name.strip(),
        market,
        sale,
        tuple(dict.fromkeys(stops)),
        ingredients,
        contains,
        unknown,
        tuple(f.text for f in findings if f.code in ("unknown", "loosened")),
        nutrition,
        serving_g,
        tuple(line for line in copy if line),
        tuple(drink),
        tuple(_notes(findings, market, sale, inside, used, yield_g, nutrition)),
        use_by,
    )


def _finite(name: str, value: float) -> None:
    if not math.isfinite(value) or value < 0:
        raise PairingError(f"{name} is {value:g}; it must be a finite number, 0 or more")


def _check(
    name: str,
    items: Sequence[LabelItem],
    serving_g: float,
    nutrition: Nutrition,
    market: str,
    sale: str,
    made_on: date | None,
    keep_days: int | None,
    opened_days: int | None,
) -> None:
    if not name.strip() or not items:
        raise PairingError("a label needs a name and at least one ingredient")
    if CONTROL.search(name):
        raise PairingError(f"the name {quoted(name)} holds a control character; give plain text")
    if len(name) > 200:
        raise PairingError(f"the name has {len(name)} characters; a label takes at most 200")
    if market not in ("", *MARKET_WORDS):
        raise PairingError(f"market is {quoted(market)}; it should be eu, uk or us")
    if sale not in SALES:
        raise PairingError(f"sale is {quoted(sale)}; it should be one of {', '.join(SALES)}")
    if made_on is not None and not FIRST_YEAR <= made_on.year <= LAST_YEAR:
        raise PairingError(f"made on {made_on}: give a day in {FIRST_YEAR} to {LAST_YEAR}")
    for item in items:
        _finite(f"mass of {item.name} (g)", item.grams)
    for what, value in (
        ("serving (g)", serving_g),
        ("sugars in 100 g (g)", nutrition.sugars_g),
        ("polyols in 100 g (g)", nutrition.polyols_g),
        ("acid in 100 g (g)", nutrition.acid_g),
        ("erythritol in 100 g (g)", nutrition.erythritol_g),
        ("allulose in 100 g (g)", nutrition.allulose_g),
    ):
        _finite(what, value)
    for days in (keep_days, opened_days):
        if days is not None and days < 1:
            raise PairingError(f"keeping time is {days} days; it must be at least 1")


def _in_order(items: Sequence[LabelItem], yield_g: float | None, market: str) -> list[LabelItem]:
    """Descending weight; in the EU and UK water as what the finished syrup holds in all."""
    rest = sum(i.grams for i in items if i.name != "Water")
    counted = []
    for item in items:
        if item.name == "Water" and yield_g and market != "us":
            water = max(0.0, yield_g - rest)
            if water > OMIT_WATER * yield_g:
                counted.append((water, item))
        elif item.grams > 0:
            counted.append((item.grams, item))
    return [i for _, i in sorted(counted, key=lambda pair: -pair[0])]


def _declared(
    item: LabelItem,
    findings: Sequence[Finding],
    market: str,
    yield_g: float | None,
    quantity_in_name: bool,
) -> str:
    """Ingredient name with its allergens in capitals, and its quantity where the name needs it."""
    name = item.name
    for word in legal_words(findings, item.ingredient_id, market) if item.ingredient_id else ():
        pattern = re.compile(rf"\b{re.escape(word)}(?:e?s)?\b", re.IGNORECASE)
        if pattern.search(name):
            name = pattern.sub(lambda m: m.group().upper(), name)
        else:
            name += f" ({word.upper()})"
    if quantity_in_name and yield_g and item.kind in QUANTITY_KINDS and market != "us":
        name += f" {100.0 * item.grams / yield_g:.1f} %"
    return name


def _title(name: str, nutrition: Nutrition, market: str) -> str:
    """The name, with the sweeteners beside it where the EU and UK ask for it."""
    sweet = nutrition.polyols_g - nutrition.glycerol_g + nutrition.erythritol_g
    if market == "us" or sweet < 0.01:
        return name.strip()
    word = "with sugar(s) and sweetener(s)" if nutrition.sugars_g >= 0.5 else "with sweetener(s)"
    return f"{name.strip()}, {word}"


def _told(contains: Sequence[str], market: str) -> str:
    if not contains:
        return SUPPLIER
    if market == "us":
        return f"Contains: {', '.join(contains)}."
    return f"Allergens (on the menu, a notice, or told on asking): {', '.join(contains)}."


def _net(yield_ml: float | None, market: str) -> str:
    if yield_ml is None:
        return "Net contents: ____"
    if market == "us":
        return f"Net {yield_ml / ML_PER_FL_OZ:.1f} fl oz ({yield_ml:.0f} ml)"
    return f"{yield_ml:.0f} ml"


def _nutrition_lines(
    nutrition: Nutrition,
    market: str,
    serving_g: float,
    yield_g: float | None,
    yield_ml: float | None,
) -> list[str]:
    if market == "us":
        density = yield_g / yield_ml if yield_g and yield_ml else 1.3
        grams = US_SYRUP_ML * density
        r = nutrition.record(grams, "us")
        added = r["sugars_g"]
        fat, saturates, sodium, protein = _minor_words(nutrition, "us", grams)
        return [
            f"Nutrition Facts, serving size 2 tbsp ({US_SYRUP_ML:.0f} mL): calories "
            f"{_calories(r['energy_kcal'])}, total fat {fat}, saturated fat {saturates}, sodium "
            f"{sodium}, total carbohydrate {r['carbohydrate_g']:.0f} g, total sugars "
            f"{r['sugars_g']:.0f} g, includes {added:.0f} g added sugars "
            f"({100 * added / US_ADDED_SUGARS_G:.0f} % DV), protein {protein}; the other lines: "
            "____."
        ]
    words = nutrition.words(100.0, market)
    energy, carbohydrate = words.split("; ")
    fat, saturates, protein, salt = _minor_words(nutrition, market)
    return [
        f"Per 100 g: {energy}; fat {fat} g, of which saturates {saturates} g; {carbohydrate}; "
        f"protein {protein} g; salt {salt} g.",
        f"Per serving of {serving_g:g} g: {nutrition.words(serving_g, market)}.",
    ]


OPEN = "____"


def _minor_words(
    nutrition: Nutrition, market: str, grams: float = 100.0
) -> tuple[str, str, str, str]:
    """Fat, saturates, protein, salt (in the US sodium third, protein last) as declared."""
    if nutrition.minor is None:
        return (
            (f"{OPEN} g", f"{OPEN} g", f"{OPEN} mg", f"{OPEN} g")
            if market == "us"
            else (OPEN, OPEN, OPEN, OPEN)
        )
    return nutrition.minor.us_words(grams) if market == "us" else nutrition.minor.words()


def _blanks(nutrition: Nutrition, market: str) -> str:
    """What the makers of the label must still find, and whom to ask."""
    other = "in the US the other lines" if market == "us" else ""
    minor = nutrition.minor
    if minor is None:
        what = "fat, saturates, protein, salt" + (f"; {other}" if other else "")
        return f"The blanks of nutrition ({what}) {_ASK} nothing here works them out."
    counted = (
        "Fat, saturates, protein and salt are counted from a composition table (USDA SR28) as if "
        "all of what was put in passed over; water counts as none."
    )
    if any(OPEN in w for w in _minor_words(nutrition, market)) and minor.asked:
        return (
            f"The blanks of nutrition {_ASK} no table read here has {', '.join(minor.asked)}"
            f"{f' ({other})' if other else ''}. {counted}"
        )
    if any(OPEN in w for w in _minor_words(nutrition, market)) or other:
        return (
            f"The blanks of nutrition{f' ({other})' if other else ''} {_ASK} nothing here works "
            f"them out. {counted}"
        )
    return f"{counted} A laboratory's figures are surer."


def _calories(kcal: float) -> int:
    """To 5 up to 50 kcal, to 10 above, 0 below 5: 21 CFR 101.9(c)(1)."""
    if kcal < 5:
        return 0
    step = 5 if kcal <= 50 else 10
    return int(step * round(kcal / step))


def _statements(
    ids: Sequence[str], findings: Sequence[Finding], market: str, nutrition: Nutrition
) -> list[str]:
    said: list[str] = []
    rows = {f.row_id for f in findings if f.level != "note"}
    european = market != "us"
    if "cinchona" in ids or {"quinine", "cinchona-alkaloids"} & {f.subject for f in findings}:
        said.append("Flavouring (quinine)." if european else "Contains quinine.")
    if european and "eu-glycyrrhizin-pressure-statement" in rows:
        said.append(
            "Contains liquorice - people suffering from hypertension should avoid excessive "
            "consumption."
        )
    elif european and "eu-glycyrrhizin-liquorice-statement" in rows:
        said.append("Contains liquorice.")
    if not european and any(f.code == "allergen" and "sulphites" in f.words for f in findings):
        said.append("Contains sulphites.")
    if any(f.code == "alcohol" and f.ratio > 1 for f in findings):
        said.append("Alcohol ____ % vol.")
    polyols = nutrition.polyols_g + nutrition.erythritol_g
    if european and polyols > 10.0:  # Regulation (EU) No 1169/2011, Annex III point 2.4
        said.append("Excessive consumption may produce laxative effects.")
    if "honey" in ids:
        said.append("Not for children under 12 months (honey).")
    return said


def _drink_lines(
    ids: Sequence[str],
    findings: Sequence[Finding],
    market: str,
    milk: str,
    low_mg: float,
    high_mg: float,
    drink_ml: float,
    drink_name: str | None,
) -> list[str]:
    out = []
    if high_mg > 0:
        out.append(f"{low_mg:.0f} to {high_mg:.0f} mg caffeine.")
        if drink_ml > 0 and market != "us":
            named = "" if "cascara" in ids else drink_name  # (EU) 2022/47: a name does not spare it
            out += _caffeine_statement(high_mg / drink_ml * 1000, named)
    if milk:
        words = legal_words(findings, milk, market)
        out.append(
            f"Contains {', '.join(w.upper() for w in words)}."
            if words
            else f"Milk: {milk}; read its carton."
        )
    return out


def _caffeine_statement(per_litre: float, drink_name: str | None) -> list[str]:
    if per_litre <= CAFFEINE_MG_PER_L:
        return []
    words = (
        "High caffeine content. Not recommended for children or pregnant or breast-feeding women "
        f"({per_litre / 10:.0f} mg/100 ml)."
    )
    if drink_name is None:
        return [
            f"If its name says coffee or tea: no statement at {per_litre:.0f} mg/l; if not, sold "
            f"prepacked: {words}"
        ]
    if named_as_coffee(drink_name):
        return [f"No caffeine statement at {per_litre:.0f} mg/l: its name says coffee or tea."]
    return [words]


def _notes(
    findings: Sequence[Finding],
    market: str,
    sale: str,
    ids: Sequence[str],
    used: Sequence[LabelItem],
    yield_g: float | None,
    nutrition: Nutrition,
) -> list[str]:
    """What the maker should know: kept apart from what stands on the label."""
    out = []
    if not market:
        out.append(
            "No market is set: this is the EU draft with the allergens of every list; choose eu, "
            "uk or us."
        )
    out += [f.text for f in findings if f.code in ("allergen-maybe", "allergen-stated")]
    relatives = [
        f"{f.spoken} ({f.words[0]})"
        for f in findings
        if f.code == "allergen" and f.words and not {"EU14", "US9"} & set(f.lists)
    ]
    if relatives:
        out.append(f"On no list, tell guests with that allergy: {'; '.join(relatives)}.")
    out.append(
        'Cross-contact: add what else your kitchen handles (nuts, sesame, milk, gluten); "may '
        'contain" only for a risk that stays after control, the nut or cereal named.'
    )
    if sale == "loose":
        out.append(LOOSE[market])
    out.append("Supplier specifications decide what an ingredient holds; keep them with the batch.")
    if sale == "prepacked" or (sale == "premises" and market == "us"):
        out.append(_blanks(nutrition, market))
    if market == "us":
        out.append(
            "Nutrition Facts are not needed of small businesses that claim nothing (21 CFR "
            "101.9(j), to be confirmed)."
        )
    elif sale == "prepacked":
        out.append(
            "No nutrition table is needed for small quantities that the maker sells directly or to "
            "local shops (Regulation (EU) No 1169/2011, Annex V 19)."
        )
    if sale == "premises" and market in ("uk", ""):
        out.append(
            "UK: packed on the premises before the order needs name and full list with allergens "
            "emphasised (since October 2021)."
        )
    if yield_g and market != "us":
        out.append(
            "Water is counted as the finished syrup less the rest (Annex VII A); ask your adviser "
            "how to name solids that are strained off."
        )
    if "honey" in ids:
        out.append("Not vegan: honey.")
        if market != "us":
            out.append(
                "Honey sold as such names its countries, in the EU with percent; a syrup need not."
            )
    if market == "us" and any(i.kind in ("citrus", "fruit") for i in used):
        out.append(
            "A bottled drink that names or shows a fruit states its percent juice (21 CFR 101.30)."
        )
    if any(i.kind == "citrus" for i in used):
        out.append("Waxed citrus may carry shellac or beeswax: unwaxed for a vegan claim.")
    return out


def _day(when: date, market: str) -> str:
    if market == "us":
        return f"{MONTHS[when.month - 1]} {when.day}, {when.year}"
    return f"{when.day:02d}.{when.month:02d}.{when.year}"


def _use_by(market: str, made_on: date | None, keep_days: int | None) -> str:
    if keep_days is None:
        return "Use by: set after your own keeping test; 7 days at most if it needs cold holding."
    if made_on is None:
        return f"Use by: {keep_days} days, the day of making being day one."
    last = made_on + timedelta(days=keep_days - 1)
    return f"Made {_day(made_on, market)}. Use by {_day(last, market)}."
