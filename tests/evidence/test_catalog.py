from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pairing.errors import PairingError, UnknownNameError
from pairing.evidence import names
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import _likeness
from pairing.evidence.spelling import MAX_NAME, normalise
from pairing.evidence.tables import data_folder, read_rows


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("green-cardamom", "green-cardamom"),
        ("Green Cardamom", "green-cardamom"),
        ("ELAICHI", "green-cardamom"),
        ("cardamome", "green-cardamom"),
        ("Elettaria cardamomum", "green-cardamom"),
        ("green cardamoms", "green-cardamom"),
        ("ground cardamom", "green-cardamom-ground"),
        ("mandarin peel", "mandarin-peel"),
        ("peel of mandarin", "mandarin-peel"),
        ("mandarins", "mandarin"),
        ("orange", "sweet-orange"),
        ("orange juice", "sweet-orange-juice"),
        ("orange zest", "sweet-orange-zest"),
        ("orange blossom", "orange-blossom"),
        ("lime", "lime-persian"),
        ("lime-peel", "lime-persian-peel"),
        ("cloves", "clove"),
        ("bay leaves", "bay-leaf"),
        ("maple syrup", "maple"),
    ],
)
def test_people_say_names_in_many_ways(catalog: Catalog, said: str, meant: str) -> None:
    assert catalog.form(said).form_id == meant


# How cooks say it, language by language (common practice, no source).
SPOKEN = {
    "English": "limes: lime-persian; Seville orange: bitter-orange; bishop's weed: ajwain; "
    "bishops weed: ajwain; szechuan peppercorns: sichuan-pepper; lime leaf: makrut-lime-leaf; "
    "clove buds: clove; vanilla pods: vanilla-bean; juniper berries: juniper-berry; "
    "freshly ground black pepper: black-pepper-ground; slices of lemon: lemon; "
    "dried mint leaves: spearmint-dried; fresh bay leaves: bay-leaf-fresh; "
    "hazelnut kernels: hazelnut-roasted; ground coriander seeds: coriander-seed-ground; "
    "fresh lemon juice: lemon-juice; ground ginger: ginger-dried-ground; matcha: green-tea-ground",
    "Spanish": "limón: lemon; cáscara de mandarina: mandarin-peel; anís estrellado: star-anise; "
    "ralladura de naranja: sweet-orange-zest; zumo de pomelo rosa: pink-grapefruit-juice; "
    "clavo de olor: clove; jengibre fresco: ginger-fresh; rodajas de limón: lemon; "
    "semillas de hinojo: fennel-seed; pimienta negra molida: black-pepper-ground",
    "French": "écorce d'orange: sweet-orange-peel; jus de citron: lemon-juice; "
    "zeste de bergamote: bergamot-zest; poivre noir moulu: black-pepper-ground; "
    "graines de coriandre: coriander-seed; gousse de vanille: vanilla-bean; "
    "gingembre moulu: ginger-dried-ground; feuilles de menthe: spearmint; "
    "tranches d’orange sanguine: blood-orange; noix de muscade: nutmeg",
    "Italian": "scorza di limone: lemon-peel; succo di mandarino: mandarin-juice; "
    "fette d'arancia: sweet-orange; anice stellato: star-anise; zenzero fresco: ginger-fresh; "
    "chiodi di garofano: clove; noce moscata macinata: nutmeg-ground; alloro secco: bay-leaf; "
    "bacche di ginepro: juniper-berry",
    "German": "Zitronenschale: lemon-peel; Orangensaft: sweet-orange-juice; Sternanis: star-anise; "
    "Süßholz: liquorice-root; SÜSSHOLZ: liquorice-root; Kardamomkapseln: green-cardamom; "
    "Gewürznelken gemahlen: clove-ground; frischer Ingwer: ginger-fresh; Wacholderbeeren: "
    "juniper-berry; Vanilleschoten: vanilla-bean; Kreuzkümmel: cumin; Kümmel: caraway",
    "Portuguese": "suco de laranja: sweet-orange-juice; casca de tangerina: mandarin-peel; "
    "cravo-da-índia: clove; gengibre em pó: ginger-dried-ground; noz-moscada: nutmeg; "
    "pimenta-do-reino moída: black-pepper-ground; folhas de louro: bay-leaf; "
    "baunilha: vanilla-bean",
    "Hindi": "elaichi: green-cardamom; nimbu ka ras: lime-key-juice; saunf: fennel-seed; "
    "kali mirch: black-pepper; laung: clove; jaiphal: nutmeg; haldi: turmeric; "
    "adrak: ginger-fresh; sonth: ginger-dried; santre ka chilka: mandarin-peel",
    "Arabic": "hel: green-cardamom; qurunful: clove; yansoon: aniseed; qishr burtuqal: "
    "sweet-orange-peel; ma' zahr: orange-flower-water; luban: frankincense; mahlab: mahleb; "
    "kammun mathun: cumin-ground; na'na: spearmint",
    "Japanese": "yuzu no kawa: yuzu-peel; mikan: satsuma; kuro kosho: black-pepper; "
    "hakkaku: star-anise; choji: clove; shoga: ginger-fresh; remon juusu: lemon-juice; "
    "kona zansho: sansho; chinpi: dried-tangerine-peel; hōjicha: hojicha",
    "other": "  Green   CARDAMOM  : green-cardamom; GREEN—CARDAMOM: green-cardamom; "
    "steranijs: star-anise; Cinnamomum zeylanicum: ceylon-cinnamon",
}
ASKED = [
    (language, said, meant.strip())
    for language, text in SPOKEN.items()
    for said, meant in (pair.rsplit(":", 1) for pair in text.split(";"))
]


