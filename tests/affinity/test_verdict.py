"""Verdicts against the trade: common practice, no source, unless said."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pairing.affinity import reasons, verdict
from pairing.aroma import coffee
from pairing.aroma.spoken import read_coffee
from pairing.cards import check as card
from pairing.cards.report import Bullets, Text
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog

STYLES = ("", "hot", "iced", "milk", "sparkling", "tonic", "cocktail", "dessert")
LISTS = list(csv.DictReader((Path(__file__).parent / "verdicts.csv").open(encoding="utf-8")))
CLASSICS = [r["ingredient_id"] for r in LISTS if r["expected"] == "classic"]
UNTRIED = [r["ingredient_id"] for r in LISTS if r["expected"] == "untried"]
COFFEES = (
    {},
    {"origin": "ethiopia", "roast": "light", "brew": "filter"},
    {"origin": "kenya", "process": "washed", "roast": "light", "brew": "filter"},
    {"origin": "brazil", "process": "natural", "brew": "espresso"},
    {"origin": "sumatra", "roast": "dark", "brew": "espresso"},
    {"origin": "vietnam", "roast": "dark", "brew": "espresso"},
)


@pytest.fixture(scope="module")
def coffees(catalog: Catalog) -> list[coffee.CoffeeBase]:
    return [coffee.brewed(catalog, **words) for words in COFFEES]


def lines(report: object) -> str:
    """A card as it is read."""
    out = []
    for block in report.blocks:  # type: ignore[attr-defined]
        if isinstance(block, Text):
            out.append(block.text)
        elif isinstance(block, Bullets):
            out += list(block.items)
    return "\n".join(out)


@pytest.mark.parametrize("name", CLASSICS)
def test_a_classic_suits_some_coffee_in_some_style(
    catalog: Catalog, coffees: list[coffee.CoffeeBase], name: str
) -> None:
    if catalog.ingredients[name].regulated == "yes":
        with pytest.raises(PairingError, match="never suggested"):
            verdict.check(catalog, name, coffees[0])
        return
    assert any(
        verdict.check(catalog, name, base, style=style).verdict.startswith("suits")
        for base in coffees
        for style in STYLES
    )


@pytest.mark.parametrize("name", UNTRIED)
def test_what_nobody_serves_never_suits(
    catalog: Catalog, coffees: list[coffee.CoffeeBase], name: str
) -> None:
    for base in coffees:
        for style in STYLES:
            found = verdict.check(catalog, name, base, style=style)
            assert found.verdict in ("is untried", "is doubtful") or found.single.drinks
            assert not found.verdict.startswith("suits")


@pytest.mark.parametrize("name", [*CLASSICS, *UNTRIED, "smoked-paprika", "celery-seed"])
def test_verdict_sentence_and_reasons_are_one(
    catalog: Catalog, coffees: list[coffee.CoffeeBase], name: str
) -> None:
    # bar.md P1-4: a sentence said "aroma and precedent agree" above "no aroma reason for it"
    if catalog.ingredients[name].regulated == "yes":
        return
    for base in coffees:
        found = verdict.check(catalog, name, base, style="milk")
        said = lines(card.check_report(catalog, base, found))
        s = found.single
        assert s.score == s.practice + s.this_coffee
        assert "No aroma reason" not in said
        assert "of its kind (" not in said or "less " not in said.split("of its kind (")[0][-40:]
        if found.verdict.startswith("suits"):
            assert "people put it into coffee" in said or "find it in this one more" in said
            assert s.drinks > 0
        if s.drinks == 0:
            assert "in none of the published drinks" in said
            assert "nobody is known to serve it" in said
        if found.moved is not None and found.moved.score >= 0.15:
            assert "find it in this one more" in said or "this cup speaks for it" in said


@pytest.mark.parametrize("name", ["cacao-nib", "almond-roasted", "maple", "hazelnut-roasted"])
def test_likeness_to_coffee_is_no_fault(catalog: Catalog, name: str) -> None:
    # bar.md: cacao, nuts and maple were fined for resembling coffee
    assert any(
        verdict.check(catalog, name, coffee.brewed(catalog), style=s).verdict.startswith("suits")
        for s in STYLES
    )


PAIRS = (  # bar.md P1-5: each was called unusual or a contrast
    ("lemon-peel", "ginger-fresh"),
    ("vanilla-bean", "ceylon-cinnamon"),
    ("sweet-orange-peel", "vanilla-bean"),
    ("vanilla-bean", "green-cardamom"),
    ("grapefruit-peel", "rosemary"),
    ("lemon-peel", "rosemary"),
    ("lemon-peel", "lavender"),
    ("black-tea", "bergamot-peel"),
    ("lime-persian-peel", "peppermint"),
    ("coconut-toasted", "pandan-leaf"),
    ("clove", "sweet-orange-peel"),
)


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_a_known_pair_is_not_called_unusual(catalog: Catalog, one: str, other: str) -> None:
    said = lines(card.pair_report(catalog, one, other)).lower()
    for word in ("unusual", "seldom", "contrast.", "would like it", "less citrus"):
        assert word not in said
    assert len(said.splitlines()) <= 30


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("ceylon-cinnamon", "sweet-orange"),
        ("star-anise", "sweet-orange"),
        ("clove", "sweet-orange"),
        ("vanilla-bean", "ceylon-cinnamon"),
        ("vanilla-bean", "green-cardamom"),
        ("black-tea", "bergamot"),
    ],
)
def test_partners_that_the_trade_knows_go_together(catalog: Catalog, one: str, other: str) -> None:
    pair = reasons.pair_of(catalog, one, other)
    assert pair.verdict.startswith("go together"), pair


def test_seldom_is_said_only_from_counts(catalog: Catalog) -> None:
    known = [i.ingredient_id for i in catalog.ingredients.values() if i.kind == "spice"]
    for one in known[:20]:
        for other in ("lavender", "lemon", "mace", "celery-seed"):
            if one == other:
                continue
            pair = reasons.pair_of(catalog, one, other)
            if pair.verdict == "are seldom put together":
                assert pair.expected >= reasons.LEAST_EXPECTED
                assert pair.drinks == 0


@pytest.mark.parametrize("name", ["lemon", "sweet-orange", "grapefruit"])
def test_citrus_and_espresso_go_together(catalog: Catalog, name: str) -> None:
    base = coffee.brewed(catalog, brew="espresso")
    assert verdict.check(catalog, name, base).verdict.startswith("suits")


def test_star_anise_and_orange_over_espresso(catalog: Catalog) -> None:
    base = coffee.brewed(catalog, brew="espresso")
    for name in ("star-anise", "ceylon-cinnamon", "sweet-orange"):
        assert verdict.check(catalog, name, base, style="hot").verdict.startswith("suits"), name


def test_smoked_paprika_does_not_stand_above_vanilla(catalog: Catalog) -> None:
    base = coffee.brewed(catalog, "kenya", "washed", "light", "filter")
    paprika = verdict.check(catalog, "smoked-paprika", base)
    assert not paprika.verdict.startswith("suits")
    for name in ("vanilla-bean", "saffron", "hibiscus", "ginger-fresh"):
        assert verdict.check(catalog, name, base).single.score > paprika.single.score


def test_kinds_of_two_give_no_place(catalog: Catalog) -> None:
    base = coffee.brewed(catalog)
    for ingredient in catalog.ingredients.values():
        if ingredient.regulated == "yes" or ingredient.ingredient_id not in catalog.forms_of:
            continue
        found = verdict.check(catalog, ingredient.ingredient_id, base)
        assert bool(found.rank) == (found.of > 2)
        if found.rank:
            assert 1 <= found.rank <= found.last <= found.of


@pytest.mark.parametrize("name", ["hazelnut-roasted", "almond-roasted", "pistachio", "walnut",
                                  "sesame-toasted"])  # fmt: skip
def test_an_allergen_comes_first(catalog: Catalog, name: str) -> None:
    # bar.md P1-2
    base = coffee.brewed(catalog, "brazil")
    report = card.check_report(catalog, base, verdict.check(catalog, name, base))
    assert lines(report).splitlines()[1].startswith("ALLERGEN")
    assert report.document["allergens"]


def test_a_colleague_needs_no_more_than_thirty_lines(catalog: Catalog) -> None:
    from pairing.cards.report import render

    for words in COFFEES:
        base = coffee.brewed(catalog, **words)
        for name in ("clove", "green-cardamom", "hazelnut-roasted", "yuzu", "nutmeg", "ajwain"):
            found = verdict.check(catalog, name, base, style="milk")
            assert len(render(card.check_report(catalog, base, found), "table").splitlines()) <= 30


def test_instead_does_the_same_job(catalog: Catalog) -> None:
    base = coffee.brewed(catalog)
    names = [s.single.ingredient_id for s in verdict.instead(catalog, "spearmint", base)]
    assert names[0] == "peppermint"
    names = [s.single.ingredient_id for s in verdict.instead(catalog, "lime-persian", base)]
    assert any(catalog.ingredients[n].kind == "citrus" for n in names[:2])
    from pairing.affinity.search import Limits
    from pairing.cli.pair import avoided

    nuts = avoided(catalog, "nuts")
    assert {"hazelnut-roasted", "almond-roasted", "peanut-roasted", "coconut-toasted"} <= nuts
    for stand in verdict.instead(catalog, "hazelnut-roasted", base, limits=Limits(avoid=nuts)):
        assert stand.single.ingredient_id not in nuts


@pytest.mark.parametrize("fruit", ["lemon", "sweet-orange", "mandarin", "meyer-lemon"])
def test_peel_suits_milk_and_hot_coffee_better_than_juice(catalog: Catalog, fruit: str) -> None:
    # common practice, no source: hot coffee is served with a strip of peel, juice curdles milk
    base = coffee.brewed(catalog)
    for style in ("milk", "hot"):
        peel, juice = (
            verdict.check(catalog, f"{fruit}-{form}", base, style=style).single.score
            for form in ("peel", "juice")
        )
        assert peel >= juice
        assert verdict.check(catalog, fruit, base, style="milk").form_id == f"{fruit}-peel"


def test_a_verdict_moves_by_one_word_with_what_the_cup_says(
    catalog: Catalog, coffees: list[coffee.CoffeeBase]
) -> None:
    """The word of practice, one lower where tasters find it less, one higher where more."""
    words = ["does not suit it", *(w for _, w in reversed(verdict.VERDICTS))]
    moved = {-1: 0, 0: 0, 1: 0}
    for base in coffees:
        for name in CLASSICS:
            if catalog.ingredients[name].regulated == "yes":
                continue
            found = verdict.check(catalog, name, base)
            if found.verdict not in words or found.single.pages < verdict.SERVED_PAGES:
                continue
            s = found.single
            usual = sum(s.practice >= least for least, _ in verdict.VERDICTS)
            step = words.index(found.verdict) - usual
            assert abs(step) <= 1
            assert step <= 0 or s.this_coffee >= verdict.MOVES
            assert step >= 0 or s.this_coffee <= -verdict.MOVES
            moved[step] += 1
    assert moved[-1] >= 5
    assert moved[0] > moved[-1] + moved[1]


@pytest.mark.parametrize(
    ("name", "better", "worse"),
    [
        ("jasmine", "gesha light filter", "sumatra dark espresso"),
        ("hazelnut-roasted", "natural brazil medium espresso", "washed kenya light filter"),
        ("cocoa-powder", "natural brazil medium espresso", "washed kenya light filter"),
        ("mandarin", "natural ethiopia light filter", "sumatra dark espresso"),
    ],
)
def test_the_word_differs_between_unlike_coffees(
    catalog: Catalog, name: str, better: str, worse: str
) -> None:
    """Common practice, no source: blossom to floral cups, nut and cocoa to low-acid Brazils."""
    words = ["does not suit it", *(w for _, w in reversed(verdict.VERDICTS))]
    good, bad = (
        verdict.check(catalog, name, coffee.base(catalog, read_coffee(catalog, said))).verdict
        for said in (better, worse)
    )
    assert words.index(good) > words.index(bad)


def test_a_pair_is_judged_with_the_coffee_that_was_said(catalog: Catalog) -> None:
    base = coffee.brewed(catalog, "papua-new-guinea")
    said = card.pair_report(catalog, "lemongrass", "lemon", base=base)
    assert len(said.document["with_coffee"]) == 2
    assert said.document["coffee"]["origin"] == "papua-new-guinea"
    assert "lemon juice suits it well" in lines(said)


def test_what_suits_most_coffees_is_not_said_of_one(catalog: Catalog) -> None:
    """Pepper is put into coffee of every kind: no cup of a Gesha says that it is for this one."""
    base = coffee.brewed(catalog, "panama-gesha")
    said = lines(card.check_report(catalog, base, verdict.check(catalog, "chilli", base)))
    assert "suits most coffees" in said
    assert "suits it" not in said
    kenya = coffee.brewed(catalog, "kenya", roast="light")
    said = lines(card.check_report(catalog, kenya, verdict.check(catalog, "lavender", kenya)))
    assert "suits it well with washed Kenya" in said


def test_what_does_the_job_of_vanilla_is_no_sour_berry(catalog: Catalog) -> None:
    """Sumac shares a fatty note with vanilla and stands in for it nowhere; common practice."""
    found = verdict.instead(catalog, "vanilla-bean", coffee.brewed(catalog, "brazil"), style="milk")
    named = [s.single.ingredient_id for s in found]
    assert "tahitian-vanilla" in named
    assert "sumac" not in named
    assert all(s.likeness >= 0.4 for s in found if not s.same_kind)


def test_no_coffee_asks_for_what_its_tasters_never_named(catalog: Catalog) -> None:
    """Halves added to the counts of thirteen cups are no word of a taster."""
    found = verdict.check(catalog, "green-cardamom", coffee.brewed(catalog, "yemen"))
    assert found.moved is not None
    assert not found.moved.words
    assert found.single.this_coffee <= 0
    assert "find it in this one more" not in lines(
        card.check_report(catalog, coffee.brewed(catalog, "yemen"), found)
    )
