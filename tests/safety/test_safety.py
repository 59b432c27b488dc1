"""Behaviour of `pairing.safety`."""

import math
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.safety_rows import Hazard, Limit, ProcessCaution
from pairing.safety.amounts import (
    Contents,
    Portion,
    Serving,
    contents_from,
    contents_of,
    portion,
)
from pairing.safety.answers import hazards_for, rule_for
from pairing.safety.assess import assess
from pairing.safety.bought import BOUGHT
from pairing.safety.findings import DEFER, GRAVITY, Finding, band, has_stop
from pairing.safety.food_code import food_code_class
from pairing.safety.plants import is_refused, refuse_regulated, same_plant, usual_high
from pairing.safety.process import SITUATIONS, commands_for, process_cautions, situations_of

CATALOG = load()
TABLES = CATALOG.safety
LIMITS = [r for rows in TABLES.limits.values() for r in rows]
COUNTED = [r for r in LIMITS if r.basis != "ingredient"]  # on the drink or the syrup
HARD = [r for r in COUNTED if r.legal_force in ("law", "guidance", "report")]


def nothing(ingredient_id: str, form: str) -> Mapping[str, float]:
    return {}


def holding(substance: str, mg_per_kg: float) -> Contents:
    return lambda ingredient_id, form: {substance: mg_per_kg}


def _drink_at(limit: Limit, ratio: float, market: str = "") -> tuple[Finding, ...]:
    """A drink that holds `ratio` times the limit: 20 g of a syrup of 1,000 g in 250 ml."""
    plant = limit.ingredient_ids[0] if limit.ingredient_ids else "test-plant"
    serving = Serving(
        1000, 20, 250, alcohol_percent=5.0 if limit.applies_to == "alcoholic" else 0.0
    )
    mg_per_drink = {
        "drink": limit.value * 0.250,
        "litre": limit.value * 0.250,
        "syrup": limit.value * 0.020,
    }.get(limit.basis, limit.value * (60 if limit.basis.endswith("per-kg") else 1))
    grams = 10.0  # of the plant in the batch: 0.2 g in the drink
    content = mg_per_drink * ratio / 0.2 * 1000
    return assess(
        Catalog(CATALOG.folder, market=market),
        [Portion(plant, "whole", grams)],
        serving,
        holding(limit.substance, content),
        flavourings_added=True,
    )


@pytest.mark.parametrize("market", ["", "eu", "uk", "us"])
@pytest.mark.parametrize(
    "limit", [r for r in LIMITS if r.legal_force not in ("law", "label")], ids=lambda r: r.limit_id
)
def test_a_toxic_dose_is_one_in_every_market(limit: Limit, market: str) -> None:
    """EFSA's daily intake of coumarin, or its acute dose of cyanide, does not end at a border."""
    levels = {
        next(f.level for f in _drink_at(limit, 1.0, m) if f.row_id == limit.limit_id)
        for m in ("", market)
    }
    assert len(levels) == 1
    assert levels == {"stop"} or limit.legal_force in ("prudential", "note")


@pytest.mark.parametrize("limit", HARD, ids=lambda r: r.limit_id)
def test_breach_of_each_limit_is_a_stop_in_front(limit: Limit) -> None:
    found = _drink_at(limit, 1.01)
    mine = next(f for f in found if f.row_id == limit.limit_id)
    assert mine.level == "stop"
    assert found[0].level == "stop"
    assert mine.ratio == pytest.approx(1.01)
    assert limit.jurisdiction.replace(";", " and ") in mine.text
    assert limit.provision in mine.text


@pytest.mark.parametrize(
    "limit", [r for r in COUNTED if r.substance != "caffeine"], ids=lambda r: r.limit_id
)
def test_levels_below_a_limit(limit: Limit) -> None:
    soft = limit.legal_force in ("prudential", "note")  # a figure that does not bind is a note
    expected = {0.6: "note" if soft else "limit", 0.2: "note" if soft else "caution"}
    expected |= {1.5: "caution"} if limit.legal_force == "prudential" else {}
    for ratio, level in expected.items():
        rows = [f for f in _drink_at(limit, ratio) if f.row_id == limit.limit_id]
        if limit.legal_force == "label":
            assert not rows
        else:
            assert [f.level for f in rows] == [level]
    assert not [f for f in _drink_at(limit, 0.005) if f.row_id == limit.limit_id]


