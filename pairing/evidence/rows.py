"""Records: one frozen class a table of the data package; field order is column order.

Named tuples, and their types are no texts: such classes are made and filled in a fraction of the
time of dataclasses, in every command.
"""

from typing import NamedTuple


class Source(NamedTuple):
    """A publication, standard, regulation, or trade practice that facts are cited from."""

    source_id: str
    citation: str
    year: str
    kind: str
    licence: str
    doi: str
    url: str
    note: str


class Group(NamedTuple):
    """An aroma group: compounds that share chemistry and smell."""

    group_id: str
    name: str
    words: str
    colour: str
    source_id: str
    evidence: str


class Compound(NamedTuple):
    """An odorant (or pungent principle) and its physical constants."""

    compound_id: str
    name: str
    cas: str
    synonyms: tuple[str, ...]
    molar_mass_g_per_mol: float | None
    boiling_point_c: float | None
    log_p: float | None
    water_solubility_mg_per_l: float | None
    group_id: str
    odour: tuple[str, ...]
    source_id: str
    evidence: str
    note: str


class Threshold(NamedTuple):
    """One published threshold and its life story: medium, task, isomer, whose measurement."""

    threshold_id: str
    compound_id: str
    low_ug_per_l: float
    high_ug_per_l: float
    kind: str
    medium: str
    task: str
    stereo: str
    primary_source: str
    copy_of: str
    counted: bool
    why_not: str
    source_id: str
    evidence: str
    note: str


class MatrixFactor(NamedTuple):
    """How far a threshold rises from water to a food or drink."""

    factor_id: str
    compound_id: str
    reference_medium: str
    matrix: str
    route: str
    ratio_low: float
    ratio_best: float
    ratio_high: float
    used: bool
    source_id: str
    evidence: str
    note: str


class KnownFor(NamedTuple):
    """What the literature knows an ingredient for: leading aroma groups and key odorants."""

    ingredient_id: str
    group_ids: tuple[str, ...]
    compound_ids: tuple[str, ...]
    basis: str
    source_id: str
    evidence: str
    note: str


class Ranking(NamedTuple):
    """The place of an odorant in a published dilution or odour-activity ranking."""

    ranking_id: str
    ingredient_id: str
    material: str
    compound_id: str
    place: int | None
    measure: str
    value: float | None
    over: str
    use: str
    source_id: str
    evidence: str
    note: str


class Ingredient(NamedTuple):
    """A plant (or sweetener) that goes into a syrup, whatever its form."""

    ingredient_id: str
    name: str
    botanical_name: str
    kind: str
    aliases: tuple[str, ...]
    season_months: tuple[int, ...]
    price_band: int | None
    colour: str
    taste: tuple[str, ...]
    regulated: str
    source_id: str
    evidence: str
    note: str


class Form(NamedTuple):
    """An ingredient as it is weighed: slices, peel, juice, crushed pods, ground ..."""

    form_id: str
    ingredient_id: str
    form: str
    is_default: bool
    label: str
    unit_name: str
    unit_mass_g: float | None
    water_percent: float | None
    brix_low: float | None
    brix_high: float | None
    acid_percent_low: float | None
    acid_percent_high: float | None
    ph_low: float | None
    ph_high: float | None
    juice_yield_percent_low: float | None
    juice_yield_percent_high: float | None
    dose_low_g_per_kg: float | None
    dose_high_g_per_kg: float | None
    method: str
    minutes_low: float | None
    minutes_high: float | None
    temperature_c: float | None
    particle_mm: float | None
    soluble_percent_low: float | None
    soluble_percent_high: float | None
    bitterness: str
    taste_source_id: str
    taste_evidence: str
    dose_source_id: str
    dose_evidence: str
    dose_held_by: str
    steep_source_id: str
    steep_evidence: str
    source_id: str
    evidence: str
    note: str


class Mix(NamedTuple):
    """A named mix of spice or tea, with what usually goes in."""

    mix_id: str
    name: str
    aliases: tuple[str, ...]
    form_ids: tuple[str, ...]
    parts_percent: tuple[int, ...]
    source_id: str
    evidence: str
    note: str


class FormMaterial(NamedTuple):
    """How much of an analysed material (peel oil, juice ...) a form holds, % w/w."""

    form_id: str
    material: str
    percent_low: float
    percent_high: float
    source_id: str
    evidence: str
    note: str


