"""Cooking: which pan a batch takes, what boils off, and how long acid and sugar are hot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pairing.aroma import infusion
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.syrup.brought import sap_of, stages_of
from pairing.syrup.dose import Dose
from pairing.syrup.pot import Cook

__all__ = ["KILL_STEP", "PANS", "USUAL_POT", "WIDEST_PAN_CM", "OwnPot", "cook_of", "hot_together"]

# Pan that a batch fits in, half full: (up to grams, diameter cm). Common practice, no source.
PANS = ((120.0, 9.0), (350.0, 14.0), (800.0, 16.0), (2000.0, 20.0), (4000.0, 24.0), (12000.0, 32.0))
WIDEST_PAN_CM, WIDEST_PAN_G = 45.0, 30_000.0  # about 23 l; more syrup takes more pans
KILL_STEP = ((1.0, 85.0), (10.0, 65.0))  # back to 85 °C, hot into bottles, cooled in water


@dataclass(frozen=True)
class OwnPot:
    """What a bar's own pot does beside what is usual; the journal learns it.

    Attributes
    ----------
    boil_off : float
        Water boiled off, times the usual, 0.2 to 5.
    straining : float
        Syrup lost with the solids, the strainer and the pan, times the usual, 0.2 to 5.
    words : str
        From how many batches.

    Raises
    ------
    PairingError
        For a factor out of range.
    """

    boil_off: float = 1.0
    straining: float = 1.0
    words: str = ""

    def __post_init__(self) -> None:
        for what, factor in (("boils off", self.boil_off), ("strains off", self.straining)):
            if not 0.2 <= factor <= 5:
                raise PairingError(f"a pot that {what} {factor:g} times the usual; give 0.2 to 5")

    def __str__(self) -> str:
        """One line."""
        return (
            f"counted with your own pot: it boils off {self.boil_off:.2f} times and loses in "
            f"straining {self.straining:.2f} times the usual{self.words}"
        )


USUAL_POT = OwnPot()


def pan_for(batch_g: float) -> tuple[float, int]:
    """Return the diameter [cm] and the number of pans that a batch takes, half full.

    Parameters
    ----------
    batch_g : float
        Rough size of the batch [g].

    Returns
    -------
    (float, int)
    """
    pan = next((cm for grams, cm in PANS if batch_g <= grams), WIDEST_PAN_CM)
    pans = math.ceil(batch_g / WIDEST_PAN_G) if WIDEST_PAN_G < batch_g < math.inf else 1
    return pan, pans


def hot_together(catalog: Catalog, doses: Sequence[Dose]) -> tuple[tuple[float, float], ...]:
    """Return how long acid and sugar are hot together in the plan of these doses.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose

    Returns
    -------
    tuple of (float, float)
        Minutes and temperature [°C], from where the first sour plant goes in to the sieve; then
        comes the `KILL_STEP`.
    """
    sour = [d for d in doses if sap_of(d.form).acid > 0 or "juice" in d.form.form]
    stages: list[tuple[float, float]] = []
    for method in ("simmer", "hot-steep"):  # in the order of the plan
        here = [d for d in sour if d.method == method]
        later = [d for d in doses if d.method == method] if stages else here
        if later:
            longest = max(later, key=lambda d: d.minutes)
            stages += stages_of(catalog, longest.form, method, longest.minutes)
    return tuple(stages)


def cook_of(catalog: Catalog, doses: Sequence[Dose], batch_g: float) -> Cook:
    """How the pot is cooked for these doses, with the water that each stage of the plan loses.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
    batch_g : float
        Rough size of the batch, g.

    Returns
    -------
    Cook
        An open simmer (the rate of any boiling down) with the known loss of the other stages:
        warming 3 min, simmer under a lid, the minute at the boil; a lid keeps the rest in.
    """
    pan, pans = pan_for(batch_g)
    simmer = max((d.minutes for d in doses if d.method == "simmer"), default=0.0)
    boiled = any(infusion.boiled_first(catalog, d.form, d.method) for d in doses)
    ajar = infusion.BOIL_MIN / 2.0 if boiled else 0.0  # a lid ajar loses the mean of open and shut
    stages = (
        Cook(minutes=3.0, heat="gentle", pan_diameter_cm=pan),
        Cook(minutes=simmer, heat="simmer", lid=True, pan_diameter_cm=pan),
        Cook(minutes=ajar, heat="boil", pan_diameter_cm=pan),
        Cook(minutes=ajar, heat="boil", lid=True, pan_diameter_cm=pan),
    )
    lost = pans * sum(c.minutes * c.grams_per_minute for c in stages)
    return Cook(heat="simmer", pan_diameter_cm=pan, pans=pans, evaporated_g=lost)
