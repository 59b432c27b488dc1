"""What a bar's own tastings say of ingredients, for its own suggestions: asked for, shown, undone.

An ingredient counts by how much better than the taster's own usual the trials that hold it were
liked, averaged over trials and drawn toward nothing while there are few.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from pairing.bar.journal import Journal
from pairing.errors import NothingFoundError

__all__ = ["OwnPalate", "own_palate"]

HALF_TRUST = 6.0  # different trials at which tastings are half believed; our guess
LOG_ODDS_A_POINT = 0.5  # of a liking point: two points make an ingredient e times as likely; ours
LOUDEST = 1.0  # no ingredient moves by more, so that tastings lean on practice and never rule it
WORTH_SAYING = 0.05


@dataclass(frozen=True)
class OwnPalate:
    """What was learned.

    Attributes
    ----------
    log_odds : dict of str to float
        By ingredient id, to be added to practice.
    trials, tastings : int
        What it was learned from.
    """

    log_odds: dict[str, float]
    trials: int
    tastings: int

    def __str__(self) -> str:
        """One line: what moved which way, from how much, and how to undo it."""
        order = sorted(self.log_odds, key=lambda i: -self.log_odds[i])
        more = [i for i in order if self.log_odds[i] >= WORTH_SAYING][:4]
        less = [i for i in reversed(order) if self.log_odds[i] <= -WORTH_SAYING][:4]
        moved = "; ".join(
            f"{word} {', '.join(ids)}" for word, ids in (("up", more), ("down", less)) if ids
        )
        return (
            f"your own palate counts ({self.tastings} tastings of {self.trials} trials): "
            f"{moved or 'nothing moves yet'}; leave --own-palate out for the answer without"
        )


def own_palate(journal: Journal, ingredient_of: Callable[[str], str | None]) -> OwnPalate:
    """Learn from the liking of trials that say what was in them.

    Parameters
    ----------
    journal : Journal
    ingredient_of : callable
        From the name of a form to its ingredient id; None where it is not known.

    Returns
    -------
    OwnPalate

    Raises
    ------
    NothingFoundError
        When no tasting says liking and doses.
    """
    rows = [r for r in journal.tastings_of() if r["liking"] is not None and r["doses"]]
    if not rows:
        raise NothingFoundError(
            "the journal has no liking of trials with doses yet; keep a panel: pairing trials read "
            "SHEET.json ANSWERS.csv --keep"
        )
    usual: dict[object, list[float]] = defaultdict(list)
    for r in rows:
        usual[r["taster_number"]].append(r["liking"])
    gaps: dict[tuple[tuple[str, float], ...], list[float]] = defaultdict(list)
    for r in rows:
        mine = usual[r["taster_number"]]
        trial = tuple(sorted((n, g) for n, g in r["doses"].items() if g > 0))
        gaps[trial].append(r["liking"] - sum(mine) / len(mine))
    by_ingredient: dict[str, list[float]] = defaultdict(list)
    for trial, found in gaps.items():
        mean = sum(found) / len(found)
        for name in {i for n, _ in trial if (i := ingredient_of(n)) is not None}:
            by_ingredient[name].append(mean)
    log_odds = {}
    for name, means in by_ingredient.items():
        points = sum(means) / (len(means) + HALF_TRUST)
        log_odds[name] = max(-LOUDEST, min(LOUDEST, LOG_ODDS_A_POINT * points))
    return OwnPalate(log_odds, len(gaps), len(rows))
