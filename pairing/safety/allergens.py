"""Allergens, with three answers: contains, none per a stated specification, NOT KNOWN.

An own ingredient or sweetener of a bar is NOT KNOWN until the bar declares its allergens (an
empty list counts, with a specification). Whatever is declared, the plant it is and the words of
its name count too. Of a shipped plant that is no listed allergen nothing is claimed but one line
on the supplier and on cross-contact.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.poison_names import fold
from pairing.evidence.rows import Extra
from pairing.evidence.safety_rows import Allergen, AllergenKind
from pairing.safety.amounts import Portion
from pairing.safety.bought import BOUGHT
from pairing.safety.findings import Finding
from pairing.safety.plants import called, identity

__all__ = [
    "LEGAL",
    "SUPPLIER",
    "allergen_findings",
    "allergen_names_of",
    "allergens_for",
    "held_in_name",
    "is_unstated",
    "legal_words",
    "sulphites_open",
    "unknown_allergens",
]

LEGAL = {"EU14": "EU and UK", "US9": "US"}
SUPPLIER = (
    "No named ingredient is a listed allergen by nature: supplier specifications and what else "
    "your kitchen handles decide."
)


class _Phrases(NamedTuple):
    whole: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[str, ...]]]
    begins: dict[str, tuple[tuple[str, ...], tuple[str, ...]]]
    longest: int


@once_per_catalog
def _phrases(catalog: Catalog) -> _Phrases:
    whole: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[str, ...]]] = {}
    begins: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {}
    for row in catalog.safety.allergen_names:
        held = (row.contains, row.may_contain)
        if row.phrase.endswith("*"):
            begins[fold(row.phrase[:-1])] = held
        words = tuple(w for w in fold(row.phrase.rstrip("*")).split("-") if w)
        whole.setdefault(words, held)
    return _Phrases(whole, begins, max(map(len, whole)))


def held_in_name(catalog: Catalog, names: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Allergen keys that the whole words of names mean, and those usual beside them.

    Parameters
    ----------
    catalog : Catalog
    names : iterable of str
        In any language of the catalogue.

    Returns
    -------
    (contains, may contain) : tuples of str
        Keys of ``allergen_kinds.csv``. The longest phrase counts: coconut milk holds no milk.
    """
    known = _phrases(catalog)
    contains: dict[str, None] = {}
    may: dict[str, None] = {}
    for name in names:
        words = [w for w in fold(name).split("-") if w]
        i = 0
        while i < len(words):
            for length in range(min(known.longest, len(words) - i), 0, -1):
                held = known.whole.get(tuple(words[i : i + length]))
                if held is None and length == 1:
                    held = next(
                        (h for b, h in known.begins.items() if words[i].startswith(b)), None
                    )
                if held is not None:
                    contains |= dict.fromkeys(held[0])
                    may |= dict.fromkeys(held[1])
                    i += length - 1
                    break
            i += 1
    return tuple(contains), tuple(k for k in may if k not in contains)


def allergens_for(catalog: Catalog, name: str) -> tuple[Allergen, ...]:
    """Allergen rows of a shipped ingredient, a milk or a subject, legal lists first.

    Parameters
    ----------
    catalog : Catalog
    name : str
        Its id.

    Returns
    -------
    tuple of Allergen
        Empty where the table has no row: not known to hold one, never free of it.
    """
    rows = [a for a in catalog.safety.allergens if name and a.ingredient_id == name]
    return tuple(sorted(rows, key=lambda a: "cross-reaction" in a.lists))


