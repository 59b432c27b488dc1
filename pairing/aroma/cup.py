"""The cup: what tasters say of a coffee, and which ingredients it moves.

Two things are known of a coffee: the notes on its own bag, and what a panel wrote of other coffees
of the same origin, process and roast. For one lot its own notes tell and its origin hardly does, so
notes, where they are given, take the place of the rest.

The counts are facts taken from tasters' reviews (`data/cup_notes.csv`, `data/cup_pairs.csv`). What
is worked out from them is a log-odds: how much likelier tasters are to name an ingredient in this
coffee than in a plain one. It says that an ingredient is heard here, never that it is good.
Without those tables nothing is known from cups, and everything else works as before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pairing.aroma.description import GESHA, GESHA_TASTED_AS, Coffee
from pairing.aroma.notes import group_weights
from pairing.aroma.odour import Array
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import CupCount, CupPair, Note

__all__ = ["Cups", "Movement", "Said", "cups", "movement", "said", "tasted_as"]

Level = tuple[str, str]  # factor, level: ("origin", "kenya")
ALL: Level = ("all", "all")

# How far the counts are believed. Each is a round number on a plateau; what was tried and what it
# gave stands in scripts/validate_cup.py.
PRIOR_VARIANCE = 1.0  # of the true log-odds between origins (by moments 0.2; 0.1 to 4 tried)
PRIOR_CUPS = 2.0  # cups given to a region or a process beforehand, at the rate elsewhere
PAIR_PRIOR_CUPS = 5.0  # cups given to every pair of notes beforehand, at the rate of chance
LEAST_NOTE_CUPS = 3  # a rarer word tells nothing by the company it keeps
HALF_BELIEVED = 5.0  # cups at which an origin is half believed
GROUP_PRIOR = 5.0  # notes given to every aroma group beforehand
FEWEST_CUPS = 10  # a region with fewer says nothing; an origin with fewer is quoted with its region
# An ingredient that the bag names: as far as the strongest origin moves anything.
NAMED = 2.0
# An ingredient that tasters never name, only things like it (freesia for osmanthus): half.
NEAR = 0.5
PLAIN_ROAST = "medium"
PLAIN_PROCESS = "washed"
COLOUR_PRIOR = 0.02**-2  # 1/variance of the change of log-odds per point of ground colour


class Movement(NamedTuple):
    """How far the cup moves one ingredient from where a plain coffee has it.

    Attributes
    ----------
    score : float
        Log-odds against a plain coffee, shrunk by how few cups speak; above 0 speaks for it.
    n_cups : int
        Cups of such coffees that were tasted.
    words : tuple of str
        Tasters' words that speak for it, strongest first; empty where none was written.
    n_named : int
        Cups among them in which one of these words was written.
    beside : bool
        Whether the words do not name it: tasters wrote it beside them more often than chance.
    """

    score: float
    n_cups: int
    words: tuple[str, ...]
    n_named: int
    beside: bool = False


def _odds(inside: Array, n: float, outside: Array, m: float) -> tuple[Array, Array]:
    """Log-odds inside against outside, halves added, and their variance."""
    a, b = inside + 0.5, np.maximum(outside, 0.0) + 0.5
    value = np.log(a / (n - inside + 0.5)) - np.log(b / (m - np.maximum(outside, 0.0) + 0.5))
    return value, 1 / a + 1 / b


def drawn(inside: Array, n: float, outside: Array, m: float) -> Array:
    """Log of cups that name an ingredient over those expected, drawn to 0 by a few given cups.

    Parameters
    ----------
    inside, outside : (n_ingredients,) arrays
        Cups that name it, inside a group of coffees and outside.
    n, m : float
        Cups inside and outside.

    Returns
    -------
    (n_ingredients,) array
        ln((inside + k) / (expected + k)), k = ``PRIOR_CUPS``, expected at the rate outside.
    """
    expected = n * np.maximum(outside, 0.0) / m
    return np.asarray(np.log((inside + PRIOR_CUPS) / (expected + PRIOR_CUPS)))


def _shrunk(value: Array, variance: Array) -> Array:
    return np.asarray(value * PRIOR_VARIANCE / (PRIOR_VARIANCE + variance))


class Cups:
    """Counts of note words over tasted coffees, and what they say of ingredients.

    Parameters
    ----------
    counts : iterable of CupCount
        One row a factor (``all``, ``origin``, ``process``, ``roast``), level and note.
    pairs : callable
        Returns in how many cups two notes stand together, when that is first asked: a large table
        that few questions need.
    notes : mapping of str to Note
        The lexicon: which notes name which ingredient.
    regions : mapping of str to str
        Origin -> region, to draw a rarely tasted origin toward its neighbours.
    colours : mapping of str to float
        Roast -> mean ground colour.

    Notes
    -----
    Halves are added to counts, as usual for odds; so a word too rare to be met in so few cups is
    moved up a little (0.5 at most): such a movement has no words, and nothing should be said of it.
    An origin's log-odds against all other cups are drawn toward those of its region, and these
    toward 0, by their variance (1/cups with the word, halves added). To this comes the company its
    other words keep: the sum over notes that do not name the ingredient of (share of cups here less
    elsewhere) times the pointwise mutual information of note and ingredient.
    """

    def __init__(
        self,
        counts: Iterable[CupCount],
        pairs: Callable[[], Iterable[CupPair]],
        notes: Mapping[str, Note],
        regions: Mapping[str, str],
        colours: Mapping[str, float],
    ) -> None:
        self.size: dict[Level, tuple[int, int]] = {}
        self.of: dict[Level, dict[str, int]] = {}
        for r in counts:
            level = (r.factor, r.level)
            self.size[level] = r.cups, r.roasters
            self.of.setdefault(level, {})[r.note] = r.cups_with_note
        self.words = tuple(self.of.get(ALL, {}))
        self.at = {w: j for j, w in enumerate(self.words)}
        self.notes, self.regions, self.colours = notes, regions, colours
        self.total = self.size.get(ALL, (0, 0))[0]
        self._pairs = pairs
        self._speakers()

    def _speakers(self) -> None:
        """Which words speak for which ingredient; an ingredient without any is not known."""
        named: dict[str, list[str]] = {}
        like: dict[str, list[str]] = {}
        for word in self.words:
            for i in self.notes[word].names_ids:
                named.setdefault(i, []).append(word)
            for i in self.notes[word].near_ids:
                like.setdefault(i, []).append(word)
        self.speakers = {**like, **named}
        self.ids = tuple(self.speakers)
        self.strength = np.array([1.0 if i in named else NEAR for i in self.ids])
        self.speaks = np.zeros((len(self.ids), len(self.words)))
        for k, i in enumerate(self.ids):
            self.speaks[k, [self.at[w] for w in self.speakers[i]]] = 1.0

    def counts(self, level: Level) -> Array:
        """(n_words,) cups of a level by word.

        Parameters
        ----------
        level : tuple of (str, str)
            Factor and level, such as ``("origin", "kenya")``, or ``ALL``.

        Returns
        -------
        numpy.ndarray, shape (n_words,)
            0 throughout for a level that was never tasted.
        """
        out = np.zeros(len(self.words))
        for word, n in self.of.get(level, {}).items():
            out[self.at[word]] = n
        return out

    def rates(self, level: Level) -> Array:
        """(n_ingredients,) cups of a level that name an ingredient.

        Parameters
        ----------
        level : tuple of (str, str)
            Factor and level, or ``ALL``.

        Returns
        -------
        numpy.ndarray, shape (n_ingredients,)
            Cups summed over an ingredient's words, at most those of the level.
        """
        return np.minimum(self.speaks @ self.counts(level), self.size.get(level, (0, 0))[0])

    @cached_property
    def together(self) -> Array:
        """(n_words, n_words) cups in which two words stand together."""
        out = np.zeros((len(self.words), len(self.words)))
        for p in self._pairs():
            j, k = self.at[p.note_a], self.at[p.note_b]
            out[j, k] = out[k, j] = p.cups_both
        return out

    @cached_property
    def company(self) -> Array:
        """(n_words, n_ingredients) pointwise mutual information, shrunk; 0 for its own words.

        log((together + k) / (expected + k)), with k cups given to every pair beforehand.
        """
        both = self.together @ self.speaks.T
        expected = self.counts(ALL)[:, None] * self.rates(ALL)[None, :] / max(self.total, 1)
        value = np.log((both + PAIR_PRIOR_CUPS) / (expected + PAIR_PRIOR_CUPS))
        return np.asarray(value * (1.0 - self.speaks.T))

    def without(self, *levels: Level) -> tuple[Array, int]:
        """Cups by ingredient of all coffees but those of some levels, and how many they are.

        Parameters
        ----------
        *levels : tuple of (str, str)
            Factor and level; ones that were tasted.

        Returns
        -------
        tuple of (numpy.ndarray of shape (n_ingredients,), int)
        """
        named, n = self.rates(ALL), self.total
        for level in levels:
            named, n = named - self.rates(level), n - self.size[level][0]
        return named, n

    def neighbours(self, origin: str) -> list[Level]:
        """The other tasted origins of an origin's region.

        Parameters
        ----------
        origin : str
            ``origin_id``.

        Returns
        -------
        list of tuple of (str, str)
            Factor and level; empty for an origin of no region and for Gesha.
        """
        region = self.regions.get(origin)
        if not region or origin == GESHA_TASTED_AS:
            return []
        return [
            ("origin", o)
            for f, o in self.size
            if f == "origin"
            and o not in (origin, GESHA_TASTED_AS)
            and self.regions.get(o) == region
        ]

    def region(self, origin: str) -> tuple[Array, int]:
        """Log-odds of an origin's neighbours against all others, and their cups.

        Parameters
        ----------
        origin : str
            ``origin_id``.

        Returns
        -------
        tuple of (numpy.ndarray of shape (n_ingredients,), int)
            Zeros and 0 cups where the neighbours have fewer than ``FEWEST_CUPS``.
        """
        levels = self.neighbours(origin)
        n = sum(self.size[k][0] for k in levels)
        if n < FEWEST_CUPS:
            return np.zeros(len(self.ids)), 0
        inside = np.minimum(np.sum([self.rates(k) for k in levels], axis=0), n)
        own: list[Level] = [("origin", origin)] if ("origin", origin) in self.size else []
        return _shrunk(*_odds(inside, n, *self.without(*levels, *own))), n

    def origin(self, origin: str) -> tuple[Array, int]:
        """(n_ingredients,) log-odds of an origin against all others; cups it rests on.

        Parameters
        ----------
        origin : str
            ``origin_id``.

        Returns
        -------
        tuple of (numpy.ndarray of shape (n_ingredients,), int)
            The region's, with the region's cups, for an origin that was never tasted itself.
        """
        prior, n_region = self.region(origin)
        level = ("origin", origin)
        n = self.size.get(level, (0, 0))[0]
        if not n:
            return prior * self.strength, n_region
        value, variance = _odds(self.rates(level), n, *self.without(level))
        own = _shrunk(value - prior, variance) * n / (n + HALF_BELIEVED)
        value = prior + own + self.by_company(level)
        return value * self.strength, n

    def quoted(self, origin: str) -> list[Level]:
        """The levels whose words answer for an origin: its own, with its region's where few.

        Parameters
        ----------
        origin : str
            ``origin_id``.

        Returns
        -------
        list of tuple of (str, str)
            Factor and level; few are fewer than ``FEWEST_CUPS``.
        """
        own: list[Level] = [("origin", origin)] if ("origin", origin) in self.size else []
        if own and self.size[own[0]][0] >= FEWEST_CUPS:
            return own
        return [*own, *self.neighbours(origin)]

    def by_company(self, level: Level) -> Array:
        """(n_ingredients,) what a level's other words say, by the company they keep.

        Parameters
        ----------
        level : tuple of (str, str)
            Factor and level; one that was tasted.

        Returns
        -------
        numpy.ndarray, shape (n_ingredients,)
            In log-odds.
        """
        n = self.size[level][0]
        here, every = self.counts(level), self.counts(ALL)
        apart = here / n - (every - here) / max(self.total - n, 1)
        apart = np.where(every >= LEAST_NOTE_CUPS, apart, 0.0) * n / (n + HALF_BELIEVED)
        return np.asarray(apart @ self.company)

    def process(self, process: str) -> tuple[Array, int]:
        """(n_ingredients,) log-odds of a process against all other cups; cups it rests on.

        Parameters
        ----------
        process : str
            As in :class:`Coffee`.

        Returns
        -------
        tuple of (numpy.ndarray of shape (n_ingredients,), int)
            Zeros and 0 cups for the plain process and for one that was never tasted.
        """
        level = ("process", process)
        if level not in self.size or process == PLAIN_PROCESS:
            return np.zeros(len(self.ids)), 0
        n = self.size[level][0]
        value = drawn(self.rates(level), n, *self.without(level))
        return (value + self.by_company(level)) * self.strength, n

    @cached_property
    def slopes(self) -> Array:
        """(n_ingredients,) change of the log-odds per point of ground colour; lighter is higher.

        Weighted least squares through the roasts, shrunk. One dark cup says nothing by itself, so
        dark carries on the line of the others.
        """
        roasts = [r for r in self.colours if ("roast", r) in self.size]
        if len(roasts) < 2:
            return np.zeros(len(self.ids))
        x = np.array([self.colours[r] for r in roasts])[:, None]
        n = np.array([self.size["roast", r][0] for r in roasts])[:, None]
        usual = self.rates(ALL)[None, :] / self.total  # one cup given to every roast at this rate
        a = np.array([self.rates(("roast", r)) for r in roasts]) + usual
        n = n + 1.0
        y = np.log(a / np.maximum(n - a, 0.5))
        w = a * (1 - a / n)
        x0, y0 = (w * x).sum(0) / w.sum(0), (w * y).sum(0) / w.sum(0)
        across, along = (w * (x - x0) ** 2).sum(0), (w * (x - x0) * (y - y0)).sum(0)
        return np.asarray(along / (across + COLOUR_PRIOR))

    def roast(self, roast: str) -> tuple[Array, int]:
        """(n_ingredients,) log-odds of a roast against a medium one; cups of that roast.

        Parameters
        ----------
        roast : str
            As in :class:`Coffee`.

        Returns
        -------
        tuple of (numpy.ndarray of shape (n_ingredients,), int)
            Zeros and 0 cups for a roast without a ground colour.
        """
        if roast not in self.colours or PLAIN_ROAST not in self.colours:
            return np.zeros(len(self.ids)), 0
        step = self.colours[roast] - self.colours[PLAIN_ROAST]
        return self.slopes * step * self.strength, self.total if step else 0

    @cached_property
    def _weights(self) -> dict[str, Array]:
        """Aroma group -> (n_words,) how far each word speaks of it."""
        out: dict[str, Array] = {}
        for word, j in self.at.items():
            for group, weight in group_weights(self.notes[word]).items():
                out.setdefault(group, np.zeros(len(self.words)))[j] = weight
        return out

    def usual_groups(self) -> dict[str, float]:
        """Aroma group -> its share in all notes written.

        Returns
        -------
        dict of str to float
            Shares, 0 to 1.
        """
        every = self.counts(ALL)
        total = max(float(every.sum()), 1.0)
        return {g: float(w @ every) / total for g, w in self._weights.items()}

    def groups(self, level: Level) -> dict[str, tuple[float, float]]:
        """Aroma group -> how much more tasters speak of it here than elsewhere, low and high end.

        Ratio of notes found to notes expected, drawn to 1 by GROUP_PRIOR notes; the ends are a
        standard error apart. That a group is named more often is taken for its being louder.

        Parameters
        ----------
        level : tuple of (str, str)
            Factor and level.

        Returns
        -------
        dict of str to tuple of (float, float)
            Ratios; 1 is as often as elsewhere.
        """
        here, every = self.counts(level), self.counts(ALL)
        share = float(here.sum()) / max(float((every - here).sum()), 1.0)
        out = {}
        for group, weight in self._weights.items():
            found, expected = float(weight @ here), float(weight @ (every - here)) * share
            middle = np.log((found + GROUP_PRIOR) / (expected + GROUP_PRIOR))
            width = 1.0 / np.sqrt(found + GROUP_PRIOR)
            out[group] = float(np.exp(middle - width)), float(np.exp(middle + width))
        return out

    def lifted(self, level: Level) -> dict[str, float]:
        """Word -> share of cups here less elsewhere, shrunk, where it is above 0.

        Parameters
        ----------
        level : tuple of (str, str)
            Factor and level.

        Returns
        -------
        dict of str to float
            Differences of shares, 0 to 1; empty for a level that was never tasted.
        """
        n = self.size.get(level, (0, 0))[0]
        if not n:
            return {}
        here, every = self.counts(level), self.counts(ALL)
        value = (here / n - (every - here) / max(self.total - n, 1)) * n / (n + HALF_BELIEVED)
        return {w: float(value[j]) for w, j in self.at.items() if value[j] > 0}

    def lot(self, notes: Sequence[str]) -> dict[str, Movement]:
        """Movement by the notes of one lot.

        An ingredient that the notes name stands first, whether the panel ever named it or not; of
        others, what the panel wrote beside these notes.

        Parameters
        ----------
        notes : sequence of str
            Words of the note lexicon.

        Returns
        -------
        dict of str to Movement
            By ``ingredient_id``, score in log-odds; what is missing is not known from cups.
        """
        direct: dict[str, list[tuple[float, str]]] = {}
        for n in notes:
            for i in self.notes[n].near_ids:
                direct.setdefault(i, []).append((NEAR, n))
            for i in self.notes[n].names_ids:
                direct.setdefault(i, []).append((1.0, n))
        heard = [n for n in notes if n in self.at]
        rows = [self.at[n] for n in heard]
        beside = self.company[rows] * self.strength[None, :]
        both = self.together[rows] @ self.speaks.T
        cups_ = int(self.counts(ALL)[rows].sum())
        out = {}
        for k, i in enumerate(self.ids):
            found = sorted(
                [(v * NAMED, n) for v, n in direct.get(i, ())]
                + [(float(beside[r, k]), n) for r, n in enumerate(heard) if beside[r, k] > 0.1],
                reverse=True,
            )
            if heard or found:
                named = NAMED * max([v for v, _ in direct.get(i, ())], default=0.0)
                score = named + float(beside[:, k].sum())
                names_it = {n for _, n in direct.get(i, ())}
                own = [n for _, n in found if n in names_it]
                words = tuple(dict.fromkeys(own or [n for _, n in found]))
                out[i] = Movement(score, cups_, words, int(both[:, k].sum()), not own)
        for i, said_ in direct.items():
            if i not in out:
                words = tuple(n for _, n in sorted(said_, reverse=True))
                out[i] = Movement(NAMED * max(v for v, _ in said_), 0, words, 0)
        return out


@once_per_catalog
def cups(catalog: Catalog) -> Cups:
    """The counts of a catalogue, put together once.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Cups
    """
    # a catalogue of the same tables reads the pairs: what is kept for one must not keep it alive
    same = Catalog(catalog.folder, catalog.overlay)
    return Cups(
        catalog.cup_notes,
        lambda: same.cup_pairs,
        catalog.notes,
        {o.origin_id: o.region for o in catalog.origins.values()},
        {
            r.level: r.mean
            for r in catalog.cup_scores
            if r.factor == "roast" and r.attribute == "ground colour"
        },
    )


def movement(catalog: Catalog, coffee: Coffee) -> dict[str, Movement]:
    """How far a coffee's cup moves each ingredient from where a plain coffee has it.

    Parameters
    ----------
    catalog : Catalog
    coffee : Coffee
        As from :func:`pairing.aroma.description.describe`. With notes, the notes alone speak.

    Returns
    -------
    dict
        Ingredient id -> :class:`Movement`. An ingredient that is missing is not known from cups:
        tasters never name it, or no such coffee was tasted. A plain coffee moves nothing: empty.
    """
    if coffee.parts and not coffee.notes:
        return _blended([(share, movement(catalog, part)) for share, part in coffee.parts])
    held = cups(catalog)
    found = held.lot(coffee.notes) if coffee.notes else _by_description(held, coffee)
    return {i: m for i, m in found.items() if i in catalog.ingredients}


def _by_description(held: Cups, coffee: Coffee) -> dict[str, Movement]:
    if not held.total or coffee.species != "arabica":
        return {}  # the panel tasted no robusta and no liberica
    parts = [(*held.origin(name), held.quoted(name)) for name in tasted_as(coffee)]
    parts.append((*held.process(coffee.process), [("process", coffee.process)]))
    parts.append((*held.roast(coffee.roast), [("roast", coffee.roast)]))
    value = np.sum([v for v, _, _ in parts], axis=0)
    if not np.any(value):
        return {}
    n, levels = next(((n, k) for _, n, k in parts if n), (0, []))
    here: Counter[str] = Counter()
    for level in levels:
        here.update(held.of.get(level, {}))
    out = {}
    for k, i in enumerate(held.ids):
        words = sorted((w for w in held.speakers[i] if here[w]), key=lambda w: -here[w])
        named = min(sum(here[w] for w in words), n)
        out[i] = Movement(float(value[k]), n, tuple(words), named)
    return out


def tasted_as(coffee: Coffee) -> list[str]:
    """Origins under which cups of a coffee were counted; Gesha was tasted from Panama.

    Parameters
    ----------
    coffee : Coffee

    Returns
    -------
    list of str
        The most telling first.
    """
    if coffee.variety == GESHA:
        other = coffee.origin not in (None, "panama", GESHA_TASTED_AS)
        return [GESHA_TASTED_AS, *([coffee.origin] if other and coffee.origin else [])]
    return [coffee.origin] if coffee.origin else []


def _blended(parts: Sequence[tuple[float, Mapping[str, Movement]]]) -> dict[str, Movement]:
    """Movements of a blend of coffees, each by its share; a part that is silent moves nothing."""
    out = {}
    for i in dict.fromkeys(i for _, found in parts for i in found):
        held = [(share, found[i]) for share, found in parts if i in found]
        words = dict.fromkeys(w for _, m in held for w in m.words)
        out[i] = Movement(
            sum(share * m.score for share, m in held),
            sum(m.n_cups for _, m in held),
            tuple(words),
            sum(m.n_named for _, m in held),
            all(m.beside for _, m in held),
        )
    return out


MORE_WORDS = 5  # of what sets a coffee apart
MOST_OFTEN = 3  # of what is written of most coffees, this one too
LEAST_TIMES = 2  # cups in which a word must stand to be quoted
LEAST_LIFT = 0.3  # log-odds, shrunk, from which a word is said to be written more often


@dataclass(frozen=True, slots=True)
class Said:
    """What a coffee is said to taste of, in tasters' words.

    Attributes
    ----------
    ground : str
        ``notes`` of the bag, ``origin``, ``region`` or ``process`` that was tasted, or ``none``.
    level : str
        The origin, region or process.
    cups, roasters : int
        Cups that were tasted of it, and the roasters they came from.
    more : tuple of (str, int)
        Words written of it more often than of other coffees, with the cups that have them.
    often : tuple of (str, int)
        Further words that are written of it, as of most coffees.
    acidity, body : float or None
        Points of ten, mean of the scored cups; liking is in them as well.
    usual_acidity, usual_body : float or None
        The same of all cups.
    line : str
        All of it in one sentence.
    """

    ground: str
    level: str
    cups: int
    roasters: int
    more: tuple[tuple[str, int], ...]
    often: tuple[tuple[str, int], ...]
    acidity: float | None
    body: float | None
    usual_acidity: float | None
    usual_body: float | None
    line: str


def said(catalog: Catalog, coffee: Coffee) -> Said:
    """What a coffee is said to taste of, and on how many cups that rests.

    Parameters
    ----------
    catalog : Catalog
    coffee : Coffee
        Of a blend the sentence says what is said of each part.

    Returns
    -------
    Said
    """
    held = cups(catalog)
    if coffee.parts and not coffee.notes:
        parts = [said(catalog, part) for _, part in coffee.parts]
        line = " ".join(dict.fromkeys(p.line for p in parts))
        first = replace(parts[0], ground="parts", level="", more=(), often=())
        return replace(first, cups=sum(p.cups for p in parts), line=line)
    levels, ground, level, prefix = _ground(held, catalog, coffee)
    scores = {
        (r.factor, r.attribute): r.mean
        for r in catalog.cup_scores
        if (r.factor, r.level) in (("origin", level), ALL)
    }
    own = ground == "origin"
    n = sum(held.size[k][0] for k in levels)
    more, often = _written(held, levels)
    found = Said(
        ground,
        level,
        n,
        max((held.size[k][1] for k in levels), default=0),
        more,
        often,
        scores.get(("origin", "acidity")) if own else None,
        scores.get(("origin", "body")) if own else None,
        scores.get(("all", "acidity")),
        scores.get(("all", "body")),
        "",
    )
    return replace(found, line=_line(found, coffee, prefix))


def _ground(held: Cups, catalog: Catalog, coffee: Coffee) -> tuple[list[Level], str, str, str]:
    """Levels whose words are quoted, what they are, its name, and how the sentence begins."""
    if coffee.notes:
        return [], "notes", "", ""
    if not held.total:
        return [], "none", "", "No tasters' counts in this data folder"
    if coffee.species != "arabica":
        return [], "none", "", f"No {coffee.species} was tasted"
    for origin in tasted_as(coffee):
        name = "Gesha" if origin == GESHA_TASTED_AS else catalog.origins[origin].name
        if held.size.get(("origin", origin), (0, 0))[0] >= FEWEST_CUPS:
            return [("origin", origin)], "origin", origin, name
        levels = held.quoted(origin)
        if sum(held.size[k][0] for k in levels) >= FEWEST_CUPS:
            region = held.regions[origin].replace("-", " ").title()
            few = held.size.get(("origin", origin), (0, 0))[0]
            few_words = f"{few} cup{'s' if few > 1 else ''} of {name}" if few else ""
            start = f"Only {few_words} tasted" if few else f"No cup of {name} was tasted"
            return levels, "region", held.regions[origin], f"{start}; {region}"
        return [], "none", origin, f"No cup of {name} was tasted"
    key: Level = ("process", coffee.process)
    if coffee.process != PLAIN_PROCESS and held.size.get(key, (0, 0))[0] >= FEWEST_CUPS:
        return [key], "process", coffee.process, coffee.process.capitalize() + " coffees"
    return [], "none", "", "No origin is named"


def _written(
    held: Cups, levels: Sequence[Level]
) -> tuple[tuple[tuple[str, int], ...], tuple[tuple[str, int], ...]]:
    """Words written more often than elsewhere, and the commonest of the others."""
    if not levels:
        return (), ()
    here = np.sum([held.counts(k) for k in levels], axis=0)
    n = sum(held.size[k][0] for k in levels)
    every = held.counts(ALL)
    value, variance = _odds(here, n, every - here, held.total - n)
    lift = np.where(here >= LEAST_TIMES, _shrunk(value, variance), 0.0)
    sure = np.where(lift >= LEAST_LIFT, value / np.sqrt(variance), 0.0)
    more = [int(j) for j in np.argsort(-sure, kind="stable")[:MORE_WORDS] if sure[j] > 0]
    often = [
        int(j) for j in np.argsort(-here, kind="stable") if j not in more and here[j] >= n / 10
    ]
    return (
        tuple((held.words[j], int(here[j])) for j in more),
        tuple((held.words[j], int(here[j])) for j in often[:MOST_OFTEN]),
    )


def _line(found: Said, coffee: Coffee, start: str) -> str:
    """One sentence of what is said of a coffee."""
    idle = f" Nothing is known here of {' and '.join(coffee.idle)}." if coffee.idle else ""
    if found.ground == "notes":
        origin = (
            " Its origin is set aside: of one lot it tells little beside the lot's own notes."
            if coffee.origin
            else ""
        )
        return f"Its own notes: {', '.join(coffee.notes)}.{origin}{idle}"
    if not found.cups:
        return f"{start}: answered by its roast and like a plain coffee.{idle}"
    words = ", ".join(f"{w} ({k})" for w, k in found.more)
    told = f"{start}, {found.cups} cups tasted: "
    told += f"more than of others {words}" if words else "much like others"
    lot = "; one lot may differ, give its notes" if found.ground == "origin" else ""
    return f"{told}{lot}.{idle}"
