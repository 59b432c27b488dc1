"""One spelling for names however they are written: case, accents, plurals, small words."""

from __future__ import annotations

import re
import unicodedata

_SPLIT = re.compile(r"[\W_]+", re.UNICODE)
_GENITIVE = re.compile(r"['\u2019`]s\b")
# Letters that Unicode does not take apart.
_LETTERS = str.maketrans({"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i"})
MAX_NAME = 100

# Small words that carry nothing in a name.
_LINKS = (
    "a of the de d du des da do dos di del della dello dell dei la le l lo les los las el il al "
    "der die das den von vom en em in ka ki ke no freshly finely coarsely organic unwaxed"
)
LINK_WORDS = frozenset(_LINKS.split())


def _singular(token: str) -> str:
    if not token.endswith("s"):
        return token
    if len(token) > 4 and token.endswith("ies"):
        return token[:-3] + "y"
    if len(token) > 4 and token.endswith(("shes", "ches", "xes", "oes", "sses")):
        return token[:-2]
    if token in {"leaves", "halves"}:
        return token[:-3] + "f"
    if len(token) > 3 and token.endswith("s") and not token.endswith(("ss", "us", "is")):
        return token[:-1]
    return token


def normalise(name: str) -> str:
    """Fold case, accents, ligatures and plurals: ``"Limes, Persian"`` -> ``"lime-persian"``.

    Letters of other scripts are kept as they are.
    """
    folded = name.casefold()
    if not folded.isascii():
        folded = unicodedata.normalize("NFKD", folded.translate(_LETTERS))
        folded = "".join(c for c in folded if not unicodedata.combining(c))
        folded = unicodedata.normalize("NFC", folded)
    folded = _GENITIVE.sub("s", folded)
    return "-".join([_singular(t) for t in _SPLIT.split(folded) if t])
