"""One engine: everything that law, poison, guidance and allergens say of a drink, or of a thing.

:func:`assess` is the one function. Without a serving it answers what is known of the
ingredients (list, show, check, suggest, graph); with one it adds the amounts of the drink
(formula, ratio, drink, label, score). The law of the catalogue's market decides a stop; other
markets get a note; while none is set the strictest decides, and the answer says whose law it is.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from pairing.evidence.catalog import Catalog
from pairing.evidence.poison_names import fold
from pairing.evidence.safety_rows import CaffeineGuidance, Hazard, Limit, Substance
from pairing.safety.allergens import allergen_findings
from pairing.safety.amounts import (
    Contents,
    Portion,
    Serving,
    check_amounts,
    contents_of,
    highest,
    of_one_plant,
)
from pairing.safety.answers import hazards_for
from pairing.safety.bought import flavourings, is_bought, is_flavouring
from pairing.safety.findings import DEFER, GRAVITY, Finding, in_order
from pairing.safety.findings import plain_number as _number
from pairing.safety.plants import called, identity, markets_of

__all__ = ["assess", "named_as_coffee"]

# Share of a limit from which a finding is worth its level (our choice, no source).
NEAR, SOME, TRACE = 0.5, 0.1, 0.01
REACHED = 1.0 - 1e-9  # a limit reached exactly is reached
ALCOHOLIC_PERCENT = 1.2  # Regulation (EU) No 1169/2011, art. 28: strength is declared above it
CHILD_KG = 30.0  # a child of about nine years, for the 3 mg/kg caffeine figure (our choice)
QUIET_CAFFEINE_MG = 30.0  # a decaf: no alarm (our choice, no source)
# A dose that no kitchen uses (our choice, no source): nobody has shown it to be safe.
FAR_TIMES_BAR = 10.0  # times the high end of bar practice
FAR_G_PER_KG = 300.0  # of finished syrup, of what is no citrus, juice, sweetener or fresh root
ADULT_KG = 60.0  # EFSA's default adult for acute doses here, as Serving.body_kg
TODDLER_KG = 12.0  # EFSA Scientific Committee, EFSA Journal 2012;10(3):2579 (from memory)
FEW_G = 1.0  # of a thing that reaches an acute dose: worth saying before any drink (our choice)
POISON_SHARE = 0.5  # of a mass reported as toxic, in one drink (our choice, no source)
ETHANOL_G_PER_ML = 0.789  # at 20 °C, CRC Handbook (from memory)
MARKET_WORDS = {"eu": "EU", "uk": "UK", "us": "US"}


def assess(
    catalog: Catalog,
    portions: Sequence[Portion],
    serving: Serving | None = None,
    contents: Contents | None = None,
    *,
    foraged: Collection[str] = frozenset(),
    flavourings_added: bool = False,
    unsulphured: bool | None = None,
) -> tuple[Finding, ...]:
    """Every limit, rule, hazard and allergen that ingredients, or a formula in its drink, touch.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` decides whose law stops; its pantry can tighten every table.
    portions : sequence of Portion
        Everything that goes in, sweeteners included, from
        :func:`pairing.safety.amounts.portion` and ``sweetener_portion``.
    serving : Serving, optional
        How much syrup goes into which drink, ml, g, mg; without it no amount is worked out.
    contents : callable, optional
        High-end contents; those of the catalogue when not given.
    foraged : collection of str
        Ingredients gathered, or bought without a named species: look-alikes become stops.
    flavourings_added : bool
        Whether extracts or flavourings go in too: the EU and UK exemption for herbs and spices
        then falls away.
    unsulphured : bool, optional
        Whether dried fruit and molasses are unsulphured by specification; None = not known.

    Returns
    -------
    tuple of Finding
        In the order of danger: stops, what is not known, allergens, guests who must not,
        figures, sourcing, kitchen, other markets.

    Raises
    ------
    PairingError
        For negative, zero or non-finite amounts, or an unknown milk.
    """
    found: list[Finding] = []
    contents = contents or contents_of(catalog)
    if serving is None:
        used = list(portions)
        found += _status(catalog, used, foraged)
        found += _held_findings(catalog, used, contents)
        found += allergen_findings(catalog, used, "", unsulphured)
        return in_order(_named(catalog, used, found))
    check_amounts(catalog, portions, serving)
    used = [p for p in portions if p.grams > 0]
    amounts: dict[str, float] = defaultdict(float)  # mg per drink
    for p in used:
        for substance, mg_per_kg in highest(contents, p, catalog.safety.certificates).items():
            amounts[substance] += serving.drink_g(p) * mg_per_kg / 1000
    own_caffeine = amounts.get("caffeine", 0.0)
    amounts["caffeine"] = own_caffeine + serving.caffeine_high_mg
    found += _status(catalog, used, foraged)
    found += _limit_findings(catalog, amounts, used, serving, flavourings_added)
    found += _held_findings(catalog, used, contents)
    found += _beyond_findings(catalog, used, serving)
    found += _poison_findings(catalog, used, serving)
    found += allergen_findings(catalog, used, serving.milk, unsulphured)
    found += _caffeine_findings(catalog, amounts["caffeine"], own_caffeine, serving)
    found += _alcohol_findings(catalog, serving)
    if any(f.code == "limit" for f in found):
        found.append(_basis_finding(serving))
    return in_order(_named(catalog, used, found))


def _named(catalog: Catalog, used: Sequence[Portion], found: list[Finding]) -> list[Finding]:
    """Findings on a bar's own things carry the bar's name for them."""
    own = {p.ingredient_id: called(catalog, p.ingredient_id) for p in used if p.own}
    return [replace(f, name=own[f.subject]) if f.subject in own else f for f in found]


def named_as_coffee(name: str) -> bool:
    """Whether the name of a drink says coffee or tea, in the languages of the catalogue.

    Parameters
    ----------
    name : str
        As on the menu.

    Returns
    -------
    bool

    Notes
    -----
    Regulation (EU) No 1169/2011, Annex III point 4.1: the name of the food includes coffee or tea;
    an espresso or a cappuccino names a coffee (common practice, no source).
    """
    said = set(fold(name).split("-"))
    return bool(said & _COFFEE_WORDS)


_COFFEE_WORDS = frozenset(
    [
        "coffee",
        "cafe",
        "caffe",
        "kaffee",
        "koffie",
        "espresso",
        "cappuccino",
        "latte",
        "americano",
        "macchiato",
        "mocha",
        "moka",
        "cortado",
        "ristretto",
        "lungo",
        "te",
        "tea",
        "the",
        "tee",
        "cha",
        "chai",
        "matcha",
    ]
)


def _status(catalog: Catalog, used: Sequence[Portion], foraged: Collection[str]) -> list[Finding]:
    """What holds whatever the amount: rules, hazards, what is not known, what a bar changed."""
    found = _rule_findings(catalog, used) + _hazard_findings(catalog, used, foraged)
    for p in used:
        known = identity(catalog, p.ingredient_id)
        if not known.assessed and not is_bought(catalog, p):
            missing = [
                what
                for what, there in (
                    ("a botanical_name", known.botanical_name or p.kind == "sweetener"),
                    ("a source_id", known.sourced),
                )
                if not there
            ]
            text = (
                f"{_said(catalog, p.ingredient_id)}: NOT ASSESSED here, which is "
                "not safe: poison, limits and medicines are not known, and its dose is the bar's "
                "own, not bar practice."
            )
            if missing:
                text += f" It needs {' and '.join(missing)}."
            found.append(Finding("limit", "unknown", p.ingredient_id, basis="status", text=text))
    for c in catalog.safety.certificates:
        if any(p.ingredient_id == c.ingredient_id for p in used):
            text = (
                f"{_said(catalog, c.ingredient_id)}: {c.substance} taken as "
                f"{_number(c.high_mg_per_kg)} mg/kg, per certificate {c.certificate}."
            )
            found.append(
                Finding("caution", "override", c.ingredient_id, basis="certificate", text=text)
            )
    loosened = catalog.safety.loosened
    if loosened and used:
        more = f" and {len(loosened) - 2} more" if len(loosened) > 2 else ""
        text = f"The shipped rows decide although {'; '.join(loosened[:2])}{more}."
        found.append(Finding("limit", "loosened", "safety tables", basis="status", text=text))
    return found


def _rule_findings(catalog: Catalog, used: Sequence[Portion]) -> list[Finding]:
    found = []
    for ident in dict.fromkeys(i for p in used for i in p.ids):
        for r in catalog.safety.rules.get(ident, ()):
            where = markets_of(r.jurisdiction)
            here = not where or not catalog.market or catalog.market in where
            law = r.jurisdiction.replace(";", " and ")
            text = f"{r.text} ({law}: {r.provision})" if here else f"Elsewhere ({law}): {r.text}"
            if r.evidence != "read":
                text += " To be confirmed."
            if here and r.level == "stop" and not catalog.market and len(where) in (1, 2):
                text += _SET_MARKET
            found.append(
                Finding(
                    r.level if here else "note", "regulated", r.subject,
                    jurisdiction=r.jurisdiction, basis="status", text=text,
                    source_ids=(r.source_id,), row_id=r.rule_id,
                )
            )  # fmt: skip
    return found


_SET_MARKET = " No market is set, so the strictest law decides: set yours (--market eu, uk or us)."


def _hazard_findings(
    catalog: Catalog, used: Sequence[Portion], foraged: Collection[str]
) -> list[Finding]:
    found: dict[str, Finding] = {}
    for p in used:
        for h in (h for i in p.ids for h in hazards_for(catalog, i, p.form, p.kind)):
            level = h.severity
            if h.topic == "look-alike" and p.ingredient_id in foraged:
                level = "stop"
            elif h.topic == "dose" and level != "stop":
                level = "note"  # the computed amount carries the level
            known = found.get(h.hazard_id)
            if known is None or GRAVITY.index(level) < GRAVITY.index(known.level):
                found[h.hazard_id] = Finding(
                    level, "hazard", p.ingredient_id, basis=h.topic, who=h.who, text=h.text,
                    source_ids=(h.source_id,), row_id=h.hazard_id,
                )  # fmt: skip
    return list(found.values())


def _beyond_findings(catalog: Catalog, used: Sequence[Portion], serving: Serving) -> list[Finding]:
    """Doses far beyond food use: no limit may name them, and still nobody showed them safe."""
    found = []
    foods = [p for p in used if p.kind != "sweetener" and not is_bought(catalog, p)]
    for group in of_one_plant(foods):
        per_kg, share = 0.0, 0.0  # in all, and as a part of what each form may have
        highs = [p.usual_high_g_per_kg for p in group]
        for p, high in zip(group, highs, strict=True):
            limit = FAR_TIMES_BAR * high if high else math.inf
            fresh = p.kind == "citrus" or p.form == "juice" or (p.kind, p.form) == ("root", "fresh")
            if not fresh:
                limit = min(limit, max(FAR_G_PER_KG, high or 0.0))
            each = serving.g_per_kg(p)
            per_kg += each
            share += each / limit
        if share <= 1.0 + 1e-9:
            continue
        first, high = group[0], highs[0] if len(group) == 1 else None
        usual = f", {_number(per_kg / high)} times the high end of bar practice" if high else ""
        where = f"at {per_kg:,.0f} g per kg of syrup"
        if all(p.in_drink for p in group):
            where = f"with {_number(sum(p.grams for p in group))} g in one drink"
        text = (
            f"{_said(catalog, first.ingredient_id)} {where}{usual}: far beyond food use, no one "
            "has shown this to be safe."
        )
        found.append(
            Finding(
                "stop", "beyond", first.ingredient_id, per_kg, "g/kg", per_kg / share,
                basis="far beyond food use", text=text,
            )
        )  # fmt: skip
    return found


def _poison_findings(catalog: Catalog, used: Sequence[Portion], serving: Serving) -> list[Finding]:
    """A drink that holds half of a reported toxic mass of an ingredient, or a batch with all.

    What is one plant is added up over its forms and own names before it is compared.
    """
    rows: dict[str, Hazard] = {}
    held: dict[str, list[Portion]] = defaultdict(list)
    for p in used:
        mine = {h.hazard_id: h for i in p.ids for h in hazards_for(catalog, i, p.form, p.kind)}
        for h in mine.values():
            if h.topic in ("dose", "toxic") and h.unit == "g" and h.value:
                rows[h.hazard_id] = h
                held[h.hazard_id].append(p)
    found: dict[str, Finding] = {}
    for key, h in rows.items():
        grams = sum(p.grams for p in held[key])
        drink = sum(serving.drink_g(p) for p in held[key])
        name = held[key][0].ingredient_id
        assert h.value is not None
        in_drink = drink >= POISON_SHARE * h.value * REACHED
        if name in found or not (in_drink or grams >= h.value * REACHED):
            continue
        level, where = ("stop", "One drink") if in_drink else ("limit", "This batch")
        amount = drink if in_drink else grams
        names = " and ".join(dict.fromkeys(called(catalog, p.ingredient_id) for p in held[key]))
        text = (
            f"{where} holds {amount:.2g} g {names}, {drink:.2g} g a drink. {h.text} Label the "
            "bottle, keep it from children."
        )
        found[name] = Finding(
            level, "poison", name, amount, "g", h.value, basis="batch", who=h.who, text=text,
            source_ids=(h.source_id,), row_id=h.hazard_id,
        )  # fmt: skip
    return list(found.values())


def _basis_finding(serving: Serving) -> Finding:
    text = (
        "Amounts are the worst case: high end of published contents, everything passing from "
        f"the solid into the syrup, an adult of {serving.body_kg:g} kg. {DEFER}"
    )
    return Finding("note", "basis", "worst case", text=text)


# --- figures ------------------------------------------------------------------------------


def _applying(
    catalog: Catalog, substance: str, used: Sequence[Portion], serving: Serving
) -> list[Limit]:
    """Limits of a substance that apply to this drink; a named plant's row beats a general one."""
    drink = "alcoholic" if serving.alcohol_percent > ALCOHOLIC_PERCENT else "non-alcoholic"
    kinds = {"any", drink} | (set() if serving.named_as_coffee else {"not-named-coffee"})
    present = {i for p in used for i in p.ids}
    rows = [
        r
        for r in catalog.safety.limits.get(substance, ())
        if r.basis != "ingredient"
        and r.applies_to in kinds
        and (not r.ingredient_ids or present & set(r.ingredient_ids))
    ]
    special = {(r.jurisdiction, r.basis, r.legal_force) for r in rows if r.ingredient_ids}
    return [
        r
        for r in rows
        if r.ingredient_ids or (r.jurisdiction, r.basis, r.legal_force) not in special
    ]


def _level(force: str, ratio: float, binds: bool) -> str | None:
    if not binds or force == "note":
        return "note" if ratio >= SOME else None
    if force == "label":
        return "caution" if ratio >= REACHED else None
    if force == "prudential":
        return "caution" if ratio >= REACHED else "note" if ratio >= SOME else None
    if ratio >= REACHED:
        return "stop"
    if ratio >= NEAR:
        return "limit"
    if ratio >= SOME:
        return "caution"
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
    catalog: Catalog,
    amounts: Mapping[str, float],
    used: Sequence[Portion],
    serving: Serving,
    flavourings_added: bool,
) -> list[Finding]:
    t = catalog.safety
    found: list[Finding] = []
    added = flavourings(used)
    known_ones = tuple(dict.fromkeys(p.ingredient_id for p in used if is_flavouring(p)))
    sure = flavourings_added or bool(known_ones)
    ending = _ending(catalog, known_ones if sure else added, sure)
    for substance, mg in sorted(amounts.items()):
        known = t.substances.get(substance)
        if known is None or mg <= 0:
            continue
        rows = _applying(catalog, substance, used, serving)
        for row in rows:
            measured = _measure(row, mg, serving)
            amount, value, unit, basis = measured
            where = markets_of(row.jurisdiction)
            # what a body of scientists says of a poison does not end at a border: only law does
            lawful = row.legal_force in ("law", "label")
            elsewhere = bool(lawful and catalog.market and where and catalog.market not in where)
            exempted = row.exempt and not (sure or added)
            binds = not (elsewhere or exempted)
            level = _level(row.legal_force, amount / value, binds)
            if level is None:
                continue
            if binds and row.legal_force != "note":
                if row.exempt and not sure and level == "stop":
                    level = "limit"  # whether the figure binds is the maker's to say
                text = _limit_text(known, row, mg, measured, ending)
                if level == "stop" and lawful and where and not catalog.market and len(where) < 3:
                    text += _SET_MARKET
            else:
                text = _note_text(known, row, amount / value, elsewhere, exempted)
            found.append(
                Finding(
                    level, "limit", substance, amount, unit, value, row.jurisdiction, basis,
                    row.who, text, (row.source_id,), row.limit_id,
                )
            )  # fmt: skip
        if not rows and mg >= SOME and substance != "caffeine":
            found.append(_unlimited(known, mg))
    return found


def _held_findings(catalog: Catalog, used: Sequence[Portion], contents: Contents) -> list[Finding]:
    """What the thing itself holds, whatever the drink: bitter almonds, kernels.

    Law that counts the ingredient, and an acute dose that less than a gram of it brings.
    """
    t = catalog.safety
    found: dict[tuple[str, str], Finding] = {}
    for p in used:
        for substance, held in highest(contents, p, t.certificates).items():
            known = t.substances.get(substance)
            for row in t.limits.get(substance, ()) if known and held > 0 else ():
                assert known is not None
                made = None
                if row.basis == "ingredient" and set(p.ids) & set(row.ingredient_ids):
                    made = _in_itself(catalog, p, known, row, held)
                elif row.basis.startswith("single") and row.legal_force != "note":
                    made = _grams_to(catalog, p, known, row, held)
                if made:
                    found.setdefault((p.ingredient_id, row.limit_id), made)
    return list(found.values())


def _in_itself(
    catalog: Catalog, p: Portion, known: Substance, row: Limit, held: float
) -> Finding | None:
    where = markets_of(row.jurisdiction)
    binds = not where or not catalog.market or catalog.market in where
    level = _level(row.legal_force, held / row.value, binds)
    if level is None:
        return None
    text = (
        f"{_said(catalog, p.ingredient_id)} holds up to {_number(held)} {row.unit} {known.name}, "
        f"{_times(held / row.value)} the {_number(row.value)} {row.unit} "
        f"{_FORCE[row.legal_force]} ({row.scope}; {row.jurisdiction.replace(';', ' and ')}, "
        f"{row.provision})."
    )
    # a lot at the high end is for the supplier's papers; the drink's own figure decides a stop
    level = "caution" if level in ("stop", "limit") else level
    return Finding(
        level, "limit", known.substance, held, row.unit, row.value, row.jurisdiction,
        "per kg of the ingredient", row.who, text + " Ask for the lot's analysis.",
        (row.source_id,), row.limit_id,
    )  # fmt: skip


def _grams_to(
    catalog: Catalog, p: Portion, known: Substance, row: Limit, held: float
) -> Finding | None:
    """The mass that reaches an acute dose, for an adult and a small child, where it is tiny."""
    per_kg = row.basis.endswith("per-kg")
    adult = row.value * (ADULT_KG if per_kg else 1.0)
    grams = adult / held * 1000.0
    if grams > FEW_G:
        return None
    text = (
        f"{_number(grams)} g of {called(catalog, p.ingredient_id)}, eaten, reaches the acute "
        f"figure of {known.name} for an adult of {ADULT_KG:g} kg ({_number(adult)} mg; "
        f"{row.jurisdiction}: {row.provision})"
    )
    if per_kg:
        text += f"; {_number(grams * TODDLER_KG / ADULT_KG)} g for a child of {TODDLER_KG:g} kg"
    return Finding(
        "limit", "limit", known.substance, adult, "mg", adult, row.jurisdiction,
        "in the ingredient", row.who, f"{text}. Keep it from children, leave none in the glass.",
        (row.source_id,), f"{row.limit_id}:in-itself",
    )  # fmt: skip


def _said(catalog: Catalog, ident: str) -> str:
    name = called(catalog, ident)
    return name[:1].upper() + name[1:]


def _unlimited(known: Substance, mg: float) -> Finding:
    why = f" ({known.concern})" if known.concern else ""
    text = f"Up to {_number(mg)} mg {known.name}{why} per drink; no legal limit or intake is known."
    return Finding("note", "limit", known.substance, mg, "mg", basis="per serving", text=text)


def _ending(catalog: Catalog, added: Sequence[str], sure: bool) -> str:
    """What ends the exemption for herbs and spices, or may end it."""
    names = " and ".join(called(catalog, i) for i in added) or "an extract or flavouring"
    if sure:
        return f"; {names}: added flavourings end the exemption for herbs and spices"
    return f"; it binds if {names} holds added flavourings: ask its maker, or leave one of them out"


def _limit_text(
    known: Substance,
    row: Limit,
    mg: float,
    measured: tuple[float, float, str, str],
    ending: str,
) -> str:
    amount, value, unit, basis = measured
    share = f"{_number(100 * amount / value)} % of the {_number(value)} {unit}"
    if row.basis in ("drink", "syrup", "litre"):
        head = f"Up to {_number(amount)} {unit} {known.name} ({_number(mg)} mg per drink)"
    else:
        head = f"Up to {_number(amount)} mg {known.name} per drink"
    law = ", ".join(w for w in (row.jurisdiction.replace(";", " and "), row.provision) if w)
    text = f"{head}, {share} {_FORCE[row.legal_force]} ({row.scope}; {law})"
    if basis == "per day":
        text += f"; {_drinks(value / amount)} within it"
    if row.exempt:
        text += ending
    text += "."
    if row.legal_force in ("law", "label") and row.evidence != "read":
        text += " To be confirmed."
    return text


def _note_text(known: Substance, row: Limit, ratio: float, elsewhere: bool, exempted: bool) -> str:
    """A figure that does not bind this food, in words."""
    law = row.jurisdiction.replace(";", " and ") or row.provision
    name = f"{known.name[:1].upper()}{known.name[1:]}"
    head = f"{name}: {_times(ratio)} the {law} figure for {row.scope}"
    if exempted:
        why = "which does not bind food flavoured only with fresh, dried or frozen herbs and spices"
    elif elsewhere:
        why = "which is not the law of your market"
    else:
        why = "which is not made for this food"
    return f"{head}, {why}."


def _times(ratio: float) -> str:
    """A multiple in words."""
    if ratio >= 100:
        return "more than a hundred times"
    if ratio >= 10:
        return "more than ten times"
    if ratio >= 1.5:
        return f"about {round(ratio)} times"
    if ratio >= 0.75:
        return "about as much as"
    if ratio >= 0.4:
        return "about half of"
    return "a part of"


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


# --- caffeine, alcohol --------------------------------------------------------------------


def _caffeine_findings(
    catalog: Catalog, mg: float, from_plants: float, serving: Serving
) -> list[Finding]:
    if mg <= 0:
        return []
    source = f" ({_number(from_plants)} mg of it from tea or cacao)" if from_plants > 0 else ""
    found: list[Finding] = []
    for g in catalog.safety.caffeine:
        if g.body != "EFSA" or (g.basis == "single" and g.group == "sleep" and mg < g.value):
            continue
        per_kg = g.unit.startswith("mg/kg")
        value = g.value * CHILD_KG if per_kg else g.value
        level = _caffeine_level(g, mg, mg / value)
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
                level, "caffeine", "caffeine", mg, "mg", value, g.body, when, g.who, text + ".",
                (g.source_id,), g.guidance_id,
            )
        )  # fmt: skip
    worst = min((f.level for f in found), key=GRAVITY.index, default="note")
    if worst != "note":
        low = min(serving.caffeine_low_mg + from_plants, mg)
        span = f"{low:.0f} to {mg:.0f}" if mg - low > 1 else f"{mg:.0f}"
        text = f"{span} mg caffeine a drink{source}; EFSA gives adults 200 mg at once and 400 mg a "
        text += "day, 200 mg a day in pregnancy; not for children."
        if worst == "limit":
            text += " A way out: a single shot, a smaller pour, or decaf."
        found.insert(
            0,
            Finding(
                worst, "caffeine", "caffeine", mg, "mg", 400.0, "EFSA", "per serving",
                "everyone", text, ("efsa-2015-caffeine",), "caffeine-of-the-drink",
            ),
        )  # fmt: skip
    return found


def _caffeine_level(guidance: CaffeineGuidance, mg: float, ratio: float) -> str:
    """Guidance warns, loudly where a drink passes it; coffee is not stopped for its caffeine."""
    if guidance.group == "sleep" or mg < QUIET_CAFFEINE_MG:
        return "note"
    if guidance.group == "children":  # no coffee drink is made for them: always worth saying
        return "caution" if ratio >= SOME else "note"
    if ratio >= REACHED:
        return "limit"
    return "caution" if ratio >= NEAR else "note"


def _alcohol_findings(catalog: Catalog, serving: Serving) -> list[Finding]:
    percent = serving.alcohol_percent
    if percent <= 0:
        return []
    grams = serving.drink_ml * percent / 100 * ETHANOL_G_PER_ML
    row = next(h for h in catalog.safety.hazards if h.hazard_id == "alcohol-drinks")
    above = percent > ALCOHOLIC_PERCENT
    text = f"{percent:g} % alcohol by volume ({_number(grams)} g per drink), "
    text += f"{'above' if above else 'not above'} the 1.2 % from which an EU drink declares it; "
    text += "not for children, in pregnancy, before driving or for guests who avoid alcohol; check "
    text += "age as your law says."
    return [
        Finding(
            "caution", "alcohol", "alcohol", percent, "% vol", ALCOHOLIC_PERCENT, "EU",
            "per drink", row.who, text, (row.source_id,), row.hazard_id,
        )
    ]  # fmt: skip
