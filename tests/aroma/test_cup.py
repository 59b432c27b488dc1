"""What tasters say of a coffee: notes in six languages, movement, words of the trade."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from pairing.aroma.coffee import base, brewed, plain_coffee
from pairing.aroma.cup import NAMED, cups, movement, said
from pairing.aroma.description import Coffee, describe
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
        ("prune", "dried plum"),
        ("raisin", "raisin"),
        ("noix", None),
        ("yoghurt", "yogurt"),
        ("chocolatey", "chocolate"),
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
        ("phin vietnam dark", {"brew": "phin", "origin": "vietnam", "roast": "dark"}),
        ("gesha light v60", {"variety": "gesha", "brew": "filter", "origin": "panama-gesha"}),
        ("anaerobic natural colombia aeropress", {"process": "anaerobic", "brew": "filter"}),
        ("french roast french press", {"roast": "dark", "brew": "french-press"}),
        ("swiss water natural ethiopia", {"decaf": True, "process": "natural"}),
        ("medium-light yirgacheffe pour over", {"roast": "medium-light", "brew": "filter"}),
        ("cortado brazil", {"brew": "double-espresso", "origin": "brazil"}),
        ("pacamara honduras", {"idle": ("pacamara",), "origin": "honduras"}),
        ("pink bourbon colombian filter", {"idle": ("pink bourbon",), "origin": "colombia"}),
        ("house blend cuba", {"idle": ("cuba",), "origin": None}),
        ("yemen mocha natural", {"origin": "yemen", "brew": "double-espresso"}),
        ("mocha natural yemeni", {"origin": "yemen", "process": "natural"}),
        ("uganda bugisu", {"origin": "uganda", "species": "arabica"}),
        ("bugisu robusta", {"origin": "uganda", "species": "robusta"}),
        ("ugandan", {"origin": "uganda", "species": "robusta"}),
        ("colombian decaf sugar cane", {"origin": "colombia", "decaf": True}),
        ("co-ferment colombia nordic", {"process": "anaerobic", "roast": "light"}),
    ],
)
def test_words_of_the_trade(catalog: Catalog, text: str, wanted: dict[str, object]) -> None:
    coffee = read_coffee(catalog, text)
    assert {k: getattr(coffee, k) for k in wanted} == wanted


@pytest.mark.parametrize(
    "text",
    ["60% brazil natural, 40% ethiopia", "60% natural brazil 40% ethiopia",
     "natural brazil 60% ethiopia 40%"],
)  # fmt: skip
def test_a_blend_needs_no_commas(catalog: Catalog, text: str) -> None:
    parts = read_coffee(catalog, text).parts
    assert [(share, c.origin, c.process) for share, c in parts] == [
        (0.6, "brazil", "natural"),
        (0.4, "ethiopia", "washed"),
    ]


@pytest.mark.parametrize("text", ["50/50 brazil colombia", "brazil, colombia", "half brazil kenya"])
def test_a_blend_without_shares_is_told_how(catalog: Catalog, text: str) -> None:
    with pytest.raises(PairingError, match=r"with shares, such as 60% brazil, 40% ethiopia"):
        read_coffee(catalog, text)


def test_a_district_of_another_species_is_told_by_its_name_alone(catalog: Catalog) -> None:
    assert describe(catalog, origin="bugisu").species == "arabica"
    assert describe(catalog, origin="uganda").species == "robusta"
    assert describe(catalog, origin="bugisu", species="robusta").species == "robusta"


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


def test_what_a_coffee_is_said_to_taste_of(catalog: Catalog) -> None:
    kenya = said(catalog, describe(catalog, origin="kenya"))
    assert "black currant" in [w for w, _ in kenya.more]
    assert "113 cups tasted" in kenya.line
    assert "earth" in [w for w, _ in said(catalog, describe(catalog, origin="sumatra")).more]
    assert "No cup of Laos was tasted" in said(catalog, describe(catalog, origin="laos")).line
    assert "No robusta was tasted" in said(catalog, describe(catalog, origin="vietnam")).line
    lot = said(catalog, describe(catalog, origin="kenya", notes="yuzu"))
    assert lot.ground == "notes"
    assert "tells little" in lot.line
    blend = said(catalog, read_coffee(catalog, "50% kenya, 50% sumatra"))
    assert "Kenya" in blend.line
    assert "Sumatra" in blend.line


@pytest.mark.parametrize(
    "text",
    [
        "washed burundi light filter",
        "decaf natural ethiopia medium-light moka",
        "colombia gesha anaerobic dark cold brew",
        "gesha",
        "robusta vietnam phin",
        "33% brazil, 67% decaf kenya, medium-dark, espresso",
    ],
)
def test_a_coffee_said_is_read_back(catalog: Catalog, text: str) -> None:
    coffee = read_coffee(catalog, text)
    assert read_coffee(catalog, coffee.spoken) == coffee


def loud(catalog: Catalog, group: str, **words: str) -> float:
    made = brewed(catalog, **words)
    return float(made.oav[made.axis.group_of == made.axis.groups.index(group)].sum())


def test_the_cup_moves_the_base(catalog: Catalog) -> None:
    """Kenya has its blackcurrant; wet-hulled earth is no roast pyrazine."""
    assert loud(catalog, "fruit-thiols", origin="kenya") > 0.1
    assert loud(catalog, "fruit-thiols") == 0
    assert loud(catalog, "fruit-thiols", notes="cassis, grapefruit") > 3
    wet = brewed(catalog, process="wet-hulled")
    plain = plain_coffee(catalog)
    pyrazines = plain.axis.group_of == plain.axis.groups.index("roast-pyrazines")
    assert wet.oav[pyrazines].sum() == pytest.approx(plain.oav[pyrazines].sum())
    assert loud(catalog, "earthy-animalic", process="wet-hulled") > 1
    assert brewed(catalog, origin="kenya").tasted == {"origin": 113}
    assert brewed(catalog, origin="vietnam").tasted == {}
    green = plain.axis.position["2-isobutyl-3-methoxypyrazine"]
    ratio = brewed(catalog, species="robusta").best[green] / plain.best[green]
    assert ratio == pytest.approx(0.28, abs=0.03)  # Semmelroch 1995, recalled: 0.023 / 0.083


def test_acidity_follows_the_scores(catalog: Catalog) -> None:
    sour = {o: brewed(catalog, origin=o).taste["acidity"] for o in ("kenya", "brazil", "jamaica")}
    assert sour["kenya"] > sour["brazil"] > sour["jamaica"] - 0.2
    light, between, medium = (
        brewed(catalog, roast=r).taste["acidity"] for r in ("light", "medium-light", "medium")
    )
    assert light > between > medium
