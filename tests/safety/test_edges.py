"""Edges on which a verdict turns: each was found by changing the code and seeing no test fail."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairing.affinity.reasons import allergen_words
from pairing.bar.pantry import open_pantry
from pairing.errors import RefusedError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.poison_names import _one_slip
from pairing.evidence.safety_rows import Certificate
from pairing.evidence.tables import data_folder
from pairing.safety.allergens import allergen_findings, allergen_names_of
from pairing.safety.amounts import Portion, Serving, highest, portion
from pairing.safety.assess import assess
from pairing.safety.findings import Finding, first_lines, is_acute
from pairing.safety.food_code import _inside, food_code_class
from pairing.safety.plants import usual_high

CATALOG = load()


def test_a_child_of_thirty_kilograms_has_90_mg_at_once() -> None:
    """EFSA Journal 2015;13(5):4102: 3 mg per kg for children; the 30 kg are our choice."""
    drink = Serving(1000, 20, 250, caffeine_low_mg=60, caffeine_high_mg=60)
    found = assess(CATALOG, [portion(CATALOG, CATALOG.form("mandarin"), 10)], drink)
    child = next(f for f in found if f.code == "caffeine" and "children" in f.who)
    assert (child.limit, child.amount) == (90.0, 60.0)
    assert "67 % of the 90 mg at once" in child.text


def test_the_law_of_another_market_is_one_note_in_its_name() -> None:
    """Pulegone: Regulation (EC) 1334/2008, annex III B, binds in the EU and the UK alone."""
    portions = [Portion("peppermint", "dried", 100.0)]
    drink = Serving(1000, 200, 250)
    here = assess(Catalog(data_folder(), market="eu"), portions, drink)
    there = assess(Catalog(data_folder(), market="us"), portions, drink)
    rows = {f.row_id: f for f in here if f.code == "limit" and f.level in ("stop", "limit")}
    european = [f for f in rows.values() if f.jurisdiction == "EU;UK"]
    assert european
    for f in european:
        same = next(g for g in there if g.row_id == f.row_id)
        assert same.level == "note"
        assert "not the law of your market" in same.text


def test_an_intake_that_science_set_stops_in_every_market() -> None:
    """EFSA 2004: 0.1 mg coumarin per kg a day; US law has no figure for cassia, the liver has."""
    portions = [Portion("cassia", "whole", 100.0)]
    for market in ("", "eu", "uk", "us"):
        found = assess(Catalog(data_folder(), market=market), portions, Serving(1000, 200, 250))
        row = next(f for f in found if f.row_id == "efsa-coumarin-tdi")
        assert row.level == "stop", market


@pytest.mark.parametrize(
    ("ingredient", "level", "where"),
    [("almond", "limit", "EU and UK and the US"), ("sesame", "limit", "EU and UK and the US"),
     ("celery-seed", "limit", "EU and UK.")],
)  # fmt: skip
def test_a_listed_allergen_is_told_as_one_with_the_law_that_lists_it(
    ingredient: str, level: str, where: str
) -> None:
    """Regulation (EU) 1169/2011 annex II; 21 USC 321(qq). Celery is on the European list alone."""
    used = [portion(CATALOG, CATALOG.form(ingredient), 10)]
    found = [f for f in allergen_findings(CATALOG, used) if f.code == "allergen"]
    assert [f.level for f in found] == [level]
    assert where in found[0].text


def test_an_allergen_on_no_list_is_a_caution() -> None:
    used = [
        portion(CATALOG, form, 10)
        for form in (CATALOG.form(i) for i in CATALOG.ingredients)
        if form.ingredient_id in {a.ingredient_id for a in CATALOG.safety.allergens}
    ]
    found = [f for f in allergen_findings(CATALOG, used) if f.code == "allergen"]
    unlisted = [f for f in found if not {"EU14", "US9"} & set(f.lists)]
    assert unlisted
    assert {f.level for f in unlisted} == {"caution"}


def test_sulphites_are_left_out_only_when_stated_absent() -> None:
    dried = [portion(CATALOG, CATALOG.form("raisin"), 10)]

    def told(unsulphured: bool | None) -> bool:
        found = allergen_findings(CATALOG, dried, unsulphured=unsulphured)
        return any("sulph" in f.text.lower() for f in found)

    assert told(None)
    assert told(False)
    assert not told(True)
    fresh, dry = CATALOG.form("bitter orange peel"), CATALOG.form("bitter-orange-dried")
    assert fresh.ingredient_id == dry.ingredient_id == "bitter-orange"
    said = [
        any(
            f.row_id == "sulphites:open"
            for f in allergen_findings(CATALOG, [portion(CATALOG, x, 10)])
        )
        for x in (fresh, dry)
    ]
    assert said == [False, True]


def test_who_avoids_sulphites_is_not_offered_what_may_be_sulphured() -> None:
    assert "sulphite" in allergen_names_of(CATALOG, "raisin")
    assert allergen_words(CATALOG, ["date"]) == ["sulphites?"]
    assert allergen_words(CATALOG, ["mandarin-peel"]) == []


def _own(folder: Path, text: str) -> Catalog:
    path = folder / "pantry.toml"
    path.write_text(text, encoding="utf-8")
    return open_pantry(path, CATALOG).catalog


NUTMEG = """
[[ingredients]]
ingredient_id = "our-nutmeg-powder"
name = "Nutmeg powder of the house"
kind = "spice"
allergens = []
specification = "supplier sheet of 3 March 2026"
{botanical}
[[forms]]
form_id = "our-nutmeg-powder"
ingredient_id = "our-nutmeg-powder"
form = "paste"
label = "Our powder"
method = "hot-steep"
dose_low_g_per_kg = 1
dose_high_g_per_kg = 400
"""


def test_a_name_that_holds_a_watched_spice_counts_as_it(tmp_path: Path) -> None:
    own = _own(tmp_path, NUTMEG.format(botanical=""))
    form = own.form("our-nutmeg-powder")
    assert "nutmeg" in portion(own, form, 10).plants


def test_bar_practice_of_an_own_plant_is_the_widest_shipped_window(tmp_path: Path) -> None:
    own = _own(tmp_path, NUTMEG.format(botanical='botanical_name = "Myristica fragrans"'))
    form = own.form("our-nutmeg-powder")
    plants = portion(own, form, 10).plants
    windows = [f for i in plants for f in CATALOG.forms_of[i]]
    same = [f for f in windows if f.form == form.form] or windows
    highs = [f.dose_high_g_per_kg for f in same if f.dose_high_g_per_kg]
    assert len(set(highs)) > 1
    assert usual_high(own, form) == max(highs) < 400


def test_each_edge_of_the_food_code_tables_lies_in_one_cell() -> None:
    """Food Code 2022 1-201.10(B): the tables share no cell and leave none open."""
    for table in "AB":
        cells = [c for c in CATALOG.safety.food_code if c.table == table]
        edges_aw = sorted({c.aw_from for c in cells} | {c.aw_to for c in cells} - {0.0})
        edges_ph = sorted({c.ph_from for c in cells} | {c.ph_to for c in cells})
        for aw in [x for x in edges_aw if x > 0]:
            for ph in edges_ph:
                held = [
                    c
                    for c in cells
                    if _inside(aw, c.aw_from, c.aw_from_closed, c.aw_to, c.aw_to_closed)
                    and _inside(ph, c.ph_from, c.ph_from_closed, c.ph_to, c.ph_to_closed)
                ]
                assert len(held) == 1, (table, aw, ph)
    assert food_code_class(CATALOG, 0.92, 4.2).result == "non-TCS"
    assert food_code_class(CATALOG, 0.921, 4.6).result != "non-TCS"


def test_six_lines_in_the_order_of_danger() -> None:
    """An allergen by name stands before guests, figures and kitchen; six lines at most, and six."""
    nut = Finding("limit", "allergen", "nut", text="Contains NUT.", words=("nut",), lists=("EU14",))
    found = [
        nut,
        Finding("limit", "unknown", "a", text="Not assessed."),
        Finding("limit", "poison", "b", text="Poison."),
        Finding("limit", "alcohol", "c", text="Alcohol.", who="children"),
        Finding("limit", "limit", "d", 1.0, "mg", 1.0, text="Coumarin."),
        Finding("limit", "supplier", "e", text="Supplier."),
        Finding("limit", "other", "f", text="Hot sugar."),
    ]
    first = first_lines(found[::-1])
    assert len(first.lines) == 6
    assert [w in line for w, line in zip(
        ("Not assessed", "NUT", "Poison", "c", "Coumarin", "Supplier"), first.lines, strict=True
    )] == [True] * 6  # fmt: skip
    assert first.left_out == 1


def test_one_slip_of_the_keys_is_near_a_poison_by_each_kind_of_slip() -> None:
    poisons = CATALOG.safety.poison_names
    for slip in ("belladonma", "belladona", "bellladonna", "belladnona"):
        assert poisons.near(slip) is not None, slip
    assert poisons.near("belladomma") is None
    for joined in ("Belladonnablätter", "Digitalisblüten"):  # one word, as German writes it
        assert poisons.of(joined) is not None, joined
    assert _one_slip("digitalis", "digitalos")
    assert not _one_slip("digitalis", "digitolos")


@pytest.mark.parametrize(
    ("said", "counts", "loosens"), [(20_000, 20_000, False), (5, 10_000, True)]
)
def test_of_two_rows_for_one_content_the_higher_counts(
    tmp_path: Path, said: float, counts: float, loosens: bool
) -> None:
    """The shipped row: single sticks of cassia, to 10,000 mg/kg (Woehrlin 2010)."""
    row = f"""
