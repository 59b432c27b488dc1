"""Results become documents and notebook markup, stops first, of the bar that they came from."""

from __future__ import annotations

import json

import jsonschema
import pytest
from click.testing import CliRunner

from pairing.cards import schema
from pairing.cards.documents import document
from pairing.cli import cli
from pairing.errors import PairingError
from pairing.lab import open_lab

LAB = open_lab()
CUP = LAB.coffee("washed burundi light espresso")
ASK = ["--coffee", "washed burundi light espresso", "--format", "json"]


def said(*words: str) -> object:
    return json.loads(CliRunner().invoke(cli, [*words, *ASK]).stdout)


def test_to_dict_is_what_the_command_prints() -> None:
    made = LAB.formula(["mandarin", "clove"], CUP)
    assert made.to_dict() == said("formula", "mandarin", "clove")
    assert LAB.drink(made).to_dict() == said("drink", "mandarin", "clove")
    assert LAB.check("clove", CUP).to_dict() == said("check", "clove")


def test_a_blend_and_a_coffee_have_documents_too() -> None:
    blend = LAB.suggest(CUP, top=1)[0]
    assert [i["id"] for i in blend.to_dict()["ingredients"]] == list(blend.form_ids)
    assert CUP.to_dict()["origin"] == "burundi"
    for made in (blend.to_dict(), CUP.to_dict()):
        jsonschema.validate(made, schema.schema(made["document"]))
    assert blend.to_dict()["model"] is None  # the shipped one


def test_a_notebook_shows_the_stop_first_and_its_pictures() -> None:
    shown = LAB.formula(["clove"], CUP, doses={"clove": "900g/kg"})._repr_html_()
    body = shown.split("<div>", 1)[1]
    assert body.startswith('<p class="stop">STOP')
    assert "<svg" in body


def test_what_has_no_document_says_so() -> None:
    with pytest.raises(PairingError, match="has no document"):
        document(3)
