"""What an ingredient leaves in the glass, as it is tasted: infused, sweet and sour, by mouth.

The amounts are those that the infusion brings into the syrup (:mod:`pairing.aroma.infusion`),
thinned to the reference drink. The thresholds are by mouth in a sweet citrus drink
(``Axis.glass_best``): retronasal where one was measured, times the rise from water to juice where
one was measured, and as by nose in water where neither was.

References
----------
.. [1] Plotto A, Margaria CA, Goodner KL, Goodrich R, Baldwin EA. Odour and flavour thresholds for
   key aroma components in an orange juice matrix: terpenes and aldehydes. Flavour Fragr. J. 19,
   491-498 (2004), doi 10.1002/ffj.1470 (abstract read).
"""

from __future__ import annotations

import numpy as np

from pairing.aroma.infusion import Infusion, infuse
from pairing.aroma.odour import (
    AUDIBLE,
    DRINK_ML,
    SYRUP_G,
    Array,
    Odour,
    axis,
    backed,
    cited,
    leading_groups,
    usual_dose,
)
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Form

__all__ = ["AUDIBLE_LOUDNESS", "NO_DOSE_G_PER_KG", "glass_oav", "led_by", "served"]

AUDIBLE_LOUDNESS = float(np.log10(1.0 + AUDIBLE))  # of a group whose OAVs add up to one
NO_DOSE_G_PER_KG = 10.0  # for a form without a dose window, so that it can be shown at all


@once_per_catalog
def _usual(catalog: Catalog, form: Form) -> Infusion:
    return infuse(catalog, form, usual_dose(form) or NO_DOSE_G_PER_KG)


@once_per_catalog
def glass_oav(catalog: Catalog, form: Form) -> Array:
    """OAVs of a form at its usual dose in the reference drink, by mouth.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    (n_compounds,) array
        Dimensionless; zero where no amount or no threshold is known.
    """
    ax = axis(catalog)
    ug_per_l = _usual(catalog, form).best * SYRUP_G / DRINK_ML * 1e3
    with np.errstate(invalid="ignore"):
        oav = np.minimum(ug_per_l, 1e3 * ax.solubility) / ax.glass_best
    return np.asarray(np.nan_to_num(oav))


def served(catalog: Catalog, form: Form) -> tuple[Odour, ...]:
    """Odorants of a usual dose in the reference drink, loudest by mouth first.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    tuple of Odour
        ``mg_per_kg_low`` and ``mg_per_kg_high`` are of the finished syrup; the ends of the OAV
        take amount and threshold as independent. A family estimate never
        comes before the first known odorant of its group. Silent compounds come last, OAV 0.
    """
    ax = axis(catalog)
    made = _usual(catalog, form)
    thinned = SYRUP_G / DRINK_ML * 1e3
    most = 1e3 * ax.solubility
    low, best, high = (np.minimum(a * thinned, most) for a in (made.low, made.best, made.high))
    with np.errstate(invalid="ignore", divide="ignore"):
        middle = np.nan_to_num(best / ax.glass_best)
        # amount and threshold err on their own: their decades are added as squares
        below = np.hypot(np.log10(best / low), np.log10(ax.glass_high / ax.glass_best))
        above = np.hypot(np.log10(high / best), np.log10(ax.glass_best / ax.glass_low))
        least = np.nan_to_num(middle * 10.0**-below)
        top = np.nan_to_num(middle * 10.0**above)
    top = np.where(best > 0, top, np.nan_to_num(high / ax.glass_best))
    sources = cited(catalog, form)
    found = [
        Odour(
            ax.compounds[j],
            ax.groups[ax.group_of[j]],
            float(made.low[j]),
            float(made.high[j]),
            float(least[j]),
            float(middle[j]),
            float(top[j]),
            ax.standing[j],
            sources.get(ax.compounds[j], ()),
        )
        for j in np.flatnonzero(made.high > 0).tolist()
    ]
    heard = backed(ax, middle)

    def place(o: Odour) -> tuple[float, bool, str]:
        return -float(heard[ax.position[o.compound_id]]), o.standing == "estimate", o.compound_id

    return tuple(sorted(found, key=place))


def led_by(catalog: Catalog, form: Form, count: int = 3) -> list[tuple[str, float]]:
    """Loudest aroma groups of a usual dose in the glass, ``(group_id, loudness)``.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    count : int
        How many groups at most.

    Returns
    -------
    list of (str, float)
        Group ids with loudness ``log10(1 + OAV)``, loudest first.
    """
    return leading_groups(axis(catalog), glass_oav(catalog, form), count)
