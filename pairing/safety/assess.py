"""Safety: amounts per drink and per day against legal limits and daily guidance, and cautions.

Everything here is general information that defers to local law and licensed practice. Amounts
are the worst case: the high end of published contents, and complete transfer from the solid to
the syrup. Limits, rules, hazards, allergens and the Food Code tables are data
(``limits.csv``, ``rules.csv``, ``hazards.csv`` ...), each row with its source.

Levels
------
``stop``
    Do not make or serve it: a banned or regulated plant, an amount above a legal limit that
    applies, or one serving above a tolerable (or acutely toxic) intake.
``limit``
    Half of a limit or more, a prudential limit passed although the law exempts herbs and
    spices, or something a named group of guests must not have.
``caution``, ``note``
    To know, to say on the menu, to keep in mind.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.evidence.names import NameIndex
from pairing.evidence.spelling import normalise
from pairing.evidence.tables import data_folder, records

if TYPE_CHECKING:
    from pairing.evidence.catalog import Catalog
    from pairing.evidence.rows import Form

__all__ = [
    "DEFER",
    "LEVELS",
    "Allergen",
    "CaffeineGuidance",
    "Constituent",
    "Contents",
    "Finding",
    "FoodCodeClass",
    "Hazard",
    "Limit",
    "PlantRule",
    "Portion",
    "ProcessCaution",
    "Rule",
    "Serving",
    "Tables",
    "allergens_for",
    "allergens_found",
    "assess",
    "commands_for",
    "contents_from",
    "contents_of",
    "food_code_class",
    "has_stop",
    "hazards_for",
    "highest",
    "needs_control",
    "portion",
    "process_cautions",
    "refusal",
    "refuse_regulated",
    "rule_for",
    "same_plant",
    "situations_of",
    "tables",
    "usual_high",
]

DEFER = "General information; follow your local code and a licensed professional."
LEVELS = ("stop", "limit", "caution", "note")

# Share of a limit from which a finding is worth its level (our choice, no source).
NEAR, SOME, TRACE = 0.5, 0.1, 0.01
ALCOHOLIC_PERCENT = 1.2  # Regulation (EU) No 1169/2011, art. 28: strength is declared above it
CHILD_KG = 30.0  # a child of about nine years, for the 3 mg/kg caffeine figure (our choice)
# A dose that no kitchen uses (our choice, no source): nobody has shown it to be safe.
FAR_TIMES_BAR = 10.0  # times the high end of bar practice
FAR_G_PER_KG = 300.0  # of finished syrup, of what is no citrus, juice, sweetener or fresh root
POISON_SHARE = 0.5  # of a mass reported as toxic, in one drink (our choice, no source)
ETHANOL_G_PER_ML = 0.789  # at 20 °C, CRC Handbook (from memory)

Contents = Callable[[str, str], Mapping[str, float]]
"""``(ingredient_id, form) -> {substance or compound id: high end, mg per kg of the form}``."""


# --- tables -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Substance:
    """A regulated or risky substance; ``compound_ids`` are the odorants that add up to it."""

    substance: str
    name: str
    compound_ids: tuple[str, ...]
    cas: str
    concern: str


@dataclass(frozen=True, slots=True)
class Limit:
    """One legal limit or intake figure.

    ``basis``: ``drink`` (mg per kg of drink), ``syrup`` (mg per kg of syrup), ``litre`` (mg per
    litre of drink), ``day``, ``day-per-kg``, ``single``, ``single-per-kg`` (mg, per kg of body
    weight). ``legal_force``: ``law``, ``label``, ``guidance``, ``prudential`` or ``report``.
    """

    limit_id: str
    substance: str
    cas: str
    scope: str
    applies_to: str
    ingredient_ids: tuple[str, ...]
    basis: str
    value: float
    unit: str
    jurisdiction: str
    legal_force: str
    exempt: bool
    provision: str
    who: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class PlantRule:
    """What the law of one jurisdiction says of a plant or a pure substance."""

    rule_id: str
    subject: str
    level: str
    jurisdiction: str
    text: str
    provision: str
    source_id: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Subject:
    """A name that somebody may ask for and that is no ingredient of the catalogue."""

    subject_id: str
    name: str
    aliases: tuple[str, ...]
    botanical_name: str
    kind: str
    source_id: str
    evidence: str


@dataclass(frozen=True, slots=True)
class CaffeineGuidance:
    """A caffeine figure for a group of people; ``basis`` is ``single`` or ``day``."""

    guidance_id: str
    group: str
    who: str
    value: float
    unit: str
    basis: str
    body: str
    year: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class FoodCodeCell:
    """One cell of Food Code Table A (heat-treated and packaged) or B (anything else)."""

    cell_id: str
    table: str
    aw_from: float
    aw_from_closed: bool
    aw_to: float
    aw_to_closed: bool
    ph_from: float
    ph_from_closed: bool
    ph_to: float
    ph_to_closed: bool
    result: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Constituent:
    """A published amount of a substance in an ingredient, mg per kg."""

    ingredient_id: str
    form: str
    substance: str
    low_mg_per_kg: float
    high_mg_per_kg: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Hazard:
    """A caution that goes with an ingredient, a kind of ingredient, or a named subject."""

    hazard_id: str
    subject: str
    ingredient_ids: tuple[str, ...]
    kinds: tuple[str, ...]
    forms: tuple[str, ...]
    topic: str
    severity: str
    who: str
    text: str
    value: float | None
    unit: str
    ask: str
    source_id: str
    evidence: str

    def concerns(self, ingredient_id: str, form: str, kind: str) -> bool:
        """Whether the row belongs to this ingredient in this form."""
        named = bool(ingredient_id) and ingredient_id in (*self.ingredient_ids, self.subject)
        named = named or bool(kind and kind in self.kinds)
        return named and (not self.forms or not form or form in self.forms)


@dataclass(frozen=True, slots=True)
class Allergen:
    """An allergen of an ingredient or milk; ``lists`` holds EU14, US9, cross-reaction, other."""

    allergen: str
    ingredient_id: str
    lists: tuple[str, ...]
    word: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class ProcessCaution:
    """A caution that goes with a step of making, keeping or serving."""

    caution_id: str
    situations: tuple[str, ...]
    hazard: str
    text: str
    value: float | None
    unit: str
    source_id: str
    evidence: str


class Tables:
    """The safety tables of a data folder, each read when first used."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @cached_property
    def substances(self) -> dict[str, Substance]:
        """Substances by id."""
        rows = records(Substance, self.folder / "substances.csv")
        return {r.substance: r for r in rows}

    @cached_property
    def limits(self) -> dict[str, tuple[Limit, ...]]:
        """Limits by substance."""
        out: dict[str, list[Limit]] = defaultdict(list)
        for row in records(Limit, self.folder / "limits.csv"):
            out[row.substance].append(row)
        return {k: tuple(v) for k, v in out.items()}

    @cached_property
    def rules(self) -> dict[str, tuple[PlantRule, ...]]:
        """Rules by subject."""
        out: dict[str, list[PlantRule]] = defaultdict(list)
        for row in records(PlantRule, self.folder / "rules.csv"):
            out[row.subject].append(row)
        return {k: tuple(v) for k, v in out.items()}

    @cached_property
    def subjects(self) -> dict[str, Subject]:
        """Subjects by id."""
        return {r.subject_id: r for r in records(Subject, self.folder / "subjects.csv")}

    @cached_property
    def subject_names(self) -> NameIndex[Subject]:
        """Subjects by any of their names."""
        index: NameIndex[Subject] = NameIndex("plant or thing")
        for s in self.subjects.values():
            index.add(s.subject_id, (s.name, *s.aliases, s.botanical_name), s)
        return index

    @cached_property
    def hazards(self) -> tuple[Hazard, ...]:
        """All hazard rows."""
        return records(Hazard, self.folder / "hazards.csv")

    @cached_property
    def allergens(self) -> tuple[Allergen, ...]:
        """All allergen rows."""
        return records(Allergen, self.folder / "allergens.csv")

    @cached_property
    def process(self) -> tuple[ProcessCaution, ...]:
        """All process cautions."""
        return records(ProcessCaution, self.folder / "process_cautions.csv")

    @cached_property
    def caffeine(self) -> tuple[CaffeineGuidance, ...]:
        """All caffeine guidance."""
        return records(CaffeineGuidance, self.folder / "caffeine_guidance.csv")

    @cached_property
    def food_code(self) -> tuple[FoodCodeCell, ...]:
        """All cells of Food Code Tables A and B."""
        return records(FoodCodeCell, self.folder / "food_code.csv")

    @cached_property
    def constituents(self) -> dict[str, tuple[Constituent, ...]]:
        """Constituents by ingredient id."""
        out: dict[str, list[Constituent]] = defaultdict(list)
        for row in records(Constituent, self.folder / "constituents.csv"):
            out[row.ingredient_id].append(row)
        return {k: tuple(v) for k, v in out.items()}


