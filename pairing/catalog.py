"""The catalogue: typed records read from the data package, and tolerant name lookup.

Tables load when first asked for, with the standard library alone, so that a command that
needs three of them does not pay for twenty.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache, cached_property, lru_cache
from itertools import combinations
from pathlib import Path
from typing import Any, Generic, TypeVar, cast, get_type_hints

from pairing.errors import PairingError, UnknownNameError

__all__ = [
    "Brew",
    "CaffeineRatio",
    "Catalog",
    "Compound",
    "Content",
    "Form",
    "FormMaterial",
    "Glass",
    "Group",
    "HouseholdMeasure",
    "Ingredient",
    "Modifier",
    "NameIndex",
    "Odorant",
    "Origin",
    "Source",
    "Sweetener",
    "Threshold",
    "Tradition",
    "data_folder",
    "load",
    "normalise",
    "read_rows",
]

MAX_TABLE_BYTES = 20_000_000


# --- records: field order is column order -------------------------------------------------


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, standard, regulation, or trade practice that facts are cited from."""

    source_id: str
    citation: str
    year: str
    kind: str
    licence: str
    url: str
    note: str


@dataclass(frozen=True, slots=True)
class Group:
    """An aroma group: compounds that share chemistry and smell."""

    group_id: str
    name: str
    words: str
    colour: str
    source_id: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Compound:
    """An odorant (or pungent principle) and its physical constants."""

    compound_id: str
    name: str
    cas: str
    synonyms: tuple[str, ...]
    molar_mass_g_per_mol: float | None
    boiling_point_c: float | None
    log_p: float | None
    water_solubility_mg_per_l: float | None
    group_id: str
    odour: tuple[str, ...]
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Threshold:
    """One published odour threshold in water, ug/l."""

    compound_id: str
    low_ug_per_l: float
    high_ug_per_l: float
    kind: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A plant (or sweetener) that goes into a syrup, whatever its form."""

    ingredient_id: str
    name: str
    botanical_name: str
    kind: str
    aliases: tuple[str, ...]
    season_months: tuple[int, ...]
    price_band: int | None
    colour: str
    taste: tuple[str, ...]
    regulated: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Form:
    """An ingredient as it is weighed: slices, peel, juice, crushed pods, ground ..."""

    form_id: str
    ingredient_id: str
    form: str
    is_default: bool
    label: str
    unit_name: str
    unit_mass_g: float | None
    water_percent: float | None
    brix_low: float | None
    brix_high: float | None
    acid_percent_low: float | None
    acid_percent_high: float | None
    ph_low: float | None
    ph_high: float | None
    juice_yield_percent_low: float | None
    juice_yield_percent_high: float | None
    dose_low_g_per_kg: float | None
    dose_high_g_per_kg: float | None
    method: str
    minutes_low: float | None
    minutes_high: float | None
    temperature_c: float | None
    particle_mm: float | None
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class FormMaterial:
    """How much of an analysed material (peel oil, juice ...) a form holds, % w/w."""

    form_id: str
    material: str
    percent_low: float
    percent_high: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Content:
    """One published amount of a compound in a material of an ingredient."""

    ingredient_id: str
    material: str
    compound_id: str
    low: float
    high: float
    unit: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Odorant:
    """One published amount of an odorant in the base brew, ug/l."""

    compound_id: str
    low_ug_per_l: float
    high_ug_per_l: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Modifier:
    """How a level of roast, process ... multiplies a compound, a group or a taste."""

    factor: str
    level: str
    target_kind: str
    target_id: str
    ratio_low: float
    ratio_high: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class CaffeineRatio:
    """How a species or process multiplies the caffeine of a brew."""

    factor: str
    level: str
    ratio_low: float
    ratio_high: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Origin:
    """A coffee origin."""

    origin_id: str
    name: str
    aliases: tuple[str, ...]
    region: str
    usual_species: str
    usual_process: str
    cup_notes: tuple[str, ...]
    acidity: str
    body: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Brew:
    """A way to brew coffee, with what lands in the glass."""

    brew_id: str
    name: str
    aliases: tuple[str, ...]
    dose_g: float
    beverage_g: float
    volume_ml: float
    tds_percent: float
    caffeine_low_mg: float
    caffeine_high_mg: float
    ph_low: float
    ph_high: float
    temperature_c: float
    density_kg_per_m3: float
    strength_ratio_low: float
    strength_ratio_high: float
    acid_mmol_per_l: float | None
    buffer_mmol_per_l_ph: float | None
    crema_percent: float | None
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Tradition:
    """A place where people already drink these together."""

    tradition_id: str
    region: str
    name: str
    ingredient_ids: tuple[str, ...]
    with_coffee: bool
    how: str
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Sweetener:
    """A sugar or syrup to sweeten with; percentages are % w/w as bought."""

    sweetener_id: str
    name: str
    aliases: tuple[str, ...]
    water_percent: float
    sucrose_percent: float
    glucose_percent: float
    fructose_percent: float
    other_sugars_percent: float
    polyol_percent: float
    acid_percent: float | None
    ash_percent: float | None
    sweetness_relative: float
    kcal_per_100g: float
    ph: float | None
    colour: str
    aroma_ingredient_id: str
    price_band: int | None
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class HouseholdMeasure:
    """Grams in a cup, spoon or piece."""

    item_id: str
    measure: str
    grams: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Glass:
    """A glass or cup."""

    glass_id: str
    name: str
    volume_ml: float
    mass_g: float
    heat_resistant: bool
    source_id: str
    evidence: str
    note: str


# --- reading ------------------------------------------------------------------------------


def _number(text: str) -> float:
    return float(text)


def _optional_number(text: str) -> float | None:
    return float(text) if text else None


def _optional_integer(text: str) -> int | None:
    return int(float(text)) if text else None


def _words(text: str) -> tuple[str, ...]:
    return tuple(w.strip() for w in text.split(";") if w.strip()) if text else ()


def _integers(text: str) -> tuple[int, ...]:
    return tuple(int(w) for w in text.split(";") if w.strip()) if text else ()


def _yes(text: str) -> bool:
    return text == "yes"


_CONVERTERS: dict[Any, Callable[[str], Any]] = {
    str: str,
    float: _number,
    float | None: _optional_number,
    int | None: _optional_integer,
    tuple[str, ...]: _words,
    tuple[int, ...]: _integers,
    bool: _yes,
}

R = TypeVar("R")


@cache
def converters(record: type[Any]) -> tuple[tuple[str, Callable[[str], Any]], ...]:
    """Field names of a record with the function that reads each from text."""
    hints = get_type_hints(record)
    return tuple((f.name, _CONVERTERS[hints[f.name]]) for f in fields(record))


def read_rows(path: Path) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a CSV file.

    Parameters
    ----------
    path : Path
        A UTF-8 CSV file with a header line.

    Returns
    -------
    (header, rows)

    Raises
    ------
    PairingError
        When the file is missing, empty, too large, not UTF-8, not CSV, or a row has the
        wrong number of cells; the message names file and line.
    """
    try:
        size = path.stat().st_size
    except OSError:
        raise PairingError(f"{path.name}: no such file in {path.parent.name}/") from None
    if size == 0:
        raise PairingError(f"{path.name} is empty; it should start with a header line")
    if size > MAX_TABLE_BYTES:
        raise PairingError(
            f"{path.name} has {size / 1e6:.0f} MB; a table may have at most "
            f"{MAX_TABLE_BYTES / 1e6:.0f} MB"
        )
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as err:
        raise PairingError(
            f"{path.name} is not UTF-8 text (byte {err.start}); save it as UTF-8"
        ) from None
    if "\0" in text:
        raise PairingError(f"{path.name} holds NUL bytes; it should be a UTF-8 CSV text")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        rows = [row for row in reader if row]
    except csv.Error as err:
        raise PairingError(f"{path.name} line {reader.line_num}: not CSV ({err})") from None
    if not rows:
        raise PairingError(f"{path.name} is empty; it should start with a header line")
    header, body = rows[0], rows[1:]
    if not body:
        raise PairingError(f"{path.name} has a header but no rows")
    for number, row in enumerate(body, 2):
        if len(row) != len(header):
            raise PairingError(
                f"{path.name} row {number}: {len(row)} cells, the header has {len(header)}"
            )
    return header, body


