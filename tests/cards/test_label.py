"""Behaviour of `pairing.cards.label`: drafts per market and way of sale."""

import csv
import math
from datetime import date
from pathlib import Path

import pytest

from pairing.bar.pantry import open_pantry
from pairing.cards.label import (
    SALES,
    Label,
    LabelItem,
    Nutrition,
    draft_label,
    plain_name,
    product_name,
)
from pairing.cards.nutrition import Minor, minor_of
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.safety.amounts import Portion, Serving, contents_from, portion
from pairing.safety.assess import assess
from pairing.safety.findings import DEFER

CATALOG = load()
ITEMS = [
    LabelItem("Water", 400),
    LabelItem("Sugar", 600, "white-cane-sugar"),
    LabelItem("Roasted hazelnuts", 80, "hazelnut-roasted", "nut"),
    LabelItem("Pink pepper", 3, "pink-pepper", "spice"),
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
        "findings": assess(CATALOG, portions, serving, lambda i, f: {}),
    }
    return draft_label("Hazelnut syrup", items, **(base | extra))  # type: ignore[arg-type]


def test_eu_and_uk_emphasise_in_the_list_and_do_not_repeat() -> None:
    # Regulation (EU) No 1169/2011, art. 21(1)(b); no second "Contains" beside a list (Commission
    # notice 2017/C 428/01, read in summary)
    for market in ("eu", "uk", ""):
        label = make(market=market)
        assert label.ingredients == ("Sugar", "Water", "Roasted HAZELNUTS", "Pink pepper")
        assert label.contains == ("HAZELNUT",)
        assert not [line for line in label.copy if line.startswith("Contains:")]
    assert "pink pepper (cashew relative)" in " ".join(make().notes)


def test_us_says_contains_and_only_its_own_list() -> None:
    # Food Allergen Labeling and Consumer Protection Act of 2004, as amended by FASTER 2021
    items = [*ITEMS, LabelItem("Roasted barley", 50, "barley-roasted")]
    label = make(items, market="us")
    assert "Contains: HAZELNUT." in label.copy
    assert "BARLEY" not in label.to_text()
    assert "BARLEY" in make(items, market="eu").to_text()


def test_text_is_plainly_a_draft() -> None:
    text = make().to_text()
    assert text.startswith("DRAFT (EU, prepacked): an environmental health officer or food lawyer")
    assert "Keep refrigerated" in text
    assert text.endswith(DEFER)
    assert "5 °C or colder" in text
    assert "Cross-contact" in text


def test_comments_stay_out_of_the_label() -> None:
    for market in ("eu", "uk", "us", ""):
        for sale in SALES:
            label = make(market=market, sale=sale, caffeine_high_mg=130.0, drink_ml=300.0)
            copy = " ".join(label.copy)
            for word in ("DRAFT", "Note", "Regulation", "check", "supplier", "affeine", "1169"):
                assert word not in copy, (market, sale, word)


def test_ways_of_sale() -> None:
    loose = make(market="uk", sale="loose")
    assert loose.copy == (
        "Hazelnut syrup",
        "Allergens (on the menu, a notice, or told on asking): HAZELNUT.",
    )
    packed = make(market="uk", sale="premises")
    assert [line.split(":")[0] for line in packed.copy[:2]] == ["Hazelnut syrup", "Ingredients"]
    assert "October 2021" in " ".join(packed.notes)
    assert len(packed.copy) < len(make(market="uk").copy)


def test_water_by_finished_weight_and_quantities() -> None:
    # Annex VII A: 1,000 g finished less 683 g of the rest = 317 g: water comes after sugar still
    label = make(market="eu", yield_g=1000.0, yield_ml=760.0)
    assert label.ingredients[:2] == ("Sugar", "Water")
    assert "Roasted HAZELNUTS 8.0 %" in label.ingredients  # 80 g in 1,000 g, art. 22
    assert "Pink pepper" in label.ingredients  # spice in flavouring amounts: Annex VIII 1(a)
    # all water boiled off but 5 %: left out (Annex VII A)
    dry = make(market="eu", yield_g=700.0, yield_ml=500.0)
    assert "Water" not in dry.ingredients
    assert "760 ml" in label.copy
    assert "Net 25.7 fl oz (760 ml)" in make(market="us", yield_g=1000.0, yield_ml=760.0).copy