def test_every_issue_substance_has_a_row() -> None:
    wanted = (
        "coumarin safrole methyl-eugenol estragole beta-asarone thujone pulegone menthofuran "
        "nutmeg quinine glycyrrhizin hydrogen-cyanide capsaicinoids caffeine sulphur-dioxide"
    )
    assert set(wanted.split()) <= set(TABLES.limits)
    assert {r.substance for r in LIMITS} <= set(TABLES.substances)


def test_herb_and_spice_exemption() -> None:
    portions = [Portion("thai-basil", "fresh", 10)]
    contents = holding("estragole", 200_000)  # 0.2 g x 200 mg/g = 40 mg in 0.25 kg = 160 mg/kg
    serving = Serving(1000, 20, 250)
    plain = assess(CATALOG, portions, serving, contents)
    row = next(f for f in plain if f.row_id == "eu-estragole-drink")
    assert (row.level, row.amount) == ("note", pytest.approx(160))
    assert "more than ten times" in row.text
    assert "does not bind" in row.text
    assert "%" not in row.text
    flavoured = assess(CATALOG, portions, serving, contents, flavourings_added=True)
    row = next(f for f in flavoured if f.row_id == "eu-estragole-drink")
    assert row.level == "stop"


@pytest.mark.parametrize(
    ("added", "level", "said"),
    [
        (None, "note", "does not bind"),
        # art. 3(2)(d), read: an extract or a distillate is a flavouring preparation
        (Portion("vanilla-extract", "liquid", 1), "stop", "vanilla extract: added flavourings end"),
        (Portion("rose-water", "flower", 1), "stop", "rose water: added flavourings end"),
        (Portion("vanilla-extract", "extract", 1, BOUGHT, in_drink=True), "stop", "end the exempt"),
        # art. 3(2)(a), read: drunk as such, so no flavouring; what it holds its maker knows
        (
            Portion("aromatic-bitters", "bitters", 1, BOUGHT, in_drink=True),
            "limit",
            "ask its maker",
        ),
        (Portion("orange-liqueur", "liqueur", 1, BOUGHT, in_drink=True), "limit", "ask its maker"),
        (Portion("sweet-vermouth", "wine", 1, BOUGHT, in_drink=True), "limit", "ask its maker"),
        (Portion("vodka", "spirit", 1, BOUGHT, in_drink=True), "note", "does not bind"),
        (Portion("vanilla-bean", "whole", 1), "note", "does not bind"),
    ],
)
def test_what_ends_the_exemption_for_herbs_and_spices(
    added: Portion | None, level: str, said: str
) -> None:
    """Regulation (EC) No 1334/2008, Annex III Part B, footnote (a), and art. 3(2), both read."""
    portions = [Portion("thai-basil", "fresh", 10), *([added] if added else [])]

    def contents(ingredient_id: str, form: str) -> dict[str, float]:
        return {"estragole": 200_000.0} if ingredient_id == "thai-basil" else {}

    found = assess(CATALOG, portions, Serving(1000, 20, 250), contents)
    row = next(f for f in found if f.row_id == "eu-estragole-drink")
    assert row.level == level
    assert said in row.text


def test_specific_limit_replaces_the_general_one() -> None:
    serving = Serving(1000, 20, 250, alcohol_percent=20)
    contents = holding("thujone", 30_000)
    ids = {f.row_id for f in assess(CATALOG, [Portion("wormwood", "dried", 10)], serving, contents)}
    assert "eu-thujone-artemisia-alcohol" in ids
    assert "eu-thujone-alcohol" not in ids
    ids = {f.row_id for f in assess(CATALOG, [Portion("sage", "dried", 10)], serving, contents)}
    assert "eu-thujone-alcohol" in ids


def test_alpha_and_beta_thujone_add_up() -> None:
    aroma = {"alpha-thujone": 4000.0, "beta-thujone": 1500.0}
    contents = contents_from(CATALOG, lambda ingredient_id, form: aroma)
    assert contents("sage", "dried")["thujone"] == pytest.approx(5500)


