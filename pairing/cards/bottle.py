"""The label of a formula's bottle: drafted from the batch, and its document."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from pairing.cards.label import Label, LabelItem, Nutrition, draft_label, plain_name, product_name
from pairing.cards.nutrition import Minor, minor_of
from pairing.cards.report import Report, Table, Text
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Powder
from pairing.syrup.formula import Formula

__all__ = ["label_for", "report"]


def label_for(
    catalog: Catalog,
    made: Formula,
    *,
    name: str | None = None,
    sale: str = "prepacked",
    drink_name: str | None = None,
    milk: str = "dairy",
    made_on: date | None = None,
) -> Label:
    """Draft the label of a formula's bottle.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` decides whose law is followed.
    made : Formula
    name : str, optional
        Name of the product; made from the ingredients when not given.
    sale : str
        A way of sale of ``SALES``.
    drink_name : str, optional
        Name of the drink on the menu, for the caffeine statement.
    milk : str
        The milk of a milk drink.
    made_on : date, optional

    Returns
    -------
    Label
        The draft, whose ``stops`` come first.

    Raises
    ------
    PairingError
        For amounts that are not finite.
    """
    batch = made.batch
    items = _items(catalog, made)
    low, high = _caffeine(made)
    syrup = batch.composition * (100.0 / batch.yield_g)
    allulose, erythritol = (_of_one(made, name) for name in ("allulose", "erythritol"))
    nutrition = Nutrition(
        max(0.0, syrup.sugars - allulose),
        max(0.0, syrup.polyols - erythritol),
        syrup.acid,
        erythritol,
        allulose,
        sum(p.g_per_kg * p.powder.polyol_percent / 1000.0 for p in made.powders),
        tuple(
            (row.sweetener_id, _of_one(made, row.sweetener_id))
            for row in made.sweeteners
            if row.polyol_percent > 0 and row.sweetener_id != "erythritol"
        ),
        _minor(catalog, made),
    )
    drafted = draft_label(
        name or product_name([plain_name(catalog, d.form) for d in made.doses]),
        items,
        serving_g=made.glass.syrup_g,
        nutrition=nutrition,
        findings=made.findings,
        market=catalog.market,
        sale=sale,
        yield_g=batch.yield_g,
        yield_ml=batch.yield_ml,
        drink_name=drink_name,
        quantity_in_name=name is None,
        caffeine_low_mg=low,
        caffeine_high_mg=high,
        drink_ml=made.glass.drink_ml,
        milk=milk if catalog.styles[made.glass.style].has_milk else "",
        keep_days=made.keeping(catalog).days,
        opened_days=made.keeping(catalog).opened_days,
        made_on=made_on,
    )
    return replace(drafted, made=made, made_on=made_on)


def _items(catalog: Catalog, made: Formula) -> tuple[LabelItem, ...]:
    """What was put in: sweetener, water, then the ingredients."""
    batch = made.batch
    return (
        *(
            LabelItem(row.name, grams, row.sweetener_id)
            for row, (_, grams) in zip(made.sweeteners, batch.sweeteners, strict=True)
        ),
        LabelItem("Water", batch.water_g),
        *(
            LabelItem(
                plain_name(catalog, d.form),
                made.grams[d.form.form_id],
                d.form.ingredient_id,
                catalog.kind(d.form),
            )
            for d in made.doses
        ),
        *(LabelItem(_additive(p.powder, p.name, catalog.market), p.grams) for p in made.powders),
    )


def _minor(catalog: Catalog, made: Formula) -> Minor:
    """Fat, saturates, protein and salt of 100 g: sweeteners and powders stay in whole."""
    batch = made.batch
    kept = batch.yield_g / (batch.yield_g + batch.carried_g + batch.cling_g)
    return minor_of(
        catalog,
        [
            *(
                (row.sweetener_id, row.name, grams * kept)
                for row, (_, grams) in zip(made.sweeteners, batch.sweeteners, strict=True)
            ),
            *((p.powder.powder_id, p.name, p.grams) for p in made.powders),
        ],
        [
            (d.form.ingredient_id, d.form.form, plain_name(catalog, d.form),
             made.grams[d.form.form_id])
            for d in made.doses
        ],
        batch.yield_g,
    )  # fmt: skip


def _of_one(made: Formula, name: str) -> float:
    """Grams of one rare sweetener in 100 g of the finished syrup."""
    kept = made.batch.yield_g / (made.batch.yield_g + made.batch.carried_g + made.batch.cling_g)
    grams = dict(made.batch.sweeteners).get(name, 0.0)
    row = next((r for r in made.sweeteners if r.sweetener_id == name), None)
    solids = (row.polyol_percent + row.other_sugars_percent) / 100.0 if row else 0.0
    return 100.0 * grams * solids * kept / made.batch.yield_g


def _additive(powder: Powder, name: str, market: str) -> str:
    """Name of an additive in a list of ingredients: after its class, but for the US."""
    if market == "us" or not powder.label_class:
        return name
    return f"{powder.label_class.capitalize()}: {name.lower()} (E {powder.e_number})"


def _caffeine(made: Formula) -> tuple[float, float]:
    """Of the coffee [mg]; a finding counts tea and cacao too."""
    low, high = made.base.caffeine_mg
    return low, max([high, *(f.amount or 0.0 for f in made.findings if f.code == "caffeine")])


def report(catalog: Catalog, made: Formula, drafted: Label, made_on: date | None = None) -> Report:
    """A drafted label as text, JSON and CSV.

    Parameters
    ----------
    catalog : Catalog
    made : Formula
    drafted : Label
        Of :func:`label_for`.
    made_on : date, optional

    Returns
    -------
    Report
    """
    items = _items(catalog, made)
    text = drafted.to_text()
    lines = [line for line in text.splitlines() if line.strip()]
    table = Table("", ["line"], [[line] for line in lines])
    total = sum(i.grams for i in items)
    document = {
        "stops": list(drafted.stops),
        "not_known": list(drafted.not_known),
        "name": drafted.name,
        "market": drafted.market or None,
        "sale": drafted.sale,
        "ingredients": [
            {
                "id": i.ingredient_id,
                "name": i.name,
                "grams": i.grams,
                "percent_of_put_in": 100.0 * i.grams / total,
            }
            for i in sorted((i for i in items if i.grams > 0), key=lambda i: -i.grams)
        ],
        "declared": list(drafted.ingredients),
        "contains": list(drafted.contains),
        "allergens_not_known": list(drafted.unknown),
        "per_100_g": drafted.nutrition.record(100.0, drafted.market),
        "per_serving": drafted.nutrition.record(drafted.serving_g, drafted.market),
        "caffeine_mg_in_the_drink": list(_caffeine(made)),
        "label": list(drafted.copy),
        "notes": list(drafted.notes),
        "keep_days": made.keeping(catalog).days,
        "made_on": made_on.isoformat() if made_on else None,
        "use_by": drafted.use_by,
        "in_the_drink": list(drafted.in_the_drink),
        "lines": lines,
    }
    return Report(document, [Text(line) for line in lines], table, "label")
