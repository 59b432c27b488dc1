"""Behaviour of `pairing.label`."""

import math
from datetime import date
from pathlib import Path

import pytest

from pairing.bar.pantry import open_pantry
from pairing.cards.label import Label, LabelItem, Nutrition, draft_label, plain_name, product_name
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.safety.assess import DEFER, Portion, Serving, assess, contents_from, portion

ITEMS = [
    LabelItem("Water", 400),
    LabelItem("Sugar", 600, "white-sugar"),
    LabelItem("Roasted hazelnuts", 80, "hazelnut-roasted"),
    LabelItem("Pink pepper", 3, "pink-pepper"),
]


def make(items: list[LabelItem] = ITEMS, **extra: object) -> Label:
    serving = Serving(1000, 20, 300, milk=str(extra.get("milk", "")))
    portions = [
        Portion(i.ingredient_id, "syrup", i.grams, "sweetener")
        for i in items
        if i.ingredient_id and 0 < i.grams < 1e9
    ]
    base: dict[str, object] = {
        "serving_g": 20.0,
        "nutrition": Nutrition(60.0),
        "findings": assess(portions, serving, lambda i, f: {}),
    }
    return draft_label("Hazelnut syrup", items, **(base | extra))  # type: ignore[arg-type]


def test_descending_weight_and_allergens_in_capitals() -> None:
    label = make()
    assert label.ingredients == ("Sugar", "Water", "Roasted HAZELNUTS", "Pink pepper")
    assert label.contains == ("HAZELNUT (EU, US list)",)
    assert label.warnings == ("pink pepper: cashew relative.",)


def test_text_is_plainly_a_draft() -> None:
    text = make().to_text()
    assert text.startswith("DRAFT: check with a licensed professional")
    assert "Keep refrigerated" in text
    assert text.endswith(DEFER)
    assert "5 °C or colder" in text
    assert "Cross-contact" in text
    assert "net quantity" in text


def test_energy_by_the_factors_of_the_regulation() -> None:
    """Regulation (EU) No 1169/2011, Annex XIV: 17 kJ, 4 kcal; polyols 10, 2.4; acid 13, 3."""
    text = make().to_text()
    assert "Per 100 g: energy 1020 kJ / 240 kcal, carbohydrate 60.0 g, of which sugars 60.0" in text
    assert "Per serving of 20 g: energy 204 kJ / 48 kcal, carbohydrate 12.0 g, of which" in text
    text = make(nutrition=Nutrition(40.0, 10.0, 2.0)).to_text()
    assert "energy 806 kJ / 190 kcal, carbohydrate 50.0 g, of which sugars 40.0 g, polyols" in text


def test_unnamed_allergen_is_added() -> None:
    label = make(
        [LabelItem("Roasted barley", 50, "barley-roasted"), LabelItem("Praline", 9, "pecan")]
    )
    assert label.ingredients == ("Roasted BARLEY", "Praline (PECAN)")
    assert label.contains[0] == "BARLEY (EU list)"


def test_no_allergen_is_never_said() -> None:
    text = make([LabelItem("Sugar", 5)]).to_text()
    assert "no allergen" not in text
    assert "check supplier specifications" in text


