"""One record class for each safety table: field order is column order."""

from typing import NamedTuple

__all__ = [
    "Allergen",
    "AllergenKind",
    "AllergenName",
    "CaffeineGuidance",
    "Certificate",
    "Constituent",
    "FoodCodeCell",
    "Hazard",
    "Limit",
    "PlantRule",
    "Poison",
    "ProcessCaution",
    "Stated",
    "Subject",
    "Substance",
]


class Substance(NamedTuple):
    """A regulated or risky substance; ``compound_ids`` are the odorants that add up to it."""

    substance: str
    name: str
    compound_ids: tuple[str, ...]
    cas: str
    concern: str


class Limit(NamedTuple):
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


class PlantRule(NamedTuple):
    """What the law of one jurisdiction says of a plant or a pure substance."""

    rule_id: str
    subject: str
    level: str
    jurisdiction: str
    text: str
    provision: str
    source_id: str
    evidence: str


class Subject(NamedTuple):
    """A name that somebody may ask for and that is no ingredient of the catalogue."""

    subject_id: str
    name: str
    aliases: tuple[str, ...]
    botanical_name: str
    kind: str
    source_id: str
    evidence: str


class CaffeineGuidance(NamedTuple):
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


class FoodCodeCell(NamedTuple):
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


class Constituent(NamedTuple):
    """A published amount of a substance in an ingredient, mg per kg."""

    ingredient_id: str
    form: str
    substance: str
    low_mg_per_kg: float
    high_mg_per_kg: float
    source_id: str
    evidence: str
    note: str


class Hazard(NamedTuple):
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
        """Whether the row belongs to this ingredient in this form.

        Parameters
        ----------
        ingredient_id : str
            Empty where only the kind is known.
        form : str
            Such as ``"ground"``; empty for any form.
        kind : str
            Kind of ingredient; empty when not known.

        Returns
        -------
        bool
        """
        named = bool(ingredient_id) and ingredient_id in (*self.ingredient_ids, self.subject)
        named = named or bool(kind and kind in self.kinds)
        return named and (not self.forms or not form or form in self.forms)


class Allergen(NamedTuple):
    """An allergen of an ingredient or milk; ``lists`` holds EU14, US9, cross-reaction, other."""

    allergen: str
    ingredient_id: str
    lists: tuple[str, ...]
    word: str
    source_id: str
    evidence: str
    note: str


class ProcessCaution(NamedTuple):
    """A caution that goes with a step of making, keeping or serving."""

    caution_id: str
    situations: tuple[str, ...]
    hazard: str
    text: str
    value: float | None
    unit: str
    source_id: str
    evidence: str


class Poison(NamedTuple):
    """A genus (or one species) that no drink may hold, with names that people give it.

    ``species`` limits the row to those species; ``eaten`` lists species of the genus that are
    food. ``kind`` is ``poison``, ``medicine`` (acts as one) or ``banned``.
    """

    poison_id: str
    genus: tuple[str, ...]
    species: tuple[str, ...]
    eaten: tuple[str, ...]
    names: tuple[str, ...]
    kind: str
    text: str
    source_id: str
    evidence: str


class AllergenKind(NamedTuple):
    """One allergen that a law lists (or guests ask for), and the word that declares it."""

    key: str
    allergen: str
    word: str
    lists: tuple[str, ...]
    source_id: str
    evidence: str
    note: str


class AllergenName(NamedTuple):
    """A name that holds an allergen, in any language; none at all for a name that misleads."""

    phrase: str
    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    language: str
    source_id: str
    evidence: str
    note: str


class Stated(NamedTuple):
    """What a bar states of an own ingredient or sweetener: allergen keys, and on whose word.

    Attributes
    ----------
    ingredient_id : str
    allergens : tuple of str
        Keys of the allergens; empty where the supplier states that there is none.
    specification : str
        Whose word it is: a supplier's sheet, or the bar's own notes.
    """

    ingredient_id: str
    allergens: tuple[str, ...]
    specification: str


class Certificate(NamedTuple):
    """An analysis by which a bar lowers a worst case, printed wherever it is used.

    Attributes
    ----------
    ingredient_id, substance : str
    high_mg_per_kg : float
        Highest content found, mg per kg of the ingredient.
    certificate : str
        Its number or name.
    """

    ingredient_id: str
    substance: str
    high_mg_per_kg: float
    certificate: str