def test_contents_of_the_catalogue_are_the_high_end() -> None:
    contents = contents_of(CATALOG)
    # menthofuran of dried peppermint: highest oil content times highest share of the oil
    mint = next(f for f in CATALOG.forms_of["peppermint"] if f.form == "dried")
    (oil,) = (m for m in CATALOG.form_materials[mint.form_id] if m.material == "essential-oil")
    share = max(c.high for c in CATALOG.composition["peppermint"] if c.compound_id == "menthofuran")
    by_hand = oil.percent_high / 100 * share / 100 * 1e6
    assert contents("peppermint", "dried")["menthofuran"] == pytest.approx(by_hand)
    for name, form, substances in (
        ("thai-basil", "fresh", ("estragole",)),
        ("bay-leaf", "dried", ("methyl-eugenol",)),
        ("peppermint", "dried", ("pulegone", "menthofuran", "menthol")),
        ("sage", "dried", ("thujone", "camphor")),
        ("liquorice-root", "dried", ("glycyrrhizin",)),
        ("cassia", "ground", ("coumarin",)),
    ):
        got = contents(name, form)
        assert all(got.get(s, 0) > 0 for s in substances), (name, got)


def test_regulated_ingredients_stop_and_answer_with_the_rule() -> None:
    regulated = [i for i in CATALOG.ingredients.values() if i.regulated == "yes"]
    assert {"tonka-bean", "sassafras", "bitter-almond"} <= {i.ingredient_id for i in regulated}
    assert [i.ingredient_id for i in regulated if not is_refused(CATALOG, i.ingredient_id)] == []
    # The strictest law decides while no market is set. In the US 21 CFR 172.510 (read) bounds the
    # bark by a figure, so the dose is counted; what the EU list lets in could not be read: refused.
    assert not is_refused(Catalog(CATALOG.folder, market="us"), "cinchona")
    for market in ("eu", "uk"):
        assert is_refused(Catalog(CATALOG.folder, market=market), "cinchona")
    for ingredient in [i for i in regulated if is_refused(CATALOG, i.ingredient_id)]:
        rule = rule_for(CATALOG, ingredient.ingredient_id)
        assert rule is not None, ingredient.ingredient_id
        assert rule.level == "stop"
        assert DEFER in rule.text
        portion = Portion(ingredient.ingredient_id, "whole", 0.1, ingredient.kind)
        found = assess(CATALOG, [portion], Serving(1000, 20, 300), nothing)
        assert found[0].level == "stop"
        assert found[0].code == "regulated"


@pytest.mark.parametrize(
    ("name", "subject"),
    [
        ("Oleander", "oleander"),
        ("Yellow Jasmine", "false-jasmine"),
        ("prussic acid", "hydrogen-cyanide"),
        ("sweet flag", "calamus"),
        ("essential oils", "essential-oil"),
        ("raw elder", "elderberry"),
        ("dry ice", "dry-ice"),
        ("Nerium oleander L.", "oleander"),
    ],
)
def test_names_that_are_no_ingredient(name: str, subject: str) -> None:
    rule = rule_for(CATALOG, name)
    assert rule is not None
    assert (rule.subject, rule.level) == (subject, "stop")


def test_ordinary_and_unknown_names_have_no_rule() -> None:
    assert rule_for(CATALOG, "green-cardamom") is None
    assert rule_for(CATALOG, "no such thing") is None


def test_coffee_answers_with_all_caffeine_guidance() -> None:
    rule = rule_for(CATALOG, "coffee")
    assert rule is not None
    assert all(
        any(g.body in line and f"{g.value:g}" in line for line in rule.lines)
        for g in TABLES.caffeine
    )


@pytest.mark.parametrize("row", TABLES.hazards, ids=lambda h: h.hazard_id)
def test_every_hazard_is_printed_by_a_command(row: Hazard) -> None:
    (command,) = commands_for(CATALOG, row.hazard_id)
    assert command == f"pairing show {row.ask}"
    rule = rule_for(CATALOG, row.ask)
    if rule is not None and row.ask in TABLES.subjects:
        assert row in rule.hazards
        with pytest.raises(UnknownNameError):  # `show` tries the catalogue first
            CATALOG.form(row.ask)
        return
    form = CATALOG.form(row.ask)
    assert row in hazards_for(CATALOG, form.ingredient_id, form.form, CATALOG.kind(form))


@pytest.mark.parametrize("row", TABLES.process, ids=lambda c: c.caution_id)
def test_every_process_caution_is_printed_by_a_command(row: ProcessCaution) -> None:
    assert commands_for(CATALOG, row.caution_id)
    for situation in row.situations:
        assert row in process_cautions(CATALOG, [situation])


