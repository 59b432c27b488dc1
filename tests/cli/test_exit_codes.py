"""One table of exit codes for every command that makes or answers: 0, 1, 2, 3.

docs/reference/exit-codes.md: fine 0, nothing found 1, bad input 2, must not be served 3.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from pairing import cli

MAKES = ("label", "formula", "drink", "card")
NUT = (
    '[[ingredients]]\ningredient_id = "own"\nname = "House crunch"\n'
    'botanical_name = "{plant}"\nkind = "{kind}"\n'
    '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "ground"\nlabel = "Own"\n'
    'dose_low_g_per_kg = 5\ndose_high_g_per_kg = 20\nmethod = "hot-steep"\n'
)


def leave(capsys: pytest.CaptureFixture[str], tmp_path: Path, *words: str) -> tuple[int, str]:
    """Exit code and first line; a card goes to a file."""
    written = ("-o", str(tmp_path / "card.html")) if words[0] == "card" else ()
    with pytest.raises(SystemExit) as left:
        cli.main([*words, *written])
    got = capsys.readouterr()
    code = left.value.code
    assert isinstance(code, int | None)
    return code or 0, (got.out + got.err).strip().split("\n")[0]


@pytest.mark.parametrize("command", [*MAKES, "check", "suggest", "show", "graph"])
def test_fine_is_0(capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str) -> None:
    words = {"suggest": ("suggest", "--top", "1"), "graph": ("graph", "similar", "clove")}
    assert leave(capsys, tmp_path, *words.get(command, (command, "clove")))[0] == 0


def test_nothing_found_is_1(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = ("suggest", "--avoid", "nuts", "--kind", "nut", "--citrus", "none")
    assert leave(capsys, tmp_path, *words)[0] == cli.NOTHING_FOUND


@pytest.mark.parametrize("command", [*MAKES, "check", "show"])
def test_bad_input_is_2_and_writes_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    code, line = leave(capsys, tmp_path, command, "zzzz")
    assert code == cli.BAD_INPUT
    assert "not assessed here, which is not safe" in line
    assert not (tmp_path / "card.html").exists()


@pytest.mark.parametrize("command", [*MAKES, "check", "suggest"])
def test_a_refused_plant_is_3_and_writes_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    """21 CFR 189.130: food with tonka is adulterated."""
    name = ("--with", "tonka-bean") if command == "suggest" else ("tonka-bean",)
    code, line = leave(capsys, tmp_path, command, *name, "--market", "us")
    assert code == cli.MUST_NOT_BE_SERVED
    assert "tonka" in line
    assert not (tmp_path / "card.html").exists()


@pytest.mark.parametrize("command", MAKES)
@pytest.mark.parametrize("market", ["eu", "uk", "us"])
def test_a_dose_that_passes_an_intake_is_3(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str, market: str
) -> None:
    """EFSA 2004: 0.1 mg coumarin per kg a day, in whatever market."""
    words = (command, "cassia", "--dose", "cassia=60g/kg", "--market", market)
    code, line = leave(capsys, tmp_path, *words)
    assert code == cli.MUST_NOT_BE_SERVED
    assert command == "card" or line.startswith("STOP: ")
    if command == "card":
        assert "STOP" in (tmp_path / "card.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("command", "code"), [("label", 3), ("formula", 0), ("drink", 0)])
def test_an_allergen_not_known_stops_the_label_alone(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str, code: int
) -> None:
    pantry = tmp_path / "bar.toml"
    pantry.write_text(NUT.format(plant="Corylus avellana", kind="nut"), encoding="utf-8")
    left, line = leave(capsys, tmp_path, command, "own", "--pantry", str(pantry))
    assert left == code
    assert "Allergens NOT KNOWN for House crunch" in line


@pytest.mark.parametrize("command", [*MAKES, "check", "show", "report", "page"])
def test_a_pantry_with_a_banned_plant_is_3(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    """Kava-kava in Food (England) Regulations 2002, read."""
    pantry = tmp_path / "bar.toml"
    pantry.write_text(NUT.format(plant="Piper methysticum", kind="root"), encoding="utf-8")
    words = (command,) if command in ("report", "page") else (command, "clove")
    code, line = leave(capsys, tmp_path, *words, "--pantry", str(pantry))
    assert code == cli.MUST_NOT_BE_SERVED
    assert "kava" in line
