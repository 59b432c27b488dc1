"""Blind sheets: balance, codes, keys, and reading back."""

from __future__ import annotations

import csv
import io
from collections import Counter

import pytest

from pairing.errors import PairingError
from pairing.trials import sheets


def filled(sheet: sheets.Sheet, answer) -> str:
    rows = list(csv.DictReader(io.StringIO(sheets.to_csv(sheet))))
    cups = {(c.taster, c.code, c.place): c for c in sheet.cups}
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, rows[0].keys())
    writer.writeheader()
    for row in rows:
        cup = cups[row["taster"].removeprefix("'"), row["code"], int(row["place"])]
        writer.writerow({**row, **answer(sheet, cup)})
    return out.getvalue()


def odd(sheet: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
    """Ten tasters find the odd cup, the others take the first."""
    mine = [c.trial for c in sheet.of(cup.taster)]
    right = mine.count(cup.trial) == 1
    knows = int(cup.taster[1:]) <= 10
    return {"answer": "1" if (right if knows else cup.place == 1) else ""}


def test_triangle_from_sheet_to_sentence() -> None:
    sheet = sheets.make_sheet("triangle", ["A", "B"], 12, seed=5)
    assert len(sheet.cups) == 36
    assert sheet.balanced
    turns = Counter("".join(c.trial for c in sheet.of(t)) for t in sheet.tasters)
    assert set(turns.values()) == {2}
    assert len(turns) == 6
    codes = [c.code for c in sheet.cups]
    assert len(set(codes)) == 36
    again = sheets.from_dict(sheet.to_dict())
    assert again == sheet
    given = sheets.answers(again, filled(sheet, odd))
    reading, left = sheets.read_answers(again, given)
    assert reading.told_apart
    assert reading.numbers["correct"] >= 10
    assert left == ()


def test_nothing_in_the_file_tells_what_a_cup_holds() -> None:
    sheet = sheets.make_sheet("liking", ["mandarin 40", "mandarin 80"], ["Ana", "Bo"], seed=1)
    assert "mandarin" not in sheets.to_csv(sheet)


def test_liking_flights_are_williams_and_read() -> None:
    sheet = sheets.make_sheet("liking", list("ABCD"), 8, seed=2)
    first = Counter(sheet.of(t)[0].trial for t in sheet.tasters)
    assert set(first.values()) == {2}
    points = {"A": 4, "B": 5, "C": 8, "D": 5}

    def liked(_: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
        return {"answer": str(points[cup.trial] + (int(cup.taster[1:]) % 2))}

    reading, _ = sheets.read_answers(sheet, sheets.answers(sheet, filled(sheet, liked)))
    assert reading.told_apart
    assert reading.sentence.startswith("They like C best")


def test_more_trials_than_cups_go_out_in_blocks() -> None:
    sheet = sheets.make_sheet("ranking", list("ABCDEFGH"), 14, cups=4, seed=3)
    assert sheet.sittings == 2
    assert all(len(sheet.of(t)) == 8 for t in sheet.tasters)
    assert "8 trials in 2 sittings of 4 cups" in sheet.notes[0]

    def place(sheet: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
        flight = sorted(c.trial for c in sheet.of(cup.taster) if c.set == cup.set)
        return {"answer": str(1 + flight.index(cup.trial))}

    reading, _ = sheets.read_answers(sheet, sheets.answers(sheet, filled(sheet, place)))
    assert reading.told_apart
    assert reading.numbers["trials"][0]["mean_place"] == 1
    assert reading.tasters == 28  # flights


def test_pairs_and_duo_trio() -> None:
    sheet = sheets.make_sheet("pairs", list("ABC"), 10, seed=4)
    assert len(sheet.of("T1")) == 6
    best = {"A": 1, "B": 3, "C": 2}

    def pick(sheet: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
        other = next(c for c in sheet.of(cup.taster) if c.set == cup.set and c != cup)
        return {"answer": "x" if best[cup.trial] > best[other.trial] else ""}

    reading, _ = sheets.read_answers(sheet, sheets.answers(sheet, filled(sheet, pick)))
    assert reading.sentence.startswith("They pick B over")
    duo = sheets.make_sheet("duo-trio", ["A", "B"], 8, seed=4)
    assert all(duo.of(t)[0].code == "R" for t in duo.tasters)

    def same(sheet: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
        same_as = sheet.of(cup.taster)[0].trial == cup.trial
        return {"answer": "1" if same_as and cup.code != "R" else ""}

    reading, _ = sheets.read_answers(duo, sheets.answers(duo, filled(duo, same)))
    assert (reading.numbers["correct"], reading.tasters) == (8, 8)


def test_just_right_reads_which_way_to_move() -> None:
    sheet = sheets.make_sheet("just-right", ["A"], 16, qualities=["sweet", "spicy"], seed=4)

    def mark(_: sheets.Sheet, cup: sheets.Cup) -> dict[str, str]:
        late = int(cup.taster[1:]) > 4
        return {"answer": "5" if late else "8", "sweet": "5" if late else "3", "spicy": "3"}

    reading, _ = sheets.read_answers(sheet, sheets.answers(sheet, filled(sheet, mark)))
    assert reading.told_apart
    assert "12 of 16 say too much sweet; less of it" in reading.sentence


def test_those_who_did_not_answer_are_left_out_and_named() -> None:
    sheet = sheets.make_sheet("paired", ["A", "B"], ["Ana", "Bo", "Cy"], seed=1)
    both = filled(sheet, lambda s, c: {"answer": "1" if c.taster == "Bo" or c.place == 1 else ""})
    reading, left = sheets.read_answers(sheet, sheets.answers(sheet, both))
    assert reading.tasters == 2
    assert left == ("Bo picked 2 cups",)


def test_hostile_names_are_inert_and_come_back() -> None:
    names = ["=cmd|' /C calc'!A0", "Zoë\x1b[31m", "a,b;c"]
    sheet = sheets.make_sheet("paired", ["A", "B"], names, seed=1)
    text = sheets.to_csv(sheet)
    assert "\x1b" not in text
    assert "\n=" not in text
    given = sheets.answers(sheet, filled(sheet, lambda s, c: {"answer": str(c.place % 2)}))
    assert len(given) == 6


def test_semicolons_and_decimal_commas_of_other_countries() -> None:
    sheet = sheets.make_sheet("liking", ["A", "B"], 4, seed=1)
    text = filled(sheet, lambda s, c: {"answer": "6.5" if c.trial == "A" else "5"})
    text = text.replace(",", ";").replace("6.5", "6,5")
    reading, _ = sheets.read_answers(sheet, sheets.answers(sheet, "\ufeff" + text))
    assert reading.numbers["trials"][0]["mean"] == 6.5


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: sheets.make_sheet("triangle", list("ABC"), 6), "compares 2 trials"),
        (lambda: sheets.make_sheet("ranking", ["A", "B"], 6), "compares 3 to 8"),
        (lambda: sheets.make_sheet("liking", ["A", "B"], 0), "1 to 200 tasters"),
        (lambda: sheets.make_sheet("liking", ["A", "B"], ["Ana", "Ana"]), "same name"),
        (lambda: sheets.make_sheet("just-right", ["A"], 6), "name them"),
        (lambda: sheets.make_sheet("liking", ["A", "B"], 6, portion_ml=900), "5 to 250"),
        (lambda: sheets.from_dict({"protocol": "triangle"}), "no tasting sheet"),
    ],
)
def test_bad_sheets(call, says: str) -> None:
    with pytest.raises(PairingError, match=says):
        call()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda t: t.replace("taster,", "who,", 1), "no column 'taster'"),
        (lambda t: t + "Zed,1,1,1,123,1,\n", "line 10: taster 'Zed' has no cup"),
        (lambda t: t + t.splitlines()[1] + "\n", "stands there twice"),
        (lambda t: t, "nobody has picked"),
        (lambda t: "", "no column"),
        (lambda t: t.replace(",,\r\n", ",perhaps,\r\n").replace(",,\n", ",perhaps,\n"), "perhaps"),
    ],
)
def test_bad_answers(change, says: str) -> None:
    sheet = sheets.make_sheet("paired", ["A", "B"], 4, seed=1)
    with pytest.raises(PairingError, match=says):
        sheets.read_answers(sheet, sheets.answers(sheet, change(sheets.to_csv(sheet))))