@lru_cache(maxsize=4)
def tables(folder: Path | None = None) -> Tables:
    """Safety tables of a data folder (the shipped one when not given)."""
    return Tables(folder or data_folder())


# --- contents -----------------------------------------------------------------------------


def contents_from(aroma: Contents) -> Contents:
    """Contents of legal substances, from aroma contents and ``constituents.csv``.

    Parameters
    ----------
    aroma : callable
        ``(ingredient_id, form) -> {compound_id: high end, mg per kg of the form as used}``.

    Returns
    -------
    callable
        The same shape with substance ids: the compounds of a substance are summed (alpha- and
        beta-thujone make thujone), then the highest of all sources is kept.
    """
    t = tables()

    def contents(ingredient_id: str, form: str) -> Mapping[str, float]:
        raw = dict(aroma(ingredient_id, form))
        for row in t.constituents.get(ingredient_id, ()):
            if row.form in ("", form):
                raw[row.substance] = max(raw.get(row.substance, 0.0), row.high_mg_per_kg)
        out: dict[str, float] = {}
        for s in t.substances.values():
            parts = sum(raw.get(c, 0.0) for c in s.compound_ids if c != s.substance)
            amount = max(parts, raw.get(s.substance, 0.0))
            if amount > 0:
                out[s.substance] = amount
        return out

    return contents


def contents_of(catalog: Catalog) -> Contents:
    """Contents of legal substances in the forms of a catalogue.

    High end throughout: the highest share of the material in the form times the highest
    published amount of the compound in the material, summed over materials.

    Parameters
    ----------
    catalog : Catalog
        An open data package.
    """
    from pairing.evidence.ranges import UNIT_TO_MG_PER_KG

    def aroma(ingredient_id: str, form: str) -> Mapping[str, float]:
        share: dict[str, float] = {}
        forms = catalog.forms_of.get(ingredient_id, ())
        same = [f for f in forms if f.form == form]
        for record in same or forms:  # of a form that nobody analysed, the richest counts
            for m in catalog.form_materials.get(record.form_id, ()):
                share[m.material] = max(share.get(m.material, 0.0), m.percent_high / 100)
        highest: dict[tuple[str, str], float] = {}
        for c in catalog.composition.get(ingredient_id, ()):
            if c.material in share:
                amount = share[c.material] * c.high * UNIT_TO_MG_PER_KG[c.unit]
                key = (c.material, c.compound_id)
                highest[key] = max(highest.get(key, 0.0), amount)
        out: dict[str, float] = defaultdict(float)
        for (_, compound_id), amount in highest.items():
            out[compound_id] += amount
        return out

    return contents_from(aroma)


# --- what goes in, what comes out ---------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Portion:
    """One ingredient of the batch.

    Attributes
    ----------
    ingredient_id, form, kind : str
        As in ``ingredients.csv`` and ``forms.csv``; honey and other sweeteners count.
    grams : float
        Mass in the whole batch, g.
    plants : tuple of str
        Shipped ingredients that a bar's own ingredient is, from :func:`same_plant`.
    usual_high_g_per_kg : float or None
        High end of bar practice, g per kg of finished syrup.
    own : bool
        A bar's own ingredient: what no table says of it is not known, never none.
    """

    ingredient_id: str
    form: str
    grams: float
    kind: str = ""
    plants: tuple[str, ...] = ()
    usual_high_g_per_kg: float | None = None
    own: bool = False

    @property
    def ids(self) -> tuple[str, ...]:
        """Every id under which the tables may know it."""
        return tuple(dict.fromkeys((self.ingredient_id, *self.plants)))


