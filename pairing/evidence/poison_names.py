"""Names as an eye reads them, and the poison list looked for in them under any spelling."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise

from pairing.evidence.safety_rows import Poison
from pairing.evidence.spelling import normalise

__all__ = ["PoisonNames", "fold"]

NEAR_LETTERS = 7  # a misspelt name of so many letters is still that plant (our choice, no source)

# Letters of other scripts, and figures, that read as Latin letters.
_ALIKE = str.maketrans(
    dict(
        zip(
            "абвеикмнорстухіјѕһԁѵαβεηικνορτυχωАВЕКМНОРСТУХІЈЅΑΒΕΖΗΙΚΜΝΟΡΤΥΧ",
            "abbeukmhopctyxijshdvabeniknoptuxwABEKMHOPCTYXIJSABEZHIKMNOPTYX",
            strict=True,
        )
    )
)
_INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u2060-\u2064\ufeff]")
_FIGURES = str.maketrans("013457@$|", "oleastasl")


def fold(text: str) -> str:
    """A name as an eye reads it: look-alike letters folded, then normalised.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        Words joined by hyphens, as :func:`pairing.evidence.spelling.normalise`.
    """
    plain = unicodedata.normalize("NFKC", _INVISIBLE.sub("", text)).translate(_ALIKE)
    words = []
    for word in plain.split():
        letters = sum(c.isalpha() for c in word)
        words.append(word.translate(_FIGURES) if letters >= 2 and letters < len(word) else word)
    return normalise(" ".join(words))


class PoisonNames:
    """The poison list, ready to be looked for in names."""

    def __init__(self, rows: Iterable[Poison]) -> None:
        self.phrases: dict[tuple[str, ...], Poison] = {}
        self.joined: dict[str, Poison] = {}
        self.genera: dict[str, list[Poison]] = defaultdict(list)
        self.short: dict[tuple[str, str], Poison] = {}
        for row in rows:
            for name in row.names:
                words = tuple(w for w in fold(name).split("-") if w)
                self.phrases.setdefault(words, row)
                if len("".join(words)) >= 6:
                    self.joined.setdefault("".join(words), row)
            for genus in row.genus:
                self.genera[normalise(genus)].append(row)
                for species in row.species:
                    self.short.setdefault((normalise(genus)[0], _first_word(species)), row)

    def of(self, text: str) -> tuple[Poison, str] | None:
        """The first poison that a name holds, with the word that says so.

        Parameters
        ----------
        text : str
            A name in any spelling; words are looked for anywhere in it.

        Returns
        -------
        tuple of (Poison, str) or None
            The row and the words of the name that matched; None where no table row does.
        """
        words = [w for w in fold(text).split("-") if w]
        for i in range(len(words)):
            for length in range(min(5, len(words) - i), 0, -1):
                part = tuple(words[i : i + length])
                row = self.phrases.get(part) or self.joined.get("".join(part))
                if row is not None and not _eaten(row, words):
                    return row, " ".join(part)
        for one, two in pairwise([*words, ""]):
            for row in self.genera.get(one, ()):
                if (two in map(_first_word, row.species) or not row.species) and not (
                    two and two in map(normalise, row.eaten)
                ):
                    return row, f"{one} {two}".strip()
            if len(one) == 1 and (one, two) in self.short:
                return self.short[(one, two)], f"{one}. {two}"
        for word in words:  # one word of several, as German writes them: Oleanderblüten
            for known, row in self._long.items():
                joined = len(known) > NEAR_LETTERS and len(word) > len(known) + 2
                if joined and (word.startswith(known) or word.endswith(known)):
                    return row, known
        return None

    def near(self, text: str) -> tuple[Poison, str] | None:
        """A poison whose name is one slip of the keys away.

        Parameters
        ----------
        text : str
            A name in any spelling.

        Returns
        -------
        tuple of (Poison, str) or None
            The row and the name it is close to; None also for words shorter than ``NEAR_LETTERS``.
        """
        for word in fold(text).split("-"):
            if len(word) < NEAR_LETTERS:
                continue
            for known, row in self._long.items():
                if abs(len(known) - len(word)) <= 1 and word != known and _one_slip(word, known):
                    return row, known
        return None

    @cached_property
    def _long(self) -> dict[str, Poison]:
        out = {g: rows[0] for g, rows in self.genera.items() if not rows[0].species}
        out |= {p[0]: row for p, row in self.phrases.items() if len(p) == 1}
        return {k: v for k, v in out.items() if len(k) >= NEAR_LETTERS}


def _first_word(species: str) -> str:
    """``gummi`` of ``gummi-gutta``: a hyphen parts the words of a name that is looked through."""
    return normalise(species).split("-")[0]


def _eaten(row: Poison, words: list[str]) -> bool:
    return any(normalise(e) in words for e in row.eaten)


def _one_slip(one: str, other: str) -> bool:
    """Whether two words differ by one letter changed, missing, added or swapped."""
    if len(one) == len(other):
        apart = [i for i, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
        swapped = len(apart) == 2 and apart[1] == apart[0] + 1
        return len(apart) == 1 or (
            swapped and one[apart[0]] == other[apart[1]] and one[apart[1]] == other[apart[0]]
        )
    short, long = sorted((one, other), key=len)
    return any(long[:i] + long[i + 1 :] == short for i in range(len(long)))