def records(record: type[R], path: Path) -> tuple[R, ...]:
    """Read a table into records; columns must be the record's fields, in any order."""
    header, rows = read_rows(path)
    plan = converters(cast(Any, record))
    wanted = [name for name, _ in plan]
    missing = [name for name in wanted if name not in header]
    if missing:
        raise PairingError(f"{path.name} lacks the column {missing[0]!r}")
    order = [(header.index(name), convert) for name, convert in plan]
    try:
        return tuple(record(*[convert(row[i]) for i, convert in order]) for row in rows)
    except ValueError:
        _blame(path, rows, header, plan)
        raise


def _blame(
    path: Path,
    rows: list[list[str]],
    header: list[str],
    plan: Iterable[tuple[str, Callable[[str], Any]]],
) -> None:
    for number, row in enumerate(rows, 2):
        for name, convert in plan:
            value = row[header.index(name)]
            try:
                convert(value)
            except ValueError:
                raise PairingError(
                    f"{path.name} row {number}, column {name}: {value!r} is not a number"
                ) from None


def data_folder() -> Path:
    """Folder of the shipped data package (inside the wheel, or beside a checkout)."""
    inside = Path(__file__).resolve().parent / "data"
    return inside if inside.is_dir() else inside.parent.parent / "data"


# --- names --------------------------------------------------------------------------------

_SPLIT = re.compile(r"[\W_]+", re.UNICODE)
_GENITIVE = re.compile(r"['\u2019`]s\b")
# Letters that Unicode does not take apart.
_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i"})
MAX_NAME = 100

# Small words that carry nothing in a name.
_LINKS = (
    "a of the de d du des da do dos di del della dello dell dei la le l lo les los las el il al "
    "der die das den von vom en em in ka ki ke no freshly finely coarsely organic unwaxed"
)
LINK_WORDS = frozenset(_LINKS.split())