def test_names_in_nine_languages(catalog: Catalog) -> None:
    assert len({language for language, _, _ in ASKED} - {"other"}) == 9
    assert len(ASKED) >= 80
    wrong = []
    for language, said, meant in ASKED:
        try:
            got = catalog.form(said).form_id
        except UnknownNameError:
            got = "-"
        if got != meant:
            wrong.append((language, said, meant, got))
    assert wrong == []


def test_letters_that_fold() -> None:
    assert normalise("Œillet Ærtholmene ǰ Łódź Süß STRAẞE") == (
        "oeillet-aertholmene-j-lodz-suss-strasse"
    )
    assert normalise("Buddha’s hand's") == normalise("buddhas HANDS")
    assert normalise("berries, leaves; slices peaches") == "berry-leaf-slice-peach"
    assert normalise("柚子 ") == "柚子"


def refusal(catalog: Catalog, name: str) -> UnknownNameError:
    with pytest.raises(UnknownNameError) as caught:
        catalog.form(name)
    error = caught.value
    assert (error.what, error.name) == ("ingredient", name)
    assert "\n" not in str(error)
    assert len(str(error)) < 160
    return error


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("gren cardamon", "green-cardamom"),
        ("black cardamon", "black-cardamom"),
        ("mandrin", "mandarin"),
        ("lmeon", "lemon"),
        ("lemn", "lemon"),
        ("carda", "green-cardamom"),
        ("cinamon", "ceylon-cinnamon"),
        ("gniger", "ginger-fresh"),
        ("wild lime leaf", "makrut-lime-leaf"),
    ],
)
def test_a_wrong_name_answers_with_the_nearest(catalog: Catalog, name: str, first: str) -> None:
    error = refusal(catalog, name)
    assert error.nearest[0] == first
    assert len(error.nearest) <= 3
    assert f"did you mean {first}" in str(error)


@pytest.mark.parametrize(
    "name",
    ["tofu", "wasabi", "xyzzy", "zzzzqqqq", "cornflakes", "dried fish", "ketchup", "seaweed"],
)
def test_no_guess_when_nothing_is_near(catalog: Catalog, name: str) -> None:
    error = refusal(catalog, name)
    assert error.nearest == ()
    assert str(error) == (
        f"unknown ingredient {name!r}; `pairing list ingredients` shows all; not assessed here, "
        "which is not safe"
    )


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("burundi", "burundi is a coffee origin: give it with --origin"),
        ("Éthiopie", "Éthiopie is a coffee origin: give it with --origin"),
        ("espresso", "espresso is a brew: give it with --brew"),
        ("panela", "panela is a sweetener: give it with --sweetener"),
        ("linalool", "linalool is a compound, not an ingredient: see `pairing show linalool`"),
        ("roast-pyrazines", "roast-pyrazines is an aroma group, not an ingredient: see"),
        ("earl grey", "earl grey is a blend, usually black-tea, bergamot; name its parts"),
        ("clove juice", "no 'juice' of clove; it comes as clove, clove-ground"),
        ("dried orange peel", "no 'dried peel' of sweet-orange; it comes as sweet-orange,"),
        ("cacao husks", "no 'husk' of cacao-nib"),
        ("", "unknown ingredient '': no name in it"),
        (" .,- ", "unknown ingredient '.,-': no name in it"),
        ("ginger " * 700, "a name has at most 100 characters"),
    ],
)
def test_a_name_known_for_something_else(catalog: Catalog, name: str, line: str) -> None:
    assert line in str(refusal(catalog, name))


