"""What was asked of a syrup: the form that a name means, doses as quantities, batches too small."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeVar

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.safety.plants import refuse_plant
from pairing.syrup.quantities import Quantity, grams_of, parse_quantity

__all__ = [
    "SMALLEST_BATCH_G",
    "SMALLEST_SERVING_G",
    "Asked",
    "by_form",
    "dose_quantity",
    "form_of",
    "forms_of",
    "in_pot_g",
    "refuse_regulated_form",
    "refuse_tiny",
    "weight_g",
]

SMALLEST_BATCH_G = 20.0  # below it the pan loses more than it holds
SMALLEST_SERVING_G = 1.0  # of syrup in a drink; below it nobody can dose


class Asked(NamedTuple):
    """What was asked for single ingredients, by form id.

    Attributes
    ----------
    levels : dict of str to str
        How loud.
    doses : dict of str to Quantity
    techniques : dict of str to str
        How it is infused.
    minutes : dict of str to float
        How long.
    """

    levels: dict[str, str]
    doses: dict[str, Quantity]
    techniques: dict[str, str]
    minutes: dict[str, float]


T = TypeVar("T")


def by_form(
    catalog: Catalog, forms: Sequence[Form], given: Mapping[str, T] | None, what: str
) -> dict[str, T]:
    """Return wishes by form id.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form
        What goes in.
    given : mapping of str to object, optional
        Wishes by name.
    what : str
        What is wished: ``dose``, ``level`` ...

    Returns
    -------
    dict

    Raises
    ------
    PairingError
        For a wish for what is not in the formula.
    """
    ids = {f.form_id for f in forms}

    def named(name: str) -> str:
        form = catalog.weighed(name) if what == "dose" else catalog.form(name)
        return form.form_id if form.form_id in ids else form_of(catalog, name)[0].form_id

    found = {named(n): v for n, v in (given or {}).items()}
    for stray in set(found) - ids:
        raise PairingError(f"{stray} has a {what} but is not in the formula; add it")
    return found


def dose_quantity(form_id: str, said: float | str) -> Quantity:
    """Return a dose as a quantity.

    Parameters
    ----------
    form_id : str
    said : float or str
        Words, or grams per kilogram of finished syrup.

    Returns
    -------
    Quantity

    Raises
    ------
    PairingError
        For no amount, or more than 2000 g/kg.
    """
    if isinstance(said, str):
        return parse_quantity(said, form_id)
    if not 0 < said <= 2000:
        raise PairingError(f"{form_id}: {said:g} g/kg of syrup; give more than 0 and at most 2000")
    return Quantity(float(said), "g", per_kg=True)


def in_pot_g(catalog: Catalog, form: Form, asked: Asked) -> float | None:
    """Return the grams in the pot of a form, where they were said so.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    asked : Asked

    Returns
    -------
    float or None
        [g]; None for a dose per kilogram, and for none.
    """
    said = asked.doses.get(form.form_id)
    if said is None or said.per_kg:
        return None
    return weight_g(catalog, form, said)


def weight_g(catalog: Catalog, form: Form, said: Quantity) -> float:
    """Return what a quantity of a form weighs.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    said : Quantity

    Returns
    -------
    float
        [g], or per kilogram of syrup where it says so.

    Raises
    ------
    PairingError
        For a measure that nobody weighed.
    """
    ids = [form.form_id, form.ingredient_id]
    return grams_of(said, ids, catalog.household, form)


def refuse_tiny(grams: float) -> None:
    """Refuse a batch of which the pan keeps too much to know what is left.

    Parameters
    ----------
    grams : float
        Finished syrup [g].

    Raises
    ------
    PairingError
        Below the smallest batch.
    """
    if grams < SMALLEST_BATCH_G:
        raise PairingError(
            f"a batch of {grams:.3g} g; the smallest yield is {SMALLEST_BATCH_G:g} g, a pan keeps "
            "more than that to itself: make more and use a part of it"
        )


def forms_of(catalog: Catalog, names: Sequence[str]) -> tuple[list[Form], list[str]]:
    """Return the forms of names, and what was read into them.

    Parameters
    ----------
    catalog : Catalog
    names : sequence of str
        One to six.

    Returns
    -------
    (list of Form, list of str)

    Raises
    ------
    PairingError
        For none or too many, an unknown name, a repeated one, a regulated plant.
    """
    if not 1 <= len(names) <= 6:
        raise PairingError(
            f"{len(names)} plants; a syrup takes one to six, and powders beside them"
        )
    read = [form_of(catalog, n) for n in names]
    forms = [form for form, _ in read]
    seen: dict[str, str] = {}
    for name, form in zip(names, forms, strict=True):
        if form.form_id in seen:
            raise PairingError(f"{seen[form.form_id]} and {name} are the same thing; name it once")
        seen[form.form_id] = name
        refuse_regulated_form(catalog, form)
    return forms, [why for _, why in read if why]


def form_of(catalog: Catalog, name: str) -> tuple[Form, str]:
    """The form that a syrup takes of a name: the peel of a fruit whose pith turns bitter.

    Parameters
    ----------
    catalog : Catalog
    name : str
        As of `Catalog.form`; a fruit by its plain name is bergamot, lime or yuzu, slices of it are
        asked for as such.

    Returns
    -------
    (Form, str)
        The form, and what is said of the choice; empty where there was none.

    Raises
    ------
    UnknownNameError
        As `Catalog.form`.
    """
    form = catalog.form(name)
    if form.form != "slice" or form.method != "hot-steep" or "slice" in name.casefold():
        return form, ""
    peel = next((f for f in catalog.forms_of[form.ingredient_id] if f.form == "peel"), None)
    if peel is None:
        return form, ""
    fruit = catalog.ingredients[form.ingredient_id].name
    return peel, (
        f"{fruit} goes in as peel, off the heat: the pith of its slices turns bitter (for them say "
        f"{fruit.lower()} slices)"
    )


def refuse_regulated_form(catalog: Catalog, form: Form) -> None:
    """Refuse a form of a regulated plant.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Raises
    ------
    RefusedError
        With the law and its number.
    """
    refuse_plant(catalog, form.ingredient_id)
