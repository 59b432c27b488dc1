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
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from pairing import catalog as cat
from pairing.catalog import Catalog, normalise
from pairing.errors import PairingError

__all__ = ["FILE_NAME", "Menu", "Pantry", "open_pantry"]

FILE_NAME = "pairing.toml"
MAX_BYTES = 5_000_000

RECORDS: dict[str, type] = {
    "sources": cat.Source,
    "ingredients": cat.Ingredient,
    "forms": cat.Form,
    "form_materials": cat.FormMaterial,
    "composition": cat.Content,
    "coffee_origins": cat.Origin,
    "coffee_modifiers": cat.Modifier,
    "brews": cat.Brew,
    "traditions": cat.Tradition,
    "sweeteners": cat.Sweetener,
    "household": cat.HouseholdMeasure,
    "glassware": cat.Glass,
}
OWN_TABLES: dict[str, dict[str, type]] = {
    "prices": {"item": str, "per_kg": float},
    "stock": {"item": str, "grams": float},
    "house_names": {"name": str, "means": str},
}
MENU_FIELDS = {"name", "coffees"}
COFFEE_FIELDS = {"origin", "process", "roast", "brew", "species"}
TOP_FIELDS = {"name", "currency", "menus"} | set(RECORDS) | set(OWN_TABLES)
HOUSE_SOURCE = "house"


@dataclass(frozen=True, slots=True)
class Menu:
    """A named list of coffees to serve with one syrup."""

    name: str
    coffees: tuple[dict[str, str], ...]


@dataclass(frozen=True)
class Pantry:
    """A checked pantry.

    Attributes
    ----------
    catalog : Catalog
        The catalogue with the pantry's rows in it.
    currency : str
    price_per_kg, stock_g : dict
        By form or sweetener id.
    menus : dict
        Menus by normalised name.
    """

    catalog: Catalog
    name: str = ""
    currency: str = ""
    price_per_kg: dict[str, float] = field(default_factory=dict)
    stock_g: dict[str, float] = field(default_factory=dict)
    menus: dict[str, Menu] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Cell:
    """A value with the place it was read from."""

    value: Any
    where: str


_Row = dict[str, _Cell]


def open_pantry(path: Path, catalog: Catalog) -> Pantry:
    """Read and check a pantry, and lay it over a catalogue.

    Parameters
    ----------
    path : Path
        A TOML file or a folder.
    catalog : Catalog

    Raises
    ------
    PairingError
        One line: file, line, column, what is wrong and what would be right.
    """
    top: dict[str, Any] = {}
    rows: dict[str, list[_Row]] = {}
    if path.is_dir():
        names = {f"{t}.csv": t for t in (*RECORDS, *OWN_TABLES)}
        for file in sorted(path.glob("*.csv")):
            if file.name not in names:
                known = ", ".join(sorted(names))
                raise PairingError(f"{file.name}: not a pantry table; one of {known}")
            rows.setdefault(names[file.name], []).extend(_csv_rows(file))
        if (path / FILE_NAME).exists():
            top = _toml(path / FILE_NAME, rows)
        elif not rows:
            raise PairingError(
                f"{path.name}/ holds no pantry: put CSV tables or a {FILE_NAME} in it"
            )
    else:
        top = _toml(path, rows)
    return _check(top, rows, catalog, path)


# --- reading with places ------------------------------------------------------------------


def _read_text(path: Path) -> str:
    try:
        size = path.stat().st_size
        raw = path.read_bytes() if size <= MAX_BYTES else b""
    except OSError as err:
        raise PairingError(f"cannot read the pantry {path.name}: {err.strerror or err}") from None
    if size > MAX_BYTES:
        raise PairingError(
            f"{path.name} has {size / 1e6:.0f} MB; a pantry file may have {MAX_BYTES / 1e6:.0f} MB"
        )
    if not raw.strip():
        raise PairingError(f"{path.name} is empty; give at least one table or name")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        raise PairingError(
            f"{path.name} is not UTF-8 text (byte {err.start}); save it as UTF-8"
        ) from None


