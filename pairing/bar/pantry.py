"""A bar's own data: ingredients, coffees, prices, stock and house names, in the same schema.

A pantry is a TOML file, or a folder of CSV tables named as in the data package (plus
``prices.csv``, ``stock.csv``, ``house_names.csv``) and, if wanted, a ``pairing.toml``. Every
row is checked against ``datapackage.json`` before any is used: a bad pantry never half-loads.
"""

from __future__ import annotations

import csv
import io
import json
import math
import re
import stat
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

from pairing.aroma.description import describe
from pairing.aroma.serve import COFFEE, milk_of, mixer_of
from pairing.errors import CONTROL, PairingError, quoted
from pairing.evidence.catalog import KEYS, Catalog
from pairing.evidence.rows import (
    Brew,
    Content,
    Extra,
    Form,
    FormMaterial,
    Glass,
    HouseholdMeasure,
    Ingredient,
    Milk,
    Mixer,
    Modifier,
    Origin,
    Powder,
    Source,
    Style,
    Sweetener,
    Tradition,
)
from pairing.evidence.safety_rows import Certificate, Stated
from pairing.evidence.safety_tables import OVERLAID
from pairing.evidence.spelling import normalise
from pairing.evidence.tables import converters
from pairing.files import mode_of, read_text
from pairing.safety.allergens import held_in_name
from pairing.safety.plants import identities, refuse_regulated

__all__ = ["FILE_NAME", "Menu", "Pantry", "open_pantry"]

FILE_NAME = "pairing.toml"
MAX_BYTES = 5_000_000
MOST_INTEGER = 10**15

RECORDS: dict[str, type] = {
    "sources": Source,
    "ingredients": Ingredient,
    "forms": Form,
    "form_materials": FormMaterial,
    "composition": Content,
    "coffee_origins": Origin,
    "coffee_modifiers": Modifier,
    "brews": Brew,
    "traditions": Tradition,
    "sweeteners": Sweetener,
    "household": HouseholdMeasure,
    "glassware": Glass,
    "styles": Style,
    "milks": Milk,
    "mixers": Mixer,
    "extras": Extra,
    **{name: OVERLAID[name] for name in ("limits", "hazards", "rules", "constituents", "subjects")},
    "powders": Powder,
}
OWN_TABLES: dict[str, dict[str, type]] = {
    "prices": {"item": str, "per_kg": float},
    "stock": {"item": str, "grams": float},
    "house_names": {"name": str, "means": str},
    "certificates": {
        "ingredient_id": str,
        "substance": str,
        "high_mg_per_kg": float,
        "certificate": str,
    },
}
MENU_FIELDS = {"name", "coffees"}
COFFEE_FIELDS = {"origin", "process", "roast", "brew", "species", "variety", "notes"}
STATED_FIELDS = ("allergens", "specification")  # beside the columns of an own row
TOP_FIELDS = {"name", "currency", "market", "menus"} | set(RECORDS) | set(OWN_TABLES)
HOUSE_SOURCE = "house"


@dataclass(frozen=True, slots=True)
class Menu:
    """A named list of coffees to serve with one syrup.

    Attributes
    ----------
    name : str
    coffees : tuple of dict
        Words of a coffee by factor.
    """

    name: str
    coffees: tuple[dict[str, str], ...]


@dataclass(frozen=True)
class Pantry:
    """A checked pantry.

    Attributes
    ----------
    catalog : Catalog
        The catalogue with the pantry's rows in it.
    name : str
        Of the bar.
    currency : str
    price_per_kg, stock_g : dict
        By form or sweetener id, in ``currency`` and grams.
    menus : dict
        Menus by normalised name.
    """

    catalog: Catalog
    name: str = ""
    currency: str = ""
    price_per_kg: dict[str, float] = field(default_factory=dict)
    stock_g: dict[str, float] = field(default_factory=dict)
    menus: dict[str, Menu] = field(default_factory=dict)

    @property
    def lacks(self) -> str:
        """What its own rows do not say yet, in one line; empty when nothing is missing."""
        known = identities(self.catalog)
        open_ = [i for i, k in known.items() if k.own and i not in self.catalog.safety.stated]
        if not open_:
            return ""
        more = f" and {len(open_) - 3} more" if len(open_) > 3 else ""
        return (
            f"{', '.join(open_[:3])}{more}: allergens not stated; add allergens = [...] and "
            "specification to each"
        )