@dataclass(frozen=True, slots=True)
class Serving:
    """How the syrup becomes a drink.

    Attributes
    ----------
    yield_g : float
        Finished syrup of the batch, g.
    serving_g : float
        Syrup in one drink, g.
    drink_ml : float
        One drink as served, without the ice that has not melted, ml.
    caffeine_low_mg, caffeine_high_mg : float
        Caffeine of the coffee in one drink, mg.
    milk : str
        ``""`` or ``dairy``, ``oat``, ``soya``, ``almond``, ``hazelnut``, ``cashew``, ``coconut``.
    alcohol_percent : float
        Alcohol of the drink, % by volume.
    named_as_coffee : bool
        Whether the name of the drink says coffee (it then needs no EU caffeine statement).
    body_kg : float
        Body weight for intakes per kg, kg.
    """

    yield_g: float
    serving_g: float
    drink_ml: float
    caffeine_low_mg: float = 0.0
    caffeine_high_mg: float = 0.0
    milk: str = ""
    alcohol_percent: float = 0.0
    named_as_coffee: bool = True
    body_kg: float = 60.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One answer of the safety engine.

    Attributes
    ----------
    level : str
        ``stop``, ``limit``, ``caution`` or ``note``.
    code : str
        ``regulated``, ``limit``, ``hazard``, ``allergen``, ``caffeine``, ``alcohol`` or
        ``basis``.
    subject : str
        Substance, ingredient or hazard.
    amount, limit : float or None
        In ``unit``.
    jurisdiction, basis, who, text : str
        Text is one plain sentence with the number and the limit.
    source_ids : tuple of str
    row_id : str
        The table row behind it.
    """

    level: str
    code: str
    subject: str
    amount: float | None
    unit: str
    limit: float | None
    jurisdiction: str
    basis: str
    who: str
    text: str
    source_ids: tuple[str, ...]
    row_id: str

    @property
    def ratio(self) -> float:
        """Amount over limit; 0 where there is no number."""
        return self.amount / self.limit if self.amount and self.limit else 0.0


def has_stop(findings: Iterable[Finding]) -> bool:
    """Whether any finding says stop."""
    return any(f.level == "stop" for f in findings)


def _positive(name: str, value: float, zero: bool = False) -> None:
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        least = "0 or more" if zero else "above 0"
        raise PairingError(f"{name} is {value:g}; it must be a finite number {least}")


def _check(portions: Sequence[Portion], serving: Serving) -> None:
    for p in portions:
        _positive(f"mass of {p.ingredient_id} (g)", p.grams, zero=True)
    _positive("syrup yield (g)", serving.yield_g)
    _positive("syrup per drink (g)", serving.serving_g, zero=True)
    _positive("drink volume (ml)", serving.drink_ml)
    _positive("caffeine (mg)", serving.caffeine_low_mg, zero=True)
    _positive("caffeine (mg)", serving.caffeine_high_mg, zero=True)
    _positive("alcohol (% vol)", serving.alcohol_percent, zero=True)
    _positive("body weight (kg)", serving.body_kg)
    if serving.alcohol_percent > 100:
        raise PairingError(f"alcohol is {serving.alcohol_percent:g} % vol; at most 100")
    if serving.milk and serving.milk not in _milks():
        raise PairingError(f"unknown milk {serving.milk!r}; one of {', '.join(_milks())}")


def _milks() -> tuple[str, ...]:
    return tuple(a.ingredient_id for a in tables().allergens if a.note == "milk of the drink")


def _number(value: float) -> str:
    """Two significant digits, without exponents."""
    if value == 0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(abs(value))))
    text = f"{round(value, digits):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def assess(
    portions: Sequence[Portion],
    serving: Serving,
    contents: Contents,
    *,
    foraged: Collection[str] = frozenset(),
    flavourings_added: bool = False,
) -> tuple[Finding, ...]:
    """Every limit, rule, hazard and allergen that a formula in its drink touches.

    Parameters
    ----------
    portions : sequence of Portion
        All ingredients of the batch.
    serving : Serving
        How much syrup goes into which drink.
    contents : callable
        High-end contents, from :func:`contents_of` or :func:`contents_from`.
    foraged : collection of str
        Ingredients gathered, or bought without a named species: look-alikes become stops.
    flavourings_added : bool
        Whether extracts or flavourings go in too: the EU exemption for herbs and spices then
        falls away.

    Returns
    -------
    tuple of Finding
        Stops first (the rule of a regulated plant at their head), then by level and by how
        near the limit is.

    Raises
    ------
    PairingError
        For negative, zero or non-finite amounts, or an unknown milk.
    """
    _check(portions, serving)
    used = [p for p in portions if p.grams > 0]
    share = serving.serving_g / serving.yield_g
    amounts: dict[str, float] = defaultdict(float)  # mg per drink
    for p in used:
        for substance, mg_per_kg in highest(contents, p).items():
            amounts[substance] += p.grams * share * mg_per_kg / 1000
    own_caffeine = amounts.get("caffeine", 0.0)
    amounts["caffeine"] = own_caffeine + serving.caffeine_high_mg
    found: list[Finding] = []
    found += _rule_findings(used)
    found += _limit_findings(amounts, used, serving, flavourings_added)
    found += _beyond_findings(used, serving)
    found += _poison_findings(used, serving)
    found += _hazard_findings(used, foraged)
    found += _allergen_findings(used, serving)
    found += _caffeine_findings(amounts["caffeine"], own_caffeine, serving)
    found += _alcohol_findings(serving)
    if any(f.code == "limit" for f in found):
        found.append(_basis_finding(serving))
    order = {level: i for i, level in enumerate(LEVELS)}
    return tuple(
        sorted(
            found,
            key=lambda f: (order[f.level], f.code != "regulated", -f.ratio, f.code, f.row_id),
        )
    )


def highest(contents: Contents, p: Portion) -> dict[str, float]:
    """Contents of a portion under any of its ids, the highest of each, mg per kg."""
    out: dict[str, float] = {}
    for ingredient_id in p.ids:
        for substance, amount in contents(ingredient_id, p.form).items():
            out[substance] = max(out.get(substance, 0.0), amount)
    return out


def _of_one_plant(used: Sequence[Portion]) -> list[list[Portion]]:
    """Portions that are one plant under any of their ids, together."""
    groups: list[list[Portion]] = []
    for p in used:
        same = [g for g in groups if any(set(p.ids) & set(q.ids) for q in g)]
        groups = [g for g in groups if g not in same]
        groups.append([*(q for g in same for q in g), p])
    return groups


def _beyond_findings(used: Sequence[Portion], serving: Serving) -> list[Finding]:
    """Doses far beyond food use: no limit may name them, and still nobody showed them safe."""
    found = []
    for group in _of_one_plant([p for p in used if p.kind != "sweetener"]):
        per_kg, share = 0.0, 0.0  # in all, and as a part of what each form may have
        highs = [p.usual_high_g_per_kg for p in group]
        for p, high in zip(group, highs, strict=True):
            limit = FAR_TIMES_BAR * high if high else math.inf
            fresh = p.kind == "citrus" or p.form == "juice" or (p.kind, p.form) == ("root", "fresh")
            if not fresh:
                limit = min(limit, max(FAR_G_PER_KG, high or 0.0))
            each = p.grams / serving.yield_g * 1000.0
            per_kg += each
            share += each / limit
        if share <= 1.0 + 1e-9:
            continue
        first, high = group[0], highs[0] if len(group) == 1 else None
        usual = f", {_number(per_kg / high)} times the high end of bar practice" if high else ""
        text = (
            f"{first.ingredient_id.replace('-', ' ').capitalize()} at {per_kg:,.0f} g per kg of "
            f"syrup{usual}: far beyond food use, no one has shown this to be safe."
        )
        found.append(
            Finding(
                "stop", "beyond", first.ingredient_id, per_kg, "g/kg", per_kg / share, "",
                "far beyond food use", "everyone", text, (), "",
            )
        )  # fmt: skip
    return found


def _poison_findings(used: Sequence[Portion], serving: Serving) -> list[Finding]:
    """A drink that holds half of a reported toxic mass of an ingredient, or a batch with all.

    What is one plant is added up over its forms and own names before it is compared.
    """
    rows: dict[str, Hazard] = {}
    held: dict[str, list[Portion]] = defaultdict(list)
    for p in used:
        mine = {h.hazard_id: h for i in p.ids for h in hazards_for(i, p.form, p.kind)}
        for h in mine.values():
            if h.topic in ("dose", "toxic") and h.unit == "g" and h.value:
                rows[h.hazard_id] = h
                held[h.hazard_id].append(p)
    found: dict[str, Finding] = {}
    for key, h in rows.items():
        grams = sum(p.grams for p in held[key])
        drink = grams * serving.serving_g / serving.yield_g
        name = held[key][0].ingredient_id
        assert h.value is not None
        in_drink = drink >= POISON_SHARE * h.value
        if name in found or not (in_drink or grams >= h.value):
            continue
        level, where = ("stop", "One drink") if in_drink else ("limit", "This batch")
        amount = drink if in_drink else grams
        names = " and ".join(dict.fromkeys(p.ingredient_id.replace("-", " ") for p in held[key]))
        text = (
            f"{where} holds {amount:.2g} g {names}, {drink:.2g} g a drink. {h.text} Label the "
            "bottle, keep it from children."
        )
        found[name] = Finding(
            level, "poison", name, amount, "g", h.value, "", "batch", h.who,
            text, (h.source_id,), h.hazard_id,
        )  # fmt: skip
    return list(found.values())


def _basis_finding(serving: Serving) -> Finding:
    text = (
        "Amounts are the worst case: high end of published contents, everything passing from "
        f"the solid into the syrup, an adult of {serving.body_kg:g} kg. {DEFER}"
    )
    return Finding("note", "basis", "worst case", None, "", None, "", "", "everyone", text, (), "")


def _rule_findings(used: Sequence[Portion]) -> list[Finding]:
    t = tables()
    return [
        Finding(
            r.level,
            "regulated",
            r.subject,
            None,
            "",
            None,
            r.jurisdiction,
            "status",
            "everyone",
            f"{r.text} ({r.provision})",
            (r.source_id,),
            r.rule_id,
        )
        for ingredient_id in dict.fromkeys(i for p in used for i in p.ids)
        for r in t.rules.get(ingredient_id, ())
    ]


def _applying(substance: str, used: Sequence[Portion], serving: Serving) -> list[Limit]:
    """Limits of a substance that apply to this drink; a named plant's row beats a general one."""
    drink = "alcoholic" if serving.alcohol_percent > ALCOHOLIC_PERCENT else "non-alcoholic"
    kinds = {"any", drink} | (set() if serving.named_as_coffee else {"not-named-coffee"})
    present = {i for p in used for i in p.ids}
    rows = [
        r
        for r in tables().limits.get(substance, ())
        if r.applies_to in kinds and (not r.ingredient_ids or present & set(r.ingredient_ids))
    ]
    special = {(r.jurisdiction, r.basis, r.legal_force) for r in rows if r.ingredient_ids}
    return [
        r
        for r in rows
        if r.ingredient_ids or (r.jurisdiction, r.basis, r.legal_force) not in special
    ]


