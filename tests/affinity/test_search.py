from __future__ import annotations

import itertools

import numpy as np
import pytest

from pairing.affinity import model as affinity
from pairing.affinity import reasons, search
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
    found = search.best_combinations(
        single, paired, owner, slots, np.array([], dtype=np.intp), 12, worst
    )
    every = []
    for c in citrus:
        for others in itertools.combinations(rest.tolist(), size - 1):
            combo = (int(c), *others)
            if len({int(owner[i]) for i in combo}) == size:
                every.append(combo)
    scores = search._merge(search._totals(single, paired, np.array(every)), worst)
    best = np.sort(scores)[::-1][:12]
    ours = search._merge(search._totals(single, paired, found), worst)
    assert np.allclose(ours, best)


def test_fixed_partners_stay(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    found = search.suggest(
        catalog, [burundi], with_=["elaichi"], citrus="mandarin", size=3, top=5, draws=100
    )
    for blend in found:
        owners = {catalog.forms[f].ingredient_id for f in blend.form_ids}
        assert {"green-cardamom", "mandarin"} <= owners
        assert len(owners) == 3


def test_parts_add_up_exactly(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for size in (1, 2, 3, 4):
        for blend in search.suggest(catalog, [burundi], size=size, top=5, draws=100):
            assert blend.score == search.MIDDLE + sum(p.points for p in blend.parts)
            assert blend.score == pytest.approx(blend.per_coffee[0], abs=1e-9)
            assert blend.low <= blend.score <= blend.high


def test_contributions_add_up_to_the_harmony(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for name in ("green-cardamom", "clove", "mandarin-peel", "lavender", "hazelnut-roasted"):
        found = search.check(catalog, name, burundi, draws=100)
        assert sum(c.value for c in found.contributions) == pytest.approx(found.harmony, abs=1e-9)


def test_same_seed_same_answer(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    one = search.suggest(catalog, [burundi], size=3, top=5, seed=7)
    two = search.suggest(catalog, [burundi], size=3, top=5, seed=7)
    other = search.suggest(catalog, [burundi], size=3, top=5, seed=8)
    assert one == two
    assert [b.form_ids for b in one] == [b.form_ids for b in other]
    assert one != other


def test_regulated_plants_are_never_suggested(catalog: Catalog) -> None:
    allowed = {catalog.forms[f].ingredient_id for f in search.suggestable(catalog)}
    for ingredient in catalog.ingredients.values():
        if ingredient.regulated == "yes":
            assert ingredient.ingredient_id not in allowed
    base = coffee.brewed(catalog)
    with pytest.raises(PairingError, match="never suggested"):
        search.check(catalog, "tonka bean", base)
    with pytest.raises(PairingError, match="never suggested"):
        search.suggest(catalog, [base], with_=["sassafras"])


def test_season_is_kept(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for blend in search.suggest(catalog, [burundi], size=2, month=8, top=20, draws=100):
        for form_id in blend.form_ids:
            months = catalog.ingredients[catalog.forms[form_id].ingredient_id].season_months
            assert not months or 8 in months


def test_one_species_once(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for blend in search.suggest(catalog, [burundi], size=4, top=50, plain=True, draws=100):
        species = [search.species(catalog, f) for f in blend.form_ids]
        assert len(set(species)) == len(species)


def test_several_coffees_are_served_by_the_worst(
    catalog: Catalog, burundi: coffee.CoffeeBase, robusta: coffee.CoffeeBase
) -> None:
    both = search.suggest(catalog, [burundi, robusta], size=2, top=5, draws=100)
    for blend in both:
        assert len(blend.per_coffee) == 2
        assert blend.score == pytest.approx(min(blend.per_coffee), abs=1e-9)
    mean = search.suggest(catalog, [burundi, robusta], size=2, top=5, draws=100, average=True)
    for blend in mean:
        assert blend.score == pytest.approx(np.mean(blend.per_coffee), abs=1e-9)


def single_scores(catalog: Catalog, base: coffee.CoffeeBase) -> dict[str, float]:
    ids = search.suggestable(catalog)
    pool = search.candidates(catalog, [base], ids)
    points = search._single(pool, 0.0)[0]
    return dict(zip(ids, points.tolist(), strict=True))


# Which way partners must move with the coffee: (gains, against, coffee where it gains, other
# coffee, where the direction comes from)
LIGHT_ETHIOPIA = {"origin": "ethiopia", "process": "washed", "roast": "light", "brew": "filter"}
DARK_ROBUSTA = {"origin": "vietnam", "roast": "dark", "species": "robusta", "brew": "filter"}
MOVES = [
    # linalool falls and phenols rise with roast: roast trend after Baggenstoss et al. (2008);
    # robusta phenols are 5-13 times arabica's: Semmelroch et al. (1995), recalled
    (("bergamot-peel", "jasmine", "lavender", "coriander-seed", "orange-blossom"),
     ("clove", "black-cardamom", "lapsang-smoked-tea"), LIGHT_ETHIOPIA, DARK_ROBUSTA),
    # common practice, no source: a dark robusta takes cacao, nut and roast
    (("cacao-nib", "chicory-root-roasted", "hazelnut-roasted"),
     ("rose-petal", "jasmine", "bergamot-peel"), DARK_ROBUSTA, LIGHT_ETHIOPIA),
    # common practice, no source: naturals are fruity, the esters echo
    (("elderflower", "roman-chamomile"), ("cacao-nib", "hazelnut-roasted"),
     {"origin": "ethiopia", "process": "natural"}, {"origin": "ethiopia", "process": "washed"}),
    # common practice, no source: gesha is jasmine and bergamot, sumatra earth and wood
    (("bergamot-peel", "jasmine", "lemon-verbena"), ("nutmeg", "clove", "long-pepper"),
     {"origin": "panama-gesha"}, {"origin": "sumatra"}),
]  # fmt: skip


@pytest.mark.parametrize(("gains", "loses", "here", "there"), MOVES)
def test_the_ranking_moves_with_the_coffee(
    catalog: Catalog,
    gains: tuple[str, ...],
    loses: tuple[str, ...],
    here: dict[str, str],
    there: dict[str, str],
) -> None:
    first = single_scores(catalog, coffee.brewed(catalog, **here))
    second = single_scores(catalog, coffee.brewed(catalog, **there))
    up = np.mean([first[f] - second[f] for f in gains])
    down = np.mean([first[f] - second[f] for f in loses])
    assert up > down + 0.5


def test_peel_beats_sour_juice_with_a_bright_coffee(
    catalog: Catalog, burundi: coffee.CoffeeBase
) -> None:
    # common practice, no source: with coffee the peel works, sour juice rarely
    for fruit in ("lemon", "lime-persian", "yuzu"):
        pool = search.candidates(catalog, [burundi], [f"{fruit}-peel", f"{fruit}-juice"])
        peel, juice = search._single(pool, 0.0)[0].tolist()
        assert peel > juice, fruit


def test_trade_sense_for_a_plain_espresso(catalog: Catalog) -> None:
    # common practice, no source: what every bar knows beside coffee stands in the better half
    base = coffee.brewed(catalog)
    for name in ("green-cardamom", "ceylon-cinnamon", "cassia", "clove", "cacao-nib",
                 "hazelnut-roasted", "sweet-orange-peel", "vanilla-bean"):  # fmt: skip
        found = search.check(catalog, name, base, draws=100)
        assert found.verdict in ("suits it well", "suits it"), name
    for name in ("cumin", "dill-seed", "ajwain", "lemon-juice"):
        found = search.check(catalog, name, base, draws=100)
        assert found.verdict not in ("suits it well",), name


def test_precedent_is_a_part_of_its_own(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    familiar, surprising, bare = (
        search.suggest(catalog, [burundi], size=1, kinds=["spice"], top=5, taste=t, draws=100)
        for t in ("familiar", "surprising", "aroma-only")
    )

    def precedent(found: list[search.Blend]) -> float:
        return float(np.mean([b.precedent for b in found]))

    assert precedent(familiar) > precedent(bare) > precedent(surprising)
    for blend in bare:
        assert {p.key: p.points for p in blend.parts}["precedent"] == 0.0


def test_reasons_are_words(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    for blend in search.suggest(catalog, [burundi], size=3, top=10, draws=100):
        why = reasons.blend_reasons(catalog, burundi, blend)
        assert len(why) >= 4
        for line in why:
            assert "aroma:" not in line
            assert "taste:" not in line
            assert "known:" not in line


@pytest.mark.parametrize(
    ("options", "error"),
    [
        ({"size": 0}, PairingError),
        ({"size": 5}, PairingError),
        ({"top": 0}, PairingError),
        ({"kinds": ["metal"]}, PairingError),
        ({"taste": "odd"}, PairingError),
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
        search.suggest(catalog, [burundi], draws=100, **options)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)


def test_nothing_fits(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    seeds = {search.species(catalog, f) for f in search.suggestable(catalog)
             if catalog.kind(catalog.forms[f]) == "seed"}  # fmt: skip
    assert len(seeds) < 4
    with pytest.raises(NothingFoundError):
        search.suggest(catalog, [burundi], kinds=["seed"], citrus="none", size=4, draws=100)


def test_features_of_a_coffee_change_only_with_the_coffee(catalog: Catalog) -> None:
    plain = affinity.coffee_features(catalog, coffee.brewed(catalog, brew="filter"))
    assert np.allclose(plain, affinity.coffee_features(catalog))


def test_what_a_coffee_favours(catalog: Catalog) -> None:
    # common practice, no source: light washed Ethiopians take blossom, dark robusta smoke and roast
    gains, losses = search.favours(catalog, coffee.brewed(catalog, **LIGHT_ETHIOPIA))
    blossom = {"jasmine", "orange-blossom", "bergamot", "bergamot-peel", "coriander-seed",
               "lavender", "lemon-thyme"}  # fmt: skip
    assert len(blossom & set(gains)) >= 3
    dark, _ = search.favours(catalog, coffee.brewed(catalog, **DARK_ROBUSTA))
    assert not blossom & set(dark)
    assert not set(gains) & set(losses)
    assert search.favours(catalog, coffee.brewed(catalog)) == ([], [])