def test_caffeine_of_a_sitting() -> None:
    sheet = sheets.make_sheet("liking", list("ABCDEF"), 6, seed=1)
    # six sips of 30 ml of a 150 ml drink with 128 mg: 154 mg, under the 200 mg at once
    found = sheets.caffeine(sheet, 128, 150, single_mg=200, day_mg=400)
    assert found.sitting_mg == pytest.approx(153.6)
    assert found.warning == ""
    loud = sheets.caffeine(sheet, 300, 150, single_mg=200, day_mg=400)
    assert "decaf" in loud.warning
    assert "360 mg caffeine a taster at one sitting" in loud.warning


def test_how_many_tasters_for_which_power() -> None:
    twelve = sheets.make_sheet("triangle", ["A", "B"], 12, seed=1)
    # ISO 4120 table A.3: half notice, 5 and 20 %: 16 tasters
    assert "16 tasters find it 8 times in 10" in sheets.strength_words(twelve)
    more = sheets.make_sheet("triangle", ["A", "B"], 18, seed=1)
    assert sheets.strength_words(more).endswith("enough.")


@pytest.mark.parametrize("names", [("Ana", "ana"), ("Zoë", "Zoe"), ("Bo  Li", "bo li")])
def test_names_that_sound_alike_are_one_taster(names: tuple[str, str]) -> None:
    with pytest.raises(PairingError, match="capitals and accents tell nobody apart"):
        sheets.make_sheet("liking", list("AB"), list(names))
    one = sheets.make_sheet("triangle", ["A", "B"], 1)
    assert sheets.strength_words(one).startswith("1 taster finds a difference")
    assert "almost never" in sheets.strength_words(one)