def _level(force: str, ratio: float, exempted: bool) -> str | None:
    if force == "label":
        return "caution" if ratio >= 1 else None
    if ratio > 1 or (force == "report" and ratio >= 1):
        return "limit" if exempted or force == "prudential" else "stop"
    if ratio >= NEAR:
        return "caution" if force == "prudential" else "limit"
    if ratio >= SOME:
        return "note" if force == "prudential" else "caution"
    return "note" if ratio >= TRACE else None


def _measure(limit: Limit, mg: float, serving: Serving) -> tuple[float, float, str, str]:
    """Amount and limit in the unit of the basis: (amount, limit, unit, basis)."""
    if limit.basis == "drink":  # 1 kg per litre: a syrup drink is denser, so this is the high side
        return mg / serving.drink_ml * 1000, limit.value, "mg/kg", "per kg of drink"
    if limit.basis == "litre":
        return mg / serving.drink_ml * 1000, limit.value, "mg/l", "per litre of drink"
    if limit.basis == "syrup":
        per_kg = mg / serving.serving_g * 1000 if serving.serving_g else 0.0
        return per_kg, limit.value, "mg/kg", "per kg of syrup"
    value = limit.value * (serving.body_kg if limit.basis.endswith("per-kg") else 1.0)
    when = "per day" if limit.basis.startswith("day") else "per serving"
    return mg, value, "mg", when