def test_energy_by_the_factors_of_the_regulation() -> None:
    """Regulation (EU) No 1169/2011, Annex XIV: 17 kJ, 4 kcal; polyols 10, 2.4; acid 13, 3."""
    text = make().to_text()
    assert "Per 100 g: energy 1020 kJ / 240 kcal; fat ____ g, of which saturates ____ g; " in text
    assert "carbohydrate 60 g, of which sugars 60 g" in text
    assert "protein ____ g; salt ____ g" in text
    for market in ("eu", "uk", "us", ""):  # who fills the blanks is said beside the label
        (said,) = [n for n in make(market=market).notes if n.startswith("The blanks of nutrition")]
        assert "suppliers' data or a laboratory" in said
    assert not [n for n in make(market="uk", sale="premises").notes if "The blanks" in n]
    assert "Per serving of 20 g: energy 204 kJ / 48 kcal; carbohydrate 12 g, of which" in text
    text = make(nutrition=Nutrition(40.0, 10.0, 2.0)).to_text()
    assert "energy 806 kJ / 190 kcal" in text
    assert "carbohydrate 50 g, of which sugars 40 g, polyols 10 g" in text


def test_erythritol_and_allulose_per_market() -> None:
    # Annex XIV: erythritol 0 kcal/g (read); 21 CFR 101.9(c)(1)(i)(F): 0 too, not the 0.2 that was
    # here (second-hand); FDA 2020: allulose 0.4 kcal/g, outside sugars
    for market in ("eu", "uk", "us", ""):
        assert Nutrition(0, erythritol_g=30).energy(market) == (0.0, 0.0)
    allulose = Nutrition(0, allulose_g=60)
    assert allulose.energy("us")[1] == pytest.approx(24.0)
    assert allulose.energy("eu")[1] == pytest.approx(240.0)
    assert allulose.declared_sugars("us") == 0.0
    assert allulose.record(100, "us")["carbohydrate_g"] == 60.0
    assert allulose.record(100, "us")["sugars_g"] == 0.0


def test_us_energy_of_each_sugar_alcohol() -> None:
    """21 CFR 101.9(c)(1)(i)(F) (second-hand, quoted alike twice), kcal/g; 4 for what it lacks."""
    listed = {"isomalt": 2.0, "lactitol": 2.0, "xylitol": 2.4, "maltitol": 2.1, "sorbitol": 2.6}
    for name, kcal in {**listed, "mannitol": 1.6, "house-polyol": 4.0}.items():
        made = Nutrition(0, 50.0, polyols_of=((name, 50.0),))
        assert made.energy("us")[1] == pytest.approx(50 * kcal), name
        assert made.energy("us")[0] == pytest.approx(50 * kcal * 4.184), name
        assert made.energy("eu") == pytest.approx((500.0, 120.0)), name
    # 30 g maltitol named, 20 g of something else: 30 x 2.1 + 20 x 4 = 143; sugar 10 g adds 40
    made = Nutrition(10.0, 50.0, polyols_of=(("maltitol", 30.0),))
    assert made.energy("us")[1] == pytest.approx(183.0)


def test_fat_protein_and_salt_where_a_table_was_read() -> None:
    """USDA SR28: honey protein 0.3 g, sodium 4 mg; clove fat 13, saturates 3.952, sodium 277."""
    made = minor_of(CATALOG, [("honey", "Honey", 800.0)], [("clove", "", "Clove", 5.0)], 1000.0)
    assert made.fat_g == pytest.approx((0.0, 0.5 * 0.13))
    assert made.saturates_g == pytest.approx((0.0, 0.5 * 0.03952))
    assert made.protein_g == pytest.approx((0.24, 0.24 + 0.5 * 0.0597))
    # salt = sodium x 2.5 (Annex I): 80 g honey 0.008 g; 0.5 g clove 0.0035 g
    assert made.salt_g == pytest.approx((0.008, 0.008 + 2.5 * 0.5 * 0.00277))
    assert made.asked == ()
    assert made.words() == ("<0.5", "<0.1", "<0.5", "<0.01")
    assert made.us_words(39.0) == ("0 g", "0 g", "0 mg", "0 g")