def test_situations_are_reached_from_formulas_and_drinks() -> None:
    slices = Portion("mandarin", "slice", 300, "citrus")
    pods = Portion("green-cardamom", "cracked", 10, "spice")
    nutmeg = Portion("nutmeg", "ground", 1, "spice")
    methods = ("hot-steep", "simmer", "cold-steep", "maceration", "stir-in")
    reached = situations_of(CATALOG, [slices, pods, nutmeg], methods)
    for style in ("hot", "iced", "sparkling", "milk", "cold-brew"):
        reached |= situations_of(
            CATALOG,
            [],
            drink_style=style,
            milk="dairy" if style == "milk" else "",
        )
    assert reached == set(SITUATIONS)
    assert "sparkling" not in situations_of(CATALOG, [pods], ["hot-steep"])
    assert "citrus" not in situations_of(CATALOG, [pods], ["hot-steep"])


def test_rows_point_at_known_things() -> None:
    known = set(CATALOG.ingredients) | set(CATALOG.sweeteners)
    for h in TABLES.hazards:
        assert set(h.ingredient_ids) <= known, h.hazard_id
        assert h.severity in GRAVITY
        assert h.subject in TABLES.subjects or h.ingredient_ids or h.kinds, h.hazard_id
        assert h.source_id in CATALOG.sources, h.hazard_id
    for r in LIMITS:
        assert set(r.ingredient_ids) <= known | set(TABLES.subjects), r.limit_id
        assert r.source_id in CATALOG.sources, r.limit_id
    for rows in TABLES.rules.values():
        for rule in rows:
            assert rule.subject in known | set(TABLES.subjects), rule.rule_id
            assert rule.source_id in CATALOG.sources, rule.rule_id
    assert not set(TABLES.subjects) & set(CATALOG.ingredients)


def test_foraged_lookalikes_stop() -> None:
    portion = Portion("elderflower", "fresh", 50, "flower")
    serving = Serving(1000, 20, 300)
    assert not has_stop(assess(CATALOG, [portion], serving, nothing))
    found = assess(CATALOG, [portion], serving, nothing, foraged={"elderflower"})
    assert found[0].level == "stop"
    assert "Hemlock" in found[0].text


@pytest.mark.parametrize(
    ("fruit", "level"),
    [
        ("grapefruit", "limit"),
        ("pomelo", "limit"),
        ("bitter-orange", "limit"),
        ("tangelo", "caution"),
        ("bergamot", "caution"),
    ],
)
def test_medicine_interactions(fruit: str, level: str) -> None:
    rows = [h for h in hazards_for(CATALOG, fruit, "slice", "citrus") if h.topic == "interaction"]
    assert rows[0].severity == level
    assert "medicines" in rows[0].who


def test_allergens_and_cross_reactions() -> None:
    portions = [
        Portion("hazelnut-roasted", "roasted", 50, "nut"),
        Portion("pink-pepper", "cracked", 5, "spice"),
        Portion("sesame-toasted", "roasted", 20, "seed"),
    ]
    found = assess(CATALOG, portions, Serving(1000, 20, 300, milk="oat"), nothing)
    text = " ".join(f.text for f in found if f.code == "allergen")
    for word in ("HAZELNUT", "SESAME", "OATS", "cashew relative"):
        assert word in text
    assert any(f.row_id == "pink-pepper-cashew" and f.level == "limit" for f in found)


def test_honey_and_infants() -> None:
    found = assess(
        CATALOG,
        [Portion("honey", "syrup", 300, "sweetener")],
        Serving(1000, 20, 300),
        nothing,
    )
    row = next(f for f in found if f.row_id == "honey-infants")
    assert row.level == "limit"
    assert "12 months" in row.text


@pytest.mark.parametrize(
    ("mg", "adult_single", "adult_day", "pregnancy"),
    [
        (60, "note", "note", "note"),
        (120, "caution", "note", "caution"),
        (210, "limit", "caution", "limit"),
        (410, "limit", "limit", "limit"),
    ],
)
def test_caffeine_levels(mg: float, adult_single: str, adult_day: str, pregnancy: str) -> None:
    found = assess(CATALOG, [], Serving(1000, 20, 300, caffeine_high_mg=mg), nothing)
    level = {f.row_id: f.level for f in found}
    assert level["efsa-adult-single"] == adult_single
    assert level["efsa-adult-day"] == adult_day
    assert level["efsa-pregnancy-day"] == pregnancy


