"""Amounts: what an ingredient holds at most, and how much of it one drink brings.

Amounts are the worst case: the high end of published contents, and complete transfer from the
solid to the syrup. A bar's own analysis can raise a worst case; only a certificate lowers it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import UNIT_TO_MG_PER_KG
from pairing.evidence.rows import Form
from pairing.evidence.safety_rows import Certificate
from pairing.safety.plants import identity, usual_high

__all__ = [
    "Contents",
    "Portion",
    "Said",
    "Serving",
    "check_amounts",
    "contents_from",
    "contents_of",
    "highest",
    "milks",
    "of_one_plant",
    "portion",
    "sweetener_portion",
]

USUAL_SYRUP_G = 20.0  # in a drink, for which bar practice is given: common practice, no source
Contents = Callable[[str, str], Mapping[str, float]]
"""``(ingredient_id, form) -> {substance or compound id: high end, mg per kg of the form}``."""


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
        Shipped ingredients that a bar's own ingredient is.
    usual_high_g_per_kg : float or None
        High end of bar practice, g per kg of finished syrup; None for a plant nobody knows.
    own : bool
        A bar's own ingredient: what no table says of it is not known, never none.
    in_drink : bool
        ``grams`` go into one drink (dusted, as garnish, in its milk), not into the batch.
    """

    ingredient_id: str
    form: str
    grams: float
    kind: str = ""
    plants: tuple[str, ...] = ()
    usual_high_g_per_kg: float | None = None
    own: bool = False
    in_drink: bool = False

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
        Whether the name of the drink says coffee or tea (it then needs no EU or UK caffeine
        statement).
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

    def drink_g(self, p: Portion) -> float:
        """What one drink holds of a portion.

        Parameters
        ----------
        p : Portion

        Returns
        -------
        float
            [g].
        """
        return p.grams if p.in_drink else p.grams * self.serving_g / self.yield_g

    def g_per_kg(self, p: Portion) -> float:
        """A portion per kilogram of syrup; of the syrup of one drink for what goes into one.

        Parameters
        ----------
        p : Portion

        Returns
        -------
        float
            [g/kg].
        """
        if p.in_drink:  # measured against a usual serving where the drink has less syrup
            return 1000.0 * p.grams / max(self.serving_g, USUAL_SYRUP_G)
        return 1000.0 * p.grams / self.yield_g


@dataclass(frozen=True, slots=True)
class Said:
    """What only the bar knows of a drink.

    Attributes
    ----------
    alcohol_percent : float
        Alcohol of the drink, % by volume.
    flavourings_added : bool
        Whether an extract or a flavouring goes in too.
    unsulphured : bool or None
        Whether dried fruit and molasses are unsulphured by specification; None = not known.
    """

    alcohol_percent: float = 0.0
    flavourings_added: bool = False
    unsulphured: bool | None = None


def portion(catalog: Catalog, form: Form, grams: float = 0.0) -> Portion:
    """A weighed form as the safety engine takes it, known as the plant it is.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    grams : float
        In the whole batch, g.

    Returns
    -------
    Portion
    """
    known = identity(catalog, form.ingredient_id)
    return Portion(
        form.ingredient_id,
        form.form,
        grams,
        catalog.kind(form),
        known.plants,
        usual_high(catalog, form),
        known.own,
    )


def sweetener_portion(catalog: Catalog, sweetener_id: str, grams: float = 0.0) -> Portion:
    """A sweetener as the safety engine takes it.

    Parameters
    ----------
    catalog : Catalog
    sweetener_id : str
    grams : float
        In the whole batch, g.

    Returns
    -------
    Portion
    """
    known = identity(catalog, sweetener_id)
    return Portion(sweetener_id, "syrup", grams, "sweetener", known.plants, None, known.own)


def milks(catalog: Catalog) -> tuple[str, ...]:
    """Milks that a drink may hold.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    tuple of str
        Ids, such as ``"oat"``.
    """
    rows = catalog.safety.allergens
    return tuple(dict.fromkeys(a.ingredient_id for a in rows if a.note == "milk of the drink"))


def _positive(name: str, value: float, zero: bool = False) -> None:
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        least = "0 or more" if zero else "above 0"
        raise PairingError(f"{name} is {value:g}; it must be a finite number {least}")


