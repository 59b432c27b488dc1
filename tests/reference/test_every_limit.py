"""Every row of ``limits.csv`` is walked to a command that prints it: none is dead.

Most are reached by a shipped ingredient. A few name a plant that is no shipped ingredient, or a
content that only a supplier's analysis gives: a pantry with that plant, or that analysis, reaches
them.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from pairing import cli
from pairing.evidence.catalog import load

CATALOG = load()
LIMITS = {r.limit_id: r for rows in CATALOG.safety.limits.values() for r in rows}

OWN = (
    '[[ingredients]]\ningredient_id = "own"\nname = "{name}"\nbotanical_name = "{plant}"\n'
    'kind = "wood"\nallergens = []\nspecification = "sheet 1"\n'
    '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "dried"\nlabel = "{name}"\n'
    'dose_low_g_per_kg = 5\ndose_high_g_per_kg = 10\nmethod = "hot-steep"\n'
)
ANALYSED = (
    '[[constituents]]\ningredient_id = "{ident}"\nsubstance = "{substance}"\n'
    "low_mg_per_kg = 0\nhigh_mg_per_kg = {high}\n"
)
QUASSIA = OWN.format(name="Bitter chips", plant="Quassia amara L.")
MUGWORT = OWN.format(name="House mugwort", plant="Artemisia vulgaris L.")
AMARO = OWN.format(name="House amaro", plant="")
SPIRIT = ("--alcohol", "20")


def holds(substance: str, high: float) -> str:
    """An own liqueur base whose maker states a content."""
    return AMARO + ANALYSED.format(ident="own", substance=substance, high=high)


def of(name: str, dose: str = "20", *more: str) -> tuple[str, ...]:
    return ("formula", name, "--dose", f"{name}={dose}g/kg", *more)


# limit id -> arguments, pantry
WALKS: dict[str, tuple[tuple[str, ...], str]] = {
    "eu-estragole-drink": (of("thai-basil", "60", "--extract"), ""),
    "eu-methyl-eugenol-drink": (of("bay-leaf", "20", "--extract"), ""),
    "eu-safrole-drink": (of("nutmeg", "2", "--extract"), ""),
    "eu-quassin-drink": (of("own", "1"), QUASSIA),
    "eu-quassin-alcohol": (of("own", "1", *SPIRIT), QUASSIA),
    "eu-teucrin-a-alcohol": (of("own", "20", *SPIRIT), holds("teucrin-a", 1000)),
    "eu-pulegone-mint-drink": (of("peppermint", "60"), ""),
    "eu-pulegone-mint-alcohol": (of("peppermint", "60", *SPIRIT), ""),
    "eu-menthofuran-mint-alcohol": (of("peppermint", "60", *SPIRIT), ""),
    "eu-beta-asarone-alcohol": (of("own", "20", *SPIRIT), holds("beta-asarone", 1000)),
    "eu-hydrogen-cyanide-alcohol": (of("own", "20", *SPIRIT), holds("hydrogen-cyanide", 1000)),
    "eu-thujone-artemisia-drink": (of("own", "5"), MUGWORT),
    "eu-thujone-alcohol": (of("sage", "20", *SPIRIT), ""),
    "eu-thujone-artemisia-alcohol": (of("own", "20", *SPIRIT), MUGWORT),
    "us-thujone-free": (of("own", "20", *SPIRIT, "--market", "us"), MUGWORT),
    "scf-thujone-tdi": (of("sage"), ""),
    "ema-thujone-day": (of("sage"), ""),
    "efsa-coumarin-tdi": (of("cassia"), ""),
    "bfr-cassia-adult": (of("cassia-ground", "40"), ""),
    "us-cinchona-drink": (of("cinchona", "5", "--market", "us"), ""),
    "us-quinine-drink": (("drink", "mandarin", "--style", "tonic", "--market", "us"), ""),
    "eu-quinine-drink": (("drink", "mandarin", "--style", "tonic", "--market", "eu"), ""),
    "eu-quinine-alcohol": (of("own", "20", "--market", "uk", *SPIRIT), holds("quinine", 5000)),
    "jecfa-quinine-drink": (("drink", "mandarin", "--style", "tonic"), ""),
    "us-glycyrrhizin-drink": (of("liquorice-root", "20"), ""),
    "us-glycyrrhizin-alcohol": (of("liquorice-root", "20", *SPIRIT), ""),
    "scf-glycyrrhizin-day": (of("liquorice-root", "20"), ""),
    "eu-glycyrrhizin-liquorice-statement": (of("liquorice-root", "20"), ""),
    "eu-glycyrrhizin-pressure-statement": (of("liquorice-root", "20"), ""),
    "eu-glycyrrhizin-pressure-statement-alcohol": (of("liquorice-root", "60", *SPIRIT), ""),
    "us-prussic-acid": (of("mahleb", "5", "--market", "us"), ""),
    "efsa-cyanide-acute": (("formula", "almond-roasted-raw"), ""),
    "toxic-nutmeg-single": (of("nutmeg", "20"), ""),
    "review-saffron-day": (of("saffron", "10"), ""),
    "bfr-capsaicin-single": (of("chilli", "30"), ""),
    "bfr-capsaicin-product": (of("chilli", "30"), ""),
    "bfr-capsaicin-unsafe": (of("chilli", "250"), ""),
    "efsa-camphor-day": (of("sage", "60"), ""),
    "ema-estragole-day": (of("star-anise"), ""),
    "bfr-synephrine-day": (of("bitter-orange", "700"), ""),
    "anses-synephrine-day": (of("bitter-orange", "700", "--serving-g", "60"), ""),
    "jecfa-curcumin": (of("turmeric-dried", "40"), ""),
    "jecfa-menthol": (of("peppermint", "250", "--serving-g", "60"), ""),
    "jecfa-eugenol": (of("clove", "20"), ""),
    "jecfa-vanillin": (of("vanilla-bean", "250"), ""),
    "jecfa-citral-group": (of("lemongrass", "200"), ""),
    "jecfa-anethole": (of("star-anise", "20"), ""),
    "jecfa-carvone": (of("spearmint", "200"), ""),
    "jecfa-methyl-salicylate": (of("birch-bark", "100"), ""),
    "jecfa-benzaldehyde": (of("own", "20"), holds("benzaldehyde", 100000)),
    "jecfa-ionones": (of("osmanthus", "200"), ""),
    "eu-sulphites-statement": (of("dried-tangerine-peel", "60"), ""),
    "us-sulphites-statement": (of("dried-tangerine-peel", "60", "--market", "us"), ""),
    "eu-caffeine-statement": (("label", "clove", "--drink-name", "Winter fizz"), ""),
    "eu-erythritol-drink": (
        ("formula", "clove", "--sweetener", "erythritol", "--strength", "0.4:1"),
        "",
    ),
    "efsa-erythritol-day": (
        ("formula", "clove", "--sweetener", "erythritol", "--strength", "0.4:1"),
        "",
    ),
    "eu-hcn-almond": (("show", "almond-roasted-raw"), ""),
    "eu-hcn-apricot-kernel": (("show", "apricot-kernel"), ""),
}


def test_every_limit_has_a_walk() -> None:
    assert set(WALKS) == set(LIMITS)


def _printed(document: dict[str, Any], limit_id: str) -> bool:
    row = LIMITS[limit_id]
    words = row.scope, row.provision
    texts = [f["text"] for f in document.get("findings", document.get("cautions", ()))]
    return any(words[0] in t and (words[1] in t or row.jurisdiction[:2] in t) for t in texts)


@pytest.mark.parametrize("limit_id", WALKS)
def test_a_limit_is_printed_by_its_command(
    limit_id: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("PAIRING_MARKET", raising=False)
    args, pantry = WALKS[limit_id]
    if pantry:
        (tmp_path / "p.toml").write_text(pantry, encoding="utf-8")
        args = (*args, "--pantry", str(tmp_path / "p.toml"))
    with pytest.raises(SystemExit) as left:
        cli.main([*args, "--format", "json"])
    out, err = capsys.readouterr()
    assert left.value.code in (0, 3), err
    if limit_id == "eu-caffeine-statement":
        assert "High caffeine content" in out
        return
    assert _printed(json.loads(out), limit_id), [
        f["text"] for f in json.loads(out).get("findings", ()) if f["code"] == "limit"
    ]
