"""Predicted against measured: how this bar's pot boils and strains."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pairing.bar.journal import Journal

__all__ = ["Learned", "learned"]


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
LEAST_SPREAD = 0.1  # of one weighing of one batch; common practice, no source


def _shrunk(ratios: Sequence[float]) -> tuple[float, tuple[float, float], int]:
    """Median ratio and 90 % interval: normal log ratios, prior at 1."""
    if not ratios:
        spread = math.exp(1.645 * PRIOR_SPREAD)
        return 1.0, (1 / spread, spread), 0
    logs = [math.log(r) for r in ratios]
    mean = sum(logs) / len(logs)
    if len(logs) > 1:
        found = math.sqrt(sum((x - mean) ** 2 for x in logs) / (len(logs) - 1))
    else:
        found = 2 * LEAST_SPREAD
    variance = max(found, LEAST_SPREAD) ** 2 / len(logs)
    weight = 1 / variance + 1 / PRIOR_SPREAD**2
    centre, half = mean / variance / weight, 1.645 / math.sqrt(weight)
    return math.exp(centre), (math.exp(centre - half), math.exp(centre + half)), len(logs)


def learned(journal: Journal) -> Learned:
    """Predicted against measured: how this bar's pot boils and strains.

    Batches tell of boiling when ``pot_g`` was weighed (and what went in, if it was not as the
    formula said), of straining when ``pot_g`` and ``yield_g`` were.
    """
    boiled, strained, gaps = [], [], []
    for row in journal.rows(
        "SELECT formula, put_in_g, pot_g, yield_g, brix FROM batch WHERE formula IS NOT NULL"
    ):
        said = json.loads(row["formula"])
        predicted = {k: _float(said.get(k)) for k in PREDICTED}
        put_in = row["put_in_g"] or predicted["put_in_g"]
        if row["pot_g"] and put_in and put_in > row["pot_g"] and predicted["evaporated_g"] > 0:
            scale = put_in / predicted["put_in_g"] if predicted["put_in_g"] else 1.0
            boiled.append((put_in - row["pot_g"]) / predicted["evaporated_g"] / scale)
        lost = predicted["pot_before_straining_g"] - predicted["yield_g"]
        if row["pot_g"] and row["yield_g"] and row["pot_g"] > row["yield_g"] and lost > 0:
            share = lost / predicted["pot_before_straining_g"]
            strained.append((row["pot_g"] - row["yield_g"]) / row["pot_g"] / share)
        if row["brix"] is not None and predicted["brix"]:
            gaps.append(row["brix"] - predicted["brix"])
    return Learned(
        *_shrunk(boiled),
        *_shrunk(strained),
        sum(gaps) / len(gaps) if gaps else math.nan,
        len(gaps),
    )


def _float(value: Any) -> float:
    return float(value) if isinstance(value, (int, float)) and math.isfinite(value) else 0.0