class _Cell(NamedTuple):
    """A value with the place it was read from."""

    value: Any
    where: str


_Row = dict[str, _Cell]


def open_pantry(path: Path, catalog: Catalog, market: str = "") -> Pantry:
    """Read and check a pantry, and lay it over a catalogue.

    Parameters
    ----------
    path : Path
        A TOML file or a folder.
    catalog : Catalog
    market : str
        ``eu``, ``uk`` or ``us``; that of the pantry when empty.

    Returns
    -------
    Pantry
        With the catalogue under it; what a row lacks is in ``Pantry.lacks``.

    Raises
    ------
    RefusedError
        For a plant or thing that no drink may hold, under any name.
    PairingError
        One line: file, line, column, what is wrong and what would be right.
    """
    top: dict[str, Any] = {}
    rows: dict[str, list[_Row]] = {}
    if stat.S_ISDIR(mode_of(path) or 0):
        names = {f"{t}.csv": t for t in (*RECORDS, *OWN_TABLES)}
        for file in sorted(path.glob("*.csv")):
            if file.name not in names:
                known = ", ".join(sorted(names))
                raise PairingError(f"{quoted(file.name)}: not a pantry table; one of {known}")
            rows.setdefault(names[file.name], []).extend(_csv_rows(file))
        if (path / FILE_NAME).exists():
            top = _toml(path / FILE_NAME, rows)
        elif not rows:
            raise PairingError(
                f"{path.name}/ holds no pantry: put CSV tables or a {FILE_NAME} in it"
            )
    else:
        top = _toml(path, rows)
    return _check(top, rows, catalog, path, market)


# --- reading with places ------------------------------------------------------------------


def _read_text(path: Path) -> str:
    text = read_text(path, MAX_BYTES)
    if not text.strip():
        raise PairingError(f"{path.name} is empty; give at least one table or name")
    return text


def _clean(value: Any, where: str) -> Any:
    """Text as it is, when it holds nothing that a terminal or a second line would obey."""
    found = CONTROL.search(value) if isinstance(value, str) else None
    if found:
        raise PairingError(
            f"{where}: {quoted(value)} holds the control character U+{ord(found[0]):04X}; give "
            "plain text on one line"
        )
    return value


def _csv_rows(path: Path) -> Iterator[_Row]:
    text = _read_text(path)
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    header: list[str] | None = None
    try:
        for row in reader:
            if not row:
                continue
            if header is None:
                header = [c.strip() for c in row]
                twice = [c for c, n in Counter(header).items() if n > 1]
                if twice:
                    raise PairingError(
                        f"{path.name} line {reader.line_num}: the column {quoted(twice[0])} stands "
                        "there twice"
                    )
                continue
            if len(row) != len(header):
                raise PairingError(
                    f"{path.name} line {reader.line_num}: {len(row)} cells, the header has "
                    f"{len(header)}"
                )
            places = [f"{path.name} line {reader.line_num} column {quoted(h)}" for h in header]
            yield {
                name: _Cell(_clean(value.strip(), place), place)
                for name, value, place in zip(header, row, places, strict=True)
                if value.strip()
            }
    except csv.Error as err:
        raise PairingError(f"{path.name} line {reader.line_num}: not CSV ({err})") from None


_HEADING = re.compile(r"^\s*\[\[\s*([\w-]+)\s*\]\]")
_ASSIGN = re.compile(r"^(\s*)([\w-]+)\s*=\s*")


def _places(text: str) -> dict[tuple[str, int, str], tuple[int, int]]:
    """(table, row number, key) -> (line, column) of the value in a TOML text."""
    table, count = "", {"": 0}
    found: dict[tuple[str, int, str], tuple[int, int]] = {}
    for number, line in enumerate(text.splitlines(), 1):
        heading = _HEADING.match(line)
        if heading:
            table = heading.group(1)
            count[table] = count.get(table, -1) + 1
            found[(table, count[table], "")] = (number, heading.start(1) + 1)
            continue
        assign = _ASSIGN.match(line)
        if assign:
            found.setdefault((table, count[table], assign.group(2)), (number, assign.end() + 1))
    return found


