"""One word, one shape: the records that every JSON document is put together from.

Their JSON Schema is ``schemas/vocabulary.json``. A name ends in its unit; a range is an object
with ``low`` and ``high``; what is not known is ``null``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pairing.aroma.coffee import CoffeeBase
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form, Source, Tradition
from pairing.safety.amounts import portion
from pairing.safety.assess import assess
from pairing.safety.findings import Finding
from pairing.safety.plants import identity
from pairing.syrup.keeping import Stability
from pairing.syrup.step import Step

__all__ = [
    "Document",
    "caution",
    "coffee",
    "cost",
    "finding",
    "ingredient",
    "keeping",
    "model_name",
    "not_assessed",
    "not_known",
    "source",
    "span",
    "step",
    "stops",
    "tradition",
]

Document = Mapping[str, Any]
"""A result as ``--format json`` prints it."""


def span(low: Any, high: Any) -> dict[str, Any]:
    """A range; an end that is not known is None.

    Parameters
    ----------
    low, high : float or None
        In the unit that the key of the document ends in.

    Returns
    -------
    dict
    """
    return {"low": low, "high": high}


def model_name(catalog: Catalog) -> str | None:
    """The bar's own affinity model that scored, by its file; None for the shipped one.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    str or None
    """
    return catalog.model.stem if catalog.model else None


def coffee(base: CoffeeBase) -> dict[str, Any]:
    """A coffee: in words, then by the ids of the catalogue.

    Parameters
    ----------
    base : CoffeeBase

    Returns
    -------
    dict
    """
    said = base.coffee
    return {
        "words": said.words,
        "origin": said.origin,
        "process": said.process,
        "roast": said.roast,
        "brew": said.brew,
        "species": said.species,
        "variety": said.variety,
        "decaf": said.decaf,
        "notes": list(said.notes),
        "parts": [{"share": share, "words": part.spoken} for share, part in said.parts],
        "cups": base.tasted,
    }


def ingredient(catalog: Catalog, form: Form, **more: Any) -> dict[str, Any]:
    """An ingredient in one of its forms; ``more`` says what a document adds of it.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    **more
        Further keys.

    Returns
    -------
    dict
    """
    return {
        "id": form.form_id,
        "ingredient_id": form.ingredient_id,
        "name": form.label,
        "kind": catalog.ingredients[form.ingredient_id].kind,
        **more,
    }


def finding(f: Finding) -> dict[str, Any]:
    """One answer of the safety engine.

    Parameters
    ----------
    f : Finding

    Returns
    -------
    dict
    """
    return {
        "level": f.level,
        "code": f.code,
        "subject": f.subject,
        "amount": f.amount,
        "limit": f.limit,
        "unit": f.unit,
        "basis": f.basis,
        "jurisdiction": f.jurisdiction,
        "who": f.who,
        "text": f.text,
        "source_ids": list(f.source_ids),
    }


def stops(findings: Iterable[Finding]) -> list[str]:
    """Why it must not be served: first in every document that can hold one.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    list of str
    """
    return [f.text for f in findings if f.level == "stop"]


NOT_KNOWN = ("unknown", "loosened", "allergen-unknown")  # said before anything else


def not_known(findings: Iterable[Finding]) -> list[str]:
    """What nobody here knows of what goes in: right after the stops, in every document.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    list of str
        Empty where nothing of the kind was found, which is not safety.
    """
    return [f.text for f in findings if f.code in NOT_KNOWN]


def not_assessed(catalog: Catalog, forms: Sequence[Form]) -> list[str]:
    """What is not known of a bar's own plants: said before anything else.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form

    Returns
    -------
    list of str
        Empty where none of them is a bar's own.
    """
    own = [f for f in forms if identity(catalog, f.ingredient_id).own]
    return not_known(assess(catalog, [portion(catalog, f) for f in own])) if own else []


def caution(level: str, text: str, who: str = "", source_ids: Iterable[str] = ()) -> dict[str, Any]:
    """A sentence of care: its level, whom it is about, where it comes from.

    Parameters
    ----------
    level : str
        A level of a finding, or ``"allergen"``.
    text : str
    who : str
        Empty for everyone.
    source_ids : iterable of str
        Empty ids are left out.

    Returns
    -------
    dict
    """
    return {"level": level, "text": text, "who": who, "source_ids": [s for s in source_ids if s]}


def source(s: Source) -> dict[str, Any]:
    """Where a number comes from.

    Parameters
    ----------
    s : Source

    Returns
    -------
    dict
        ``year`` is None where the source has none.
    """
    return {
        "source_id": s.source_id,
        "citation": s.citation,
        "year": int(s.year) if str(s.year).isdigit() else None,
        "kind": s.kind,
        "licence": s.licence,
        "url": s.url,
    }


def tradition(t: Tradition) -> dict[str, Any]:
    """A drink that people have.

    Parameters
    ----------
    t : Tradition

    Returns
    -------
    dict
    """
    return {
        "id": t.tradition_id,
        "region": t.region,
        "name": t.name,
        "how": t.how,
        "source_ids": [t.source_id],
    }


def step(s: Step) -> dict[str, Any]:
    """A step of a plan: what is done with how much, how hot, how long, until what, what for.

    Parameters
    ----------
    s : Step

    Returns
    -------
    dict
    """
    return {
        "what": s.what,
        "ingredients": [{"name": name, "grams": grams} for name, grams in s.items],
        "temperature_range_c": span(*s.temperature_c) if s.temperature_c else None,
        "minutes": s.minutes,
        "until": s.until,
        "why": s.why,
        "text": str(s),
    }


def keeping(found: Stability) -> dict[str, Any]:
    """How a syrup keeps.

    Parameters
    ----------
    found : Stability

    Returns
    -------
    dict
    """
    return {
        "storage": found.storage,
        "days": found.days,
        "opened_days": found.opened_days,
        "whose_days": found.whose_days,
        "needs_cold_holding": found.controlled,
        "low_acid": found.low_acid,
        "water_activity": found.water_activity,
        "water_activity_high": found.water_activity_high,
        "ph_estimate": found.ph,
        "ph_uncertainty": found.ph_uncertainty,
        "ph_high": found.ph_high,
        "crystallises_below_c": found.crystallisation_temperature_c,
        "viscosity_4c_mpa_s": found.fridge.viscosity_mpa_s,
        "viscosity_20c_mpa_s": found.room.viscosity_mpa_s,
        "words": list(found.words),
    }


def cost(
    currency: str,
    batch: float,
    per_serving: float | None,
    missing: Iterable[str],
    text: str,
    per_kg: float | None = None,
) -> dict[str, Any]:
    """What a batch costs, and what has no price.

    Parameters
    ----------
    currency : str
    batch, per_serving, per_kg : float or None
        Money; None where it cannot be told.
    missing : iterable of str
        What has no price: the sums are then too low.
    text : str
        All of it in words.

    Returns
    -------
    dict
    """
    return {
        "text": text,
        "currency": currency,
        "batch": batch,
        "per_kg": per_kg,
        "per_serving": per_serving,
        "no_price_for": list(missing),
    }
