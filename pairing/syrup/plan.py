"""The plan: what goes in when, how hot, how long, what it should look like, when to stop.

The heat is laid out so that every plant meets a kill step: dry spice one minute at a full boil,
whatever is too delicate for that (peel, leaf, flower, raw juice) 85 °C for a minute after
straining, when the bottles are filled. A steep longer than a pan stays hot is held at 60 °C or
above, a cold one at 5 °C or below (FDA Food Code 2022, 3-501.14 and 3-501.16).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pairing.aroma import infusion
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form, Sweetener
from pairing.syrup.balance import Batch
from pairing.syrup.pot import Cook

if TYPE_CHECKING:
    from pairing.syrup.dose import Dose

__all__ = ["grams_word", "name_of", "preparation", "steps"]

REACHES_BRIX = 78.0  # a plain syrup is boiled down no further than this: common practice, no source
WORTH_A_STEP_G = 5.0  # water to boil off beyond the cooking itself
MOST_PIECES = 30.0  # nobody counts out more
COOL_ENOUGH_C = 80.0  # a pan is at this by the second half of a steep: estimate
STAYS_WITH_LONGEST = 0.75  # share of the longest steep from which a spice may stay in to the end


def grams_word(grams: float) -> str:
    """Grams as a kitchen scale shows them: 0.1 g below 20 g, whole grams above."""
    if grams < 0.95:
        return f"{grams:.2f} g"
    return f"{grams:.1f} g" if grams < 20 else f"{grams:,.0f} g"


# common practice, no source; the words of a label decide before the form does
PREPARATION_WORDS = (
    ("grated", "grate finely just before it goes in"),
    ("split and scraped", "split lengthwise, scrape; seeds and pod both go in"),
    ("ground with sugar", "grind with a spoon of the sugar: alone it gums up"),
    ("torn", "tear open, shake out the seeds"),
    ("broken", "break up, leave coarse"),
    ("threads", "rub between the fingers"),
    ("husks", "pick out the gritty black seeds"),
    ("chopped", "chop roughly"),
    ("sliced", "scrub, slice thinly"),
)
PREPARATION = {
    "slice": "scrub under hot water, dry, slice 5 mm thick with the peel on, pick out the pips",
    "peel": "scrub under hot water, dry, pare strips of coloured peel without white pith",
    "zest": "scrub under hot water, dry, grate only the coloured skin",
    "juice": "wash the fruit, leave it whole until it is pressed",
    "cracked": "crush lightly until open, do not grind",
    "fresh": "rinse, pat dry, bruise gently",
    "flower": "shake out, pick off green parts",
}
BY_KIND = {
    "sweetener": "weigh",
    "fruit": "weigh",
    "dairy": "weigh",
    "seasoning": "weigh",
    "tea": "weigh",
    "nut": "weigh",
    "roast": "weigh",
    "wood": "weigh",
}


def preparation(catalog: Catalog, form: Form) -> str:
    """How to prepare a form."""
    kind = catalog.kind(form)
    if form.form == "ground":
        return "weigh" if form.method == "stir-in" else "weigh, have a fine cloth filter ready"
    if kind == "flower" and form.method == "stir-in":
        return "weigh"
    if form.form in ("slice", "peel", "zest", "juice"):
        return PREPARATION[form.form]
    label = form.label.lower()
    for word, how in PREPARATION_WORDS:
        if word in label:
            return "leave in pieces" if word == "torn" and kind == "herb" else how
    if kind == "herb" and form.form == "leaf":
        return PREPARATION["fresh"]
    return BY_KIND.get(kind) or PREPARATION.get(form.form, "weigh")


def name_of(form: Form, forms: Sequence[Form] = ()) -> str:
    """Name within a sentence: the label without its preparation, unless two would be the same."""
    short = form.label.split(",")[0]
    same = [f for f in forms if f.label.split(",")[0] == short]
    return form.label if len(same) > 1 else short


def _span(minutes: float) -> str:
    if minutes >= 90:
        hours = round(minutes / 30) / 2
        half = " 1/2" if hours % 1 else ""
        return f"{int(hours)}{half} hour{'s' if hours > 1 else ''}"
    return f"{minutes:.0f} minute{'s' if minutes >= 2 else ''}"


def _and(words: Sequence[str]) -> str:
    return ", ".join(words[:-1]) + (" and " if len(words) > 1 else "") + words[-1]


def _count(form: Form, grams: float) -> str:
    """Number of pieces, where somebody would count them."""
    if not (form.unit_mass_g and form.unit_name) or form.unit_name in ("gram", "one gram"):
        return ""
    pieces = grams / form.unit_mass_g
    if not 0.4 <= pieces <= MOST_PIECES:
        return ""
    unit = form.unit_name.removeprefix("one ").removeprefix("medium ")
    shown = f"{pieces:.0f}" if pieces >= 4 else f"{round(2 * pieces) / 2:g}"
    shown = shown.replace("0.5", "1/2").replace(".5", " 1/2")
    size = re.match(r"([\d.]+ [cm]m) (.+)", unit)
    if size:
        return f"about {shown} {size[2]}{'s' if pieces >= 1.25 else ''} of {size[1]}"
    if pieces >= 1.25:
        unit = {"calyx": "calyces", "leaf": "leaves", "half": "halves"}.get(unit, f"{unit}s")
        unit = re.sub("leafs$", "leaves", unit)
    return f"about {shown} {unit}"


class _Plan:
    """What the steps are written from."""

    def __init__(
        self,
        catalog: Catalog,
        doses: Sequence[Dose],
        batch: Batch,
        sweetener: Sweetener,
        grams: Mapping[str, float],
        cooking_g: float,
    ) -> None:
        self.catalog, self.doses, self.batch = catalog, doses, batch
        self.sweetener, self.grams = sweetener, grams
        self.forms = [d.form for d in doses]
        self.boil_off_g = batch.evaporated_g - cooking_g

    def of(self, method: str) -> list[Dose]:
        return sorted((d for d in self.doses if d.method == method), key=lambda d: -d.minutes)

    def names(self, doses: Sequence[Dose]) -> str:
        return _and([name_of(d.form, self.forms) for d in doses])

    def weighed(self, dose: Dose) -> str:
        count = _count(dose.form, self.grams[dose.form.form_id])
        text = f"{grams_word(self.grams[dose.form.form_id])} {name_of(dose.form, self.forms)}"
        return f"{text} ({count})" if count else text

    # --- one method a step ------------------------------------------------------------------

    def prepare(self) -> str:
        by_work: dict[str, list[str]] = {}
        for d in self.doses:
            by_work.setdefault(preparation(self.catalog, d.form), []).append(self.weighed(d))
        just = by_work.pop("weigh", [])
        parts = [f"{_and(what)}: {work}" for work, what in by_work.items()]
        weigh = f"eigh {_and(just)}." if just else ""
        if not parts:
            return f"W{weigh}"
        return "Prepare " + "; ".join(parts) + (f". W{weigh}" if weigh else ".")

    def syrup(self) -> list[str]:
        sugar, water = grams_word(self.batch.sugar_g), grams_word(self.batch.water_g)
        name = self.sweetener.name.lower()
        cook = self.batch.cook
        pan = f"a {cook.pan_diameter_cm:.0f} cm pan, at most half full"
        if cook.pans > 1:
            pan = f"{cook.pans} pans of {cook.pan_diameter_cm:.0f} cm, each at most half full"
        dry = self.batch.water_g < 1.0
        clear = "stirring until no grain is left"
        macerated = self.of("maceration")
        if macerated:
            rubbed = (
                f"Rub {self.names(macerated)} into {sugar} {name}, cover and leave "
                f"{_span(macerated[0].minutes)} in a cool place, until the sugar is damp and "
                "smells of it."
            )
            if dry:
                return [rubbed, f"Warm it gently in {pan}, stirring, until it has melted."]
            return [
                rubbed,
                f"Add {water} water in {pan}, warm to 70-80 °C, {clear}; strain out "
                f"the {self.names(macerated)}.",
            ]
        if dry:
            return [
                f"Put {sugar} {name} in {pan}: the rest brings the water. Warm gently, "
                "stirring, until it has melted into the juice."
            ]
        return [f"Warm {sugar} {name} and {water} water in {pan}, to 70-80 °C, {clear}."]

    def boil_off(self) -> tuple[str, float]:
        """The step that boils water off before any plant goes in, and what is left to boil off."""
        if self.boil_off_g <= WORTH_A_STEP_G:
            return "", 0.0
        put_in = self.batch.sugar_g + self.batch.water_g
        solids = self.batch.sugar_g * (1.0 - self.sweetener.water_percent / 100.0)
        stop = max(put_in - self.boil_off_g, 100.0 * solids / REACHES_BRIX)
        gone = put_in - stop
        if gone <= WORTH_A_STEP_G:
            return "", self.boil_off_g
        rate = self._open_simmer()
        return (
            f"Simmer it with the lid off until the pot's content weighs {grams_word(stop)} (weigh "
            f"the empty pan first), about {infusion.kitchen_minutes(gone / rate):.0f} minutes. "
            "Nothing else goes in before that.",
            self.boil_off_g - gone,
        )

    def _open_simmer(self) -> float:
        """Water lost by an open simmer in these pans, g/min."""
        cook = self.batch.cook
        return Cook(
            heat="simmer", pan_diameter_cm=cook.pan_diameter_cm, pans=cook.pans
        ).grams_per_minute

    def simmer(self, left_g: float) -> list[str]:
        simmered = self.of("simmer")
        if not simmered:
            return []
        longest = simmered[0].minutes
        first = [d for d in simmered if d.minutes > STAYS_WITH_LONGEST * longest]
        text = (
            f"Add {self.names(first)} and hold at a bare simmer (92-96 °C, bubbles at the edge) "
            f"{_span(longest)}, lid on"
        )
        for d in simmered[len(first) :]:
            text += f"; add {self.names([d])} for the last {_span(d.minutes)}"
        if any(d.form.form == "slice" for d in simmered):
            text += ", until the slices turn glassy"
        out = [text + "."]
        if left_g > WORTH_A_STEP_G:
            minutes = infusion.kitchen_minutes(left_g / self._open_simmer())
            out.append(
                f"Take the lid off and simmer about {minutes:.0f} minutes more, until the pot's "
                f"content is {grams_word(left_g)} lighter: weigh it."
            )
        return out

    def steep(self) -> list[str]:
        steeped = self.of("hot-steep")
        if not steeped:
            return []
        boiled = [d for d in steeped if infusion.boiled_first(self.catalog, d.form, "hot-steep")]
        tender = [d for d in steeped if d not in boiled]
        longest = steeped[0].minutes
        stay = STAYS_WITH_LONGEST * longest
        early = [d for d in boiled if d.minutes <= stay]
        out = []
        if boiled:
            bag = f" ({self.names(early)} in a muslin bag)" if early else ""
            out.append(
                f"Add {self.names(boiled)}{bag}, bring to a full boil and boil 1 minute, lid "
                "ajar (it kills the germs dry spice may carry). Take off the heat."
            )
        else:
            out.append("Bring to the boil, take off the heat.")
        at_once = [d for d in tender if d.minutes > stay]
        text = ""
        if at_once:
            text = f"{self._cooled(at_once)} add {self.names(at_once)}. "
        text += (
            f"Cover and keep at 60 °C or hotter (water bath, or oven at 70 °C) {_span(longest)}"
            if longest > infusion.LONG_STEEP_MIN
            else f"Cover and steep {_span(longest)}"
        )
        for d in early:
            text += f"; lift out {self.names([d])} after {_span(d.minutes)}"
        for d in tender:
            if d not in at_once:
                text += f"; add {self.names([d])}{_below(d)} for the last {_span(d.minutes)}"
        text += ". Taste from half-time, strain early if it turns harsh."
        if boiled:
            return [f"{out[0]} {text}" if not at_once else out[0], *([text] if at_once else [])]
        return [f"{out[0]} {text}"]

    def _cooled(self, doses: Sequence[Dose]) -> str:
        return f"When it has cooled to {min(infusion.added_at(d.form) for d in doses):.0f} °C,"

    def cold(self) -> list[str]:
        cold = self.of("cold-steep")
        if not cold:
            return []
        hot = self.of("simmer") or self.of("hot-steep")
        lead = "Strain, then cool" if hot else "Boil the syrup 1 minute, then cool it"
        return [
            f"{lead} in an ice bath to 5 °C. Add {self.names(cold)}, cover and steep "
            f"{_span(cold[0].minutes)} in the refrigerator."
        ]

    def stir_in(self) -> list[str]:
        out = []
        kinds = self.catalog.kind
        stirred = [d for d in self.of("stir-in") if not _distillate(d.form)]
        juices = [d for d in stirred if d.form.form == "juice"]
        sweet = [d for d in stirred if kinds(d.form) == "sweetener"]
        if sweet:
            melts = _and([self.weighed(d) for d in sweet])
            out.append(f"Off the heat, stir in {melts} until no streak is left.")
        if juices:
            pressed = _and([self.weighed(d) for d in juices])
            out.append(f"Press the fruit, strain out the pips. Stir in {pressed}.")
        return out

    def whisk_in(self) -> list[str]:
        """Powders that stay in the syrup go in after the sieve."""
        powders = [
            self.weighed(d)
            for d in self.of("stir-in")
            if d.form.form != "juice"
            and self.catalog.kind(d.form) != "sweetener"
            and not _distillate(d.form)
        ]
        if not powders:
            return []
        return [f"Rub {_and(powders)} smooth with a little of the syrup, whisk it in."]

    def strain(self) -> list[str]:
        solid = [d for d in self.doses if d.method not in ("stir-in", "maceration")]
        if self.of("maceration") and self.batch.water_g < 1.0:
            solid += self.of("maceration")
        if not solid:
            return []
        fine = any(d.form.form == "ground" or "grated" in d.form.label for d in solid)
        through = "a fine sieve, then a cloth or paper filter" if fine else "a fine sieve"
        return [f"Strain through {through}; let it drip, do not squeeze: that clouds it."]

    def weigh(self, left_g: float) -> str:
        late = left_g > WORTH_A_STEP_G and not self.of("simmer")
        heavy = (
            f"It will be about {grams_word(left_g)} too heavy: simmer that off; "
            if late
            else "Too heavy: simmer it off; "
        )
        thin = ""
        if any(d.method in ("hot-steep", "simmer") and d.form.form != "slice" for d in self.doses):
            thin = "; thin in taste: steep more spice 5 minutes"
        return (
            f"Weigh it: {grams_word(self.batch.yield_g)} is right, a refractometer reads about "
            f"{self.batch.reading_brix:.0f} °Bx at 20 °C. {heavy}too light: add boiled water{thin}."
        )

    def bottle(self) -> str:
        raw = [
            d
            for d in self.doses
            if d.method in ("cold-steep", "maceration")
            or d.form.form == "juice"
            or (d.method == "hot-steep" and not infusion.boiled_first(
                self.catalog, d.form, d.method))
        ]  # fmt: skip
        why = f" (the kill step for {self.names(raw)})" if raw else ""
        last = [d for d in self.doses if d.method == "stir-in" and _distillate(d.form)]
        also = f" Stir in {_and([self.weighed(d) for d in last])}." if last else ""
        return (
            f"Bring it back to 85 °C under a lid, hold 1 minute{why}.{also} Bottle at once in "
            "hot, scalded bottles. Cool in warm, then cold, then ice water (a jump cracks glass): "
            "57 to 21 °C within 2 hours, to 5 °C within 4 more. Label, date, refrigerate."
        )


def _below(dose: Dose) -> str:
    """A warning where the pan may still be too hot for a leaf by the time it goes in."""
    at = infusion.added_at(dose.form)
    return f" (below {at:.0f} °C)" if at < COOL_ENOUGH_C else ""


def _distillate(form: Form) -> bool:
    """A flower water, which goes in last."""
    return form.form == "flower" and form.method == "stir-in"


def steps(
    catalog: Catalog,
    doses: Sequence[Dose],
    batch: Batch,
    sweetener: Sweetener,
    grams: Mapping[str, float],
    cooking_g: float,
) -> list[str]:
    """Steps of a batch, in order, for a person.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
    batch : Batch
    sweetener : Sweetener
    grams : mapping
        Grams of each form in the batch.
    cooking_g : float
        Water that the stages lose by themselves, g; what the batch loses beyond is boiled off.
    """
    plan = _Plan(catalog, doses, batch, sweetener, grams, cooking_g)
    boil_off, left = plan.boil_off()
    return [
        plan.prepare(),
        *plan.syrup(),
        *([boil_off] if boil_off else []),
        *plan.simmer(left),
        *plan.steep(),
        *plan.cold(),
        *plan.stir_in(),
        *plan.strain(),
        *plan.whisk_in(),
        plan.weigh(left),
        plan.bottle(),
    ]
