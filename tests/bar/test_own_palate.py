"""A bar's own tastings in its own suggestions: asked for, shown, and gone when not asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairing.affinity import search
from pairing.aroma.coffee import brewed
from pairing.bar.journal import Journal, open_journal
from pairing.bar.own_palate import own_palate
from pairing.errors import NothingFoundError
from pairing.evidence.catalog import Catalog


@pytest.fixture
def book(tmp_path: Path):
    with open_journal(tmp_path / "j.sqlite") as found:
        yield found


def fill(book: Journal, trials: int) -> None:
    """Guests like clove two points better than ginger, all with orange peel."""
    for trial in range(trials):
        for taster in ("Ana", "Bo", "Cy"):
            level = {"Ana": 5, "Bo": 6, "Cy": 7}[taster]
            for name, points in (("clove", 1), ("ginger-dried", -1)):
                doses = {"sweet-orange-peel": 10.0, name: 1.0 + trial}
                book.add_tastings(
                    [{"trial": name, "taster": taster, "liking": level + points, "doses": doses}]
                )


def known(catalog: Catalog):
    return lambda n: catalog.forms[n].ingredient_id if n in catalog.forms else None


def test_it_moves_what_differs_and_only_that(book: Journal, catalog: Catalog) -> None:
    with pytest.raises(NothingFoundError, match="no liking of trials"):
        own_palate(book, known(catalog))
    fill(book, 6)
    found = own_palate(book, known(catalog))
    assert found.log_odds["clove"] == pytest.approx(0.25)  # half a point a log-odds, half believed
    ginger = catalog.forms["ginger-dried"].ingredient_id
    assert found.log_odds[ginger] == pytest.approx(-0.25)
    orange = catalog.forms["sweet-orange-peel"].ingredient_id
    assert found.log_odds[orange] == pytest.approx(0.0)
    assert "36 tastings of 12 trials" in str(found)
    assert "leave --own-palate out" in str(found)


def test_few_trials_move_little_and_many_never_rule(book: Journal, catalog: Catalog) -> None:
    fill(book, 1)
    assert own_palate(book, known(catalog)).log_odds["clove"] < 0.1
    fill(book, 200)
    assert own_palate(book, known(catalog)).log_odds["clove"] <= 1.0


def test_suggest_leans_to_it_when_asked_and_not_otherwise(catalog: Catalog) -> None:
    base = [brewed(catalog, origin="burundi")]
    asked = {"size": 1, "top": 40, "plain": True, "citrus": "none"}
    plain = search.suggest(catalog, base, **asked)
    last = plain[-1].ingredient_ids[0]
    leaning = search.suggest(catalog, base, **asked, own={last: 1.0})
    place = [b.ingredient_ids[0] for b in leaning].index(last)
    assert place < len(plain) - 1
    assert leaning[place].practice == pytest.approx(plain[-1].practice + 1.0)
    assert search.suggest(catalog, base, **asked) == plain
