"""The plan: what goes in when, how hot, how long, what it should look like, when to stop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pairing import ratio
from pairing.catalog import Catalog, Form, Sweetener

if TYPE_CHECKING:
    from pairing.formula import Dose

__all__ = ["grams_word", "preparation", "steps"]


def grams_word(grams: float) -> str:
    """Grams as a kitchen scale shows them: 0.1 g below 20 g, whole grams above."""
    if grams < 0.95:
        return f"{grams:.2f} g"
    return f"{grams:.1f} g" if grams < 20 else f"{grams:,.0f} g"


PREPARATION = {  # common practice, no source
    "slice": "scrub under hot water, dry, slice 5 mm thick with the peel on, pick out the pips",
    "peel": "scrub under hot water, dry, pare strips of coloured peel without white pith",
    "zest": "scrub under hot water, dry, grate only the coloured skin",
    "juice": "press, strain out the pips; press at the last moment",
    "cracked": "crush lightly so that it opens, do not grind",
    "ground": "have a fine cloth or paper filter ready: it clouds the syrup",
    "whole": "leave whole",
    "fresh": "rinse, pat dry, bruise gently",
    "leaf": "rinse, pat dry, bruise gently",
    "flower": "shake out, pick off green parts",
    "roasted": "chop roughly",
    "raw": "chop roughly",
}


def preparation(form: Form) -> str:
    """How to prepare a form."""
    return PREPARATION.get(form.form, "weigh")


def _span(minutes: float) -> str:
    if minutes >= 180:
        return f"{minutes / 60:.0f} hours"
    return f"{minutes:.0f} minutes"


def steps(
    catalog: Catalog,
    doses: Sequence[Dose],
    batch: ratio.Batch,
    sweetener: Sweetener,
    grams: Mapping[str, float],
) -> list[str]:
    """Steps of a batch, in order, for a person.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
    batch : ratio.Batch
    sweetener : Sweetener
    grams : mapping
        Grams of each form in the batch.
    """

    def weighed(dose: Dose) -> str:
        form = dose.form
        count = ""
        if form.unit_mass_g and form.unit_name:
            pieces = grams[form.form_id] / form.unit_mass_g
            if pieces >= 0.2:
                shown = f"{pieces:.0f}" if pieces >= 4 else f"{pieces:.1f}".removesuffix(".0")
                count = f" (about {shown} x {form.unit_name})"
        return f"{grams_word(grams[form.form_id])} {form.label}{count}"

    def of(method: str) -> list[Dose]:
        return [d for d in doses if d.method == method]

    out = [
        "Weigh and prepare: "
        + "; ".join(f"{weighed(d)}: {preparation(d.form)}" for d in doses)
        + "."
    ]
    sugar, water = grams_word(batch.sugar_g), grams_word(batch.water_g)
    sugar_name = sweetener.name.lower()
    pan = f"{batch.cook.pan_diameter_cm:.0f}"
    macerated = of("maceration")
    if macerated:
        longest = max(d.minutes for d in macerated)
        names = " and ".join(d.form.label for d in macerated)
        out.append(
            f"Rub {names} into {sugar} {sugar_name}, cover and leave {_span(longest)} at room "
            "temperature until the sugar is damp and smells of the fruit."
        )
        out.append(
            f"Add {water} water, warm to 60 °C while stirring until no grain is left, and strain "
            "out the peel if nothing else is to be steeped."
        )
    elif batch.water_g > 0:
        out.append(
            f"Put {sugar} {sugar_name} and {water} water in a {pan} cm pan (at most half full). "
            "Warm to about 70-80 °C, stirring, until the liquid is clear and no grain is left on "
            "the spoon."
        )
    else:
        out.append(
            f"Put {sugar} {sugar_name} in a {pan} cm pan (at most half full): the fruit brings "
            "the water. Warm gently, stirring, until it has melted into the juice."
        )
    simmered, steeped = of("simmer"), sorted(of("hot-steep"), key=lambda d: -d.minutes)
    if simmered:
        names = " and ".join(d.form.label for d in simmered)
        time = max(d.minutes for d in simmered)
        out.append(
            f"Add {names}. Bring to a bare simmer (92-96 °C: small bubbles at the edge) and hold "
            f"{time:.0f} minutes, lid on, stirring now and then. Slices should turn glassy; the "
            "kitchen should smell of fruit, not of caramel. If it boils hard, turn down at once: "
            "hard boiling drives off the peel aroma."
        )
    if steeped:
        out.append(_steeping(steeped, bool(simmered)))
    cold = of("cold-steep")
    if cold:
        names = " and ".join(d.form.label for d in cold)
        out.append(
            f"Cool to below 8 °C, add {names}, cover and steep "
            f"{_span(max(d.minutes for d in cold))} in the refrigerator."
        )
    out.append(
        "Strain through a fine sieve (a cloth for ground spice). Let it drip; do not squeeze: "
        "squeezing gives haze and bitterness."
    )
    stirred = of("stir-in")
    if stirred:
        names = " and ".join(weighed(d) for d in stirred)
        out.append(f"Stir in {names} while the syrup is still above 75 °C.")
    out.append(
        f"Weigh it: {grams_word(batch.yield_g)} ({batch.yield_ml:,.0f} ml) is right, about "
        f"{batch.reading_brix:.0f} °Bx on a refractometer at 20 °C. Too heavy: simmer the excess "
        "off. Too light: add boiled water to the weight. Tastes thin: steep a second small dose of "
        "the spice 5 minutes rather than boiling on."
    )
    out.append(
        "Bottle hot into scalded bottles, close, cool fast in an ice bath (57 to 21 °C within 2 "
        "hours, to 5 °C within 4 more), label with name and date, refrigerate."
    )
    return out


def _steeping(steeped: Sequence[Dose], after_simmer: bool) -> str:
    """One sentence that puts each spice in so that all come out together."""
    longest = steeped[0].minutes
    lead = "Take off the heat" if after_simmer else "Heat to 90 °C and take off the heat"
    first = [d for d in steeped if d.minutes > 0.75 * longest]
    later = [d for d in steeped if d not in first]
    names = " and ".join(d.form.label for d in first)
    text = f"{lead}, add {names}, cover, and steep {_span(longest)} (80-90 °C falling)"
    for dose in later:
        text += f"; add {dose.form.label} for the last {dose.minutes:.0f} minutes"
    return text + ". Taste with a cool spoon from half-time on; stop early if it turns harsh."
