"""A coffee as people really say it: in other languages, with its notes, with the trade's words."""

from __future__ import annotations

import pytest

from pairing.aroma.cup import movement, said
from pairing.aroma.description import describe
from pairing.aroma.spoken import read_coffee
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog


@pytest.mark.parametrize(
    ("text", "origin", "process", "roast", "brew"),
    [  # common words of the trade; common practice, no source
        ("kenia gewaschen hell filter", "kenya", "washed", "light", "filter"),
        ("éthiopie lavé clair", "ethiopia", "washed", "light", "double-espresso"),
        ("méxico lavado oscuro", "mexico", "washed", "dark", "double-espresso"),
        ("brasil natural escuro", "brazil", "natural", "dark", "double-espresso"),
        ("タンザニア 浅煎り ハンドドリップ", "tanzania", "washed", "light", "filter"),
        ("埃塞俄比亚 日晒 手冲", "ethiopia", "natural", "medium", "filter"),
        ("yemen mokha matari", "yemen", "natural", "medium", "double-espresso"),
        ("etiopia yirgachefe", "ethiopia", "washed", "medium", "double-espresso"),
        # two words that say where it is from as well as what was done to it
        ("monsooned malabar espresso", "india", "monsooned", "medium", "double-espresso"),
    ],
)
def test_it_is_read_in_the_languages_of_bags(
    catalog: Catalog, text: str, origin: str, process: str, roast: str, brew: str
) -> None:
    coffee = read_coffee(catalog, text)
    assert (coffee.origin, coffee.process, coffee.roast, coffee.brew) == (
        origin,
        process,
        roast,
        brew,
    )


def test_arabica_of_a_robusta_country_is_not_processed_as_its_robusta(catalog: Catalog) -> None:
    for coffee in (read_coffee(catalog, "uganda bugisu"), describe(catalog, origin="bugisu")):
        assert (coffee.species, coffee.process) == ("arabica", "washed")
    assert read_coffee(catalog, "uganda bugisu natural").process == "natural"
    assert read_coffee(catalog, "uganda").process == "natural"


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("natural ethiopian cold brew, blueberry", ("blueberry",)),
        ("co-fermented colombia with peach and jasmine", ("peach", "jasmine")),
        ("60% brazil 40% kenya phin, hazelnut", ("hazelnut",)),
        ("honey costa rica", ()),  # a process, no note
    ],
)
def test_notes_may_stand_in_the_breath(catalog: Catalog, text: str, notes: tuple[str, ...]) -> None:
    assert read_coffee(catalog, text).notes == notes


def test_notes_given_apart_take_the_place_of_those_in_the_breath(catalog: Catalog) -> None:
    assert read_coffee(catalog, "kenya, blueberry", "lemon").notes == ("lemon",)


@pytest.mark.parametrize("text", ["banana", "jasmine, bergamot", "with", "kenya starry"])
def test_what_names_no_coffee_is_refused(catalog: Catalog, text: str) -> None:
    with pytest.raises(PairingError):
        read_coffee(catalog, text)


def test_an_unknown_word_is_repeated_as_it_was_written(catalog: Catalog) -> None:
    with pytest.raises(PairingError, match="ドドド"):
        read_coffee(catalog, "kenya ドドド")


def test_a_brew_reckoned_as_another_keeps_its_name(catalog: Catalog) -> None:
    coffee = read_coffee(catalog, "kenya siphon")
    assert "siphon (reckoned as filter)" in coffee.words
    assert read_coffee(catalog, coffee.spoken) == coffee
    assert describe(catalog, brew="siphon").called == "siphon"
    for own in ("moka", "espresso", "cold brew", "コールドブリュー", "v60"):  # the last is a mark
        assert read_coffee(catalog, own).called == ""


@pytest.mark.parametrize(
    "way", ["ea", "ethyl acetate", "sugarcane", "mountain water", "co2", "swiss water process"]
)
def test_ways_of_taking_caffeine_out_are_read(catalog: Catalog, way: str) -> None:
    coffee = read_coffee(catalog, f"decaf colombia {way} medium espresso")
    assert coffee.decaf
    assert (coffee.origin, coffee.process) == ("colombia", "washed")


def test_the_notes_of_a_blend_speak_for_it(catalog: Catalog) -> None:
    blend = read_coffee(catalog, "60% brazil 40% kenya, blueberry")
    lot = read_coffee(catalog, "kenya, blueberry")
    assert movement(catalog, blend) == movement(catalog, lot)


def test_what_is_written_beside_a_note_is_not_called_found(catalog: Catalog) -> None:
    moved = movement(catalog, read_coffee(catalog, "kenya, blueberry"))
    assert not moved["blueberry"].beside
    assert moved["cocoa-powder"].beside
    assert moved["cocoa-powder"].words == ("blueberry",)


def test_one_cup_is_one_cup(catalog: Catalog) -> None:
    line = said(catalog, read_coffee(catalog, "sulawesi")).line
    assert line.startswith("Only 1 cup of Sulawesi tasted; ")