def _toml(path: Path, rows: dict[str, list[_Row]]) -> dict[str, Any]:
    import tomllib  # here: most commands open no pantry

    text = _read_text(path)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as err:
        raise PairingError(f"{path.name}: not TOML: {CONTROL.sub('?', str(err))[:200]}") from None
    except ValueError:  # an integer of thousands of digits
        raise PairingError(f"{path.name}: not a pantry: a number has too many digits") from None
    except RecursionError:
        raise PairingError(f"{path.name}: not a pantry: brackets nested too deep") from None
    places = _places(text)

    def where(table: str, i: int, key: str) -> str:
        line, column = places.get((table, i, key)) or places.get((table, i, "")) or (1, 1)
        named = key or table
        named = named if re.fullmatch(r"[\w-]{1,60}", named) else quoted(named)
        return f"{path.name} line {line} column {column} ({named})"

    for key, value in document.items():
        if key not in TOP_FIELDS:
            raise PairingError(
                f"{where('', 0, key)}: unknown table or key {quoted(key)}; one of "
                f"{', '.join(sorted(TOP_FIELDS))}"
            )
        if key in RECORDS or key in OWN_TABLES:
            if not isinstance(value, list) or not all(isinstance(r, dict) for r in value):
                raise PairingError(f"{where('', 0, key)}: write the rows as [[{key}]] tables")
            for i, row in enumerate(value):
                cells = {k: _Cell(v, where(key, i, k)) for k, v in row.items()}
                rows.setdefault(key, []).append(
                    {k: _Cell(_flat(c.value, c.where, key, k), c.where) for k, c in cells.items()}
                )
    menus = document.get("menus", [])
    if not isinstance(menus, list) or not all(isinstance(m, dict) for m in menus):
        raise PairingError(f"{where('', 0, 'menus')}: write the menus as [[menus]] tables")
    for key in ("name", "currency", "market"):
        if not isinstance(_clean(document.get(key, ""), where("", 0, key)), str):
            raise PairingError(f"{where('', 0, key)}: {quoted(document[key])} should be text")
    return {
        "name": document.get("name", ""),
        "currency": document.get("currency", ""),
        "market": document.get("market", ""),
        "menus": [(m, where("menus", i, "")) for i, m in enumerate(menus)],
    }


def _flat(value: Any, where: str, table: str, key: str) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list) and key in (*_lists(table), "allergens"):
        if not all(isinstance(v, str) for v in value):
            raise PairingError(f"{where}: the list should hold texts")
        return ";".join(_clean(v, where) for v in value)
    if isinstance(value, (list, dict)):
        word = "a list" if isinstance(value, list) else "a table"
        raise PairingError(f"{where}: is {word}; it should be text or a number")
    if isinstance(value, int) and abs(value) > MOST_INTEGER:
        raise PairingError(f"{where}: the number is too large")
    return _clean(value, where)


def _lists(table: str) -> set[str]:
    """Columns of a table that hold several values."""
    if table not in RECORDS:
        return set()
    kinds = RECORDS[table].__annotations__
    return {name for name, kind in kinds.items() if kind in (tuple[str, ...], tuple[int, ...])}


# --- checking -----------------------------------------------------------------------------


def _schemas(catalog: Catalog) -> dict[str, dict[str, dict[str, Any]]]:
    document = json.loads((catalog.folder / "datapackage.json").read_text(encoding="utf-8"))
    return {
        r["path"].removesuffix(".csv"): {f["name"]: f for f in r["schema"]["fields"]}
        for r in document["resources"]
    }