def test_tea_adds_its_caffeine() -> None:
    contents = contents_from(CATALOG, nothing)
    found = assess(
        CATALOG,
        [Portion("black-tea", "dried", 50, "tea")],
        Serving(1000, 20, 300, caffeine_high_mg=100),
        contents,
    )
    row = next(f for f in found if f.row_id == "efsa-adult-single")
    assert row.amount == pytest.approx(100 + 50 * 0.02 * 45)  # 45 g/kg, high end (Belitz)
    assert "tea" in row.text


def test_eu_caffeine_statement_only_when_not_named_coffee() -> None:
    named = Serving(1000, 20, 250, caffeine_high_mg=130)
    other = Serving(1000, 20, 250, caffeine_high_mg=130, named_as_coffee=False)
    assert "eu-caffeine-statement" not in {f.row_id for f in assess(CATALOG, [], named, nothing)}
    assert "eu-caffeine-statement" in {f.row_id for f in assess(CATALOG, [], other, nothing)}


def test_alcohol() -> None:
    found = assess(CATALOG, [], Serving(1000, 20, 200, alcohol_percent=5), nothing)
    row = next(f for f in found if f.code == "alcohol")
    assert "7.9 g" in row.text  # 200 ml x 5 % x 0.789 g/ml
    assert row.ratio > 1


def test_ordinary_doses_of_suggested_ingredients_do_not_stop() -> None:
    contents = contents_of(CATALOG)
    for form in CATALOG.forms.values():
        ingredient = CATALOG.ingredients[form.ingredient_id]
        if not form.dose_high_g_per_kg or form.ingredient_id in TABLES.rules:
            continue
        high = form.dose_high_g_per_kg
        portion = Portion(form.ingredient_id, form.form, high, ingredient.kind, (), high)
        found = assess(CATALOG, [portion], Serving(1000, 25, 300), contents)
        assert not has_stop(found), (form.form_id, found[0].text)


def test_order_is_stop_first() -> None:
    found = assess(
        CATALOG,
        [Portion("tonka-bean", "whole", 1), Portion("mandarin", "slice", 300, "citrus")],
        Serving(1000, 20, 300, caffeine_high_mg=130),
        contents_from(CATALOG, nothing),
    )
    places = [band(f) for f in found]
    assert places == sorted(places)
    assert [f.level for f in found if band(f) == 0] == ["stop"] * places.count(0)
    assert found[0].row_id == "us-tonka"


def test_demo_blend_has_no_stop() -> None:
    contents = contents_of(CATALOG)
    found = assess(
        CATALOG,
        [
            Portion("mandarin", "slice", 300, "citrus"),
            Portion("green-cardamom", "cracked", 10, "spice"),
            Portion("black-pepper", "cracked", 4, "spice"),
        ],
        Serving(1000, 20, 300, 100, 150),
        contents,
    )
    assert not has_stop(found)
    assert any(f.row_id == "peel-treated" for f in found)
    assert any("worst case" in f.text for f in found)


@given(
    st.floats(0.1, 1000),
    st.floats(100, 5000),
    st.floats(1, 60),
    st.floats(50, 600),
    st.floats(1, 1e5),
)
def test_amount_is_linear_and_never_above_what_went_in(
    grams: float, yield_g: float, serving_g: float, drink_ml: float, mg_per_kg: float
) -> None:
    serving = Serving(yield_g, serving_g, drink_ml)
    found = assess(
        CATALOG,
        [Portion("cassia", "whole", grams)],
        serving,
        holding("coumarin", mg_per_kg),
    )
    rows = [f for f in found if f.row_id == "efsa-coumarin-tdi"]
    expected = grams * serving_g / yield_g * mg_per_kg / 1000
    if expected / 6 >= 0.01:
        assert rows[0].amount == pytest.approx(expected)
        assert rows[0].level == ("stop" if expected > 6 else rows[0].level)
    else:
        assert not rows or expected / 6 == pytest.approx(0.01)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_bad_numbers_are_refused_in_one_line(bad: float) -> None:
    good = Serving(1000, 20, 300)
    for portions, serving in (
        ([Portion("cassia", "whole", bad)], good),
        ([], Serving(bad, 20, 300)),
        ([], Serving(1000, bad, 300)),
        ([], Serving(1000, 20, bad)),
        ([], Serving(1000, 20, 300, caffeine_high_mg=bad)),
        ([], Serving(1000, 20, 300, alcohol_percent=bad)),
        ([], Serving(1000, 20, 300, body_kg=bad)),
    ):
        with pytest.raises(PairingError) as err:
            assess(CATALOG, portions, serving, nothing)
        assert "\n" not in str(err.value)


