"""Acids, salt, glycerol and gums inside a formula: by weight, to a pH, or to a share of acid."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Powder
from pairing.syrup.acidity import LEAST_PH, MOST_ACID, MOST_PH, find_powder, powder_portion
from pairing.syrup.addition import Addition
from pairing.syrup.composition import Masses
from pairing.syrup.keeping import acid_for_ph, estimate_ph
from pairing.syrup.quantities import Quantity, grams_of, parse_quantity

__all__ = ["PowderDose", "PowderWish", "acidified_plants_g", "powder_wishes", "settle", "weighed"]

SILLY = 4.0  # times the usual top, from which an amount is a slip: our choice
CLOSE = 0.003  # of the acid that is wanted, how near a target is met
PASSES = 12
WHAT = "5g/kg of syrup, 2g in the pot, pH 3.4, or 0.6% acid"
_PH = re.compile(r"\s*ph\s*=?\s*(\d+(?:[.,]\d+)?)\s*", re.IGNORECASE)
_SHARE = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*%\s*(?:of\s+)?(?:acid)?\s*", re.IGNORECASE)


class PowderWish(NamedTuple):
    """How much of a powder is wanted; one of the three, or none for the usual amount.

    Attributes
    ----------
    powder : Powder
    amount : Quantity or None
        By weight, in the pot or per kilogram of syrup.
    to_ph : float or None
        pH of the finished syrup.
    to_acid_percent : float or None
        Titratable acid of the finished syrup, as citric [% w/w].
    """

    powder: Powder
    amount: Quantity | None = None
    to_ph: float | None = None
    to_acid_percent: float | None = None

    @property
    def is_target(self) -> bool:
        """Whether the amount follows from the rest of the pot."""
        return self.to_ph is not None or self.to_acid_percent is not None

    @property
    def words(self) -> str:
        """How the amount was set."""
        if self.to_ph is not None:
            return f"to pH {self.to_ph:g}, an estimate: measure"
        if self.to_acid_percent is not None:
            return f"to {self.to_acid_percent:g} % acid"
        return "as you said" if self.amount else "usual amount"


class PowderDose(NamedTuple):
    """A powder as it is weighed.

    Attributes
    ----------
    powder : Powder
    grams : float
        In the pot [g].
    g_per_kg : float
        Of finished syrup [g/kg].
    words : str
        How the amount was set.
    """

    powder: Powder
    grams: float
    g_per_kg: float
    words: str

    @property
    def name(self) -> str:
        """Name within a sentence."""
        return self.powder.name.split(",")[0]

    @property
    def is_gum(self) -> bool:
        """Whether it clumps in water, and is mixed dry with sugar first."""
        return self.powder.label_class == "thickener"


def powder_wishes(
    catalog: Catalog, names: Sequence[str], doses: Mapping[str, float | str] | None
) -> tuple[list[str], dict[str, float | str], tuple[PowderWish, ...]]:
    """Split what was asked into plants and powders.

    Parameters
    ----------
    catalog : Catalog
    names : sequence of str
        Everything named for the syrup.
    doses : mapping of str to float or str, optional
        As of `formula.make`; for an acid also ``pH 3.4`` and ``0.6% acid``.

    Returns
    -------
    (list of str, dict, tuple of PowderWish)
        Names and doses of the plants, and the powders.

    Raises
    ------
    PairingError
        A powder named twice, two of them with a target, a dose for what is not in it, or an amount
        that is none, or far above the usual one.
    """
    plants: list[str] = []
    found: dict[str, Powder] = {}
    for name in names:
        row = _powder(catalog, name)
        if row is None:
            plants.append(name)
        elif row.powder_id in found:
            raise PairingError(f"{row.name} is named twice; name it once")
        else:
            found[row.powder_id] = row
    left: dict[str, float | str] = {}
    said: dict[str, float | str] = {}
    for name, value in (doses or {}).items():
        row = _powder(catalog, name)
        if row is None:
            left[name] = value
        elif row.powder_id not in found:
            raise PairingError(f"{row.powder_id} has a dose but is not in the formula; add it")
        else:
            said[row.powder_id] = value
    wishes = tuple(_wish(row, said.get(ident)) for ident, row in found.items())
    if sum(w.is_target for w in wishes) > 1:
        raise PairingError("two powders cannot both follow a target; give one of them by weight")
    return plants, left, wishes


def _powder(catalog: Catalog, name: str) -> Powder | None:
    """The powder of a name; None for a plant, and for salt, which is an ingredient of its own."""
    row = find_powder(catalog, name)
    return None if row is None or row.powder_id in catalog.ingredients else row


def _wish(row: Powder, said: float | str | None) -> PowderWish:
    if said is None:
        return PowderWish(row)
    if not isinstance(said, str):
        return PowderWish(row, Quantity(float(said), "g", per_kg=True))
    ph, share = _PH.fullmatch(said), _SHARE.fullmatch(said)
    if not (ph or share):
        try:
            return PowderWish(row, parse_quantity(said, row.powder_id))
        except PairingError as error:
            raise PairingError(f"{error}; for an acid also: {WHAT}") from None
    if not row.acid_as_citric_percent > 0:
        raise PairingError(f"{row.name} is no acid: give it by weight, such as 1g/kg")
    if ph:
        return PowderWish(row, to_ph=float(ph[1].replace(",", ".")))
    assert share is not None
    percent = float(share[1].replace(",", "."))
    if not 0 < percent <= 5:
        raise PairingError(f"{row.powder_id}: {percent:g} % acid; give more than 0 and at most 5")
    return PowderWish(row, to_acid_percent=percent)


def _usual(row: Powder) -> float:
    """Middle of the usual amounts [g/kg]."""
    return math.sqrt((row.dose_low_g_per_kg or 1.0) * (row.dose_high_g_per_kg or 1.0))


def settle(
    catalog: Catalog,
    wishes: Sequence[PowderWish],
    solved: Callable[[Sequence[Addition]], Masses],
) -> tuple[Addition, ...]:
    """Return what the powders bring to the pot, a target met in the finished syrup.

    Parameters
    ----------
    catalog : Catalog
    wishes : sequence of PowderWish
    solved : callable
        Finished syrup [g] with these powders in the pot.

    Returns
    -------
    tuple of Addition

    Raises
    ------
    PairingError
        A target that the syrup has reached already, or that takes a silly amount.
    """
    fixed = [_portion(catalog, w) for w in wishes if not w.is_target]
    target = next((w for w in wishes if w.is_target), None)
    if target is None:
        return tuple(fixed)
    row, dose = target.powder, 0.0
    per_gram = row.acid_as_citric_percent / 100.0
    before: tuple[float, float] | None = None
    for _ in range(PASSES):
        made = solved([*fixed, powder_portion(row, dose, "kg syrup")] if dose else fixed)
        wanted = _wanted_acid_g(made, target)
        missing = 1000.0 * (wanted - made.acid) / made.total
        if dose == 0.0 and missing <= 0:
            raise PairingError(
                f"without {row.name} it is at about pH {estimate_ph(made):.1f} and "
                f"{made.acid_percent:.2f} % acid already: ask for more than that"
            )
        if abs(missing) <= CLOSE * 1000.0 * wanted / made.total:
            break
        if before is not None and before[1] != missing:  # the secant through the last two
            per_gram = (before[1] - missing) / (dose - before[0])
        before, dose = (dose, missing), dose + missing / per_gram
    _check(row, dose)
    return (*fixed, powder_portion(row, dose, "kg syrup"))


def _wanted_acid_g(made: Masses, target: PowderWish) -> float:
    """Acid of a syrup that is at its target [g as citric]."""
    if target.to_acid_percent is not None:
        return target.to_acid_percent / 100.0 * made.liquid
    wanted = target.to_ph or 7.0
    if not LEAST_PH <= wanted <= MOST_PH:
        raise PairingError(f"pH must be {LEAST_PH:g} to {MOST_PH:g}, got {wanted:g}")
    most = MOST_ACID * made.total
    acid = acid_for_ph(made, wanted)
    if acid > most:
        reached = estimate_ph(replace(made, acid=most))
        raise PairingError(f"a tenth of acid leaves pH {reached:.1f}; ask for that or more")
    return acid


def _portion(catalog: Catalog, wish: PowderWish) -> Addition:
    row, said = wish.powder, wish.amount
    if said is None:
        return powder_portion(row, _usual(row), "kg syrup")
    grams = grams_of(said, [row.powder_id], catalog.household)
    if said.per_kg:
        _check(row, grams)
    return powder_portion(row, grams, "kg syrup" if said.per_kg else "batch")


def _check(row: Powder, g_per_kg: float) -> None:
    high = row.dose_high_g_per_kg
    if high and g_per_kg > SILLY * high:
        raise PairingError(
            f"{row.powder_id}: {g_per_kg:.3g} g in a kilogram of syrup; usual are "
            f"{row.dose_low_g_per_kg:g} to {high:g}, and more than {SILLY * high:g} is refused"
        )


def weighed(
    wishes: Sequence[PowderWish], grams: Mapping[str, float], yield_g: float
) -> tuple[PowderDose, ...]:
    """Return the powders as they are weighed.

    Parameters
    ----------
    wishes : sequence of PowderWish
    grams : mapping of str to float
        In the pot, by id [g].
    yield_g : float
        Finished syrup [g].

    Returns
    -------
    tuple of PowderDose

    Raises
    ------
    PairingError
        For an amount far above the usual one.
    """
    out = []
    for wish in wishes:
        mass = grams[wish.powder.powder_id]
        per_kg = 1000.0 * mass / yield_g
        _check(wish.powder, per_kg)
        high = wish.powder.dose_high_g_per_kg
        above = "; above the usual" if high and per_kg > 1.01 * high else ""
        out.append(PowderDose(wish.powder, mass, per_kg, wish.words + above))
    return tuple(out)


def acidified_plants_g(catalog: Catalog, grams: Mapping[str, float]) -> float | None:
    """Return the dry matter of the plants beside an acid that was weighed in; None without one.

    Parameters
    ----------
    catalog : Catalog
    grams : mapping of str to float
        All that went in, by id [g].

    Returns
    -------
    float or None
        [g], as `keeping.of_syrup` takes it.
    """
    powders = [catalog.powders[i] for i in grams if i in catalog.powders]
    if not any(p.acid_as_citric_percent > 0 for p in powders):
        return None
    plants = ((catalog.forms[i], g) for i, g in grams.items() if i in catalog.forms)
    return sum(g * (1.0 - (form.water_percent or 0.0) / 100.0) for form, g in plants)