def _singular(token: str) -> str:
    if len(token) > 4 and token.endswith("ies"):
        return token[:-3] + "y"
    if len(token) > 4 and token.endswith(("shes", "ches", "xes", "oes", "sses")):
        return token[:-2]
    if token in {"leaves", "halves"}:
        return token[:-3] + "f"
    if len(token) > 3 and token.endswith("s") and not token.endswith(("ss", "us", "is")):
        return token[:-1]
    return token


def normalise(name: str) -> str:
    """Fold case, accents, ligatures and plurals: ``"Limes, Persian"`` -> ``"lime-persian"``.

    Letters of other scripts are kept as they are.
    """
    folded = name.casefold()
    if not folded.isascii():
        folded = unicodedata.normalize("NFKD", folded.translate(_LETTERS))
        folded = "".join(c for c in folded if not unicodedata.combining(c))
        folded = unicodedata.normalize("NFC", folded)
    folded = _GENITIVE.sub("s", folded)
    return "-".join([_singular(t) for t in _SPLIT.split(folded) if t])


def _without_links(key: str) -> str:
    return "-".join([t for t in key.split("-") if t not in LINK_WORDS])


def _likeness(one: str, other: str) -> float:
    from difflib import SequenceMatcher

    return SequenceMatcher(None, one, other).ratio()


def _least_likeness(key: str) -> float:
    """How alike a guess must be: a short name has to be almost right."""
    return {5: 0.8, 6: 0.82}.get(len(key), 0.86 if len(key) < 5 else 0.75)


def _pairs_of_letters(key: str) -> set[str]:
    padded = f"^{key}$"
    return {padded[i : i + 2] for i in range(len(padded) - 1)}


def _shown(name: str) -> str:
    """A name as an error message repeats it: one line, not long."""
    line = " ".join(name.split())
    return line if len(line) <= 60 else line[:57] + "..."


class NameIndex(Generic[R]):
    """Names to records, tolerant of case, accents, plurals, punctuation and small words.

    Parameters
    ----------
    what : str
        The word used in error messages, such as ``"coffee origin"``.
    listed : str, optional
        What ``pairing list`` calls the records.
    """

    def __init__(self, what: str, listed: str = "") -> None:
        self.what = what
        self.listed = listed
        self._by_key: dict[str, tuple[str, R]] = {}
        self._loose: dict[str, str] = {}
        self._hints: dict[str, tuple[str, ...]] = {}

    def add(self, identifier: str, names: Iterable[str], record: R) -> None:
        """Register a record under its id and further names; the first claim to a name wins."""
        for name in (identifier, *names):
            key = normalise(name)
            if key and key not in self._by_key:
                self._by_key[key] = (identifier, record)
                self._loose.setdefault(_without_links(key), key)

    def hint(self, name: str, identifiers: tuple[str, ...]) -> None:
        """A name that stands for no one record, but that a misspelt name may be near."""
        self._hints[normalise(name)] = identifiers

    def get(self, name: str) -> R | None:
        """Record of a name, or None."""
        key = normalise(name)
        hit = self._by_key.get(key)
        if hit is None:
            loose = _without_links(key)
            hit = self._by_key.get(self._loose.get(loose, "")) if loose else None
        return hit[1] if hit else None

    def find(self, name: str) -> R:
        """Record of a name.

        Raises
        ------
        UnknownNameError
            With the nearest known ids.
        """
        record = self.get(name)
        if record is None:
            raise self.unknown(name)
        return record

    def unknown(self, name: str) -> UnknownNameError:
        """The error for a name that is not here, with the nearest known ids."""
        nearest = self.nearest(name)
        hint = f"; `pairing list {self.listed}` shows all" if self.listed else ""
        if not normalise(name):
            message = f"unknown {self.what} {_shown(name)!r}: no name in it{hint}"
        elif len(name) > MAX_NAME:
            message = (
                f"unknown {self.what} {_shown(name)!r}: a name has at most {MAX_NAME} characters"
            )
        elif not nearest:
            message = f"unknown {self.what} {_shown(name)!r}{hint}"
        else:
            return UnknownNameError(self.what, name, nearest)
        return UnknownNameError(self.what, name, message=message)

    def nearest(self, name: str, count: int = 3) -> list[str]:
        """Ids of the nearest names, best first; none when nothing is near.

        Names that begin like this one come first, then a name all but equal, then those that
        share a telling word, then those that are spelt alike.
        """
        key = normalise(name)
        if not key or len(name) > MAX_NAME:
            return []
        alike = self._spelt_like(key)
        equal = [k for k, likeness in alike.items() if likeness >= 0.9]
        found = [*self._beginning(key), *equal, *self._sharing_a_word(key), *alike]
        ids = (i for k in found for i in self._ids(k))
        return list(dict.fromkeys(ids))[:count]

    def _ids(self, key: str) -> tuple[str, ...]:
        return self._hints[key] if key in self._hints else (self._by_key[key][0],)

    def _beginning(self, key: str) -> list[str]:
        if len(key) < 4:
            return []
        keys = (k for k in (*self._by_key, *self._hints) if k.startswith(key))
        return sorted(keys, key=lambda k: (len(k), k))

    def _sharing_a_word(self, key: str) -> list[str]:
        words = {t for t in key.split("-") if _is_telling(t)}
        shared = {k for t in words for k in self._by_token.get(t, ())}
        alike = {
            k: len(words & set(k.split("-"))) + _overlap(_pairs_of_letters(key), k) for k in shared
        }
        return sorted(alike, key=lambda k: (-alike[k], k))

    def _spelt_like(self, key: str) -> dict[str, float]:
        counts: dict[str, int] = defaultdict(int)
        pairs = _pairs_of_letters(key)
        for pair in pairs:
            for k in self._by_pair.get(pair, ()):
                counts[k] += 1
        close = sorted(counts, key=lambda k: (-2 * counts[k] / (len(pairs) + len(k) + 1), k))
        scores = {k: _likeness(key, k) for k in close[:30]}
        least = _least_likeness(key)
        best = sorted(scores, key=lambda k: (-scores[k], k))
        return {k: scores[k] for k in best if scores[k] >= least}

    @cached_property
    def _by_token(self) -> dict[str, list[str]]:
        out: dict[str, list[str]] = defaultdict(list)
        for key in (*self._by_key, *self._hints):
            for token in set(key.split("-")):
                out[token].append(key)
        return out

    @cached_property
    def _by_pair(self) -> dict[str, list[str]]:
        out: dict[str, list[str]] = defaultdict(list)
        for key in (*self._by_key, *self._hints):
            for pair in _pairs_of_letters(key):
                out[pair].append(key)
        return out

    def __iter__(self) -> Iterable[str]:
        return iter(self._by_key)


