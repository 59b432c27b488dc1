"""The safety tables of a catalogue: a bar may tighten them, never loosen them without a word.

The shipped rows always count. A data folder of one's own and a pantry add rows and lower
limits; where they raise a limit, soften a level or leave a row out, the shipped row goes on to
decide and :attr:`SafetyTables.loosened` names the row.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from pairing.evidence.names import NameIndex
from pairing.evidence.poison_names import PoisonNames, fold
from pairing.evidence.safety_rows import (
    Allergen,
    AllergenKind,
    AllergenName,
    CaffeineGuidance,
    Certificate,
    Constituent,
    FoodCodeCell,
    Hazard,
    Limit,
    PlantRule,
    Poison,
    ProcessCaution,
    Stated,
    Subject,
    Substance,
)
from pairing.evidence.tables import data_folder, records

__all__ = ["GRAVITY", "OVERLAID", "SafetyTables"]

GRAVITY = ("stop", "limit", "caution", "note")
OIL_WORDS = frozenset(("oil", "attar", "otto"))
FOOD_OILS = frozenset(
    (
        *("olive", "coconut", "sunflower", "rapeseed", "canola", "sesame", "peanut", "walnut"),
        *("hazelnut", "almond", "avocado", "grapeseed", "vegetable", "cooking", "corn", "soya"),
        *("pumpkin", "flax", "rice", "palm", "neutral", "infused", "herb", "garlic"),
    )
)
R = TypeVar("R")


def _by_id(column: str) -> Callable[[Any], Any]:
    return lambda row: getattr(row, column)


def _lower(one: Any, other: Any) -> bool:
    return bool(one.value < other.value)


def _graver(column: str) -> Callable[[Any, Any], bool]:
    return lambda one, other: (
        GRAVITY.index(getattr(one, column)) < GRAVITY.index(getattr(other, column))
    )


def _never(one: Any, other: Any) -> bool:
    return False


# table: its record, what tells its rows apart, whether one row is stricter than another
_TABLES: Mapping[str, tuple[type[Any], Callable[[Any], Any], Callable[[Any, Any], bool]]] = {
    "substances": (Substance, _by_id("substance"), _never),
    "limits": (Limit, _by_id("limit_id"), _lower),
    "rules": (PlantRule, _by_id("rule_id"), _graver("level")),
    "subjects": (Subject, _by_id("subject_id"), _never),
    "hazards": (Hazard, _by_id("hazard_id"), _graver("severity")),
    "allergens": (Allergen, lambda r: (r.allergen, r.ingredient_id, r.word), _never),
    "allergen_kinds": (AllergenKind, _by_id("key"), _never),
    "allergen_names": (AllergenName, _by_id("phrase"), _never),
    "poisons": (Poison, _by_id("poison_id"), _never),
    "process_cautions": (ProcessCaution, _by_id("caution_id"), _never),
    "caffeine_guidance": (CaffeineGuidance, _by_id("guidance_id"), _lower),
    "food_code": (FoodCodeCell, _by_id("cell_id"), _never),
    "constituents": (
        Constituent,
        lambda r: (r.ingredient_id, r.form, r.substance, r.source_id),
        lambda one, other: one.high_mg_per_kg > other.high_mg_per_kg,
    ),
}
OVERLAID: dict[str, type[Any]] = {  # the tables that a pantry may add to
    name: _TABLES[name][0] for name in ("limits", "hazards", "rules", "constituents", "subjects")
}


class SafetyTables:
    """The safety tables of a data folder and a pantry, each read when first used.

    Parameters
    ----------
    folder : Path
        The data folder of the catalogue.
    overlay : mapping
        Rows of a pantry, by table.
    """

    def __init__(self, folder: Path, overlay: Mapping[str, tuple[Any, ...]]) -> None:
        self._folders = list(dict.fromkeys((data_folder(), folder)))
        self._overlay = overlay
        self._loosened: dict[str, None] = {}

    @property
    def standing(self) -> dict[str, int]:
        """Rows of law, poison, hazard and care by how they were found: read, second-hand, memory.

        Returns
        -------
        dict of str to int
            The most first.
        """
        tables = (*("limits", "rules", "hazards", "poisons", "allergens", "process_cautions"),
                  *("caffeine_guidance", "food_code", "constituents"))  # fmt: skip
        counted = Counter(row.evidence for name in tables for row in self._rows(name))
        return dict(counted.most_common())

    @property
    def loosened(self) -> tuple[str, ...]:
        """Rows that a folder or a pantry would loosen or leaves out; the shipped ones decide."""
        for name in _TABLES:
            self._rows(name)
        return tuple(self._loosened)

    @cached_property
    def _read(self) -> dict[str, tuple[Any, ...]]:
        return {}

    def _rows(self, name: str) -> tuple[Any, ...]:
        if name not in self._read:
            self._read[name] = self._strictest(name)
        return self._read[name]

    def _strictest(self, name: str) -> tuple[Any, ...]:
        record, key, stricter = _TABLES[name]
        shipped, *others = self._folders
        kept = {key(r): r for r in records(record, shipped / f"{name}.csv")}
        given = [(f.name + "/", records(record, f / f"{name}.csv")) for f in others]
        for where, rows in given:
            there = {key(r) for r in rows}
            for ident in [k for k in kept if k not in there]:
                self._loosened[f"{name}: {_said(ident)} is left out of {where}"] = None
        given += [("the pantry", self._overlay.get(name, ()))]
        for where, rows in given:
            for row in rows:
                old = kept.get(key(row))
                if old is None or stricter(row, old):
                    kept[key(row)] = row
                elif stricter(old, row):
                    self._loosened[f"{name}: {_said(key(row))} is loosened in {where}"] = None
        return tuple(kept.values())

    @cached_property
    def substances(self) -> dict[str, Substance]:
        """Substances by id."""
        return {r.substance: r for r in self._rows("substances")}

    @cached_property
    def limits(self) -> dict[str, tuple[Limit, ...]]:
        """Limits by substance."""
        return _grouped(self._rows("limits"), "substance")

    @cached_property
    def rules(self) -> dict[str, tuple[PlantRule, ...]]:
        """Rules by subject."""
        return _grouped(self._rows("rules"), "subject")

    @cached_property
    def subjects(self) -> dict[str, Subject]:
        """Subjects by id."""
        return {r.subject_id: r for r in self._rows("subjects")}

    @cached_property
    def subject_names(self) -> NameIndex[Subject]:
        """Subjects by any of their names."""
        index: NameIndex[Subject] = NameIndex("plant or thing")
        for s in self.subjects.values():
            index.add(s.subject_id, (s.name, *s.aliases, s.botanical_name), s)
        return index

    @cached_property
    def hazards(self) -> tuple[Hazard, ...]:
        """All hazard rows."""
        return self._rows("hazards")

    @cached_property
    def allergens(self) -> tuple[Allergen, ...]:
        """All allergen rows."""
        return self._rows("allergens")

    @cached_property
    def allergen_kinds(self) -> dict[str, AllergenKind]:
        """Allergens that a law lists, by key."""
        return {r.key: r for r in self._rows("allergen_kinds")}

    @cached_property
    def allergen_names(self) -> tuple[AllergenName, ...]:
        """Names that hold allergens, in the languages of the catalogue."""
        return self._rows("allergen_names")

    @cached_property
    def poisons(self) -> tuple[Poison, ...]:
        """Plants that no drink may hold."""
        return self._rows("poisons")

    @cached_property
    def poison_names(self) -> PoisonNames:
        """The poison list, ready to be looked for in names."""
        return PoisonNames(self.poisons)

    def danger(self, name: str, market: str = "") -> str:
        """Why a thing that is no ingredient goes into no drink; empty where no table says so.

        Parameters
        ----------
        name : str
            Any name of a subject or a poison, spelt in any way.
        market : str
            Whose law decides; every law while none is set.

        Returns
        -------
        str
            One sentence, ready to print; empty means that no table says so, not that it is safe.
        """
        subject = self.subject_names.get(name)
        if subject is not None:
            key = subject.subject_id
            stops = [h.text for h in self.hazards if h.subject == key and h.severity == "stop"]
            rules = [
                r
                for r in self.rules.get(key, ())
                if r.level == "stop"
                and (
                    not market or not r.jurisdiction or market in r.jurisdiction.lower().split(";")
                )
            ]
            laws = [f"{r.jurisdiction.replace(';', ' and ')}: {r.text}" for r in rules]
            return (stops + laws)[0] if stops or laws else ""
        found = self.poison_names.of(name)
        if found:
            return found[0].text
        near = self.poison_names.near(name)
        return (
            f"it reads like {near[1]!r}, {near[0].text[:1].lower()}{near[0].text[1:]}"
            if near
            else ""
        )

    def _rules_in(self, key: str, market: str) -> list[PlantRule]:
        """Rules of a subject that are law in a market; all of them while none is set."""
        return [
            r
            for r in self.rules.get(key, ())
            if not market or not r.jurisdiction or market in r.jurisdiction.lower().split(";")
        ]

    def caution(self, name: str, market: str = "") -> str:
        """The worst thing the tables say of a subject that is no ingredient.

        Parameters
        ----------
        name : str
            Any name of a subject, spelt in any way.
        market : str
            Whose law is told; every law while none is set.

        Returns
        -------
        str
            One sentence; empty where no table says anything, which is not safe.
        """
        subject = self.subject_names.get(name)
        if subject is None:
            return ""
        key = subject.subject_id
        said = [(h.severity, h.text) for h in self.hazards if h.subject == key]
        said += [
            (r.level, f"{r.jurisdiction.replace(';', ' and ')}: {r.text}")
            for r in self._rules_in(key, market)
        ]
        ranked = sorted(said, key=lambda pair: GRAVITY.index(pair[0]))
        return re.split(r"(?<=[.;]) ", ranked[0][1])[0].rstrip(".;") if ranked else ""

    def oil(self, name: str) -> str:
        """Why an aroma oil goes into no drink; empty for other names and for food oils.

        Parameters
        ----------
        name : str

        Returns
        -------
        str
            The text of the hazards table.
        """
        words = fold(name).split("-")
        if words[-1] not in OIL_WORDS or len(words) < 2 or set(words) & FOOD_OILS:
            return ""
        return next(
            h.text for h in self.hazards if h.subject == "essential-oil" and h.severity == "stop"
        )

    @cached_property
    def process(self) -> tuple[ProcessCaution, ...]:
        """All process cautions."""
        return self._rows("process_cautions")

    @cached_property
    def caffeine(self) -> tuple[CaffeineGuidance, ...]:
        """All caffeine guidance."""
        return self._rows("caffeine_guidance")

    @cached_property
    def food_code(self) -> tuple[FoodCodeCell, ...]:
        """All cells of Food Code Tables A and B."""
        return self._rows("food_code")

    @cached_property
    def constituents(self) -> dict[str, tuple[Constituent, ...]]:
        """Constituents by ingredient id."""
        return _grouped(self._rows("constituents"), "ingredient_id")

    @cached_property
    def stated(self) -> dict[str, Stated]:
        """What the pantry states of the allergens of its own things, by id."""
        return {r.ingredient_id: r for r in self._overlay.get("stated", ())}

    @cached_property
    def certificates(self) -> tuple[Certificate, ...]:
        """Analyses by which the pantry lowers a worst case."""
        return tuple(self._overlay.get("certificates", ()))


def _said(ident: Any) -> str:
    return ", ".join(str(x) for x in ident if x) if isinstance(ident, tuple) else str(ident)


def _grouped(rows: tuple[R, ...], column: str) -> dict[str, tuple[R, ...]]:
    out: dict[str, list[R]] = defaultdict(list)
    for row in rows:
        out[getattr(row, column)].append(row)
    return {k: tuple(v) for k, v in out.items()}