@pytest.mark.parametrize(
    "name",
    # poisonous plants named like food: none may be answered with an ingredient
    # (fda-2003-star-anise for the first; the rest common practice, no source)
    ["Japanese star anise", "shikimi", "yellow jasmine", "laurel de flor", "elder leaf",
     "cherry laurel leaf", "peach kernel", "oleander", "rhubarb leaf", "meadow saffron",
     "feuille de sureau", "Akaziensamen"],
)  # fmt: skip
def test_a_poisonous_namesake_is_no_ingredient(catalog: Catalog, name: str) -> None:
    assert "did you mean" not in str(refusal(catalog, name))


def test_no_ingredient_has_the_name_of_a_hazard(catalog: Catalog) -> None:
    subjects = catalog.safety.subject_names
    for ingredient in catalog.ingredients.values():
        for name in (ingredient.ingredient_id, ingredient.name, *ingredient.aliases):
            assert subjects.get(name) is None, (ingredient.ingredient_id, name)


def test_other_tables_know_an_ingredient_when_they_see_one(catalog: Catalog) -> None:
    for find, what in (
        (catalog.origin, "coffee origin"),
        (catalog.brew, "brew"),
        (catalog.sweetener, "sweetener"),
    ):
        for name in ("Cardamom", "cinnamon", "mandarin peel"):
            with pytest.raises(UnknownNameError) as caught:
                find(name)
            assert str(caught.value) == f"{name} is an ingredient, not a {what}"
    with pytest.raises(UnknownNameError, match="did you mean burundi"):
        catalog.origin("burundy")
    assert catalog.origin("Äthiopien").origin_id == "ethiopia"
    assert catalog.brew("Filterkaffee").brew_id == "filter"
    assert catalog.sweetener("Ahornsirup").sweetener_id == "maple-syrup"


