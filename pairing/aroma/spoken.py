"""A coffee said in one breath: ``washed burundi light espresso``, or a blend with shares."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from pairing.aroma.description import FACTORS, Coffee, describe, level_of, meanings, trade_word
from pairing.aroma.notes import read_notes
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.once import once_per_catalog
from pairing.evidence.spelling import normalise

__all__ = ["read_coffee"]

EXAMPLE = "washed burundi light espresso"
BLEND = "such as 60% brazil, 40% ethiopia"
MOST_WORDS = 5  # of one phrase
MOST_PARTS = 6  # of a blend
# Longest first; a roast before a brew, so that "french roast" is no press.
_ORDER = ("roast", "process", "brew", "origin", "species", "variety")
_PART = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*%")
_APART = re.compile(r"\s*(?:[,;+&/]|\band\b)\s*", re.IGNORECASE)
# "60% brazil 40% ethiopia" and "brazil 60% ethiopia 40%" need no comma
_BEFORE_SHARE = re.compile(r"\s+(?=\d{1,3}(?:[.,]\d+)?\s*%)")
_AFTER_SHARE = re.compile(r"(?<=%)\s+")


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


def _settled(catalog: Catalog, phrase: str, tokens: list[str], all_words: list[str]) -> bool:
    """Whether the other words say which of its meanings a word has: ``yemen mocha``."""
    choices = meanings(catalog, phrase)
    others = [w for w in all_words if w not in tokens]
    others += [catalog.origin(w).origin_id for w in others if catalog.is_origin(w)]
    said = "-".join(["", *others, ""])
    return any(f"-{normalise(c)}-" in said for c in choices)


def _meaning(catalog: Catalog, tokens: list[str], all_words: list[str]) -> tuple[str, str, int]:
    """Factor, level and length of the longest phrase that the words begin with.

    The factor is empty for a word that is understood and moves nothing.
    """
    for length in range(min(MOST_WORDS, len(tokens)), 0, -1):
        phrase = "-".join(tokens[:length])
        if _settled(catalog, phrase, tokens[:length], all_words):
            return "", phrase.replace("-", " "), length
        for factor in _ORDER:
            found = level_of(catalog, factor, phrase)
            if found is not None:
                return factor, found, length
        if trade_word(catalog, phrase) is not None:
            return "", phrase.replace("-", " "), length
    if tokens[0].isdigit() or tokens[0] == "half":
        raise PairingError(f"a blend is said with shares, {BLEND}; {tokens[0]!r} alone is none")
    raise _words(catalog).unknown(tokens[0])


def _said(catalog: Catalog, text: str, whole: str) -> tuple[dict[str, str], tuple[str, ...]]:
    """Level of each factor that a phrase names, and the words that move nothing."""
    tokens = words = [t for t in normalise(text).split("-") if t]
    said: dict[str, str] = {}
    usual: dict[str, str] = {}
    idle: list[str] = []
    while tokens:
        factor, level, length = _meaning(catalog, tokens, words)
        word = trade_word(catalog, "-".join(tokens[:length])) if factor == "origin" else None
        if word is not None and word.factor == "species":  # a district of another species
            usual["species"] = word.means.partition("=")[2]
        tokens = tokens[length:]
        if factor == "process" and level == "decaffeinated":
            factor = "decaf"
        if not factor:
            idle.append(level)
        elif factor in said and said[factor] != level:
            shares = f"; a blend is said with shares, {BLEND}"
            raise PairingError(
                f"the coffee {quoted(whole)} names the {factor} twice"
                f"{shares if factor in ('origin', 'species') else ''}"
            )
        else:
            said[factor] = level
    return {**usual, **said}, tuple(idle)


def _one(
    catalog: Catalog, said: dict[str, str], idle: tuple[str, ...], notes: tuple[str, ...] | None
) -> Coffee:
    known = {k: v for k, v in said.items() if k in FACTORS}
    coffee = describe(catalog, **known, notes=notes)
    telling = []
    for w in idle:
        word = trade_word(catalog, w) if not meanings(catalog, w) else None
        if word is not None and word.factor != "grade":  # grades and ways of trade have no aroma
            telling.append(w)
    return replace(coffee, idle=tuple(telling), decaf="decaf" in said)


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
        raise PairingError(f'the coffee is empty; say it such as "{EXAMPLE}"')
    if not _PART.search(text):
        return _one(catalog, *_said(catalog, re.sub(r"[,/;+&]", " ", text), text), heard)
    shares: list[float] = []
    parts: list[str] = []
    common: list[str] = []
    for piece in _pieces(text):
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
            f"the shares of the coffee {quoted(text)} make {sum(shares):g} %; they should make 100"
        )
    shared, idle = _said(catalog, " ".join(common), text)
    made = []
    for share, part in zip(shares, parts, strict=True):
        said, own = _said(catalog, part, text)
        if not set(said) & {"origin", "process", "species", "variety", "decaf"}:
            raise PairingError(f"the part {quoted(part.strip())} of the coffee names no coffee")
        brew = said.get("brew")
        if brew is not None and shared.setdefault("brew", brew) != brew:
            raise PairingError(f"the coffee {quoted(text)} names the brew twice")
        made.append((share / sum(shares), said, own))
    coffees = [
        (share, _one(catalog, {**shared, **said}, (*idle, *own), None)) for share, said, own in made
    ]
    return blended(coffees, heard or ())


def _pieces(text: str) -> list[str]:
    """The parts of a blend as they are said, each with at most one share."""
    out: list[str] = []
    for piece in _APART.split(text):
        apart = _BEFORE_SHARE if _PART.match(piece) else _AFTER_SHARE
        out.extend(
            [p for p in apart.split(piece) if p] if len(_PART.findall(piece)) > 1 else [piece]
        )
    return out


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
