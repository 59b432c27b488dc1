"""Doses that the tool chose, held so that a drink stops at no limit of the law."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pairing.aroma.serve import Serve
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.safety import amounts
from pairing.safety.assess import assess
from pairing.syrup.dose import Dose

__all__ = ["legal_dose", "within_limits"]


def within_limits(catalog: Catalog, doses: Sequence[Dose], glass: Serve) -> list[Dose]:
    """Doses that the tool chose, held so that a drink stops at no limit; given doses stay.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
        What was chosen.
    glass : Serve
        The drink it is for.

    Returns
    -------
    list[Dose]
    """
    held = list(doses)
    contents = amounts.contents_of(catalog)
    names = catalog.safety.substances
    content = {
        d.form.form_id: amounts.highest(contents, amounts.portion(catalog, d.form, d.g_per_kg))
        for d in doses
    }
    for _ in range(len(names)):  # each pass ends one stop, a substance can meet several limits
        stop = next(
            (
                f
                for f in assess(catalog,
                    [amounts.portion(catalog, d.form, d.g_per_kg) for d in held],
                    amounts.Serving(1000.0, glass.syrup_g, glass.drink_ml),
                    contents,
                )
                if f.level == "stop" and f.code == "limit" and f.limit and f.amount
                and any(
                    d.level != "given" and content[d.form.form_id].get(f.subject) for d in held
                )
            ),
            None,
        )  # fmt: skip
        if stop is None:
            return held
        loads = [d.g_per_kg * content[d.form.form_id].get(stop.subject, 0.0) for d in held]
        fixed = sum(x for x, d in zip(loads, held, strict=True) if d.level == "given")
        free = sum(loads) - fixed
        room = sum(loads) / stop.ratio - fixed
        if room <= 0:  # the doses that you gave pass it alone: the stop is told, not hidden
            return held
        factor = 0.999 * room / free
        body = stop.jurisdiction
        word = f"held at the limit for {names[stop.subject].name} ({body})"
        held = [
            replace(d, g_per_kg=d.g_per_kg * factor, bound=word)
            if d.level != "given" and x > 0
            else d
            for d, x in zip(held, loads, strict=True)
        ]
    return held


ABOVE_ALL = 1000.0  # g/kg: as much as a syrup can hold, so that every limit is met


def legal_dose(catalog: Catalog, form: Form, glass: Serve) -> tuple[float, str] | None:
    """The dose at which the law would stop a drink of this ingredient alone.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` decides whose law counts.
    form : Form
    glass : Serve
        The drink it is for.

    Returns
    -------
    tuple of (float, str) or None
        Grams per kg of syrup, and of which substance and whose law; None where no limit on file
        is reached, which is not the same as a dose that is safe.
    """
    used = [amounts.portion(catalog, form, ABOVE_ALL)]
    serving = amounts.Serving(1000.0, glass.syrup_g, glass.drink_ml)
    found = assess(catalog, used, serving, amounts.contents_of(catalog))
    met = [f for f in found if f.level == "stop" and f.code == "limit" and f.ratio > 0]
    if not met:
        return None
    nearest = max(met, key=lambda f: f.ratio)
    name = catalog.safety.substances[nearest.subject].name
    return ABOVE_ALL / nearest.ratio, f"{name}, {nearest.jurisdiction}"
