"""Change one comparison, unit or list in safety, keeping or label; a test must fail.

Run in a copy of the checkout: ``python scripts/mutants.py`` prints each mutant as killed or
SURVIVED. It restores every file it touches. Names of groups (safety, keep, label, names) or
numbers of mutants as arguments run those alone.
"""

from __future__ import annotations

# ruff: noqa: E501
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SAFETY, KEEP, LABEL = "pairing/safety/", "pairing/syrup/keeping.py", "pairing/cards/label.py"
EVIDENCE = "pairing/evidence/"
NUTRITION = "pairing/cards/nutrition.py"
TESTS = {  # stages: the next is asked only of what survives the one before
    "safety": [["tests/safety"], ["tests/reference/test_limits.py", "tests/cards/test_label.py"]],
    "keep": [["tests/syrup/test_keeping.py"]],
    "label": [["tests/cards/test_label.py"]],
    "names": [
        ["tests/reference/test_risky_wishes.py", "-k", "pantry or product or misleads or food"],
        ["tests/reference/test_risky_wishes.py", "-k", "unassessed"],
        ["tests/safety/test_edges.py"],
    ],
    "first": [
        [
            "tests/safety/test_surfaces.py",
            "-k",
            "stands_first and (formula or card or batch or plan or similar or score or matrix)",
        ]
    ],
    "tells": [
        [
            "tests/safety/test_surfaces.py",
            "-k",
            "nine or clear or none_is or picture or notebook or kept or bench",
        ],
        ["tests/safety/test_edges.py"],
    ],
    "barred": [
        ["tests/safety/test_surfaces.py", "-k", "disguise or in_a_sweetener or carries_its_stop"],
        ["tests/safety/test_poison_lists.py", "tests/reference/test_attacks.py"],
    ],
    "sums": [
        ["tests/safety/test_surfaces.py", "-k", "summed or exactly"],
        ["tests/safety/test_safety.py", "tests/safety/test_edges.py"],
        ["tests/reference/test_limits.py"],
    ],
    "page": [["tests/page/test_page.py", "-k", "not whole_house"], ["tests/page"]],
    "glass": [
        ["tests/glass/test_added.py"],
        ["tests/glass/test_drink.py"],
        ["tests/cli/test_cli_drink.py"],
    ],
}