def test_what_no_table_gives_is_asked_and_never_none() -> None:
    hazelnut = ("hazelnut-roasted", "ground", "Hazelnut", 80.0)
    made = minor_of(CATALOG, [("white-cane-sugar", "Sugar", 600.0)], [hazelnut], 1000.0)
    assert made.asked == ("Hazelnut",)
    assert made.fat_g == pytest.approx((0.0, 8.0))  # it could be all fat
    assert made.words() == ("____", "____", "____", "____")
    assert made.us_words(39.0) == ("____ g", "____ g", "____ mg", "____ g")
    text = make(nutrition=Nutrition(60.0, minor=made), market="eu").to_text()
    assert "fat ____ g, of which saturates ____ g" in text
    assert "no table read here has Hazelnut" in text
    little = minor_of(CATALOG, [], [("gum", "", "Gum", 2.0)], 1000.0)  # 0.2 g can be no 0.5 g fat
    assert little.words() == ("<0.5", "____", "<0.5", "____")


@pytest.mark.parametrize(
    ("ends", "us"),
    # 21 CFR 101.9(c)(2), (4), (7) (second-hand): 0.5 g of fat is no 0, 5 mg sodium is 5
    [((0.49, 4.9, 0.49), ("0 g", "0 mg", "0 g")),
     ((0.5, 5.0, 0.99), ("____ g", "5 mg", "less than 1 g")),
     ((0.5, 152.0, 1.0), ("____ g", "150 mg", "____ g"))],
)  # fmt: skip
def test_us_rounding_at_its_edges(
    ends: tuple[float, float, float], us: tuple[str, str, str]
) -> None:
    fat, sodium, protein = ends
    salt = sodium * 2.5 / 1000
    made = Minor((0.0, fat), (0.0, 0.0), (0.0, protein), (salt, salt), ())
    assert (made.us_words(100)[0], *made.us_words(100)[2:]) == us


def test_eu_declares_less_than_at_its_edges() -> None:
    """Commission guidance on tolerances, 2012 (from memory): 0.5, 0.1, 0.5 and 0.0125 g."""
    at = Minor((0.5, 0.5), (0.1, 0.1), (0.5, 0.5), (0.0125, 0.0125), ())
    assert at.words() == ("<0.5", "<0.1", "<0.5", "<0.01")
    above = Minor((0.51, 0.51), (0.11, 0.11), (12.4, 12.4), (0.013, 0.013), ())
    assert above.words() == ("0.5", "0.1", "12", "0.01")
    wide = Minor((0.0, 0.76), (0.0, 0.41), (0.0, 1.01), (0.0, 0.051), ())
    assert wide.words() == ("____", "____", "____", "____")


def test_every_row_of_nutrients_names_a_thing_and_a_form() -> None:
    for row in csv.DictReader((CATALOG.folder / "nutrients.csv").open(encoding="utf-8")):
        forms = {f.form for f in CATALOG.forms_of.get(row["item_id"], ())}
        assert forms or row["item_id"] in CATALOG.sweeteners, row["item_id"]
        assert set(filter(None, row["forms"].split(";"))) <= forms, row
        assert float(row["saturates_g"]) <= float(row["fat_g"]), row


def test_sweeteners_stand_beside_the_name() -> None:
    label = make(market="eu", nutrition=Nutrition(40.0, 12.0))
    assert label.copy[0] == "Hazelnut syrup, with sugar(s) and sweetener(s)"
    assert "Excessive consumption may produce laxative effects." in label.copy  # above 10 %
    few = make(market="eu", nutrition=Nutrition(40.0, 10.0))
    assert "laxative" not in few.to_text()


def test_us_added_sugars() -> None:
    # 30 ml of a syrup of 1.3 g/ml = 39 g; 60 % of it = 23.4 g = 47 % of 50 g; 94 kcal -> 90
    line = next(x for x in make(market="us", yield_g=1300.0, yield_ml=1000.0).copy if "Facts" in x)
    assert "includes 23 g added sugars (47 % DV)" in line
    assert "calories 90," in line


def test_unnamed_allergen_is_added() -> None:
    label = make(
        [LabelItem("Roasted barley", 50, "barley-roasted"), LabelItem("Praline", 9, "pecan")]
    )
    assert label.ingredients == ("Roasted BARLEY", "Praline (PECAN)")
    assert label.contains == ("BARLEY", "PECAN")


def test_no_allergen_is_never_said() -> None:
    for sale in SALES:
        text = make([LabelItem("Sugar", 5)], sale=sale).to_text()
        assert "no allergen" not in text.lower()
        assert "upplier specifications" in text


