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
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cache, cached_property, lru_cache
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
    """Fold case, accents, punctuation and plurals: ``"Limes, Persian"`` -> ``"lime-persian"``.

    Letters of other scripts are kept as they are.
    """
    folded = unicodedata.normalize("NFKD", name.casefold())
    folded = "".join(c for c in folded if not unicodedata.combining(c))
    folded = unicodedata.normalize("NFC", folded)
    return "-".join(_singular(t) for t in _SPLIT.split(folded) if t)


class NameIndex(Generic[R]):
    """Names to records, tolerant of case, accents, plurals and punctuation.

    Parameters
    ----------
    what : str
        The word used in error messages, such as ``"coffee origin"``.
    """

    def __init__(self, what: str) -> None:
        self.what = what
        self._by_key: dict[str, tuple[str, R]] = {}

    def add(self, identifier: str, names: Iterable[str], record: R) -> None:
        """Register a record under its id and further names; the first claim to a name wins."""
        for name in (identifier, *names):
            key = normalise(name)
            if key:
                self._by_key.setdefault(key, (identifier, record))

    def get(self, name: str) -> R | None:
        """Record of a name, or None."""
        hit = self._by_key.get(normalise(name))
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
            raise UnknownNameError(self.what, name, self.nearest(name))
        return record

    def nearest(self, name: str, count: int = 3) -> list[str]:
        """Ids of the nearest names, best first."""
        from difflib import SequenceMatcher, get_close_matches

        key = normalise(name)[:60]
        if not key:
            return []
        ranked = get_close_matches(key, self._by_key, n=12, cutoff=0.6)
        tokens = [t for t in key.split("-") if len(t) > 2]
        sharing = [k for k in self._by_key if any(t in k.split("-") for t in tokens)]
        sharing.sort(key=lambda k: -SequenceMatcher(None, key, k).ratio())
        found: list[str] = []
        for candidate in [*ranked, *sharing]:
            identifier = self._by_key[candidate][0]
            if identifier not in found:
                found.append(identifier)
        return found[:count]

    def __iter__(self) -> Iterable[str]:
        return iter(self._by_key)


# Words that name a form rather than an ingredient, and the forms they may mean (best first).
FORM_WORDS: dict[str, tuple[str, ...]] = {
    "slice": ("slice",),
    "sliced": ("slice",),
    "wheel": ("slice",),
    "peel": ("peel", "zest"),
    "rind": ("peel", "zest"),
    "skin": ("peel", "zest"),
    "zest": ("zest", "peel"),
    "juice": ("juice",),
    "leaf": ("leaf", "fresh", "dried"),
    "flower": ("flower", "fresh", "dried"),
    "petal": ("flower", "fresh", "dried"),
    "whole": ("whole", "cracked"),
    "pod": ("whole", "cracked"),
    "crushed": ("cracked", "whole"),
    "cracked": ("cracked", "whole"),
    "ground": ("ground",),
    "powder": ("ground",),
    "powdered": ("ground",),
    "fresh": ("fresh",),
    "dried": ("dried", "whole"),
    "dry": ("dried", "whole"),
    "roasted": ("roasted",),
    "toasted": ("roasted",),
    "raw": ("raw",),
    "syrup": ("syrup",),
}

# Shop names that stand for two different plants or states; a recipe must say which.
SHARED_NAMES: dict[str, tuple[str, ...]] = {
    "cinnamon": ("ceylon-cinnamon", "cassia"),
    "cinnamon-stick": ("ceylon-cinnamon", "cassia"),
    "ground-cinnamon": ("ceylon-cinnamon", "cassia"),
    "ginger": ("ginger-fresh", "ginger-dried"),
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
        index: NameIndex[Form] = NameIndex("ingredient")
        for form in self.forms.values():
            index.add(form.form_id, (), form)
        for form in self.forms.values():
            if form.is_default:
                ingredient = self.ingredients[form.ingredient_id]
                names = (ingredient.name, *ingredient.aliases, ingredient.botanical_name)
                index.add(form.form_id, names, form)
        for form in self.forms.values():
            index.add(form.form_id, (form.label,), form)
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
        key = normalise(name)
        if key in SHARED_NAMES:
            choices = SHARED_NAMES[key]
            raise UnknownNameError("ingredient (two are sold under this name)", name, choices)
        found = self._form_names.get(name) or self._form_by_words(key)
        if found is None:
            raise UnknownNameError("ingredient", name, self._form_names.nearest(name))
        return found

    def _form_by_words(self, key: str) -> Form | None:
        tokens = key.split("-")
        said = [t for t in tokens if t in FORM_WORDS]
        rest = "-".join(t for t in tokens if t not in FORM_WORDS and t not in {"of", "the"})
        if not said or not rest:
            return None
        base = self._form_names.get(rest)
        if base is None:
            return None
        forms = self.forms_of[base.ingredient_id]
        for wanted in FORM_WORDS[said[-1]]:
            for form in forms:
                if form.form == wanted:
                    return form
        return None

    @cached_property
    def _compound_names(self) -> NameIndex[Compound]:
        index: NameIndex[Compound] = NameIndex("compound")
        for compound in self.compounds.values():
            names = (compound.name, compound.cas, *compound.synonyms)
            index.add(compound.compound_id, names, compound)
        return index

    def compound(self, name: str) -> Compound:
        """Find a compound by id, name, synonym or CAS number."""
        return self._compound_names.find(name)

    @cached_property
    def _group_names(self) -> NameIndex[Group]:
        index: NameIndex[Group] = NameIndex("aroma group")
        for group in self.groups.values():
            index.add(group.group_id, (group.name,), group)
        return index

    def group(self, name: str) -> Group:
        """Find an aroma group by id or name."""
        return self._group_names.find(name)

    @cached_property
    def _origin_names(self) -> NameIndex[Origin]:
        index: NameIndex[Origin] = NameIndex("coffee origin")
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
        return self._origin_names.find(name)

    @cached_property
    def _brew_names(self) -> NameIndex[Brew]:
        index: NameIndex[Brew] = NameIndex("brew")
        for brew in self.brews.values():
            index.add(brew.brew_id, (brew.name, *brew.aliases), brew)
        return index

    def brew(self, name: str) -> Brew:
        """Find a brew by id, name or alias (``espresso`` is a double)."""
        return self._brew_names.find(name)

    @cached_property
    def _sweetener_names(self) -> NameIndex[Sweetener]:
        index: NameIndex[Sweetener] = NameIndex("sweetener")
        for sweetener in self.sweeteners.values():
            names = (sweetener.name, *sweetener.aliases)
            index.add(sweetener.sweetener_id, names, sweetener)
        return index

    def sweetener(self, name: str) -> Sweetener:
        """Find a sweetener by id, name or alias (``sugar`` is white cane sugar)."""
        return self._sweetener_names.find(name)

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