def allergen_findings(
    catalog: Catalog, used: Sequence[Portion], milk: str = "", unsulphured: bool | None = None
) -> list[Finding]:
    """What is known, and what is not, of the allergens of everything that goes in.

    Parameters
    ----------
    catalog : Catalog
    used : sequence of Portion
    milk : str
        Milk of the drink.
    unsulphured : bool, optional
        Whether the supplier states that dried fruit and molasses are unsulphured; None when
        nobody has asked.

    Returns
    -------
    list of Finding
        Codes ``allergen-unknown``, ``allergen``, ``allergen-maybe``, ``allergen-stated``,
        ``supplier``.
    """
    found: dict[tuple[str, str], Finding] = {}
    for p in used:
        for ident in p.ids:
            for a in allergens_for(catalog, ident):
                _add(
                    catalog, found, p.ingredient_id, a.allergen, a.word, a.lists, a.source_id, ident
                )
        if p.own:
            _own(catalog, found, p)
        if p.kind == BOUGHT and p.ingredient_id in catalog.extras:
            _of_extra(catalog, found, catalog.extras[p.ingredient_id])
    if milk:
        for a in allergens_for(catalog, milk):
            _add(catalog, found, milk, a.allergen, a.word, a.lists, a.source_id, milk)
    _sulphites(catalog, found, used, unsulphured)
    if used and not any(
        f.code in ("allergen-unknown",) or set(f.lists) & set(LEGAL) for f in found.values()
    ):
        found[("", "supplier")] = Finding(
            "note", "supplier", "allergens", basis="status", text=SUPPLIER
        )
    return list(found.values())


def _of_extra(catalog: Catalog, found: dict[tuple[str, str], Finding], row: Extra) -> None:
    """A spirit, foam or powder: what its table row says, and what only its label does."""
    for key in row.allergens:
        k = catalog.safety.allergen_kinds[key]
        _add(catalog, found, row.extra_id, k.allergen, k.word, k.lists, k.source_id, "")
    if not row.allergens_known:
        text = f"{'Other allergens' if row.allergens else 'Allergens'} NOT KNOWN for "
        text += f"{row.name.lower()}: makers differ"
        found[(row.extra_id, "allergen-unknown")] = Finding(
            "limit", "allergen-unknown", row.extra_id, basis="status",
            who="people with any allergy", text=f"{text}, read its label.",
        )  # fmt: skip


def _own(catalog: Catalog, found: dict[tuple[str, str], Finding], p: Portion) -> None:
    known = identity(catalog, p.ingredient_id)
    labels = [f.label for f in catalog.forms_of.get(p.ingredient_id, ())]
    contains, may = held_in_name(catalog, (*known.names, *labels))
    stated = catalog.safety.stated.get(p.ingredient_id)
    kinds = catalog.safety.allergen_kinds
    keys = dict.fromkeys([*(stated.allergens if stated else ()), *contains])
    for key in keys:
        k = kinds[key]
        _add(catalog, found, p.ingredient_id, k.allergen, k.word, k.lists, k.source_id, "")
    name = called(catalog, p.ingredient_id)
    have = {f.words[0] for (i, _), f in found.items() if i == p.ingredient_id and f.words}
    if stated is None:
        text = f"Allergens NOT KNOWN for {name}: ask the supplier before you serve or label it"
        _say(found, p, "allergen-unknown", "limit", may, kinds, text)
    elif have - {kinds[k].word for k in stated.allergens} or (may and not stated.specification):
        text = f"{_first_up(name)}: its name says more than the bar states; read its papers"
        _say(found, p, "allergen-maybe", "caution", may, kinds, text)
    elif not have:
        text = f"{_first_up(name)}: none of the listed allergens, per {stated.specification}."
        found[(p.ingredient_id, "stated")] = Finding(
            "note", "allergen-stated", p.ingredient_id, basis="status", text=text
        )


def _first_up(name: str) -> str:
    return name[:1].upper() + name[1:]


def _say(
    found: dict[tuple[str, str], Finding],
    p: Portion,
    code: str,
    level: str,
    may: Sequence[str],
    kinds: dict[str, AllergenKind],
    text: str,
) -> None:
    usual = ", ".join(kinds[k].word for k in may)
    text += f" (usual in it: {usual})." if usual else "."
    found[(p.ingredient_id, code)] = Finding(
        level, code, p.ingredient_id, basis="status", who="people with any allergy", text=text
    )