def _limit_findings(
    amounts: Mapping[str, float],
    used: Sequence[Portion],
    serving: Serving,
    flavourings_added: bool,
) -> list[Finding]:
    t = tables()
    found: list[Finding] = []
    for substance, mg in sorted(amounts.items()):
        known = t.substances.get(substance)
        if known is None or mg <= 0:
            continue
        rows = _applying(substance, used, serving)
        for row in rows:
            amount, value, unit, basis = _measure(row, mg, serving)
            exempted = row.exempt and not flavourings_added
            level = _level(row.legal_force, amount / value, exempted)
            if level:
                text = _limit_text(known, row, mg, (amount, value, unit, basis), exempted)
                found.append(
                    Finding(
                        level,
                        "limit",
                        substance,
                        amount,
                        unit,
                        value,
                        row.jurisdiction,
                        basis,
                        row.who,
                        text,
                        (row.source_id,),
                        row.limit_id,
                    )
                )
        if not rows and mg >= SOME and substance != "caffeine":
            found.append(_unlimited(known, mg))
    return found


def _unlimited(known: Substance, mg: float) -> Finding:
    why = f" ({known.concern})" if known.concern else ""
    text = f"Up to {_number(mg)} mg {known.name}{why} per drink; no legal limit or intake is known."
    return Finding(
        "note",
        "limit",
        known.substance,
        mg,
        "mg",
        None,
        "",
        "per serving",
        "everyone",
        text,
        (),
        "",
    )


def _limit_text(
    known: Substance,
    row: Limit,
    mg: float,
    measured: tuple[float, float, str, str],
    exempted: bool,
) -> str:
    amount, value, unit, basis = measured
    share = f"{_number(100 * amount / value)} % of the {_number(value)} {unit}"
    if row.basis in ("drink", "syrup", "litre"):
        head = f"Up to {_number(amount)} {unit} {known.name} ({_number(mg)} mg per drink)"
    else:
        head = f"Up to {_number(amount)} mg {known.name} per drink"
    text = f"{head}, {share} {_FORCE[row.legal_force]} ({row.scope}; {row.jurisdiction}, "
    text += f"{row.provision})"
    if basis == "per day":
        text += f"; {_drinks(value / amount)} within it"
    if row.exempt:
        if exempted:
            text += (
                "; the law exempts food flavoured only with fresh, dried or frozen herbs and "
                "spices, so it is a prudential ceiling here"
            )
        else:
            text += "; added flavourings end the exemption for herbs and spices"
    return text + "."


_FORCE = {
    "law": "that the law allows",
    "label": "that ask for a label statement",
    "guidance": "of intake guidance",
    "prudential": "taken as a prudential ceiling",
    "report": "from which harm is reported",
}


def _drinks(count: float) -> str:
    if count >= 1000:
        return "more than 1000 drinks a day stay"
    whole = math.floor(count)
    if whole == 0:
        return "not even one drink a day stays"
    return f"{whole} drink{'s' if whole > 1 else ''} a day stay{'' if whole > 1 else 's'}"


def _hazard_findings(used: Sequence[Portion], foraged: Collection[str]) -> list[Finding]:
    found: dict[str, Finding] = {}
    for p in used:
        for h in (h for i in p.ids for h in hazards_for(i, p.form, p.kind)):
            level = h.severity
            if h.topic == "look-alike" and p.ingredient_id in foraged:
                level = "stop"
            elif h.topic == "dose" and level != "stop":
                level = "note"  # the computed amount carries the level
            known = found.get(h.hazard_id)
            if known is None or LEVELS.index(level) < LEVELS.index(known.level):
                found[h.hazard_id] = Finding(
                    level,
                    "hazard",
                    p.ingredient_id,
                    None,
                    "",
                    None,
                    "",
                    h.topic,
                    h.who,
                    h.text,
                    (h.source_id,),
                    h.hazard_id,
                )
    return list(found.values())


def _allergen_findings(used: Sequence[Portion], serving: Serving) -> list[Finding]:
    found: dict[tuple[str, str, str], Finding] = {}
    names = [(p.ingredient_id, i) for p in used for i in p.ids]
    names += [(serving.milk, serving.milk)] if serving.milk else []
    for subject, name in names:
        for a in allergens_for(name):
            legal = [x for x in a.lists if x in ("EU14", "US9")]
            if legal:
                where = " and ".join({"EU14": "EU", "US9": "US"}[x] for x in legal)
                text = f"Contains {a.word.upper()}, an allergen to declare in the {where}."
            else:
                text = f"{name.replace('-', ' ').capitalize()}: {a.word}; on no EU or US list, "
                text += "warn guests with that allergy."
            found.setdefault(
                (a.allergen, a.word, subject),
                Finding(
                    "caution", "allergen", subject, None, "", None,
                    " and ".join({"EU14": "EU", "US9": "US"}[x] for x in legal), "status",
                    f"people with {a.word} allergy" if legal else "people with that allergy",
                    text, (a.source_id,), f"{a.allergen}:{name}",
                ),
            )  # fmt: skip
    for p in used:
        if p.own and not p.plants:
            text = (
                f"Allergens NOT KNOWN for {p.ingredient_id.replace('-', ' ')}: ask the supplier "
                "before you serve or label it."
            )
            found[("unknown", "", p.ingredient_id)] = Finding(
                "limit", "allergen-unknown", p.ingredient_id, None, "", None, "", "status",
                "people with any allergy", text, (), "",
            )  # fmt: skip
    return list(found.values())


def _caffeine_findings(mg: float, from_plants: float, serving: Serving) -> list[Finding]:
    if mg <= 0:
        return []
    source = f" ({_number(from_plants)} mg of it from tea or cacao)" if from_plants > 0 else ""
    found: list[Finding] = []
    for g in tables().caffeine:
        if g.body != "EFSA" or (g.basis == "single" and g.group == "sleep" and mg < g.value):
            continue
        per_kg = g.unit.startswith("mg/kg")
        value = g.value * CHILD_KG if per_kg else g.value
        level = _caffeine_level(g, mg / value)
        text = f"Up to {_number(mg)} mg caffeine per drink{source}, "
        text += f"{_number(100 * mg / value)} % of the {_number(value)} mg "
        text += "at once" if g.basis == "single" else "a day"
        text += f" that {g.body} gives for {g.who}"
        if per_kg:
            text += f" ({g.value:g} mg per kg, a child of {CHILD_KG:g} kg)"
        if g.basis == "day":
            text += f"; {_drinks(value / mg)} within it, other coffee and tea not counted"
        when = "per day" if g.basis == "day" else "per serving"
        found.append(
            Finding(
                level,
                "caffeine",
                "caffeine",
                mg,
                "mg",
                value,
                g.body,
                when,
                g.who,
                text + ".",
                (g.source_id,),
                g.guidance_id,
            )
        )
    return found


