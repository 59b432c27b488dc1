"""A coffee said in one breath: ``washed burundi light espresso``, or a blend with shares."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from pairing.aroma.description import FACTORS, Coffee, describe, level_of, trade_word
from pairing.aroma.notes import read_notes
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.once import once_per_catalog
from pairing.evidence.spelling import normalise

__all__ = ["read_coffee"]

EXAMPLE = "washed burundi light espresso"
MOST_WORDS = 5  # of one phrase
MOST_PARTS = 6  # of a blend
# Longest first; a roast before a brew, so that "french roast" is no press.
_ORDER = ("roast", "process", "species", "brew", "origin", "variety")
_PART = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*%")
_APART = re.compile(r"\s*(?:[,;+&/]|\band\b)\s*", re.IGNORECASE)


@once_per_catalog
def _words(catalog: Catalog) -> NameIndex[str]:
    """Everything a coffee may be called, to find what a misspelt word is near; no marks."""
    index: NameIndex[str] = NameIndex("word for a coffee", "coffees")
    for factor in ("roast", "process", "species"):
        for row in catalog.modifiers:
            if row.factor == factor:
                index.add(row.level, (), row.level)
    for origin in catalog.origins.values():
        index.add(origin.origin_id, (origin.name, *origin.aliases), origin.origin_id)
    for brew in catalog.brews.values():
        index.add(brew.brew_id, (brew.name, *brew.aliases), brew.brew_id)
    for word in catalog.coffee_words:
        if not word.mark:
            index.add(word.word, (), word.word)
    return index


def _meaning(catalog: Catalog, tokens: list[str]) -> tuple[str, str, int]:
    """Factor, level and length of the longest phrase that the words begin with.

    The factor is empty for a word that is understood and moves nothing.
    """
    for length in range(min(MOST_WORDS, len(tokens)), 0, -1):
        phrase = "-".join(tokens[:length])
        for factor in _ORDER:
            found = level_of(catalog, factor, phrase)
            if found is not None:
                return factor, found, length
        if trade_word(catalog, phrase) is not None:
            return "", phrase.replace("-", " "), length
    raise _words(catalog).unknown(tokens[0])


def _said(catalog: Catalog, text: str, whole: str) -> tuple[dict[str, str], tuple[str, ...]]:
    """Level of each factor that a phrase names, and the words that move nothing."""
    tokens = [t for t in normalise(text).split("-") if t]
    said: dict[str, str] = {}
    idle: list[str] = []
    while tokens:
        factor, level, length = _meaning(catalog, tokens)
        tokens = tokens[length:]
        if factor == "process" and level == "decaffeinated":
            factor = "decaf"
        if not factor:
            idle.append(level)
        elif factor in said and said[factor] != level:
            raise PairingError(f"--coffee {quoted(whole)} names the {factor} twice")
        else:
            said[factor] = level
    return said, tuple(idle)


def _one(
    catalog: Catalog, said: dict[str, str], idle: tuple[str, ...], notes: tuple[str, ...] | None
) -> Coffee:
    known = {k: v for k, v in said.items() if k in FACTORS}
    coffee = describe(catalog, **known, notes=notes)
    telling = tuple(w for w in idle if w not in _PLAIN)
    return replace(coffee, idle=telling, decaf="decaf" in said)


# words that only say that a coffee is one
_PLAIN = frozenset(
    ["coffee", "bean", "roast", "roasted", "process", "variety", "blend", "organic", "specialty"]
)


def read_coffee(catalog: Catalog, text: str, notes: str | Iterable[str] | None = None) -> Coffee:
    """A coffee, or a blend of coffees, in the trade's words.

    Parameters
    ----------
    catalog : Catalog
    text : str
        Such as ``"washed burundi light espresso"``, ``"gesha light v60"`` or
        ``"60% brazil natural, 40% ethiopia washed, espresso"``; words without a share in front
        hold for the whole blend.
    notes : str or iterable of str, optional
        What the bag says it tastes of.

    Returns
    -------
    Coffee
        A blend's coffees and their shares are in ``parts``.

    Raises
    ------
    PairingError
        When a factor is named twice, or shares do not make 100 %.
    UnknownNameError
        For a word that nothing is called, with the nearest; for one of several meanings, with them.
    """
    heard = read_notes(catalog, notes) if notes is not None else None
    if not normalise(text):
        raise PairingError(f'--coffee is empty; say it such as "{EXAMPLE}"')
    if not _PART.search(text):
        return _one(catalog, *_said(catalog, re.sub(r"[,/;+&]", " ", text), text), heard)
    shares: list[float] = []
    parts: list[str] = []
    common: list[str] = []
    for piece in _APART.split(text):
        found = _PART.search(piece)
        if found is None:
            common.append(piece)
            continue
        shares.append(float(found[1].replace(",", ".")))
        parts.append(piece[: found.start()] + " " + piece[found.end() :])
    if len(parts) > MOST_PARTS:
        raise PairingError(
            f"a blend of {len(parts)} coffees is more than is read; {MOST_PARTS} at most"
        )
    if abs(sum(shares) - 100) > 1 or min(shares) <= 0:
        raise PairingError(
            f"the shares of --coffee {quoted(text)} make {sum(shares):g} %; they should make 100"
        )
    shared, idle = _said(catalog, " ".join(common), text)
    made = []
    for share, part in zip(shares, parts, strict=True):
        said, own = _said(catalog, part, text)
        if not set(said) & {"origin", "process", "species", "variety", "decaf"}:
            raise PairingError(f"the part {quoted(part.strip())} of --coffee names no coffee")
        brew = said.get("brew")
        if brew is not None and shared.setdefault("brew", brew) != brew:
            raise PairingError(f"--coffee {quoted(text)} names the brew twice")
        made.append((share / sum(shares), said, own))
    coffees = [
        (share, _one(catalog, {**shared, **said}, (*idle, *own), None)) for share, said, own in made
    ]
    return blended(coffees, heard or ())


def blended(parts: list[tuple[float, Coffee]], notes: tuple[str, ...]) -> Coffee:
    """The blend of coffees brewed together; what they share is its own, the rest "several"."""

    def common(values: list[str]) -> str:
        return values[0] if len(set(values)) == 1 else "several"

    coffees = [c for _, c in parts]
    if len(parts) == 1:
        return replace(coffees[0], notes=notes)
    return Coffee(
        origin=None,
        process=common([c.process for c in coffees]),
        roast=common([c.roast for c in coffees]),
        brew=coffees[0].brew,
        species=common([c.species for c in coffees]),
        decaf=all(c.decaf for c in coffees),
        notes=notes,
        parts=tuple(parts),
        idle=tuple(dict.fromkeys(w for c in coffees for w in c.idle)),
    )