@pytest.mark.parametrize("name", ["x" * 5000, "lemon " * 1000, "x", "gren cardamon", "lemon peal"])
def test_a_wrong_name_costs_few_comparisons(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Counted, not timed: at most 30 of some 4,700 names are compared letter by letter."""
    calls = []
    compare = _likeness
    monkeypatch.setattr(names, "_likeness", lambda a, b: calls.append(a) or compare(a, b))
    refusal(catalog, name)
    assert len(calls) <= (0 if len(name) > MAX_NAME else 30)
    assert len(list(iter(catalog._form_names))) > 4000


@pytest.mark.parametrize(
    ("shared", "usual", "other"),
    [
        *((n, "ceylon-cinnamon", "cassia") for n in ("cinnamon", "canela", "cannelle", "Zimt")),
        *((n, "ceylon-cinnamon", "cassia") for n in ("dalchini", "qirfa", "bâton de cannelle")),
        *((n, "ceylon-cinnamon", "cassia") for n in ("Zimtstangen", "cinnamon bark")),
        *(
            (n, "ceylon-cinnamon-ground", "cassia-ground")
            for n in ("ground cinnamon", "Zimtpulver")
        ),
        *((n, "ginger-fresh", "ginger-dried") for n in ("ginger", "jengibre", "zenzero", "Ingwer")),
        ("limão", "lemon", "lime-persian"),
    ],
)
def test_an_everyday_name_is_read_as_usual_and_says_so(
    catalog: Catalog, shared: str, usual: str, other: str
) -> None:
    assert catalog.form(shared).form_id == usual
    heard = catalog.heard(shared)
    assert heard.startswith(f"{shared}: read as {usual}")
    assert other in heard
    assert len(heard.splitlines()) == 1


def test_a_name_of_one_thing_needs_no_word(catalog: Catalog) -> None:
    for name in ("cassia", "Ceylon cinnamon", "dried ginger", "mandarin", "ground ginger"):
        assert catalog.heard(name) == ""
        assert catalog.counted_as(name) is None


def test_cinnamon_counts_as_cassia_until_the_jar_is_named(catalog: Catalog) -> None:
    assert catalog.counted_as("cinnamon") == "cassia"
    assert catalog.counted_as("cannelle moulue") == "cassia"
    assert catalog.counted_as("ginger") is None


def test_readings_that_differ_in_danger_or_much_in_grams_are_asked_back(catalog: Catalog) -> None:
    with pytest.raises(UnknownNameError, match=r"two spices: allspice .* or chilli"):
        catalog.form("piment")
    with pytest.raises(UnknownNameError, match="ginger-fresh or ginger-dried, and grams differ"):
        catalog.weighed("ginger")
    assert catalog.weighed("dried ginger").form_id == "ginger-dried"
    assert catalog.weighed("mandarin").form_id == "mandarin"


def test_every_form_can_be_said_in_words(catalog: Catalog) -> None:
    """A form word before or after any name of a citrus fruit finds that form."""
    for form in catalog.forms.values():
        ingredient = catalog.ingredients[form.ingredient_id]
        if ingredient.kind != "citrus" or form.form not in {"peel", "zest", "juice"}:
            continue
        assert catalog.form(f"{form.form} of {ingredient.name}") is form
        assert catalog.form(f"{ingredient.ingredient_id} {form.form}") is form


def test_no_name_means_two_rows(catalog: Catalog) -> None:
    clashes = []
    for rows in (catalog.ingredients, catalog.origins, catalog.brews, catalog.sweeteners):
        owner: dict[str, str] = {}
        for identifier, row in rows.items():
            for name in {normalise(n) for n in (identifier, row.name, *row.aliases)}:
                other = owner.setdefault(name, identifier)
                if other != identifier:
                    clashes.append((name, other, identifier))
    assert clashes == []


def test_a_name_is_one_thing_over_all_tables(catalog: Catalog) -> None:
    """An ingredient shares no name with a place, a brew or a compound, but where people do."""
    both = set()
    for ingredient in catalog.ingredients.values():
        for name in (ingredient.ingredient_id, ingredient.name, *ingredient.aliases):
            key = normalise(name)
            for index in (
                catalog._origin_names,
                catalog._brew_names,
                catalog._compound_names,
            ):
                if index.get(name) is not None:
                    both.add(key)
    # the hibiscus drink and the island; the root and the country; the tea and the town
    assert both <= {"jamaica", "laos", "lao", "puer", "pu-er"}


def test_every_ingredient_has_many_names(catalog: Catalog) -> None:
    few = [i.ingredient_id for i in catalog.ingredients.values() if len(i.aliases) < 7]
    assert few == []


def test_every_alias_leads_home(catalog: Catalog) -> None:
    for ingredient in catalog.ingredients.values():
        for alias in ingredient.aliases:
            assert normalise(alias) not in catalog.shared_names, alias
            assert catalog.form(alias).ingredient_id == ingredient.ingredient_id, alias


def test_depth_of_the_catalogue(catalog: Catalog) -> None:
    kinds: dict[str, int] = {}
    for ingredient in catalog.ingredients.values():
        kinds[ingredient.kind] = kinds.get(ingredient.kind, 0) + 1
    assert len(catalog.ingredients) >= 120
    assert kinds["citrus"] >= 26
    assert kinds["spice"] >= 40
    assert kinds["herb"] + kinds["flower"] >= 20
    roasted = ("nut", "seed", "root", "wood", "tea", "roast")
    assert sum(kinds.get(k, 0) for k in roasted) >= 20
    assert len(catalog.sweeteners) >= 15
    assert len(catalog.compounds) >= 270
    measured = [
        c
        for c, rows in catalog.thresholds.items()
        if any(r.kind == "odour-orthonasal" for r in rows)
    ]
    assert len(measured) >= 230
    assert sum(len(rows) for rows in catalog.composition.values()) >= 2200
    assert len({o.compound_id for o in catalog.odorants}) >= 40
    assert len(catalog.origins) >= 25
    assert len(catalog.traditions) >= 40
    asked = (
        "burundi rwanda ethiopia kenya colombia brazil guatemala costa-rica sumatra vietnam india "
        "yemen"
    )
    assert set(asked.split()) <= set(catalog.origins)


def test_fruit_forms_matter(catalog: Catalog) -> None:
    for fruit in ("sweet-orange", "mandarin", "lemon", "grapefruit", "lime-persian"):
        forms = {f.form for f in catalog.forms_of[fruit]}
        assert {"slice", "peel", "juice"} <= forms


def test_every_row_cites_a_known_source(catalog: Catalog) -> None:
    for path in catalog.folder.glob("*.csv"):
        header, rows = read_rows(path)
        if path.stem == "sources" or "source_id" not in header:
            continue
        at = header.index("source_id")
        for row in rows:
            for source_id in row[at].split(";"):
                assert source_id in catalog.sources, (path.name, source_id)


def test_loads_without_pandas_and_small(catalog: Catalog) -> None:
    size = sum(p.stat().st_size for p in catalog.folder.iterdir())
    assert size < 4_000_000
    code = (
        "import sys; from pairing.evidence import catalog; c = catalog.load(); "
        "c.composition; c.forms;"
        "print('pandas' in sys.modules, 'sklearn' in sys.modules, 'numpy' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == ["False", "False", "False"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"group_id,name\n", "no rows"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"a,b\n1,2\n3\n", "cells"),
        (b"group_id,name\nx,y\n", "lacks the column"),
    ],
)
def test_a_broken_table_is_named(tmp_path: Path, content: bytes, says: str) -> None:
    folder = tmp_path / "data"
    shutil.copytree(data_folder(), folder)
    (folder / "groups.csv").write_bytes(content)
    with pytest.raises(PairingError, match=says) as caught:
        _ = Catalog(folder).groups
    assert "groups.csv" in str(caught.value)


def test_a_bad_number_names_row_and_column(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    shutil.copytree(data_folder(), folder)
    path = folder / "thresholds.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    cells = lines[1].split(",")
    cells[lines[0].split(",").index("low_ug_per_l")] = "much"
    lines[1] = ",".join(cells)
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(PairingError, match=r"row 2, column low_ug_per_l: 'much'"):
        _ = Catalog(folder).thresholds


def test_named_mixes_are_made_of_forms(catalog: Catalog) -> None:
    assert len(catalog.mixes) >= 12
    for mix in catalog.mixes.values():
        assert sum(mix.parts_percent) == 100, mix.mix_id
        assert len(mix.parts_percent) == len(mix.form_ids)
        assert set(mix.form_ids) <= set(catalog.forms)
        for name in (mix.mix_id, mix.name, *mix.aliases):
            assert catalog.mix(name) is mix, name
            error = refusal_of_a_mix(catalog, name)
            assert error.nearest == mix.form_ids
    assert catalog.opened(["gingerbread", "lemon"])[-1] == "lemon"
    assert len(catalog.opened(["gingerbread", "lemon"])) == 7


def refusal_of_a_mix(catalog: Catalog, name: str) -> UnknownNameError:
    with pytest.raises(UnknownNameError, match="is a blend, usually") as caught:
        catalog.form(name)
    return caught.value


def test_a_mix_is_heard_as_its_parts(catalog: Catalog) -> None:
    heard = catalog.heard("gingerbread")
    assert heard.startswith("gingerbread: read as ")
    assert "ginger-dried" in heard


def test_a_poisonous_look_alike_is_never_the_plant_it_is_taken_for(catalog: Catalog) -> None:
    for name in ("shikimi", "Illicium anisatum", "Japanese star anise"):
        assert "poisonous" in str(refusal(catalog, name)).lower()


ASKED_FOR = (
    "cocoa powder: cocoa-powder; chocolat noir: dark-chocolate; eau de rose: rose-water; "
    "estratto di vaniglia: vanilla-extract; pasta de vainilla: vanilla-paste; "
    "água tônica: tonic-water; lait de coco: coconut-milk; namak: salt; "
    "cocktail bitters: aromatic-bitters; khajur: date; ringo: apple; fraise: strawberry; "
    "Himbeere: raspberry; grosella negra: blackcurrant; qishr bunn: cascara; "
    "beurre noisette: brown-butter; leche condensada: condensed-milk; Karamell: caramel; "
    "ancho: mild-chilli; aam: mango; mawz: banana; zakuro: pomegranate; kishmish: raisin"
)


def test_what_people_ask_for_is_here(catalog: Catalog) -> None:
    for pair in ASKED_FOR.split(";"):
        said, meant = pair.split(": ")
        form = catalog.form(said.strip())
        assert form.form_id == meant
        ingredient = catalog.ingredients[meant]
        amounts = catalog.composition.get(meant, ())
        assert len(amounts) >= 6 or meant == "salt", meant
        assert len(ingredient.aliases) >= 7
        assert form.method
        assert form.water_percent is not None
        assert form.bitterness
