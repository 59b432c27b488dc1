"""Compounds and odour thresholds against a general chemistry library and a printed textbook.

Outside references:

- the open-source Python library ``chemicals`` (CAS numbers, formulas, InChI, boiling points of
  the CRC Handbook 95th ed., CAS Common Chemistry, the NIST WebBook and Yaws 2014, and
  experimental log P of the Syracuse Research set);
- Belitz H-D, Grosch W, Schieberle P, Food Chemistry, 4th ed., Springer 2009, odour thresholds in
  water, in ``shared/thresholds_belitz.csv``.

Every row that the library is known to contradict is listed with its reason in ``shared/``.
"""

import csv
import math
import re
from functools import cache
from pathlib import Path

import pytest

chemicals = pytest.importorskip("chemicals", reason="the `test` extra is not installed")
from chemicals.elements import molecular_weight, nested_formula_parser  # noqa: E402
from chemicals.identifiers import ChemicalMetadata, check_CAS  # noqa: E402

ROOT = Path(__file__).parents[2]
MASS_TOLERANCE = 0.1  # g/mol
BOILING_TOLERANCE = 12.0  # degrees C
ESTIMATION_METHODS = {"JOBACK", "HEOS"}  # group contributions and equations of state
LOG_P_TOLERANCE = 0.75  # recalled values are fragment estimates, about +/- 0.5


def read(path: str) -> list[dict[str, str]]:
    with (ROOT / path).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


COMPOUNDS = {row["compound_id"]: row for row in read("data/compounds.csv")}
THRESHOLDS = read("data/thresholds.csv")
GROUPS = {row["group_id"]: row for row in read("data/groups.csv")}
FORMULAS = {row["compound_id"]: row for row in read("shared/compound_formulas.csv")}
BOILING_EXCEPTIONS = {
    (row["compound_id"], row["library_method"]): row
    for row in read("shared/boiling_points_exceptions.csv")
}
BELITZ = read("shared/thresholds_belitz.csv")

# The library knows these names for another molecule or another tautomer.
NAME_EXCEPTIONS = {
    "2-aminoacetophenone": "the library takes the name for the alpha-amino ketone 613-89-8",
}

each_compound = pytest.mark.parametrize("compound_id", COMPOUNDS)


@cache
def by_key(key: str) -> ChemicalMetadata | None:
    """Look a CAS number or a name up in the library."""
    try:
        found: ChemicalMetadata = chemicals.search_chemical(key)
    except ValueError:
        return None
    return found


def library_boiling_points(cas: str) -> dict[str, float]:
    """Measured boiling points of the library [degrees C] by method."""
    methods = [m for m in chemicals.Tb_methods(cas) if m not in ESTIMATION_METHODS]
    return {m: chemicals.Tb(cas, method=m) - 273.15 for m in methods}


def skeleton(chemical: ChemicalMetadata) -> tuple[str, str]:
    """Formula and atom connections of the InChI: the molecule without its stereochemistry."""
    layers = re.sub(r"^InChI=", "", chemical.InChI).removeprefix("1S/").split("/")
    return layers[0], next((layer for layer in layers if layer.startswith("c")), "")


def our_range(compound_id: str, without: str = "") -> tuple[float, float]:
    """Lowest and highest measured threshold of a compound [ug/l], leaving one source out."""
    rows = [
        row
        for row in THRESHOLDS
        if row["compound_id"] == compound_id
        and row["kind"].startswith("odour")
        and row["source_id"] != without
    ]
    if not rows:
        return math.nan, math.nan
    lows = [float(row["low_ug_per_l"]) for row in rows]
    highs = [float(row["high_ug_per_l"]) for row in rows]
    return min(lows), max(highs)


def test_there_are_enough_compounds_and_thresholds() -> None:
    measured = {row["compound_id"] for row in THRESHOLDS if row["kind"].startswith("odour")}
    assert len(COMPOUNDS) >= 330
    assert len(measured) >= 230
    assert len({row["cas"] for row in COMPOUNDS.values()}) == len(COMPOUNDS)


@each_compound
def test_cas_number_has_its_check_digit(compound_id: str) -> None:
    # CAS Registry: the last digit is the sum of the others, weighted from the right, modulo 10.
    assert check_CAS(COMPOUNDS[compound_id]["cas"])


@each_compound
def test_molar_mass_is_that_of_the_cas_number(compound_id: str) -> None:
    row = COMPOUNDS[compound_id]
    ours = float(row["molar_mass_g_per_mol"])
    if compound_id in FORMULAS:
        listed = FORMULAS[compound_id]
        assert listed["cas"] == row["cas"]
        expected = molecular_weight(nested_formula_parser(listed["formula"]))
        found = by_key(row["cas"])
        # A listed row must be needed: the library lacks the number or contradicts the formula.
        assert found is None or abs(found.MW - expected) > MASS_TOLERANCE
    else:
        found = by_key(row["cas"])
        assert found is not None, f"{row['cas']} is not in the library: list its formula"
        expected = found.MW
    assert ours == pytest.approx(expected, abs=MASS_TOLERANCE)