def _add(
    catalog: Catalog,
    found: dict[tuple[str, str], Finding],
    subject: str,
    allergen: str,
    word: str,
    lists: Sequence[str],
    source_id: str,
    ident: str,
) -> None:
    legal = [x for x in lists if x in LEGAL]
    if legal:
        where = " and the ".join(LEGAL[x] for x in legal)
        text = f"Contains {word.upper()}, an allergen to declare in the {where}."
    else:
        text = (
            f"{_first_up(called(catalog, subject))}: {word}; on no EU or US list, warn guests "
            "with that allergy."
        )
    found.setdefault(
        (subject, word),
        Finding(
            "limit" if legal else "caution",
            "allergen",
            subject,
            jurisdiction=" and ".join(LEGAL[x] for x in legal),
            basis="status",
            who=f"people with {word} allergy" if legal else "people with that allergy",
            text=text,
            source_ids=(source_id,),
            row_id=f"{allergen}:{ident or subject}",
            words=(word,),
            lists=tuple(lists),
        ),
    )


_OPEN = "sulphites:open"


def sulphites_open(findings: Iterable[Finding]) -> bool:
    """Whether something may be sulphured and nobody has asked.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    bool
    """
    return any(f.row_id == _OPEN for f in findings)


def _sulphites(
    catalog: Catalog,
    found: dict[tuple[str, str], Finding],
    used: Sequence[Portion],
    unsulphured: bool | None,
) -> None:
    """Dried fruit, dried peel and molasses may be sulphured: asked, never assumed."""
    rows = catalog.safety.constituents
    may = [
        p
        for p in used
        if any(
            r.substance == "sulphur-dioxide" and r.form in ("", p.form)
            for i in p.ids
            for r in rows.get(i, ())
        )
    ]
    if not may or unsulphured:
        return
    names = " and ".join(dict.fromkeys(called(catalog, p.ingredient_id) for p in may))
    subject = may[0].ingredient_id
    if unsulphured is None:
        text = (
            f"SULPHITES not known in {names}: ask whether it is unsulphured; from 10 mg/kg in the "
            "drink they are declared (EU, UK, US)."
        )
        found[(subject, "sulphites-open")] = Finding(
            "caution", "allergen-maybe", subject, basis="status",
            who="people sensitive to sulphites", text=text, row_id=_OPEN,
        )  # fmt: skip
    else:
        _add(catalog, found, subject, "sulphites", "sulphites", ("EU14",), "eu-1169-2011", subject)


def is_unstated(catalog: Catalog, ingredient_id: str) -> bool:
    """Whether it is a bar's own and nobody has stated its allergens.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str

    Returns
    -------
    bool
    """
    return identity(catalog, ingredient_id).own and ingredient_id not in catalog.safety.stated


def allergen_names_of(catalog: Catalog, ingredient_id: str) -> tuple[str, ...]:
    """Normalised names of the allergens that one ingredient holds: group and word.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str

    Returns
    -------
    tuple of str
        Sorted; empty also where nobody stated its allergens, see :func:`is_unstated`.
    """
    known = identity(catalog, ingredient_id)
    used = Portion(ingredient_id, "", 0.0, "", known.plants, None, known.own)
    found = allergen_findings(catalog, [used])
    held = [f for f in found if f.code == "allergen"]
    names = {f.row_id.partition(":")[0] for f in held} | {w for f in held for w in f.words}
    names |= {"sulphites"} if sulphites_open(found) else set()
    return tuple(sorted(fold(n) for n in names))


def legal_words(
    findings: Iterable[Finding], subject: str = "", market: str = ""
) -> tuple[str, ...]:
    """Words that declare the allergens found, of one ingredient or of all.

    Parameters
    ----------
    findings : iterable of Finding
    subject : str
        Id of an ingredient or milk; all when empty.
    market : str
        ``us`` for the US list, ``eu`` or ``uk`` for the EU list, both when empty.

    Returns
    -------
    tuple of str
        In the order of the findings, each once.
    """
    lists = {"us": {"US9"}, "eu": {"EU14"}, "uk": {"EU14"}}.get(market, set(LEGAL))
    return tuple(
        dict.fromkeys(
            w
            for f in findings
            if f.code == "allergen" and subject in ("", f.subject) and lists & set(f.lists)
            for w in f.words
        )
    )


def unknown_allergens(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Ids of ingredients whose allergens nobody has stated.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    tuple of str
        In the order of the findings, each once.
    """
    return tuple(dict.fromkeys(f.subject for f in findings if f.code == "allergen-unknown"))
