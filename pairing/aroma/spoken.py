"""A coffee said in one breath: ``washed burundi light espresso``, or a blend with shares."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from pairing.aroma.description import (
    FACTORS,
    REFERENCE_LEVELS,
    Coffee,
    called_brew,
    describe,
    level_of,
    meanings,
    trade_word,
)
from pairing.aroma.notes import MOST_NOTES, exact_note, read_notes
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.once import once_per_catalog
from pairing.evidence.spelling import normalise

__all__ = ["read_coffee"]

PLAIN_PROCESS = REFERENCE_LEVELS["process"]
EXAMPLE = "washed burundi light espresso"
BLEND = "such as 60% brazil, 40% ethiopia"
MOST_WORDS = 5  # of one phrase
MOST_PARTS = 6  # of a blend
# Between a coffee and its notes: "Colombia with peach and jasmine".
_FILLERS = frozenset(("with", "and", "of", "from", "tasting", "note", "mit", "avec", "con", "com"))
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
        for name in (origin.origin_id, origin.name, *origin.aliases):
            index.add(name, (), name)
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


def _meaning(
    catalog: Catalog, tokens: list[str], all_words: list[str], text: str
) -> tuple[str, str, int]:
    """Factor, level and length of the longest phrase that the words begin with.

    The factor is empty for a word that is understood and moves nothing, ``note`` for a cup note.
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
    for length in range(min(MOST_WORDS, len(tokens)), 0, -1):
        note = exact_note(catalog, " ".join(tokens[:length]))
        if note is not None:
            return "note", note, length
    if tokens[0] in _FILLERS and len(tokens) > 1:
        return "", "", 1
    as_written = (w for w in text.split() if normalise(w).split("-")[0] == tokens[0])
    raise _words(catalog).unknown(next(as_written, tokens[0]).strip(",;"))


@dataclass
class _Heard:
    """What a phrase says of a coffee."""

    said: dict[str, str] = field(default_factory=dict)  # factor -> level
    idle: list[str] = field(default_factory=list)  # words that move nothing
    notes: list[str] = field(default_factory=list)
    called: str = ""  # the trade's word for the brew, where it is another than the brew's own


def _said(catalog: Catalog, text: str, whole: str) -> _Heard:
    """Level of each factor that a phrase names, its notes, and the words that move nothing."""
    tokens = words = [t for t in normalise(text).split("-") if t]
    heard = _Heard()
    usual: dict[str, str] = {}
    while tokens:
        factor, level, length = _meaning(catalog, tokens, words, text)
        phrase = "-".join(tokens[:length])
        word = trade_word(catalog, phrase) if factor in ("origin", "brew") else None
        if word is not None and word.factor == "species":  # a district of another species
            usual["species"] = word.means.partition("=")[2]
            usual["process"] = PLAIN_PROCESS  # the country's usual one is that of its own species
        if factor == "brew":
            heard.called = called_brew(catalog, phrase)
        if factor == "process" and catalog.is_origin(phrase):  # monsooned malabar says both
            usual["origin"] = catalog.origin(phrase).origin_id
        tokens = tokens[length:]
        if factor == "process" and level == "decaffeinated":
            factor = "decaf"
        if factor == "note":
            heard.notes.append(level)
        elif not factor:
            heard.idle += [level] if level else []
        elif factor in heard.said and heard.said[factor] != level:
            shares = f"; a blend is said with shares, {BLEND}"
            raise PairingError(
                f"the coffee {quoted(whole)} names the {factor} twice"
                f"{shares if factor in ('origin', 'species') else ''}"
            )
        else:
            heard.said[factor] = level
    if heard.notes and not heard.said and not heard.idle:
        raise PairingError(
            f"{quoted(whole)} names no coffee, only what one tastes of; say the coffee first, "
            f'such as "{EXAMPLE}"'
        )
    if len(heard.notes) > MOST_NOTES:
        raise PairingError(
            f"{len(heard.notes)} notes are more than a bag prints; give {MOST_NOTES} at most"
        )
    heard.said = {**usual, **heard.said}
    return heard


def _one(catalog: Catalog, heard: _Heard, notes: tuple[str, ...] | None) -> Coffee:
    known = {k: v for k, v in heard.said.items() if k in FACTORS}
    coffee = describe(catalog, **known, notes=notes)
    telling = []
    for w in heard.idle:
        word = trade_word(catalog, w) if not meanings(catalog, w) else None
        if word is not None and word.factor != "grade":  # grades and ways of trade have no aroma
            telling.append(w)
    decaf = "decaf" in heard.said
    return replace(coffee, idle=tuple(telling), decaf=decaf, called=heard.called)


def read_coffee(catalog: Catalog, text: str, notes: str | Iterable[str] | None = None) -> Coffee:
    """A coffee, or a blend of coffees, in the trade's words.

    Parameters
    ----------
    catalog : Catalog
    text : str
        Such as ``"washed burundi light espresso"``, ``"gesha light v60"``,
        ``"natural ethiopia filter, blueberry and jasmine"`` or
        ``"60% brazil natural, 40% ethiopia washed, espresso"``; words without a share in front
        hold for the whole blend.
    notes : str or iterable of str, optional
        What the bag says it tastes of; in place of notes among the words.

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
    given = read_notes(catalog, notes) if notes is not None else None
    if not normalise(text):
        raise PairingError(f'the coffee is empty; say it such as "{EXAMPLE}"')
    if not _PART.search(text):
        heard = _said(catalog, re.sub(r"[,/;+&]", " ", text), text)
        own = tuple(dict.fromkeys(heard.notes)) or None
        return _one(catalog, heard, given if given is not None else own)
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
    shared = _common(catalog, common, text)
    noted = list(shared.notes)
    made = []
    for share, part in zip(shares, parts, strict=True):
        heard = _said(catalog, part, text)
        if not set(heard.said) & {"origin", "process", "species", "variety", "decaf"}:
            raise PairingError(f"the part {quoted(part.strip())} of the coffee names no coffee")
        brew = heard.said.get("brew")
        if brew is not None and shared.said.setdefault("brew", brew) != brew:
            raise PairingError(f"the coffee {quoted(text)} names the brew twice")
        shared.called = shared.called or heard.called
        noted += heard.notes
        made.append((share / sum(shares), heard))
    coffees = []
    for share, heard in made:
        heard.said = {**shared.said, **heard.said}
        heard.idle = [*shared.idle, *heard.idle]
        heard.called = shared.called
        coffees.append((share, _one(catalog, heard, None)))
    return blended(coffees, given if given is not None else tuple(dict.fromkeys(noted)))


def _common(catalog: Catalog, pieces: list[str], whole: str) -> _Heard:
    """What words without a share say of a whole blend; they may be its notes alone."""
    heard = _Heard()
    for piece in pieces:
        note = exact_note(catalog, piece)
        if note is not None and not any(
            level_of(catalog, f, piece) or trade_word(catalog, piece) for f in _ORDER
        ):
            heard.notes.append(note)
            continue
        one = _said(catalog, piece, whole)
        for factor, level in one.said.items():
            if heard.said.setdefault(factor, level) != level:
                raise PairingError(f"the coffee {quoted(whole)} names the {factor} twice")
        heard.idle += one.idle
        heard.notes += one.notes
        heard.called = heard.called or one.called
    return heard


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
        called=coffees[0].called,
    )