def _overlap(pairs: set[str], key: str) -> float:
    other = _pairs_of_letters(key)
    return len(pairs & other) / len(pairs | other)


# Words too common to suggest a name by; form words are too.
_COMMON = (
    "black white red green pink blue yellow brown golden sweet bitter sour wild common "
    "true false long small large old new hot cold light dark japanese chinese indian thai "
    "african american persian english french italian mexican water tea oil sugar salt nut "
    "pepper flower milk cream sauce powder extract food drink syrup"
)
COMMON_WORDS = frozenset(normalise(w) for w in _COMMON.split())


def _is_telling(token: str) -> bool:
    return (
        len(token) > 3
        and token not in FORM_WORDS
        and token not in COMMON_WORDS
        and token not in LINK_WORDS
    )


# Words that name a form rather than an ingredient, in the languages of kitchens (common practice,
# no source): the sense, and the words for it.
_FORM_VOCABULARY: dict[str, str] = {
    "slice": "slice sliced wheel wedge tranche tranches rondelle rondelles rodaja rebanada fetta "
    "fette fettina fettine rotella scheibe scheiben fatia rodela wagiri",
    "peel": "peel rind skin husk ecorce ecorces pelure peau cascara piel corteza scorza scorze "
    "buccia bucce schale schalen casca chilka chhilka qishr kawa",
    "zest": "zest zested zeste zesten abrieb ralladura raspadura raspa raspas grattugiata "
    "scorzetta hyouhi",
    "juice": "juice juiced jus jugo zumo succo saft suco sumo ras aseer asir juusu kajuu",
    "leaf": "leaf feuille hoja foglia foglie blatt blatter blaetter folha patta patti waraq",
    "flower": "flower petal blossom fleur flor fiore fiori blute bluten bluete blueten phool zahr",
    "whole": "whole entier entiere entero entera intero intera ganz ganze ganzer inteiro inteira "
    "sabut",
    "part": "pod stick quill seed kernel berry bud bean grain gousse gousses baton graine grano "
    "vaina rama palo semilla stecca stecche baccello bacca seme semi stange stangen schote "
    "schoten kapsel kapseln samen kern kerne beere beeren korn korner vagem pau semente baga",
    "bark": "bark rinde",
    "root": "root rhizome racine raiz radice wurzel",
    "sprig": "sprig stalk stem branche ramita rametto zweig ramo",
    "cracked": "cracked crushed bruised flake concasse machacado pestato gestossen esmagado",
    "ground": "ground powder powdered moulu moulue poudre molido molida polvo macinato macinata "
    "polvere gemahlen gemahlene gemahlener pulver moido moida po pisa pisi mathun kona paudaa",
    "fresh": "fresh frais fraiche fresco fresca frisch frische frischer taza tazij nama",
    "dried": "dried dry seche sechee seco seca secco secca essiccato essiccata getrocknet "
    "getrocknete getrockneter sukha sukhi mujaffaf yabis hoshi kanso",
    "roasted": "roasted toasted grille grillee torrefie torrefiee tostado tostada tostato tostata "
    "gerostet gerostete geroestet torrado torrada bhuna muhammas",
    "raw": "raw cru crue crudo cruda roh",
    "syrup": "syrup sirop jarabe sciroppo sirup xarope shiroppu",
}
FORM_WORDS: dict[str, str] = {
    normalise(word): sense for sense, words in _FORM_VOCABULARY.items() for word in words.split()
}

