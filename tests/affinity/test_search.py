from __future__ import annotations

import itertools
import time

import numpy as np
import pytest

from pairing.affinity import exact, pool, search
from pairing.affinity.practice import CINNAMONS
from pairing.aroma import coffee
from pairing.errors import NothingFoundError, PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog


@pytest.fixture(scope="module")
def burundi(catalog: Catalog) -> coffee.CoffeeBase:
    return coffee.brewed(catalog, "burundi", "washed", "light", "espresso")


@pytest.fixture(scope="module")
def robusta(catalog: Catalog) -> coffee.CoffeeBase:
    return coffee.brewed(catalog, "vietnam", "natural", "dark", "espresso", "robusta")


@pytest.mark.parametrize("size", [1, 2, 3, 4])
@pytest.mark.parametrize("coffees", [1, 3])
@pytest.mark.parametrize("worst", [True, False])
def test_branch_and_bound_is_exact(size: int, coffees: int, worst: bool) -> None:
    rng = np.random.default_rng(size * 10 + coffees)
    n = 16
    single = rng.normal(size=(coffees, n)) * 10
    paired = rng.normal(size=(n, n)) * 10
    paired = paired + paired.T
    owner = np.arange(n) // 2
    citrus, rest = np.arange(6), np.arange(6, n)
    slots = [citrus, *[rest] * (size - 1)]
    found = exact.best_combinations(
        single, paired, owner, slots, np.array([], dtype=np.intp), 12, worst
    )
    every = []
    for c in citrus:
        for others in itertools.combinations(rest.tolist(), size - 1):
            combo = (int(c), *others)
            if len({int(owner[i]) for i in combo}) == size:
                every.append(combo)
    scores = exact.merged(exact.totals(single, paired, np.array(every)), worst)
    best = np.sort(scores)[::-1][:12]
    ours = exact.merged(exact.totals(single, paired, found), worst)
    assert np.allclose(ours, best)


def owners(catalog: Catalog, blend: search.Blend) -> set[str]:
    return {catalog.forms[f].ingredient_id for f in blend.form_ids}