def _value(cell: _Cell, spec: dict[str, Any]) -> str:
    """Check one value against its field; returns the text the catalogue reads."""
    rules = spec.get("constraints", {})
    text = str(cell.value).strip()
    if spec["type"] in ("number", "integer"):
        try:
            number = float(text)
        except ValueError:
            number = math.nan
        unit = f" ({spec['unit']})" if spec.get("unit", "see").split()[0] != "see" else ""
        if not math.isfinite(number):
            raise PairingError(f"{cell.where}: {quoted(text)} should be a number{unit}")
        if number < rules.get("minimum", -math.inf) or number > rules.get("maximum", math.inf):
            span = f"{rules.get('minimum', '')} to {rules.get('maximum', 'any')}"
            raise PairingError(f"{cell.where}: {text[:60]} is out of range; give {span}{unit}")
        return text
    if spec["type"] == "boolean" and text not in ("yes", "no"):
        raise PairingError(f"{cell.where}: {quoted(text)} should be yes or no")
    if "enum" in rules and text not in rules["enum"]:
        raise PairingError(
            f"{cell.where}: {quoted(text)} should be one of {', '.join(rules['enum'])}"
        )
    if "pattern" in rules and not re.fullmatch(rules["pattern"], text):
        example = (
            "lower-case words joined by hyphens"
            if spec["name"].endswith("_id")
            else (rules["pattern"])
        )
        raise PairingError(f"{cell.where}: {quoted(text)} should be {example}")
    return text


DEFAULTS = {
    "source_id": HOUSE_SOURCE,
    "evidence": "read",
    "regulated": "no",
    "is_default": "yes",
    "kind": "practice",
    "licence": "own",
}


def _record(table: str, row: _Row, schema: dict[str, dict[str, Any]]) -> Any:
    record = RECORDS[table]
    first = next(iter(row.values())).where if row else table
    for name, cell in row.items():
        if name not in schema:
            raise PairingError(
                f"{cell.where}: {table} has no column {quoted(name)}; it has {', '.join(schema)}"
            )
    texts = {}
    for name, spec in schema.items():
        if name in row:
            texts[name] = _value(row[name], spec)
        elif spec.get("constraints", {}).get("required"):
            if name not in DEFAULTS or (name == "kind" and table != "sources"):
                raise PairingError(f"{first}: {table} needs {name!r} ({spec['description']})")
            texts[name] = DEFAULTS[name]
        else:
            texts[name] = DEFAULTS.get(name, "") if name in ("source_id", "evidence") else ""
    for name in texts:
        if name.endswith("_low") or "_low_" in name or name == "low":
            other = name.replace("low", "high")
            if texts.get(other) and texts[name] and float(texts[name]) > float(texts[other]):
                raise PairingError(
                    f"{row[name].where if name in row else first}: {name} {texts[name]} is above "
                    f"{other} {texts[other]}; swap them"
                )
    plan = converters(record)
    return record(**{name: convert(texts[name]) for name, convert in plan})


def _check(
    top: dict[str, Any],
    rows: dict[str, list[_Row]],
    catalog: Catalog,
    path: Path,
    market: str = "",
) -> Pantry:
    schemas = _schemas(catalog)
    overlay: dict[str, list[Any]] = {
        "sources": [
            Source(
                HOUSE_SOURCE,
                f"The bar's own notes ({path.name})",
                "",
                "practice",
                "own",
                "",
                "",
                "",
            )
        ]
    }
    for table, table_rows in rows.items():
        if table not in RECORDS:
            continue
        key = KEYS.get(table)
        seen: set[str] = set()
        for row in table_rows:
            stated = {k: row.pop(k) for k in STATED_FIELDS if k in row and table in STATING}
            record = _record(table, row, schemas[table])
            if "allergens" in stated:
                overlay.setdefault("stated", []).append(_stated(catalog, table, record, stated))
            if key:
                ident = getattr(record, key)
                if ident in seen:
                    raise PairingError(
                        f"{row[key].where}: the id {quoted(ident)} stands there twice"
                    )
                seen.add(ident)
            overlay.setdefault(table, []).append(record)
    overlay["certificates"] = _certificates(rows.get("certificates", []), catalog)
    where = market or str(top.get("market", "")).lower() or catalog.market
    laid = Catalog(catalog.folder, {k: tuple(v) for k, v in overlay.items()}, catalog.model, where)
    _references(rows, laid)
    house = _own(rows.get("house_names", []), "house_names")
    if house:
        overlay = _house_names(house, overlay, laid)
        laid = Catalog(
            catalog.folder, {k: tuple(v) for k, v in overlay.items()}, catalog.model, where
        )
    prices = _amounts(_own(rows.get("prices", []), "prices"), "per_kg", "priced", laid)
    stock = _amounts(_own(rows.get("stock", []), "stock"), "grams", "in stock", laid)
    refuse_regulated(laid)
    return Pantry(
        catalog=laid,
        name=str(top.get("name", "")),
        currency=str(top.get("currency", "")),
        price_per_kg=prices,
        stock_g=stock,
        menus=_menus(top.get("menus", []), laid),
    )