# The forms a sense may mean (best first), and the kinds of ingredient for which the forms after
# the first may stand in: the flower of a bay is not its leaf.
_SENSES: dict[str, tuple[tuple[str, ...], frozenset[str]]] = {
    "slice": (("slice",), frozenset()),
    "peel": (("peel", "zest", "dried"), frozenset({"citrus"})),
    "zest": (("zest", "peel"), frozenset({"citrus"})),
    "juice": (("juice",), frozenset()),
    "leaf": (("leaf", "fresh", "dried"), frozenset({"herb"})),
    "flower": (("flower", "fresh", "dried"), frozenset({"flower"})),
    "whole": (("whole", "cracked", "dried"), frozenset({"spice", "nut", "seed", "root"})),
    "part": (
        ("whole", "cracked", "dried", "roasted", "raw"),
        frozenset({"spice", "seed", "nut", "root"}),
    ),
    "bark": (("whole", "cracked", "dried"), frozenset({"spice", "wood", "root"})),
    "root": (("dried", "fresh"), frozenset({"root"})),
    "sprig": (("fresh", "dried"), frozenset({"herb"})),
    "cracked": (("cracked", "whole"), frozenset({"spice", "seed"})),
    "ground": (("ground",), frozenset()),
    "fresh": (("fresh", "flower", "slice", "peel", "zest", "juice"), frozenset({"citrus"})),
    "dried": (
        ("dried", "whole", "cracked", "leaf"),
        frozenset({"spice", "flower", "herb", "root", "tea"}),
    ),
    "roasted": (("roasted",), frozenset()),
    "raw": (("raw",), frozenset()),
    "syrup": (("syrup",), frozenset()),
}
# German joins the form to the name: Orangenschale, Zitronensaft, Zimtstange.
_JOINED = (
    "schalen schale saft zesten abrieb scheiben scheibe pulver stangen stange schoten schote "
    "kapseln samen blatter blaetter blatt wurzel sirup bluten blute"
)

# Names that stand for two plants or states; a recipe must say which (common practice, no source).
_CINNAMON, _GINGER = ("ceylon-cinnamon", "cassia"), ("ginger-fresh", "ginger-dried")
_SHARED: dict[tuple[str, ...], str] = {
    _CINNAMON: "cinnamon;cinnamon stick;ground cinnamon;cinnamon quill;cinnamon bark;canela;"
    "canela en rama;cannelle;cannella;Zimt;Zimtstange;Kaneel;dalchini;qirfa;kirfa;kerfa;"
    "shinamon;nikkei;keishi",
    _GINGER: "ginger;jengibre;gingembre;zenzero;Ingwer;gengibre;zanjabil;janzabil;zinjabil;jinja",
    ("lemon", "lime-persian"): "limão;limao fresco",
    ("allspice", "chilli"): "piment",
}
# What to say of them; {0} and {1} are the forms meant, {name} the name as given.
_SHARED_SENTENCES: dict[tuple[str, ...], str] = {
    _CINNAMON: "cinnamon is sold as two plants: {0} (low coumarin) or {1}",
    _GINGER: "ginger comes as {0} or {1}",
    ("lemon", "lime-persian"): "{name} means two fruits: {0} or {1}",
    ("allspice", "chilli"): "{name} means two spices: {0} (German) or {1} (French)",
}
SHARED_NAMES: dict[str, tuple[str, ...]] = {
    normalise(name): meant for meant, names in _SHARED.items() for name in names.split(";")
}

# Ready blends that people name like one spice; their parts (common practice, no source).
BLENDS: dict[str, tuple[str, ...]] = {
    "earl-grey": ("black-tea", "bergamot"),
    "earl-grey-tea": ("black-tea", "bergamot"),
    "chai": ("black-tea", "green-cardamom", "ginger-dried", "cassia", "clove", "black-pepper"),
    "masala-chai": ("black-tea", "green-cardamom", "ginger-dried", "cassia", "clove"),
    "chai-spice": ("green-cardamom", "ginger-dried", "cassia", "clove", "black-pepper"),
    "pumpkin-spice": ("cassia", "ginger-dried", "nutmeg", "clove", "allspice"),
    "pumpkin-pie-spice": ("cassia", "ginger-dried", "nutmeg", "clove", "allspice"),
    "mixed-spice": ("cassia", "coriander-seed", "nutmeg", "clove", "allspice", "ginger-dried"),
    "five-spice": ("star-anise", "sichuan-pepper", "fennel-seed", "clove", "cassia"),
}

# French citron is a lemon, English citron is not: a French form word settles it.
_FRENCH_CITRON = {
    "jus": "lemon-juice",
    "zeste": "lemon-zest",
    "ecorce": "lemon-peel",
    "tranche": "lemon",
    "tranch": "lemon",
    "rondelle": "lemon",
    "feuille": "lemon-leaf",
}