def test_other_bad_input() -> None:
    with pytest.raises(PairingError, match="at most 100"):
        assess(CATALOG, [], Serving(1000, 20, 300, alcohol_percent=101), nothing)
    with pytest.raises(PairingError, match="unknown milk 'goat'; one of dairy"):
        assess(CATALOG, [], Serving(1000, 20, 300, milk="goat"), nothing)
    with pytest.raises(PairingError, match="syrup yield"):
        assess(CATALOG, [], Serving(0, 20, 300), nothing)
    with pytest.raises(PairingError, match="unknown situation"):
        process_cautions(CATALOG, ["flying"])
    with pytest.raises(PairingError, match="no hazard"):
        commands_for(CATALOG, "nope")
    for aw, ph in ((0.0, 4), (1.01, 4), (math.nan, 4), (0.9, -1), (0.9, 15), (0.9, math.nan)):
        with pytest.raises(PairingError):
            food_code_class(CATALOG, aw, ph)


def test_food_code_words_are_conservative() -> None:
    safe = food_code_class(CATALOG, 0.86, 3.5)
    assert safe.result == "non-TCS"
    assert "5 °C" in safe.text
    unsafe = food_code_class(CATALOG, 0.96, 5.5)
    assert unsafe.result == "product-assessment"
    for words in ("2 hours", "6 hours", "7 days", DEFER):
        assert words in unsafe.text


# --- a bar's own ingredients --------------------------------------------------------------


def _with(name: str, botanical: str, kind: str, form: str = "ground") -> Catalog:
    """The shipped catalogue with one ingredient of a bar."""
    old = load()
    own = old.ingredients["clove"]._replace(
        ingredient_id="own-thing", name=name, aliases=(),
        botanical_name=botanical, kind=kind, regulated="no",
    )  # fmt: skip
    weighed = old.forms["clove"]._replace(
        form_id="own-thing", ingredient_id="own-thing", form=form,
        label=f"{name}, {form}", dose_low_g_per_kg=1.0, dose_high_g_per_kg=300.0,
    )  # fmt: skip
    return Catalog(old.folder, {"ingredients": (own,), "forms": (weighed,)})


@pytest.mark.parametrize(
    ("name", "botanical", "kind", "plant"),
    [
        ("House bean", "Dipteryx odorata (Aubl.) Willd.", "spice", "tonka-bean"),
        ("House bean", "DIPTERYX  ODORATA", "spice", "tonka-bean"),
        ("House bean", "Dipteryx odorata var. nova", "spice", "tonka-bean"),
        ("Tonka bean", "", "spice", "tonka-bean"),
        ("Finest tonka beans, rasped", "", "spice", "tonka-bean"),
        ("Red bark", "Cinchona pubescens", "wood", "cinchona"),
        ("Marzipan seed", "Prunus dulcis var. amara", "nut", "bitter-almond"),
        ("Stone", "Prunus armeniaca (kernel)", "nut", "apricot-kernel"),
        ("Apricot kernel", "", "nut", "apricot-kernel"),
        ("Dried apricot", "Prunus armeniaca L.", "roast", None),
        ("Pink flower", "Nerium oleander", "flower", "oleander"),
        ("Bell", "Digitalis purpurea L.", "flower", "foxglove"),
        ("Hood", "Aconitum napellus", "flower", "monkshood"),
        ("House almond", "Prunus dulcis (Mill.) D.A.Webb", "nut", None),
        ("Elder flower", "Sambucus nigra L.", "flower", None),
        ("Bar nutmeg", "Myristica fragrans", "spice", None),
        ("Plum leather", "Prunus domestica L.", "roast", None),
    ],
)
def test_a_pantry_cannot_rename_a_regulated_plant(
    name: str, botanical: str, kind: str, plant: str | None
) -> None:
    catalog = _with(name, botanical, kind)
    if plant is None:
        refuse_regulated(catalog)
        return
    with pytest.raises(PairingError, match=plant.replace("-", " ")) as told:
        refuse_regulated(catalog)
    assert "\n" not in str(told.value)
    assert plant in same_plant(catalog, "own-thing")


