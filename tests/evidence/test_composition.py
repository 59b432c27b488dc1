"""The oil tables of the data package hang together: shares of one oil add up to about a whole."""

from __future__ import annotations

import math
from collections import defaultdict
from pathlib import Path

from pairing.evidence.catalog import load
from pairing.evidence.ranges import best_estimate

DATA = Path(__file__).parents[2] / "data"
OILS = {"essential-oil", "peel-oil", "leaf-oil", "flower-oil"}


def oil_sums() -> dict[tuple[str, str], float]:
    """Sum over compounds of the best estimate, percent, by ingredient and oil."""
    logs: dict[tuple[str, str], dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for rows in load(DATA).composition.values():
        for row in rows:
            if row.unit == "percent" and row.material in OILS:
                value = best_estimate(row.low, row.high)
                logs[(row.ingredient_id, row.material)][row.compound_id].append(math.log(value))
    return {
        oil: sum(math.exp(sum(seen) / len(seen)) for seen in compounds.values())
        for oil, compounds in logs.items()
    }


def test_shares_of_an_oil_add_up_to_about_a_whole() -> None:
    sums = oil_sums()
    assert len(sums) >= 80
    off = {oil: round(total) for oil, total in sums.items() if not 60 <= total <= 110}
    assert len(off) <= 0.05 * len(sums), off
    assert all(40 <= total <= 120 for total in off.values()), off


def test_ground_spice_is_dosed_lower_finer_and_holds_less_oil() -> None:
    package = load(DATA)
    ground = [f for f in package.forms.values() if f.form_id.endswith("-ground")]
    assert len(ground) >= 40
    for form in ground:
        whole = package.forms[form.ingredient_id]
        assert form.dose_high_g_per_kg is not None
        assert whole.dose_high_g_per_kg is not None
        assert form.dose_high_g_per_kg < whole.dose_high_g_per_kg, form.form_id
        assert form.particle_mm is not None
        assert whole.particle_mm is not None
        assert form.particle_mm < whole.particle_mm, form.form_id
        oil = {
            f: [m.percent_high for m in package.form_materials.get(f, ()) if m.material in OILS]
            for f in (form.form_id, whole.form_id)
        }
        if oil[whole.form_id]:
            assert sum(oil[form.form_id]) < sum(oil[whole.form_id]), form.form_id