# file, what stands there, what it becomes, which tests must notice
MUTANTS = [
    (SAFETY + "assess.py", "REACHED = 1.0 - 1e-9", "REACHED = 1.0 + 1e-3", "safety"),
    (SAFETY + "assess.py", "NEAR, SOME, TRACE = 0.5, 0.1, 0.01", "NEAR, SOME, TRACE = 0.8, 0.1, 0.01", "safety"),
    (SAFETY + "assess.py", "NEAR, SOME, TRACE = 0.5, 0.1, 0.01", "NEAR, SOME, TRACE = 0.5, 0.3, 0.01", "safety"),
    (SAFETY + "assess.py", "NEAR, SOME, TRACE = 0.5, 0.1, 0.01", "NEAR, SOME, TRACE = 0.5, 0.1, 0.001", "safety"),
    (SAFETY + "assess.py", "ALCOHOLIC_PERCENT = 1.2", "ALCOHOLIC_PERCENT = 12.0", "safety"),
    (SAFETY + "assess.py", "POISON_SHARE = 0.5", "POISON_SHARE = 1.0", "safety"),
    (SAFETY + "assess.py", "FAR_TIMES_BAR = 10.0", "FAR_TIMES_BAR = 30.0", "safety"),
    (SAFETY + "assess.py", "FAR_G_PER_KG = 300.0", "FAR_G_PER_KG = 900.0", "safety"),
    (SAFETY + "assess.py", "QUIET_CAFFEINE_MG = 30.0", "QUIET_CAFFEINE_MG = 130.0", "safety"),
    (SAFETY + "assess.py", "ETHANOL_G_PER_ML = 0.789", "ETHANOL_G_PER_ML = 0.5", "safety"),
    (SAFETY + "assess.py", "CHILD_KG = 30.0", "CHILD_KG = 60.0", "safety"),
    (SAFETY + "assess.py", "mg / serving.drink_ml * 1000, limit.value, \"mg/kg\"", "mg / serving.drink_ml * 100, limit.value, \"mg/kg\"", "safety"),
    (SAFETY + "assess.py", "mg / serving.drink_ml * 1000, limit.value, \"mg/l\"", "mg / serving.drink_ml * 100, limit.value, \"mg/l\"", "safety"),
    (SAFETY + "assess.py", "mg / serving.serving_g * 1000", "mg / serving.yield_g * 1000", "safety"),
    (SAFETY + "assess.py", "serving.drink_g(p) * mg_per_kg / 1000", "serving.drink_g(p) * mg_per_kg / 1100", "safety"),
    (SAFETY + "assess.py", "limit.value * (serving.body_kg if", "limit.value * (70.0 if", "safety"),
    (SAFETY + "assess.py", "exempted = row.exempt and not (sure or added)", "exempted = row.exempt", "safety"),
    (SAFETY + "assess.py", "elsewhere = bool(lawful and catalog.market and where and catalog.market not in where)", "elsewhere = False", "safety"),
    (SAFETY + "assess.py", "r.level if here else \"note\"", "r.level", "safety"),
    (SAFETY + "assess.py", "if h.topic == \"look-alike\" and p.ingredient_id in foraged:", "if False:", "safety"),
    (SAFETY + "assess.py", "grams = sum(p.grams for p in held[key])", "grams = held[key][0].grams", "safety"),
    (SAFETY + "assess.py", "if not known.assessed and not is_bought(catalog, p):", "if False:", "first"),
    (SAFETY + "assess.py", "return \"caution\" if ratio >= REACHED else \"note\" if ratio >= SOME else None", "return \"note\" if ratio >= SOME else None", "safety"),
    (SAFETY + "assess.py", "if ratio >= REACHED:\n        return \"stop\"", "if ratio >= 2:\n        return \"stop\"", "safety"),
    (SAFETY + "assess.py", "used = [p for p in portions if p.grams > 0]", "used = [p for p in portions if p.grams > 50]", "safety"),
    (SAFETY + "assess.py", "amounts[\"caffeine\"] = own_caffeine + serving.caffeine_high_mg", "amounts[\"caffeine\"] = serving.caffeine_high_mg", "safety"),
    (SAFETY + "amounts.py", "m.percent_high / 100", "m.percent_low / 100", "safety"),
    (SAFETY + "amounts.py", "share[c.material] * c.high *", "share[c.material] * c.low *", "safety"),
    (SAFETY + "amounts.py", "out[compound_id] = max(out.get(compound_id, 0.0), amount)", "pass", "safety"),
    (SAFETY + "amounts.py", "any(set(p.ids) & set(q.ids) for q in g)", "any(p is q for q in g)", "safety"),
    (SAFETY + "allergens.py", "\"limit\" if legal else \"caution\",\n            \"allergen\"", "\"note\",\n            \"allergen\"", "safety"),
    (SAFETY + "allergens.py", "LEGAL = {\"EU14\": \"EU and UK\", \"US9\": \"US\"}", "LEGAL = {\"EU14\": \"EU and UK\"}", "safety"),
    (SAFETY + "allergens.py", "lists = {\"us\": {\"US9\"}, \"eu\": {\"EU14\"}, \"uk\": {\"EU14\"}}", "lists = {\"us\": {\"EU14\"}, \"eu\": {\"EU14\"}, \"uk\": {\"EU14\"}}", "label"),
    (SAFETY + "allergens.py", "if stated is None:", "if False:", "names"),
    (SAFETY + "allergens.py", "    if milk:\n", "    if False:\n", "label"),
    (SAFETY + "allergens.py", "if not may or unsulphured:", "if not may or unsulphured is None:", "safety"),
    (SAFETY + "plants.py", "if not own.botanical_name:", "if False:", "safety"),
    (SAFETY + "plants.py", "if poison:\n", "if False:\n", "names"),
    (SAFETY + "plants.py", "highs = [f.dose_high_g_per_kg for f in same if f.dose_high_g_per_kg]\n    return max", "highs = [f.dose_high_g_per_kg for f in same if f.dose_high_g_per_kg]\n    return min", "safety"),
    (SAFETY + "food_code.py", "above = value >= low if low_in else value > low", "above = value >= low", "safety"),
    (SAFETY + "food_code.py", "below = value <= high if high_in else value < high", "below = value < high", "safety"),
    (SAFETY + "food_code.py", "wanted = \"A\" if heat_treated_packaged else \"B\"", "wanted = \"A\"", "safety"),
    (SAFETY + "findings.py", "\"allergen\": 3,", "\"allergen\": 8,", "safety"),
    (SAFETY + "findings.py", "MOST_LINES = 6", "MOST_LINES = 2", "safety"),
    (EVIDENCE + "poison_names.py", "NEAR_LETTERS = 7", "NEAR_LETTERS = 17", "names"),
    (EVIDENCE + "poison_names.py", "return len(apart) == 1 or (", "return (", "names"),
    (EVIDENCE + "safety_tables.py", "return bool(one.value < other.value)", "return bool(one.value > other.value)", "safety"),
    (EVIDENCE + "safety_tables.py", "lambda one, other: one.high_mg_per_kg > other.high_mg_per_kg", "lambda one, other: one.high_mg_per_kg < other.high_mg_per_kg", "safety"),
    (KEEP, "AW_MARGIN = 0.015", "AW_MARGIN = 0.0", "keep"),
    (KEEP, "BOTULINUM_PH, BOTULINUM_AW = 4.6, 0.92", "BOTULINUM_PH, BOTULINUM_AW = 5.6, 0.92", "keep"),
    (KEEP, "BOTULINUM_PH, BOTULINUM_AW = 4.6, 0.92", "BOTULINUM_PH, BOTULINUM_AW = 4.6, 0.95", "keep"),
    (KEEP, "NUT_DAYS = 7", "NUT_DAYS = 30", "keep"),
    (KEEP, "TCS_DAYS = 7", "TCS_DAYS = 9", "keep"),
    (KEEP, "most += [r.ph_high or PH_OF_PLANTS for r in rows]", "most += [r.ph or 7.0 for r in rows]", "keep"),
    (KEEP, "\"us\": 57.0", "\"us\": 47.0", "keep"),
    (KEEP, "OTHER_ACID = 0.6", "OTHER_ACID = 0.0", "keep"),
    (KEEP, "sour = by_powder or any(_sours(catalog, f) for f in forms)", "sour = True", "keep"),
    (LABEL, "CAFFEINE_MG_PER_L = 150.0", "CAFFEINE_MG_PER_L = 160.0", "label"),
    (LABEL, "if per_litre <= CAFFEINE_MG_PER_L:", "if per_litre < CAFFEINE_MG_PER_L:", "label"),
    (NUTRITION, "SUGAR_ENERGY, POLYOL_ENERGY, ACID_ENERGY = (17.0, 4.0)", "SUGAR_ENERGY, POLYOL_ENERGY, ACID_ENERGY = (17.0, 3.9)", "label"),
    (NUTRITION, "(10.0, 2.4), (13.0, 3.0)", "(10.0, 2.4), (12.0, 3.0)", "label"),
    (NUTRITION, "US_ALLULOSE_KCAL = 0.4", "US_ALLULOSE_KCAL = 4.0", "label"),
    (LABEL, "US_ADDED_SUGARS_G = 50.0", "US_ADDED_SUGARS_G = 60.0", "label"),
    (LABEL, "ML_PER_FL_OZ = 29.5735", "ML_PER_FL_OZ = 28.41", "label"),
    (LABEL, "timedelta(days=keep_days - 1)", "timedelta(days=keep_days)", "label"),
    (LABEL, "if european and polyols > 10.0:", "if european and polyols > 20.0:", "label"),
    (LABEL, "OMIT_WATER = 0.05", "OMIT_WATER = 0.5", "label"),
    (LABEL, "{when.day:02d}.{when.month:02d}", "{when.month:02d}.{when.day:02d}", "label"),
    (LABEL, "if market == \"us\" and contains else", "if contains else", "label"),
    (LABEL, "if unknown:\n        stops", "if False:\n        stops", "label"),
    # --- what was added since: keeping, page, cards, poison names, glass, own things
    (SAFETY + "assess.py", "if share <= 1.0 + 1e-9:", "if share <= 1.3:", "sums"),
    (SAFETY + "assess.py", "share += each / limit", "share = each / limit", "sums"),
    (SAFETY + "assess.py", "drink = sum(serving.drink_g(p) for p in held[key])", "drink = serving.drink_g(held[key][0])", "sums"),
    (SAFETY + "assess.py", "in_drink = drink >= POISON_SHARE * h.value * REACHED", "in_drink = drink > POISON_SHARE * h.value", "sums"),
    (SAFETY + "assess.py", "or grams >= h.value * REACHED", "or grams >= h.value * 2", "sums"),
    (SAFETY + "assess.py", "return \"limit\"\n    return \"caution\" if ratio >= NEAR else \"note\"", "return \"caution\"\n    return \"caution\" if ratio >= NEAR else \"note\"", "sums"),
    (SAFETY + "assess.py", "above = percent > ALCOHOLIC_PERCENT", "above = percent >= ALCOHOLIC_PERCENT", "sums"),
    (SAFETY + "assess.py", "if any(f.code == \"limit\" for f in found):\n        found.append", "if False:\n        found.append", "sums"),
    (SAFETY + "amounts.py", "if c.ingredient_id == p.ingredient_id:", "if True:", "sums"),
    (SAFETY + "amounts.py", "out[substance] = max(out.get(substance, 0.0), amount)", "out[substance] = amount", "sums"),
    (SAFETY + "findings.py", "\"unknown\": 1,", "\"unknown\": 7,", "tells"),
    (SAFETY + "findings.py", "toxic = finding.code == \"hazard\" and finding.basis in (\"toxic\", \"look-alike\", \"dose\")", "toxic = False", "sums"),
    (SAFETY + "plants.py", "return not self.own or bool(self.plants)", "return True", "first"),
    (SAFETY + "plants.py", "return not where or not catalog.market or catalog.market in where", "return catalog.market in where", "barred"),
    (SAFETY + "plants.py", "if len(plant) > 1 and all(map(self.forbidden, ids)):\n                self.short", "if False:\n                self.short", "barred"),
    (SAFETY + "plants.py", "if len(key.replace(\"-\", \"\")) > 4:", "if len(key.replace(\"-\", \"\")) > 40:", "barred"),
    (SAFETY + "plants.py", "*((\"sweeteners\", s) for s in catalog.overlay.get(\"sweeteners\", ())),", "", "barred"),
    (SAFETY + "plants.py", "poison_in(catalog, (*_texts(own), *_labels(catalog, ident)))", "poison_in(catalog, _texts(own))", "barred"),
    (SAFETY + "plants.py", "near = catalog.safety.poison_names.near(text)", "near = None", "barred"),
    (SAFETY + "plants.py", "aliases, botanical) if t)", "aliases) if t)", "barred"),
    (SAFETY + "allergens.py", "*known.names, *labels", "*known.names", "tells"),
    (SAFETY + "allergens.py", "(h for b, h in known.begins.items() if words[i].startswith(b))", "(h for b, h in known.begins.items() if words[i] == b)", "tells"),
    (SAFETY + "allergens.py", "for length in range(min(known.longest, len(words) - i), 0, -1):", "for length in range(1, 0, -1):", "tells"),
    (SAFETY + "allergens.py", "if have - {kinds[k].word for k in stated.allergens}", "if False and have - {kinds[k].word for k in stated.allergens}", "tells"),
    (SAFETY + "allergens.py", "or (may and not stated.specification)", "or may", "tells"),
    (SAFETY + "allergens.py", "if not row.allergens_known:", "if False:", "glass"),
    (SAFETY + "bought.py", "if row.quinine_high_mg_per_l else ()", "if False else ()", "glass"),
    (EVIDENCE + "poison_names.py", "if len(\"\".join(words)) >= 6:", "if len(\"\".join(words)) >= 60:", "barred"),
    (EVIDENCE + "poison_names.py", "if len(one) == 1 and (one, two) in self.short:", "if False:", "barred"),
    (EVIDENCE + "poison_names.py", "_INVISIBLE.sub(\"\", text)", "text", "barred"),
    (EVIDENCE + "poison_names.py", ".translate(_ALIKE)", "", "barred"),
    (EVIDENCE + "poison_names.py", "word.translate(_FIGURES) if letters >= 2", "word.translate(_FIGURES) if letters >= 20", "barred"),
    (EVIDENCE + "poison_names.py", "joined = len(known) > NEAR_LETTERS and len(word) > len(known) + 2", "joined = False", "barred"),
    (KEEP, "OPENED_DAYS = 7", "OPENED_DAYS = 17", "keep"),
    (KEEP, "DAYS = {\"fruit\": 5,", "DAYS = {\"fruit\": 9,", "keep"),
    (KEEP, "RICH_BRIX = 64.0", "RICH_BRIX = 60.0", "keep"),
    (KEEP, "STORE_C = 5.0", "STORE_C = 8.0", "keep"),
    (KEEP, "low_acid = ph_high > BOTULINUM_PH and", "low_acid = ph_high >= BOTULINUM_PH and", "keep"),
    (KEEP, "activity_high > BOTULINUM_AW", "activity > BOTULINUM_AW", "keep"),
    (KEEP, "not 0 < measured_ph < 14", "not 0 < measured_ph < 140", "keep"),
    (KEEP, "if measured_ph is None:  # the acid", "if False:  # the acid", "keep"),
    (KEEP, "    if capped:\n        days = min(days, NUT_DAYS)", "    if False:\n        days = min(days, NUT_DAYS)", "keep"),
    (KEEP, "return UNSTATED if unknown_allergens(found) else \"\"", "return \"\"", "keep"),
    (KEEP, "words = [LOW_ACID_WORDS] if low_acid else []", "words = []", "keep"),
    (KEEP, "if activity < MOULD_LIMIT:", "if activity < 0.92:", "keep"),
    (LABEL, "days is not None and days < 1", "days is not None and days < -1", "label"),
    (LABEL, "\"\" if \"cascara\" in ids else drink_name", "drink_name", "label"),
    (LABEL, "if high_mg > 0:\n        out.append", "if False:\n        out.append", "label"),
    ("pairing/glass/pour.py", "if spec.mixer is not None and built.quinine_mg[1] > 0:", "if False:", "glass"),
    ("pairing/glass/advice.py", "VERY_HOT_C = 65.0", "VERY_HOT_C = 75.0", "glass"),
    ("pairing/glass/advice.py", "CURDLE_MARGIN = 0.3", "CURDLE_MARGIN = -0.3", "glass"),
    ("pairing/page/application.py", "status = 200 if not stops else 422", "status = 200", "page"),
    ("pairing/page/application.py", "fine = site == \"same-origin\"", "fine = True", "page"),
    ("pairing/page/application.py", "if len(raw) > MOST_BYTES:", "if len(raw) > 100 * MOST_BYTES:", "page"),
    ("pairing/page/application.py", "if shown in NAMES:\n            return True", "if True:\n            return True", "page"),
    ("pairing/page/application.py", "len(text) > MOST_LETTERS or CONTROL.search(text)", "len(text) > MOST_LETTERS", "page"),
    ("pairing/page/making.py", "elif whole[\"not_known\"]:", "elif False:", "page"),
    ("pairing/page/forms.py", "if len(text) > 60 or not re.fullmatch", "if not re.fullmatch", "page"),
    ("pairing/cards/vocabulary.py", "NOT_KNOWN = (\"unknown\", \"loosened\", \"allergen-unknown\")", "NOT_KNOWN = (\"loosened\", \"allergen-unknown\")", "first"),
    ("pairing/cards/vocabulary.py", "return [f.text for f in findings if f.level == \"stop\"]", "return []", "barred"),
    ("pairing/cards/batch.py", "first += [[\"not known\", s, \"\", \"\"] for s in open_]", "pass", "first"),
    ("pairing/cards/card.py", "*map(Text, made.not_known),", "", "first"),
    ("pairing/cards/papers.py", "\"X\" if c in held else \"?\" if unknown", "\"X\" if c in held else \"-\" if unknown", "first"),
    ("pairing/cards/pictures.py", "drawn = [*_care(document), *drawn]", "pass", "tells"),
    ("pairing/affinity/score.py", "if isinstance(err, RefusedError):", "if False:", "barred"),
]  # fmt: skip


def _fails(tests: list[str]) -> bool:
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
    return subprocess.run([*command, *tests], cwd=ROOT, capture_output=True).returncode != 0


def main() -> int:
    """Try every mutant; returns the number of survivors."""
    survivors, tried = 0, 0
    only = set(sys.argv[1:])
    for number, (name, old, new, tests) in enumerate(MUTANTS, 1):
        if only and not only & {tests, str(number)}:
            continue
        tried += 1
        path = ROOT / name
        text = path.read_text(encoding="utf-8")
        if old not in text:
            print(f"{number:2d} MISSING {name}: {old[:60]!r}", flush=True)
            survivors += 1
            continue
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        try:
            killed = any(_fails(stage) for stage in TESTS[tests])
        finally:
            path.write_text(text, encoding="utf-8")
        survivors += not killed
        said = "killed" if killed else "SURVIVED"
        print(f"{number:2d} {said} {name}: {old[:50]!r} -> {new[:50]!r}", flush=True)
    print(f"{tried} mutants, {survivors} survivors")
    return survivors


if __name__ == "__main__":
    raise SystemExit(min(main(), 1))