def test_an_own_plant_of_a_bounded_kind_is_counted_as_that_kind() -> None:
    """30 g/kg of cinchona bark, 20 g of syrup in 240 ml: 0.6 g x 140 mg/g = 84 mg, 350 mg/kg.

    21 CFR 172.510: 83 mg/kg total alkaloids at most in the finished drink.
    """
    own = _with("Red bark", "Cinchona pubescens", "wood")
    found = _own(Catalog(own.folder, own.overlay, market="us"), 30.0)
    row = next(f for f in found if f.row_id == "us-cinchona-drink")
    assert (row.level, row.amount) == ("stop", pytest.approx(350.0))


def test_mahleb_is_counted_against_the_prussic_acid_of_the_us() -> None:
    """Bolarinwa 2014 (abstract read): Rosaceae seeds hold up to 17.5 mg/g amygdalin.

    17.5 x 27.03 / 457.43 = 1.034 mg hydrogen cyanide a gram; 21 CFR 172.510: 25 mg/kg of the
    flavour, here the syrup: 24.2 g/kg reaches it, and 20 g of that syrup bring 0.5 mg.
    """
    held = contents_of(CATALOG)("mahleb", "ground")["hydrogen-cyanide"]
    assert held == pytest.approx(17.5e3 * 27.03 / 457.43, rel=2e-3)
    us = Catalog(CATALOG.folder, market="us")
    for grams, level in ((24.2, "stop"), (24.1, "limit"), (5.0, "caution")):
        found = assess(us, [Portion("mahleb", "ground", grams)], Serving(1000, 20, 240))
        row = next(f for f in found if f.row_id == "us-prussic-acid")
        assert row.level == level, grams
    # 0.2 g of kernel brings 0.2 mg of the 1.2 mg that an adult of 60 kg may have at once
    at_once = [
        f
        for f in assess(us, [Portion("mahleb", "ground", 10.0)], Serving(1000, 20, 240))
        if f.row_id == "efsa-cyanide-acute"
    ]
    assert [(f.level, f.amount) for f in at_once] == [("caution", pytest.approx(0.207))]


def test_kernels_are_counted_as_eaten_and_not_in_the_drink_alone() -> None:
    """EFSA Journal 2016;14(4):4424: 0.02 mg/kg bw; at 3,800 mg/kg an adult of 70 kg needs 0.37 g.

    For 60 kg: 1.2 mg / 3.8 mg/g = 0.316 g; a child of 12 kg: 0.063 g (EFSA: 0.06 for a toddler).
    """
    kernel = [Portion("apricot-kernel", "raw", 1.0, "nut")]
    for found in (assess(CATALOG, kernel), assess(CATALOG, kernel, Serving(1000, 20, 300))):
        eaten = next(f for f in found if f.row_id == "efsa-cyanide-acute:in-itself")
        assert eaten.level == "limit"
        assert "0.32 g of apricot kernel, eaten" in eaten.text
        assert "0.063 g for a child of 12 kg" in eaten.text
        law = next(f for f in found if f.row_id == "eu-hcn-apricot-kernel")
        assert law.ratio == pytest.approx(3800 / 20)  # Regulation (EU) 2023/915: 20 mg/kg of kernel
    drink = next(f for f in found if f.row_id == "efsa-cyanide-acute")
    assert drink.amount == pytest.approx(0.02 * 3.8)  # 0.02 g in the drink
    sweet = assess(CATALOG, [Portion("almond-roasted", "roasted", 200.0, "nut")])
    assert not [f for f in sweet if f.row_id.endswith("in-itself")]


def _own(catalog: Catalog, g_per_kg: float) -> tuple[Finding, ...]:
    return assess(
        CATALOG,
        [portion(catalog, catalog.forms["own-thing"], g_per_kg)],
        Serving(1000.0, 20.0, 240.0),
        contents_of(catalog),
    )