def _caffeine_level(guidance: CaffeineGuidance, ratio: float) -> str:
    """A single dose over guidance is a limit; a whole day's caffeine in one drink is a stop."""
    if guidance.group == "sleep":
        return "note"
    if guidance.group == "children":  # no coffee drink is made for them: always worth saying
        return "caution" if ratio >= SOME else "note"
    if ratio > 1:
        return "stop" if guidance.group == "adults" and guidance.basis == "day" else "limit"
    return "caution" if ratio >= NEAR else "note"


def _alcohol_findings(serving: Serving) -> list[Finding]:
    percent = serving.alcohol_percent
    if percent <= 0:
        return []
    grams = serving.drink_ml * percent / 100 * ETHANOL_G_PER_ML
    row = next(h for h in tables().hazards if h.hazard_id == "alcohol-drinks")
    above = percent > ALCOHOLIC_PERCENT
    text = f"{percent:g} % alcohol by volume ({_number(grams)} g per drink), "
    text += f"{'above' if above else 'not above'} the 1.2 % from which an EU drink declares it; "
    text += "not for children, in pregnancy, before driving or for guests who avoid alcohol."
    return [
        Finding(
            "caution",
            "alcohol",
            "alcohol",
            percent,
            "% vol",
            ALCOHOLIC_PERCENT,
            "EU",
            "per drink",
            row.who,
            text,
            (row.source_id,),
            row.hazard_id,
        )
    ]


# --- look-ups -----------------------------------------------------------------------------


def hazards_for(ingredient_id: str, form: str = "", kind: str = "") -> tuple[Hazard, ...]:
    """Hazards of an ingredient, worst first.

    Parameters
    ----------
    ingredient_id, form, kind : str
        As in the catalogue; without a form, the rows of all its forms.
    """
    rows = [h for h in tables().hazards if h.concerns(ingredient_id, form, kind)]
    return tuple(sorted(rows, key=lambda h: LEVELS.index(h.severity)))


def allergens_for(name: str) -> tuple[Allergen, ...]:
    """Allergens of an ingredient, a milk or a subject, legal lists first."""
    rows = [a for a in tables().allergens if a.ingredient_id == name]
    return tuple(sorted(rows, key=lambda a: "cross-reaction" in a.lists))


def allergens_found(findings: Iterable[Finding], subject: str) -> tuple[Allergen, ...]:
    """The allergen rows behind the findings on one ingredient of a drink, legal lists first.

    Parameters
    ----------
    findings : iterable of Finding
        From :func:`assess`.
    subject : str
        Id of the ingredient or milk as it was weighed.
    """
    rows = [
        a
        for f in findings
        if f.code == "allergen" and f.subject == subject
        for a in allergens_for(f.row_id.split(":", 1)[1])
        if a.allergen == f.row_id.split(":", 1)[0]
        and (a.word.upper() in f.text or a.word in f.text)
    ]
    return tuple(sorted(dict.fromkeys(rows), key=lambda a: "cross-reaction" in a.lists))


@dataclass(frozen=True, slots=True)
class Rule:
    """The answer to a regulated plant, a poisonous one, or a thing no syrup should hold.

    Attributes
    ----------
    subject, name, botanical_name : str
    level : str
        The worst level of its lines.
    lines : tuple of str
        One sentence each, with jurisdiction or group, worst first.
    hazards : tuple of Hazard
    allergens : tuple of Allergen
    source_ids : tuple of str
    """

    subject: str
    name: str
    botanical_name: str
    level: str
    lines: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    allergens: tuple[Allergen, ...]
    source_ids: tuple[str, ...]

    @property
    def text(self) -> str:
        """All lines and the usual deferral."""
        return " ".join((*self.lines, DEFER))


def rule_for(name: str) -> Rule | None:
    """The rule for a regulated ingredient, or for a name that is no ingredient of the catalogue.

    Parameters
    ----------
    name : str
        An ingredient id (``"tonka-bean"``) or any name of a subject (``"Oleander"``,
        ``"prussic acid"``, ``"dry ice"``).

    Returns
    -------
    Rule or None
        None for an ordinary ingredient and for a name nobody knows.
    """
    t = tables()
    subject = t.subject_names.get(name)
    key = subject.subject_id if subject else name
    rules = t.rules.get(key, ())
    if subject is None and not rules:
        return None
    hazards = [h for h in t.hazards if h.subject == key or key in h.ingredient_ids]
    hazards.sort(key=lambda h: LEVELS.index(h.severity))
    levels = [r.level for r in rules] + [h.severity for h in hazards]
    allergens = allergens_for(key) if subject else ()
    lines = [f"{r.jurisdiction}: {r.text} ({r.provision})" for r in rules]
    lines += [f"{h.who}: {h.text}" if h.who != "everyone" else h.text for h in hazards]
    sources = [r.source_id for r in rules] + [h.source_id for h in hazards]
    if key == "coffee":
        lines += [
            f"{g.body}: caffeine, {g.value:g} {g.unit} ({g.basis}) for {g.who}." for g in t.caffeine
        ]
        sources += [g.source_id for g in t.caffeine]
    return Rule(
        key,
        subject.name if subject else key.replace("-", " ").capitalize(),
        subject.botanical_name if subject else "",
        min(levels, key=LEVELS.index) if levels else "note",
        tuple(lines),
        tuple(hazards),
        allergens,
        tuple(dict.fromkeys(sources)),
    )


def refusal(name: str) -> str:
    """Why a regulated plant is refused, in one short line: the first law and its number.

    Parameters
    ----------
    name : str
        A regulated ingredient's id, such as ``"tonka-bean"``.

    Returns
    -------
    str
        The first clause of the first row of ``rules.csv`` for it, its provision, and where to
        read the rest.
    """
    rules = tables().rules.get(name, ())
    more = f"see `pairing show {name}`"
    if not rules:
        return f"law bans or limits it; {more}"
    first = rules[0]
    clause = re.split(r"[;:.] ", first.text, maxsplit=1)[0].rstrip(".")
    return f"{first.jurisdiction}: {clause} ({first.provision}); {more}"


# --- a bar's own ingredients --------------------------------------------------------------

PARTS = frozenset({"leaf", "pit", "kernel"})  # an entry for one of these is not the whole plant


