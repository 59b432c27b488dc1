"""Coffee: a description (origin, process, roast, brew, species) becomes an aroma and taste base."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

import numpy as np

from pairing.aroma.notes import read_notes
from pairing.aroma.odour import Array, Axis, axis
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import shortened
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import best_estimate
from pairing.evidence.rows import Brew, CoffeeWord, Modifier, Origin
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
    "level_of",
    "levels",
    "plain_coffee",
    "trade_word",
]

COFFEE = "coffee"  # the id of coffee among the ingredients of a pair
TASTES = ("acidity", "bitterness", "body", "sweetness")
GESHA = "gesha"  # the one variety told apart; its cups were tasted from Panama
GESHA_TASTED_AS = "panama-gesha"
DECAFFEINATED = "decaffeinated"
FACTORS = ("origin", "process", "roast", "brew", "species", "variety")
# the level at which the base was measured: no modifier rows
REFERENCE_LEVELS = {"species": "arabica", "roast": "medium", "process": "washed"}


@dataclass(frozen=True, slots=True)
class Coffee:
    """A coffee as a bar would describe it; all names are ids of the catalogue.

    Attributes
    ----------
    origin : str or None
    process, roast, brew, species : str
    variety : str or None
        Only Gesha is told apart.
    decaf : bool
    notes : tuple of str
        What this lot is said to taste of, as words of the note lexicon.
    parts : tuple of (float, Coffee)
        The coffees of a blend with their shares, which add to 1; empty for one coffee.
    idle : tuple of str
        Words that were understood but of which nothing is known here.
    """

    origin: str | None
    process: str
    roast: str
    brew: str
    species: str
    variety: str | None = None
    decaf: bool = False
    notes: tuple[str, ...] = ()
    parts: tuple[tuple[float, Coffee], ...] = ()
    idle: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """Short description, such as ``washed Burundi arabica, light roast, double espresso``."""
        if self.parts:
            said = " + ".join(f"{share * 100:.0f} % {part.beans}" for share, part in self.parts)
        else:
            said = self.beans
        said = f"{said}, {self.brew.replace('-', ' ')}"
        return f"{said}, tasting of {', '.join(self.notes)}" if self.notes else said

    @property
    def beans(self) -> str:
        """The coffee without its brew."""
        place = f"{self.origin.replace('-', ' ').title()} " if self.origin else ""
        nowhere = "" if self.origin else " of no named origin"
        gesha = self.variety == GESHA and self.origin != GESHA_TASTED_AS
        kind = f"Gesha {self.species}" if gesha else self.species
        decaf = "decaffeinated " if self.decaf else ""
        return f"{decaf}{self.process} {place}{kind}{nowhere}, {self.roast} roast"


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
    """Known levels of ``species``, ``roast``, ``process``, ``brew``, ``origin`` or ``variety``."""
    if factor == "origin":
        return tuple(catalog.origins)
    if factor == "brew":
        return tuple(catalog.brews)
    if factor == "variety":
        return (GESHA,)
    known = dict.fromkeys([REFERENCE_LEVELS[factor]])
    for row in catalog.modifiers:
        if row.factor == factor:
            known.setdefault(row.level)
    return tuple(known)


@once_per_catalog
def _spoken(catalog: Catalog) -> dict[str, list[CoffeeWord]]:
    """Words of the trade by their spelling key."""
    out: dict[str, list[CoffeeWord]] = defaultdict(list)
    for word in catalog.coffee_words:
        out[normalise(word.word)].append(word)
    return dict(out)


def trade_word(catalog: Catalog, name: str) -> CoffeeWord | None:
    """What a word of the trade means, where it is no level itself.

    Raises
    ------
    UnknownNameError
        For a word of several meanings, with them.
    """
    found = _spoken(catalog).get(normalise(name))
    if not found:
        return None
    word = found[0]
    if word.choices:
        shown = "that word" if word.mark else shortened(name)
        message = f"{shown} can mean {' or '.join(word.choices)}; say which"
        raise UnknownNameError("word for a coffee", name, word.choices, message=message)
    return word


def level_of(catalog: Catalog, factor: str, name: str) -> str | None:
    """The level that a name means, or None.

    Raises
    ------
    UnknownNameError
        For a word of several meanings.
    """
    key = normalise(name)
    if factor == "origin":
        return catalog.origin(name).origin_id if catalog.is_origin(name) else None
    if factor == "brew" and catalog.is_brew(name):
        return catalog.brew(name).brew_id
    for known in levels(catalog, factor):
        if normalise(known) == key:
            return known
    word = trade_word(catalog, name)
    if word is not None and word.means.startswith(f"{factor}="):
        return word.means.partition("=")[2]
    return None


def is_level(catalog: Catalog, factor: str, name: str) -> bool:
    """Whether a name is a level of one of the ``FACTORS``."""
    try:
        return level_of(catalog, factor, name) is not None
    except UnknownNameError:
        return False


def _level(catalog: Catalog, factor: str, name: str) -> str:
    found = level_of(catalog, factor, name)
    if found is not None:
        return found
    for other in FACTORS:
        if is_level(catalog, other, name):
            article = "an" if other[0] in "aeiou" else "a"
            message = f"{name} is {article} {other}: give it with --{other}"
            raise UnknownNameError(f"coffee {factor}", name, message=message)
    if factor == "origin":
        return catalog.origin(name).origin_id
    if factor == "brew":
        return catalog.brew(name).brew_id
    raise UnknownNameError(f"coffee {factor}", name, levels(catalog, factor))


def describe(
    catalog: Catalog,
    origin: str | None = None,
    process: str | None = None,
    roast: str = "medium",
    brew: str = "double-espresso",
    species: str | None = None,
    variety: str | None = None,
    notes: str | Iterable[str] | None = None,
) -> Coffee:
    """Check a coffee description and fill what is not said from the origin's usual.

    Parameters
    ----------
    catalog : Catalog
    origin, process, roast, brew, species, variety : str, optional
        Names or the trade's words; ``espresso`` is a double, ``decaf`` is said as a process, and
        Gesha without an origin is Panama's.
    notes : str or iterable of str, optional
        What the bag says it tastes of, such as ``"black currant, grapefruit"``.

    Raises
    ------
    UnknownNameError
        With the known names, or the meanings of a word that has several.
    """
    said = {"origin": origin, "process": process, "roast": roast, "brew": brew,
            "species": species, "variety": variety}  # fmt: skip
    for factor, name in said.items():
        if name is not None and not normalise(name):
            raise PairingError(f"the {factor} of the coffee is {name!r}; name one or leave it out")
    if origin and variety is None and is_level(catalog, "variety", origin):
        origin, variety = None, origin
    kind = _level(catalog, "variety", variety) if variety else None
    place_id = _level(catalog, "origin", origin) if origin else None
    if kind == GESHA and place_id in (None, "panama") and GESHA_TASTED_AS in catalog.origins:
        place_id = GESHA_TASTED_AS
    if place_id == GESHA_TASTED_AS:
        kind = GESHA
    place = catalog.origins[place_id] if place_id else None
    treated = _level(catalog, "process", process) if process else None
    decaf = treated == DECAFFEINATED
    if decaf:
        treated = None
    return Coffee(
        origin=place_id,
        process=treated or (place.usual_process if place else "washed"),
        roast=_level(catalog, "roast", roast),
        brew=_level(catalog, "brew", brew),
        species=_level(catalog, "species", species)
        if species
        else (place.usual_species if place else "arabica"),
        variety=kind,
        decaf=decaf,
        notes=read_notes(catalog, notes) if notes is not None else (),
    )


def _rows(catalog: Catalog, coffee: Coffee) -> list[Modifier]:
    chosen = {
        ("species", coffee.species),
        ("roast", coffee.roast),
        ("process", coffee.process),
        ("brew", coffee.brew),
        ("origin", GESHA_TASTED_AS if coffee.variety == GESHA else coffee.origin),
    }
    if coffee.decaf:
        chosen.add(("process", DECAFFEINATED))
    return [m for m in catalog.modifiers if (m.factor, m.level) in chosen]


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
    return made


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
    """Describe a coffee and work out its base in one call; see :func:`describe`."""
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