class Content(NamedTuple):
    """One published amount of a compound in a material of an ingredient."""

    ingredient_id: str
    material: str
    compound_id: str
    sample: int | None
    low: float
    high: float
    unit: str
    low_mg_per_kg: float | None
    high_mg_per_kg: float | None
    found_percent: float | None
    basis: str
    confidence: str
    proxy: str
    source_id: str
    evidence: str
    note: str


class Odorant(NamedTuple):
    """One published amount of an odorant in the base brew, ug/l."""

    compound_id: str
    low_ug_per_l: float
    high_ug_per_l: float
    source_id: str
    evidence: str
    note: str


class Modifier(NamedTuple):
    """How a level of roast, process ... multiplies a compound, a group or a taste."""

    factor: str
    level: str
    target_kind: str
    target_id: str
    ratio_low: float
    ratio_high: float
    source_id: str
    evidence: str
    note: str


class CaffeineRatio(NamedTuple):
    """How a species or process multiplies the caffeine of a brew."""

    factor: str
    level: str
    ratio_low: float
    ratio_high: float
    source_id: str
    evidence: str
    note: str


class Origin(NamedTuple):
    """A coffee origin."""

    origin_id: str
    name: str
    aliases: tuple[str, ...]
    region: str
    usual_species: str
    usual_process: str
    cup_notes: tuple[str, ...]
    acidity: str
    body: str
    source_id: str
    evidence: str
    note: str


class Brew(NamedTuple):
    """A way to brew coffee, with what lands in the glass."""

    brew_id: str
    name: str
    aliases: tuple[str, ...]
    dose_g: float
    beverage_g: float
    volume_ml: float
    tds_percent: float
    caffeine_low_mg: float
    caffeine_high_mg: float
    ph_low: float
    ph_high: float
    temperature_c: float
    density_kg_per_m3: float
    strength_ratio_low: float
    strength_ratio_high: float
    acid_mmol_per_l: float | None
    buffer_mmol_per_l_ph: float | None
    crema_percent: float | None
    source_id: str
    evidence: str
    note: str


class Note(NamedTuple):
    """A word that tasters use of coffee: what it smells of and which ingredients it names."""

    note: str
    synonyms: tuple[str, ...]
    shared_words: tuple[str, ...]
    family: str
    group_weights: tuple[str, ...]
    names_ids: tuple[str, ...]
    near_ids: tuple[str, ...]
    compound_ids: tuple[str, ...]
    taste: str
    source_id: str
    evidence: str
    comment: str


class CupCount(NamedTuple):
    """In how many tasted cups of an origin, process or roast a note was written."""

    factor: str
    level: str
    note: str
    cups_with_note: int
    cups: int
    roasters: int
    source_id: str
    evidence: str


class CupPair(NamedTuple):
    """In how many tasted cups two notes were written together."""

    note_a: str
    note_b: str
    cups_both: int
    source_id: str
    evidence: str


class CupScore(NamedTuple):
    """Acidity, body or roast colour of the cups of an origin or a roast."""

    factor: str
    level: str
    attribute: str
    cups: int
    mean: float
    shift: float
    shift_sd: float
    source_id: str
    evidence: str


class CoffeeWord(NamedTuple):
    """A word that the trade uses of a coffee, and the level of a factor that it means."""

    word: str
    language: str
    factor: str
    means: str
    choices: tuple[str, ...]
    style: str
    mark: bool
    source_id: str
    evidence: str
    comment: str


class PracticeDrink(NamedTuple):
    """One aromatic partner of one published coffee drink."""

    drink_no: str
    page_no: str
    asked: str
    kind: str
    style: str
    item_id: str
    form: str
    traditional: bool
    source_id: str
    evidence: str


class Tradition(NamedTuple):
    """A place where people already drink these together."""

    tradition_id: str
    region: str
    name: str
    ingredient_ids: tuple[str, ...]
    with_coffee: bool
    how: str
    source_id: str
    evidence: str
    note: str


class Sweetener(NamedTuple):
    """A sugar or syrup to sweeten with; percentages are % w/w as bought."""

    sweetener_id: str
    name: str
    aliases: tuple[str, ...]
    water_percent: float
    sucrose_percent: float
    glucose_percent: float
    fructose_percent: float
    other_sugars_percent: float
    polyol_percent: float
    acid_percent: float | None
    ash_percent: float | None
    sweetness_relative: float
    kcal_per_100g: float
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    other_molar_mass_g_per_mol: float | None
    other_sweetness: float | None
    other_reading: float | None
    own_solubility_percent: float | None
    caution: str
    colour: str
    aroma_ingredient_id: str
    price_band: int | None
    source_id: str
    evidence: str
    note: str


