"""Thresholds in the glass against published measurements in juice, honey and wine.

Outside references, all read as abstracts unless a row says otherwise:

- Plotto et al., Flavour Fragr. J. 19, 491-498 (2004): by mouth in orange juice 2 to 60 times the
  values in water, octanal 187; by nose 15 (citral, hexanal) to over 200 (limonene, beta-pinene);
- guaiacol in orange juice, 12 trained tasters: 0.53 ug/l by mouth, 0.7 by nose;
- Bogdanov et al., Apidologie 29, 513-524 (1998): thymol in honey, 1100 to 1600 ug/kg by mouth;
- Pineau et al., J. Agric. Food Chem. 55, 4103-4108 (2007), table as a handbook of wine chemistry
  reprints it: beta-damascenone 50 ng/l in 12 % ethanol, 140 in white wine without its aroma, 850
  to 7000 in red wine;
- Reglitz et al. 2023 (digest): R- and S-linalool in unhopped beer 6.4 and 7.9 times water;
- Gaby et al., Nutrients 12, 2522 (2020): rotundone in wine, by mouth as by nose.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pairing.aroma.odour import axis
from pairing.evidence.catalog import load

PACKAGE = load(Path(__file__).parents[2] / "data")
AX = axis(PACKAGE)


def rise(compound_id: str) -> float:
    """Threshold in the glass over that in water by mouth (by nose where no mouth tried it)."""
    rows = PACKAGE.thresholds[compound_id]
    mouth = [
        (r.low_ug_per_l * r.high_ug_per_l) ** 0.5
        for r in rows
        if r.kind == "odour-retronasal" and r.counted
    ]
    at = AX.position[compound_id]
    return float(AX.glass_best[at] / (mouth[0] if mouth else AX.threshold_best[at]))


@pytest.mark.parametrize("compound_id", ["limonene", "beta-pinene", "citral", "hexanal"])
def test_by_mouth_in_juice_two_to_sixty_fold(compound_id: str) -> None:
    assert 1.999 <= rise(compound_id) <= 60.001


def test_octanal_is_the_exception() -> None:
    assert rise("octanal") == pytest.approx(187, rel=0.01)


def test_order_by_mouth_follows_the_order_by_nose() -> None:
    high = min(rise("limonene"), rise("beta-pinene"))
    assert high > max(rise("citral"), rise("hexanal"))


def test_guaiacol_in_the_glass_is_the_value_measured_in_juice() -> None:
    assert AX.glass_best[AX.position["guaiacol"]] == pytest.approx(0.53)


def test_a_mouth_in_honey_needs_more_thymol_than_one_in_a_drink() -> None:
    """Honey has 80 % sugar: its threshold bounds ours from above."""
    assert AX.glass_best[AX.position["thymol"]] < 1100


def test_damascenone_in_the_glass_needs_less_than_in_wine() -> None:
    """Ethanol and wine solids raise it: their thresholds bound ours from above, water's below."""
    ratios = [r.ratio_best for r in PACKAGE.matrix if r.source_id == "pineau-2007"]
    assert sorted(ratios) == [2.8, 17.0, 42.0, 140.0]
    assert 0.00075 < AX.glass_best[AX.position["beta-damascenone"]] < 0.14


def test_a_drink_without_citrus_raises_linalool_as_much() -> None:
    """Beer without hops holds no pulp and no peel, and its panel needed 6.4 to 7.9 times as much.

    Reglitz et al. 2023 (digest read), same panel, both isomers, by nose. So the rise of the
    terpenes with oxygen is not the pulp's, and a syrup without citrus keeps their factor. Of
    hydrocarbons no value in a drink without pulp was found.
    """
    beer = [r for r in PACKAGE.matrix if r.source_id == "reglitz-2023"]
    assert [(r.compound_id, r.used) for r in beer] == [("linalool", False)]
    assert beer[0].ratio_best / 2 < rise("linalool") < 2 * beer[0].ratio_best


def test_what_nobody_measured_has_no_factor() -> None:
    used = {r.compound_id for r in PACKAGE.matrix if r.used}
    for compound_id in ("vanillin", "eugenol", "trans-anethole", "coumarin", "rotundone"):
        assert compound_id not in used
        assert rise(compound_id) == pytest.approx(1.0)


def test_used_factors_lie_in_the_printed_ranges() -> None:
    for r in PACKAGE.matrix:
        assert r.ratio_low <= r.ratio_best <= r.ratio_high
        if r.used:
            assert r.route == "odour-retronasal"
            assert r.matrix == "orange juice"
            assert (r.ratio_low, r.ratio_high) in {(2.0, 60.0), (187.0, 187.0)}
    assert np.isfinite(AX.glass_best[np.isfinite(AX.threshold_best)]).all()
