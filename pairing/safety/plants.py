"""Which plant an ingredient is, whoever named it, and which plants no drink may hold.

The plant of every ingredient and sweetener is resolved once per catalogue, by id, name, alias
and botanical name, after look-alike letters are folded. What resolves to nothing is *not
assessed*, which is not safe. Plants of the poison list and regulated plants are refused under
any spelling.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

from pairing.errors import RefusedError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.once import once_per_catalog
from pairing.evidence.poison_names import fold
from pairing.evidence.rows import Form, Ingredient, Sweetener
from pairing.evidence.safety_rows import PlantRule, Poison
from pairing.evidence.spelling import normalise

__all__ = [
    "Identity",
    "called",
    "identities",
    "identity",
    "is_refused",
    "poison_named",
    "refusal",
    "refuse_plant",
    "refuse_regulated",
    "same_plant",
    "usual_high",
]

MARKETS = ("eu", "uk", "us")
JOINED_LETTERS = 7  # a name of more is looked for at the head of a longer word (our choice)
PARTS = frozenset({"leaf", "pit", "kernel"})  # an entry for one of these is not the whole plant


class Identity(NamedTuple):
    """What is known of an ingredient or a sweetener.

    Attributes
    ----------
    ident : str
    names : tuple of str
        Id, name, aliases, botanical name.
    own : bool
        Brought by a pantry.
    plants : tuple of str
        Shipped ingredients and subjects that it is; empty for a shipped one.
    botanical_name : str
    sourced : bool
        Whether somebody other than the bar is cited for it.
    """

    ident: str
    names: tuple[str, ...]
    own: bool
    plants: tuple[str, ...]
    botanical_name: str
    sourced: bool

    @property
    def assessed(self) -> bool:
        """Whether any table here knows the plant."""
        return not self.own or bool(self.plants)


def _botanical(name: str) -> list[tuple[str, ...]]:
    """(genus, species) of a botanical name, its variety third; authors left out, ``x`` too.

    Several plants in one name (``A b / C. d``) give several; ``spp.`` gives the genus alone.
    """
    found: list[tuple[str, ...]] = []
    plain = re.sub(r"\([^)]*\)", " ", name.replace("×", " x "))
    for part in re.split(r"[/,;]| and ", plain):
        words = [w for w in fold(part).split("-") if w not in ("", "x", "and")]
        if not words:
            continue
        if len(words[0]) == 1 and found:
            words[0] = found[-1][0]
        if len(words) == 1 or words[1] in ("spp", "sp"):
            found.append((words[0],))
        elif "var" in words[2:-1]:
            found.append((words[0], words[1], words[words.index("var", 2) + 1]))
        else:
            found.append((words[0], words[1]))
    return found


class _Known:
    """Shipped ingredients and plants of the rule tables by name and by botanical name."""

    def __init__(self, catalog: Catalog) -> None:
        shipped = load(catalog.folder)
        self.catalog = catalog
        self.ingredients = shipped.ingredients
        self.names: dict[str, list[str]] = defaultdict(list)
        self.plants: dict[tuple[str, ...], list[str]] = defaultdict(list)
        rows = [
            (i.ingredient_id, (i.name, *i.aliases), i.botanical_name)
            for i in self.ingredients.values()
        ]
        rows += [
            (s.subject_id, (s.name, *s.aliases), s.botanical_name)
            for s in catalog.safety.subjects.values()
            if s.kind in ("plant", "food", "substance")
        ]
        rows += [(s.sweetener_id, (s.name, *s.aliases), "") for s in shipped.sweeteners.values()]
        for ident, names, botanical in rows:
            for key in {normalise(n) for n in (ident, *names)}:
                self.names[key].append(ident)
            for plant in _botanical(botanical):
                self.plants[plant].append(ident)
        harmless = {p[0] for p, ids in self.plants.items() if not all(map(self.forbidden, ids))}
        for plant in [p for p in self.plants if len(p) == 1 and p[0] in harmless]:
            del self.plants[plant]  # a genus that also holds plants people eat says nothing
        of_genus: dict[str, list[str]] = defaultdict(list)
        for plant, ids in self.plants.items():
            of_genus[plant[0]] += ids
        for genus, ids in of_genus.items():  # Dipteryx alone is tonka
            if all(map(self.forbidden, ids)):
                self.plants.setdefault((genus,), list(dict.fromkeys(ids)))
        self.banned: dict[str, list[str]] = {}  # names of forbidden plants
        self.joined: dict[str, list[str]] = {}  # the same written as one word
        for key, ids in self.names.items():
            never = [i for i in ids if self.forbidden(i)]
            if never and len(key) > 3:
                self.banned[key] = never
                if len(key.replace("-", "")) > 4:
                    self.joined[key.replace("-", "")] = never
        self.initials: dict[tuple[str, str], list[str]] = defaultdict(list)  # C. cassia
        for plant, ids in self.plants.items():
            if len(plant) > 1:
                self.initials[(plant[0][0], plant[1])] += ids
        self.short: dict[tuple[str, str], str] = {}  # D. odorata
        for plant, ids in self.plants.items():
            if len(plant) > 1 and all(map(self.forbidden, ids)):
                self.short[(plant[0][0], plant[1])] = ids[0]

    def forbidden(self, ident: str) -> bool:
        """Whether an entry is a plant that no syrup may hold in the market of the catalogue."""
        if ident in self.ingredients:
            return is_refused(self.catalog, ident)
        rules = self.catalog.safety.rules.get(ident, ())
        if any(r.level == "stop" and _binds(self.catalog, r) for r in rules):
            return True
        return any(
            h.severity == "stop" and ident in (h.subject, *h.ingredient_ids)
            for h in self.catalog.safety.hazards
        )


@once_per_catalog
def _known(catalog: Catalog) -> _Known:
    return _Known(catalog)


def markets_of(jurisdiction: str) -> frozenset[str]:
    """Markets whose law a row is: ``"EU;UK"`` -> ``{"eu", "uk"}``; none for science."""
    words = set(re.split(r"[;,/ ]+| and ", jurisdiction.lower()))
    return frozenset(m for m in MARKETS if m in words)


def _binds(catalog: Catalog, rule: PlantRule) -> bool:
    """Whether a rule is law where the bar is; every rule while no market is set."""
    where = markets_of(rule.jurisdiction)
    return not where or not catalog.market or catalog.market in where


@once_per_catalog
def is_refused(catalog: Catalog, ingredient_id: str) -> bool:
    """Whether law or poison keeps an ingredient of the catalogue out of every drink.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` decides where the laws differ; the strictest while none is set.
    ingredient_id : str

    Returns
    -------
    bool
        True where ``regulated`` is yes and no rule says what for.
    """
    row = catalog.ingredients.get(ingredient_id)
    if row is None or row.regulated != "yes":
        return False
    rules = catalog.safety.rules.get(ingredient_id, ())
    if not rules or any(r.level == "stop" and _binds(catalog, r) for r in rules):
        return True
    return any(
        h.severity == "stop" and ingredient_id in h.ingredient_ids for h in catalog.safety.hazards
    )


def refusal(catalog: Catalog, name: str) -> str:
    """Why a regulated plant is refused, in one short line: whose law, and its number.

    Parameters
    ----------
    catalog : Catalog
    name : str
        A regulated ingredient's id, such as ``"tonka-bean"``.

    Returns
    -------
    str
        The first clause of the rule that decides, its provision, and where to read the rest.
    """
    rules = [
        r for r in catalog.safety.rules.get(name, ()) if r.level == "stop" and _binds(catalog, r)
    ]
    more = f"see `pairing show {name}`"
    if not rules:
        return f"law bans or limits it; {more}"
    first = rules[0]
    clause = re.split(r"[;:.] ", first.text, maxsplit=1)[0].rstrip(".")
    law = first.jurisdiction.replace(";", " and ")
    text = f"{f'{law}: ' if law else ''}{clause} ({first.provision}); {more}"
    if not catalog.market and not _everywhere(catalog, name):
        text += "; no market is set, so the strictest law decides: set yours (eu, uk or us)"
    return text


def _everywhere(catalog: Catalog, name: str) -> bool:
    stops = [r for r in catalog.safety.rules.get(name, ()) if r.level == "stop"]
    said = frozenset(m for r in stops for m in markets_of(r.jurisdiction) or MARKETS)
    return said == frozenset(MARKETS)


# --- poisons ------------------------------------------------------------------------------


def poison_named(catalog: Catalog, text: str) -> Poison | None:
    """The row of the poison list that a name means, spelt in any way.

    Parameters
    ----------
    catalog : Catalog
    text : str

    Returns
    -------
    Poison or None
        None means that the list does not know it, not that it is safe.
    """
    found = catalog.safety.poison_names.of(text)
    return found[0] if found else None


@once_per_catalog
def _shipped_names(catalog: Catalog) -> frozenset[str]:
    rows = load(catalog.folder).ingredients.values()
    return frozenset(normalise(t) for i in rows for t in _texts(i))


def poison_in(catalog: Catalog, texts: Iterable[str]) -> str:
    """Why names are refused: the poison that one of them holds or is a slip away from.

    Parameters
    ----------
    catalog : Catalog
    texts : iterable of str

    Returns
    -------
    str
        One line; empty when none holds any.
    """
    for text in texts:
        if normalise(text) in _shipped_names(catalog):
            continue
        hit = catalog.safety.poison_names.of(text)
        if hit:
            return f"{hit[1]!r} in it: {hit[0].text}"
        near = catalog.safety.poison_names.near(text)
        if near:
            return (
                f"it reads like {near[1]!r}: {near[0].text} If it is another plant, write its "
                "botanical name in full"
            )
    return ""


# --- identity -----------------------------------------------------------------------------


def _texts(row: Ingredient | Sweetener) -> tuple[str, ...]:
    ident = row.ingredient_id if isinstance(row, Ingredient) else row.sweetener_id
    botanical = row.botanical_name if isinstance(row, Ingredient) else ""
    return tuple(t for t in (ident, row.name, *row.aliases, botanical) if t)


@once_per_catalog
def identities(catalog: Catalog) -> dict[str, Identity]:
    """Every ingredient and sweetener as the plant it is, worked out once.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    dict of str to Identity
        By id.
    """
    out: dict[str, Identity] = {}
    shipped = load(catalog.folder) if catalog.overlay else catalog
    for row in catalog.ingredients.values():
        old = shipped.ingredients.get(row.ingredient_id)
        own = old is None or (
            old is not row and fold(old.botanical_name) != fold(row.botanical_name)
        )
        plants = _same_plant(catalog, row) if own else ()
        out[row.ingredient_id] = Identity(
            row.ingredient_id, _texts(row), own, plants, row.botanical_name,
            row.source_id not in ("", "house"),
        )  # fmt: skip
    for sweet in catalog.sweeteners.values():
        own = sweet.sweetener_id not in shipped.sweeteners
        plants = _same_sweetener(catalog, sweet) if own else ()
        out.setdefault(
            sweet.sweetener_id,
            Identity(sweet.sweetener_id, _texts(sweet), own, plants, "",
                     sweet.source_id not in ("", "house")),
        )  # fmt: skip
    return out


def identity(catalog: Catalog, ident: str) -> Identity:
    """The plant of one ingredient or sweetener; an id nobody knows is not assessed.

    Parameters
    ----------
    catalog : Catalog
    ident : str
        Id of an ingredient or sweetener.

    Returns
    -------
    Identity
    """
    known = identities(catalog).get(ident)
    return known or Identity(ident, (ident,), True, (), "", False)


def called(catalog: Catalog, ident: str) -> str:
    """What a thing is called in a sentence: a bar's own by the name the bar gives it.

    Parameters
    ----------
    catalog : Catalog
    ident : str
        Id of an ingredient or sweetener.

    Returns
    -------
    str
        The pantry's name, else the words of the id.
    """
    known = identity(catalog, ident)
    named = known.own and len(known.names) > 1
    return known.names[1] if named else ident.replace("-", " ")


def same_plant(catalog: Catalog, ingredient_id: str) -> tuple[str, ...]:
    """Shipped ingredients and subjects that an ingredient of a pantry is.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str

    Returns
    -------
    tuple of str
        Empty for a shipped ingredient, and for a plant that nobody here knows.
    """
    return identity(catalog, ingredient_id).plants


def _same_sweetener(catalog: Catalog, row: Sweetener) -> tuple[str, ...]:
    known = _known(catalog)
    names = [fold(n) for n in _texts(row)]
    return tuple(dict.fromkeys([*_named(known, names), *_held(known, names)]))


def _named(known: _Known, names: Iterable[str]) -> Iterator[str]:
    for name in names:
        yield from known.names.get(name, ())


def _held(known: _Known, names: list[str]) -> Iterator[str]:
    """Forbidden plants that a longer name holds as whole words, or abbreviates."""
    for name in names:
        words = name.split("-")
        if name not in known.names:
            for part in _parts_of(words):
                yield from known.banned.get(part, ())
            yield from known.joined.get("".join(words), ())
            for key in (k for k in known.joined if len(k) > JOINED_LETTERS):  # Tonkabohnenzucker
                if any(len(w) > len(key) + 2 and w.startswith(key) for w in words):
                    yield from known.joined[key]
        for one, two in pairwise(words):
            if 0 < len(one) <= 2 and (one[0], two) in known.short:
                yield known.short[(one[0], two)]


def _parts_of(words: list[str], most: int = 6) -> Iterator[str]:
    """Every run of words in a name."""
    for i in range(len(words)):
        for j in range(i + 1, min(i + most, len(words)) + 1):
            yield "-".join(words[i:j])


def _same_plant(catalog: Catalog, own: Ingredient) -> tuple[str, ...]:
    """Matched by id, name, alias and botanical name (genus and species, authors left out).

    A name decides between plants of one species (nutmeg and mace); where it does not, all count.
    """
    known = _known(catalog)
    names = [fold(n) for n in (own.ingredient_id, own.name, *own.aliases)]
    species: list[tuple[str, ...]] = []
    for text in (own.botanical_name, own.name, *own.aliases):
        for plant in _botanical(text):
            species += [plant, plant[:2], plant[:1]]
    names += ["-".join(plant) for plant in species if len(plant) > 1]
    forms = catalog.forms_of.get(own.ingredient_id, ())
    texts = (own.botanical_name, *(f"{f.form} {f.label}" for f in forms))
    said = {w for n in (*names, *map(fold, texts)) for w in n.split("-")}
    by_plant = [i for plant in species for i in known.plants.get(plant, ())]
    for plant in species:
        if len(plant) > 1 and len(plant[0]) == 1:
            by_plant += known.initials.get((plant[0], plant[1]), ())
    telling = [i for i in by_plant if set(normalise(i).split("-")) <= said]
    found = [*_named(known, names), *(telling or by_plant), *_held(known, names)]
    if not own.botanical_name:
        found += _limited(catalog, known, names)
    return tuple(
        i
        for i in dict.fromkeys(found)
        if i != own.ingredient_id
        and (not (PARTS & set(i.split("-"))) or PARTS & set(i.split("-")) & said)
    )


def _limited(catalog: Catalog, known: _Known, names: list[str]) -> Iterator[str]:
    """Plants with figures that a longer name holds as whole words: ``"Nutmeg powder"``."""
    watched = _watched(catalog)
    for name in names:
        if name in known.names:
            continue
        for part in _parts_of(name.split("-")):
            yield from watched.get(part, ())


@once_per_catalog
def _watched(catalog: Catalog) -> dict[str, list[str]]:
    """Names of shipped ingredients with a limit, a constituent or a hazard of their own."""
    t = catalog.safety
    ids = set(t.constituents)
    ids |= {i for rows in t.limits.values() for r in rows for i in r.ingredient_ids}
    ids |= {i for h in t.hazards if h.severity != "note" for i in h.ingredient_ids}
    ids |= {a.ingredient_id for a in t.allergens}
    known = _known(catalog)
    return {
        k: wanted
        for k, found in known.names.items()
        if len(k) > 3 and (wanted := [i for i in found if i in ids])
    }


def refuse_plant(catalog: Catalog, ingredient_id: str) -> None:
    """Refuse an ingredient that no drink may hold.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str

    Raises
    ------
    RefusedError
        One line: the law or the poison.
    """
    if is_refused(catalog, ingredient_id):
        raise RefusedError(
            f"{ingredient_id} goes into no formula here: {refusal(catalog, ingredient_id)}"
        )


def refuse_regulated(catalog: Catalog) -> None:
    """Refuse a pantry that brings a regulated or poisonous plant in under another name.

    Parameters
    ----------
    catalog : Catalog
        With the pantry laid over it; without one nothing is refused.

    Raises
    ------
    RefusedError
        One line: the ingredient or sweetener, the plant it is, and the law.
    """
    known = _known(catalog)
    for table, own in (
        *(("ingredients", i) for i in catalog.overlay.get("ingredients", ())),
        *(("sweeteners", s) for s in catalog.overlay.get("sweeteners", ())),
    ):
        ident = own.ingredient_id if isinstance(own, Ingredient) else own.sweetener_id
        if isinstance(own, Ingredient) and own.regulated == "yes":  # refused by every formula
            continue
        for plant in identity(catalog, ident).plants:
            if known.forbidden(plant):
                law = catalog.safety.rules.get(plant)
                why = refusal(catalog, plant) if law else f"see `pairing show {plant}`"
                raise RefusedError(
                    f"{table}: {ident!r} is {plant.replace('-', ' ')}, which goes "
                    f"into no formula here: {why}"
                )
        poison = poison_in(catalog, (*_texts(own), *_labels(catalog, ident)))
        if poison:
            raise RefusedError(f"{table}: {ident!r} goes into no drink: {poison}")


def _labels(catalog: Catalog, ident: str) -> list[str]:
    return [f.label for f in catalog.overlay.get("forms", ()) if f.ingredient_id == ident]


def usual_high(catalog: Catalog, form: Form) -> float | None:
    """High end of bar practice, g per kg of syrup: the shipped window, else none.

    What a bar says of its own plant is its own window, not bar practice; it counts only where
    the plant is one that the package knows.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    float or None
    """
    if not catalog.overlay:
        return form.dose_high_g_per_kg
    shipped = load(catalog.folder)
    known = identity(catalog, form.ingredient_id)
    ids = {form.ingredient_id, *known.plants}
    windows = {f.form_id: f for i in ids for f in shipped.forms_of.get(i, ())}
    if form.form_id in windows:
        return windows[form.form_id].dose_high_g_per_kg
    same = [f for f in windows.values() if f.form == form.form] or list(windows.values())
    highs = [f.dose_high_g_per_kg for f in same if f.dose_high_g_per_kg]
    return max(highs, default=None)