def _own(tmp_path: Path, rows: list[tuple[str, str, str, str]]) -> list[Label]:
    own = tmp_path / "own.toml"
    own.write_text(
        "".join(
            f'[[ingredients]]\ningredient_id = "{i}"\nname = "{n}"\nbotanical_name = "{b}"\n'
            f'kind = "nut"\n{more}\n[[forms]]\nform_id = "{i}"\ningredient_id = "{i}"\n'
            f'form = "ground"\nlabel = "{n}"\ndose_low_g_per_kg = 50\ndose_high_g_per_kg = 100\n'
            'method = "hot-steep"\n'
            for i, n, b, more in rows
        ),
        encoding="utf-8",
    )
    laid = open_pantry(own, load()).catalog
    forms = [laid.form(i) for i, *_ in rows]
    portions = [portion(laid, f, 50) for f in forms]
    found = assess(laid, portions, Serving(1000, 20, 300), lambda i, f: {})
    return [make([LabelItem(plain_name(laid, f), 50, f.ingredient_id)], findings=found)
            for f in forms]  # fmt: skip


def test_an_own_ingredient_is_the_plant_it_is_and_stops_until_it_is_stated(tmp_path: Path) -> None:
    piedmont, mystery = _own(
        tmp_path, [("piedmont", "Piedmont nut", "Corylus avellana", ""), ("crumb", "Crumb", "", "")]
    )
    assert "Piedmont nut (HAZELNUT" in piedmont.to_text()
    assert piedmont.unknown == ("Piedmont nut",)
    assert mystery.unknown == ("Crumb",)
    for label in (piedmont, mystery):
        assert any("NOT KNOWN" in s for s in label.stops)
        assert label.to_text().startswith("STOP: ")


def test_a_stated_ingredient_is_labelled(tmp_path: Path) -> None:
    stated, none = _own(
        tmp_path,
        [
            ("paste", "House paste", "", 'allergens = ["hazelnut", "milk"]'),
            ("bark", "House bark", "", 'allergens = []\nspecification = "sheet 12, March 2026"'),
        ],
    )
    assert set(stated.contains) == {"HAZELNUT", "MILK"}
    assert not any("Allergens NOT KNOWN" in s for s in (*stated.stops, *none.stops))
    assert "per sheet 12, March 2026" in " ".join(none.notes)


def test_milk_of_the_drink_is_not_in_the_bottle() -> None:
    for milk, word in (("dairy", "MILK"), ("oat", "OATS")):
        label = make([LabelItem("Sugar", 5)], milk=milk)
        assert label.contains == ()
        assert label.in_the_drink == (f"Contains {word}.",)
    assert "coconut; read its carton" in make(milk="coconut").in_the_drink[0]


def test_caffeine_statement_is_decided_by_the_name_of_the_drink() -> None:
    # Regulation (EU) No 1169/2011, Annex III point 4.1: above 150 mg/l, not where the name of a
    # drink based on coffee or tea says so.
    args = {"caffeine_low_mg": 110.0, "caffeine_high_mg": 130.0, "drink_ml": 300.0}
    other = make(**args, drink_name="Winter Orange Fizz").to_text()
    assert "High caffeine content. Not recommended for children" in other
    assert "43 mg/100 ml" in other  # 130 mg / 300 ml
    named = make(**args, drink_name="Iced coffee with mandarin").to_text()
    assert "High caffeine content" not in named
    both = make(**args).to_text()
    assert "If its name says coffee or tea: no statement at 433 mg/l; if not" in both
    assert "High caffeine content" in both
    weak = make(caffeine_high_mg=45.0, drink_ml=300.0, drink_name="Fizz").to_text()
    assert "High caffeine" not in weak  # 150 mg/l is not above 150
    over = make(caffeine_high_mg=45.1, drink_ml=300.0, drink_name="Fizz").to_text()
    assert "High caffeine" in over
    bottle, _, drink = both.partition("In the drink")
    assert "caffeine" in drink
    assert "affeine" not in bottle


def test_quinine_and_honey() -> None:
    items = [LabelItem("Cinchona bark", 1, "cinchona"), LabelItem("Honey", 5, "honey")]
    text = make(items, market="eu").to_text()
    assert "Flavouring (quinine)" in text
    assert "12 months" in text
    assert "Not vegan: honey" in text
    assert "Contains quinine." in make(items, market="us").copy


def test_liquorice_statements_follow_the_findings() -> None:
    contents = contents_from(CATALOG, lambda ingredient_id, form: {})
    item = [LabelItem("Liquorice root", 10, "liquorice-root")]
    for grams, words in ((10.0, "hypertension"), (3.0, "Contains liquorice.")):
        used = Portion("liquorice-root", "dried", grams, "root")
        found = assess(CATALOG, [used], Serving(1000, 20, 300), contents)
        assert words in make(item, findings=found).to_text()
        assert "liquorice" not in " ".join(
            make(item, findings=found, market="us").copy[2:]
        )  # no US statement of that kind


