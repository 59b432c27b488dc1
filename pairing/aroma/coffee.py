"""Coffee: a description becomes an aroma and taste base."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

import numpy as np

from pairing.aroma.cup import FEWEST_CUPS, cups, tasted_as
from pairing.aroma.description import DECAFFEINATED, GESHA, GESHA_TASTED_AS, Coffee, describe
from pairing.aroma.notes import group_weights
from pairing.aroma.odour import Array, Axis, axis
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import best_estimate, median
from pairing.evidence.rows import Brew, Modifier, Origin
from pairing.values import Value

__all__ = [
    "COFFEE",
    "TASTES",
    "CoffeeBase",
    "base",
    "brewed",
    "plain_coffee",
]

COFFEE = "coffee"  # the id of coffee among the ingredients of a pair
TASTES = ("acidity", "bitterness", "body", "sweetness")
# OAV of the odorants of a note that the bag names: it is noticed, so it is above its threshold; how
# far is our estimate. A note that a share of an origin's cups has counts by that share.
HEARD_OAV = 3.0
LEAST_SHARE = 0.03
# ln of the acidity ratio for a point of ten: of Kenya's 0.4 points it makes 1.3, the trade's word
# (recalled).
ACIDITY_PER_POINT = 0.7
CUP_SOURCE, SCORE_SOURCE = "cup-panel", "cup-panel-scores"


@dataclass(frozen=True, eq=False, repr=False)
class CoffeeBase(Value):
    """Aroma and taste of a coffee in the cup.

    Attributes
    ----------
    coffee : Coffee
    brew : Brew
    origin : Origin or None
    axis : Axis
    low, best, high : (n_compounds,) arrays
        Odorant concentration in the brewed coffee, ug/l.
    taste : dict
        Ratio to the base coffee for acidity, bitterness, body and sweetness.
    caffeine_mg : (float, float)
        Caffeine in the brewed coffee, low and high end.
    source_ids : tuple of str
        Sources of the base and of every modifier that moved it.
    tasted : dict
        Factor (origin, process) -> number of tasted cups that its ratios rest on; a factor that is
        missing rests on measured or recalled ratios.
    """

    coffee: Coffee
    brew: Brew
    origin: Origin | None
    axis: Axis
    low: Array
    best: Array
    high: Array
    taste: dict[str, float]
    caffeine_mg: tuple[float, float]
    source_ids: tuple[str, ...]
    tasted: dict[str, int] = field(default_factory=dict)

    def __str__(self) -> str:
        """The coffee in words."""
        return self.coffee.words

    @property
    def oav(self) -> Array:
        """(n_compounds,) odour activity values in the brewed coffee."""
        with np.errstate(invalid="ignore"):
            return np.nan_to_num(self.best / self.axis.threshold_best)


def _rows(catalog: Catalog, coffee: Coffee, tasted: dict[str, list[Modifier]]) -> list[Modifier]:
    """Ratios of a coffee; where cups were tasted, what they say takes the place of recall."""
    chosen = {
        ("species", coffee.species),
        ("roast", coffee.roast),
        ("process", coffee.process),
        ("brew", coffee.brew),
        ("origin", GESHA_TASTED_AS if coffee.variety == GESHA else coffee.origin),
    }
    if coffee.decaf:
        chosen.add(("process", DECAFFEINATED))
    moved = {(f, r.target_id) for f, rows in tasted.items() for r in rows}
    recalled = [
        m
        for m in catalog.modifiers
        if (m.factor, m.level) in chosen
        and (m.factor, m.target_id) not in moved
        and not (m.factor in tasted and m.level != DECAFFEINATED and m.target_kind != "taste")
    ]
    return [*recalled, *(r for rows in tasted.values() for r in rows)]


def _tasted(catalog: Catalog, coffee: Coffee) -> tuple[dict[str, list[Modifier]], dict[str, int]]:
    """Group and acidity ratios of origin and process from cups, and how many cups."""
    out: dict[str, list[Modifier]] = {}
    rests: dict[str, int] = {}
    if coffee.species != "arabica" or coffee.notes:
        return out, rests
    origin = next(iter(tasted_as(coffee)), None)
    for factor, level in (("origin", origin), ("process", coffee.process)):
        if not level or level == "washed":  # a plain coffee asks no cups: half the tables' time
            continue
        held = cups(catalog)
        n = held.size.get((factor, level), (0, 0))[0]
        if n < FEWEST_CUPS:
            continue
        rests[factor] = n
        out[factor] = [
            Modifier(factor, level, "group", g, low, high, CUP_SOURCE, "computed", "")
            for g, (low, high) in held.groups((factor, level)).items()
        ]
    for row in catalog.cup_scores:
        if (row.factor, row.level, row.attribute) == ("origin", origin, "acidity"):
            middle, width = row.shift * ACIDITY_PER_POINT, row.shift_sd * ACIDITY_PER_POINT
            low, high = math.exp(middle - width), math.exp(middle + width)
            out.setdefault("origin", []).append(
                Modifier(
                    "origin",
                    origin or "",
                    "taste",
                    "acidity",
                    low,
                    high,
                    SCORE_SOURCE,
                    "computed",
                    "",
                )
            )
    return out, rests


def _heard(catalog: Catalog, coffee: Coffee) -> dict[str, float]:
    """Notes that are noticed in the cup with their weight: 1 for the bag's own."""
    if coffee.notes:
        return dict.fromkeys(coffee.notes, 1.0)
    if coffee.species != "arabica":
        return {}
    out: dict[str, float] = {}
    for origin in tasted_as(coffee):
        for note, share in cups(catalog).lifted(("origin", origin)).items():
            if share >= LEAST_SHARE:
                out[note] = max(out.get(note, 0.0), share)
    return out


