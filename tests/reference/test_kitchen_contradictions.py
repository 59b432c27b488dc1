"""Every contradiction that was found in the kitchen has a test that fails without its cure.

Nr   what contradicted what                 held by
---  -------------------------------------- ----------------------------------------------------
1    verdict flips while its numbers stay   test_the_digits_that_decide_are_printed
2    honey is never above pH 4.2            test_a_sweetener_is_taken_at_its_highest_ph
2b   agave, HFCS and molasses at pH 6.5     test_the_ph_of_a_sweetener_is_its_own
3    refrigerate, and out of the fridge     test_no_advice_relaxes_the_fridge
4    sour plants hold no acid               test_a_sour_plant_is_sour
5    allulose with the energy of sugar      test_erythritol_and_allulose_per_market
6    simmered lemon syrup throws crystals   test_a_simmered_lemon_syrup_is_half_inverted
6b   honey is not told to granulate         test_honey_that_strong_is_told_to_granulate
7    more sugar than the water can dissolve test_every_dissolving_step_can_be_done
8    steamed milk takes up no steam         test_steam_water_is_counted
9    fresh ginger keeps its water           test_fresh_ginger_gives_its_water
9b   0 and 60 minutes give the same juice   test_nothing_is_constant_in_time
10   espresso floats on plain soda water    test_espresso_sinks_in_plain_water_and_floats_on_tonic
11   one advice undoes another              test_advice_ends_clean
12   accent is balanced in hot drinks       test_levels_differ_in_every_style
13   no percentage on a named fruit         test_a_fruit_in_the_name_has_its_percentage
14   a swap that ratio refuses              test_a_swap_says_what_the_calculator_would_refuse
14b  fructose as sweet hot as cold          test_fructose_is_sweeter_cold
15   no powders or techniques in a formula  test_a_ph_is_met_in_the_finished_syrup
15b  a right honey syrup is corrected       test_a_right_honey_syrup_is_left_alone
16   a drink below its own freezing point   test_no_drink_is_colder_than_its_freezing_point
17   CO2 lost the same hot or cold          test_hot_crema_costs_gas
18   lemon 5 days, vanilla 7, unexplained   test_days_say_whose_they_are
19   it boils at 103 °C on a mountain       test_it_boils_cooler_on_a_mountain
20   0.2 g of syrup, 0 servings of it       test_a_batch_that_a_pan_keeps_is_refused
21   three strengths in one answer          test_one_answer_holds_one_strength
22   forty kilograms as fast as a litre     test_a_large_batch_is_not_a_small_one_times_n
23   bergamot slices simmered 16 minutes    test_fruit_goes_in_as_its_pith_allows
24   tea steeped in thick syrup             test_leaves_meet_the_water_first
25   grams mean two things                  test_a_bare_number_is_asked_back
26   sugar thins the spice, nobody says     test_sugar_thins_the_spice
27   1:1 taken for a reading                test_a_ratio_is_no_reading
28   oranges do not price their peel        test_a_fruit_covers_its_peel_and_juice
29   nothing has a price, and it costs 0.00 test_no_price_is_no_cost
30   low in acid, and no day to use it by   test_a_low_acid_syrup_says_how_many_days
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from pairing.aroma.coffee import plain_coffee
from pairing.bar.shelf import purchases
from pairing.cards.bottle import label_for
from pairing.cli import cli
from pairing.evidence.catalog import Catalog, load
from pairing.syrup.formula import make

TESTS = Path(__file__).resolve().parents[1]
CATALOG = load()
COFFEE = plain_coffee(CATALOG)


def said(*words: str) -> str:
    done = CliRunner(env={"COLUMNS": "200"}).invoke(cli, list(words))
    assert done.exit_code in (0, 3), done.output
    return done.stdout


def test_every_row_names_a_test_that_is_there() -> None:
    rows = [line for line in (__doc__ or "").splitlines() if re.match(r"\d+b? ", line)]
    named = [row.split()[-1] for row in rows]
    there = "\n".join(p.read_text("utf-8") for p in TESTS.rglob("test_*.py"))
    assert len(rows) == 35
    for name in named:
        assert f"def {name}(" in there, name


def test_the_digits_that_decide_are_printed() -> None:
    """Row 1: at 62 and 63 °Bx the same "0.88 and pH up to 6.8" once meant both verdicts."""
    verdicts = {}
    for brix in (60, 61, 62, 63, 64, 65, 66):
        kept = make(CATALOG, ("clove",), COFFEE, brix=float(brix)).keeping(CATALOG)
        words = next(w for w in kept.words if w.startswith("Water activity up to"))
        numbers = tuple(re.findall(r"\d\.\d+", words)[:2])
        assert f"{kept.water_activity_high:.3f}" in words
        assert verdicts.setdefault(numbers, kept.controlled) == kept.controlled
    assert len(set(verdicts)) == 7


def test_no_advice_relaxes_the_fridge() -> None:
    """Row 3: thick syrups were told to stay out of the fridge."""
    for words in (("lemon", "--strength", "3:1"), ("vanilla", "--style", "milk", "--brix", "72")):
        text = said("formula", *words, "--why")
        assert "Keep refrigerated" in text
        assert "out of the fridge" not in text


def test_honey_that_strong_is_told_to_granulate() -> None:
    """Row 6: nothing was said; White (1962), from memory: from 1.7 g glucose to 1 g water."""
    for brix, told in (("82.5", True), ("78", False)):  # 1.8 and 1.3 g
        text = said("ratio", "--sweetener", "honey", "--brix", brix, "--yield-g", "500")
        assert ("granulate" in text) is told


def test_a_fruit_in_the_name_has_its_percentage() -> None:
    """Row 13: Regulation (EU) No 1169/2011, Art. 22 and Annex VIII."""
    catalog = Catalog(CATALOG.folder, {}, CATALOG.model, "eu")
    made = make(catalog, ("mandarin", "clove"), COFFEE)
    listed = label_for(catalog, made).ingredients
    assert any(re.fullmatch(r"Mandarin[^,]* \d+\.\d %", i) for i in listed)


def test_a_swap_says_what_the_calculator_would_refuse() -> None:
    """Row 14: 769 g of erythritol was answered without a word of its solubility."""
    assert "1,366" in said("ratio", "swap-sweetener", "sugar", "erythritol", "--grams", "500")
    with_water = CliRunner().invoke(
        cli,
        ["ratio", "swap-sweetener", "sugar", "erythritol", "--grams", "500", "--water-g", "250"],
    )
    assert with_water.exit_code != 0


@pytest.mark.parametrize("altitude", [0.0, 1500.0, 3000.0])
def test_it_boils_cooler_on_a_mountain(altitude: float) -> None:
    """Row 19: the line of hot sugar gave sea level whatever the altitude."""
    text = said("formula", "clove", "--altitude-m", str(altitude))
    found = re.search(r"Syrup of \d+ °Bx boils at (\d+) °C", text)
    assert found is not None
    drop = round(altitude / 300.0)  # about 1 °C for 300 m, NIST water at 70 to 101 kPa, from memory
    assert abs(int(found[1]) - (104 - drop)) <= 2


def test_a_batch_that_a_pan_keeps_is_refused() -> None:
    """Row 20: 0.2 g of syrup was answered with 13 g of sugar in each of 0 servings."""
    done = CliRunner().invoke(cli, ["ratio", "--strength", "2:1", "--yield-g", "0.2"])
    assert done.exit_code != 0
    assert "smallest yield is 20 g" in str(done.exception or done.output)


@pytest.mark.parametrize("names", [("clove",), ("mandarin", "clove"), ("lemon",), ("black-tea",)])
def test_one_answer_holds_one_strength(names: tuple[str, ...]) -> None:
    """Row 21: 70.5, 70 and 71 °Bx stood in one answer for one syrup."""
    made = make(CATALOG, names, COFFEE)
    text = said("formula", *names)
    out = re.search(r"of syrup at (\d+\.\d) °Bx", text)
    boils = re.search(r"Syrup of (\d+) °Bx boils", text)
    reads = re.search(r"reads about (\d+) °Bx", text)
    assert out is not None
    assert boils is not None
    assert reads is not None
    assert int(boils[1]) == round(float(out[1]))
    assert int(reads[1]) == round(made.batch.reading_brix)


def test_a_ratio_is_no_reading() -> None:
    """Row 27: honey weighed 1:1 was taken for an instrument's 50, and lifted to 50.7."""
    text = said("ratio", "correct", "--batch-g", "600", "--reads", "1:1", "--want", "2:1",
                "--sweetener", "honey")  # fmt: skip
    assert "From 50.0 to 66.7" in text