# Look-alikes that must not be answered with the name of the plant they are mistaken for.
_POISONOUS = {
    normalise(n): "star-anise"
    for n in ("Japanese star anise", "shikimi", "Illicium anisatum", "bastard star anise")
}


# --- the catalogue ------------------------------------------------------------------------


class Catalog:
    """All tables of a data folder, each read when first used.

    Parameters
    ----------
    folder : Path
        A data package folder.
    overlay : mapping of str to tuple of records, optional
        Further records per table (a bar's pantry); a record with a known id replaces it.
    """

    def __init__(self, folder: Path, overlay: Mapping[str, tuple[Any, ...]] | None = None) -> None:
        self.folder = folder
        self.overlay = dict(overlay or {})

    def _table(self, name: str, record: type[R]) -> tuple[R, ...]:
        rows = records(record, self.folder / f"{name}.csv")
        extra = self.overlay.get(name, ())
        if not extra:
            return rows
        if name in KEYS:
            key = KEYS[name]
            ours = {getattr(r, key) for r in extra}
            rows = tuple(r for r in rows if getattr(r, key) not in ours)
        elif name in {"composition", "form_materials"}:
            # a pantry that analyses an ingredient replaces what the package says of it
            owner = "ingredient_id" if name == "composition" else "form_id"
            ours = {getattr(r, owner) for r in extra}
            rows = tuple(r for r in rows if getattr(r, owner) not in ours)
        return (*rows, *extra)

    @cached_property
    def sources(self) -> dict[str, Source]:
        """Sources by id."""
        return {r.source_id: r for r in self._table("sources", Source)}

    @cached_property
    def groups(self) -> dict[str, Group]:
        """Aroma groups by id."""
        return {r.group_id: r for r in self._table("groups", Group)}

    @cached_property
    def compounds(self) -> dict[str, Compound]:
        """Compounds by id."""
        return {r.compound_id: r for r in self._table("compounds", Compound)}

    @cached_property
    def thresholds(self) -> dict[str, tuple[Threshold, ...]]:
        """Published thresholds by compound id."""
        return _grouped(self._table("thresholds", Threshold), "compound_id")

    @cached_property
    def ingredients(self) -> dict[str, Ingredient]:
        """Ingredients by id."""
        return {r.ingredient_id: r for r in self._table("ingredients", Ingredient)}

    @cached_property
    def forms(self) -> dict[str, Form]:
        """Forms by id; the default form of an ingredient has the ingredient's id."""
        return {r.form_id: r for r in self._table("forms", Form)}

    @cached_property
    def forms_of(self) -> dict[str, tuple[Form, ...]]:
        """Forms by ingredient id."""
        return _grouped(self.forms.values(), "ingredient_id")

    @cached_property
    def form_materials(self) -> dict[str, tuple[FormMaterial, ...]]:
        """Materials by form id."""
        return _grouped(self._table("form_materials", FormMaterial), "form_id")

    @cached_property
    def composition(self) -> dict[str, tuple[Content, ...]]:
        """Published amounts by ingredient id."""
        return _grouped(self._table("composition", Content), "ingredient_id")

    @cached_property
    def odorants(self) -> tuple[Odorant, ...]:
        """Odorants of the base coffee."""
        return self._table("coffee_odorants", Odorant)

    @cached_property
    def modifiers(self) -> tuple[Modifier, ...]:
        """What species, roast, process, brew and origin do to the base coffee."""
        return self._table("coffee_modifiers", Modifier)

    @cached_property
    def caffeine(self) -> tuple[CaffeineRatio, ...]:
        """What species and decaffeination do to caffeine."""
        return self._table("coffee_caffeine", CaffeineRatio)

    @cached_property
    def origins(self) -> dict[str, Origin]:
        """Coffee origins by id."""
        return {r.origin_id: r for r in self._table("coffee_origins", Origin)}

    @cached_property
    def brews(self) -> dict[str, Brew]:
        """Brews by id."""
        return {r.brew_id: r for r in self._table("brews", Brew)}

    @cached_property
    def traditions(self) -> tuple[Tradition, ...]:
        """Traditions."""
        return self._table("traditions", Tradition)

    @cached_property
    def sweeteners(self) -> dict[str, Sweetener]:
        """Sweeteners by id."""
        return {r.sweetener_id: r for r in self._table("sweeteners", Sweetener)}

    @cached_property
    def household(self) -> tuple[HouseholdMeasure, ...]:
        """Household measures."""
        return self._table("household", HouseholdMeasure)

    @cached_property
    def glasses(self) -> dict[str, Glass]:
        """Glassware by id."""
        return {r.glass_id: r for r in self._table("glassware", Glass)}

    # names

    @cached_property
    def _form_names(self) -> NameIndex[Form]:
        index: NameIndex[Form] = NameIndex("ingredient", "ingredients")
        for form in self.forms.values():
            index.add(form.form_id, (), form)
        for form in self.forms.values():
            if form.is_default:
                ingredient = self.ingredients[form.ingredient_id]
                names = (ingredient.name, *ingredient.aliases, ingredient.botanical_name)
                index.add(form.form_id, names, form)
        for form in self.forms.values():
            index.add(form.form_id, (form.label,), form)
        for key, meant in SHARED_NAMES.items():
            index.hint(key, meant)
        return index

    def form(self, name: str) -> Form:
        """Find an ingredient in a form by id, name, alias or botanical name.

        Parameters
        ----------
        name : str
            Such as ``"green-cardamom"``, ``"Elaichi"``, ``"mandarin peel"``, ``"ground cassia"``.

        Raises
        ------
        UnknownNameError
            With the nearest known ids; also for a shop name that stands for two plants.
        """
        if name in self.forms:  # an id: no need for the index of names
            return self.forms[name]
        key = normalise(name)
        if len(name) <= MAX_NAME and key:
            if key not in SHARED_NAMES:
                found = self._form_names.get(name)
                if found is not None:
                    return found
            meant, missed = self._forms_by_words(key)
            if len(meant) == 1:
                return self.forms[meant[0]]
            if len(meant) > 1:
                raise self._ambiguous(name, meant)
            message = self._no_ingredient(name, key) or missed
            if message is not None:
                nearest = BLENDS.get(key, ())
                raise UnknownNameError("ingredient", name, nearest, message=message)
        raise self._form_names.unknown(name)

    def _ambiguous(self, name: str, meant: tuple[str, ...]) -> UnknownNameError:
        kinds = tuple(self.forms[f].ingredient_id for f in meant)
        shown = _shown(name)
        sentence = _SHARED_SENTENCES[kinds].format(*meant, name=shown)
        heard = "" if sentence.startswith(shown.casefold()) else f"{shown}: "
        message = f"{heard}{sentence}; name one"
        return UnknownNameError("ingredient", name, meant, message=message)

    def _forms_by_words(self, key: str) -> tuple[tuple[str, ...], str | None]:
        """Forms that a name with form words may mean, or why there is none."""
        tokens = [t for t in key.split("-") if t not in LINK_WORDS]
        if "citron" in tokens and len(tokens) == 2:
            french = next((_FRENCH_CITRON[t] for t in tokens if t in _FRENCH_CITRON), None)
            if french is not None:
                return (french,), None
        missed = None
        for words, bases in self._readings(tokens):
            senses = [FORM_WORDS[w] for w in words]
            chosen = [f for b in bases if (f := self._form_of(b, senses)) is not None]
            if chosen:
                return tuple(dict.fromkeys(chosen)), None
            if missed is None:
                forms = ", ".join(f.form_id for b in bases for f in self.forms_of[b])
                missed = f"no {' '.join(words)!r} of {' or '.join(bases)}; it comes as {forms}"
        return (), missed

    def _readings(self, tokens: list[str]) -> Iterator[tuple[list[str], tuple[str, ...]]]:
        """Ways to split a name into form words and ingredients, fewest form words first."""
        if tokens and (parts := _unjoin(tokens[-1])) and tokens[-1] not in FORM_WORDS:
            stem, form_word = parts
            for end in ("", "n", "en", "s"):
                if stem.endswith(end):
                    bases = self._ingredients_called([*tokens[:-1], stem.removesuffix(end)])
                    if bases:
                        yield [form_word], bases
        said = [i for i, t in enumerate(tokens) if t in FORM_WORDS][:4]
        for count in range(len(said) + 1):
            for taken in combinations(said, count):
                rest = [t for i, t in enumerate(tokens) if i not in taken]
                bases = self._ingredients_called(rest)
                if bases:
                    yield [tokens[i] for i in taken], bases

    def _ingredients_called(self, tokens: list[str]) -> tuple[str, ...]:
        key = "-".join(tokens)
        if key in SHARED_NAMES and not key.startswith("ground-"):
            return SHARED_NAMES[key]
        form = self._form_names.get(key) if key else None
        return (form.ingredient_id,) if form and form.is_default else ()

    def _form_of(self, ingredient_id: str, senses: list[str]) -> str | None:
        """The form of an ingredient that fits every sense best; the default with none."""
        best: tuple[tuple[int, bool, int], str] | None = None
        kind = self.ingredients[ingredient_id].kind
        for form in self.forms_of[ingredient_id]:
            ranks = []
            for sense in senses:
                forms, kinds = _SENSES[sense]
                allowed = forms if kind in kinds else forms[:1]
                if form.form in allowed:
                    ranks.append(allowed.index(form.form))
            if len(ranks) < len(senses):
                continue
            literal = sum(sense == form.form for sense in senses)
            rank = (-literal, not form.is_default, sum(ranks))
            if best is None or rank < best[0]:
                best = (rank, form.form_id)
        return best[1] if best else None

    def _no_ingredient(self, name: str, key: str) -> str | None:
        """What a name is, where it is known but not as an ingredient."""
        shown = _shown(name)
        if key in BLENDS:
            return f"{shown} is a blend, usually {', '.join(BLENDS[key])}; name its parts"
        if key in _POISONOUS:
            return f"{shown} is poisonous, no ingredient; {_POISONOUS[key]} is another plant"
        for what, index, option in (
            ("coffee origin", self._origin_names, "--origin"),
            ("brew", self._brew_names, "--brew"),
            ("sweetener", self._sweetener_names, "--sweetener"),
        ):
            if index.get(name) is not None:
                return f"{shown} is a {what}: give it with {option}"
        word = f'"{shown}"' if " " in shown else shown
        for what, other in (
            ("an aroma group", self._group_names),
            ("a compound", self._compound_names),
        ):
            if other.get(name) is not None:
                return f"{shown} is {what}, not an ingredient: see `pairing show {word}`"
        from pairing.safety import tables

        if tables().subject_names.get(name) is not None:
            return f"unknown ingredient {shown!r}; for its cautions see `pairing show {word}`"
        return None

    @cached_property
    def _compound_names(self) -> NameIndex[Compound]:
        index: NameIndex[Compound] = NameIndex("compound", "compounds")
        for compound in self.compounds.values():
            names = (compound.name, compound.cas, *compound.synonyms)
            index.add(compound.compound_id, names, compound)
        return index

    def compound(self, name: str) -> Compound:
        """Find a compound by id, name, synonym or CAS number."""
        return self._compound_names.find(name)

    @cached_property
    def _group_names(self) -> NameIndex[Group]:
        index: NameIndex[Group] = NameIndex("aroma group", "groups")
        for group in self.groups.values():
            index.add(group.group_id, (group.name,), group)
        return index

    def group(self, name: str) -> Group:
        """Find an aroma group by id or name."""
        return self._group_names.find(name)

    @cached_property
    def _origin_names(self) -> NameIndex[Origin]:
        index: NameIndex[Origin] = NameIndex("coffee origin", "coffees")
        for origin in self.origins.values():
            index.add(origin.origin_id, (origin.name, *origin.aliases), origin)
        return index

    def is_origin(self, name: str) -> bool:
        """Whether a name is a coffee origin's."""
        return self._origin_names.get(name) is not None

    def is_brew(self, name: str) -> bool:
        """Whether a name is a brew's."""
        return self._brew_names.get(name) is not None

    def origin(self, name: str) -> Origin:
        """Find a coffee origin by id, name or alias."""
        return self._find(self._origin_names, name)

    @cached_property
    def _brew_names(self) -> NameIndex[Brew]:
        index: NameIndex[Brew] = NameIndex("brew", "brews")
        for brew in self.brews.values():
            index.add(brew.brew_id, (brew.name, *brew.aliases), brew)
        return index

    def brew(self, name: str) -> Brew:
        """Find a brew by id, name or alias (``espresso`` is a double)."""
        return self._find(self._brew_names, name)

    @cached_property
    def _sweetener_names(self) -> NameIndex[Sweetener]:
        index: NameIndex[Sweetener] = NameIndex("sweetener", "sweeteners")
        for sweetener in self.sweeteners.values():
            names = (sweetener.name, *sweetener.aliases)
            index.add(sweetener.sweetener_id, names, sweetener)
        return index

    def sweetener(self, name: str) -> Sweetener:
        """Find a sweetener by id, name or alias (``sugar`` is white cane sugar)."""
        return self._find(self._sweetener_names, name)

    def _find(self, index: NameIndex[R], name: str) -> R:
        """Record of a name; the name of an ingredient is answered as such."""
        record = index.get(name)
        if record is not None:
            return record
        key = normalise(name)
        form = self._form_names.get(name) if key else None
        if form is not None or key in SHARED_NAMES:
            message = f"{_shown(name)} is an ingredient, not a {index.what}"
            raise UnknownNameError(index.what, name, message=message)
        raise index.unknown(name)

    def kind(self, form: Form) -> str:
        """Kind of a form's ingredient: citrus, spice, herb ..."""
        return self.ingredients[form.ingredient_id].kind