def test_an_own_ingredient_is_the_plant_it_is_or_not_known(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(
        "".join(
            f'[[ingredients]]\ningredient_id = "{i}"\nname = "{n}"\nbotanical_name = "{b}"\n'
            f'kind = "nut"\n[[forms]]\nform_id = "{i}"\ningredient_id = "{i}"\nform = "ground"\n'
            f'label = "{n}"\ndose_low_g_per_kg = 50\ndose_high_g_per_kg = 100\n'
            'method = "hot-steep"\n'
            for i, n, b in (("piedmont", "Piedmont nut", "Corylus avellana"), ("pra", "Pra", ""))
        ),
        encoding="utf-8",
    )
    laid = open_pantry(own, load()).catalog
    forms = [laid.form(n) for n in ("piedmont", "pra")]
    found = assess([portion(laid, f, 50) for f in forms], Serving(1000, 20, 300), lambda i, f: {})
    items = [LabelItem(plain_name(laid, f), 50, f.ingredient_id) for f in forms]
    text = make(items, findings=found).to_text()
    assert "Piedmont nut (HAZELNUT)" in text
    assert "Contains: HAZELNUT" in text
    assert "NOT KNOWN for Pra" in text


def test_milk_of_the_drink_is_not_in_the_bottle() -> None:
    for milk, word in (("dairy", "MILK (EU, US list)"), ("oat", "OATS (EU list)")):
        label = make([LabelItem("Sugar", 5)], milk=milk)
        assert label.contains == ()
        assert label.in_the_drink == (f"Contains {word}.",)
    assert "coconut; read its carton" in make(milk="coconut").in_the_drink[0]


def test_caffeine_statement_and_its_coffee_exemption() -> None:
    # Regulation (EU) No 1169/2011, Annex III: above 150 mg/l, not for drinks named coffee.
    args = {"caffeine_low_mg": 110.0, "caffeine_high_mg": 130.0, "drink_ml": 300.0}
    other = make(**args, named_as_coffee=False).to_text()
    assert "High caffeine content. Not recommended for children" in other
    assert "43 mg/100 ml" in other  # 130 mg / 300 ml
    named = make(**args).to_text()
    assert "High caffeine content" not in named
    assert "name of the drink says coffee" in named
    weak = make(caffeine_high_mg=40.0, drink_ml=300.0, named_as_coffee=False).to_text()
    assert "High caffeine" not in weak
    assert "0 to 40 mg" in weak
    bottle, _, drink = named.partition("In the drink")
    assert "caffeine" in drink
    assert "affeine" not in bottle


def test_quinine_and_honey() -> None:
    text = make(
        [LabelItem("Cinchona bark", 1, "cinchona"), LabelItem("Honey", 5, "honey")]
    ).to_text()
    assert "flavouring (quinine)" in text
    assert "Contains quinine" in text
    assert "12 months" in text


def test_liquorice_statements_follow_the_findings() -> None:
    contents = contents_from(lambda ingredient_id, form: {})
    item = [LabelItem("Liquorice root", 10, "liquorice-root")]
    for grams, words in ((10.0, "hypertension"), (3.0, "Contains liquorice (not needed")):
        portion = Portion("liquorice-root", "dried", grams, "root")
        found = assess([portion], Serving(1000, 20, 300), contents)
        assert words in make(item, findings=found).to_text()


def test_sugar_alcohols_and_malt() -> None:
    portions = [
        Portion("xylitol", "syrup", 500, "sweetener"),
        Portion("malt-syrup", "syrup", 100, "sweetener"),
    ]
    found = assess(portions, Serving(1000, 20, 300), lambda i, f: {})
    items = [LabelItem("Xylitol", 500, "xylitol"), LabelItem("Malt syrup", 100, "malt-syrup")]
    text = make(items, findings=found).to_text()
    assert "laxative" in text
    assert "BARLEY" in text


def test_stop_is_printed_first() -> None:
    found = assess([Portion("tonka-bean", "whole", 1)], Serving(1000, 20, 300), lambda i, f: {})
    text = make([LabelItem("Tonka bean", 1, "tonka-bean")], findings=found).to_text()
    assert text.startswith("STOP: ")
    assert "21 CFR 189.130" in "".join(text.splitlines()[:2])


def test_use_by_counts_the_day_of_making() -> None:
    # Food Code 3-501.17: seven days, the day of preparation being day one.
    assert "Use by 2025-10-07" in make(made_on=date(2025, 10, 1), keep_days=7).use_by
    assert "7 days" in make(keep_days=7).use_by
    assert "7 days at most" in make().use_by


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_bad_numbers(bad: float) -> None:
    for key in ("serving_g", "caffeine_high_mg", "drink_ml"):
        with pytest.raises(PairingError):
            make(**{key: bad})
    for wrong in (Nutrition(bad), Nutrition(1, bad), Nutrition(1, 1, bad)):
        with pytest.raises(PairingError):
            make(nutrition=wrong)
    with pytest.raises(PairingError):
        make([LabelItem("Sugar", bad)])


def test_plain_names_hold_no_comma() -> None:
    known = load()
    for form in known.forms.values():
        name = plain_name(known, form)
        assert name
        assert not set(name) & set(",()")
    assert plain_name(known, known.form("mandarin-peel")) == "Mandarin peel"
    assert plain_name(known, known.form("lemon-juice")) == "Lemon juice"
    assert plain_name(known, known.form("green-cardamom")) == "Green cardamom"


def test_product_name() -> None:
    assert product_name(["Mandarin"]) == "Mandarin syrup"
    names = ["Mandarin", "Green cardamom", "Black pepper", "Mandarin"]
    assert product_name(names) == "Mandarin, green cardamom and black pepper syrup"


def test_bad_text() -> None:
    with pytest.raises(PairingError, match="at least one ingredient"):
        make([])
    with pytest.raises(PairingError, match="at least 1"):
        make(keep_days=0)