def _base_odorants(catalog: Catalog, ax: Axis) -> tuple[Array, Array, Array]:
    low = np.zeros(len(ax.compounds))
    best, high = low.copy(), low.copy()
    by_compound = defaultdict(list)
    for row in catalog.odorants:
        by_compound[row.compound_id].append(row)
    for compound_id, rows in by_compound.items():
        j = ax.position[compound_id]
        low[j] = min(r.low_ug_per_l for r in rows)
        high[j] = max(r.high_ug_per_l for r in rows)
        best[j] = median(best_estimate(r.low_ug_per_l, r.high_ug_per_l) for r in rows)
    return low, best, high


def _caffeine(catalog: Catalog, coffee: Coffee, brew: Brew, used: list[str]) -> tuple[float, float]:
    low, high = brew.caffeine_low_mg, brew.caffeine_high_mg
    for row in catalog.caffeine:
        decaf = coffee.decaf and row.level == DECAFFEINATED
        if decaf or row.level == getattr(coffee, row.factor):
            low, high = low * row.ratio_low, high * row.ratio_high
            used.append(row.source_id)
    return low, high


def base(catalog: Catalog, coffee: Coffee) -> CoffeeBase:
    """Aroma and taste base of a coffee.

    The measured odorants of a medium arabica brew are multiplied by the ratios of species,
    roast, process, origin and brew and by the brew's strength. Ratios multiply; the widths of
    their ranges add in quadrature on a log scale.

    Parameters
    ----------
    catalog : Catalog
    coffee : Coffee
        As from :func:`describe`.

    Returns
    -------
    CoffeeBase
        Odorants in ug/l of the brewed coffee, tastes as ratios to the base coffee, caffeine in mg.

    Raises
    ------
    PairingError
        When the base has no odorants.
    """
    if coffee.parts:
        return _mixed(catalog, coffee)
    ax = axis(catalog)
    low, best, high = _base_odorants(catalog, ax)
    if not best.any():
        raise PairingError("coffee_odorants.csv has no odorant that compounds.csv knows")
    brew = catalog.brews[coffee.brew]
    shift = np.zeros(len(ax.compounds))
    spread = np.zeros(len(ax.compounds))
    taste = dict.fromkeys(TASTES, 1.0)
    used: list[str] = [r.source_id for r in catalog.odorants] + [brew.source_id]
    tasted, rests = _tasted(catalog, coffee)
    rows = _rows(catalog, coffee, tasted)
    # a ratio for a compound is more exact than one for its whole group: it takes its place
    exact: dict[str, set[int]] = defaultdict(set)
    for row in rows:
        if row.target_kind == "compound" and row.target_id in ax.position:
            exact[row.factor].add(ax.position[row.target_id])
    for row in rows:
        used.append(row.source_id)
        middle = math.log(best_estimate(row.ratio_low, row.ratio_high))
        width = (math.log(row.ratio_high) - math.log(max(row.ratio_low, 1e-3))) / 2.0
        if row.target_kind == "taste":
            taste[row.target_id] *= math.exp(middle)
            continue
        if row.target_kind == "compound":
            index = [ax.position[row.target_id]] if row.target_id in ax.position else []
        else:
            group = ax.groups.index(row.target_id)
            members = np.flatnonzero(ax.group_of == group).tolist()
            index = [j for j in members if j not in exact[row.factor]]
        for j in index:
            shift[j] += middle
            spread[j] += width**2
    strength_low, strength_high = brew.strength_ratio_low, brew.strength_ratio_high
    shift += math.log(best_estimate(strength_low, strength_high))
    spread += ((math.log(strength_high) - math.log(max(strength_low, 1e-3))) / 2.0) ** 2
    if coffee.notes:
        shift += np.log(_note_ratios(catalog, coffee.notes, ax))
    half = np.sqrt(spread)
    made = CoffeeBase(
        coffee=coffee,
        brew=brew,
        origin=catalog.origins.get(coffee.origin or ""),
        axis=ax,
        low=low * np.exp(shift - half),
        best=best * np.exp(shift),
        high=high * np.exp(shift + half),
        taste=_tasting(catalog, coffee.notes, taste),
        caffeine_mg=_caffeine(catalog, coffee, brew, used),
        source_ids=tuple(dict.fromkeys(used)),
        tasted=rests,
    )
    return _with_heard(catalog, made, _heard(catalog, coffee))


