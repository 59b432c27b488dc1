"""A coffee as a bar describes it: origin, process, roast, brew, species, variety, and its notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from pairing.aroma.notes import read_notes
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import shortened
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import CoffeeWord
from pairing.evidence.spelling import normalise

__all__ = [
    "FACTORS",
    "GESHA",
    "GESHA_TASTED_AS",
    "REFERENCE_LEVELS",
    "Coffee",
    "called_brew",
    "describe",
    "level_of",
    "levels",
    "meanings",
    "trade_word",
]

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
    called : str
        The trade's word for the brew, such as ``phin``, where it is reckoned as another.
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
    called: str = ""

    @property
    def words(self) -> str:
        """Short description, such as ``washed Burundi arabica, light roast, double espresso``."""
        brew = self.brew.replace("-", " ")
        brew = f"{self.called} (reckoned as {brew})" if self.called else brew
        said = f"{self.beans}, {brew}"
        return f"{said}, tasting of {', '.join(self.notes)}" if self.notes else said

    @property
    def beans(self) -> str:
        """The coffee without its brew; of a blend, its parts."""
        if self.parts:
            return " + ".join(f"{share * 100:.0f} % {part.beans}" for share, part in self.parts)
        place = f"{self.origin.replace('-', ' ').title()} " if self.origin else ""
        nowhere = "" if self.origin else " of no named origin"
        gesha = self.variety == GESHA and self.origin != GESHA_TASTED_AS
        kind = f"Gesha {self.species}" if gesha else self.species
        decaf = "decaffeinated " if self.decaf else ""
        return f"{decaf}{self.process} {place}{kind}{nowhere}, {self.roast} roast"

    @property
    def spoken(self) -> str:
        """Words that :func:`pairing.aroma.spoken.read_coffee` reads back; the notes are apart."""
        if self.parts:
            said = ", ".join(
                f"{100 * share:.4g}% {replace(part, brew='', called='').spoken.strip()}"
                for share, part in self.parts
            )
            return f"{said}, {self.called or self.brew}"
        words = [
            "decaf" if self.decaf else "",
            self.process,
            self.variety if self.origin != GESHA_TASTED_AS else "",
            self.origin or "",
            self.species,
            self.roast,
            self.called or self.brew,
        ]
        return " ".join(w for w in words if w)


def levels(catalog: Catalog, factor: str) -> tuple[str, ...]:
    """Known levels of ``species``, ``roast``, ``process``, ``brew``, ``origin`` or ``variety``.

    Parameters
    ----------
    catalog : Catalog
    factor : str
        One of ``FACTORS``.

    Returns
    -------
    tuple of str
        In the order of the tables; the reference level first where there is one.
    """
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

    Parameters
    ----------
    catalog : Catalog
    name : str
        In any spelling.

    Returns
    -------
    CoffeeWord or None
        None for a word that the table does not hold.

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


def meanings(catalog: Catalog, name: str) -> tuple[str, ...]:
    """The meanings of a word of the trade that has several; empty for any other word.

    Parameters
    ----------
    catalog : Catalog
    name : str
        In any spelling.

    Returns
    -------
    tuple of str
    """
    found = _spoken(catalog).get(normalise(name))
    return found[0].choices if found else ()


def called_brew(catalog: Catalog, name: str) -> str:
    """The Latin word for a brew reckoned as another; empty for a brew's own name or a mark.

    Parameters
    ----------
    catalog : Catalog
    name : str
        In any spelling.

    Returns
    -------
    str
    """
    word = None if catalog.is_brew(name) else trade_word(catalog, name)
    if word is None or word.mark or not word.means.startswith("brew="):
        return ""
    if word.word[0] > "\u024f":  # other scripts are read, and answered in this one
        return ""
    own = word.means.partition("=")[2].replace("-", " ")
    return "" if normalise(name) in normalise(own) else word.word


def level_of(catalog: Catalog, factor: str, name: str) -> str | None:
    """The level that a name means, or None.

    Parameters
    ----------
    catalog : Catalog
    factor : str
        One of ``FACTORS``.
    name : str
        In any spelling, or a word of the trade.

    Returns
    -------
    str or None

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
    """Whether a name is a level of one of the ``FACTORS``.

    Parameters
    ----------
    catalog : Catalog
    factor : str
        One of ``FACTORS``.
    name : str
        In any spelling, or a word of the trade.

    Returns
    -------
    bool
        False also for a word of several meanings.
    """
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

    Returns
    -------
    Coffee

    Raises
    ------
    UnknownNameError
        With the known names, or the meanings of a word that has several.
    PairingError
        For a name or notes that are empty.
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
    if species is None and origin and not meanings(catalog, origin):
        district = trade_word(catalog, origin)  # Bugisu is arabica in a country of robusta
        if district is not None and district.factor == "species":
            species = district.means.partition("=")[2]
            treated = treated or REFERENCE_LEVELS["process"]
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
        called=called_brew(catalog, brew),
    )
