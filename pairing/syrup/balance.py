"""The balance: a batch forward from what is weighed, and backward from what is wanted.

Forward, `batch` runs a pot through its steps and every gram stays in the ledger. Backward, `solve`
takes any sensible set of knowns and finds what to weigh: the balance is linear in grams, so that
it is one small linear system. Strength is sugar : added water by weight (2:1 is 2.0); what fruit
and steam make of it is the °Bx of the finished syrup (`Batch.brix`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.syrup import sugar
from pairing.syrup.addition import Addition
from pairing.syrup.composition import (
    INVERSION_WATER,
    Blend,
    Masses,
    Sweetening,
    as_blend,
    checked_grams,
    checked_percent,
)
from pairing.syrup.pot import (
    STRAIN_LOSS_PERCENT,
    Cook,
    Pot,
    add,
    add_portion,
    dilute,
    evaporate,
    invert,
    strain,
)
from pairing.values import Value

__all__ = [
    "Batch",
    "Row",
    "batch",
    "scale",
    "solve",
]

SPONTANEOUS_CRYSTALS = 1.3  # supersaturation  # recalled from Mathlouthi and Reiser (1995)


@dataclass(frozen=True, eq=False, repr=False)
class Batch(Value):
    """A batch, from what to weigh to what is in the bottle.

    Attributes
    ----------
    sweeteners, portions : tuple of (str, float)
        Name and grams of each.
    sugar_g, water_g : float
        Sweetening in all, added water [g].
    cook : Cook
        How it is cooked.
    put_in_g, evaporated_g, pot_g : float
        All that went in, boiled off, and left in the pot before straining [g].
    drained_g, carried_g, cling_g : float
        Drained pieces, the syrup among it, and syrup left on pan and strainer [g].
    composition : Masses
        The finished syrup [g].
    notes : tuple of str
        What was adjusted and why, in words.
    """

    sweeteners: tuple[tuple[str, float], ...]
    portions: tuple[tuple[str, float], ...]
    sugar_g: float
    water_g: float
    cook: Cook
    put_in_g: float
    evaporated_g: float
    pot_g: float
    drained_g: float
    carried_g: float
    cling_g: float
    composition: Masses
    notes: tuple[str, ...] = ()

    def __str__(self) -> str:
        """What comes out, in one line."""
        return f"{self.yield_g:,.0f} g ({self.yield_ml:,.0f} ml) of syrup at {self.brix:.1f} °Bx"

    @property
    def yield_g(self) -> float:
        """Finished syrup [g]."""
        return self.composition.total

    @property
    def yield_ml(self) -> float:
        """Finished syrup at 20 °C [ml]."""
        return self.yield_g / self.composition.density * 1000.0

    @property
    def brix(self) -> float:
        """True dissolved solids [% w/w]."""
        return self.composition.brix

    @property
    def reading_brix(self) -> float:
        """What a refractometer reads at 20 °C [°Bx]."""
        return self.composition.reading_brix

    @property
    def strength(self) -> float | None:
        """Sugar : added water by weight; None without added water."""
        return self.sugar_g / self.water_g if self.water_g > 0 else None

    def servings(self, serving_g: float) -> float:
        """Return how many servings of `serving_g` grams it gives.

        Parameters
        ----------
        serving_g : float
            Grams of each.

        Returns
        -------
        float

        Raises
        ------
        PairingError
            For a serving under 0.01 g.
        """
        return self.yield_g / checked_grams("serving", serving_g, 0.01)


def _portion_g(portion: Addition, sugar_g: float, yield_g: float) -> float:
    if portion.per == "batch":
        return portion.amount
    if portion.per == "100 g sugar":
        return portion.amount * sugar_g / 100.0
    return portion.amount * yield_g / 1000.0


def batch(
    sweetener: Sweetening | Blend,
    sugar_g: float,
    water_g: float,
    portions: Iterable[Addition] = (),
    cook: Cook | None = None,
    *,
    strain_loss_percent: float = STRAIN_LOSS_PERCENT,
    notes: tuple[str, ...] = (),
) -> Batch:
    """Return the batch that grams in the pot give: dissolve, fruit in, cook, strain.

    Parameters
    ----------
    sweetener : Sweetening or sequence of (Sweetening, share)
        The sweetener, or a blend by mass shares.
    sugar_g, water_g : float
        Sweetening in all and added water [g].
    portions : iterable of Addition
        Fruit, spice, acid; amounts per kg of finished syrup are worked out from the yield.
    cook : Cook, optional
        How it is cooked; default no evaporation.
    strain_loss_percent : float
        Syrup left on pan and strainer [%].
    notes : tuple of str
        Carried into the result.

    Returns
    -------
    Batch

    Raises
    ------
    PairingError
        Impossible amounts, or a syrup that cannot stay dissolved.
    """
    given = tuple(portions)
    cook = cook or Cook()
    s, w = checked_grams("sugar", sugar_g), checked_grams("water", water_g)
    if any(p.per == "kg syrup" for p in given):
        return solve(
            sweetener,
            sugar_g=s,
            water_g=w,
            portions=given,
            cook=cook,
            strain_loss_percent=strain_loss_percent,
        )
    parts = as_blend(sweetener)
    pot = Pot()
    for each, share in parts:
        pot = add(pot, each.masses(s * share))
    pot = dilute(pot, w)
    weighed = tuple((p, _portion_g(p, s, 0.0)) for p in given)
    for portion, grams in weighed:
        pot = add_portion(pot, portion, grams)
    if not pot.put_in.total > 0:
        raise PairingError("nothing is in the pot: give sugar, water or fruit above 0 g")
    pot = evaporate(pot, cook.loss_g(pot.put_in.total))
    pot = invert(pot, cook.inverted)
    weight, pieces, water = pot.weight, pot.pieces.total, pot.liquid.water
    pot = strain(pot, strain_loss_percent)
    _check_solubility(pot.liquid, cook)
    notes = (*notes, *_own_solubility(parts, s, water))
    return Batch(
        sweeteners=tuple((each.name, s * share) for each, share in parts),
        portions=tuple((p.name, grams) for p, grams in weighed),
        sugar_g=s,
        water_g=w,
        cook=cook,
        put_in_g=pot.put_in.total,
        evaporated_g=pot.steam.total,
        pot_g=weight,
        drained_g=pot.drained.total,
        carried_g=pot.drained.total - pieces,
        cling_g=pot.cling.total,
        composition=pot.liquid,
        notes=notes,
    )


def _check_solubility(syrup: Masses, cook: Cook) -> None:
    """Refuse a syrup whose sucrose cannot dissolve in the pot or stay dissolved in the bottle."""
    if not syrup.water > 0:
        raise PairingError("no water is left: a syrup needs water; 2:1 by weight is the usual top")
    other = syrup.dissolved - syrup.sucrose
    hot = 20.0 if cook.heat == "steep" and cook.minutes == 0 else 100.0
    for t, top, where in ((hot, 1.0005, "dissolve"), (20.0, SPONTANEOUS_CRYSTALS, "stay clear")):
        found = sugar.supersaturation(syrup.sucrose, syrup.water, t, other)
        if found > top:
            saturated, most = (
                100.0 * solids / (solids + syrup.water)
                for solids in (x / found * syrup.sucrose + other for x in (1.0, top))
            )
            refused = f" and is refused above {most:.1f} °Bx" if top > 1.1 else ""
            raise PairingError(
                f"{syrup.brix:.1f} °Bx cannot {where} at {t:g} °C: such a syrup is saturated at "
                f"{saturated:.1f} °Bx, can grain above it{refused}; use less sugar, boil off "
                "less or swap part of it for glucose or invert syrup"
            )


def _own_solubility(
    parts: tuple[tuple[Sweetening, float], ...], sugar_g: float, water_g: float
) -> tuple[str, ...]:
    """Refuse a sweetener other than sucrose that crystallises at 20 °C; warn when it is near."""
    notes = []
    for each, share in parts:
        top = each.own_solubility_percent
        if top is None:
            continue
        found = sugar_g * share * each.solids_percent / 100.0 / water_g
        limit = top / (100.0 - top)
        words = (
            f"{each.name} stays dissolved at 20 °C up to {limit:.2f} g per g of water "
            f"({top:g} % by itself) and here it is {found:.2f}"
        )
        if found > SPONTANEOUS_CRYSTALS * limit:
            raise PairingError(f"{words}: add water or blend it with another sweetener")
        if found > limit:
            notes.append(f"{words}: it can crystallise in the bottle")
    return tuple(notes)


Row = NDArray[np.float64]
_ONE, _S, _W, _Y, _E = range(5)  # columns of the affine balance: 1, sugar, water, yield, steam


def _unit(column: int, value: float = 1.0) -> Row:
    vector = np.zeros(5)
    vector[column] = value
    return vector


class _Balance(NamedTuple):
    """The batch as affine functions of 1, sugar, water, yield and steam."""

    put_in: Row
    liquid: Row
    dissolved: Row
    yielded: Row
    fruit_juice: Row


def _balance(
    parts: tuple[tuple[Sweetening, float], ...],
    portions: tuple[Addition, ...],
    inverted: float,
    loss: float,
) -> _Balance:
    one_gram = Masses()
    for each, share in parts:
        one_gram = one_gram + each.masses(share)
    gain = INVERSION_WATER * inverted
    put_in, held, juice = _unit(_S) + _unit(_W), np.zeros(5), np.zeros(5)
    dissolved = _unit(_S, one_gram.dissolved + gain * one_gram.sucrose)
    column = {"batch": (_ONE, 1.0), "100 g sugar": (_S, 0.01), "kg syrup": (_Y, 0.001)}
    for p in portions:
        where, factor = column[p.per]
        grams = _unit(where, p.amount * factor)
        put_in = put_in + grams
        held = held + p.hold_g_per_g * grams
        juice = juice + p.released.total * grams
        dissolved = dissolved + (p.released.dissolved + gain * p.released.sucrose) * grams
    liquid = _unit(_S) + _unit(_W) + juice - _unit(_E)
    return _Balance(put_in, liquid, dissolved, (1.0 - loss) * (liquid - held), juice)


def solve(
    sweetener: Sweetening | Blend,
    *,
    strength: float | None = None,
    sugar_g: float | None = None,
    water_g: float | None = None,
    brix: float | None = None,
    yield_g: float | None = None,
    yield_ml: float | None = None,
    servings: float | None = None,
    serving_g: float | None = None,
    portions: Iterable[Addition] = (),
    cook: Cook | None = None,
    strain_loss_percent: float = STRAIN_LOSS_PERCENT,
) -> Batch:
    """Return the batch that fits what is known.

    Two knowns among `strength`, `sugar_g`, `water_g`, `brix` and the yield fix a batch; at least
    one must be an amount. A third one fixes how much water to boil off, and the cooking time is
    worked out instead of taken from `cook`. With `brix` and no `strength` the added water is cut
    to make up for the water of the fruit.

    Parameters
    ----------
    sweetener : Sweetening or sequence of (Sweetening, share)
        The sweetener, or a blend by mass shares.
    strength : float, optional
        Sugar : added water by weight, 2.0 for 2:1; see `parse_strength`.
    sugar_g, water_g : float, optional
        Sweetening in all, added water [g].
    brix : float, optional
        True dissolved solids of the finished syrup [% w/w].
    yield_g, yield_ml : float, optional
        Finished syrup [g] or [ml at 20 °C].
    servings, serving_g : float, optional
        Number of servings and grams of each, instead of the yield.
    portions : iterable of Addition
        Fruit, spice, acid: fixed grams, per 100 g of sugar or per kg of finished syrup.
    cook : Cook, optional
        How it is cooked; default no evaporation.
    strain_loss_percent : float
        Syrup left on pan and strainer [%].

    Returns
    -------
    Batch
        With `notes` that say what was adjusted.

    Raises
    ------
    PairingError
        Too few or contradicting knowns, or an impossible wish, with the nearest possible one.
    """
    given, cook = tuple(portions), cook or Cook()
    parts = as_blend(sweetener)
    loss = checked_percent("straining loss", strain_loss_percent, 99.0) / 100.0
    yield_g = _wanted_yield(yield_g, yield_ml, servings, serving_g)
    if strength is not None and not 0 < strength <= 1000:
        raise PairingError(f"strength must be above 0, such as 2:1, got {strength:g}")
    if brix is not None and not 0 < brix < 100:
        raise PairingError(f"finished strength must be between 0 and 100 °Bx, got {brix:g}")
    known = {"sugar": sugar_g, "water": water_g, "yield": yield_g}
    amounts = {k: checked_grams(k, v) for k, v in known.items() if v is not None}
    if amounts.get("yield") == 0 or amounts.get("sugar") == 0:
        raise PairingError("sugar and yield must be above 0 g")
    if strength is not None and len(amounts) > 1 and {"sugar", "water"} <= set(amounts):
        if abs(amounts["sugar"] - strength * amounts["water"]) > 0.005 * amounts["sugar"]:
            raise PairingError(
                f"{amounts['sugar']:g} g sugar in {amounts['water']:g} g water is not "
                f"{strength:g}:1; leave one of the three out"
            )
        strength = None
    balance = _balance(parts, given, cook.inverted, loss)
    wish = _Wish(strength, brix, amounts, yield_ml, cook)
    solution = _solve_linear(balance, wish)
    if yield_ml is not None:
        solution = _settle_volume(balance, wish, solution)
    _refuse_impossible(balance, wish, solution, given)
    s, w, y, e = (max(0.0, float(v)) for v in solution)
    fixed = tuple(replace(p, amount=_portion_g(p, s, y), per="batch") for p in given)
    done, notes = _cook_for(cook, wish, e, balance, (s, w, y, e))
    return replace(
        batch(
            parts,
            s,
            w,
            fixed,
            replace(done, evaporated_g=e, pot_g=None),
            strain_loss_percent=strain_loss_percent,
            notes=notes,
        ),
        cook=done,
    )


def _wanted_yield(
    yield_g: float | None,
    yield_ml: float | None,
    servings: float | None,
    serving_g: float | None,
) -> float | None:
    """Return the yield asked for in grams; for millilitres a first guess in grams."""
    if (servings is None) != (serving_g is None):
        raise PairingError("servings need both their number and the grams of each")
    if sum(v is not None for v in (yield_g, yield_ml, servings)) > 1:
        raise PairingError("give the yield once: in grams, in millilitres or in servings")
    if servings is not None and serving_g is not None:
        return checked_grams("servings", servings, 1e-3) * checked_grams("serving", serving_g, 1e-3)
    if yield_ml is not None:
        return 1.25 * checked_grams("yield in ml", yield_ml)
    return yield_g


@dataclass(frozen=True, slots=True)
class _Wish:
    strength: float | None
    brix: float | None
    amounts: dict[str, float]
    yield_ml: float | None
    cook: Cook

    @property
    def count(self) -> int:
        return len(self.amounts) + (self.strength is not None) + (self.brix is not None)

    @property
    def frees_steam(self) -> bool:
        return self.count == 3

    def with_amount(self, name: str, grams: float) -> _Wish:
        return replace(self, amounts={**self.amounts, name: grams})


def _solve_linear(balance: _Balance, wish: _Wish) -> Row:
    """Return sugar, water, yield and steam [g] of a wish, which may be impossible."""
    if not wish.amounts:
        raise PairingError("say how much: sugar, water, yield or servings")
    if wish.count < 2:
        raise PairingError("one known is not enough: add a strength such as 2:1, or a °Bx")
    if wish.count > 3:
        raise PairingError("more is given than a batch can obey: two knowns fix it, three at most")
    rows = [_unit(_Y) - balance.yielded]
    if wish.strength is not None:
        rows.append(_unit(_S) - wish.strength * _unit(_W))
    if wish.brix is not None:
        rows.append(balance.dissolved - wish.brix / 100.0 * balance.liquid)
    for name, column in (("sugar", _S), ("water", _W), ("yield", _Y)):
        if name in wish.amounts:
            rows.append(_unit(column) - _unit(_ONE, wish.amounts[name]))
    if not wish.frees_steam:
        if wish.cook.pot_g is not None:
            rows.append(balance.put_in - _unit(_E) - _unit(_ONE, wish.cook.pot_g))
        else:
            rows.append(_unit(_E) - _unit(_ONE, wish.cook.loss_g(math.inf)))
    matrix = np.array(rows)
    try:
        solution: Row = np.asarray(np.linalg.solve(matrix[:, 1:], -matrix[:, _ONE]), np.float64)
    except np.linalg.LinAlgError:
        solution = np.full(4, np.nan)
    if not np.all(np.isfinite(solution)) or np.abs(solution).max() > 1e9:
        raise PairingError("these knowns contradict each other or leave the batch open; change one")
    return solution


def _at(
    row: Row,
    solution: Row,
) -> float:
    return float(row[_ONE] + row[1:] @ solution)


def _brix_of(balance: _Balance, solution: Row) -> float:
    return 100.0 * _at(balance.dissolved, solution) / _at(balance.liquid, solution)


def _settle_volume(
    balance: _Balance,
    wish: _Wish,
    solution: Row,
) -> Row:
    """Solve for a yield in millilitres: density depends on it, weakly, so it settles fast."""
    assert wish.yield_ml is not None
    grams = wish.amounts["yield"]
    for _ in range(60):
        strength = min(max(_brix_of(balance, solution), 0.0), 90.0)
        settled = wish.yield_ml * float(sugar.density(strength)) / 1000.0
        if abs(settled - grams) < 1e-9 * grams:
            break
        grams = settled
        solution = _solve_linear(balance, wish.with_amount("yield", grams))
    return solution


def _refuse_impossible(
    balance: _Balance,
    wish: _Wish,
    solution: Row,
    portions: tuple[Addition, ...],
) -> None:
    """Turn a solution with negative grams into one line that names the nearest possible wish."""
    s, w, y, e = (float(v) for v in solution)
    slack = 1e-7 * max(1.0, abs(s), abs(y))
    juice = _at(balance.fruit_juice, solution)
    if y <= 0 or _at(balance.liquid, solution) <= 0:
        raise PairingError(
            "nothing would be left in the bottle: fruit, spice and steam take more than goes in; "
            "use more sugar and water, or cook for less time"
        )
    if e < -slack:
        raise PairingError(
            f"this would need {-e:.1f} g of water back from the steam: "
            "add water instead of boiling it off, or drop one of the three knowns"
        )
    if w < -slack and wish.brix is not None:
        raise PairingError(_too_wet(balance, wish, juice))
    if s < -slack or w < -slack:
        if any(p.per == "batch" for p in portions) and "yield" in wish.amounts:
            plain = replace(wish, strength=None, brix=None, amounts={"sugar": 0.0, "water": 0.0})
            least = _solve_linear(balance, plain)[2]
            raise PairingError(
                f"{wish.amounts['yield']:.1f} g of syrup is less than fruit and spice alone leave "
                f"({least:.1f} g): make more than that or use less fruit"
            )
        raise PairingError(
            f"these knowns need {s:.1f} g sugar and {w:.1f} g water, and grams cannot be negative: "
            "change one of them"
        )


def _too_wet(balance: _Balance, wish: _Wish, juice: float) -> str:
    """Say that the fruit brings more water than the wanted strength allows, and what is near."""
    assert wish.brix is not None
    saturated = float(sugar.solubility(100.0))
    if wish.brix > saturated:
        return (
            f"{wish.brix:g} °Bx cannot dissolve at 100 °C: sugar is saturated at "
            f"{saturated:.1f} °Bx; give a lower °Bx"
        )
    amounts = {k: v for k, v in wish.amounts.items() if k != "water"}
    dry = replace(wish, strength=None, brix=None, amounts={**amounts, "water": 0.0})
    line = f"fruit brings {juice:.0f} g of juice, too much water for {wish.brix:g} °Bx"
    try:
        top = _brix_of(balance, _solve_linear(balance, dry))
        steam = _solve_linear(balance, replace(dry, brix=wish.brix))[3]
    except PairingError:
        return line + ": use less fruit or a lower °Bx"
    extra = steam - wish.cook.loss_g(math.inf) if wish.cook.pot_g is None else steam
    return (
        f"{line}: without added water it reaches {top:.1f} °Bx; take that, use less fruit, "
        f"or boil off {extra:.0f} g more"
    )


def _cook_for(
    cook: Cook,
    wish: _Wish,
    steam: float,
    balance: _Balance,
    amounts: tuple[float, float, float, float],
) -> tuple[Cook, tuple[str, ...]]:
    """Return the cooking that loses `steam` grams, and words on what was adjusted."""
    notes = []
    juice = _at(balance.fruit_juice, np.array(amounts))
    if wish.frees_steam:
        rate = cook.grams_per_minute
        minutes = min(steam / rate, 1440.0) if rate > 0 else cook.minutes
        notes.append(
            f"boil off {steam:.0f} g"
            + (f", about {minutes:.0f} min at a {cook.heat}" if rate > 0 else "")
            + "; weigh the pot, the clock is a guide"
        )
        cook = replace(cook, minutes=minutes, evaporated_g=None, pot_g=None)
    elif wish.brix is not None and juice > 0:
        notes.append(
            f"added water is {amounts[1]:.0f} g because the fruit brings {juice:.0f} g of juice; "
            f"without fruit the same sugar would take "
            f"{amounts[0] * (100.0 / wish.brix - 1.0):.0f} g"
        )
    return cook, tuple(notes)


def scale(made: Batch, factor: float) -> Batch:
    """Return the batch with every gram times `factor`.

    Evaporation is scaled as well: in another pan it differs, so weigh the pot.

    Parameters
    ----------
    made : Batch
        The batch.
    factor : float
        Above 0; the result must stay under 10 t.

    Returns
    -------
    Batch

    Raises
    ------
    PairingError
        For a factor that is not above 0, or a batch over 10 t.
    """
    if not (math.isfinite(factor) and factor > 0):
        raise PairingError(f"scale factor must be above 0, got {factor:g}")
    checked_grams("scaled batch", made.put_in_g * factor)
    note = f"scaled by {factor:g}: weigh the pot, another pan loses water at another rate"
    return replace(
        made,
        sweeteners=tuple((n, g * factor) for n, g in made.sweeteners),
        portions=tuple((n, g * factor) for n, g in made.portions),
        sugar_g=made.sugar_g * factor,
        water_g=made.water_g * factor,
        put_in_g=made.put_in_g * factor,
        evaporated_g=made.evaporated_g * factor,
        pot_g=made.pot_g * factor,
        drained_g=made.drained_g * factor,
        carried_g=made.carried_g * factor,
        cling_g=made.cling_g * factor,
        composition=made.composition * factor,
        notes=(*made.notes, note) if made.evaporated_g > 0 else made.notes,
    )