# tables whose rows have one id
KEYS: dict[str, str] = {
    "sources": "source_id",
    "groups": "group_id",
    "compounds": "compound_id",
    "ingredients": "ingredient_id",
    "forms": "form_id",
    "coffee_origins": "origin_id",
    "brews": "brew_id",
    "traditions": "tradition_id",
    "sweeteners": "sweetener_id",
    "glassware": "glass_id",
}


def _unjoin(token: str) -> tuple[str, str] | None:
    """Stem and form word of a joined German name, or None."""
    for word in _JOINED.split():
        if token.endswith(word) and len(token) > len(word) + 3:
            return token.removesuffix(word), normalise(word)
    return None


def _grouped(rows: Iterable[R], key: str) -> dict[str, tuple[R, ...]]:
    out: dict[str, list[R]] = defaultdict(list)
    for row in rows:
        out[getattr(row, key)].append(row)
    return {k: tuple(v) for k, v in out.items()}


@lru_cache(maxsize=4)
def load(folder: Path | None = None) -> Catalog:
    """Open a data package.

    Parameters
    ----------
    folder : Path, optional
        The data folder; the shipped one when not given.

    Raises
    ------
    PairingError
        When the folder does not exist.
    """
    where = folder or data_folder()
    if not where.is_dir():
        raise PairingError(f"no data folder at {where}; give a folder of CSV tables")
    return Catalog(where)