def test_stop_is_printed_first() -> None:
    used = [Portion("tonka-bean", "whole", 1)]
    found = assess(CATALOG, used, Serving(1000, 20, 300), lambda i, f: {})
    text = make([LabelItem("Tonka bean", 1, "tonka-bean")], findings=found).to_text()
    assert text.startswith("STOP: ")
    assert "21 CFR 189.130" in text.splitlines()[0]


def test_use_by_counts_the_day_of_making_and_is_written_day_month_year() -> None:
    # Food Code 3-501.17: seven days, the day of preparation being day one; Annex X: day, month,
    # year in that order.
    for market, words in (("eu", "07.10.2025"), ("uk", "07.10.2025"), ("us", "Oct 7, 2025")):
        label = make(made_on=date(2025, 10, 1), keep_days=7, market=market)
        assert f"Use by {words}." in label.use_by
    assert "7 days" in make(keep_days=7).use_by
    assert "7 days at most" in make().use_by
    assert "Once opened, use within 3 days." in make(opened_days=3).copy


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_bad_numbers(bad: float) -> None:
    for key in ("serving_g", "caffeine_high_mg", "drink_ml"):
        with pytest.raises(PairingError):
            make(**{key: bad})
    for wrong in (Nutrition(bad), Nutrition(1, bad), Nutrition(1, 1, bad), Nutrition(1, 1, 1, bad)):
        with pytest.raises(PairingError):
            make(nutrition=wrong)
    with pytest.raises(PairingError):
        make([LabelItem("Sugar", bad)])


def test_plain_names_hold_no_comma() -> None:
    for form in CATALOG.forms.values():
        name = plain_name(CATALOG, form)
        assert name
        assert not set(name) & set(",()")
    assert plain_name(CATALOG, CATALOG.form("mandarin-peel")) == "Mandarin peel"
    assert plain_name(CATALOG, CATALOG.form("lemon-juice")) == "Lemon juice"
    assert plain_name(CATALOG, CATALOG.form("green-cardamom")) == "Green cardamom"


def test_product_name() -> None:
    assert product_name(["Mandarin"]) == "Mandarin syrup"
    names = ["Mandarin", "Green cardamom", "Black pepper", "Mandarin"]
    assert product_name(names) == "Mandarin, green cardamom and black pepper syrup"


def test_bad_words() -> None:
    for wrong, match in (
        ({"items": []}, "at least one ingredient"),
        ({"keep_days": 0}, "at least 1"),
        ({"opened_days": 0}, "at least 1"),
        ({"market": "fr"}, "eu, uk or us"),
        ({"sale": "web"}, "prepacked, premises, loose"),
    ):
        with pytest.raises(PairingError, match=match):
            make(**wrong)  # type: ignore[arg-type]
    with pytest.raises(PairingError, match="200"):
        draft_label("x" * 201, ITEMS, serving_g=20, nutrition=Nutrition(1))


def test_cascara_is_not_spared_the_caffeine_words_by_a_name() -> None:
    # Implementing Regulation (EU) 2022/47, annex: above 150 mg/l although it comes from coffee
    drink = {"caffeine_high_mg": 100.0, "drink_ml": 300.0, "drink_name": "Iced coffee"}
    spared = make(market="eu", **drink).in_the_drink
    assert any(line.startswith("No caffeine statement") for line in spared)
    cherry = LabelItem("Coffee cherry", 20.0, "cascara", "tea")
    said = make(market="eu", items=[*ITEMS, cherry], **drink).in_the_drink
    assert any(line.startswith("High caffeine content") for line in said)


def test_loose_drinks_are_told_per_market() -> None:
    # Regulation (EU) No 1169/2011 art. 44; FSA best practice of March 2025; Food Code 3-602.12(C)
    for market, word in (("eu", "Germany"), ("uk", "in writing"), ("us", "Food Code")):
        assert any("loose" in n and word in n for n in make(market=market, sale="loose").notes)
        assert not any("loose" in n for n in make(market=market).notes)


def test_what_a_us_fruit_drink_and_honey_must_say() -> None:
    fruit = LabelItem("Mandarin", 100.0, "mandarin", "citrus")
    assert any("percent juice" in n for n in make(market="us", items=[*ITEMS, fruit]).notes)
    assert not any("percent juice" in n for n in make(market="eu", items=[*ITEMS, fruit]).notes)