def _botanical(name: str) -> list[tuple[str, ...]]:
    """(genus, species) of a botanical name, its variety third; authors left out, ``x`` too.

    Several plants in one name (``A b / C. d``) give several; ``spp.`` gives the genus alone.
    """
    found: list[tuple[str, ...]] = []
    plain = re.sub(r"\([^)]*\)", " ", name.replace("×", " x "))
    for part in re.split(r"[/,;]| and ", plain):
        words = [w for w in normalise(part).split("-") if w not in ("", "x", "and")]
        if not words:
            continue
        if len(words[0]) == 1 and found:
            words[0] = found[-1][0]
        if len(words) == 1 or words[1] in ("spp", "sp"):
            found.append((words[0],))
        elif "var" in words[2:-1]:
            found.append((words[0], words[1], words[words.index("var", 2) + 1]))
        else:
            found.append((words[0], words[1]))
    return found


class _Shipped:
    """Shipped ingredients and plants of the rule tables by name and by botanical name."""

    def __init__(self, folder: Path) -> None:
        self.ingredients = load(folder).ingredients
        self.names: dict[str, list[str]] = defaultdict(list)
        self.plants: dict[tuple[str, ...], list[str]] = defaultdict(list)
        rows = [
            (i.ingredient_id, (i.name, *i.aliases), i.botanical_name)
            for i in self.ingredients.values()
        ]
        rows += [
            (s.subject_id, (s.name, *s.aliases), s.botanical_name)
            for s in tables().subjects.values()
            if s.kind in ("plant", "food", "substance")
        ]
        for ident, names, botanical in rows:
            for key in {normalise(n) for n in (ident, *names)}:
                self.names[key].append(ident)
            for plant in _botanical(botanical):
                self.plants[plant].append(ident)
        harmless = {p[0] for p, ids in self.plants.items() if not all(map(self.forbidden, ids))}
        for plant in [p for p in self.plants if len(p) == 1 and p[0] in harmless]:
            del self.plants[plant]  # a genus that also holds plants people eat says nothing

    def forbidden(self, ident: str) -> bool:
        """Whether an entry is a regulated ingredient or a subject that no syrup may hold."""
        if ident in self.ingredients:
            return self.ingredients[ident].regulated == "yes"
        rule = rule_for(ident)
        return rule is not None and rule.level == "stop"


@lru_cache(maxsize=4)
def _shipped(folder: Path) -> _Shipped:
    return _Shipped(folder)


def same_plant(catalog: Catalog, ingredient_id: str) -> tuple[str, ...]:
    """Shipped ingredients and subjects that an ingredient of a pantry is.

    Matched by id, name, alias and botanical name (genus and species, authors left out). A name
    decides between plants of one species (nutmeg and mace); where it does not, all count.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str

    Returns
    -------
    tuple of str
        Empty for a shipped ingredient, and for a plant that nobody here knows.
    """
    own = {i.ingredient_id: i for i in catalog.overlay.get("ingredients", ())}.get(ingredient_id)
    if own is None:
        return ()
    known = _shipped(catalog.folder)
    names = [normalise(n) for n in (own.ingredient_id, own.name, *own.aliases)]
    species: list[tuple[str, ...]] = []
    for plant in (p for text in (own.botanical_name, own.name, *own.aliases)
                  for p in _botanical(text)):  # fmt: skip
        species += [plant, plant[:2], plant[:1]]
    names += ["-".join(plant) for plant in species if len(plant) > 1]
    forms = catalog.forms_of.get(ingredient_id, ())
    texts = (own.botanical_name, *(f"{f.form} {f.label}" for f in forms))
    said = {w for n in (*names, *map(normalise, texts)) for w in n.split("-")}
    by_name = [i for n in names for i in known.names.get(n, ())]
    by_plant = [i for plant in species for i in known.plants.get(plant, ())]
    telling = [i for i in by_plant if set(normalise(i).split("-")) <= said]
    held = [
        i
        for key, ids in known.names.items()
        if len(key) > 3 and any(f"-{key}-" in f"-{n}-" for n in names if n not in known.names)
        for i in ids
        if known.forbidden(i)
    ]
    return tuple(
        i
        for i in dict.fromkeys([*by_name, *(telling or by_plant), *held])
        if not (PARTS & set(i.split("-"))) or PARTS & set(i.split("-")) & said
    )


def refuse_regulated(catalog: Catalog) -> None:
    """Refuse a pantry that brings a regulated or poisonous plant in under another name.

    Raises
    ------
    PairingError
        One line: the ingredient, the plant it is, and the law.
    """
    for own in catalog.overlay.get("ingredients", ()):
        if own.regulated == "yes":  # refused by every formula
            continue
        for ident in same_plant(catalog, own.ingredient_id):
            if _shipped(catalog.folder).forbidden(ident):
                law = tables().rules.get(ident)
                why = refusal(ident) if law else f"see `pairing show {ident}`"
                raise PairingError(
                    f"ingredients: {own.ingredient_id!r} is {ident.replace('-', ' ')}, which goes "
                    f"into no formula here: {why}"
                )


def portion(catalog: Catalog, form: Form, grams: float) -> Portion:
    """A weighed form as the safety engine takes it, known as the plant it is.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    grams : float
        In the whole batch, g.
    """
    return Portion(
        form.ingredient_id,
        form.form,
        grams,
        catalog.kind(form),
        same_plant(catalog, form.ingredient_id),
        usual_high(catalog, form),
        any(i.ingredient_id == form.ingredient_id for i in catalog.overlay.get("ingredients", ())),
    )


def usual_high(catalog: Catalog, form: Form) -> float | None:
    """High end of bar practice, g per kg of syrup: the shipped window where there is one."""
    if not catalog.overlay:
        return form.dose_high_g_per_kg
    shipped = load(catalog.folder)
    ids = {form.ingredient_id, *same_plant(catalog, form.ingredient_id)}
    windows = {f.form_id: f for i in ids for f in shipped.forms_of.get(i, ())}
    if form.form_id in windows:
        return windows[form.form_id].dose_high_g_per_kg
    same = [f for f in windows.values() if f.form == form.form] or list(windows.values())
    highs = [f.dose_high_g_per_kg for f in same if f.dose_high_g_per_kg]
    return max(highs, default=form.dose_high_g_per_kg)


# --- process ------------------------------------------------------------------------------

