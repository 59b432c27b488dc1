"""What stands on a card, in its order, as plain text: stops first, then what is weighed and done.

HTML (:mod:`pairing.cards.html`), PDF (:mod:`pairing.cards.pdf`), Markdown and plain text are four
renderings of the one :class:`Card`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pairing.cards import batch, pictures
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError
from pairing.safety.findings import DEFER

__all__ = ["KINDS", "SLOW_HANDS", "Card", "card", "chips", "report"]

FIGURE = re.compile(r"\d[\d.,]*")
KINDS = ("prep", "recipe")
SLOW_HANDS = "Sugar syrup is hotter than boiling water and sticks: sleeves down, nobody behind you."


@dataclass(frozen=True)
class Card:
    """A card before it is drawn; every text of it is plain and not escaped.

    Attributes
    ----------
    title, words : str
        Name, and what it is for.
    stops, not_known, allergens : sequence of str
        Why it must not be served; what nobody has assessed or stated; what guests must hear.
    weigh : sequence of (str, str)
        What, and grams with their unit; the yield and the drinks come last.
    sizes : Table
        The same for other batch sizes; without rows where there is one size.
    steps, glass_steps : sequence of (str, sequence of str)
        What to do, with its heat and minutes.
    steps_minutes : sequence of float or None
        Minutes of each step, for a clock.
    drawn : sequence of str
        SVG.
    keeping, cares, sources : sequence of str
    sheet : mapping or None
        The batch sheet, on a prep card.
    """

    title: str
    words: str
    stops: Sequence[str]
    not_known: Sequence[str]
    allergens: Sequence[str]
    weigh: Sequence[tuple[str, str]]
    sizes: Table
    steps: Sequence[tuple[str, Sequence[str]]]
    steps_minutes: Sequence[float | None]
    glass_steps: Sequence[tuple[str, Sequence[str]]]
    drawn: Sequence[str]
    keeping: Sequence[str]
    cares: Sequence[str]
    sources: Sequence[str]
    sheet: Mapping[str, Any] | None


def chips(step: Document) -> list[str]:
    """Heat and minutes of a step, short.

    Parameters
    ----------
    step : mapping
        One of a formula's ``plan``.

    Returns
    -------
    list of str
        None, one or two.
    """
    said = []
    if step["temperature_range_c"]:
        low, high = step["temperature_range_c"]["low"], step["temperature_range_c"]["high"]
        said.append(f"{low:.0f} °C" if round(low) == round(high) else f"{low:.0f}-{high:.0f} °C")
    if step["minutes"]:
        minutes = step["minutes"]
        said.append(f"{minutes:.0f} min" if minutes >= 2 else f"{number(minutes, 2)} min")
    return said


def card(
    batches: Sequence[tuple[str, Document]],
    drink: Document | None = None,
    *,
    kind: str = "prep",
    name: str = "",
) -> Card:
    """A card from the documents of a formula and its drink.

    Parameters
    ----------
    batches : sequence of (str, mapping)
        The name of a batch size and its formula's document; the first is the one that is made.
    drink : mapping, optional
        Document of the drink it goes into.
    kind : str
        ``prep`` for the wall of the kitchen, with the batch sheet; ``recipe`` to share.
    name : str
        What the bar calls it.

    Returns
    -------
    Card

    Raises
    ------
    PairingError
        For an unknown kind.
    """
    if kind not in KINDS:
        raise PairingError(f"unknown kind of card {kind!r}; one of {', '.join(KINDS)}")
    document = batches[0][1]
    title = name or f"{batch.title_of(document)} syrup"
    plan = document["plan"]
    served = [drink] if drink else []
    alone = drink is not None and not drink["coffee_g"]
    coffee = "a drink without coffee" if alone else document["coffee"]["words"]
    drawn = pictures.pictures_of(document)
    glass = pictures.pictures_of(drink).get("glass", "") if drink else ""
    shown = [drawn.get("plan", ""), glass] if kind == "prep" else [glass, drawn.get("aroma", "")]
    made = (
        f"{batch.grams(document['yield_g'])} g ({document['yield_ml']:,.0f} ml) at "
        f"{document['brix']:.1f} °Bx; a refractometer reads {document['refractometer_brix']:.1f}."
    )
    return Card(
        title=title,
        words=f"{batch.title_of(document)}, for {coffee}; "
        f"{document['style'].replace('-', ' ')}. {document['strength']}.",
        stops=list(dict.fromkeys(s for d in (document, *served) for s in d["stops"])),
        not_known=list(dict.fromkeys(s for d in (document, *served) for s in d["not_known"])),
        allergens=batch.allergens(document, *served),
        weigh=[(what, f"{batch.grams(g)} g") for what, g in batch.weighed(document)],
        sizes=_sizes(batches),
        steps=[(s["text"], chips(s)) for s in plan],
        steps_minutes=[s["minutes"] for s in plan],
        glass_steps=[(s, ()) for s in drink["steps"]] if drink else [],
        drawn=[svg for svg in shown if svg],
        keeping=[made, *document["keeping"]["words"]],
        cares=_cares(document, *served),
        sources=sorted(
            {s for d in (document, *served) for f in d["findings"] for s in f["source_ids"]}
        ),
        sheet=batch.batch_sheet(document, name=title) if kind == "prep" else None,
    )


def _cares(document: Document, *served: Document) -> list[str]:
    """What to watch in the glass, then at the stove; one sentence of two figures is the glass's."""
    lines = [
        f"Alcohol {d['alcohol_percent']:.1f} % vol: name it on the menu, check age by law."
        for d in served
        if d["alcohol_g"] > 0
    ]
    lines += [w for d in (*served, document) for w in d["watch"] if w != DEFER]
    said: dict[str, str] = {}
    for line in lines:
        said.setdefault(FIGURE.sub("", line), line)
    return [*said.values(), DEFER]


