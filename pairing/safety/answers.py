"""What the tables say of a name: hazards of an ingredient, rules of a plant or a thing."""

from __future__ import annotations

from typing import NamedTuple

from pairing.evidence.catalog import Catalog
from pairing.evidence.safety_rows import Allergen, Hazard, Poison
from pairing.safety.allergens import allergens_for
from pairing.safety.findings import DEFER, GRAVITY, POISON_CENTRE
from pairing.safety.plants import poison_named

__all__ = ["Rule", "hazards_for", "rule_for"]


def hazards_for(
    catalog: Catalog, ingredient_id: str, form: str = "", kind: str = ""
) -> tuple[Hazard, ...]:
    """Hazards of an ingredient, worst first.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id, form, kind : str
        As in the catalogue; without a form, the rows of all its forms.

    Returns
    -------
    tuple of Hazard
        Empty where the table has no row: no hazard is known, never none.
    """
    rows = [h for h in catalog.safety.hazards if h.concerns(ingredient_id, form, kind)]
    return tuple(sorted(rows, key=lambda h: GRAVITY.index(h.severity)))


class Rule(NamedTuple):
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


def rule_for(catalog: Catalog, name: str) -> Rule | None:
    """The rule for a regulated ingredient, or for a name that is no ingredient of the catalogue.

    Parameters
    ----------
    catalog : Catalog
    name : str
        An ingredient id (``"tonka-bean"``) or any name of a subject (``"Oleander"``,
        ``"prussic acid"``, ``"dry ice"``).

    Returns
    -------
    Rule or None
        None for an ordinary ingredient and for a name nobody knows.
    """
    t = catalog.safety
    subject = t.subject_names.get(name)
    key = subject.subject_id if subject else name
    rules = sorted(t.rules.get(key, ()), key=lambda r: GRAVITY.index(r.level))
    if subject is None and not rules:
        poison = poison_named(catalog, name) if name not in catalog.ingredients else None
        return _of_poison(name, poison) if poison else None
    hazards = [h for h in t.hazards if h.subject == key or key in h.ingredient_ids]
    hazards.sort(key=lambda h: GRAVITY.index(h.severity))
    levels = [r.level for r in rules] + [h.severity for h in hazards]
    allergens = allergens_for(catalog, key) if subject else ()
    lines = [
        ": ".join(w for w in (r.jurisdiction.replace(";", " and "), r.text) if w)
        + f" ({r.provision})"
        + ("" if r.evidence == "read" else " To be confirmed.")
        for r in rules
    ]
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
        min(levels, key=GRAVITY.index) if levels else "note",
        tuple(lines),
        tuple(hazards),
        allergens,
        tuple(dict.fromkeys(sources)),
    )


def _of_poison(name: str, row: Poison) -> Rule:
    return Rule(
        row.poison_id,
        name.strip().capitalize(),
        " / ".join(row.genus),
        "stop",
        (row.text, POISON_CENTRE),
        (),
        (),
        (row.source_id,),
    )
