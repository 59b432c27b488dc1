"""A batch with what heat and acid do to its sugar: solved, inverted, and solved again."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from pairing.syrup.balance import Batch, solve
from pairing.syrup.composition import Blend, Masses, Sweetening
from pairing.syrup.inversion import Inverted, inverted_by
from pairing.syrup.pot import Cook

__all__ = ["HEAT_C", "granulates", "solve_cooked"]

WORTH_COUNTING = 1e-4  # share of the sucrose
# How warm a pot is at each heat [°C]: common practice, no source
HEAT_C: dict[str, float] = {"steep": 75.0, "gentle": 88.0, "simmer": 97.0, "boil": 103.0}
# Glucose : water from which honey granulates, slowly and soon. White (1962), USDA Tech. Bull.
# 1261: below 1.7 it stays liquid, above 2.1 it granulates; from memory
STAYS_LIQUID, GRANULATES_SOON = 1.7, 2.1


def solve_cooked(
    sweetener: Sweetening | Blend,
    stages: Sequence[tuple[float, float]],
    cook: Cook,
    *,
    late: Collection[str] = (),
    late_stages: Sequence[tuple[float, float]] = (),
    **knowns: Any,
) -> tuple[Batch, Inverted]:
    """Return the batch that fits what is known, inversion by the heat of its own plan counted.

    Parameters
    ----------
    sweetener : Sweetening or sequence of (Sweetening, share)
        The sweetener, or a blend by mass shares.
    stages : sequence of (float, float)
        Minutes and temperature [°C] that acid and sugar are hot together.
    cook : Cook
        How it is cooked; its own `inverted` is replaced.
    late : collection of str
        Names of the portions that go in after the cooking: their acid meets `late_stages` alone.
    late_stages : sequence of (float, float)
        What follows them.
    **knowns
        As of `balance.solve`.

    Returns
    -------
    (Batch, Inverted)

    Raises
    ------
    PairingError
        As `balance.solve`.
    """

    def inverted(made: Batch) -> Inverted:
        if not late:
            return inverted_by(made.composition, (*stages, *late_stages))
        weighed = dict(made.portions)
        acid = sum(p.released.acid * weighed[p.name] for p in portions if p.name in late)
        in_bottle = min(acid * made.yield_g / (made.pot_g or 1.0), made.composition.acid)
        bare = replace(made.composition, acid=made.composition.acid - in_bottle)
        first = inverted_by(bare, stages)
        return first.then(inverted_by(made.composition, late_stages))

    portions = tuple(knowns.get("portions", ()))
    made = solve(sweetener, cook=cook, **knowns)
    found = inverted(made)
    if found.best < WORTH_COUNTING:
        return made, found
    again = solve(sweetener, cook=replace(cook, inverted=found.best), **knowns)
    return again, inverted(again)


def glucose_to_water(composition: Masses) -> float:
    """Return the glucose to a gram of water [g/g].

    Parameters
    ----------
    composition : Masses
        The syrup [g].

    Returns
    -------
    float
    """
    return composition.glucose / composition.water if composition.water > 0 else 0.0


def granulates(composition: Masses) -> str:
    """Say whether glucose will grain in the bottle; empty if it will not.

    Parameters
    ----------
    composition : Masses
        The finished syrup [g].

    Returns
    -------
    str
    """
    ratio = glucose_to_water(composition)
    if ratio < STAYS_LIQUID:
        return ""
    soon = "soon" if ratio >= GRANULATES_SOON else "slowly"
    return (
        f"it holds {ratio:.1f} g of glucose to 1 g of water and will granulate {soon}, as honey "
        "does: warm it gently to clear it, or thin it"
    )
