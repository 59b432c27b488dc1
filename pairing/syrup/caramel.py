"""Caramel base: sugar browned dry or wet, then stopped with hot water or juice.

What heat makes of sucrose is counted: water that leaves as steam, sugars that are left, and brown
matter that is not sweet. The shares are estimates: nobody published a kitchen pan. Their
direction is Gélis's, who weighed caramelan at a loss of 9 to 12 %, caramelen at 14 to 15 and
caramelin above 20 (1858 to 1862, as handbooks repeat it, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.syrup.composition import Sweetening
from pairing.syrup.sweetness import sucrose_equivalent

__all__ = ["CARAMELS", "CARAMEL_CAUTION", "COLOURS", "Caramel", "split_caramel"]

CARAMELS: dict[str, str] = {
    "dry-caramel": "melt the sugar dry to amber, stop it with hot water or juice",
    "wet-caramel": "boil the sugar with a little water to amber, stop it with hot water or juice",
}
SUGAR_WORDS = ("sugar", "caramel", "syrup", "base")
SAUCES = ("cream", "butter", "milk", "toffee", "fudge")  # what is no syrup
MOSTLY_SUCROSE = 80.0  # % of a sweetener that browns as sugar does
WET_WATER = 0.3  # of the sugar's weight, to wet it: common practice, no source
PAN_FULL = 4.0  # times its volume that it may foam up when it is stopped: common practice
STOP_AT_C = 80.0  # as hot as that, or it spits and sets to glass: common practice, no source
MINUTES = {"dry-caramel": 8.0, "wet-caramel": 14.0}  # a strong ring, 300 g: common practice
CARAMEL_CAUTION = (
    "Hot sugar at 170 °C sticks and burns far deeper than boiling water: long sleeves, shoes, no "
    "children, nobody behind you, a bowl of cold water at hand; never leave it, never taste it."
)


class Colour(NamedTuple):
    """How far a caramel is taken.

    Attributes
    ----------
    low_c, high_c : float
        Where it is stopped [°C]; common practice, no source.
    lost, sucrose, glucose, fructose : float
        Of a gram of sucrose: water that leaves as steam, and the sugars left; the rest is brown
        matter and anhydrides, which do not sweeten. Estimates.
    looks : str
        What to look for.
    """

    low_c: float
    high_c: float
    lost: float
    sucrose: float
    glucose: float
    fructose: float
    looks: str


COLOURS: dict[str, Colour] = {
    "light": Colour(160.0, 166.0, 0.015, 0.80, 0.06, 0.04, "straw yellow, smells of honey"),
    "amber": Colour(170.0, 176.0, 0.04, 0.58, 0.13, 0.07, "amber, a first thread of smoke"),
    "dark": Colour(
        180.0, 186.0, 0.09, 0.33, 0.16, 0.08, "dark as tea, smoking, before it blackens"
    ),
}


@dataclass(frozen=True, slots=True)
class Caramel:
    """A caramel that was asked for.

    Attributes
    ----------
    how : str
        A key of `CARAMELS`.
    shade : str
        A key of `COLOURS`.
    """

    how: str
    shade: str = "amber"

    @property
    def colour(self) -> Colour:
        """How far it is taken."""
        return COLOURS[self.shade]

    def of(self, sugar: Sweetening) -> Sweetening:
        """Return what a sugar is when it has browned; what it loses still counts as its water.

        Parameters
        ----------
        sugar : Sweetening
            Mostly sucrose.

        Returns
        -------
        Sweetening
        """
        c, s = self.colour, sugar.sucrose_percent
        return replace(
            sugar,
            water_percent=sugar.water_percent + s * c.lost,
            sucrose_percent=s * c.sucrose,
            glucose_percent=sugar.glucose_percent + s * c.glucose,
            fructose_percent=sugar.fructose_percent + s * c.fructose,
        )

    def steam_g(self, sugar: Sweetening, grams: float) -> float:
        """Return the water that browning drives off.

        Parameters
        ----------
        sugar : Sweetening
            Before it is browned.
        grams : float
            Of it [g].

        Returns
        -------
        float
            [g].
        """
        return grams * sugar.sucrose_percent / 100.0 * self.colour.lost

    def less_sweet(self, sugar: Sweetening) -> float:
        """Return the share of the sweetness that is gone, cold.

        Parameters
        ----------
        sugar : Sweetening
            Before it is browned.

        Returns
        -------
        float
            0 to 1.
        """
        before = sucrose_equivalent(sugar.masses(100.0), 20.0)
        return 1.0 - sucrose_equivalent(self.of(sugar).masses(100.0), 20.0) / before


def split_caramel(
    catalog: Catalog, row: SweetenerRow, techniques: Mapping[str, str] | None
) -> tuple[Caramel | None, dict[str, str]]:
    """Take the technique of the sugar out of those of the plants.

    Parameters
    ----------
    catalog : Catalog
    row : SweetenerRow
        What it is sweetened with.
    techniques : mapping of str to str, optional
        By name; of ``sugar``, ``dry-caramel`` or ``wet-caramel``, with ``light``, ``amber`` or
        ``dark`` after it.

    Returns
    -------
    (Caramel or None, dict)

    Raises
    ------
    PairingError
        For a technique that sugar has not, a plant that is to be caramelised, or a sweetener that
        does not brown as sugar does.
    """
    found: Caramel | None = None
    left: dict[str, str] = {}
    for name, said in (techniques or {}).items():
        if not _is_the_sugar(catalog, row, name):
            if said.split()[:1] and said.split()[0] in CARAMELS:
                raise PairingError(
                    f"{said.split()[0]} is for the sugar: say sugar={said}, not {name}"
                )
            left[name] = said
            continue
        if any(w in said.casefold() for w in SAUCES):
            raise PairingError(
                f"{said!r:.40}: cream or butter makes a sauce of milk and fat, low in acid, gone "
                "in days, which nobody worked out here; stop the caramel with water and pour cream "
                "into the glass, or name coconut milk or condensed milk beside it"
            )
        how, *rest = said.casefold().replace(",", " ").split() or [""]
        shade = rest[0] if rest else "amber"
        if how not in CARAMELS or shade not in COLOURS or len(rest) > 1:
            raise PairingError(
                f"{said!r:.40} is nothing sugar can be made into; say {' or '.join(CARAMELS)}, and "
                f"{', '.join(COLOURS)} where it is not amber"
            )
        if row.sucrose_percent < MOSTLY_SUCROSE:
            raise PairingError(
                f"{row.name} makes no caramel here: syrups scorch and sugar alcohols stay pale; "
                "take white cane sugar"
            )
        found = Caramel(how, shade)
    return found, left


def _is_the_sugar(catalog: Catalog, row: SweetenerRow, name: str) -> bool:
    key = name.strip().casefold()
    if key in SUGAR_WORDS or key in (row.sweetener_id, row.name.casefold()):
        return True
    return key in {a.casefold() for a in row.aliases} and not any(
        key in (i.ingredient_id, i.name.casefold()) for i in catalog.ingredients.values()
    )
