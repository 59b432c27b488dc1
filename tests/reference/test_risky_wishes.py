"""Risky wishes: what must stand on the first line, with which exit code, in which market.

Each row is a wish that can hurt somebody. Facts behind them: the poison list cites EFSA's
compendium of botanicals (EFSA Journal 2012;10(5):2663, from memory); laws as in ``rules.csv`` and
``limits.csv``, each with its act.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from pairing import cli
from pairing.bar.pantry import open_pantry
from pairing.errors import RefusedError
from pairing.evidence.catalog import load

CATALOG = load()


def ask(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str]:
    """Exit code and the first lines, as one text, of the answer, else of the error."""
    with pytest.raises(SystemExit) as left:
        cli.main(list(args))
    out, err = capsys.readouterr()
    text = (out if out.strip() else err).strip()
    code = left.value.code
    return (code if isinstance(code, int) else 0), re.sub(r"\s+", " ", text)


# name asked for -> a word that must stand in the one line; all of them must not be served
NAMES = {
    "lily-of-the-valley": "poisonous",
    "datura": "deadly",
    "thorn apple": "scopolamine",
    "kava": "liver failure",
    "kava kava root": "Barred",
    "yohimbe": "heart rate",
    "ma huang": "heart attacks",
    "kratom": "opioid",
    "khat": "controlled",
    "cbd": "liver",
    "hemp extract": "liver",
    "belladonna": "atropine",
    "deadly nightshade": "atropine",
    "belladona": "atropine",
    "belladonnna": "belladonna",  # a slip of the keys
    "henbane": "scopolamine",
    "yew": "taxine",
    "castor bean": "ricin",
    "oleander": "poisonous",
    "adelfa": "heart glycosides",
    "foxglove": "glycosides",
    "digitalis": "glycosides",
    "monkshood": "aconitine",
    "aconite root": "aconitine",
    "hemlock": "deadly",
    "water hemlock": "deadly",
    "autumn crocus": "deadly",
    "comfrey": "Liver",
    "coltsfoot": "pyrrolizidine",
    "pennyroyal": "pulegone",
    "rue": "burns skin",
    "tansy": "thujone",
    "calamus": "asarone",
    "tobacco": "nicotine",
    "valerian": "sedative",
    "ashwagandha": "thyroid",
    "ginseng": "blood thinners",
    "st john's wort": "contraceptive pill",
    "hypericum perforatum": "contraceptive pill",
    "senna leaf": "purgative",
    "aloe": "purging",
    "apple seed": "cyanide",
    "plum kernel": "cyanide",
    "cherry pit": "cyanide",
    "lavender oil": "oil",
    "orange oil": "oil",
    "thyme oil": "oil",
    "essential oil": "oil",
    "raw egg": "Salmonella",
    "raw milk": "Listeria",
    "titanium dioxide": "E 171",
    "wild garlic": "lily of the valley",
    "garlic in oil": "botulinum",
    "fly agaric": "mushroom",
    "mad honey": "grayanotoxin",
    "peyote": "Barred",
    "syrian rue": "harmala",
    "betel nut": "arecoline",
}


@pytest.mark.parametrize(
    ("command", "name", "word"),
    [
        *(("formula", name, word) for name, word in NAMES.items()),
        *(
            (command, name, NAMES[name])
            for name in list(NAMES)[::8]
            for command in ("label", "drink")
        ),
    ],
)
def test_a_dangerous_name_is_a_stop(
    capsys: pytest.CaptureFixture[str], command: str, name: str, word: str
) -> None:
    code, text = ask(capsys, command, name)
    assert code == cli.MUST_NOT_BE_SERVED, text
    assert text.startswith("pairing: STOP: ")
    assert word.lower() in text.lower()
    assert "did you mean" not in text


@pytest.mark.parametrize("name", ["xyzzy", "blue unobtainium", "qwxz root"])
def test_what_nobody_knows_is_not_safe(capsys: pytest.CaptureFixture[str], name: str) -> None:
    code, text = ask(capsys, "formula", name)
    assert code == cli.BAD_INPUT
    assert "not assessed here, which is not safe" in text


ALLULOSE = ("ratio", "--strength", "1:1", "--sugar-g", "300", "--sweetener", "allulose")
ERYTHRITOL = (
    *("formula", "clove", "--sweetener", "erythritol", "--strength", "0.4:1"),
    *("--serving-g", "80"),
)
# (arguments, market, exit code, what the first line must say)
LAWS = [
    (("formula", "tonka-bean"), "", 3, "21 CFR 189.130"),
    (("formula", "tonka-bean"), "us", 3, "21 CFR 189.130"),
    (("formula", "tonka-bean"), "eu", 0, "Trial syrup"),
    (("formula", "tonka-bean"), "uk", 0, "Trial syrup"),
    (("formula", "tonka-bean", "--dose", "tonka-bean=20g/kg"), "eu", 3, "coumarin"),
    (("formula", "tonka-bean", "--dose", "tonka-bean=20g/kg"), "uk", 3, "coumarin"),
    (("formula", "cassia", "--dose", "cassia=60g/kg"), "us", 3, "coumarin"),
    (("formula", "cassia", "--dose", "cassia=60g/kg"), "uk", 3, "coumarin"),
    (("formula", "sage", "--dose", "sage=60g/kg"), "us", 3, "thujone"),
    (("formula", "sassafras"), "eu", 3, "1334/2008"),
    (("formula", "activated charcoal"), "us", 3, "Not listed"),
    (("formula", "activated charcoal"), "", 3, "Not listed"),
    (("formula", "activated charcoal"), "eu", 2, "oral medicines"),
    (("formula", "titanium dioxide"), "eu", 3, "no longer allowed"),
    (("formula", "titanium dioxide"), "us", 2, "no ingredient here"),
    (("formula", "tartrazine"), "", 2, "activity and attention in children"),
    (("drink", "sucralose"), "eu", 2, "300 mg per litre"),
    (("label", "steviol glycosides"), "eu", 2, "30 mg steviol equivalents"),
    (("formula", "sassafras"), "us", 3, "189.180"),
    (("formula", "wormwood"), "uk", 3, "1334/2008"),
    (("formula", "cinchona"), "us", 0, "Trial syrup"),
    (("formula", "cinchona", "--dose", "cinchona=12g/kg"), "us", 3, "172.510"),
    (("formula", "cinchona"), "", 3, "not steeped here"),
    (("formula", "cinchona"), "eu", 3, "not steeped here"),
    (("label", "cinchona"), "uk", 3, "not steeped here"),
    (("drink", "cinchona"), "eu", 3, "not steeped here"),
    (("formula", "bitter-almond"), "uk", 3, "EFSA"),
    (("formula", "mandarin-peel", "--sweetener", "xylitol"), "eu", 3, "1333/2008"),
    (("formula", "mandarin-peel", "--sweetener", "xylitol"), "us", 0, "Xylitol, 11.8 g"),
    ((*ALLULOSE,), "uk", 3, "2015/2283"),
    ((*ALLULOSE,), "us", 0, "Weigh"),
    (ERYTHRITOL, "eu", 3, "erythritol"),
    (("formula", "cassia", "--dose", "cassia=60g/kg"), "", 3, "coumarin"),
    (("formula", "nutmeg", "--dose", "nutmeg=250g/kg"), "", 3, "nutmeg"),
    (
        ("formula", "nutmeg", "nutmeg-ground", "--dose", "nutmeg=40g/kg", "--dose",
         "nutmeg-ground=24g/kg", "--serving-g", "60"),
        "", 3, "nutmeg",
    ),
    (("formula", "sage", "--dose", "sage=60g/kg"), "", 3, "thujone"),
    (("formula", "star-anise", "--foraged", "star-anise"), "", 3, "poisonous"),
    (("formula", "clove", "--species", "robusta", "--brew", "espresso"), "", 0, "Trial syrup"),
    (("label", "hazelnut-roasted", "--market", "us"), "", 0, "DRAFT (US"),
    (("show", "tonka-bean"), "", 0, "STOP"),
    (("graph", "similar", "tonka-bean"), "", 0, "STOP"),
    (("graph", "path", "coffee", "tonka-bean"), "", 0, "STOP"),
]  # fmt: skip


@pytest.mark.parametrize(("args", "market", "code", "words"), LAWS, ids=lambda v: str(v)[:40])
def test_the_law_of_the_market_decides(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    args: tuple[str, ...],
    market: str,
    code: int,
    words: str,
) -> None:
    monkeypatch.delenv("PAIRING_MARKET", raising=False)
    left, text = ask(capsys, *args, *(("--market", market) if market else ()))
    assert left == code, text[:200]
    assert words in text[:330], text[:330]
    if code == 3:
        assert "STOP" in text[:60] or "goes into no formula here" in text[:90]
    if args == ("formula", "tonka-bean") and not market:
        assert "no market is set" in text


@pytest.mark.parametrize("how", ["json", "csv", "markdown"])
@pytest.mark.parametrize("args", [("show", "sassafras"), ("graph", "similar", "tonka-bean")])
def test_a_regulated_id_carries_its_stop_in_every_format(
    capsys: pytest.CaptureFixture[str], args: tuple[str, ...], how: str
) -> None:
    _, text = ask(capsys, *args, "--format", how)
    if how == "json":
        assert json.loads(text)["stops"]
    else:
        assert "STOP" in text[:160]


# --- a pantry -----------------------------------------------------------------------------


def pantry(path: Path, name: str, botanical: str = "", more: str = "", ident: str = "own") -> Path:
    path.write_text(
        f'[[ingredients]]\ningredient_id = "{ident}"\nname = "{name}"\n'
        f'botanical_name = "{botanical}"\nkind = "spice"\n{more}\n[[forms]]\n'
        f'form_id = "{ident}"\ningredient_id = "{ident}"\nform = "ground"\nlabel = "Own"\n'
        'dose_low_g_per_kg = 5\ndose_high_g_per_kg = 10\nmethod = "hot-steep"\n',
        encoding="utf-8",
    )
    return path


REFUSED = [
    ("Tonka", ""),
    ("Tonkas", ""),
    ("\u0422onka", ""),  # a Cyrillic letter
    ("To nka", ""),
    ("tonkabean", ""),
    ("T0nka bean", ""),
    ("House blend", "Dipteryx odorata"),
    ("House blend", "Dipteryx"),
    ("House blend", "D. odorata"),
    ("House blend", "Coumarouna odorata"),
    ("Belladonna berries", "Atropa belladonna"),
    ("House berries", "Atropa bella-donna L."),
    ("House berries", "Taxus baccata"),
    ("House bean", "Ricinus communis"),
    ("House seed", "Peganum harmala"),
    ("Kava root", "Piper methysticum"),
    ("House root", "P. methysticum"),
    ("Yohimbe bark", ""),
    ("House herb", "Artemisia cina"),
    ("House flower", "Nerium"),
    ("Oleanders", ""),
    ("Hemlock seed", ""),
    ("House leaf", "Mitragyna speciosa"),
    ("Kratom powder", ""),
    ("CBD drops", ""),
    ("House leaf", "Digitalis purpurea L."),
    ("Digitaliss", ""),
    ("House leaf", "Prunus laurocerasus"),
    ("Sassafras bark", ""),
    ("Absinthe herb", "Artemisia absinthium"),
    ("House star", "Illicium anisatum"),
]


@pytest.mark.parametrize(("name", "botanical"), REFUSED)
def test_a_pantry_brings_no_poison_in(tmp_path: Path, name: str, botanical: str) -> None:
    with pytest.raises(RefusedError) as told:
        open_pantry(pantry(tmp_path / "p.toml", name, botanical), CATALOG)
    assert len(str(told.value).splitlines()) == 1
    assert "'own'" in str(told.value)


@pytest.mark.parametrize(
    ("name", "botanical"),
    [
        ("House star", "Illicium verum"),
        ("Mandarin of the house", "Citrus reticulata"),
        ("Sichuan pepper", "Zanthoxylum bungeanum"),
        ("Marjoram", "Majorana hortensis"),
        ("Potato chip", "Solanum tuberosum"),
        ("Honeyberry", "Lonicera caerulea"),
    ],
)
def test_food_is_not_taken_for_poison(tmp_path: Path, name: str, botanical: str) -> None:
    assert open_pantry(pantry(tmp_path / "p.toml", name, botanical), CATALOG)


@pytest.mark.parametrize(
    "name", ["Tonka sugar", "Rhododendron honey", "Kava syrup", "Oleander honey"]
)
def test_sweeteners_pass_the_same_gate(tmp_path: Path, name: str) -> None:
    path = tmp_path / "p.toml"
    path.write_text(
        f'[[sweeteners]]\nsweetener_id = "own"\nname = "{name}"\nwater_percent = 1\n'
        "sucrose_percent = 99\nglucose_percent = 0\nfructose_percent = 0\n"
        "other_sugars_percent = 0\npolyol_percent = 0\nsweetness_relative = 1\n"
        "kcal_per_100g = 400\n",
        encoding="utf-8",
    )
    with pytest.raises(RefusedError):
        open_pantry(path, CATALOG)


def test_tonka_of_the_house_is_lawful_in_the_eu_only(tmp_path: Path) -> None:
    path = pantry(tmp_path / "p.toml", "Tonka of the house", "Dipteryx odorata")
    assert open_pantry(path, CATALOG, "eu").catalog.market == "eu"
    with pytest.raises(RefusedError, match=r"189\.130"):
        open_pantry(path, CATALOG, "us")


@pytest.mark.parametrize("how", ["table", "csv", "markdown"])
@pytest.mark.parametrize("command", ["formula", "drink"])
def test_an_unassessed_plant_says_so_first(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str, how: str
) -> None:
    path = pantry(tmp_path / "p.toml", "House thing")
    code, text = ask(capsys, command, "own", "--pantry", str(path), "--format", how)
    assert code == 0
    assert "NOT ASSESSED here, which is not safe" in text[:200]
    assert "NOT KNOWN" in text[:420]
    assert "balanced; bar practice" not in text


# --- allergens by name: names written down from the lists of the acts ----------------------

# Regulation (EU) No 1169/2011, Annex II, and the US list of nine, as product names of a bar
PRODUCTS = {
    "Hazelnut praline": "hazelnut", "Roasted hazelnuts": "hazelnut",
    "Pasta di nocciola": "hazelnut",
    "Noisettes grillées": "hazelnut", "Haselnussmus": "hazelnut", "Almond flakes": "almond",
    "Almond orgeat": "almond", "Mandelsirup": "almond", "Amêndoa torrada": "almond",
    "Marzipan": "almond", "Walnut halves": "walnut", "Nueces": "walnut", "Walnusskerne": "walnut",
    "Cashew crunch": "cashew", "Noix de cajou": "cashew", "Pecan pieces": "pecan",
    "Brazil nuts": "brazil-nut", "Paranusskerne": "brazil-nut", "Pistachio paste": "pistachio",
    "Pistacchio": "pistachio", "Macadamia": "macadamia", "Pine nuts": "pine-nut",
    "Mixed nuts": "nuts", "Peanut butter": "peanut", "Cacahuète": "peanut", "Erdnüsse": "peanut",
    "Amendoim": "peanut", "Sesame brittle": "sesame", "Tahini": "sesame", "Ajonjolí": "sesame",
    "Halva": "sesame", "Wheat biscuit crumbs": "wheat", "Speculoos": "wheat", "Semolina": "wheat",
    "Weizenmehl": "wheat", "Couscous": "wheat", "Rye bread": "rye", "Malt extract": "barley",
    "Gerstenmalz": "barley", "Oat drink": "oats", "Avena": "oats", "Milk powder": "milk",
    "Dulce de leche": "milk", "Beurre noisette": "milk", "Whey": "milk", "Condensed milk": "milk",
    "Sahne": "milk", "White chocolate": "milk", "Egg white powder": "egg", "Meringue": "egg",
    "Eierlikör": "egg", "Soya crumb": "soya", "Kinako": "soya", "Tofu": "soya",
    "Celery salt": "celery", "Sedano": "celery", "Mustard seed": "mustard", "Senfkörner": "mustard",
    "Lupin coffee": "lupin", "Altramuz": "lupin", "Isinglass": "fish", "Anchovy": "fish",
    "Shrimp paste": "crustaceans", "Crevettes": "crustaceans", "Squid ink": "molluscs",
    "Vongole": "molluscs", "Sulphured apricots": "sulphites", "Vermouth": "sulphites",
}  # fmt: skip


@pytest.mark.parametrize(("name", "key"), PRODUCTS.items(), ids=list(PRODUCTS))
def test_a_product_name_is_caught_and_is_not_known_before_it_is_stated(
    tmp_path: Path, name: str, key: str
) -> None:
    from pairing.safety.amounts import portion
    from pairing.safety.assess import assess

    laid = open_pantry(pantry(tmp_path / "p.toml", name), CATALOG).catalog
    found = assess(laid, [portion(laid, laid.forms["own"])])
    word = CATALOG.safety.allergen_kinds[key].word
    assert word in {w for f in found if f.code == "allergen" for w in f.words}
    assert any(f.code == "allergen-unknown" for f in found)
    stated = open_pantry(
        pantry(tmp_path / "q.toml", name, "", 'allergens = []\nspecification = "sheet 1"'), CATALOG
    ).catalog
    told = assess(stated, [portion(stated, stated.forms["own"])])
    assert word in {w for f in told if f.code == "allergen" for w in f.words}
    assert not any(f.code == "allergen-stated" for f in told)  # its own name says otherwise


@pytest.mark.parametrize(
    "name",
    ["Nutmeg", "Muskatnuss", "Noix de muscade", "Coconut milk", "Cocoa butter", "Buckwheat",
     "Tiger nut", "Cream of tartar", "Shea butter", "Butternut squash", "Oyster mushroom"],
)  # fmt: skip
def test_a_name_that_misleads_is_no_listed_allergen(name: str) -> None:
    from pairing.safety.allergens import held_in_name

    contains, _ = held_in_name(CATALOG, [name])
    assert not {"milk", "wheat", "nuts", "molluscs"} & set(contains)


def test_every_shipped_name_that_means_an_allergen_has_its_row() -> None:
    from pairing.safety.allergens import allergens_for, held_in_name

    kinds = CATALOG.safety.allergen_kinds
    missing = []
    for row in CATALOG.ingredients.values():
        contains, _ = held_in_name(CATALOG, (row.name, row.botanical_name))
        legal = {kinds[k].allergen for k in contains if {"EU14", "US9"} & set(kinds[k].lists)}
        held = {a.allergen for a in allergens_for(CATALOG, row.ingredient_id)}
        missing += [(row.ingredient_id, a) for a in legal - held]
    assert not missing


def test_the_fourteen_and_the_nine_are_named_by_kinds() -> None:
    # Regulation (EU) No 1169/2011, Annex II (14); Food Allergy Safety ... Act of 2021 (9)
    kinds = CATALOG.safety.allergen_kinds.values()
    assert len({k.allergen for k in kinds if "EU14" in k.lists}) == 14
    nine = {"wheat" if k.allergen == "gluten-cereals" else k.allergen
            for k in kinds if "US9" in k.lists}  # fmt: skip
    assert len(nine) == 9


# --- length -------------------------------------------------------------------------------


def test_no_default_formula_has_more_than_six_lines_and_none_loses_a_stop_or_an_allergen() -> None:
    from pairing.aroma import coffee
    from pairing.aroma.description import describe
    from pairing.errors import PairingError
    from pairing.safety.allergens import legal_words
    from pairing.safety.findings import MOST_LINES, first_lines
    from pairing.syrup import formula

    base = coffee.base(CATALOG, describe(CATALOG, "burundi"))
    made = 0
    for form in [f for f in CATALOG.forms.values() if f.is_default]:
        try:
            found = formula.make(CATALOG, (form.form_id,), base).findings
        except PairingError:  # regulated, or without a usual dose
            continue
        made += 1
        first = first_lines(found)
        assert len(first.lines) <= MOST_LINES, form.form_id
        assert len(first.stops) == sum(f.level == "stop" for f in found)
        text = " ".join(first.lines)
        assert all(w.upper() in text for w in legal_words(found)), form.form_id
        assert first.left_out >= 0
        assert "%" not in text or "of the" in text
    assert made > 130