def test_a_right_syrup_is_left_alone() -> None:
    text = said("ratio", "correct", "--batch-g", "1000", "--reads", "54.4", "--want", "55.2",
                "--sweetener", "honey")  # fmt: skip
    assert "nothing to do" in text
    assert "add sugar" not in text


def test_a_fruit_covers_its_peel_and_juice() -> None:
    """Row 28: bars buy fruit; peel and juice of one fruit are one purchase."""
    bought = purchases(CATALOG, {"navel-orange-peel": 20.0, "navel-orange-juice": 60.0})
    assert [p.item for p in bought] == ["navel-orange"]
    assert bought[0].grams >= 200.0


def test_no_price_is_no_cost(tmp_path: Path) -> None:
    """Row 29: a partial cost of 0.00 is none."""
    pantry = tmp_path / "pantry.toml"
    pantry.write_text(
        'currency = "EUR"\n[[prices]]\nitem = "vanilla-bean"\nper_kg = 400\n', encoding="utf-8"
    )
    for words in (("formula", "clove"), ("ratio", "--strength", "2:1", "--yield-g", "300")):
        text = said(*words, "--pantry", str(pantry))
        assert "0.00" not in text
        assert "cost not known: no price for" in text


def test_a_low_acid_syrup_says_how_many_days() -> None:
    """The botulinum warning took the place of the line with the days in the short print."""
    for words in ("formula green-cardamom --sweetener agave", "formula coconut-milk"):
        done = CliRunner(env={"COLUMNS": "80"}).invoke(cli, words.split())
        flat = " ".join(done.output.split())
        assert "botulinum" in flat
        assert re.search(r"use within \d+ days", flat), words
