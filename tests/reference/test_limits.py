"""Legal limits against the text of their regulations, Food Code tables, a worked example."""

import csv
import re
from pathlib import Path

import pytest

from pairing.evidence.catalog import load
from pairing.safety.amounts import Portion, Serving, contents_from
from pairing.safety.assess import assess
from pairing.safety.findings import Finding, has_stop
from pairing.safety.food_code import food_code_class

SHARED = Path(__file__).resolve().parents[2] / "shared" / "limits_text.csv"
with SHARED.open(encoding="utf-8", newline="") as handle:
    TEXTS = {r["row_id"]: r for r in csv.DictReader(handle)}

CATALOG = load()
LIMITS = {r.limit_id: r for rows in CATALOG.safety.limits.values() for r in rows}
RULES = {r.rule_id: r for rows in CATALOG.safety.rules.values() for r in rows}
LEGAL = sorted(i for i, r in LIMITS.items() if r.legal_force in ("law", "label"))


@pytest.mark.parametrize("limit_id", LEGAL)
def test_legal_limit_is_the_number_of_its_regulation(limit_id: str) -> None:
    limit, text = LIMITS[limit_id], TEXTS[limit_id]
    said = [float(n.replace(",", ".")) for n in re.findall(r"\d+(?:[.,]\d+)?", text["quoted"])]
    per_cent = 1e4 if "percent" in text["quoted"] else 1.0  # 1 % is 10,000 mg/kg
    assert limit.value in [n * per_cent for n in said]
    assert limit.value == float(text["number"])
    assert limit.unit == text["unit"]
    assert text["place"] in limit.provision
    assert limit.evidence == text["evidence"]


@pytest.mark.parametrize("rule_id", sorted(i for i, r in TEXTS.items() if not r["number"]))
def test_prohibition_is_a_stop(rule_id: str) -> None:
    assert "deemed to be adulterated" in TEXTS[rule_id]["quoted"]
    rule = RULES[rule_id]
    assert rule.level == "stop"
    assert TEXTS[rule_id]["place"] in rule.provision
    assert "adulterated" in rule.text


def test_no_text_without_a_row() -> None:
    assert set(TEXTS) <= set(LIMITS) | set(RULES)


def test_exemption_covers_exactly_three_substances() -> None:
    # Footnote to Annex III Part B, Regulation (EC) No 1334/2008: estragole, methyleugenol, safrole.
    exempt = {r.substance for r in LIMITS.values() if r.exempt}
    assert exempt == {"estragole", "methyl-eugenol", "safrole"}


# FDA Food Code 2022, 1-201.10(B), Tables A and B (as adopted in Tenn. Comp. R. & Regs.
# 0080-04-09-.01): N = non-TCS, P = product assessment; rows water activity, columns pH.
TABLE_A = {  # pH 4.6 or less | > 4.6 to 5.6 | > 5.6
    0.90: "NNN",
    0.92: "NNN",  # 0.92 or less
    0.93: "NNP",
    0.95: "NNP",  # > 0.92 to 0.95
    0.96: "NPP",
    1.00: "NPP",
}
TABLE_B = {  # pH < 4.2 | 4.2 to 4.6 | > 4.6 to 5.0 | > 5.0
    0.87: "NNNN",  # < 0.88
    0.88: "NNNP",
    0.90: "NNNP",  # 0.88 to 0.90
    0.91: "NNPP",
    0.92: "NNPP",  # > 0.90 to 0.92
    0.93: "NPPP",
    1.00: "NPPP",
}
PH_A = ((3.0, 0), (4.6, 0), (4.61, 1), (5.6, 1), (5.61, 2), (7.0, 2))
PH_B = ((3.0, 0), (4.19, 0), (4.2, 1), (4.6, 1), (4.61, 2), (5.0, 2), (5.01, 3), (7.0, 3))
WORD = {"N": "non-TCS", "P": "product-assessment"}


@pytest.mark.parametrize(("aw", "cells"), TABLE_A.items())
def test_food_code_table_a(aw: float, cells: str) -> None:
    for ph, column in PH_A:
        assert (
            food_code_class(CATALOG, aw, ph, heat_treated_packaged=True).result
            == WORD[cells[column]]
        )


@pytest.mark.parametrize(("aw", "cells"), TABLE_B.items())
def test_food_code_table_b(aw: float, cells: str) -> None:
    for ph, column in PH_B:
        assert food_code_class(CATALOG, aw, ph).result == WORD[cells[column]]


