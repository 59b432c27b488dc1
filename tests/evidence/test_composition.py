"""The oil tables of the data package hang together: shares of one oil add up to about a whole."""

from __future__ import annotations

import math
from collections import defaultdict
from pathlib import Path

import pytest

from pairing.aroma.odour import amounts
from pairing.evidence.catalog import load
from pairing.evidence.ranges import SOURCE_SPREAD, UNIT_TO_MG_PER_KG, middle_of
from pairing.evidence.rows import Content

DATA = Path(__file__).parents[2] / "data"
OILS = {"essential-oil", "peel-oil", "leaf-oil", "flower-oil"}


def oil_sums() -> dict[tuple[str, str], float]:
    """Sum over compounds of the best estimate, percent, by ingredient and oil."""
    seen: dict[tuple[str, str], dict[str, list[Content]]] = defaultdict(lambda: defaultdict(list))
    for rows in load(DATA).composition.values():
        for row in rows:
            if row.unit == "percent" and row.material in OILS:
                seen[(row.ingredient_id, row.material)][row.compound_id].append(row)
    percent = UNIT_TO_MG_PER_KG["percent"]
    return {
        oil: sum(middle_of(rows) for rows in compounds.values()) / percent
        for oil, compounds in seen.items()
    }


def test_shares_of_an_oil_add_up_to_about_a_whole() -> None:
    sums = oil_sums()
    assert len(sums) >= 80
    off = {oil: round(total) for oil, total in sums.items() if not 60 <= total <= 110}
    assert len(off) <= 0.05 * len(sums), off
    assert all(35 <= total <= 120 for total in off.values()), off


def test_analyses_differ_as_much_as_the_constant_says() -> None:
    seen: dict[tuple[str, str, str], list[Content]] = defaultdict(list)
    for rows in load(DATA).composition.values():
        for row in rows:
            if row.low > 0 and (row.found_percent is None or row.found_percent >= 50):
                seen[(row.ingredient_id, row.material, row.compound_id)].append(row)
    squares, freedom = 0.0, 0
    for rows in seen.values():
        if len({row.source_id for row in rows}) > 1:
            logs = [math.log10(row.low * row.high) / 2.0 for row in rows]
            mean = sum(logs) / len(logs)
            squares += sum((x - mean) ** 2 for x in logs)
            freedom += len(logs) - 1
    assert freedom > 1000
    assert math.sqrt(squares / freedom) == pytest.approx(SOURCE_SPREAD, abs=0.02)


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


def test_the_common_unit_is_the_amount_in_mg_per_kg() -> None:
    for rows in load(DATA).composition.values():
        for row in rows:
            factor = UNIT_TO_MG_PER_KG[row.unit]
            assert row.low_mg_per_kg == pytest.approx(row.low * factor, rel=1e-4)
            assert row.high_mg_per_kg == pytest.approx(row.high * factor, rel=1e-4)


def test_no_note_hides_a_field_that_has_a_column() -> None:
    for rows in load(DATA).composition.values():
        for row in rows:
            assert "conf=" not in row.note
            assert "PROXY" not in row.note


def test_european_hops_hold_no_blackcurrant_thiol() -> None:
    """Kishimoto 2009 (abstract): found in American and southern cultivars, not in European."""
    form = load(DATA).forms["hops"]
    assert amounts(load(DATA), form)["4-mercapto-4-methyl-2-pentanone"][1] == 0.0
