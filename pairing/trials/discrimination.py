"""Can people tell two cups apart? Exact binomial tests, their power and the size of a panel.

The counts of correct answers of a triangle (ISO 4120), duo-trio (ISO 10399) or paired comparison
(ISO 5495) are binomial with the share of luck, one third or one half, when nobody can tell.
A share of discriminators d answers right always and the others by luck (Abbott's formula):
``correct = d + (1 - d) * guess``.
"""

from __future__ import annotations

from functools import cache

from pairing.errors import PairingError
from pairing.trials.protocols import Protocol, protocol
from pairing.trials.verdict import ALPHA, POWER, Reading, luck, people

__all__ = [
    "correct_needed",
    "discriminators",
    "p_value",
    "power",
    "read_count",
    "tasters_needed",
]

MOST_TASTERS = 5000
PLANNED_SHARE = 0.5  # of guests who notice: what a sheet is planned for
SMALL_SHARE = 0.3  # of guests who notice: what a bar would still call a difference


def _check(correct: int, tasters: int) -> None:
    if tasters < 1 or tasters > MOST_TASTERS:
        raise PairingError(f"{tasters} tasters; give 1 to {MOST_TASTERS}")
    if not 0 <= correct <= tasters:
        raise PairingError(f"{correct} of {tasters} cannot be; give 0 to {tasters}")


def _tail(least: int, tasters: int, share: float) -> float:
    """Chance of at least so many correct, each with probability ``share``."""
    from scipy.special import bdtrc

    return float(bdtrc(least - 1, tasters, share)) if least > 0 else 1.0


def _fewer_than_luck(correct: int, tasters: int, guess: float) -> bool:
    """Whether guessing gives so few right less than once in forty panels."""
    from scipy.stats import binom

    return bool(binom.cdf(correct, tasters, guess) < 0.025)


def p_value(correct: int, tasters: int, guess: float, two_sided: bool = False) -> float:
    """How often luck alone gets so many right, or more.

    Parameters
    ----------
    correct, tasters : int
        Answers that are right, and all.
    guess : float
        Share that luck gets right, 0 to 1.
    two_sided : bool
        Count as extreme the other way round too; only where ``guess`` is one half.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    PairingError
        For more right answers than tasters, or a panel out of range.
    """
    _check(correct, tasters)
    if two_sided:
        return min(1.0, 2.0 * _tail(max(correct, tasters - correct), tasters, guess))
    return _tail(correct, tasters, guess)


@cache
def correct_needed(
    tasters: int, guess: float, alpha: float = ALPHA, two_sided: bool = False
) -> int | None:
    """Fewest correct answers that luck does not give oftener than ``alpha``.

    The numbers of ISO 4120 table A.1 (one third) and ISO 5495 annex A (one half).

    Returns
    -------
    int or None
        None where not even all correct is enough.
    """
    for correct in range(int(tasters * guess), tasters + 1):  # luck's own count is never enough
        if p_value(correct, tasters, guess, two_sided) <= alpha:
            return correct
    return None


def attained_level(tasters: int, guess: float, alpha: float, two_sided: bool = False) -> float:
    """How often a panel of this size calls luck a difference: at most ``alpha``, often less."""
    needed = correct_needed(tasters, guess, alpha, two_sided)
    return 0.0 if needed is None else p_value(needed, tasters, guess, two_sided)


def power(
    tasters: int, share: float, guess: float, alpha: float = ALPHA, two_sided: bool = False
) -> float:
    """Chance that a panel finds a difference which a share of people notices.

    Parameters
    ----------
    tasters : int
        Answers.
    share : float
        Share of discriminators, 0 to 1.
    guess : float
        Chance to be right by guessing: 1/3 in a triangle.
    alpha : float
        Chance of calling luck a difference that is put up with.
    two_sided : bool
        Counts only the finding in the right direction.

    Returns
    -------
    float
        0 to 1; 0 when even a panel that is all right would prove nothing.

    Raises
    ------
    PairingError
        For a share outside 0 to 1.
    """
    if not 0 <= share <= 1:
        raise PairingError(f"a share of {share:g}; give 0 to 1")
    needed = correct_needed(tasters, guess, alpha, two_sided)
    if needed is None:
        return 0.0
    return _tail(needed, tasters, share + (1 - share) * guess)


@cache
def tasters_needed(
    share: float,
    guess: float,
    alpha: float = ALPHA,
    wanted: float = POWER,
    two_sided: bool = False,
) -> int:
    """Smallest panel with the wanted power, as ISO 4120 table A.3 counts it.

    Raises
    ------
    PairingError
        When the share is 0 or so small that more than 2,000 tasters were needed.
    """
    if not 0 < share <= 1:
        raise PairingError(f"a share of {share:g} who notice; give more than 0 and at most 1")
    for tasters in range(2, 2001):
        if power(tasters, share, guess, alpha, two_sided) >= wanted:
            return tasters
    raise PairingError(
        f"if only {100 * share:.1f} % notice, more than 2,000 tasters are needed; give a larger "
        "share"
    )


