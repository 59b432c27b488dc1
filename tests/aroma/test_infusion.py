from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.aroma import infusion
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load


def share(catalog: Catalog, form: str, compound: str, **how: object) -> float:
    found = infusion.infuse(catalog, catalog.form(form), 8.0, **how)  # type: ignore[arg-type]
    from pairing.aroma.odour import axis

    return float(found.share[axis(catalog).position[compound]])


def test_release_is_first_order_in_time_and_square_of_size() -> None:
    low, best, high = infusion.release_rate(2.0, 80.0)
    assert low < best < high
    # pi^2 D / L^2 by hand: 9.87 x 1.5e-10 / 4e-6 x 60 = 0.0222 1/min
    assert best == pytest.approx(0.0222, rel=0.01)
    assert infusion.release_rate(1.0, 80.0)[1] == pytest.approx(4 * best)


def test_release_rates_bracket_published_kinetics() -> None:
    # shared facts, recalled: cracked spice of 1-3 mm at 95 C has k of 0.03 to 0.25 1/min
    low, _, high = infusion.release_rate(2.0, 95.0)
    assert low < 0.25
    assert high > 0.03


def test_ground_gives_faster_than_whole(catalog: Catalog) -> None:
    quick = {"method": "hot-steep", "minutes": 5.0}
    assert share(catalog, "black-pepper-ground", "linalool", **quick) > share(
        catalog, "black-pepper", "linalool", **quick
    )


def test_boiling_strips_terpenes_and_spares_vanillin(catalog: Catalog) -> None:
    # Sadafian and Crouzet (1987): limonene is the most volatile over water, a hydroxyl group
    # lowers volatility strongly
    boiled = share(catalog, "vanilla-bean", "vanillin", method="simmer", minutes=60.0)
    steeped = share(catalog, "vanilla-bean", "vanillin", method="hot-steep", minutes=60.0)
    assert boiled >= 0.95 * steeped

    def terpene_to_alcohol(method: str) -> float:  # what comes out of the peel cancels
        left = [
            share(catalog, "mandarin-peel", c, method=method, minutes=60.0)
            for c in ("limonene", "linalool")
        ]
        return left[0] / left[1]

    assert terpene_to_alcohol("simmer") < terpene_to_alcohol("hot-steep")


def test_the_less_soluble_part_stays_behind(catalog: Catalog) -> None:
    assert share(catalog, "green-cardamom", "1-8-cineole") > share(
        catalog, "green-cardamom", "limonene"
    )


def test_a_cold_drink_gives_off_less(catalog: Catalog) -> None:
    cold = infusion.mouth_release(catalog, 3.0)
    hot = infusion.mouth_release(catalog, 60.0)
    assert (cold < 1).all()
    assert (hot > 1).all()
    assert np.allclose(infusion.mouth_release(catalog, 37.0), 1.0)


@given(
    dose=st.floats(0.01, 2000),
    minutes=st.floats(1, 600),
    method=st.sampled_from(infusion.METHODS),
)
def test_nothing_is_made_from_nothing(dose: float, minutes: float, method: str) -> None:
    catalog = load()
    form = catalog.form("green-cardamom")
    from pairing.aroma.odour import profiles

    held = profiles(catalog, [form.form_id])
    out = infusion.infuse(catalog, form, dose, method, minutes)
    assert np.isfinite(out.best).all()
    assert (out.best >= 0).all()
    assert (out.best <= held.best[0] * dose / 1000 * (1 + 1e-9)).all()
    assert (out.low <= out.high * (1 + 1e-9)).all()


@pytest.mark.parametrize("dose", [0.0, -1.0, math.nan, math.inf, 1e9])
def test_impossible_doses(catalog: Catalog, dose: float) -> None:
    with pytest.raises(PairingError, match="dose"):
        infusion.infuse(catalog, catalog.form("clove"), dose)


def test_unknown_method(catalog: Catalog) -> None:
    with pytest.raises(PairingError, match="hot-steep"):
        infusion.stages_for("microwave", 3)


def test_stages_follow_the_plan(catalog: Catalog) -> None:
    # FDA Food Code 2022, 3-501.16: held hot means 57 C or above
    long = infusion.stages_for("hot-steep", 180.0, boiled=True)
    assert [s.surface for s in long] == ["boil", "still", "still"]
    assert sum(s.minutes for s in long) == pytest.approx(181.0)
    assert all(s.temperature_c >= 57 for s in long)
    assert len(infusion.stages_for("hot-steep", 17.0)) == 1
    # the heat step after a cold steep, process_cautions.csv salmonella-heat
    assert infusion.stages_for("cold-steep", 720.0)[-1].temperature_c == 85.0
    boiled = {
        f.form_id for f in catalog.forms.values()
        if infusion.boiled_first(catalog, f, f.method or "hot-steep")
    }  # fmt: skip
    assert {"black-pepper", "green-cardamom", "vanilla-bean", "star-anise"} <= boiled
    assert boiled.isdisjoint({"lemon-peel", "green-tea", "black-tea", "rosemary", "mandarin"})


@pytest.mark.parametrize(
    ("minutes", "set_to"),
    [(0.2, 1), (6.6, 7), (17.3, 17), (24.5, 25), (87.0, 85), (147.0, 150), (1440.0, 1440)],
)
def test_minutes_as_a_timer_is_set(minutes: float, set_to: float) -> None:
    assert infusion.kitchen_minutes(minutes) == set_to


def test_a_nut_keeps_what_loves_its_fat(catalog: Catalog) -> None:
    """Partition by hand: 1 / (1 + 10^log P x kg of fat per kg of syrup), some oil carried over."""
    nut = catalog.form("hazelnut-roasted")
    dose = 200.0
    fat = dose / 1000 * (1 - (nut.water_percent or 0) / 100) * math.sqrt(0.58 * 0.66)
    found = infusion.infuse(catalog, nut, dose)
    from pairing.aroma.odour import axis

    ax = axis(catalog)
    kept = {}
    for compound_id in ("trans-trans-2-4-decadienal", "2-acetyl-1-pyrroline"):
        log_p = catalog.compounds[compound_id].log_p
        assert log_p is not None
        free = 1 / (1 + 10**log_p * fat)
        carried = infusion.OIL_CARRIED[1]
        kept[compound_id] = float(found.share[ax.position[compound_id]]) / (
            free + (1 - free) * carried
        )
    # what is left after partition is release and loss, much the same for both
    assert kept["trans-trans-2-4-decadienal"] == pytest.approx(
        kept["2-acetyl-1-pyrroline"], rel=0.25
    )


def test_fixed_oil_is_of_known_ingredients_and_in_range(catalog: Catalog) -> None:
    from pairing.evidence.rows import Fat
    from pairing.evidence.tables import records

    rows = records(Fat, catalog.folder / "fats.csv")
    assert {r.ingredient_id for r in rows} <= set(catalog.ingredients)
    assert all(0 < r.fat_percent_low <= r.fat_percent_high <= 100 for r in rows)
    assert {r.source_id for r in rows} <= set(catalog.sources)
