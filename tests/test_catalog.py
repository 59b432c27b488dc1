from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pairing import catalog as catalogs
from pairing.errors import PairingError, UnknownNameError


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
def test_people_say_names_in_many_ways(catalog: catalogs.Catalog, said: str, meant: str) -> None:
    assert catalog.form(said).form_id == meant


def test_a_wrong_name_answers_with_the_nearest(catalog: catalogs.Catalog) -> None:
    with pytest.raises(UnknownNameError, match="green-cardamom"):
        catalog.form("gren cardamon")
    with pytest.raises(UnknownNameError) as caught:
        catalog.form("zzzzqqqq")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("shared", ["cinnamon", "ginger"])
def test_a_name_for_two_plants_asks_which(catalog: catalogs.Catalog, shared: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        catalog.form(shared)
    assert len(caught.value.nearest) == 2
    for choice in caught.value.nearest:
        assert choice in catalog.forms


def test_no_alias_means_two_ingredients(catalog: catalogs.Catalog) -> None:
    owner: dict[str, str] = {}
    clashes = []
    for ingredient in catalog.ingredients.values():
        for name in {catalogs.normalise(n) for n in (ingredient.name, *ingredient.aliases)}:
            other = owner.setdefault(name, ingredient.ingredient_id)
            if other != ingredient.ingredient_id:
                clashes.append((name, other, ingredient.ingredient_id))
    assert clashes == []


def test_every_alias_leads_home(catalog: catalogs.Catalog) -> None:
    for ingredient in catalog.ingredients.values():
        for alias in ingredient.aliases:
            if catalogs.normalise(alias) in catalogs.SHARED_NAMES:
                continue
            assert catalog.form(alias).ingredient_id == ingredient.ingredient_id, alias


def test_depth_of_the_catalogue(catalog: catalogs.Catalog) -> None:
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


def test_fruit_forms_matter(catalog: catalogs.Catalog) -> None:
    for fruit in ("sweet-orange", "mandarin", "lemon", "grapefruit", "lime-persian"):
        forms = {f.form for f in catalog.forms_of[fruit]}
        assert {"slice", "peel", "juice"} <= forms


def test_every_row_cites_a_known_source(catalog: catalogs.Catalog) -> None:
    for path in catalog.folder.glob("*.csv"):
        header, rows = catalogs.read_rows(path)
        if path.stem == "sources" or "source_id" not in header:
            continue
        at = header.index("source_id")
        for row in rows:
            for source_id in row[at].split(";"):
                assert source_id in catalog.sources, (path.name, source_id)


def test_loads_without_pandas_and_small(catalog: catalogs.Catalog) -> None:
    size = sum(p.stat().st_size for p in catalog.folder.iterdir())
    assert size < 2_000_000
    code = (
        "import sys; from pairing import catalog; c = catalog.load(); c.composition; c.forms;"
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
    shutil.copytree(catalogs.data_folder(), folder)
    (folder / "groups.csv").write_bytes(content)
    with pytest.raises(PairingError, match=says) as caught:
        _ = catalogs.Catalog(folder).groups
    assert "groups.csv" in str(caught.value)


def test_a_bad_number_names_row_and_column(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    shutil.copytree(catalogs.data_folder(), folder)
    path = folder / "thresholds.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    cells = lines[1].split(",")
    cells[1] = "much"
    lines[1] = ",".join(cells)
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(PairingError, match=r"row 2, column low_ug_per_l: 'much'"):
        _ = catalogs.Catalog(folder).thresholds
