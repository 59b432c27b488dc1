"""The one door: a bar's catalogue opened once, and everything that can be asked of it."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from pairing.aroma.coffee import CoffeeBase, base, brewed
from pairing.aroma.spoken import read_coffee
from pairing.bar.pantry import FILE_NAME, Pantry, open_pantry
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog, load
from pairing.files import mode_of
from pairing.syrup.formula import Formula, make

if TYPE_CHECKING:
    from pairing.affinity.score import Scores
    from pairing.affinity.search import Blend, Shelves
    from pairing.affinity.verdict import Check
    from pairing.aroma.graph import AromaGraph
    from pairing.cards.label import Label
    from pairing.glass.pour import Poured
    from pairing.syrup.balance import Batch

__all__ = ["Lab", "open_lab"]

StrPath = str | os.PathLike[str]
V = TypeVar("V")


def open_lab(
    pantry: StrPath | None = None,
    data: StrPath | None = None,
    model: StrPath | None = None,
    *,
    here: bool = False,
) -> Lab:
    """Open the catalogue, a bar's pantry laid over it.

    Parameters
    ----------
    pantry : str or path-like, optional
        A TOML file or a folder of CSV tables.
    data : str or path-like, optional
        A data package in place of the shipped one.
    model : str or path-like, optional
        A fitted affinity of your own (:meth:`pairing.affinity.model.Model.save`).
    here : bool
        Read ``pairing.toml`` of the working folder when no pantry is named, as the command does.

    Returns
    -------
    Lab

    Raises
    ------
    PairingError
        When something named is not there, or a table is wrong; the message says where.
    """
    catalog = load(None if data is None else Path(data))
    if model is not None:
        if mode_of(Path(model)) is None:
            raise PairingError(f"no model at {quoted(model)}; Model.save writes one")
        catalog = Catalog(catalog.folder, catalog.overlay, Path(model))
    if pantry is None and here and os.path.lexists(FILE_NAME):
        pantry = FILE_NAME
    if pantry is None:
        return Lab(Pantry(catalog))
    if mode_of(Path(pantry)) is None:
        raise PairingError(f"no pantry at {quoted(pantry)}; give a TOML file or a folder")
    return Lab(open_pantry(Path(pantry), catalog))


class Lab:
    """A catalogue with a bar's own facts, and what can be asked of it.

    What is derived from the tables is worked out once, when first asked for.

    Parameters
    ----------
    pantry : Pantry
        As :func:`pairing.open` makes it.

    Attributes
    ----------
    pantry : Pantry
    catalog : Catalog
    """

    def __init__(self, pantry: Pantry) -> None:
        self.pantry = pantry
        self.catalog = pantry.catalog

    def __repr__(self) -> str:
        """``<Lab: 195 ingredients, ...>``."""
        held = self.catalog
        own = f", pantry {self.pantry.name!r}" if self.pantry.name else ""
        fit = f", own model {held.model.stem!r}" if held.model else ""
        return f"<Lab: {len(held.ingredients)} ingredients, {len(held.origins)} origins{own}{fit}>"

    def _ours(self, value: V, cup: CoffeeBase | None = None) -> V:
        """The result, which knows this bar when it is asked for its document."""
        object.__setattr__(value, "_home", (self.pantry, cup))
        return value

    def coffee(self, words: str | None = None, **said: Any) -> CoffeeBase:
        """A coffee, said in one breath or factor by factor.

        Parameters
        ----------
        words : str, optional
            Such as ``"washed burundi light espresso"``, or a blend with shares.
        **said
            ``origin``, ``process``, ``roast``, ``brew``, ``species``, and ``notes``: what the bag
            says it tastes of.

        Returns
        -------
        CoffeeBase

        Raises
        ------
        PairingError
            For a word that nobody knows, or a factor said twice.
        """
        if words is None:
            return brewed(self.catalog, **said)
        twice = sorted(set(said) - {"notes"})
        if twice:
            raise PairingError(f"the words say the whole coffee; leave {', '.join(twice)} out")
        return base(self.catalog, read_coffee(self.catalog, words, **said))

    def suggest(
        self,
        coffee: CoffeeBase | Iterable[CoffeeBase],
        *,
        with_: str | Sequence[str] = (),
        **ask: Any,
    ) -> list[Blend]:
        """Ranked blends for a coffee, or for several that one syrup must serve.

        Parameters
        ----------
        coffee : CoffeeBase or iterable of CoffeeBase
        with_ : str or sequence of str
            Ingredients that every blend must hold.
        **ask
            As :func:`pairing.affinity.search.suggest`: ``style``, ``citrus``, ``size``, ``top`` ...

        Returns
        -------
        list of Blend
            The best first.

        Raises
        ------
        PairingError
            For unknown names and numbers out of range.
        """
        from pairing.affinity.search import suggest

        found = suggest(self.catalog, _cups(coffee), with_=_names(with_), **ask)
        return [self._ours(blend) for blend in found]

    def shelves(self, coffee: CoffeeBase | Iterable[CoffeeBase], **ask: Any) -> Shelves:
        """What is good with most coffees, right for this one, and not served yet.

        Parameters
        ----------
        coffee : CoffeeBase or iterable of CoffeeBase
        **ask
            As :func:`pairing.affinity.search.shelves`.

        Returns
        -------
        Shelves

        Raises
        ------
        PairingError
            For unknown names and numbers out of range.
        """
        from pairing.affinity.search import shelves

        return shelves(self.catalog, _cups(coffee), **ask)

    def check(self, name: str, coffee: CoffeeBase | None = None, *, style: str = "") -> Check:
        """Whether an ingredient suits a coffee, and how sure that is.

        Parameters
        ----------
        name : str
        coffee : CoffeeBase, optional
            A plain double espresso when not given, here and below.
        style : str
            A drink style; any when empty.

        Returns
        -------
        Check

        Raises
        ------
        PairingError
            For an unknown name, and for a plant that must not be served.
        """
        from pairing.affinity.verdict import check

        cup = coffee or self.coffee()
        return self._ours(check(self.catalog, name, cup, style=style), cup)

    def instead(self, name: str, coffee: CoffeeBase | None = None, **ask: Any) -> Any:
        """What does the same job for a coffee.

        Parameters
        ----------
        name : str
            Of the ingredient to replace.
        coffee : CoffeeBase, optional
        **ask
            As :func:`pairing.affinity.verdict.instead`.

        Returns
        -------
        list
            The best first, each with its dose and allergens.

        Raises
        ------
        PairingError
            For unknown names.
        """
        from pairing.affinity.verdict import instead

        return instead(self.catalog, name, coffee or self.coffee(), **ask)

    def score_blends(
        self, blends: Sequence[Sequence[str]], coffee: CoffeeBase, *, style: str = ""
    ) -> Scores:
        """Scores of blends that you already have.

        Parameters
        ----------
        blends : sequence of sequences of str
            One to four names each.
        coffee : CoffeeBase
        style : str

        Returns
        -------
        Scores
            As :func:`pairing.affinity.score.score_blends`.

        Raises
        ------
        PairingError
            For unknown names.
        """
        from pairing.affinity.score import score_blends

        return score_blends(self.catalog, blends, coffee, style)

    def formula(
        self,
        ingredients: str | Sequence[str] | Blend,
        coffee: CoffeeBase | None = None,
        **ask: Any,
    ) -> Formula:
        """A trial formula; what must not be served is in its ``stops``.

        Parameters
        ----------
        ingredients : str, sequence of str, or Blend
            One to six.
        coffee : CoffeeBase, optional
        **ask
            As :func:`pairing.syrup.formula.make`: ``style``, ``servings``, ``yield_g`` ...

        Returns
        -------
        Formula

        Raises
        ------
        PairingError
            For unknown names, numbers that are not finite, and batches that cannot be.
        """
        held: Any = getattr(ingredients, "form_ids", None) or ingredients
        for word, value in ask.items():
            _finite(word, value)
        return self._ours(make(self.catalog, _names(held), coffee or self.coffee(), **ask))

    def drink(self, made: Formula | None, coffee: CoffeeBase | None = None, **ask: Any) -> Poured:
        """The syrup in a glass with its coffee; what must not be served is in its ``stops``.

        Parameters
        ----------
        made : Formula or None
            None for a plain sugar syrup.
        coffee : CoffeeBase, optional
            The coffee of the formula when not given.
        **ask
            As :func:`pairing.glass.pour.pour`: ``style``, ``glass``, ``syrup_g``, ``milk`` ...

        Returns
        -------
        Poured

        Raises
        ------
        PairingError
            For a drink that does not fit its glass, and numbers that are not finite.
        """
        from pairing.glass.pour import pour

        if made is None and coffee is None:
            raise PairingError("a drink needs a formula or a coffee")
        for word, value in ask.items():
            _finite(word, value)
        base_ = coffee or (made.base if made else None)
        assert base_ is not None
        return self._ours(pour(self.catalog, base_, made, **ask))

    def label(self, made: Formula, **ask: Any) -> Label:
        """A draft label for the bottle; what keeps it off a bottle is in its ``stops``.

        Parameters
        ----------
        made : Formula
        **ask
            As :func:`pairing.cards.bottle.label_for`: ``name``, ``sale``, ``drink_name`` ...

        Returns
        -------
        Label
        """
        from pairing.cards.bottle import label_for

        return self._ours(label_for(self.catalog, made, **ask))

    def ratio(
        self, strength: str | None = None, *, sweetener: str = "white-cane-sugar", **known: Any
    ) -> Batch:
        """The syrup calculator alone: the batch that fits what is known.

        Parameters
        ----------
        strength : str, optional
            Sugar : added water by weight, such as ``"2:1"``.
        sweetener : str
            Its name or id.
        **known
            As :func:`pairing.syrup.balance.solve`: ``brix``, ``sugar_g``, ``water_g``,
            ``yield_g``, ``yield_ml``, ``servings`` and ``serving_g``.

        Returns
        -------
        Batch

        Raises
        ------
        PairingError
            When too little or too much is known, or no batch can be so.
        """
        from pairing.syrup.balance import solve
        from pairing.syrup.brought import sweetener_of
        from pairing.syrup.strength import parse_strength

        for word, value in known.items():
            _finite(word, value)
        parts = None if strength is None else parse_strength(strength)
        made = solve(sweetener_of(self.catalog.sweetener(sweetener)), strength=parts, **known)
        if known.get("serving_g") is not None:  # its document counts drinks of that size
            object.__setattr__(made, "_serving_g", known["serving_g"])
        return self._ours(made)

    def graph(self, coffee: CoffeeBase | None = None) -> AromaGraph:
        """The graph of ingredients, compounds and aroma groups, with a coffee in it.

        Parameters
        ----------
        coffee : CoffeeBase, optional
            The plain double espresso when not given.

        Returns
        -------
        AromaGraph
        """
        from pairing.aroma.coffee import plain_coffee
        from pairing.aroma.graph import build

        return build(self.catalog, coffee or plain_coffee(self.catalog))


def _cups(given: CoffeeBase | Iterable[CoffeeBase]) -> list[CoffeeBase]:
    return [given] if isinstance(given, CoffeeBase) else list(given)


def _names(given: str | Sequence[str]) -> tuple[str, ...]:
    return (given,) if isinstance(given, str) else tuple(given)


def _finite(word: str, value: Any) -> None:
    numbers = value.values() if isinstance(value, Mapping) else (value,)
    for number in numbers:
        if isinstance(number, float) and not math.isfinite(number):
            raise PairingError(f"{word} is {number}; give a finite number")