class HouseholdMeasure(NamedTuple):
    """Grams in a cup, spoon or piece."""

    item_id: str
    measure: str
    grams: float
    source_id: str
    evidence: str
    note: str


class Glass(NamedTuple):
    """A glass or cup."""

    glass_id: str
    name: str
    volume_ml: float
    mass_g: float
    heat_resistant: bool
    source_id: str
    evidence: str
    note: str


class Style(NamedTuple):
    """How a drink is built and served."""

    style_id: str
    phrase: str
    volume_ml: float
    temperature_c: float
    iced: bool
    filler: str
    mixer_id: str
    build: str
    ice_g_per_ml: float
    headspace_ml: float
    foam_percent: float
    filler_ml: float | None
    syrup_g: float | None
    adds: tuple[str, ...]
    glass_id: str
    situations: tuple[str, ...]
    source_id: str
    evidence: str
    note: str

    @property
    def has_milk(self) -> bool:
        """Whether it is filled up with milk."""
        return self.filler == "milk"

    @property
    def phrase_without_coffee(self) -> str:
        """What it is called with no coffee in it."""
        return "a hot chocolate" if self.style_id == "mocha" else self.phrase.replace("coffee ", "")


class Milk(NamedTuple):
    """A milk or plant drink."""

    milk_id: str
    name: str
    aliases: tuple[str, ...]
    allergen_id: str
    vegan: bool
    water_percent: float
    fat_percent: float
    sugar_percent: float
    sugar_sweetness: float
    kcal_per_100g: float
    g_per_ml: float
    heat_j_per_g_k: float
    ph: float | None
    buffer_mmol_per_l_ph: float | None
    curdle_ph_cold: float | None
    curdle_ph_per_k: float | None
    source_id: str
    evidence: str
    note: str


class Mixer(NamedTuple):
    """A sparkling water or sweet mixer."""

    mixer_id: str
    name: str
    aliases: tuple[str, ...]
    sugar_percent: float
    acid_percent: float
    co2_volumes: float
    quinine_low_mg_per_l: float | None
    quinine_high_mg_per_l: float | None
    kcal_per_100g: float
    source_id: str
    evidence: str
    note: str


class Extra(NamedTuple):
    """A spirit, bitters, foam or powder that goes into or onto a drink."""

    extra_id: str
    name: str
    aliases: tuple[str, ...]
    kind: str
    place: str
    alcohol_percent: float
    sugar_percent: float
    acid_percent: float
    fat_percent: float
    solids_percent: float
    g_per_ml: float
    kcal_per_100g: float | None
    milk_id: str
    air_percent: float
    ice_percent: float
    temperature_c: float
    usual_g: float
    unit_name: str
    unit_mass_g: float | None
    allergens: tuple[str, ...]
    allergens_known: bool
    vegan: str
    caffeine_high_mg_per_100g: float | None
    source_id: str
    evidence: str
    note: str


class SharedName(NamedTuple):
    """An everyday name that stands for two plants or states; the usual form comes first."""

    shared_id: str
    names: tuple[str, ...]
    forms: tuple[str, ...]
    said: str
    asks: bool
    counted_as: str
    source_id: str
    evidence: str


class LookAlike(NamedTuple):
    """A poisonous plant's name that must not be answered with the plant it is mistaken for."""

    name: str
    taken_for: str
    source_id: str
    evidence: str


class KitchenName(NamedTuple):
    """A sweet kitchen of the world, in words."""

    kitchen_id: str
    words: str
    source_id: str
    evidence: str


class Powder(NamedTuple):
    """An acid powder, salt, glycerol or gum; percentages are % w/w as bought."""

    powder_id: str
    name: str
    aliases: tuple[str, ...]
    water_percent: float
    acid_as_citric_percent: float
    polyol_percent: float
    soluble_percent: float
    dose_low_g_per_kg: float | None
    dose_high_g_per_kg: float | None
    e_number: str
    label_class: str
    use: str
    published_use: str
    caution: str
    source_id: str
    evidence: str
    note: str


class Volatility(NamedTuple):
    """One Henry constant, Pa m3/mol at 25 C, with its slope d ln H / d(1/T) in K."""

    compound_id: str
    henry_low_pa_m3_per_mol: float
    henry_high_pa_m3_per_mol: float
    henry_best_pa_m3_per_mol: float
    temperature_slope_k: float
    source_id: str
    evidence: str
    note: str


class Fat(NamedTuple):
    """Fixed oil of an ingredient, % of its dry matter."""

    ingredient_id: str
    fat_percent_low: float
    fat_percent_high: float
    source_id: str
    evidence: str
    note: str