def check_amounts(catalog: Catalog, portions: Sequence[Portion], serving: Serving) -> None:
    """Refuse amounts that are none.

    Parameters
    ----------
    catalog : Catalog
    portions : sequence of Portion
        Grams of 0 or more.
    serving : Serving
        Yield, drink and body weight above 0, the rest 0 or more.

    Raises
    ------
    PairingError
        For negative, zero or non-finite amounts, or an unknown milk.
    """
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
    known = milks(catalog)
    if serving.milk and serving.milk not in known:
        raise PairingError(f"unknown milk {serving.milk!r}; one of {', '.join(known)}")


# --- contents -----------------------------------------------------------------------------


def contents_from(catalog: Catalog, aroma: Contents) -> Contents:
    """Contents of legal substances, from aroma contents and ``constituents.csv``.

    Parameters
    ----------
    catalog : Catalog
    aroma : callable
        ``(ingredient_id, form) -> {compound_id: high end, mg per kg of the form as used}``.

    Returns
    -------
    callable
        The same shape with substance ids: the compounds of a substance are summed (alpha- and
        beta-thujone make thujone), then the highest of all sources is kept.
    """
    t = catalog.safety

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


def _in_form(catalog: Catalog, ingredient_id: str, form: str) -> dict[str, float]:
    share: dict[str, float] = {}
    forms = catalog.forms_of.get(ingredient_id, ())
    same = [f for f in forms if f.form == form]
    for record in same or forms:  # of a form that nobody analysed, the richest counts
        for m in catalog.form_materials.get(record.form_id, ()):
            share[m.material] = max(share.get(m.material, 0.0), m.percent_high / 100)
    most: dict[tuple[str, str], float] = {}
    for c in catalog.composition.get(ingredient_id, ()):
        if c.material in share:
            amount = share[c.material] * c.high * UNIT_TO_MG_PER_KG[c.unit]
            key = (c.material, c.compound_id)
            most[key] = max(most.get(key, 0.0), amount)
    out: dict[str, float] = defaultdict(float)
    for (_, compound_id), amount in most.items():
        out[compound_id] += amount
    return out


@once_per_catalog
def contents_of(catalog: Catalog) -> Contents:
    """Contents of legal substances in the forms of a catalogue.

    High end throughout: the highest share of the material in the form times the highest
    published amount of the compound in the material, summed over materials. What a pantry says
    can raise a shipped figure, not lower it.

    Parameters
    ----------
    catalog : Catalog
        An open data package.

    Returns
    -------
    callable
        From an ingredient's id and a form to mg per kg of each legal substance.
    """
    shipped = load(catalog.folder) if catalog.overlay else catalog

    def aroma(ingredient_id: str, form: str) -> Mapping[str, float]:
        out = dict(_in_form(catalog, ingredient_id, form))
        if shipped is not catalog and ingredient_id in shipped.ingredients:
            for compound_id, amount in _in_form(shipped, ingredient_id, form).items():
                out[compound_id] = max(out.get(compound_id, 0.0), amount)
        return out

    return contents_from(catalog, aroma)


def highest(
    contents: Contents, p: Portion, certified: Collection[Certificate] = ()
) -> dict[str, float]:
    """Contents of a portion under any of its ids, the highest of each, mg per kg.

    Parameters
    ----------
    contents : callable
    p : Portion
    certified : collection of Certificate
        Analyses that settle a substance of this very ingredient.

    Returns
    -------
    dict of str to float
        Substance to mg per kg of the portion; what is missing is not known.
    """
    out: dict[str, float] = {}
    for ingredient_id in p.ids:
        for substance, amount in contents(ingredient_id, p.form).items():
            out[substance] = max(out.get(substance, 0.0), amount)
    for c in certified:
        if c.ingredient_id == p.ingredient_id:
            out[c.substance] = c.high_mg_per_kg
    return out


def of_one_plant(used: Iterable[Portion]) -> list[list[Portion]]:
    """Portions that are one plant under any of their ids, together.

    Parameters
    ----------
    used : iterable of Portion

    Returns
    -------
    list of list of Portion
        Each portion in one group.
    """
    groups: list[list[Portion]] = []
    for p in used:
        same = [g for g in groups if any(set(p.ids) & set(q.ids) for q in g)]
        groups = [g for g in groups if g not in same]
        groups.append([*(q for g in same for q in g), p])
    return groups
