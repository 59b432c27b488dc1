"""The catalogue: typed records read from the data package, and tolerant name lookup.

Tables load when first asked for, with the standard library alone, so that a command that
needs three of them does not pay for twenty.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from itertools import combinations
from pathlib import Path
from typing import Any

from pairing.errors import PairingError, RefusedNameError, UnknownNameError, quoted
from pairing.evidence.names import NameIndex, shortened
from pairing.evidence.rows import (
    Brew,
    CaffeineRatio,
    CoffeeWord,
    Compound,
    Content,
    CupCount,
    CupPair,
    CupScore,
    Extra,
    Form,
    FormMaterial,
    Glass,
    Group,
    HouseholdMeasure,
    Ingredient,
    KitchenName,
    KnownFor,
    LookAlike,
    MatrixFactor,
    Milk,
    Mix,
    Mixer,
    Modifier,
    Note,
    Odorant,
    Origin,
    Powder,
    PracticeDrink,
    Ranking,
    SharedName,
    Source,
    Style,
    Sweetener,
    Threshold,
    Tradition,
)
from pairing.evidence.safety_tables import SafetyTables
from pairing.evidence.spelling import LINK_WORDS, MAX_NAME, normalise
from pairing.evidence.tables import R, data_folder, records
from pairing.evidence.words import (
    FORM_WORDS,
    FRENCH_CITRON,
    OTHER_USES,
    SENSES,
    unjoin,
)

WIDELY = 2.0  # amounts of two readings further apart than this are asked back


# parts of a plant: the seed of an apple is no apple, and lavender oil is no lavender
FEW_LETTERS = 36  # a reason shorter than this takes its next clause with it
PART_WORDS = frozenset(
    ("seed", "kernel", "oil", "leaf", "root", "pit", "stone", "bark", "berry", "pip", "sap", "bulb")
)


class Catalog:
    """All tables of a data folder, each read when first used.

    Parameters
    ----------
    folder : Path
        A data package folder.
    overlay : mapping of str to tuple of records, optional
        Further records per table (a bar's pantry); a record with a known id replaces it.
    model : Path, optional
        A fitted affinity of your own, in place of the shipped one.
    market : str
        ``eu``, ``uk`` or ``us``: whose law decides; the strictest where it is empty.
    """

    def __init__(
        self,
        folder: Path,
        overlay: Mapping[str, tuple[Any, ...]] | None = None,
        model: Path | None = None,
        market: str = "",
    ) -> None:
        if market not in ("", "eu", "uk", "us"):
            raise PairingError(f"market is {quoted(market)}; it should be eu, uk or us")
        self.folder = folder
        self.model = model
        self.overlay = dict(overlay or {})
        self.market = market

    @cached_property
    def safety(self) -> SafetyTables:
        """The safety tables, those of the bar laid over them where they are stricter."""
        return SafetyTables(self.folder, self.overlay)

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
    def matrix(self) -> tuple[MatrixFactor, ...]:
        """How far thresholds rise from water to a drink."""
        return self._table("matrix", MatrixFactor)

    @cached_property
    def known_for(self) -> dict[str, KnownFor]:
        """What the literature knows each ingredient for, by ingredient id."""
        return {r.ingredient_id: r for r in self._table("known_for", KnownFor)}

    @cached_property
    def rankings(self) -> dict[str, tuple[Ranking, ...]]:
        """Published rankings of odorants by ingredient id."""
        return _grouped(self._table("rankings", Ranking), "ingredient_id")

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
    def mixes(self) -> dict[str, Mix]:
        """Named mixes by id."""
        return {r.mix_id: r for r in self._table("mixes", Mix)}

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
    def notes(self) -> dict[str, Note]:
        """Cup notes of the lexicon by their word."""
        return {r.note: r for r in self._table("note_lexicon", Note)}

    @cached_property
    def coffee_words(self) -> tuple[CoffeeWord, ...]:
        """What the trade's words for a coffee mean."""
        return self._table("coffee_words", CoffeeWord)

    def _counted(self, name: str, record: type[R]) -> tuple[R, ...]:
        """A table counted from others' publications; empty where a data folder leaves it out."""
        return self._table(name, record) if (self.folder / f"{name}.csv").exists() else ()

    @cached_property
    def cup_notes(self) -> tuple[CupCount, ...]:
        """What tasters wrote of coffees; empty without that table."""
        return self._counted("cup_notes", CupCount)

    @cached_property
    def cup_pairs(self) -> tuple[CupPair, ...]:
        """Which notes tasters wrote together; empty without that table."""
        return self._counted("cup_pairs", CupPair)

    @cached_property
    def cup_scores(self) -> tuple[CupScore, ...]:
        """Acidity, body and colour by origin and roast; empty without that table."""
        return self._counted("cup_scores", CupScore)

    @cached_property
    def practice(self) -> tuple[PracticeDrink, ...]:
        """Published coffee drinks, one row a partner; empty without that table."""
        return self._counted("practice", PracticeDrink)

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

    @cached_property
    def styles(self) -> dict[str, Style]:
        """Drink styles by id."""
        return {r.style_id: r for r in self._table("styles", Style)}

    @cached_property
    def milks(self) -> dict[str, Milk]:
        """Milks and plant drinks by id."""
        return {r.milk_id: r for r in self._table("milks", Milk)}

    @cached_property
    def mixers(self) -> dict[str, Mixer]:
        """Sparkling waters and sweet mixers by id."""
        return {r.mixer_id: r for r in self._table("mixers", Mixer)}

    @cached_property
    def extras(self) -> dict[str, Extra]:
        """Spirits, bitters, foams and powders by id."""
        return {r.extra_id: r for r in self._table("extras", Extra)}

    @cached_property
    def kitchen_words(self) -> dict[str, str]:
        """Words of each kitchen by id, in the order in which the fit takes them."""
        return {r.kitchen_id: r.words for r in self._table("kitchen_names", KitchenName)}

    @cached_property
    def powders(self) -> dict[str, Powder]:
        """Acid powders, salt, glycerol and gums by id."""
        return {r.powder_id: r for r in self._table("powders", Powder)}

    # names

    @cached_property
    def shared_names(self) -> dict[str, SharedName]:
        """Everyday names that stand for two things, by normalised name."""
        rows = self._table("shared_names", SharedName)
        return {normalise(name): row for row in rows for name in row.names}

    @cached_property
    def _look_alikes(self) -> dict[str, str]:
        return {normalise(r.name): r.taken_for for r in self._table("look_alikes", LookAlike)}

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
        for key, row in self.shared_names.items():
            index.hint(key, row.forms)
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
            With the nearest known ids; also for a name whose two readings differ in danger.
        """
        if name in self.forms:  # an id: no need for the index of names
            return self.forms[name]
        key = normalise(name)
        if len(name) <= MAX_NAME and key:
            if key not in self.shared_names:
                found = self._form_names.get(name)
                if found is not None:
                    return found
            meant, missed = self._forms_by_words(key)
            if meant:
                return self._usual(name, meant)
            refused = self._refused(name)
            if refused is not None:
                raise refused
            message = self._no_ingredient(name, key) or missed
            if message is not None:
                mix = self.mix(name)
                nearest = mix.form_ids if mix else ()
                raise UnknownNameError("ingredient", name, nearest, message=message)
        raise self._not_assessed(name)

    def _not_assessed(self, name: str) -> UnknownNameError:
        """The error for a name nobody knows; no guess crosses seed, kernel, oil or leaf."""
        error = self._form_names.unknown(name)
        parts = set(normalise(name).split("-")) & PART_WORDS
        near = [n for n in error.nearest if not parts or parts & set(n.split("-"))]
        if error.nearest and near == list(error.nearest):
            return error
        if near:
            return UnknownNameError("ingredient", name, near)
        message = f"{error}" if not error.nearest else f"unknown ingredient {shortened(name)!r}"
        message += "; not assessed here, which is not safe"
        return UnknownNameError("ingredient", name, message=message)

    def mix(self, name: str) -> Mix | None:
        """The named mix of spice or tea of a name, such as gingerbread spice; None for others.

        Parameters
        ----------
        name : str
            Any of its names.
        """
        return self._mix_names.get(name)

    def opened(self, names: Iterable[str]) -> list[str]:
        """Names with every named mix replaced by the ids of its parts.

        Parameters
        ----------
        names : iterable of str
            As given to :meth:`form` or :meth:`mix`.
        """
        out: list[str] = []
        for name in names:
            mix = self.mix(name)
            out += mix.form_ids if mix else (name,)
        return out

    def heard(self, name: str) -> str:
        """How a name that stands for two things is read, in one line; empty for any other name.

        Parameters
        ----------
        name : str
            As given to :meth:`form`.

        Returns
        -------
        str
            Such as ``"ginger: read as ginger-fresh; ..."``.
        """
        mix = self.mix(name)
        if mix is not None and name not in self.forms:
            return f"{shortened(name)}: read as {', '.join(mix.form_ids)}"
        meant = self._shared(name)
        row = self._shared_row(meant)
        return f"{shortened(name)}: {row.said.format(*meant)}" if row else ""

    def counted_as(self, name: str) -> str | None:
        """The plant whose worst case counts for a name until the jar is named, else None.

        Parameters
        ----------
        name : str
            ``cinnamon`` is read as Ceylon cinnamon and counted as cassia.

        Returns
        -------
        str or None
            An ingredient's id.
        """
        meant = self._shared(name)
        row = self._shared_row(meant)
        return row.counted_as or None if row else None

    def _shared_row(self, meant: Sequence[str]) -> SharedName | None:
        """The row of a name that was read as several forms."""
        if len(meant) < 2:
            return None
        kinds = tuple(self.forms[f].ingredient_id for f in meant)
        rows = self.shared_names.values()
        return next(r for r in rows if tuple(self.forms[f].ingredient_id for f in r.forms) == kinds)

    def _shared(self, name: str) -> tuple[str, ...]:
        """The forms of a name that stands for two things."""
        key = normalise(name)
        if name in self.forms or not key or len(name) > MAX_NAME:
            return ()
        if key not in self.shared_names and self._form_names.get(name) is not None:
            return ()
        return self._forms_by_words(key)[0]

    def weighed(self, name: str) -> Form:
        """The form of a name that grams are given for: asked back where they would differ much.

        Parameters
        ----------
        name : str

        Returns
        -------
        Form

        Raises
        ------
        UnknownNameError
            As :meth:`form`, and for a name whose readings take amounts more than twofold apart.
        """
        form, meant = self.form(name), self._shared(name)
        highs = [self.forms[f].dose_high_g_per_kg or 0.0 for f in meant]
        if len(meant) > 1 and max(highs) > WIDELY * min(highs):
            message = f"{shortened(name)} is {' or '.join(meant)}, and grams differ: name one"
            raise UnknownNameError("ingredient", name, meant, message=message)
        return form

    def _usual(self, name: str, meant: tuple[str, ...]) -> Form:
        """The usual one of several readings, or a question where they differ in danger."""
        row = self._shared_row(meant)
        if row is not None and row.asks:
            message = f"{shortened(name)} {row.said.format(*meant)}"
            raise UnknownNameError("ingredient", name, meant, message=message)
        return self.forms[meant[0]]

    def _forms_by_words(self, key: str) -> tuple[tuple[str, ...], str | None]:
        """Forms that a name with form words may mean, or why there is none."""
        tokens = [t for t in key.split("-") if t not in LINK_WORDS]
        if "citron" in tokens and len(tokens) == 2:
            french = next((FRENCH_CITRON[t] for t in tokens if t in FRENCH_CITRON), None)
            if french is not None:
                return (french,), None
        missed = None
        for words, bases in self._readings(tokens):
            senses = [FORM_WORDS[w] for w in words]
            chosen = [f for b in bases if (f := self._form_of(b, senses)) is not None]
            if chosen:
                return tuple(dict.fromkeys(chosen)), None
            if missed is None:
                known = (f for b in bases for f in self.forms_of[b] if f.form not in OTHER_USES)
                forms = ", ".join(f.form_id for f in known)
                missed = f"no {' '.join(words)!r} of {' or '.join(bases)}; it comes as {forms}"
        return (), missed

    def _readings(self, tokens: list[str]) -> Iterator[tuple[list[str], tuple[str, ...]]]:
        """Ways to split a name into form words and ingredients, fewest form words first."""
        if tokens and (parts := unjoin(tokens[-1])) and tokens[-1] not in FORM_WORDS:
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
        if key in self.shared_names and not key.startswith("ground-"):
            return self.shared_names[key].forms
        form = self._form_names.get(key) if key else None
        return (form.ingredient_id,) if form and form.is_default else ()

    def _form_of(self, ingredient_id: str, senses: list[str]) -> str | None:
        """The form of an ingredient that fits every sense best; the default with none."""
        best: tuple[tuple[int, bool, int], str] | None = None
        kind = self.ingredients[ingredient_id].kind
        for form in self.forms_of[ingredient_id]:
            ranks = []
            for sense in senses:
                forms, kinds = SENSES[sense]
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
        shown = shortened(name)
        mix = self.mix(name)
        if mix is not None:
            return f"{shown} is a blend, usually {', '.join(mix.form_ids)}; name its parts"
        if key in self._look_alikes:
            return f"{shown} is poisonous, no ingredient; {self._look_alikes[key]} is another plant"
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
        if self.safety.subject_names.get(name) is not None:
            said = self.safety.caution(name, self.market)
            said = f": {said}" if said else ""
            return f"{shown} is no ingredient here{said}; see `pairing show {word}`"
        return None

    def _refused(self, name: str) -> RefusedNameError | None:
        """A name that no drink may hold, with the reason and where to read more."""
        if self._sweetener_names.get(name) is not None or self._compound_names.get(name):
            return None
        why = self.safety.danger(name, self.market) or self.safety.oil(name)
        if not why:
            return None
        shown = shortened(name)
        word = f'"{shown}"' if " " in shown else shown
        first, *more = re.split(r"(?<=[.;:]) ", why)
        if len(first) < FEW_LETTERS and more:
            first = f"{first} {more[0]}"
        first = first.rstrip(".;:")
        message = f"STOP: {shown}: {first}; see `pairing show {word}`"
        return RefusedNameError("ingredient", name, message=message)

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
    def _mix_names(self) -> NameIndex[Mix]:
        index: NameIndex[Mix] = NameIndex("mix")
        for mix in self.mixes.values():
            index.add(mix.mix_id, (mix.name, *mix.aliases), mix)
        return index

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
        if form is not None or key in self.shared_names:
            message = f"{shortened(name)} is an ingredient, not a {index.what}"
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
    "shared_names": "shared_id",
    "look_alikes": "name",
    "kitchen_names": "kitchen_id",
    "styles": "style_id",
    "milks": "milk_id",
    "mixers": "mixer_id",
    "extras": "extra_id",
    "powders": "powder_id",
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