def test_a_pantry_ingredient_has_the_limits_of_its_plant() -> None:
    nutmeg = _with("Bar nutmeg", "Myristica fragrans Houtt.", "spice")
    assert same_plant(nutmeg, "own-thing") == ("nutmeg",)
    assert usual_high(nutmeg, nutmeg.forms["own-thing"]) == max(
        f.dose_high_g_per_kg or 0 for f in load().forms_of["nutmeg"] if f.form == "ground"
    )
    assert any(f.level == "stop" and f.code == "poison" for f in _own(nutmeg, 200.0))
    cassia = _with("Brown bark", "Cinnamomum cassia", "spice")
    assert any(f.level == "stop" and f.subject == "coumarin" for f in _own(cassia, 200.0))
    # nobody weighed a juice of it: the richest analysed form counts
    juice = _with("Brown bark", "Cinnamomum cassia", "spice", "juice")
    assert any(f.level == "stop" and f.subject == "coumarin" for f in _own(juice, 200.0))
    nut = _with("House flour", "Corylus avellana L.", "nut")
    assert any(f.code == "allergen" and "HAZELNUT" in f.text for f in _own(nut, 5.0))
    assert same_plant(_with("Blue mint", "Novamentha nova", "herb"), "own-thing") == ()
    assert same_plant(load(), "nutmeg") == ()


@pytest.mark.parametrize(
    ("kind", "form", "usual", "grams", "stops"),
    [
        ("spice", "whole", 4.0, 40.0, False),
        ("spice", "whole", 4.0, 41.0, True),
        ("spice", "whole", None, 300.0, False),
        ("spice", "whole", None, 301.0, True),
        ("flower", "dried", 40.0, 301.0, True),  # 300 g/kg comes before ten times 40
        ("root", "fresh", 60.0, 599.0, False),
        ("root", "fresh", 60.0, 601.0, True),
        ("citrus", "slice", 800.0, 900.0, False),
        ("herb", "juice", None, 900.0, False),
        ("sweetener", "syrup", 50.0, 900.0, False),
        ("nut", "whole", 350.0, 350.0, False),
    ],
)
def test_far_beyond_food_use_is_a_stop(
    kind: str, form: str, usual: float | None, grams: float, stops: bool
) -> None:
    used = [Portion("own-thing", form, grams, kind, (), usual)]
    found = assess(CATALOG, used, Serving(1000.0, 20.0, 240.0), lambda _i, _f: {})
    beyond = [f for f in found if f.code == "beyond"]
    assert bool(beyond) is stops
    assert all(f.level == "stop" and f.basis == "far beyond food use" for f in beyond)


def test_half_of_a_reported_toxic_mass_in_a_drink_is_a_stop() -> None:
    # nutmeg: poisoning reported from 5 g, Ehrenpreis 2014, J. Med. Toxicol. 10:148 (memory)
    def level(in_drink: float) -> list[str]:
        used = [Portion("nutmeg", "ground", in_drink * 50.0, "spice")]
        found = assess(CATALOG, used, Serving(1000.0, 20.0, 240.0), lambda _i, _f: {})
        return [f.level for f in found if f.code == "poison"]

    assert level(2.51) == ["stop"]
    assert level(2.49) == ["limit"]  # the batch holds more than 5 g
    assert level(0.05) == []


def test_one_plant_is_added_up_over_its_forms() -> None:
    # 40 g/kg nutmeg and 24 g/kg ground, 60 g of syrup: 3.84 g a drink, stop from 2.5 g
    split = [Portion("nutmeg", "whole", 40.0), Portion("nutmeg", "ground", 24.0)]
    found = assess(CATALOG, split, Serving(1000, 60, 300), nothing)
    assert [f.level for f in found if f.code == "poison"] == ["stop"]
    assert [f.amount for f in found if f.code == "poison"] == [pytest.approx(3.84)]
    half = [
        Portion("clove", "whole", 30.0, "spice", (), 5.0),
        Portion("clove", "ground", 25.0, "spice", (), 5.0),
    ]
    assert any(f.code == "beyond" for f in assess(CATALOG, half, Serving(1000, 20, 300), nothing))


def test_no_usual_dose_of_the_catalogue_is_beyond_food_use() -> None:
    catalog = load()
    for form in catalog.forms.values():
        if form.dose_high_g_per_kg:
            part = portion(catalog, form, form.dose_high_g_per_kg)
            found = assess(CATALOG, [part], Serving(1000.0, 20.0, 240.0), lambda _i, _f: {})
            assert not [f for f in found if f.code == "beyond"], form.form_id