# An example command for each situation, for `commands_for` and the documentation.
SITUATIONS = {
    "formula": "pairing formula green-cardamom",
    "hot-steep": "pairing formula green-cardamom",
    "simmer": "pairing formula mandarin",
    "cold-steep": "pairing formula jasmine",
    "maceration": "pairing formula mandarin-peel",
    "stir-in": "pairing formula lemon-juice",
    "citrus": "pairing formula mandarin",
    "fruit-syrup": "pairing formula mandarin",
    "ground": "pairing formula green-cardamom",
    "potent": "pairing formula nutmeg",
    "bottle": "pairing formula green-cardamom",
    "store": "pairing formula green-cardamom",
    "drink": "pairing drink green-cardamom",
    "hot-drink": "pairing drink green-cardamom --style hot",
    "sparkling": "pairing drink green-cardamom --style sparkling",
    "milk": "pairing drink green-cardamom --style milk",
    "steamed": "pairing drink green-cardamom --style milk",
    "cold-brew": "pairing drink green-cardamom --style cold-brew",
}


def situations_of(
    portions: Sequence[Portion],
    methods: Collection[str] = (),
    drink_style: str = "",
    milk: str = "",
) -> frozenset[str]:
    """Situations of a formula or a drink, for :func:`process_cautions`.

    Parameters
    ----------
    portions : sequence of Portion
        Empty for a drink of a known syrup.
    methods : collection of str
        ``hot-steep``, ``simmer``, ``cold-steep``, ``maceration``, ``stir-in``.
    drink_style : str
        ``""`` for a formula; else a style of :class:`pairing.glass.drink.DrinkSpec`.
    milk : str
        Any milk in the drink; cautions of steaming go with the style ``milk``.
    """
    out = {m for m in methods if m in SITUATIONS}
    if portions:
        out |= {"formula", "bottle", "store"}
    if any(p.kind == "citrus" for p in portions):
        out.add("citrus")
    if any(p.kind == "citrus" and p.form in ("slice", "juice", "whole") for p in portions):
        out.add("fruit-syrup")
    if any(p.form in ("ground", "cracked") for p in portions):
        out.add("ground")
    dosed = ("limit", "caution", "stop")
    if any(
        h.topic == "dose" and h.severity in dosed
        for p in portions
        for h in hazards_for(p.ingredient_id, p.form, p.kind)
    ):
        out.add("potent")
    if drink_style:
        out |= {"drink", drink_style if drink_style in SITUATIONS else f"{drink_style}-drink"}
    if milk:
        out |= {"milk", "steamed"} if drink_style == "milk" else {"milk"}
    return frozenset(out & set(SITUATIONS))


def process_cautions(situations: Collection[str]) -> tuple[ProcessCaution, ...]:
    """Cautions of making, keeping and serving.

    Parameters
    ----------
    situations : collection of str
        Keys of ``SITUATIONS``, usually from :func:`situations_of`.

    Raises
    ------
    PairingError
        For an unknown situation.
    """
    unknown = set(situations) - set(SITUATIONS)
    if unknown:
        raise PairingError(
            f"unknown situation {sorted(unknown)[0]!r}; one of {', '.join(SITUATIONS)}"
        )
    return tuple(r for r in tables().process if set(r.situations) & set(situations))


def commands_for(row_id: str) -> tuple[str, ...]:
    """Command lines that print a hazard or a process caution.

    Raises
    ------
    PairingError
        When no such row exists.
    """
    t = tables()
    for h in t.hazards:
        if h.hazard_id == row_id:
            return (f"pairing show {h.ask}",)
    for c in t.process:
        if c.caution_id == row_id:
            return tuple(dict.fromkeys(SITUATIONS[s] for s in c.situations))
    raise PairingError(f"no hazard or process caution {row_id!r}; see hazards.csv")


# --- keeping ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FoodCodeClass:
    """Screening after the Food Code interaction tables.

    Attributes
    ----------
    result : str
        ``non-TCS`` or ``product-assessment`` (treat as needing temperature control).
    table : str
        ``A`` (heat-treated to kill vegetative cells, then packaged) or ``B``.
    text : str
        One plain paragraph, conservative.
    source_ids : tuple of str
    """

    result: str
    table: str
    text: str
    source_ids: tuple[str, ...]


def _inside(value: float, low: float, low_in: bool, high: float, high_in: bool) -> bool:
    above = value >= low if low_in else value > low
    below = value <= high if high_in else value < high
    return above and below


def food_code_class(aw: float, ph: float, heat_treated_packaged: bool = False) -> FoodCodeClass:
    """Does a syrup need time and temperature control for safety? A screening, no licence.

    Parameters
    ----------
    aw : float
        Water activity, above 0 and at most 1.
    ph : float
        pH, 0 to 14.
    heat_treated_packaged : bool
        True for Table A: heated to destroy vegetative cells and packaged against
        recontamination. A bottle filled on a bar counter belongs to Table B.

    Raises
    ------
    PairingError
        For values outside the tables.

    Notes
    -----
    FDA Food Code 2022, 1-201.10(B), definition of time/temperature control for safety food,
    Tables A and B.
    """
    if not (math.isfinite(aw) and 0 < aw <= 1):
        raise PairingError(f"water activity is {aw:g}; it must be above 0 and at most 1")
    if not (math.isfinite(ph) and 0 <= ph <= 14):
        raise PairingError(f"pH is {ph:g}; it must be from 0 to 14")
    wanted = "A" if heat_treated_packaged else "B"
    cell = next(
        c
        for c in tables().food_code
        if c.table == wanted
        and _inside(aw, c.aw_from, c.aw_from_closed, c.aw_to, c.aw_to_closed)
        and _inside(ph, c.ph_from, c.ph_from_closed, c.ph_to, c.ph_to_closed)
    )
    text = f"Food Code Table {wanted}, water activity {aw:.2f}, pH {ph:.1f}: "
    if cell.result == "non-TCS":
        text += (
            "no time and temperature control asked for against pathogens. Moulds and yeasts may "
            "still grow: keep it chilled at 5 °C or colder, date it, discard at any haze or gas. "
        )
    else:
        text += (
            "treat it as food that needs time and temperature control until a product assessment "
            "says otherwise: cool from 57 to 21 °C within 2 hours and to 5 °C within 6 hours in "
            "all, hold at 5 °C or colder, use within 7 days, the day of making being day one. "
        )
    return FoodCodeClass(cell.result, wanted, text + DEFER, (cell.source_id,))


def needs_control(aw: float, ph: float) -> bool:
    """Whether a bottle filled on a bar counter needs time and temperature control (Table B).

    Parameters
    ----------
    aw, ph : float
        As in :func:`food_code_class`; give the high end of an estimated pH.

    Raises
    ------
    PairingError
        For values outside the tables.
    """
    return food_code_class(aw, ph).result != "non-TCS"