[[constituents]]
ingredient_id = "cassia"
substance = "coumarin"
low_mg_per_kg = 1
high_mg_per_kg = {said}
source_id = "woehrlin-2010"
"""
    tables = _own(tmp_path, row).safety
    rows = [r for r in tables.constituents["cassia"] if r.source_id == "woehrlin-2010"]
    assert [r.high_mg_per_kg for r in rows if r.substance == "coumarin"] == [counts]
    assert bool(tables.loosened) == loosens


def test_a_batch_that_holds_a_reported_toxic_mass_says_so_from_that_mass_on() -> None:
    """Nutmeg: 5 g (hazards.csv); a drink of it holds a thousandth."""
    drink = Serving(1000, 1, 250)

    def told(grams: float) -> bool:
        found = assess(CATALOG, [Portion("nutmeg", "ground", grams)], drink)
        return any(f.code == "poison" for f in found)

    assert told(5.0)
    assert not told(4.99)


def test_a_drink_of_exactly_1_2_percent_is_not_above_it() -> None:
    """Regulation (EU) No 1169/2011, art. 16(4): more than 1.2 % by volume."""
    for percent, above in ((1.2, False), (1.3, True)):
        found = assess(CATALOG, [], Serving(1000, 20, 250, alcohol_percent=percent))
        text = next(f.text for f in found if f.code == "alcohol")
        assert ("not above" not in text) == above


def test_a_certificate_speaks_of_its_own_ingredient_alone() -> None:
    held = {"cassia": {"coumarin": 10_000.0}, "mine": {"coumarin": 3_000.0}}
    low = Certificate("mine", "coumarin", 1.0, "sheet 7")

    def high(p: Portion) -> float:
        return highest(lambda i, _: held.get(i, {}), p, [low])["coumarin"]

    assert high(Portion("cassia", "whole", 10)) == 10_000.0
    assert high(Portion("mine", "whole", 10)) == 1.0


def test_of_two_plants_that_one_thing_may_be_the_higher_content_counts() -> None:
    held = {
        "mine": {"coumarin": 3_000.0},
        "cassia": {"coumarin": 10_000.0},
        "ceylon": {"coumarin": 40.0},
    }
    p = Portion("mine", "whole", 10, "spice", ("cassia", "ceylon"))
    assert highest(lambda i, _: held[i], p)["coumarin"] == 10_000.0


def test_a_poison_centre_is_named_for_what_can_make_ill_now() -> None:
    for basis, acute in (("toxic", True), ("look-alike", True), ("dose", True), ("novel", False)):
        assert is_acute(Finding("stop", "hazard", "x", basis=basis, text="X.")) == acute
    assert not is_acute(Finding("limit", "hazard", "x", basis="toxic", text="X."))


CRUMB = """
[[ingredients]]
ingredient_id = "crumb"
name = "{name}"
botanical_name = "{plant}"
kind = "nut"
allergens = [{stated}]
{specification}
[[forms]]
form_id = "crumb"
ingredient_id = "crumb"
form = "ground"
label = "Crumb"
method = "hot-steep"
dose_low_g_per_kg = 1
dose_high_g_per_kg = 40
"""


@pytest.mark.parametrize(
    ("name", "stated", "specification", "code"),
    [
        ("Hazelnut crumb", "", "sheet of 3 March", "allergen-maybe"),
        ("Amaretto crumb", "", "sheet of 3 March", "allergen-stated"),  # almond is usual in it
        ("Amaretto crumb", '"hazelnut"', "sheet of 3 March", ""),
        ("House crumb", "", "sheet of 3 March", "allergen-stated"),
    ],
)
def test_a_name_that_says_more_than_the_bar_states_is_told(
    tmp_path: Path, name: str, stated: str, specification: str, code: str
) -> None:
    said = f'specification = "{specification}"' if specification else ""
    own = _own(tmp_path, CRUMB.format(name=name, plant="", stated=stated, specification=said))
    found = allergen_findings(own, [portion(own, own.form("crumb"), 10)])
    assert [f.code for f in found if f.code.startswith("allergen-")] == [c for c in [code] if c]
    assert any("none of the listed" in f.text for f in found) == (code == "allergen-stated")


def test_a_name_one_slip_from_a_poison_is_refused_in_a_pantry(tmp_path: Path) -> None:
    with pytest.raises(RefusedError, match="reads like 'belladonna'"):
        _own(
            tmp_path,
            CRUMB.format(name="Belladonma berries", plant="", stated='"milk"', specification=""),
        )


def test_poisons_are_found_joined_invisible_and_abbreviated() -> None:
    poisons = CATALOG.safety.poison_names
    for name in ("lilyofthevalley", "lily ofthe valley", "bel\u200bladonna", "b\u00adelladonna"):
        assert poisons.of(name) is not None, name
    assert poisons.short
    for initial, species in poisons.short:
        assert poisons.of(f"{initial.upper()}. {species}") is not None, species