def _csv_rows(path: Path) -> Iterator[_Row]:
    text = _read_text(path)
    if "\0" in text:
        raise PairingError(f"{path.name} holds NUL bytes; it should be a UTF-8 CSV text")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    header: list[str] | None = None
    try:
        for row in reader:
            if not row:
                continue
            if header is None:
                header = [c.strip() for c in row]
                continue
            if len(row) != len(header):
                raise PairingError(
                    f"{path.name} line {reader.line_num}: {len(row)} cells, the header has "
                    f"{len(header)}"
                )
            yield {
                name: _Cell(value.strip(), f"{path.name} line {reader.line_num} column {name!r}")
                for name, value in zip(header, row, strict=True)
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
    text = _read_text(path)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as err:
        raise PairingError(f"{path.name}: not TOML: {err}") from None
    except RecursionError:
        raise PairingError(f"{path.name}: not a pantry: brackets nested too deep") from None
    places = _places(text)

    def where(table: str, i: int, key: str) -> str:
        line, column = places.get((table, i, key)) or places.get((table, i, "")) or (1, 1)
        return f"{path.name} line {line} column {column} ({key or table})"

    for key, value in document.items():
        if key not in TOP_FIELDS:
            raise PairingError(
                f"{where('', 0, key)}: unknown table or key {key!r}; one of "
                f"{', '.join(sorted(TOP_FIELDS))}"
            )
        if key in RECORDS or key in OWN_TABLES:
            if not isinstance(value, list) or not all(isinstance(r, dict) for r in value):
                raise PairingError(f"{where('', 0, key)}: write the rows as [[{key}]] tables")
            for i, row in enumerate(value):
                rows.setdefault(key, []).append(
                    {k: _Cell(_flat(v, where(key, i, k)), where(key, i, k)) for k, v in row.items()}
                )
    menus = document.get("menus", [])
    if not isinstance(menus, list) or not all(isinstance(m, dict) for m in menus):
        raise PairingError(f"{where('', 0, 'menus')}: write the menus as [[menus]] tables")
    return {
        "name": document.get("name", ""),
        "currency": document.get("currency", ""),
        "menus": [(m, where("menus", i, "")) for i, m in enumerate(menus)],
    }


def _flat(value: Any, where: str) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ";".join(str(v) for v in value)
    if isinstance(value, dict):
        raise PairingError(f"{where}: should be text, a number or a list")
    return value


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
            raise PairingError(f"{cell.where}: {text!r} should be a number{unit}")
        if number < rules.get("minimum", -math.inf) or number > rules.get("maximum", math.inf):
            span = f"{rules.get('minimum', '')} to {rules.get('maximum', 'any')}"
            raise PairingError(f"{cell.where}: {text} is out of range; give {span}{unit}")
        return text
    if spec["type"] == "boolean" and text not in ("yes", "no"):
        raise PairingError(f"{cell.where}: {text!r} should be yes or no")
    if "enum" in rules and text not in rules["enum"]:
        raise PairingError(f"{cell.where}: {text!r} should be one of {', '.join(rules['enum'])}")
    if "pattern" in rules and not re.fullmatch(rules["pattern"], text):
        example = (
            "lower-case words joined by hyphens"
            if spec["name"].endswith("_id")
            else (rules["pattern"])
        )
        raise PairingError(f"{cell.where}: {text!r} should be {example}")
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
                f"{cell.where}: {table} has no column {name!r}; it has {', '.join(schema)}"
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
    plan = cat.converters(record)
    return record(**{name: convert(texts[name]) for name, convert in plan})


def _check(
    top: dict[str, Any], rows: dict[str, list[_Row]], catalog: Catalog, path: Path
) -> Pantry:
    schemas = _schemas(catalog)
    overlay: dict[str, list[Any]] = {
        "sources": [
            cat.Source(
                HOUSE_SOURCE, f"The bar's own notes ({path.name})", "", "practice", "own", "", ""
            )
        ]
    }
    for table, table_rows in rows.items():
        if table not in RECORDS:
            continue
        key = cat.KEYS.get(table)
        seen: set[str] = set()
        for row in table_rows:
            record = _record(table, row, schemas[table])
            if key:
                ident = getattr(record, key)
                if ident in seen:
                    raise PairingError(f"{row[key].where}: the id {ident!r} stands there twice")
                seen.add(ident)
            overlay.setdefault(table, []).append(record)
    laid = Catalog(catalog.folder, {k: tuple(v) for k, v in overlay.items()})
    _references(rows, laid)
    house = _own(rows.get("house_names", []), "house_names")
    if house:
        overlay = _house_names(house, overlay, laid)
        laid = Catalog(catalog.folder, {k: tuple(v) for k, v in overlay.items()})
    prices = {
        _item(r["item"], laid): _positive(r["per_kg"])
        for r in _own(rows.get("prices", []), "prices")
    }
    stock = {
        _item(r["item"], laid): _positive(r["grams"]) for r in _own(rows.get("stock", []), "stock")
    }
    return Pantry(
        catalog=laid,
        name=str(top.get("name", "")),
        currency=str(top.get("currency", "")),
        price_per_kg=prices,
        stock_g=stock,
        menus=_menus(top.get("menus", [])),
    )


def _own(rows: list[_Row], table: str) -> list[_Row]:
    wanted = OWN_TABLES[table]
    for row in rows:
        first = next(iter(row.values())).where if row else table
        for name, cell in row.items():
            if name not in wanted:
                raise PairingError(
                    f"{cell.where}: {table} has no column {name!r}; it has {', '.join(wanted)}"
                )
        for name in wanted:
            if name not in row:
                raise PairingError(f"{first}: {table} needs {name!r}")
    return rows


def _item(cell: _Cell, catalog: Catalog) -> str:
    text = str(cell.value)
    try:
        return catalog.sweetener(text).sweetener_id
    except PairingError:
        pass
    try:
        return catalog.form(text).form_id
    except PairingError as err:
        raise PairingError(f"{cell.where}: {err}") from None


def _positive(cell: _Cell) -> float:
    try:
        number = float(cell.value)
    except (TypeError, ValueError):
        number = math.nan
    if not (math.isfinite(number) and number >= 0):
        raise PairingError(f"{cell.where}: {cell.value!r} should be a number of 0 or more")
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
                if cell and name != cat.KEYS.get(table) and str(cell.value) not in known:
                    from difflib import get_close_matches

                    near = get_close_matches(str(cell.value), known, 3)
                    hint = f"; did you mean {', '.join(near)}?" if near else ""
                    raise PairingError(f"{cell.where}: unknown {what} {cell.value!r}{hint}")
    for ingredient_id in laid.ingredients:
        if ingredient_id not in laid.forms:
            raise PairingError(
                f"ingredients: {ingredient_id!r} has no row in forms with form_id "
                f"{ingredient_id!r}, so nobody could weigh it"
            )


def _house_names(
    house: list[_Row], overlay: dict[str, list[Any]], laid: Catalog
) -> dict[str, list[Any]]:
    """House names become aliases of what they mean."""
    out = {k: list(v) for k, v in overlay.items()}
    for row in house:
        name, target = str(row["name"].value), row["means"]
        try:
            form = laid.form(str(target.value))
        except PairingError as err:
            raise PairingError(f"{target.where}: {err}") from None
        own = out.setdefault("ingredients", [])
        known = {i.ingredient_id: i for i in own}
        old = known.get(form.ingredient_id) or laid.ingredients[form.ingredient_id]
        values = {f.name: getattr(old, f.name) for f in fields(old)}
        values["aliases"] = (*old.aliases, name)
        out["ingredients"] = [
            *(i for i in own if i.ingredient_id != form.ingredient_id),
            cat.Ingredient(**values),
        ]
    return out


def _menus(given: list[tuple[dict[str, Any], str]]) -> dict[str, Menu]:
    out: dict[str, Menu] = {}
    for menu, where in given:
        unknown = set(menu) - MENU_FIELDS
        if unknown or not isinstance(menu.get("name"), str):
            raise PairingError(f"{where}: a menu has a name and coffees, not {sorted(unknown)}")
        coffees = menu.get("coffees", [])
        if not isinstance(coffees, list) or not coffees:
            raise PairingError(f"{where}: menu {menu['name']!r} lists no coffees")
        for coffee in coffees:
            if not isinstance(coffee, dict) or set(coffee) - COFFEE_FIELDS:
                raise PairingError(
                    f"{where}: a coffee of menu {menu['name']!r} may have "
                    f"{', '.join(sorted(COFFEE_FIELDS))}"
                )
        out[normalise(menu["name"])] = Menu(
            menu["name"], tuple({k: str(v) for k, v in c.items()} for c in coffees)
        )
    return out