STATING = ("ingredients", "sweeteners")


def _stated(catalog: Catalog, table: str, record: Any, cells: _Row) -> Stated:
    """What a bar states of the allergens of its own thing, and on whose word."""
    cell = cells["allergens"]
    words = [w.strip() for w in str(cell.value).split(";") if w.strip()]
    kinds = catalog.safety.allergen_kinds
    by_word = {normalise(k.word): k.key for k in kinds.values()} | {k: k for k in kinds}
    keys: list[str] = []
    for word in [] if [normalise(w) for w in words] == ["none"] else words:
        known = by_word.get(normalise(word))
        found = (known,) if known else held_in_name(catalog, (word,))[0]
        if not found:
            raise PairingError(
                f"{cell.where}: no allergen {quoted(word)}; one of {', '.join(kinds)}, or none"
            )
        keys += found
    said = cells.get("specification")
    specification = str(said.value).strip() if said else ""
    if not specification and record.source_id != HOUSE_SOURCE:
        specification = record.source_id
    if not keys and not specification:
        raise PairingError(
            f"{cell.where}: no allergens at all needs a specification, such as specification = "
            '"supplier sheet of 3 March 2026"'
        )
    ident = record.ingredient_id if table == "ingredients" else record.sweetener_id
    return Stated(ident, tuple(dict.fromkeys(keys)), specification or "the bar's own notes")


def _certificates(rows: list[_Row], catalog: Catalog) -> list[Any]:
    out = []
    for row in _own(rows, "certificates"):
        substance = str(row["substance"].value)
        if substance not in catalog.safety.substances:
            known = ", ".join(catalog.safety.substances)
            raise PairingError(
                f"{row['substance'].where}: no substance {quoted(substance)}; one of {known}"
            )
        ident = str(row["ingredient_id"].value)
        text = str(row["certificate"].value)
        out.append(Certificate(ident, substance, _positive(row["high_mg_per_kg"]), text))
    return out


def _own(rows: list[_Row], table: str) -> list[_Row]:
    wanted = OWN_TABLES[table]
    for row in rows:
        first = next(iter(row.values())).where if row else table
        for name, cell in row.items():
            if name not in wanted:
                known = ", ".join(wanted)
                raise PairingError(
                    f"{cell.where}: {table} has no column {quoted(name)}; it has {known}"
                )
        for name in wanted:
            if name not in row:
                raise PairingError(f"{first}: {table} needs {name!r}")
            value = row[name].value
            if wanted[name] is str and not (isinstance(value, str) and normalise(value)):
                raise PairingError(f"{row[name].where}: {quoted(value)} should be a name")
    return rows


def _amounts(rows: list[_Row], column: str, word: str, laid: Catalog) -> dict[str, float]:
    """Price or stock by form or sweetener id; each may stand there once."""
    out: dict[str, float] = {}
    for row in rows:
        ident = _item(row["item"], laid)
        if ident in out:
            raise PairingError(f"{row['item'].where}: {ident} is {word} twice; keep one row")
        out[ident] = _positive(row[column])
    return out


def _item(cell: _Cell, catalog: Catalog) -> str:
    text = str(cell.value)
    if normalise(text) in (COFFEE, "coffee-beans", "ground-coffee"):
        return COFFEE
    try:
        return catalog.sweetener(text).sweetener_id
    except PairingError:
        pass
    try:
        return catalog.form(text).form_id
    except PairingError as err:
        for find, ident in ((milk_of, "milk_id"), (mixer_of, "mixer_id")):
            try:
                named = "dairy" if normalise(text) == "milk" else text
                return str(getattr(find(catalog, named), ident))
            except PairingError:
                continue
        raise PairingError(f"{cell.where}: {err}") from None


