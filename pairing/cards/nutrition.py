"""Energy and the lines of nutrition of 100 g of syrup, by the factors of a market.

Energy: Regulation (EU) No 1169/2011, Annex XIV (in Great Britain as retained), read in a
consolidated copy; in the US 4 kcal/g and each sugar alcohol by its own factor, 21 CFR
101.9(c)(1)(i)(F) (second-hand: quoted alike by two publications). Fat, saturates, protein and
salt stand in ``nutrients.csv`` where a public composition table was read; what no table gives
could be all fat, all protein or all salt, and is asked of the supplier, never taken as none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.tables import records

__all__ = ["Minor", "Nutrition", "minor_of"]

# (kJ/g, kcal/g): Regulation (EU) No 1169/2011, Annex XIV; erythritol 0
SUGAR_ENERGY, POLYOL_ENERGY, ACID_ENERGY = (17.0, 4.0), (10.0, 2.4), (13.0, 3.0)
KJ_PER_KCAL = 4.184  # NIST SP 811: the thermochemical calorie
US_CARBOHYDRATE_KCAL = 4.0  # 21 CFR 101.9(c)(1)(i)(B), the general factor: what (F) does not list
# kcal/g, 21 CFR 101.9(c)(1)(i)(F) (second-hand); erythritol is 0
US_POLYOL_KCAL = {
    "isomalt": 2.0,
    "lactitol": 2.0,
    "xylitol": 2.4,
    "maltitol": 2.1,
    "sorbitol": 2.6,
    "mannitol": 1.6,
}
US_ALLULOSE_KCAL = 0.4  # FDA guidance, 2020 (read in summary)
SALT_PER_SODIUM = 2.5  # Regulation (EU) No 1169/2011, Annex I point 11: salt = sodium x 2.5
# Up to these g in 100 g the EU declares "less than": Commission guidance on tolerances, 2012
# (from memory). Fat, protein; saturates; salt.
LITTLE_G, LITTLE_SATURATES_G, LITTLE_SALT_G = 0.5, 0.1, 0.0125
# Ends nearer than this are one declared figure: half of the tolerance of that guidance or less
# (protein 2 g, fat 1.5 g, saturates 0.8 g, salt 0.375 g; from memory)
SPAN_PROTEIN_G, SPAN_FAT_G, SPAN_SATURATES_G, SPAN_SALT_G = 1.0, 0.75, 0.4, 0.05


class Nutrient(NamedTuple):
    """Fat, saturates, protein [g] and sodium [mg] in 100 g, from a composition table."""

    item_id: str
    forms: tuple[str, ...]
    fat_g: float
    saturates_g: float
    protein_g: float
    sodium_mg: float
    source_id: str
    evidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Minor:
    """Fat, saturates, protein and salt in 100 g of syrup, each between two ends.

    Attributes
    ----------
    fat_g, saturates_g, protein_g, salt_g : (float, float)
        Low: what dissolves whole. High: all that was put in passed over, and what no table
        gives were nothing else [g].
    asked : tuple of str
        Names of what no composition table read here gives.
    """

    fat_g: tuple[float, float]
    saturates_g: tuple[float, float]
    protein_g: tuple[float, float]
    salt_g: tuple[float, float]
    asked: tuple[str, ...]

    def words(self) -> tuple[str, str, str, str]:
        """Fat, saturates, protein, salt as an EU or UK label declares them; ``____`` is open.

        Returns
        -------
        tuple of str
            Such as ``"<0.5"``, each before its unit, g in 100 g.
        """
        sure = 0.0 if self.asked else 1.0  # a figure that rests on a guess is not declared
        return (
            _declared(self.fat_g, LITTLE_G, sure * SPAN_FAT_G, 1),
            _declared(self.saturates_g, LITTLE_SATURATES_G, sure * SPAN_SATURATES_G, 1),
            _declared(self.protein_g, LITTLE_G, sure * SPAN_PROTEIN_G, 1),
            _declared(self.salt_g, LITTLE_SALT_G, sure * SPAN_SALT_G, 2),
        )

    def us_words(self, grams: float) -> tuple[str, str, str, str]:
        """Total fat, saturated fat, sodium and protein of a serving, as Nutrition Facts round them.

        Parameters
        ----------
        grams : float
            Of the serving.

        Returns
        -------
        tuple of str
            Each with its unit; ``____`` is open.

        Notes
        -----
        21 CFR 101.9(c)(2), (4), (7) (second-hand): fat below 0.5 g is 0, sodium below 5 mg is 0
        and goes by 5 mg to 140 and by 10 above, protein below 0.5 g is 0, below 1 g "less than
        1 g".
        """
        part = grams / 100.0
        fat, saturates, protein = (
            part * ends[1] for ends in (self.fat_g, self.saturates_g, self.protein_g)
        )
        low, high = (1000.0 * part * end / SALT_PER_SODIUM for end in self.salt_g)
        step = 5 if high <= 140 else 10
        sodium = "0" if high < 5 else f"{step * round(high / step)}" if high - low <= step else ""
        return (
            "0 g" if fat < 0.5 else "____ g",
            "0 g" if saturates < 0.5 else "____ g",
            f"{sodium or '____'} mg",
            "0 g" if protein < 0.5 else "less than 1 g" if protein < 1 else "____ g",
        )


def _declared(ends: tuple[float, float], little: float, span: float, digits: int) -> str:
    low, high = ends
    if high <= little:
        return f"<{round(little, digits)}"
    if high - low > span:
        return "____"
    return f"{high:.0f}" if high >= 10 else f"{high:.{digits}f}"


@once_per_catalog
def _nutrients(catalog: Catalog) -> dict[tuple[str, str], Nutrient]:
    """Rows by item and form; ``""`` stands for every form."""
    rows = records(Nutrient, catalog.folder / "nutrients.csv")
    return {(r.item_id, form): r for r in rows for form in r.forms or ("",)}


def minor_of(
    catalog: Catalog,
    dissolved: Sequence[tuple[str, str, float]],
    infused: Sequence[tuple[str, str, str, float]],
    yield_g: float,
) -> Minor:
    """Fat, saturates, protein and salt of a syrup, as far as a composition table gives them.

    Parameters
    ----------
    catalog : Catalog
    dissolved : sequence of (str, str, float)
        Id, name and grams of what stays in whole: sweeteners, acids, gums.
    infused : sequence of (str, str, str, float)
        Id, form, name and grams of what is steeped and strained.
    yield_g : float
        Finished syrup [g].

    Returns
    -------
    Minor
        Of 100 g. Water counts as none of them.
    """
    table = _nutrients(catalog)
    low, high = [0.0] * 4, [0.0] * 4
    asked: list[str] = []

    def count(row: Nutrient | None, name: str, grams: float, whole: bool) -> None:
        share = 100.0 * grams / yield_g
        if row is None:
            asked.append(name)
            most = [share] * 4
        else:
            salt = SALT_PER_SODIUM * row.sodium_mg / 1000.0
            most = [share * g / 100.0 for g in (row.fat_g, row.saturates_g, row.protein_g, salt)]
        for i, amount in enumerate(most):
            high[i] += amount
            low[i] += amount if whole and row is not None else 0.0

    for item_id, name, grams in dissolved:
        if grams > 0:
            count(table.get((item_id, "")), name, grams, True)
    for item_id, form, name, grams in infused:
        if grams > 0:
            row = table.get((item_id, form)) or table.get((item_id, ""))
            count(row, name, grams, False)
    fat, saturates, protein, salt = zip(low, high, strict=True)
    return Minor(fat, saturates, protein, salt, tuple(dict.fromkeys(asked)))


@dataclass(frozen=True, slots=True)
class Nutrition:
    """What is declared of 100 g of syrup.

    Attributes
    ----------
    sugars_g, polyols_g, acid_g, erythritol_g, allulose_g : float
        Grams in 100 g of syrup; the acid as citric; erythritol is not counted in the polyols,
        nor allulose in the sugars.
    glycerol_g : float
        Of the polyols, what is there for body and is no sweetener [g].
    polyols_of : tuple of (str, float)
        Of the polyols, those whose sweetener is known: id and grams, for the US factors.
    minor : Minor or None
        Fat, saturates, protein and salt; None leaves their lines open.
    """

    sugars_g: float
    polyols_g: float = 0.0
    acid_g: float = 0.0
    erythritol_g: float = 0.0
    allulose_g: float = 0.0
    glycerol_g: float = 0.0
    polyols_of: tuple[tuple[str, float], ...] = ()
    minor: Minor | None = None

    def energy(self, market: str = "") -> tuple[float, float]:
        """Energy of 100 g, (kJ, kcal), by the factors of a market.

        Parameters
        ----------
        market : str
            ``eu``, ``uk`` or ``us``: polyols and allulose have factors of their own in the US.

        Returns
        -------
        tuple of (float, float)
            kJ and kcal.

        Notes
        -----
        Regulation (EU) No 1169/2011, Annex XIV; 21 CFR 101.9(c)(1)(i)(F), and 4 kcal/g for a
        polyol that it does not list; FDA guidance of 2020 for allulose. Erythritol counts 0 in
        all three.
        """
        if market == "us":
            named = sum(g * US_POLYOL_KCAL.get(p, US_CARBOHYDRATE_KCAL) for p, g in self.polyols_of)
            rest = max(0.0, self.polyols_g - sum(g for _, g in self.polyols_of))
            kcal = named + (self.sugars_g + rest) * US_CARBOHYDRATE_KCAL
            kcal += self.acid_g * ACID_ENERGY[1] + self.allulose_g * US_ALLULOSE_KCAL
            return kcal * KJ_PER_KCAL, kcal
        parts = (
            (self.sugars_g + self.allulose_g, SUGAR_ENERGY),
            (self.polyols_g, POLYOL_ENERGY),
            (self.acid_g, ACID_ENERGY),
        )
        kj, kcal = (sum(g * factor[i] for g, factor in parts) for i in (0, 1))
        return kj, kcal

    @property
    def carbohydrate_g(self) -> float:
        """Carbohydrate in 100 g, g: sugars, polyols and rare sugars."""
        return self.sugars_g + self.polyols_g + self.erythritol_g + self.allulose_g

    def declared_sugars(self, market: str = "") -> float:
        """Sugars in 100 g as the market counts them, g: allulose stands outside in the US.

        Parameters
        ----------
        market : str
            ``eu``, ``uk`` or ``us``.

        Returns
        -------
        float
        """
        return self.sugars_g + (0.0 if market == "us" else self.allulose_g)

    def record(self, grams: float, market: str = "") -> dict[str, float]:
        """The figures for so many grams of syrup, for programs.

        Parameters
        ----------
        grams : float
            Syrup [g].
        market : str
            ``eu``, ``uk`` or ``us``.

        Returns
        -------
        dict of str to float
            ``grams``, ``energy_kj``, ``energy_kcal``, ``carbohydrate_g``, ``sugars_g``,
            ``polyols_g``; not rounded.
        """
        part = grams / 100.0
        kj, kcal = self.energy(market)
        return {
            "grams": grams,
            "energy_kj": part * kj,
            "energy_kcal": part * kcal,
            "carbohydrate_g": part * self.carbohydrate_g,
            "sugars_g": part * self.declared_sugars(market),
            "polyols_g": part * (self.polyols_g + self.erythritol_g),
        }

    def words(self, grams: float, market: str = "") -> str:
        """The lines that can be worked out for so many grams of syrup, rounded as declared.

        Parameters
        ----------
        grams : float
            Syrup [g].
        market : str
            ``eu``, ``uk`` or ``us``.

        Returns
        -------
        str
            Energy, carbohydrate, sugars, and polyols where there are any.
        """
        r = self.record(grams, market)
        text = f"energy {r['energy_kj']:.0f} kJ / {r['energy_kcal']:.0f} kcal; "
        text += f"carbohydrate {_rounded(r['carbohydrate_g'])} g, "
        text += f"of which sugars {_rounded(r['sugars_g'])} g"
        if r["polyols_g"] > 0:
            text += f", polyols {_rounded(r['polyols_g'])} g"
        return text


def _rounded(grams: float) -> str:
    """To 1 g from 10 g, to 0.1 g below (Commission guidance on tolerances, 2012, from memory)."""
    return f"{grams:.0f}" if grams >= 10 else f"{grams:.1f}"