def _note_ratios(catalog: Catalog, notes: tuple[str, ...], ax: Axis) -> Array:
    """(n_compounds,) ratio of each aroma group among the notes to its share in all notes."""
    out = np.ones(len(ax.compounds))
    found: dict[str, float] = defaultdict(float)
    for note in notes:
        for group, weight in group_weights(catalog.notes[note]).items():
            found[group] += weight
    usual = cups(catalog).usual_groups()
    for k, group in enumerate(ax.groups):
        expected = len(notes) * usual.get(group, 0.0)
        out[ax.group_of == k] = (found[group] + 1.0) / (expected + 1.0)
    return out


NOTE_OF_TASTE = 1.2  # how far a word of taste on the bag moves that taste: our estimate


def _tasting(catalog: Catalog, notes: tuple[str, ...], taste: dict[str, float]) -> dict[str, float]:
    """Taste ratios with the words of taste among the notes."""
    said = {catalog.notes[n].taste for n in notes}
    return {t: v * (NOTE_OF_TASTE if t in said else 1.0) for t, v in taste.items()}


def _with_heard(catalog: Catalog, base_: CoffeeBase, heard: dict[str, float]) -> CoffeeBase:
    """A base in which the odorants of noticed notes are at least as loud as they are noticed."""
    ax = base_.axis
    floor = np.zeros(len(ax.compounds))
    for note, weight in heard.items():
        for compound in catalog.notes[note].compound_ids:
            j = ax.position[compound]
            if np.isfinite(ax.threshold_best[j]):
                floor[j] = max(floor[j], weight * HEARD_OAV * ax.threshold_best[j])
    return replace(
        base_,
        low=np.maximum(base_.low, floor / 3),
        best=np.maximum(base_.best, floor),
        high=np.maximum(base_.high, floor * 3),
    )


def _mixed(catalog: Catalog, coffee: Coffee) -> CoffeeBase:
    """A blend of coffees: everything in it is the sum of its parts by their shares."""
    bases = [(share, base(catalog, part)) for share, part in coffee.parts]
    first = bases[0][1]
    made = CoffeeBase(
        coffee=coffee,
        brew=first.brew,
        origin=None,
        axis=first.axis,
        low=np.sum([share * b.low for share, b in bases], axis=0),
        best=np.sum([share * b.best for share, b in bases], axis=0),
        high=np.sum([share * b.high for share, b in bases], axis=0),
        taste={t: sum(share * b.taste[t] for share, b in bases) for t in TASTES},
        caffeine_mg=(
            sum(share * b.caffeine_mg[0] for share, b in bases),
            sum(share * b.caffeine_mg[1] for share, b in bases),
        ),
        source_ids=tuple(dict.fromkeys(i for _, b in bases for i in b.source_ids)),
    )
    return _with_heard(catalog, made, dict.fromkeys(coffee.notes, 1.0))


def brewed(
    catalog: Catalog,
    origin: str | None = None,
    process: str | None = None,
    roast: str = "medium",
    brew: str = "double-espresso",
    species: str | None = None,
    variety: str | None = None,
    notes: str | Iterable[str] | None = None,
) -> CoffeeBase:
    """Describe a coffee and work out its base in one call; see :func:`describe`.

    Parameters
    ----------
    catalog : Catalog
    origin, process, roast, brew, species, variety : str, optional
        Names or the trade's words; what is not said is the origin's usual.
    notes : str or iterable of str, optional
        What the bag says it tastes of.

    Returns
    -------
    CoffeeBase

    Raises
    ------
    UnknownNameError
        With the known names, or the meanings of a word that has several.
    PairingError
        For an empty name or no notes; when the base has no odorants.
    """
    return base(catalog, describe(catalog, origin, process, roast, brew, species, variety, notes))


@once_per_catalog
def plain_coffee(catalog: Catalog, brew: str = "double-espresso") -> CoffeeBase:
    """The plain coffee of a brew, a medium washed arabica, that others are compared with.

    Parameters
    ----------
    catalog : Catalog
    brew : str, optional
        A brew's id.

    Returns
    -------
    CoffeeBase
        Worked out once per catalogue and brew.
    """
    return brewed(catalog, brew=brew)
