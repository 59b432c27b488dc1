"""The ways to taste that this house uses, each named by its standard.

What the standards fix is cited; portions, water and rest are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from pairing.errors import UnknownNameError

__all__ = ["PROTOCOLS", "Protocol", "protocol"]

PORTION_ML = 30.0  # common practice, no source: two sips, so that six cups are one drink
WATER = "a sip of plain water and a bite of unsalted cracker (ask: wheat) before each cup"
REST_S = 60  # common practice, no source; longer after bitter, hot or minty cups


@dataclass(frozen=True)
class Protocol:
    """One way to taste.

    Attributes
    ----------
    protocol_id : str
    standard : str
        The standard that describes it.
    question : str
        What a taster is asked.
    guess : float or None
        Share that luck gets right; None where there is no right answer to count.
    two_sided : bool
        Whether either answer may win (nobody knows beforehand which).
    samples : tuple of (int, int)
        Fewest and most different trials that a taster compares.
    cups : int or None
        Cups a taster drinks; None where it is one a trial.
    answer : str
        What the answer column of the sheet holds, in words.
    rest_s : int
        Rest between cups, s.
    """

    protocol_id: str
    standard: str
    question: str
    guess: float | None
    two_sided: bool
    samples: tuple[int, int]
    cups: int | None
    answer: str
    rest_s: int = REST_S


PROTOCOLS = {
    p.protocol_id: p
    for p in (
        Protocol(
            "triangle",
            "ISO 4120",
            "Two cups are the same and one is different: which is the odd one?",
            1 / 3,
            False,
            (2, 2),
            3,
            "1 at the odd cup, nothing at the others",
        ),
        Protocol(
            "duo-trio",
            "ISO 10399",
            "One of the two coded cups is the same as the cup marked R: which?",
            1 / 2,
            False,
            (2, 2),
            3,
            "1 at the cup that is the same as R, nothing at the other",
        ),
        Protocol(
            "paired",
            "ISO 5495",
            "Which of the two cups do you like better?",
            1 / 2,
            True,
            (2, 2),
            2,
            "1 at the cup you pick, nothing at the other; guess if you must",
        ),
        Protocol(
            "pairs",
            "ISO 5495, every pair of several trials",
            "Pair by pair: which of the two cups do you like better?",
            None,
            True,
            (3, 6),
            None,
            "1 at the cup you pick of each pair, nothing at the other; guess if you must",
        ),
        Protocol(
            "ranking",
            "ISO 8587",
            "Put the cups in order, 1 for the one you like best.",
            None,
            True,
            (3, 8),
            None,
            "the place: 1 is best; no ties",
        ),
        Protocol(
            "liking",
            "nine-point scale, ISO 11136",
            "How much do you like each cup? 1 dislike extremely, 5 neither, 9 like extremely.",
            None,
            True,
            (2, 12),
            None,
            "1 to 9",
        ),
        Protocol(
            "just-right",
            "just-about-right scale, ASTM MNL63",
            "How much do you like each cup (1 to 9), and is it too little, just right or too much?",
            None,
            True,
            (1, 8),
            None,
            "liking 1 to 9; each quality 1 much too little, 3 just right, 5 much too much",
        ),
    )
}


def protocol(name: str) -> Protocol:
    """A protocol by its id.

    Parameters
    ----------
    name : str

    Returns
    -------
    Protocol

    Raises
    ------
    UnknownNameError
        For a name that is none.
    """
    found = PROTOCOLS.get(name.strip().lower().replace("_", "-").replace(" ", "-"))
    if found is None:
        raise UnknownNameError("protocol", name, tuple(PROTOCOLS))
    return found