def _coumarin(mg_per_kg: float):  # type: ignore[no-untyped-def]
    return lambda ingredient, form: {"coumarin": mg_per_kg} if ingredient == "cassia" else {}


def _tdi(findings: tuple[Finding, ...]) -> Finding:
    return next(f for f in findings if f.row_id == "efsa-coumarin-tdi")


def test_worked_coumarin_example() -> None:
    """12 g of cassia in 1,000 g of syrup, 25 g of syrup in a 300 ml drink.

    Content 7,017 mg/kg: the highest product mean of Blahova & Svobodova, Sci. World J. 2012,
    263851. By hand: 12 g x 25/1000 = 0.300 g of cassia; 0.300 g x 7.017 mg/g = 2.105 mg; the
    tolerable daily intake of a 60 kg adult is 0.1 x 60 = 6 mg (EFSA 2004, 2008); 2.105/6 = 35.1 %.
    """
    found = assess(
        CATALOG, [Portion("cassia", "whole", 12)], Serving(1000, 25, 300), _coumarin(7017)
    )
    tdi = _tdi(found)
    assert tdi.amount == pytest.approx(2.105, abs=0.001)
    assert tdi.limit == pytest.approx(6.0)
    assert tdi.ratio == pytest.approx(0.351, abs=0.001)
    assert "2 drinks a day" in tdi.text  # 6 / 2.105 = 2.85
    assert tdi.level == "caution"


def test_two_grams_a_day_is_the_bfr_advice() -> None:
    # BfR 2012: 2 g of cassia a day for 60 kg, at about 3,000 mg/kg, is the tolerable daily intake.
    found = assess(
        CATALOG, [Portion("cassia", "ground", 2)], Serving(100, 100, 300), _coumarin(3000)
    )
    assert _tdi(found).ratio == pytest.approx(1.0)
    assert _tdi(found).level == "stop"  # a limit reached exactly is reached
    less = assess(
        CATALOG, [Portion("cassia", "ground", 1.99)], Serving(100, 100, 300), _coumarin(3000)
    )
    assert not has_stop(f for f in less if f.subject == "coumarin")


def test_shipped_cassia_uses_the_high_end_and_ceylon_is_low() -> None:
    contents = contents_from(CATALOG, lambda ingredient, form: {})
    # Woehrlin et al., J. Agric. Food Chem. 58, 10568 (2010): single sticks up to about 10 g/kg.
    assert contents("cassia", "whole")["coumarin"] == pytest.approx(10_000)
    # Ceylon bark: all published ranges end below 200 mg/kg (BfR 2006; Polish market; Serbia 2020).
    assert contents("ceylon-cinnamon", "whole")["coumarin"] < 200
    # Toma et al., Eur. Food Res. Technol. 251, 513 (2025): tonka 20.4 to 43.4 g/kg.
    assert contents("tonka-bean", "whole")["coumarin"] == pytest.approx(43_400)


@pytest.mark.parametrize(
    ("guidance_id", "value"),
    # EFSA Journal 13(5):4102 (2015): 200 mg at once, 400 mg a day, 200 mg a day in pregnancy,
    # 3 mg per kg in children.
    [
        ("efsa-adult-single", 200),
        ("efsa-adult-day", 400),
        ("efsa-pregnancy-day", 200),
        ("efsa-child-single", 3),
    ],
)
def test_caffeine_guidance(guidance_id: str, value: float) -> None:
    row = next(g for g in CATALOG.safety.caffeine if g.guidance_id == guidance_id)
    assert row.value == value


def test_the_fourteen_and_the_nine() -> None:
    # Regulation (EU) No 1169/2011, Annex II; Food Allergy Safety ... Act of 2021 (US).
    rows = CATALOG.safety.allergens
    eu = {a.allergen for a in rows if "EU14" in a.lists}
    us = {
        "wheat" if a.allergen == "gluten-cereals" else a.allergen for a in rows if "US9" in a.lists
    }
    assert eu == {
        *("gluten-cereals", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk"),
        *("tree-nuts", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs"),
    }
    assert us == {
        *("milk", "eggs", "fish", "crustaceans", "tree-nuts"),
        *("peanuts", "wheat", "soybeans", "sesame"),
    }
