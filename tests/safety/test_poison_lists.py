"""Genera of published lists of poisonous plants are refused as an own plant of a bar."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairing.bar.pantry import open_pantry
from pairing.errors import RefusedError
from pairing.evidence.catalog import load

CATALOG = load()

# Liste giftiger Pflanzenarten (German list of poisonous plant species), Bundesanzeiger 2000
# no. 86, p. 8517: the rows that were read, as the environment ministry and the poison centre
# North print them. The scarlet runner bean of the list is food once cooked and stands below.
GERMAN_READ = (
    *("Arum maculatum", "Hyoscyamus niger", "Dieffenbachia spec.", "Hedera helix"),
    *("Taxus baccata", "Aconitum napellus", "Datura suaveolens", "Brugmansia spec."),
    *("Genista tinctoria", "Frangula alnus", "Digitalis purpurea", "Digitalis lanata"),
    *("Veratrum album", "Ranunculus sceleratus"),
)
# The same list, further rows from memory.
GERMAN_RECALLED = (
    *("Laburnum anagyroides", "Colchicum autumnale", "Daphne mezereum", "Nerium oleander"),
    *("Atropa bella-donna", "Conium maculatum", "Cicuta virosa", "Aethusa cynapium"),
    *("Ricinus communis", "Abrus precatorius", "Prunus laurocerasus", "Juniperus sabina"),
    *("Thuja occidentalis", "Euonymus europaeus", "Ligustrum vulgare", "Ilex aquifolium"),
    *(
        "Solanum dulcamara",
        "Nicotiana tabacum",
        "Euphorbia cyparissias",
        "Heracleum mantegazzianum",
    ),
    *("Lupinus polyphyllus", "Narcissus pseudonarcissus", "Convallaria majalis", "Calla palustris"),
)
# Austrian Food Code, chapter A 4, 1.2.2: plants that may be no source of flavouring (read).
AUSTRIAN = (
    *("Convallaria majalis", "Atropa belladonna", "Bryonia dioica", "Hepatica nobilis"),
    *("Artemisia cina", "Daphne mezereum", "Dryopteris filix-mas", "Heliotropium europaeum"),
    "Piscidia piscipula",
)
# Regulation (EC) No 1925/2006, Annex III Part A (yohimbe read, ephedra second-hand) and the
# Kava-kava in Food (England) Regulations 2002 (read).
BANNED = ("Pausinystalia johimbe", "Ephedra sinica", "Piper methysticum")


def own(path: Path, name: str, botanical: str) -> Path:
    path.write_text(
        f'[[ingredients]]\ningredient_id = "own"\nname = "{name}"\n'
        f'botanical_name = "{botanical}"\nkind = "herb"\n'
        '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "dried"\nlabel = "Own"\n',
        encoding="utf-8",
    )
    return path


# Frohne and Pfaender, Poisonous Plants (from memory): genera of gardens, woods and medicine chests.
RECALLED = (
    *(
        "Agrostemma githago",
        "Mercurialis perennis",
        "Paris quadrifolia",
        "Toxicoscordion venenosum",
    ),
    *("Lycoris radiata", "Kalanchoe daigremontiana", "Adenium obesum", "Eranthis hyemalis"),
    *("Baptisia tinctoria", "Calycanthus floridus", "Menispermum canadense", "Anamirta cocculus"),
    *("Stephania tetrandra", "Coriaria myrtifolia", "Derris elliptica", "Catharanthus roseus"),
    *("Vinca minor", "Physostigma venenosum", "Erysimum cheiri", "Ligularia dentata"),
    *("Ageratina altissima", "Duboisia hopwoodii", "Cyclamen purpurascens", "Lactuca virosa"),
    *("Pilocarpus jaborandi", "Carapichea ipecacuanha", "Erythroxylum coca", "Virola theiodora"),
)


@pytest.mark.parametrize("name", ["Carolina allspice", "coca leaf", "raw kidney bean", "ipecac"])
def test_a_dangerous_name_is_refused_although_it_sounds_like_food(
    tmp_path: Path, name: str
) -> None:
    with pytest.raises(RefusedError):
        open_pantry(own(tmp_path / "p.toml", name, ""), CATALOG)


@pytest.mark.parametrize(
    ("name", "plant"),
    [("House sumac", "Rhus coriaria"), ("Cocoa nibs", "Theobroma cacao"), ("Lettuce",
     "Lactuca sativa"), ("Clou de girofle", ""), ("Kidney beans, boiled", "Phaseolus vulgaris")],
)  # fmt: skip
def test_food_of_a_near_name_is_not_refused(tmp_path: Path, name: str, plant: str) -> None:
    assert open_pantry(own(tmp_path / "p.toml", name, plant), CATALOG)


@pytest.mark.parametrize("plant", [*GERMAN_READ, *GERMAN_RECALLED, *AUSTRIAN, *BANNED, *RECALLED])
def test_a_plant_of_a_published_list_is_refused(tmp_path: Path, plant: str) -> None:
    with pytest.raises(RefusedError):
        open_pantry(own(tmp_path / "p.toml", "House leaf", plant), CATALOG)


# names that people give them, in the languages of the catalogue (from memory)
NAMES = (
    *("adelfa", "laurier-rose", "oleandro", "Oleanderblüten", "espirradeira", "kaner", "difla"),
    *("estramonio", "stramonio", "Stechapfel", "dhatura", "figueira do inferno"),
    *("tollkirsche", "sitt al-husn", "Eisenhut", "casque de Jupiter", "vatsnabh", "torikabuto"),
    *("cicuta", "grande ciguë", "Schierling", "Herbstzeitlose", "safran des prés", "suranjan"),
    *("dedalera", "gant de Notre Dame", "Fingerhut", "Maiglöckchen", "mughetto", "suzuran"),
    *("rizinus", "mamona", "arandi", "Eibe", "teixo", "ruda", "Johanniskraut", "millepertuis"),
    *("hipérico", "iperico", "sudab", "Poleiminze", "fulayha", "poejo", "Baldrian", "valériane"),
    *("Haselwurz", "Osterluzei", "kalmus", "cálamo", "shikimi", "Tabak", "Bilsenkraut", "hiyosu"),
)


@pytest.mark.parametrize("name", NAMES)
def test_its_name_in_another_language_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(RefusedError):
        open_pantry(own(tmp_path / "p.toml", name, ""), CATALOG)


FOOD = {  # their neighbours on a shelf; none may be taken for them
    "Sea buckthorn": "Hippophae rhamnoides", "Cáscara de naranja": "", "Fragola": "",
    "Soya crumb": "Glycine max", "Piñones": "", "Butternut": "", "Morello cherry": "",
    "Kürbis": "", "Lupin flour": "Lupinus albus", "Golpar": "Heracleum persicum",
    "Runner bean": "Phaseolus coccineus", "Acacia flower": "Robinia pseudoacacia",
    "Raiz de lírio-florentino": "Iris germanica", "Chaat masala": "", "Luffa": "",
}  # fmt: skip


@pytest.mark.parametrize(("name", "plant"), FOOD.items())
def test_food_beside_it_is_not_refused(tmp_path: Path, name: str, plant: str) -> None:
    assert open_pantry(own(tmp_path / "p.toml", name, plant), CATALOG)


def test_every_row_says_its_source_and_names_a_plant() -> None:
    for row in CATALOG.safety.poisons:
        assert row.source_id in CATALOG.sources, row.poison_id
        assert row.genus or row.names, row.poison_id
        assert row.evidence in ("read", "second-hand", "memory"), row.poison_id
