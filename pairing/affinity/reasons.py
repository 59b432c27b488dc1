"""Reasons: the terms of a score in words that a barista uses, with the odorants behind them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pairing.affinity import model as affinity
from pairing.affinity.search import (
    POINTS,
    Blend,
    Candidates,
    Contribution,
    bridge_of,
    candidates,
    character_of,
    contributions,
    features_apart,
    sets_apart,
    taste_apart,
    traditions_of,
)
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form, Tradition
from pairing.safety import assess as safety

__all__ = [
    "blend_reasons",
    "blend_watch",
    "coffee_words",
    "contribution_words",
    "leader",
    "tradition_words",
]

TASTE_WORDS = {
    "roasted": "roast",
    "sour": "acidity",
    "sweet": "sweetness",
    "rich": "richness",
    "bitter": "bitterness",
    "tea": "tea character",
    "spice": "spice character",
    "leaf": "herbal character",
    "flower": "flower character",
    "nut": "nuttiness",
    "citrus": "citrus character",
    "peel": "peel",
    "juice": "juice",
}
SMALL = 0.02  # log2 units: a contribution smaller than this is no reason


def short(form: Form) -> str:
    """Name of a form without its preparation: ``Green cardamom``."""
    return form.label.split(",")[0]


def top_odorant(catalog: Catalog, oav: Array, group_id: str) -> str:
    """Name of the loudest compound of a group, or nothing."""
    ax = aroma.axis(catalog)
    if group_id not in ax.groups:
        return ""
    members = np.flatnonzero(ax.group_of == ax.groups.index(group_id))
    if not len(members) or not oav[members].max() > 0:
        return ""
    return catalog.compounds[ax.compounds[int(members[np.argmax(oav[members])])]].name


def _feature_words(catalog: Catalog, name: str) -> str:
    head, _, tail = name.partition(":")
    if head == "aroma":
        return catalog.groups[tail].name.lower()
    if head == "taste":
        return TASTE_WORDS.get(tail, tail)
    return ""


def contribution_words(
    catalog: Catalog, base: CoffeeBase | None, form: Form, c: Contribution, other: str = "coffee"
) -> str:
    """One contribution in words, such as ``its blossom (Linalool) goes with the coffee's malt``.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase or None
        The coffee on the other side; None where it is another ingredient.
    form : Form
    c : Contribution
    other : str
        What the other side is called.
    """
    if c.feature == "taste:juice" and not c.more and c.value > 0:
        return f"peel, not juice, which {other} takes badly"
    own = _feature_words(catalog, c.feature)
    theirs = _feature_words(catalog, c.partner)
    if not own:
        return f"cooks {'like' if c.value > 0 else 'avoid'} it with {other}"
    if c.feature.startswith("aroma:"):
        held = aroma.profiles(catalog)
        row = held.position.get(form.form_id)
        if row is not None:
            name = top_odorant(catalog, held.oav(1.0)[row], c.feature.partition(":")[2])
            own += f" ({name})" if name and c.more else ""
    if theirs and base is not None and c.partner.startswith("aroma:"):
        name = top_odorant(catalog, base.oav, c.partner.partition(":")[2])
        theirs += f" ({name})" if name else ""
    kind = catalog.kind(form)
    if c.more:
        verb = "goes with" if c.value > 0 else "pulls against"
        return f"its {own} {verb} the {other}'s {theirs}" if theirs else f"its {own} {verb} {other}"
    if c.value > 0:
        return f"less {own} than most of its kind ({kind}), and {other} takes that badly"
    return f"less {own} than most of its kind ({kind}), and {other} would like it"


def lead_words(catalog: Catalog, form: Form) -> str:
    """Character of a form with its loudest odorant: ``cinnamon ((E)-Cinnamaldehyde)``."""
    group_id = character_of(catalog, form)
    held = aroma.profiles(catalog)
    row = held.position.get(form.form_id)
    if not group_id or row is None:
        return "taste more than aroma"
    oav = held.oav(aroma.drink_g_per_l(aroma.usual_dose(form) or 10.0))[row]
    return f"{catalog.groups[group_id].name.lower()} ({top_odorant(catalog, oav, group_id)})"


LOUD_SHARE = 0.7  # of the loudest group: a group softer than that is no reason to name


def loud_groups(catalog: Catalog, form: Form) -> set[str]:
    """Aroma groups (as features) in which a form is loud, its character among them."""
    held = aroma.profiles(catalog)
    row = held.position.get(form.form_id)
    if row is None:
        return set()
    loud = aroma.group_loudness(held.oav(1.0)[row], held.axis)
    floor = LOUD_SHARE * float(loud.max())
    out = {f"aroma:{g}" for g, v in zip(held.axis.groups, loud, strict=True) if v >= floor > 0}
    return out | {f"aroma:{character_of(catalog, form)}"}


def main_reasons(
    catalog: Catalog, base: CoffeeBase, form: Form, found: Sequence[Contribution]
) -> list[Contribution]:
    """Contributions worth saying: what the form is loud in first, then what it lacks.

    A coffee less bitter than most is not praised for its bitterness.
    """
    loud = loud_groups(catalog, form)
    mild = taste_apart(catalog, base)["bitterness"] < 1.0
    good = [
        c
        for c in found
        if c.value > SMALL and not (mild and c.partner == "taste:bitter" and c.more)
    ]
    has = [c for c in good if c.more and (c.feature in loud or c.part == "taste")]
    return has or [c for c in good if not c.more]


def coffee_words(catalog: Catalog, base: CoffeeBase) -> str:
    """What sets a coffee apart from a plain medium washed arabica, in words."""
    apart = sets_apart(catalog, base)
    names = list(catalog.groups.values())
    order = np.argsort(-apart)
    more = [names[i].name.lower() for i in order[:3] if apart[i] > 0.05]
    less = [names[i].name.lower() for i in order[::-1][:3] if apart[i] < -0.05]
    taste = [
        f"{'more' if ratio > 1 else 'less'} {word}"
        for word, ratio in taste_apart(catalog, base).items()
        if (ratio > 1.2 or ratio < 0.85) and word in ("acidity", "body", "bitterness")
    ]
    bits = []
    if more:
        bits.append("more " + ", ".join(more))
    if less:
        bits.append("less " + ", ".join(less))
    bits += taste
    return "; ".join(bits) or "close to a plain medium washed arabica"


def leader(catalog: Catalog, form_ids: Sequence[str]) -> str:
    """The loudest partner at usual doses."""
    held = aroma.profiles(catalog, form_ids)
    doses = np.array(
        [aroma.drink_g_per_l(aroma.usual_dose(catalog.forms[f]) or 1.0) for f in form_ids]
    )
    return form_ids[int(np.argmax(held.oav(doses).sum(axis=1)))]


def tradition_words(tradition: Tradition) -> str:
    """A tradition in a few words: ``qahwa, Saudi Arabia``."""
    place = tradition.region.replace("-", " ").title()
    return f"{tradition.name}, {place}" if tradition.name else place


def blend_reasons(catalog: Catalog, base: CoffeeBase, blend: Blend) -> tuple[str, ...]:
    """Why a blend ranks where it does: a line a partner, one for the partners, one for precedent.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
        The coffee that decides.
    blend : Blend
    """
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    cup = affinity.coffee_features(catalog, base)
    pool = candidates(catalog, [base], blend.form_ids)
    echoed: dict[str, list[str]] = {}
    out = []
    for form_id in blend.form_ids:
        form = catalog.forms[form_id]
        found = contributions(
            fitted, rows.features[rows.position[form_id]], rows.kind_means[catalog.kind(form)], cup
        )
        has = [c for c in main_reasons(catalog, base, form, found) if c.more]
        lead = lead_words(catalog, form)
        why = contribution_words(catalog, base, form, has[0]) if has else ""
        why = why.replace(f"its {lead} ", "it ", 1)
        out.append(f"{short(form)}: {lead}{'; ' if why else ''}{why}")
        group = echo_group(catalog, base, form)
        if group and POINTS["echo"] * float(pool.echo[0][pool.position[form_id]]) >= 1.0:
            echoed.setdefault(group, []).append(short(form))
    for group, names in echoed.items():
        verb = "echo" if len(names) > 1 else "echoes"
        out.append(f"{_listed(names)} {verb} this coffee's {catalog.groups[group].name.lower()}")
    together = _together(catalog, pool)
    if together:
        out.append(together)
    known = [
        f"{short(catalog.forms[f])} ({tradition_words(old[0])})"
        for f in blend.form_ids
        if (old := traditions_of(catalog, catalog.forms[f]))
    ]
    out.append(
        f"coffee traditions: {', '.join(known)}" if known else "no coffee tradition on file: new"
    )
    return tuple(out)


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def echo_group(catalog: Catalog, base: CoffeeBase, form: Form) -> str:
    """The aroma group that a form shares with what sets a coffee apart, if loud in it."""
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    x = rows.features[rows.position[form.form_id]]
    each = x * (bridge_of(fitted) @ features_apart(catalog, base))
    best = int(np.argmax(each))
    group_id = fitted.names[best].partition(":")[2]
    if each[best] <= 0 or group_id not in catalog.groups:
        return ""
    if sets_apart(catalog, base)[aroma.axis(catalog).groups.index(group_id)] <= 0:
        return ""
    return group_id if f"aroma:{group_id}" in loud_groups(catalog, form) else ""


def _together(catalog: Catalog, pool: Candidates) -> str:
    """The pair of partners that agrees best, in words."""
    n = len(pool.ids)
    pairs = [(i, j) for i in range(n) for j in range(i + 1, n)]
    if not pairs:
        return ""
    said = []
    i, j = max(pairs, key=lambda p: float(pool.among[p]))
    if pool.among[i, j] > SMALL:
        said.append(
            f"{short(catalog.forms[pool.ids[i]])} and {short(catalog.forms[pool.ids[j]])} agree"
        )
    i, j = max(pairs, key=lambda p: float(pool.known_pairs[p]))
    if pool.known_pairs[i, j] > 0:
        said.append(
            f"tradition puts {short(catalog.forms[pool.ids[i]])} with "
            f"{short(catalog.forms[pool.ids[j]])}"
        )
    return "; ".join(said)


def blend_watch(catalog: Catalog, blend: Blend) -> tuple[str, ...]:
    """What to watch in a blend: parts that cost points, thin evidence, hazards."""
    from pairing.evidence.sources import evidence_word

    out = []
    costs = {p.key: p.points for p in blend.parts}
    if costs["crowding"] < -1:
        out.append("two partners do the same job: drop one or keep it an accent")
    if costs["acid"] < -1.5:
        out.append("acid sharpens the coffee's bitterness: use the peel, or less juice")
    if costs["masking"] < -1:
        out.append("loud at the usual dose: start at the low end")
    if costs["harmony"] < -2:
        out.append("works by contrast: the aromas do not lean on the coffee's")
    for form_id in blend.form_ids:
        form = catalog.forms[form_id]
        kind = catalog.kind(form)
        if evidence_word(catalog, form) == "thin":
            out.append(f"{short(form)}: evidence is thin")
        grave = [
            h
            for h in safety.hazards_for(form.ingredient_id, form.form, kind)
            if h.topic in WATCH_WORDS and h.severity in ("stop", "limit", "caution")
        ]
        if grave:
            out.append(f"{short(form)}: {WATCH_WORDS[grave[0].topic]}")
    return tuple(out)


WATCH_WORDS = {
    "dose": "weigh it, the dose has a limit",
    "toxic": "poisonous in the wrong part or amount",
    "look-alike": "has a poisonous or worthless look-alike: buy it by its botanical name",
    "interaction": "interacts with medicines",
    "allergy": "some people react to it",
}
