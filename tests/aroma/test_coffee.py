from __future__ import annotations

import pytest

from pairing.aroma import coffee, description
from pairing.aroma import odour as aroma
from pairing.errors import UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.ranges import best_estimate


def loud(catalog: Catalog, group: str, **words: str) -> float:
    base = coffee.base(catalog, description.describe(catalog, brew="filter", **words))
    return float(aroma.group_loudness(base.oav, base.axis)[base.axis.groups.index(group)])


# Directions that the literature or the trade agrees on; none of these numbers is published.
@pytest.mark.parametrize(
    ("group", "more", "less"),
    [
        # Illy and Viani, Espresso Coffee (2005): smoky phenols grow with roast and in robusta
        ("smoky-phenols", {"roast": "dark"}, {"roast": "light"}),
        ("smoky-phenols", {"species": "robusta"}, {"species": "arabica"}),
        # common practice, no source: washed Ethiopians are floral, Vietnam robusta is not
        ("floral-terpenols", {"origin": "ethiopia", "roast": "light"}, {"origin": "vietnam"}),
        # common practice, no source: natural process brings fruit esters
        ("fruity-esters", {"process": "natural"}, {"process": "washed"}),
    ],
)
def test_the_base_moves_as_the_trade_knows(
    catalog: Catalog, group: str, more: dict[str, str], less: dict[str, str]
) -> None:
    assert loud(catalog, group, **more) > loud(catalog, group, **less) + 0.05


def test_the_reference_coffee_is_the_base_itself(catalog: Catalog) -> None:
    base = coffee.base(catalog, description.describe(catalog, brew="filter"))
    by_compound: dict[str, list[tuple[float, float]]] = {}
    for row in catalog.odorants:
        by_compound.setdefault(row.compound_id, []).append((row.low_ug_per_l, row.high_ug_per_l))
    strength = best_estimate(base.brew.strength_ratio_low, base.brew.strength_ratio_high)
    for compound_id, spans in by_compound.items():
        value = base.best[base.axis.position[compound_id]] / strength
        assert min(s[0] for s in spans) * 0.99 <= value <= max(s[1] for s in spans) * 1.01


def test_all_levels_give_different_coffees(catalog: Catalog) -> None:
    seen = set()
    for origin in catalog.origins:
        base = coffee.base(catalog, description.describe(catalog, origin))
        seen.add((tuple(base.best.round(9)), tuple(base.taste.values())))
    assert len(seen) == len(catalog.origins)


@pytest.mark.parametrize("factor", ["species", "roast", "process", "brew", "origin"])
def test_enough_levels(catalog: Catalog, factor: str) -> None:
    least = {"species": 2, "roast": 4, "process": 5, "brew": 7, "origin": 25}[factor]
    assert len(description.levels(catalog, factor)) >= least


def test_words_of_the_trade(catalog: Catalog) -> None:
    described = description.describe(catalog, "Yirgacheffe", "dry", "Blonde", "doppio", "canephora")
    assert described == description.Coffee(
        "ethiopia", "natural", "light", "double-espresso", "robusta"
    )


@pytest.mark.parametrize(
    "wrong", [{"origin": "atlantis"}, {"roast": "burnt"}, {"process": "wash"}, {"brew": "tea"}]
)
def test_unknown_words_answer_with_known_ones(catalog: Catalog, wrong: dict[str, str]) -> None:
    with pytest.raises(UnknownNameError):
        description.describe(catalog, **wrong)


def test_decaffeinated_and_robusta_caffeine(catalog: Catalog) -> None:
    plain = coffee.base(catalog, description.describe(catalog)).caffeine_mg
    decaf = coffee.base(catalog, description.describe(catalog, process="decaf")).caffeine_mg
    robusta = coffee.base(catalog, description.describe(catalog, species="robusta")).caffeine_mg
    assert decaf[1] < 0.2 * plain[1]
    # McCusker et al. (2006, abstract): a decaf shot held 3.0 to 15.8 mg; never promised less
    shot = coffee.brewed(catalog, process="decaf", brew="single-espresso").caffeine_mg
    assert 15.8 <= shot[1] < 25
    # Illy and Viani (2005): robusta holds about twice the caffeine of arabica
    assert 1.5 < robusta[1] / plain[1] < 2.6