def _sizes(batches: Sequence[tuple[str, Document]]) -> Table:
    """Every size side by side: worked out for its own pan, not multiplied."""
    held = [batch.weighed(d) for _, d in batches]
    rows: list[list[str]] = [
        [what, *(batch.grams(g[k][1]) for g in held)] for k, (what, _) in enumerate(held[0])
    ]
    rows.append(["syrup it gives", *(batch.grams(d["yield_g"]) for _, d in batches)])
    serving = number(batches[0][1]["serving_g"])
    rows.append([f"drinks of {serving} g", *(f"{d['servings']:,}" for _, d in batches)])
    columns = ["g", *(name for name, _ in batches)]
    return Table("Sizes, each worked out for its own pan", columns, rows)


def report(
    batches: Sequence[tuple[str, Document]],
    drink: Document | None = None,
    *,
    kind: str = "prep",
    name: str = "",
) -> Report:
    """A card as Markdown, plain text and JSON.

    Parameters
    ----------
    batches : sequence of (str, mapping)
        As for :func:`card`.
    drink : mapping, optional
        As for :func:`card`.
    kind : str
        As for :func:`card`.
    name : str
        As for :func:`card`.

    Returns
    -------
    Report
    """
    made = card(batches, drink, kind=kind, name=name)
    sheet = batch.batch_sheet(batches[0][1], name=made.title)
    stops = [Text(f"STOP: {s}") for s in made.stops]
    told = [a for a in made.allergens if a not in made.not_known]
    blocks: list[Text | Bullets | Table] = [
        *stops,
        *map(Text, made.not_known),
        Text(made.title),
        Text(made.words),
        *([Bullets("Allergens", told)] if told else []),
        made.sizes,
        Text(SLOW_HANDS),
        Bullets("Do", [text for text, _ in made.steps], numbered=True),
        Bullets("In the glass", [text for text, _ in made.glass_steps], numbered=True),
        Bullets("What comes out", made.keeping),
        Bullets("Take care", made.cares),
    ]
    if made.sheet:
        checks = [[c["step"], c["target"], batch.BLANK] for c in sheet["checks"]]
        blocks += [
            Text(batch.head(sheet)),
            Table("", ["what", "target", "measured"], checks),
            Text(batch.OFF),
        ]
    blocks += stops
    document = {
        "stops": list(made.stops),
        "not_known": list(made.not_known),
        "name": made.title,
        "batches": [{"name": n, "formula": d} for n, d in batches],
        "drink": drink,
        "sheet": sheet,
    }
    return Report(document, blocks, made.sizes, "card")