def test_fixed_partners_stay(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    found = search.suggest(catalog, [burundi], with_=["elaichi"], citrus="mandarin", size=3, top=5)
    for blend in found:
        assert {"green-cardamom", "mandarin"} <= owners(catalog, blend)
        assert len(owners(catalog, blend)) == 3


@pytest.mark.parametrize("size", [1, 2, 3, 4])
def test_the_three_add_up_exactly(
    catalog: Catalog, burundi: coffee.CoffeeBase, robusta: coffee.CoffeeBase, size: int
) -> None:
    for blend in search.suggest(catalog, [burundi, robusta], size=size, top=5):
        assert blend.score == blend.practice + blend.this_coffee + blend.together
        assert blend.score == pytest.approx(min(blend.per_coffee), abs=1e-9)


def test_same_question_same_answer(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    one = search.suggest(catalog, [burundi], size=3, top=5)
    assert one == search.suggest(catalog, [burundi], size=3, top=5)


def test_regulated_plants_are_never_suggested(catalog: Catalog) -> None:
    allowed = set(pool.suggestable(catalog))
    for ingredient in catalog.ingredients.values():
        if ingredient.regulated == "yes":
            assert ingredient.ingredient_id not in allowed
    with pytest.raises(PairingError, match="never suggested"):
        search.suggest(catalog, [coffee.brewed(catalog)], with_=["sassafras"])


def test_season_is_kept(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    limits = search.Limits(month=8)
    for blend in search.suggest(catalog, [burundi], size=2, limits=limits, top=20):
        for ingredient_id in owners(catalog, blend):
            months = catalog.ingredients[ingredient_id].season_months
            assert not months or 8 in months


def test_one_species_once_and_no_job_twice(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for blend in search.suggest(catalog, [burundi], size=4, top=50, plain=True):
        species = [pool.species(catalog, i) for i in blend.ingredient_ids]
        assert len(set(species)) == len(species)
        assert len(CINNAMONS & set(blend.ingredient_ids)) <= 1
        assert not {"spearmint", "peppermint"} <= set(blend.ingredient_ids)


def test_several_coffees_are_served_by_the_worst(
    catalog: Catalog, burundi: coffee.CoffeeBase, robusta: coffee.CoffeeBase
) -> None:
    worst = search.suggest(catalog, [burundi, robusta], size=2, top=5)
    mean = search.suggest(catalog, [burundi, robusta], size=2, top=5, average=True)
    for blend in worst:
        assert blend.score == pytest.approx(min(blend.per_coffee))
    for blend in mean:
        assert blend.score == pytest.approx(sum(blend.per_coffee) / 2)


def test_ties_hold_their_own_place(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    found = search.suggest(catalog, [burundi], top=10)
    assert len(found) >= 5
    for n, blend in enumerate(found, 1):
        assert blend.place <= n <= blend.last


def test_the_best_form_for_the_drink(catalog: Catalog) -> None:
    # common practice, no source: juice curdles milk; orange is used by its peel
    assert pool.best_form(catalog, "sweet-orange", "hot").form == "peel"
    for ingredient in catalog.ingredients.values():
        if ingredient.kind == "citrus" and ingredient.ingredient_id in catalog.forms_of:
            assert pool.best_form(catalog, ingredient.ingredient_id, "milk").form != "juice"


def test_style_is_heard(catalog: Catalog) -> None:
    # common practice, no source: what is right for sparkling is not what is right for milk
    plain = [coffee.brewed(catalog)]
    milk = {s.ingredient_id for s in search.shelves(catalog, plain, "milk").most}
    fizz = {s.ingredient_id for s in search.shelves(catalog, plain, "sparkling").most}
    assert {"hazelnut-roasted", "nutmeg"} & milk
    assert not {"hazelnut-roasted", "nutmeg"} & fizz
    assert {"grapefruit", "lime-persian", "ginger-fresh"} <= fizz
    assert not {"grapefruit", "lime-persian"} & milk


def test_the_first_shelf_is_the_same_for_all(
    catalog: Catalog, burundi: coffee.CoffeeBase, robusta: coffee.CoffeeBase
) -> None:
    one = search.shelves(catalog, [burundi], "milk").most
    assert [s.ingredient_id for s in one] == [
        s.ingredient_id for s in search.shelves(catalog, [robusta], "milk").most
    ]
    assert 3 <= len(one) <= 8


def test_nothing_on_the_third_shelf_is_served(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for single in search.shelves(catalog, [burundi]).untried:
        assert single.drinks == 0
        assert single.why


def test_only_avoid_and_budget(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    shelf = {"sweet-orange", "ceylon-cinnamon", "ginger-dried", "clove"}
    for blend in search.suggest(catalog, [burundi], limits=search.Limits(only=shelf), size=2):
        assert set(blend.ingredient_ids) <= shelf
    cheap = search.Limits(avoid={"clove"}, dearest=2)
    for blend in search.suggest(catalog, [burundi], limits=cheap):
        assert "clove" not in blend.ingredient_ids
        assert all(int(catalog.ingredients[i].price_band or 9) <= 2 for i in blend.ingredient_ids)


def test_mood_leans_to_what_such_drinks_use(catalog: Catalog) -> None:
    plain = [coffee.brewed(catalog)]
    warm = search.suggest(catalog, plain, size=2, top=10, warm=True)
    fresh = search.suggest(catalog, plain, size=2, top=10, warm=False)
    spices = {"nutmeg", "clove", "allspice", "star-anise", "ceylon-cinnamon"}

    def share(found: list[search.Blend]) -> int:
        return sum(bool(spices & set(b.ingredient_ids)) for b in found)

    assert share(warm) > share(fresh)


@pytest.mark.parametrize(
    ("options", "error"),
    [
        ({"size": 0}, PairingError),
        ({"size": 5}, PairingError),
        ({"top": 0}, PairingError),
        ({"limits": search.Limits(kinds=["metal"])}, PairingError),
        ({"shelf": "odd"}, PairingError),
        ({"style": "odd"}, PairingError),
        ({"citrus": "clove"}, PairingError),
        ({"citrus": "klove"}, UnknownNameError),
        ({"with_": ["clove", "mace", "cassia"], "size": 2}, PairingError),
    ],
)
def test_impossible_questions(
    catalog: Catalog,
    burundi: coffee.CoffeeBase,
    options: dict[str, object],
    error: type[Exception],
) -> None:
    with pytest.raises(error) as caught:
        search.suggest(catalog, [burundi], **options)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)


def test_nothing_fits(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    seeds = {
        pool.species(catalog, i)
        for i in pool.suggestable(catalog)
        if catalog.ingredients[i].kind == "seed"
    }
    assert len(seeds) < 4
    with pytest.raises(NothingFoundError):
        search.suggest(
            catalog, [burundi], limits=search.Limits(kinds=["seed"]), citrus="none", size=4
        )


def test_warm_answers_in_under_a_second(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    search.suggest(catalog, [burundi])
    start = time.process_time()
    search.suggest(catalog, [burundi])
    assert time.process_time() - start < 1.0


def test_a_blend_within_a_shelf_holds_one_of_that_shelf(catalog: Catalog) -> None:
    """Of a lot with one note the shelf is short: what is good with most must not crowd it out."""
    base = coffee.brewed(catalog, "ethiopia", "natural", notes="blueberry")
    right = {s.ingredient_id for s in search.shelves(catalog, [base]).this}
    for plain in (False, True):
        found = search.suggest(catalog, [base], top=20, plain=plain)
        assert all(right & set(b.ingredient_ids) for b in found)
        assert len({frozenset(b.ingredient_ids) for b in found}) == len(found)
