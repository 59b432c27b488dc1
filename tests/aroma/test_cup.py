"""What tasters say of a coffee: notes in six languages, movement, words of the trade."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from pairing.aroma.coffee import Coffee, base, describe
from pairing.aroma.cup import NAMED, cups, movement
from pairing.aroma.notes import group_weights, note_of, read_notes
from pairing.aroma.spoken import read_coffee
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog

SHARED = Path(__file__).resolve().parents[3] / "shared"
PUBLISHED = SHARED / "validation" / "coffee_notes.csv"


def top(catalog: Catalog, coffee: Coffee, n: int = 12) -> list[str]:
    found = movement(catalog, coffee)
    spoken = {i: m for i, m in found.items() if m.words}
    return sorted(spoken, key=lambda i: -spoken[i].score)[:n]


@pytest.mark.parametrize(
    ("word", "note"),
    [
        ("Schwarze Johannisbeere", "black currant"),
        ("cassis", "black currant"),
        ("avellana", "hazelnut"),
        ("pamplemousse rose", "pink grapefruit"),
        ("mirtilo", "blueberry"),
        ("juicy ripe blueberry", "blueberry"),
        ("Tomato leaf", "tomato leaf"),
        ("fr: noix", None),
        ("fr: prune", "plum"),
        ("prune", None),
    ],
)
def test_a_bag_in_six_languages(catalog: Catalog, word: str, note: str | None) -> None:
    if note is None:
        with pytest.raises(UnknownNameError, match=r"can mean .* or .*; write which"):
            read_notes(catalog, word)
    else:
        assert read_notes(catalog, word) == (note,)


def test_unknown_notes_are_answered_with_the_nearest_in_one_line(catalog: Catalog) -> None:
    with pytest.raises(UnknownNameError) as caught:
        read_notes(catalog, "black curant, grapefruit")
    assert "black currant" in str(caught.value)
    assert "\n" not in str(caught.value)
    for bad in ("", " , ;", ",".join(["lemon"] * 13)):
        with pytest.raises(PairingError):
            read_notes(catalog, bad)


def test_the_lexicon_joins_with_the_catalogue(catalog: Catalog) -> None:
    for note in catalog.notes.values():
        shares = group_weights(note)
        assert set(shares) <= set(catalog.groups)
        assert not shares or math.isclose(sum(shares.values()), 1, abs_tol=0.011)
        assert bool(shares) or bool(note.taste) or note.family == "other"
        assert set(note.names_ids) | set(note.near_ids) <= set(catalog.ingredients)
        assert set(note.compound_ids) <= set(catalog.compounds)
    for row in catalog.cup_notes:
        assert row.note in catalog.notes
        assert row.cups_with_note <= row.cups


@pytest.mark.skipif(not PUBLISHED.is_file(), reason="tasters' notes are not beside this checkout")
def test_counts_are_those_of_the_reviews(catalog: Catalog) -> None:
    with PUBLISHED.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    held = cups(catalog)
    assert held.total == len(rows)
    kenya = [r for r in rows if r["origin"] == "kenya"]
    said = sum("black currant" in r["notes"].split(";") for r in kenya)
    assert held.size["origin", "kenya"][0] == len(kenya)
    assert held.of["origin", "kenya"]["black currant"] >= said > 0
    both = [r for r in rows if {"cedar", "hazelnut"} <= set(r["notes"].split(";"))]
    assert held.together[held.at["cedar"], held.at["hazelnut"]] >= len(both) > 0


def test_a_plain_coffee_moves_nothing_and_what_was_not_tasted_is_not_known(
    catalog: Catalog,
) -> None:
    assert movement(catalog, describe(catalog)) == {}
    assert movement(catalog, describe(catalog, origin="vietnam")) == {}  # robusta: no cup
    assert "cubeb" not in movement(catalog, describe(catalog, origin="kenya"))


def test_unlike_coffees_move_unlike_ingredients(catalog: Catalog) -> None:
    gesha = top(catalog, describe(catalog, variety="gesha", roast="light"))
    sumatra = top(catalog, describe(catalog, origin="sumatra", roast="dark"))
    assert {"bergamot", "jasmine"} <= set(gesha)
    assert {"bergamot", "jasmine"}.isdisjoint(sumatra)
    assert len(set(gesha) & set(sumatra)) <= 4


def test_gesha_is_a_variety_wherever_it_grows(catalog: Catalog) -> None:
    assert describe(catalog, variety="geisha").origin == "panama-gesha"
    assert describe(catalog, origin="panama", variety="gesha").origin == "panama-gesha"
    there = describe(catalog, origin="colombia", variety="gesha")
    assert (there.origin, there.variety) == ("colombia", "gesha")
    assert "Gesha" in there.words
    moved = movement(catalog, there)
    plain = movement(catalog, describe(catalog, origin="colombia"))
    assert moved["bergamot"].score > plain["bergamot"].score + 1


def test_the_notes_of_a_lot_take_the_place_of_its_origin(catalog: Catalog) -> None:
    notes = "black currant, grapefruit, cedar"
    a = movement(catalog, describe(catalog, origin="kenya", notes=notes))
    b = movement(catalog, describe(catalog, origin="brazil", notes=notes))
    assert a == b
    assert a["grapefruit"].score > NAMED - 0.5
    assert a["grapefruit"].words[0] == "grapefruit"
    # pine is like nothing the panel names with yuzu, but the bag names yuzu itself
    assert movement(catalog, describe(catalog, notes="yuzu"))["yuzu"].score >= NAMED - 0.5


def test_fewer_cups_move_less(catalog: Catalog) -> None:
    held = cups(catalog)
    strongest = {
        o: max(abs(held.origin(o)[0])) for o in ("bolivia", "china-yunnan", "ethiopia", "kenya")
    }
    assert max(strongest["bolivia"], strongest["china-yunnan"]) < strongest["ethiopia"] + 0.5
    # an origin that nobody tasted answers like its region, Laos like the rest of Asia or not at all
    value, n = held.origin("laos")
    assert n == sum(held.size[k][0] for k in held.neighbours("laos")) or (n, value.any()) == (0, 0)


def test_the_tool_works_without_the_tasters(catalog: Catalog, tmp_path: Path) -> None:
    for path in catalog.folder.glob("*.csv"):
        if not path.name.startswith("cup_"):
            (tmp_path / path.name).write_bytes(path.read_bytes())
    bare = Catalog(tmp_path)
    assert movement(bare, describe(bare, origin="kenya")) == {}
    assert base(bare, describe(bare, origin="kenya")).oav.any()
    assert movement(bare, describe(bare, notes="grapefruit"))["grapefruit"].score == NAMED


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("phin vietnam dark", {"brew": "moka", "origin": "vietnam", "roast": "dark"}),
        ("gesha light v60", {"variety": "gesha", "brew": "filter", "origin": "panama-gesha"}),
        ("anaerobic natural colombia aeropress", {"process": "anaerobic", "brew": "filter"}),
        ("french roast french press", {"roast": "dark", "brew": "french-press"}),
        ("swiss water natural ethiopia", {"decaf": True, "process": "natural"}),
        ("medium-light yirgacheffe pour over", {"roast": "medium-light", "brew": "filter"}),
        ("cortado brazil", {"brew": "double-espresso", "origin": "brazil"}),
        ("pacamara honduras", {"idle": ("pacamara",), "origin": "honduras"}),
        ("co-ferment colombia nordic", {"process": "anaerobic", "roast": "light"}),
    ],
)
def test_words_of_the_trade(catalog: Catalog, text: str, wanted: dict[str, object]) -> None:
    coffee = read_coffee(catalog, text)
    assert {k: getattr(coffee, k) for k in wanted} == wanted


def test_every_word_is_understood_or_asked_back(catalog: Catalog) -> None:
    assert len(catalog.coffee_words) >= 266
    for word in catalog.coffee_words:
        if word.choices:
            with pytest.raises(UnknownNameError, match="can mean"):
                read_coffee(catalog, word.word)
        else:
            coffee = read_coffee(catalog, word.word)
            factor, _, level = word.means.partition("=")
            if factor and level != "decaffeinated":
                assert getattr(coffee, factor) == level, word.word


def test_marks_are_understood_and_never_printed(catalog: Catalog) -> None:
    marks = [w.word for w in catalog.coffee_words if w.mark]
    assert marks
    for mark in marks:
        coffee = read_coffee(catalog, mark)
        assert mark not in coffee.words.casefold()
        with pytest.raises(UnknownNameError) as caught:
            read_coffee(catalog, mark[:-2] + "xq")
        assert mark not in str(caught.value).split("did you mean")[-1]


def test_blends_by_shares(catalog: Catalog) -> None:
    coffee = read_coffee(catalog, "60% brazil natural, 40% ethiopia washed, light, filter")
    assert [share for share, _ in coffee.parts] == [0.6, 0.4]
    assert [part.process for _, part in coffee.parts] == ["natural", "washed"]
    assert {part.roast for _, part in coffee.parts} == {"light"}
    mixed, brazil, ethiopia = (base(catalog, c) for c in (coffee, *(p for _, p in coffee.parts)))
    assert mixed.best == pytest.approx(0.6 * brazil.best + 0.4 * ethiopia.best)
    both = movement(catalog, coffee)
    parts = [movement(catalog, part) for _, part in coffee.parts]
    assert both["jasmine"].score == pytest.approx(
        0.6 * parts[0]["jasmine"].score + 0.4 * parts[1]["jasmine"].score
    )
    for bad in ("60% brazil, 30% kenya", "60% brazil, 40% light", "50% , 50% kenya", "0% kenya"):
        with pytest.raises(PairingError):
            read_coffee(catalog, bad)


def test_half_decaffeinated_blends_keep_half_the_caffeine(catalog: Catalog) -> None:
    full = base(catalog, read_coffee(catalog, "brazil filter")).caffeine_mg[1]
    half = base(catalog, read_coffee(catalog, "50% decaf brazil, 50% brazil, filter")).caffeine_mg[
        1
    ]
    assert 0.5 * full <= half < 0.6 * full


def test_note_of_takes_the_language_of_the_bag(catalog: Catalog) -> None:
    assert note_of(catalog, "Paprika", "de").note == "bell pepper"
    assert note_of(catalog, "paprika", "en").note == "paprika"
