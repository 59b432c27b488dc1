"""The plan: what goes in when, how hot, how long, what it should look like, when to stop.

The heat is laid out so that every plant meets a kill step: dry spice one minute at a full boil,
whatever is too delicate for that (peel, leaf, flower, raw juice) 85 °C for a minute after
straining, when the bottles are filled. A steep longer than a pan stays hot is held at 60 °C or
above, a cold one at 5 °C or below (FDA Food Code 2022, 3-501.14 and 3-501.16).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pairing.aroma import infusion
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form, Sweetener
from pairing.syrup import sugar
from pairing.syrup.balance import Batch
from pairing.syrup.brought import portion_of
from pairing.syrup.caramel import CARAMEL_CAUTION, PAN_FULL, STOP_AT_C, WET_WATER, Caramel
from pairing.syrup.caramel import MINUTES as CARAMEL_MINUTES
from pairing.syrup.cooking import PANS, WIDEST_PAN_CM
from pairing.syrup.keeping import of_syrup
from pairing.syrup.pot import Cook
from pairing.syrup.powders import PowderDose, acidified_plants_g
from pairing.syrup.prepared import count_of, name_of, preparation
from pairing.syrup.step import Step, grams_word, joined, span_word
from pairing.syrup.stove import Pan, boils_at, cool_down_minutes, heat_up_minutes

if TYPE_CHECKING:
    from pairing.syrup.dose import Dose

__all__ = ["steps"]

REACHES_BRIX = 78.0  # a plain syrup is boiled down no further than this: common practice, no source
WORTH_A_STEP_G = 5.0  # water to boil off beyond the cooking itself
COOL_ENOUGH_C = 80.0  # a pan is at this by the second half of a steep: estimate
DISSOLVED_AT_C = (70.0, 80.0)  # where sugar goes in fast and nothing boils: common practice
SIMMERS_BELOW_K = (8.0, 4.0)  # a bare simmer, below the boiling point: common practice
COOL_BEFORE_K = 8.0  # water off the boil is that much cooler by the time a leaf goes in: estimate
HELD_C = 60.0
RUNNY_PERCENT = 10.0  # a sweetener with more water than this is a syrup already
MOSTLY_SUCROSE = 80.0  # % of a sweetener whose dissolving goes by the solubility of sucrose
WET_PERCENT = 60.0  # water of a plant that helps sugar to dissolve
GUM_IN_SUGAR = 10.0  # times its weight, so that it does not clump: common practice, no source
LARGE_PAN_G = 4000.0  # from here heating and cooling take long enough to plan for: estimate
LONG_WAIT_MIN = 15.0
THICK = "the water alone cannot take up so much sugar."
STAYS_WITH_LONGEST = 0.75  # share of the longest steep from which a spice may stay in to the end


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
        altitude_m: float,
        powders: Sequence[PowderDose] = (),
        caramel: Caramel | None = None,
        names: Mapping[str, str] | None = None,
    ) -> None:
        self.catalog, self.doses, self.batch = catalog, doses, batch
        self.sweetener, self.grams = sweetener, grams
        self.forms = [d.form for d in doses]
        self.boil_off_g = batch.evaporated_g - cooking_g
        self.altitude_m = altitude_m
        self.powders = powders
        self.caramel, self.sweet_names = caramel, names or {}
        self.set_aside_g = sum(GUM_IN_SUGAR * p.grams for p in powders if p.is_gum)
        self.pan = Pan(
            batch.cook.pan_diameter_cm, batch.pot_g / batch.cook.pans, min(batch.brix, 85.0)
        )
        self.boils_c = boils_at(min(batch.brix, 80.0), altitude_m)

    def of(self, method: str) -> list[Dose]:
        return sorted((d for d in self.doses if d.method == method), key=lambda d: -d.minutes)

    def item(self, dose: Dose) -> tuple[str, float]:
        return name_of(dose.form, self.forms), self.grams[dose.form.form_id]

    def items(self, doses: Sequence[Dose]) -> tuple[tuple[str, float], ...]:
        return tuple(self.item(d) for d in doses)

    def names(self, doses: Sequence[Dose]) -> str:
        return joined([name_of(d.form, self.forms) for d in doses])

    def weighed(self, dose: Dose) -> str:
        count = count_of(dose.form, self.grams[dose.form.form_id])
        text = f"{grams_word(self.grams[dose.form.form_id])} {name_of(dose.form, self.forms)}"
        return f"{text} ({count})" if count else text

    def sweet(self, grams: float, *more: str) -> str:
        """So many grams of the sweeteners, each by its share, and what goes in with them."""
        parts = self.batch.sweeteners
        names = self.sweet_names if len(parts) > 1 else {parts[0][0]: self.sweetener.name.lower()}
        part = grams / self.batch.sugar_g
        named = [f"{grams_word(g * part)} {names.get(i, i)}" for i, g in parts]
        return joined([*named, *more])

    # --- one method a step ------------------------------------------------------------------

    def prepare(self) -> Step:
        by_work: dict[str, list[str]] = {}
        for d in self.doses:
            by_work.setdefault(preparation(self.catalog, d.form), []).append(self.weighed(d))
        just = by_work.pop("weigh", [])
        parts = [f"{joined(what)}: {work}" for work, what in by_work.items()]
        said = [f"Prepare {'; '.join(parts)}."] if parts else []
        said += [f"Weigh {joined(just)}."] if just else []
        for p in self.powders:
            if p.is_gum:
                dry = f"{grams_word(GUM_IN_SUGAR * p.grams)} of the sugar"
                said.append(f"Mix {grams_word(p.grams)} {p.name} dry with {dry}, set aside.")
        return Step("prepare", _plain(" ".join(said)), self.items(self.doses))

    def infuse_water(self) -> list[Step]:
        """Tea and flowers meet the water before the sugar does."""
        first = self.of("water-first")
        if not first:
            return []
        water = self.batch.water_g
        at = min(infusion.added_at(d.form) for d in first)
        boils = boils_at(0.0, self.altitude_m)
        add = "take it off the heat"
        if at < boils - COOL_BEFORE_K:
            add += f", let it cool to {at:.0f} °C"
        rest = ""
        longest = first[0].minutes
        for d in first:
            if d.minutes < STAYS_WITH_LONGEST * longest:
                rest += f"; lift out {self.names([d])} after {span_word(d.minutes)}"
        return [
            Step(
                "infuse water",
                _plain(f"Bring {grams_word(water)} water to the boil, {add}. Add ")
                + "{names}, cover and steep {minutes}"
                + _plain(rest)
                + ". Strain, let it drip, do not squeeze. {why}",
                self.items(first),
                (at, at),
                longest,
                why="No sugar yet: thick syrup draws little out of a leaf.",
            )
        ]

    def dissolve(self) -> list[Step]:
        """Sugar and water to a clear syrup, no thicker than water can hold at that warmth."""
        cook, name = self.batch.cook, self.sweetener.name.lower()
        sugar_g, water_g = self.batch.sugar_g - self.set_aside_g, self.batch.water_g
        pan = f"a {cook.pan_diameter_cm:.0f} cm pan, at most half full"
        if cook.pans > 1:
            pan = f"{cook.pans} pans of {cook.pan_diameter_cm:.0f} cm, each at most half full"
        clear = "stirring until no grain is left"
        runny = self.sweetener.water_percent > RUNNY_PERCENT
        if runny:
            clear = "stirring until it is even"
        dry = water_g < 1.0
        if self.caramel:
            return self.brown(self.caramel, sugar_g, water_g)
        infused = self.of("water-first")
        drunk = sum(_dry_drinks(self.catalog, d) * self.grams[d.form.form_id] for d in infused)
        water = "the strained infusion" if infused else f"{grams_word(water_g)} water"
        wet = [(name, sugar_g)] if dry or infused else [(name, sugar_g), ("water", water_g)]
        macerated = self.of("maceration")
        out = []
        if macerated:
            out.append(
                Step(
                    "rub in",
                    "Rub {names}"
                    + _plain(f" into {self.sweet(sugar_g)}, cover and leave ")
                    + "{minutes} in a cool place, until {until}.",
                    self.items(macerated),
                    minutes=macerated[0].minutes,
                    until="the sugar is damp and smells of it",
                )
            )
            if dry:
                out.append(
                    Step(
                        "dissolve",
                        _plain(f"Warm it gently in {pan}, stirring, until ") + "{until}.",
                        until="it has melted",
                    )
                )
                return out
        liquid = [d for d in self.of("stir-in") if d.form.form == "juice-for-water"]
        if dry and liquid:
            out.append(
                Step(
                    "dissolve",
                    _plain(
                        "Press the fruit, strain out the pips. Warm "
                        f"{joined([self.weighed(d) for d in liquid])} with "
                        f"{self.sweet(sugar_g)} in {pan}, "
                    )
                    + "{until}.",
                    (*self.items(liquid), *wet),
                    until=clear,
                )
            )
            return out
        if dry:
            out.append(
                Step(
                    "dissolve",
                    _plain(f"Put {self.sweet(sugar_g)} in {pan}: the rest brings the water.")
                    + " Warm gently, stirring, until {until}.",
                    tuple(wet),
                    until="it has melted into the juice",
                )
            )
            return out
        at, first = self._dissolves_at(sugar_g, max(water_g - drunk, 1.0), runny)
        heats = ""
        minutes = heat_up_minutes(self.pan, 20.0, at[1])
        if self.pan.grams > LARGE_PAN_G:
            heats = f" A pan of that size takes about {span_word(minutes)} to get there."
        if macerated:
            out.append(
                Step(
                    "dissolve",
                    _plain(f"Add {water} in {pan}, warm to ")
                    + "{temperature}, {until}; "
                    + _plain(f"strain out the {self.names(macerated)}.{heats}"),
                    tuple(wet),
                    at,
                    minutes,
                    clear,
                )
            )
            return out
        together = ""
        if first:
            together = f" Put {self.names(first)} in with them: {THICK}"
        said = self.sweet(sugar_g, water)
        out.append(
            Step(
                "dissolve",
                _plain(f"Warm {said} in {pan}, to ")
                + "{temperature}, {until}."
                + _plain(together + heats),
                tuple(wet),
                at,
                minutes,
                clear,
                THICK if first else "",
            )
        )
        return out

    def brown(self, caramel: Caramel, sugar_g: float, water_g: float) -> list[Step]:
        """Caramel, cautions first, and what stops it."""
        cook, shade = self.batch.cook, caramel.colour
        wider = next((cm for g, cm in PANS if PAN_FULL * sugar_g <= g), WIDEST_PAN_CM)
        pan = f"a heavy, pale {max(wider, cook.pan_diameter_cm):.0f} cm pan"
        juices = [d for d in self.of("stir-in") if d.form.form == "juice-for-water"]
        liquids = [f"{grams_word(water_g)} water"] if water_g >= 1.0 else []
        if self.of("water-first"):
            liquids = ["the strained infusion"]
        creams = [d for d in self.of("stir-in") if d.form.form == "liquid"]
        liquids += [self.weighed(d) for d in (*juices, *creams)]
        if not liquids:
            raise PairingError(
                "nothing is left to stop the caramel with: the fruit brings all the water; say a "
                "strength such as 2:1, or a lower °Bx"
            )
        wets = f" with {grams_word(WET_WATER * sugar_g)} more water, which boils off again,"
        wet = caramel.how == "wet-caramel"
        melts = (
            f"Boil {self.sweet(sugar_g)}{wets} in {pan}, without stirring,"
            if wet
            else f"Melt {self.sweet(sugar_g)} dry in {pan} on medium heat, swirl, do not stir,"
        )
        pressed = "Press the fruit, strain out the pips. " if juices else ""
        return [
            Step(
                "caramel",
                _plain(f"{CARAMEL_CAUTION} {melts} until ")
                + "{until} ({temperature}, about {minutes}).",
                ((self.sweetener.name.lower(), sugar_g),),
                (shade.low_c, shade.high_c),
                CARAMEL_MINUTES[caramel.how] * max(1.0, sugar_g / 300.0) ** 0.5,
                until=shade.looks,
            ),
            Step(
                "stop",
                _plain(
                    f"{pressed}Off the heat and at arm's length, stop it with {joined(liquids)}, "
                )
                + "{temperature} hot, a splash at a time: {why}. "
                + _plain("Warm, stirring, until ")
                + "{until}.",
                tuple(self.items([*juices, *creams])) or (("water", water_g),),
                (STOP_AT_C, 95.0),
                until="no hard caramel is left",
                why="it spits and rises to four times its height",
            ),
        ]

    def _dissolves_at(
        self, sugar_g: float, water_g: float, runny: bool
    ) -> tuple[tuple[float, float], list[Dose]]:
        """How warm the water must be to take up the sugar, and what must go in with it."""
        solids = sugar_g * (1.0 - self.sweetener.water_percent / 100.0)
        if runny or self.sweetener.sucrose_percent < MOSTLY_SUCROSE:
            return DISSOLVED_AT_C, []
        strength = 100.0 * solids / (sugar_g + water_g)
        if strength <= float(sugar.solubility(DISSOLVED_AT_C[0])):
            return DISSOLVED_AT_C, []
        hottest = min(self.boils_c - 2.0, 99.0)
        for warm in range(75, int(hottest) + 1):
            if strength + 0.5 <= float(sugar.solubility(float(warm))):
                return (float(warm), min(warm + 5.0, self.boils_c)), []
        wet = [d for d in self.doses if _is_wet(d.form)]
        return (90.0, hottest), wet

    def boil_off(self) -> tuple[list[Step], float]:
        """The step that boils water off before any plant goes in, and what is left to boil off."""
        if self.boil_off_g <= WORTH_A_STEP_G:
            return [], 0.0
        put_in = self.batch.sugar_g + self.batch.water_g
        solids = self.batch.sugar_g * (1.0 - self.sweetener.water_percent / 100.0)
        stop = max(put_in - self.boil_off_g, 100.0 * solids / REACHES_BRIX)
        gone = put_in - stop
        if gone <= WORTH_A_STEP_G:
            return [], self.boil_off_g
        step = Step(
            "boil off",
            "Simmer it with the lid off until {until} (weigh the empty pan first), about "
            "{minutes}. Nothing else goes in before that.",
            minutes=infusion.kitchen_minutes(gone / self._open_simmer()),
            until=f"the pot's content weighs {grams_word(stop)}",
        )
        return [step], self.boil_off_g - gone

    def _open_simmer(self) -> float:
        """Water lost by an open simmer in these pans, g/min."""
        cook = self.batch.cook
        return Cook(
            heat="simmer", pan_diameter_cm=cook.pan_diameter_cm, pans=cook.pans
        ).grams_per_minute

    def simmer(self, left_g: float) -> list[Step]:
        simmered = self.of("simmer")
        if not simmered:
            return []
        longest = simmered[0].minutes
        first = [d for d in simmered if d.minutes > STAYS_WITH_LONGEST * longest]
        late = "".join(
            f"; add {self.names([d])} for the last {span_word(d.minutes)}"
            for d in simmered[len(first) :]
        )
        glassy = "the slices turn glassy" if any(d.form.form == "slice" for d in simmered) else ""
        out = [
            Step(
                "simmer",
                _plain(f"Add {self.names(first)} and hold at a bare simmer (")
                + "{temperature}, bubbles at the edge) {minutes}, lid on"
                + _plain(late)
                + (", until {until}." if glassy else "."),
                self.items(simmered),
                (self.boils_c - SIMMERS_BELOW_K[0], self.boils_c - SIMMERS_BELOW_K[1]),
                longest,
                glassy,
            )
        ]
        if left_g > WORTH_A_STEP_G:
            out.append(
                Step(
                    "boil off",
                    "Take the lid off and simmer about {minutes} more, until {until}: weigh it.",
                    minutes=infusion.kitchen_minutes(left_g / self._open_simmer()),
                    until=f"the pot's content is {grams_word(left_g)} lighter",
                )
            )
        return out

    def steep(self) -> list[Step]:
        steeped = self.of("hot-steep")
        if not steeped:
            return []
        boiled = [d for d in steeped if infusion.boiled_first(self.catalog, d.form, "hot-steep")]
        tender = [d for d in steeped if d not in boiled]
        longest = steeped[0].minutes
        stay = STAYS_WITH_LONGEST * longest
        early = [d for d in boiled if d.minutes <= stay]
        if boiled:
            bag = f" ({self.names(early)} in a muslin bag)" if early else ""
            first = Step(
                "boil",
                "Add {names}"
                + _plain(bag)
                + ", bring to a full boil and boil {minutes}, lid ajar ({why}). Take off the heat.",
                self.items(boiled),
                (self.boils_c, self.boils_c),
                infusion.BOIL_MIN,
                why="it kills what dry spice carries",
            )
        else:
            first = Step("boil", "Bring to the boil, take off the heat.")
        at_once = [d for d in tender if d.minutes > stay]
        text = ""
        at = HELD_C
        if at_once:
            at = min(infusion.added_at(d.form) for d in at_once)
            text = f"{self._cooled(at)} add {self.names(at_once)}. "
        held = longest > infusion.LONG_STEEP_MIN
        text += (
            "Cover and keep at 60 °C or hotter (water bath, or oven at 70 °C) " if held
            else "Cover and steep "
        )  # fmt: skip
        rest = ""
        for d in early:
            rest += f"; lift out {self.names([d])} after {span_word(d.minutes)}"
        for d in tender:
            if d not in at_once:
                rest += f"; add {self.names([d])}{_below(d)} for the last {span_word(d.minutes)}"
        second = Step(
            "steep",
            _plain(text) + "{minutes}" + _plain(rest) + ". {until}.",
            self.items(steeped if not boiled else [d for d in steeped if d not in boiled]),
            (at, at) if at_once else None,
            longest,
            "Taste from half-time, strain early if it turns harsh",
        )
        if boiled and at_once:
            return [first, second]
        return [
            Step(
                "steep",
                f"{first.wording} {second.wording}".replace(
                    "boil {minutes}", f"boil {span_word(infusion.BOIL_MIN)}"
                ).replace("{why}", first.why),
                first.items or second.items,
                first.temperature_c or second.temperature_c,
                longest,
                second.until,
                first.why,
            )
        ]

    def _cooled(self, at: float) -> str:
        waits = cool_down_minutes(self.pan, self.boils_c, at)
        if self.pan.grams <= LARGE_PAN_G or waits < LONG_WAIT_MIN:
            return f"When it has cooled to {at:.0f} °C,"
        bath = cool_down_minutes(self.pan, self.boils_c, at, "cold water bath")
        return (
            f"When it has cooled to {at:.0f} °C (about {span_word(waits)} by itself, "
            f"{span_word(max(bath, 1.0))} stirred in a sink of cold water),"
        )

    def cold(self) -> list[Step]:
        cold = self.of("cold-steep")
        if not cold:
            return []
        hot = self.of("simmer") or self.of("hot-steep")
        lead = "Strain, then cool" if hot else "Boil the syrup 1 minute, then cool it"
        return [
            Step(
                "cold",
                _plain(lead)
                + " in an ice bath to {temperature}. Add {names}, cover and steep {minutes} in the "
                "refrigerator.",
                self.items(cold),
                (5.0, 5.0),
                cold[0].minutes,
            )
        ]

    def bag(self) -> list[Step]:
        bagged = self.of("sealed-bag")
        if not bagged:
            return []
        return [
            Step(
                "sealed bag",
                "Seal {names} with the clear syrup in a heat-proof bag, press the air out, and "
                "keep it in a water bath of {temperature} for {minutes}: {why}.",
                self.items(bagged),
                (infusion.BAG_C, infusion.BAG_C),
                bagged[0].minutes,
                why="nothing is lost to the air, and below 57 °C germs would grow",
            )
        ]

    def stir_in(self) -> list[Step]:
        out = []
        kinds = self.catalog.kind
        stirred = [d for d in self.of("stir-in") if not _distillate(d.form)]
        juices = [d for d in stirred if d.form.form == "juice"]
        sweet = [d for d in stirred if kinds(d.form) == "sweetener"]
        if sweet:
            out.append(
                Step(
                    "stir in",
                    _plain(f"Off the heat, stir in {joined([self.weighed(d) for d in sweet])} ")
                    + "until {until}.",
                    self.items(sweet),
                    until="no streak is left",
                )
            )
        if juices:
            out.append(
                Step(
                    "stir in",
                    _plain(
                        "Press the fruit, strain out the pips. Stir in "
                        f"{joined([self.weighed(d) for d in juices])}."
                    ),
                    self.items(juices),
                )
            )
        return out

    def lift_fat(self) -> list[Step]:
        """What is washed with a fat is chilled until the fat can be lifted off."""
        fats = [d for d in self.doses if d.form.form == "liquid" and d.method == "hot-steep"]
        if not fats:
            return []
        return [
            Step(
                "lift the fat",
                "Chill it in the refrigerator, at {temperature}, about {minutes}, until {until}; "
                "lift the fat of {names} off and strain again.",
                self.items(fats),
                (5.0, 5.0),
                240.0,
                until="the fat on top is hard",
            )
        ]

    def whisk_in(self) -> list[Step]:
        """Powders that stay in the syrup go in after the sieve."""
        late = [
            d
            for d in self.of("stir-in")
            if "juice" not in d.form.form
            and self.catalog.kind(d.form) != "sweetener"
            and not _distillate(d.form)
        ]
        liquids = [d for d in late if d.form.form == "liquid"]
        powders = [d for d in late if d not in liquids]
        out = []
        if liquids and not self.caramel:  # a caramel is stopped with them
            named = joined([self.weighed(d) for d in liquids])
            out.append(Step("stir in", _plain(f"Stir in {named}."), self.items(liquids)))
        if not powders:
            return out
        return [
            *out,
            Step(
                "whisk in",
                _plain(
                    f"Rub {joined([self.weighed(d) for d in powders])} smooth with a little of the "
                    "syrup, whisk it in."
                ),
                self.items(powders),
            ),
        ]

    def dissolve_powders(self) -> list[Step]:
        """Acids and glycerol melt away; gums go in dry with sugar, or they clump."""
        clear = [(p.name, p.grams) for p in self.powders if not p.is_gum]
        gums = [(p.name, p.grams) for p in self.powders if p.is_gum]
        out = []
        if clear:
            out.append(
                Step("stir in", "Stir in {items} until {until}.", tuple(clear), until="it is clear")
            )
        if gums:
            out.append(
                Step(
                    "whisk in",
                    "Below 80 °C rain in {names} with its sugar under a stick blender, until "
                    "{until}.",
                    tuple(gums),
                    until="no lump is left",
                )
            )
        return out

    def strain(self) -> list[Step]:
        gone = ("stir-in", "maceration", "water-first")
        solid = [d for d in self.doses if d.method not in gone]
        if self.of("maceration") and self.batch.water_g < 1.0:
            solid += self.of("maceration")
        if not solid:
            return []
        fine = any(d.form.form == "ground" or "grated" in d.form.label for d in solid)
        through = "a fine sieve, then a cloth or paper filter" if fine else "a fine sieve"
        return [
            Step(
                "strain",
                _plain(f"Strain through {through}; let it drip, never squeeze: ") + "{why}.",
                self.items(solid),
                why="that clouds it",
            )
        ]

    def weigh(self, left_g: float) -> Step:
        late = left_g > WORTH_A_STEP_G and not self.of("simmer")
        heavy = (
            f"It will be about {grams_word(left_g)} too heavy: simmer that off; "
            if late
            else "Too heavy: simmer; "
        )
        thin = ""
        if any(d.method in ("hot-steep", "simmer") and d.form.form != "slice" for d in self.doses):
            thin = "; thin in taste: steep more spice"
        return Step(
            "weigh",
            _plain(f"Weigh it: {grams_word(self.batch.yield_g)} is right, ")
            + "{until}. "
            + _plain(f"{heavy}too light: boiled water{thin}."),
            (("syrup", self.batch.yield_g),),
            until=f"a refractometer reads about {self.batch.reading_brix:.0f} °Bx at 20 °C",
        )

    def bottle(self) -> list[Step]:
        raw = [
            d
            for d in self.doses
            if d.method in ("cold-steep", "maceration", "sealed-bag", "water-first")
            or "juice" in d.form.form
            or (d.method == "hot-steep" and not infusion.boiled_first(
                self.catalog, d.form, d.method))
        ]  # fmt: skip
        why = f" (the kill step for {self.names(raw)})" if raw else ""
        keeps = of_syrup(
            self.catalog,
            self.batch.composition,
            [d.form for d in self.doses],
            [i for i, _ in self.batch.sweeteners],
            acidified_plants_g=acidified_plants_g(self.catalog, self.grams),
        )
        sealed = (
            "Low in acid, so never sealed hot (botulinum): cool it open, then fill cold bottles: "
            if keeps.low_acid
            else "Bottle at once in hot, scalded bottles. Cool in warm, cold, then ice water (a "
            "jump cracks glass): "
        )
        last = [d for d in self.doses if d.method == "stir-in" and _distillate(d.form)]
        also = f" Stir in {joined([self.weighed(d) for d in last])}." if last else ""
        steps = [
            Step(
                "bottle",
                "Back to {temperature} under a lid, hold {minutes}"
                + _plain(
                    f"{why}.{also} {sealed}57 to 21 °C within 2 hours, to 5 °C within 4 more. "
                )
                + "Label, date, refrigerate.",
                self.items(raw),
                (85.0, 85.0),
                1.0,
                why="kills what raw plants carry",
            )
        ]
        if self.pan.grams > LARGE_PAN_G:
            slow = cool_down_minutes(self.pan, 57.0, 21.0, "ice bath")
            steps.append(
                Step(
                    "cool",
                    "Bottles cool in time; a pan of that size does not: stirred in an ice bath it "
                    "takes about {minutes} from 57 to 21 °C, by itself the whole day. Never "
                    "leave it to cool in the pan.",
                    temperature_c=(57.0, 21.0),
                    minutes=max(slow, 1.0),
                )
            )
        return steps


def _plain(text: str) -> str:
    """Words that hold nothing to fill in."""
    return text.replace("{", "{{").replace("}", "}}")


def _dry_drinks(catalog: Catalog, dose: Dose) -> float:
    """Water that a gram of a leaf keeps [g/g]."""
    made = portion_of(catalog, dose.form, 1.0, "batch", method=dose.method)
    return made.kept.water


def _is_wet(form: Form) -> bool:
    return (form.water_percent or 0.0) >= WET_PERCENT


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
    *,
    altitude_m: float = 0.0,
    powders: Sequence[PowderDose] = (),
    caramel: Caramel | None = None,
    names: Mapping[str, str] | None = None,
) -> list[Step]:
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
    altitude_m : float
        Above sea level, m: it boils cooler there.
    powders : sequence of PowderDose
        Acids, glycerol and gums, which go in after the sieve.
    caramel : Caramel, optional
        How the sugar is browned first.
    names : mapping of str to str, optional
        Names of the sweeteners of a blend, by id.

    Returns
    -------
    list[Step]
    """
    plan = _Plan(
        catalog,
        doses,
        batch,
        sweetener,
        grams,
        cooking_g,
        altitude_m,
        powders,
        caramel,
        names,
    )
    boil_off, left = plan.boil_off()
    return [
        plan.prepare(),
        *plan.infuse_water(),
        *plan.dissolve(),
        *boil_off,
        *plan.simmer(left),
        *plan.steep(),
        *plan.bag(),
        *plan.cold(),
        *plan.stir_in(),
        *plan.strain(),
        *plan.lift_fat(),
        *plan.whisk_in(),
        *plan.dissolve_powders(),
        plan.weigh(left),
        *plan.bottle(),
    ]
