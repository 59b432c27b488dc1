"""Tolerant name lookup: the record a name means, or the nearest names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property
from typing import Generic

from pairing.errors import UnknownNameError
from pairing.evidence.spelling import LINK_WORDS, MAX_NAME, normalise
from pairing.evidence.tables import R
from pairing.evidence.words import is_telling


def _without_links(key: str) -> str:
    return "-".join([t for t in key.split("-") if t not in LINK_WORDS])


def _likeness(one: str, other: str) -> float:
    from difflib import SequenceMatcher

    return SequenceMatcher(None, one, other).ratio()


def _least_likeness(key: str) -> float:
    """How alike a guess must be: a short name has to be almost right."""
    return {5: 0.8, 6: 0.82}.get(len(key), 0.86 if len(key) < 5 else 0.75)


def _pairs_of_letters(key: str) -> set[str]:
    padded = f"^{key}$"
    return {padded[i : i + 2] for i in range(len(padded) - 1)}


def shortened(name: str) -> str:
    """A name as an error message repeats it: one line, not long."""
    line = " ".join(name.split())
    return line if len(line) <= 60 else line[:57] + "..."


class NameIndex(Generic[R]):
    """Names to records, tolerant of case, accents, plurals, punctuation and small words.

    Parameters
    ----------
    what : str
        The word used in error messages, such as ``"coffee origin"``.
    listed : str, optional
        What ``pairing list`` calls the records.
    """

    def __init__(self, what: str, listed: str = "") -> None:
        self.what = what
        self.listed = listed
        self._by_key: dict[str, tuple[str, R]] = {}
        self._loose: dict[str, str] = {}
        self._hints: dict[str, tuple[str, ...]] = {}

    def add(self, identifier: str, names: Iterable[str], record: R) -> None:
        """Register a record under its id and further names; the first claim to a name wins."""
        for name in (identifier, *names):
            key = normalise(name)
            if key and key not in self._by_key:
                self._by_key[key] = (identifier, record)
                self._loose.setdefault(_without_links(key), key)

    def hint(self, name: str, identifiers: tuple[str, ...]) -> None:
        """A name that stands for no one record, but that a misspelt name may be near."""
        self._hints[normalise(name)] = identifiers

    def get(self, name: str) -> R | None:
        """Record of a name, or None."""
        key = normalise(name)
        hit = self._by_key.get(key)
        if hit is None:
            loose = _without_links(key)
            hit = self._by_key.get(self._loose.get(loose, "")) if loose else None
        return hit[1] if hit else None

    def find(self, name: str) -> R:
        """Record of a name.

        Raises
        ------
        UnknownNameError
            With the nearest known ids.
        """
        record = self.get(name)
        if record is None:
            raise self.unknown(name)
        return record

    def unknown(self, name: str) -> UnknownNameError:
        """The error for a name that is not here, with the nearest known ids."""
        nearest = self.nearest(name)
        hint = f"; `pairing list {self.listed}` shows all" if self.listed else ""
        if not normalise(name):
            message = f"unknown {self.what} {shortened(name)!r}: no name in it{hint}"
        elif len(name) > MAX_NAME:
            message = (
                f"unknown {self.what} {shortened(name)!r}: a name has at most {MAX_NAME} characters"
            )
        elif not nearest:
            message = f"unknown {self.what} {shortened(name)!r}{hint}"
        else:
            return UnknownNameError(self.what, name, nearest)
        return UnknownNameError(self.what, name, message=message)

    def nearest(self, name: str, count: int = 3) -> list[str]:
        """Ids of the nearest names, best first; none when nothing is near.

        Names that begin like this one come first, then a name all but equal, then those that
        share a telling word, then those that are spelt alike.
        """
        key = normalise(name)
        if not key or len(name) > MAX_NAME:
            return []
        alike = self._spelt_like(key)
        equal = [k for k, likeness in alike.items() if likeness >= 0.9]
        found = [*self._beginning(key), *equal, *self._sharing_a_word(key), *alike]
        ids = (i for k in found for i in self._ids(k))
        return list(dict.fromkeys(ids))[:count]

    def _ids(self, key: str) -> tuple[str, ...]:
        return self._hints[key] if key in self._hints else (self._by_key[key][0],)

    def _beginning(self, key: str) -> list[str]:
        if len(key) < 4:
            return []
        keys = (k for k in (*self._by_key, *self._hints) if k.startswith(key))
        return sorted(keys, key=lambda k: (len(k), k))

    def _sharing_a_word(self, key: str) -> list[str]:
        words = {t for t in key.split("-") if is_telling(t)}
        shared = {k for t in words for k in self._by_token.get(t, ())}
        alike = {
            k: len(words & set(k.split("-"))) + _overlap(_pairs_of_letters(key), k) for k in shared
        }
        return sorted(alike, key=lambda k: (-alike[k], k))

    def _spelt_like(self, key: str) -> dict[str, float]:
        counts: dict[str, int] = defaultdict(int)
        pairs = _pairs_of_letters(key)
        for pair in pairs:
            for k in self._by_pair.get(pair, ()):
                counts[k] += 1
        close = sorted(counts, key=lambda k: (-2 * counts[k] / (len(pairs) + len(k) + 1), k))
        scores = {k: _likeness(key, k) for k in close[:30]}
        least = _least_likeness(key)
        best = sorted(scores, key=lambda k: (-scores[k], k))
        return {k: scores[k] for k in best if scores[k] >= least}

    @cached_property
    def _by_token(self) -> dict[str, list[str]]:
        out: dict[str, list[str]] = defaultdict(list)
        for key in (*self._by_key, *self._hints):
            for token in set(key.split("-")):
                out[token].append(key)
        return out

    @cached_property
    def _by_pair(self) -> dict[str, list[str]]:
        out: dict[str, list[str]] = defaultdict(list)
        for key in (*self._by_key, *self._hints):
            for pair in _pairs_of_letters(key):
                out[pair].append(key)
        return out

    def __iter__(self) -> Iterable[str]:
        return iter(self._by_key)


def _overlap(pairs: set[str], key: str) -> float:
    other = _pairs_of_letters(key)
    return len(pairs & other) / len(pairs | other)
