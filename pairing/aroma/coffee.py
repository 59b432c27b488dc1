"""Coffee: a description (origin, process, roast, brew, species) becomes an aroma and taste base."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from statistics import median

import numpy as np

from pairing.aroma.odour import Array, Axis, axis
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import best_estimate
from pairing.evidence.rows import Brew, Modifier, Origin
from pairing.evidence.spelling import normalise

__all__ = [
    "COFFEE",
    "TASTES",
    "Coffee",
    "CoffeeBase",
    "base",
    "brewed",
    "describe",
    "is_level",
    "levels",
    "plain_coffee",
]

COFFEE = "coffee"  # the id of coffee among the ingredients of a pair
TASTES = ("acidity", "bitterness", "body", "sweetness")
FACTORS = ("origin", "process", "roast", "brew", "species")
# the level at which the base was measured: no modifier rows
REFERENCE_LEVELS = {"species": "arabica", "roast": "medium", "process": "washed"}
LEVEL_ALIASES = {
    "process": {
        "wet": "washed",
        "fully-washed": "washed",
        "dry": "natural",
        "pulped-natural": "honey",
        "giling-basah": "wet-hulled",
        "carbonic-maceration": "anaerobic",
        "decaf": "decaffeinated",
    },
    "species": {"canephora": "robusta", "coffea-arabica": "arabica", "coffea-canephora": "robusta"},
    "roast": {
        "blonde": "light",
        "filter-roast": "light",
        "city": "medium",
        "full-city": "medium-dark",
        "espresso-roast": "medium-dark",
        "french": "dark",
        "italian": "dark",
    },
    "brew": {},
}


@dataclass(frozen=True, slots=True)
class Coffee:
    """A coffee as a bar would describe it; all names are ids of the catalogue."""

    origin: str | None
    process: str
    roast: str
    brew: str
    species: str

    @property
    def words(self) -> str:
        """Short description, such as ``washed Burundi arabica, light roast, double espresso``."""
        place = f"{self.origin.replace('-', ' ').title()} " if self.origin else ""
        nowhere = "" if self.origin else " of no named origin"
        return (
            f"{self.process} {place}{self.species}{nowhere}, {self.roast} roast, "
            f"{self.brew.replace('-', ' ')}"
        )


@dataclass(frozen=True)
class CoffeeBase:
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

    @property
    def oav(self) -> Array:
        """(n_compounds,) odour activity values in the brewed coffee."""
        with np.errstate(invalid="ignore"):
            return np.nan_to_num(self.best / self.axis.threshold_best)


def levels(catalog: Catalog, factor: str) -> tuple[str, ...]:
    """Known levels of ``species``, ``roast``, ``process``, ``brew`` or ``origin``."""
    if factor == "origin":
        return tuple(catalog.origins)
    if factor == "brew":
        return tuple(catalog.brews)
    known = dict.fromkeys([REFERENCE_LEVELS[factor]])
    for row in catalog.modifiers:
        if row.factor == factor:
            known.setdefault(row.level)
    return tuple(known)


def is_level(catalog: Catalog, factor: str, name: str) -> bool:
    """Whether a name is a level of ``species``, ``roast``, ``process``, ``brew`` or ``origin``."""
    if factor == "origin":
        return catalog.is_origin(name)
    if factor == "brew":
        return catalog.is_brew(name)
    key = normalise(name)
    return LEVEL_ALIASES[factor].get(key, key) in levels(catalog, factor)


def _not_misplaced(catalog: Catalog, factor: str, name: str) -> None:
    """Say where a word belongs that is no level of this factor but of another."""
    if is_level(catalog, factor, name):
        return
    for other in FACTORS:
        if is_level(catalog, other, name):
            article = "an" if other[0] in "aeiou" else "a"
            message = f"{name} is {article} {other}: give it with --{other}"
            raise UnknownNameError(f"coffee {factor}", name, message=message)


def _level(catalog: Catalog, factor: str, name: str) -> str:
    _not_misplaced(catalog, factor, name)
    key = normalise(name)
    key = LEVEL_ALIASES[factor].get(key, key)
    known = levels(catalog, factor)
    by_key = {normalise(k): k for k in known}
    if key not in by_key:
        raise UnknownNameError(f"coffee {factor}", name, known)
    return by_key[key]


def describe(
    catalog: Catalog,
    origin: str | None = None,
    process: str | None = None,
    roast: str = "medium",
    brew: str = "double-espresso",
    species: str | None = None,
) -> Coffee:
    """Check a coffee description and fill what is not said from the origin's usual.

    Parameters
    ----------
    catalog : Catalog
    origin, process, roast, brew, species : str, optional
        Names or aliases; ``espresso`` is a double.

    Raises
    ------
    UnknownNameError
        With the known names.
    """
    said = {"origin": origin, "process": process, "roast": roast, "brew": brew, "species": species}
    for factor, name in said.items():
        if name is not None and not normalise(name):
            raise PairingError(f"the {factor} of the coffee is {name!r}; name one or leave it out")
    if origin:
        _not_misplaced(catalog, "origin", origin)
    _not_misplaced(catalog, "brew", brew)
    place = catalog.origin(origin) if origin else None
    return Coffee(
        origin=place.origin_id if place else None,
        process=_level(catalog, "process", process or (place.usual_process if place else "washed")),
        roast=_level(catalog, "roast", roast),
        brew=catalog.brew(brew).brew_id,
        species=_level(
            catalog, "species", species or (place.usual_species if place else "arabica")
        ),
    )


def _rows(catalog: Catalog, coffee: Coffee) -> list[Modifier]:
    chosen = {
        "species": coffee.species,
        "roast": coffee.roast,
        "process": coffee.process,
        "brew": coffee.brew,
        "origin": coffee.origin,
    }
    return [m for m in catalog.modifiers if chosen.get(m.factor) == m.level]


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
        if row.level == getattr(coffee, row.factor):
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

    Raises
    ------
    PairingError
        When the base has no odorants.
    """
    ax = axis(catalog)
    low, best, high = _base_odorants(catalog, ax)
    if not best.any():
        raise PairingError("coffee_odorants.csv has no odorant that compounds.csv knows")
    brew = catalog.brews[coffee.brew]
    shift = np.zeros(len(ax.compounds))
    spread = np.zeros(len(ax.compounds))
    taste = dict.fromkeys(TASTES, 1.0)
    used: list[str] = [r.source_id for r in catalog.odorants] + [brew.source_id]
    rows = _rows(catalog, coffee)
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
    half = np.sqrt(spread)
    return CoffeeBase(
        coffee=coffee,
        brew=brew,
        origin=catalog.origins.get(coffee.origin or ""),
        axis=ax,
        low=low * np.exp(shift - half),
        best=best * np.exp(shift),
        high=high * np.exp(shift + half),
        taste=taste,
        caffeine_mg=_caffeine(catalog, coffee, brew, used),
        source_ids=tuple(dict.fromkeys(used)),
    )


def brewed(
    catalog: Catalog,
    origin: str | None = None,
    process: str | None = None,
    roast: str = "medium",
    brew: str = "double-espresso",
    species: str | None = None,
) -> CoffeeBase:
    """Describe a coffee and work out its base in one call; see :func:`describe`."""
    return base(catalog, describe(catalog, origin, process, roast, brew, species))


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