def _positive(cell: _Cell) -> float:
    try:
        number = float(cell.value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not (math.isfinite(number) and number >= 0):
        raise PairingError(f"{cell.where}: {quoted(cell.value)} should be a number of 0 or more")
    return number


def _references(rows: dict[str, list[_Row]], laid: Catalog) -> None:
    """Every id that a row points to must exist in the package or the pantry."""
    targets: dict[str, tuple[str, Any]] = {
        "ingredient_id": ("ingredient", laid.ingredients),
        "form_id": ("form", laid.forms),
        "compound_id": ("compound", laid.compounds),
        "source_id": ("source", laid.sources),
    }
    for table, table_rows in rows.items():
        if table not in RECORDS:
            continue
        for row in table_rows:
            for name, (what, known) in targets.items():
                cell = row.get(name)
                if cell and name != KEYS.get(table) and str(cell.value) not in known:
                    from difflib import get_close_matches

                    near = get_close_matches(str(cell.value), known, 3)
                    hint = f"; did you mean {', '.join(near)}?" if near else ""
                    raise PairingError(f"{cell.where}: unknown {what} {quoted(cell.value)}{hint}")
    for ingredient_id in laid.ingredients:
        if ingredient_id not in laid.forms:
            raise PairingError(
                f"ingredients: {quoted(ingredient_id)} has no row in forms with form_id "
                f"{quoted(ingredient_id)}, so nobody could weigh it"
            )


def _house_names(
    house: list[_Row], overlay: dict[str, list[Any]], laid: Catalog
) -> dict[str, list[Any]]:
    """House names become aliases of what they mean."""
    out = {k: list(v) for k, v in overlay.items()}
    said: set[str] = set()
    for row in house:
        name, target = str(row["name"].value), row["means"]
        if normalise(name) in said:
            raise PairingError(f"{row['name'].where}: {quoted(name)} stands there twice")
        said.add(normalise(name))
        try:
            form = laid.form(str(target.value))
        except PairingError as err:
            raise PairingError(f"{target.where}: {err}") from None
        taken = _known(name, laid)
        if taken not in (None, form.form_id):
            raise PairingError(
                f"{row['name'].where}: {quoted(name)} already means {taken}; choose another name"
            )
        own = out.setdefault("ingredients", [])
        known = {i.ingredient_id: i for i in own}
        old = known.get(form.ingredient_id) or laid.ingredients[form.ingredient_id]
        out["ingredients"] = [
            *(i for i in own if i.ingredient_id != form.ingredient_id),
            old._replace(aliases=(*old.aliases, name)),
        ]
    return out


def _known(name: str, catalog: Catalog) -> str | None:
    try:
        return catalog.form(name).form_id
    except PairingError:
        return None


def _menus(given: list[tuple[dict[str, Any], str]], catalog: Catalog) -> dict[str, Menu]:
    out: dict[str, Menu] = {}
    for menu, where in given:
        unknown = set(menu) - MENU_FIELDS
        if unknown or not isinstance(menu.get("name"), str):
            raise PairingError(f"{where}: a menu has a name and coffees, not {sorted(unknown)}")
        key = normalise(_clean(menu["name"], where))
        if not key or key in out:
            raise PairingError(
                f"{where}: "
                + (
                    f"menu {quoted(menu['name'])} stands there twice"
                    if key
                    else "a menu has no name"
                )
            )
        coffees = menu.get("coffees", [])
        if not isinstance(coffees, list) or not coffees:
            raise PairingError(f"{where}: menu {quoted(menu['name'])} lists no coffees")
        for coffee in coffees:
            if (
                not isinstance(coffee, dict)
                or not coffee
                or set(coffee) - COFFEE_FIELDS
                or not all(isinstance(v, str) for v in coffee.values())
            ):
                raise PairingError(
                    f"{where}: a coffee of menu {quoted(menu['name'])} has one or more of "
                    f"{', '.join(sorted(COFFEE_FIELDS))}, each a text"
                )
            try:
                describe(catalog, **coffee)
            except PairingError as err:
                raise PairingError(f"{where}: menu {quoted(menu['name'])}: {err}") from None
        out[key] = Menu(menu["name"], tuple({k: str(v) for k, v in c.items()} for c in coffees))
    return out
