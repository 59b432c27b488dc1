"""Cup notes: the words printed on a bag, in six languages, and what each smells of."""

from __future__ import annotations

import re
from collections.abc import Iterable

from pairing.errors import PairingError, UnknownNameError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Note
from pairing.evidence.spelling import normalise

__all__ = ["MOST_NOTES", "exact_note", "group_weights", "note_of", "read_notes"]

MOST_NOTES = 12
LANGUAGES = {
    "de": "German",
    "en": "English",
    "es": "Spanish",
    "fr": "French",
    "it": "Italian",
    "pt": "Portuguese",
}
_APART = re.compile(r"[,;/+&\n]| and ")
_OF_A_LANGUAGE = re.compile(rf"({'|'.join(LANGUAGES)})\s*:\s*(.+)", re.IGNORECASE)
# Words that grade a note and change nothing of what it smells of.
_GRADED = (
    "a bright clean complex crisp delicate fine fresh gentle hint intense juicy light lightly long "
    "note of ripe roasted soft some subtle sweet the touch very vibrant with"
)
_GRADES = frozenset(_GRADED.split())


@once_per_catalog
def _index(catalog: Catalog) -> NameIndex[Note]:
    index: NameIndex[Note] = NameIndex("cup note")
    for note in catalog.notes.values():
        index.add(note.note, (), note)
    for note in catalog.notes.values():
        index.add(note.note, note.synonyms, note)
    return index


@once_per_catalog
def _shared(catalog: Catalog) -> dict[str, dict[str, list[str]]]:
    """Word -> note -> the languages in which the word means it, for words of two meanings."""
    out: dict[str, dict[str, list[str]]] = {}
    for note in catalog.notes.values():
        for entry in note.shared_words:
            word, _, languages = entry.partition("=")
            out.setdefault(normalise(word), {})[note.note] = languages.split("/")
    for key, meanings in out.items():
        own = next((n for n in catalog.notes if normalise(n) == key), None)
        if own is not None:
            meanings.setdefault(own, ["en"])
    return out


def note_of(catalog: Catalog, word: str, language: str = "") -> Note:
    """The note that a word means.

    Parameters
    ----------
    catalog : Catalog
    word : str
        Such as ``"Schwarze Johannisbeere"`` or ``"ripe blueberry"``.
    language : str
        Language of the bag (``en``, ``de``, ``es``, ``fr``, ``it``, ``pt``), where a word means
        another thing in another language; without it, its English meaning if it has one.

    Returns
    -------
    Note

    Raises
    ------
    UnknownNameError
        With the nearest notes; with the meanings, where the word has several.
    """
    key = normalise(word)
    meanings = _shared(catalog).get(key, {})
    # a word of two meanings that no language goes with is read as English, the tool's own
    said = [n for n, languages in meanings.items() if (language or "en") in languages]
    if len(said) == 1:
        return catalog.notes[said[0]]
    if len(meanings) > 1:
        senses = " or ".join(
            f"{n} ({', '.join(LANGUAGES[k] for k in spoken)})" for n, spoken in meanings.items()
        )
        message = f"the note {quoted(word)} can mean {senses}; write which"
        raise UnknownNameError("cup note", word, tuple(meanings), message=message)
    if meanings:
        return catalog.notes[next(iter(meanings))]
    index = _index(catalog)
    found = index.get(word)
    if found is None:
        bare = " ".join(t for t in key.split("-") if t not in _GRADES)
        found = index.get(bare) if bare and bare != key.replace("-", " ") else None
    if found is None:
        raise index.unknown(word)
    return found


def exact_note(catalog: Catalog, word: str) -> str | None:
    """The note that a word stands for beyond doubt, such as one said in a breath with its coffee.

    Parameters
    ----------
    catalog : Catalog
    word : str

    Returns
    -------
    str or None
        None for a word that is no note, and for one of several meanings.
    """
    try:
        return note_of(catalog, word).note
    except UnknownNameError:
        return None


def read_notes(catalog: Catalog, said: str | Iterable[str]) -> tuple[str, ...]:
    """Notes as printed on a bag, as words of the lexicon, each once.

    Parameters
    ----------
    catalog : Catalog
    said : str or iterable of str
        Such as ``"black currant, grapefruit, tomato leaf"``; a word of two meanings may carry its
        language, ``"de: Paprika"``.

    Returns
    -------
    tuple of str

    Raises
    ------
    UnknownNameError
        For a word that is no note, with the nearest.
    PairingError
        When there is none, or more than ``MOST_NOTES``.
    """
    words = _APART.split(said) if isinstance(said, str) else list(said)
    words = [w.strip().strip("\"'.") for w in words]
    words = [w for w in words if w]
    if not words:
        raise PairingError('the notes are empty; give them such as "black currant, grapefruit"')
    if len(words) > MOST_NOTES:
        raise PairingError(
            f"{len(words)} notes are more than a bag prints; give {MOST_NOTES} at most"
        )
    out = []
    for word in words:
        tagged = _OF_A_LANGUAGE.fullmatch(word)
        language, bare = (tagged[1].lower(), tagged[2]) if tagged else ("", word)
        out.append(note_of(catalog, bare, language).note)
    return tuple(dict.fromkeys(out))


def group_weights(note: Note) -> dict[str, float]:
    """Aroma groups of a note with their shares, which add to 1; empty for a word of taste.

    Parameters
    ----------
    note : Note

    Returns
    -------
    dict of str to float
    """
    pairs = (entry.partition(":") for entry in note.group_weights)
    return {group: float(weight) for group, _, weight in pairs}