def test_names_and_cas_numbers_mean_the_same_molecule() -> None:
    compared, wrong = 0, []
    for compound_id, row in COMPOUNDS.items():
        if compound_id in FORMULAS or row["name"].startswith("(") or compound_id in NAME_EXCEPTIONS:
            continue
        by_cas, by_name = by_key(row["cas"]), by_key(row["name"])
        if by_cas is None or by_name is None:
            continue
        compared += 1
        if skeleton(by_cas) != skeleton(by_name):
            wrong.append((compound_id, row["cas"], by_name.CASs))
    assert wrong == []
    assert compared >= 250


@each_compound
def test_boiling_point_agrees_with_every_measured_library_value(compound_id: str) -> None:
    row = COMPOUNDS[compound_id]
    if not row["boiling_point_c"]:
        assert not [key for key in BOILING_EXCEPTIONS if key[0] == compound_id]
        return
    ours = float(row["boiling_point_c"])
    off = {
        (compound_id, method)
        for method, value in library_boiling_points(row["cas"]).items()
        if abs(value - ours) > BOILING_TOLERANCE
    }
    listed = {key for key in BOILING_EXCEPTIONS if key[0] == compound_id}
    assert off == listed, "boiling points off by more than 12 degrees must be exactly those listed"


def test_boiling_point_exceptions_are_sound() -> None:
    checked = sum(
        bool(row["boiling_point_c"] and library_boiling_points(row["cas"]))
        for row in COMPOUNDS.values()
    )
    assert checked >= 220
    assert len({compound_id for compound_id, _ in BOILING_EXCEPTIONS}) <= checked // 10
    for (_, method), row in BOILING_EXCEPTIONS.items():
        value = library_boiling_points(row["cas"])[method]
        assert value == pytest.approx(float(row["library_c"]), abs=0.1)
        if row["reason"].startswith("reduced-pressure") and "JOBACK" in chemicals.Tb_methods(
            row["cas"]
        ):
            # The group-contribution estimate at 101.3 kPa (Joback & Reid 1987) sides with us.
            joback = chemicals.Tb(row["cas"], method="JOBACK") - 273.15
            ours = float(row["boiling_point_c"])
            assert abs(joback - ours) < abs(joback - value), row


def test_log_p_agrees_with_experimental_values() -> None:
    compared, wrong = 0, []
    for compound_id, row in COMPOUNDS.items():
        methods = [m for m in chemicals.logP_methods(row["cas"]) if m in {"SYRRES", "CRC"}]
        if not methods or not row["log_p"]:
            continue
        compared += 1
        nearest = min(
            abs(chemicals.logP(row["cas"], method=m) - float(row["log_p"])) for m in methods
        )
        if nearest > LOG_P_TOLERANCE:
            wrong.append((compound_id, row["log_p"], nearest))
    assert wrong == []
    assert compared >= 120


@pytest.mark.parametrize("row", BELITZ, ids=lambda row: f"{row['compound_id']}-{row['table']}")
def test_textbook_threshold_lies_within_our_range(row: dict[str, str]) -> None:
    # Belitz, Grosch & Schieberle, Food Chemistry, 4th ed. 2009, odour thresholds in water.
    low, high = our_range(row["compound_id"])
    assert low <= float(row["low_ug_per_l"]) <= float(row["high_ug_per_l"]) <= high


def test_textbook_covers_enough_compounds() -> None:
    assert len({row["compound_id"] for row in BELITZ}) >= 45
    assert {row["compound_id"] for row in BELITZ} <= set(COMPOUNDS)


def test_other_sources_alone_come_near_the_textbook() -> None:
    """Leave our rows of the textbook out: do the other laboratories' thresholds agree with it?"""
    gaps: dict[str, float] = {}
    for row in BELITZ:
        low, high = our_range(row["compound_id"], without="belitz2009")
        if math.isnan(low):
            continue
        published = math.sqrt(float(row["low_ug_per_l"]) * float(row["high_ug_per_l"]))
        gap = max(low / published, published / high, 1.0)
        gaps[row["compound_id"]] = max(gap, gaps.get(row["compound_id"], 1.0))
    assert len(gaps) >= 30
    near = sum(gap <= 10 for gap in gaps.values())
    # 44 of 49; the rest are esters that later laboratories found 18 to 90 times milder
    assert near >= 0.89 * len(gaps), {k: round(v, 1) for k, v in gaps.items() if v > 10}


def test_thresholds_are_positive_ranges_of_known_compounds() -> None:
    for row in THRESHOLDS:
        assert row["compound_id"] in COMPOUNDS
        assert 0 < float(row["low_ug_per_l"]) <= float(row["high_ug_per_l"])
        assert row["kind"] != "estimate" or row["evidence"] in {"computed", "memory"}


def test_every_compound_has_one_of_the_31_groups() -> None:
    assert len(GROUPS) == 31
    assert {row["group_id"] for row in COMPOUNDS.values()} == set(GROUPS)
    assert len({row["colour"] for row in GROUPS.values()}) == len(GROUPS)
    assert all(re.fullmatch(r"#[0-9A-F]{6}", row["colour"]) for row in GROUPS.values())