def discriminators(
    correct: int, tasters: int, guess: float, confidence: float = 0.95
) -> tuple[float, float, float]:
    """Share of people who really tell, with an exact interval.

    Clopper and Pearson (1934, Biometrika 26:404) for the share correct, taken through Abbott's
    formula and cut at 0.

    Parameters
    ----------
    correct, tasters : int
        Answers that are right, and all.
    guess : float
        Share that luck gets right.
    confidence : float
        Of the interval.

    Returns
    -------
    (float, float, float)
        Estimate, low and high, 0 to 1.

    Raises
    ------
    PairingError
        For more right answers than tasters, or a panel out of range.
    """
    from scipy.special import betaincinv

    _check(correct, tasters)
    tail = (1 - confidence) / 2
    low = float(betaincinv(correct, tasters - correct + 1, tail)) if correct else 0.0
    high = float(betaincinv(correct + 1, tasters - correct, 1 - tail)) if correct < tasters else 1.0
    found = (max(0.0, (c - guess) / (1 - guess)) for c in (correct / tasters, low, high))
    estimate, low, high = found
    return estimate, low, high


def read_count(
    how: str | Protocol,
    correct: int,
    tasters: int,
    *,
    first: str = "A",
    second: str = "B",
    alpha: float = ALPHA,
    one_sided: bool = False,
) -> Reading:
    """Read a triangle, duo-trio or paired test.

    Parameters
    ----------
    how : str or Protocol
    correct : int
        Correct answers; in a paired test those who picked ``second``.
    tasters : int
    first, second : str
        Names of the two trials.
    alpha : float
        How often luck may be called a difference.
    one_sided : bool
        In a paired test, when it was settled *before* tasting that only ``second`` can win.

    Returns
    -------
    Reading

    Raises
    ------
    PairingError
        For a protocol without right answers, or counts that cannot be.
    """
    known = protocol(how) if isinstance(how, str) else how
    if known.guess is None:
        raise PairingError(f"{known.protocol_id} has no right answers to count; give the sheet")
    _check(correct, tasters)
    if not 0 < alpha < 0.5:
        raise PairingError(
            f"a level of {alpha:g}; give more than 0 and less than 0.5, such as 0.05"
        )
    two = known.two_sided and not one_sided
    p = p_value(correct, tasters, known.guess, two)
    found = p <= alpha
    needed = correct_needed(tasters, known.guess, alpha, two)
    reached = attained_level(tasters, known.guess, alpha, two)
    winner, votes = (
        (first, tasters - correct) if two and 2 * correct < tasters else (second, correct)
    )
    share, low, high = discriminators(votes, tasters, known.guess)
    if known.protocol_id == "paired":
        count = f"{votes} of {tasters} picked {winner}"
        yes = f"Your guests prefer {winner}: {count}"
        no = f"You can't tell yet which they prefer: {count}"
    else:
        count = f"{votes} of {tasters} picked {'it' if found else 'right'}"
        yes = f"Your guests can tell {second} from {first}: {count}"
        no = f"You can't tell yet whether they can tell {second} from {first}: {count}"
    more = None
    lines = []
    if found:
        sentence = f"{yes}; luck does that {luck(p)}."
    else:
        # of few answers the share is a guess: no panel is planned for more than half the guests
        planned = min(max(share, SMALL_SHARE), PLANNED_SHARE)
        more = tasters_needed(planned, known.guess, alpha, POWER, two)
        sentence = f"{no}; luck does that {luck(p)}. Taste {more} more, counted on their own."
        lines.append(
            f"{more} tasters find it 8 times in 10 if {100 * planned:.0f} % of "
            "people notice. Do not add them to these: looking and adding makes luck look real."
        )
        if needed is None:
            lines.append(
                f"{people(tasters)} can't settle it: not even all correct would rule out luck."
            )
    if (
        known.protocol_id != "paired"
        and not found
        and _fewer_than_luck(votes, tasters, known.guess)
    ):
        lines.append("So few right is rarer than guessing gives: check the key and the codes.")
    if known.protocol_id == "paired":
        margin = "Beyond an even split" if two else f"Beyond luck for {second}"
        lines.insert(0, f"{margin}: {100 * share:.0f} % of guests ({100 * low:.0f} to "
                        f"{100 * high:.0f} %, 95 % interval).")  # fmt: skip
    else:
        lines.insert(0, f"Share who really tell: {100 * share:.0f} % ({100 * low:.0f} to "
                        f"{100 * high:.0f} %, 95 % interval).")  # fmt: skip
    lines.append(
        f"{'No number' if needed is None else needed} of {tasters} was needed; this panel calls "
        f"luck a difference in {100 * reached:.1f} of 100 tests ({100 * alpha:g} allowed)."
    )
    return Reading(
        method=f"{known.protocol_id}, {known.standard}, exact binomial"
        + (", two-sided" if two else ""),
        told_apart=found,
        sentence=sentence,
        p_value=p,
        alpha=alpha,
        attained=reached,
        tasters=tasters,
        more_tasters=more,
        numbers={
            "protocol": known.protocol_id,
            "correct": votes,
            "correct_needed": needed,
            "preferred": winner if known.protocol_id == "paired" and found else None,
            "discriminators": share,
            "discriminators_interval": [low, high],
            "interval_confidence": 0.95,
        },
        lines=lines,
    )
