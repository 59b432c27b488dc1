"""Predicted against measured: how this bar's pot boils and strains."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pairing.bar.journal import Journal
from pairing.errors import NothingFoundError
from pairing.syrup.cooking import OwnPot

__all__ = ["Learned", "learned", "own_pot"]


@dataclass(frozen=True)
class Learned:
    """What this bar's pot does beside what the formula predicts.

    Attributes
    ----------
    evaporation, straining : float
        Measured over predicted, 1 where the prediction is right; shrunk toward 1 while few
        batches were weighed.
    evaporation_interval, straining_interval : (float, float)
        90 % interval.
    evaporation_batches, straining_batches : int
        How many batches told.
    brix_gap, brix_batches
        Mean of measured less predicted °Bx; nan where none was measured.
    """

    evaporation: float
    evaporation_interval: tuple[float, float]
    evaporation_batches: int
    straining: float
    straining_interval: tuple[float, float]
    straining_batches: int
    brix_gap: float
    brix_batches: int

    def to_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "evaporation_times_predicted": self.evaporation,
            "evaporation_interval": list(self.evaporation_interval),
            "evaporation_batches": self.evaporation_batches,
            "straining_loss_times_predicted": self.straining,
            "straining_loss_interval": list(self.straining_interval),
            "straining_batches": self.straining_batches,
            "brix_measured_less_predicted": self.brix_gap,
            "brix_batches": self.brix_batches,
        }


PREDICTED = ("put_in_g", "evaporated_g", "pot_before_straining_g", "yield_g", "brix")
PRIOR_SPREAD = 0.3  # of the log ratio, before a bar has weighed anything; our guess
BATCH_SPREAD = 0.2  # from batch to batch, while there is one; our guess
LEAST_SPREAD = 0.1
WEIGHING = 0.005  # of the pot: drops, steam, a tare read in a hurry; common practice, no source


def _shrunk(seen: Sequence[tuple[float, float]]) -> tuple[float, tuple[float, float], int]:
    """Median ratio and 90 % interval from (ratio, error of its log): normal logs, prior at 1."""
    logs = [math.log(r) for r, _ in seen]
    centre = sum(logs) / len(logs) if logs else 0.0
    spread = BATCH_SPREAD
    if len(logs) > 1:
        found = sum((x - centre) ** 2 for x in logs) / (len(logs) - 1)
        spread = max(LEAST_SPREAD, math.sqrt(found))
    weights = [1 / (spread**2 + error**2) for _, error in seen]
    total = sum(weights) + 1 / PRIOR_SPREAD**2
    middle = sum(w * x for w, x in zip(weights, logs, strict=True)) / total
    half = 1.645 / math.sqrt(total)
    return math.exp(middle), (math.exp(middle - half), math.exp(middle + half)), len(logs)


def learned(journal: Journal) -> Learned:
    """Predicted against measured: how this bar's pot boils and strains.

    Batches tell of boiling when ``pot_g`` was weighed (and what went in, if it was not as the
    formula said), of straining when ``pot_g`` and ``yield_g`` were.

    Parameters
    ----------
    journal : Journal

    Returns
    -------
    Learned
    """
    boiled, strained, gaps = [], [], []
    for row in journal.rows(
        "SELECT formula, put_in_g, pot_g, yield_g, brix FROM batch WHERE formula IS NOT NULL"
    ):
        said = json.loads(row["formula"])
        predicted = {k: _float(said.get(k)) for k in PREDICTED}
        counted = said.get("own_pot") or {}  # what an earlier lesson put into this prediction
        boil_off, straining = (counted.get(k) or 1.0 for k in ("boil_off", "straining"))
        put_in = row["put_in_g"] or predicted["put_in_g"]
        if row["pot_g"] and put_in and put_in > row["pot_g"] and predicted["evaporated_g"] > 0:
            scale = put_in / predicted["put_in_g"] if predicted["put_in_g"] else 1.0
            lost = predicted["evaporated_g"] * scale / boil_off
            boiled.append(((put_in - row["pot_g"]) / lost, WEIGHING * put_in / lost))
        lost = predicted["pot_before_straining_g"] - predicted["yield_g"]
        if row["pot_g"] and row["yield_g"] and row["pot_g"] > row["yield_g"] and lost > 0:
            share = lost / predicted["pot_before_straining_g"] / straining
            strained.append(
                ((row["pot_g"] - row["yield_g"]) / row["pot_g"] / share, WEIGHING / share)
            )
        if row["brix"] is not None and predicted["brix"]:
            gaps.append(row["brix"] - predicted["brix"])
    return Learned(
        *_shrunk(boiled),
        *_shrunk(strained),
        sum(gaps) / len(gaps) if gaps else math.nan,
        len(gaps),
    )


def own_pot(found: Learned) -> OwnPot:
    """What was learned, as a formula takes it.

    Parameters
    ----------
    found : Learned

    Returns
    -------
    OwnPot

    Raises
    ------
    NothingFoundError
        When no batch was weighed yet.
    """
    count = max(found.evaporation_batches, found.straining_batches)
    if not count:
        raise NothingFoundError(
            "nothing is learned of your pot yet: weigh it before and after straining "
            "(pairing journal add batch ... --formula FILE --pot-g --yield-g)"
        )
    boil_off, straining = (min(max(f, 0.2), 5.0) for f in (found.evaporation, found.straining))
    return OwnPot(boil_off, straining, f" ({count} batch{'es' if count > 1 else ''})")


def _float(value: Any) -> float:
    return float(value) if isinstance(value, (int, float)) and math.isfinite(value) else 0.0
