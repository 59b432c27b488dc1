"""Words of kitchens in nine languages: forms, shared names, look-alikes."""

from __future__ import annotations

from pairing.evidence.spelling import LINK_WORDS, normalise

# Words too common to suggest a name by; form words are too.
_COMMON = (
    "black white red green pink blue yellow brown golden sweet bitter sour wild common "
    "true false long small large old new hot cold light dark japanese chinese indian thai "
    "african american persian english french italian mexican water tea oil sugar salt nut "
    "pepper flower milk cream sauce powder extract food drink syrup"
)
COMMON_WORDS = frozenset(normalise(w) for w in _COMMON.split())


# Names of places and people keep their capital within a sentence: Ceylon cinnamon.
_PROPER = frozenset(
    {
        *("Ashanti", "Buddha's", "Ceylon", "Demerara", "Indonesian", "Lapsang", "Meyer", "Persian"),
        *("Roman", "Saigon", "Selim", "Seville", "Siam", "Sichuan", "Tahitian", "Thai", "Timur"),
    }
)


def within(name: str) -> str:
    """A name as it stands within a sentence: ``Green cardamom`` is ``green cardamom``.

    Parameters
    ----------
    name : str

    Returns
    -------
    str
        Names of places and people, and abbreviations, keep their capitals.
    """
    return " ".join(
        w if w.strip("(),.") in _PROPER or w[1:2].isupper() else w.lower() for w in name.split(" ")
    )


def is_telling(token: str) -> bool:
    """Whether a word says which ingredient is meant, not its form, colour or a small word."""
    return (
        len(token) > 3
        and token not in FORM_WORDS
        and token not in COMMON_WORDS
        and token not in LINK_WORDS
    )


# Words that name a form rather than an ingredient, in the languages of kitchens (common practice,
# no source): the sense, and the words for it.
_FORM_VOCABULARY: dict[str, str] = {
    "slice": "slice sliced wheel wedge tranche tranches rondelle rondelles rodaja rebanada fetta "
    "fette fettina fettine rotella scheibe scheiben fatia rodela wagiri",
    "peel": "peel rind skin husk ecorce ecorces pelure peau cascara piel corteza scorza scorze "
    "buccia bucce schale schalen casca chilka chhilka qishr kawa",
    "zest": "zest zested zeste zesten abrieb ralladura raspadura raspa raspas grattugiata "
    "scorzetta hyouhi",
    "juice": "juice juiced jus jugo zumo succo saft suco sumo ras aseer asir juusu kajuu",
    "leaf": "leaf feuille hoja foglia foglie blatt blatter blaetter folha patta patti waraq",
    "flower": "flower petal blossom fleur flor fiore fiori blute bluten bluete blueten phool zahr",
    "whole": "whole entier entiere entero entera intero intera ganz ganze ganzer inteiro inteira "
    "sabut",
    "part": "pod stick quill seed kernel berry bud bean grain gousse gousses baton graine grano "
    "vaina rama palo semilla stecca stecche baccello bacca seme semi stange stangen schote "
    "schoten kapsel kapseln samen kern kerne beere beeren korn korner vagem pau semente baga",
    "bark": "bark rinde",
    "root": "root rhizome racine raiz radice wurzel",
    "sprig": "sprig stalk stem branche ramita rametto zweig ramo",
    "cracked": "cracked crushed bruised flake concasse machacado pestato gestossen esmagado",
    "ground": "ground powder powdered moulu moulue poudre molido molida polvo macinato macinata "
    "polvere gemahlen gemahlene gemahlener pulver moido moida po pisa pisi mathun kona paudaa",
    "fresh": "fresh frais fraiche fresco fresca frisch frische frischer taza tazij nama",
    "dried": "dried dry seche sechee seco seca secco secca essiccato essiccata getrocknet "
    "getrocknete getrockneter sukha sukhi mujaffaf yabis hoshi kanso",
    "roasted": "roasted toasted grille grillee torrefie torrefiee tostado tostada tostato tostata "
    "gerostet gerostete geroestet torrado torrada bhuna muhammas",
    "raw": "raw cru crue crudo cruda roh",
    "syrup": "syrup sirop jarabe sciroppo sirup xarope shiroppu",
}
FORM_WORDS: dict[str, str] = {
    normalise(word): sense for sense, words in _FORM_VOCABULARY.items() for word in words.split()
}

# Forms that are the juice, peel or fruit of another row put to another use: same aroma.
OTHER_USES = frozenset({"juice-for-water", "sugared"})

# The forms a sense may mean (best first), and the kinds of ingredient for which the forms after
# the first may stand in: the flower of a bay is not its leaf.
SENSES: dict[str, tuple[tuple[str, ...], frozenset[str]]] = {
    "slice": (("slice",), frozenset()),
    "peel": (("peel", "zest", "dried"), frozenset({"citrus"})),
    "zest": (("zest", "peel"), frozenset({"citrus"})),
    "juice": (("juice",), frozenset()),
    "leaf": (("leaf", "fresh", "dried"), frozenset({"herb"})),
    "flower": (("flower", "fresh", "dried"), frozenset({"flower"})),
    "whole": (("whole", "cracked", "dried"), frozenset({"spice", "nut", "seed", "root"})),
    "part": (
        ("whole", "cracked", "dried", "roasted", "raw"),
        frozenset({"spice", "seed", "nut", "root"}),
    ),
    "bark": (("whole", "cracked", "dried"), frozenset({"spice", "wood", "root"})),
    "root": (("dried", "fresh"), frozenset({"root"})),
    "sprig": (("fresh", "dried"), frozenset({"herb"})),
    "cracked": (("cracked", "whole"), frozenset({"spice", "seed"})),
    "ground": (("ground",), frozenset()),
    "fresh": (("fresh", "flower", "slice", "peel", "zest", "juice"), frozenset({"citrus"})),
    "dried": (
        ("dried", "whole", "cracked", "leaf"),
        frozenset({"spice", "flower", "herb", "root", "tea"}),
    ),
    "roasted": (("roasted",), frozenset()),
    "raw": (("raw",), frozenset()),
    "syrup": (("syrup",), frozenset()),
}
# German joins the form to the name: Orangenschale, Zitronensaft, Zimtstange.
_JOINED = (
    "schalen schale saft zesten abrieb scheiben scheibe pulver stangen stange schoten schote "
    "kapseln samen blatter blaetter blatt wurzel sirup bluten blute"
)

# French citron is a lemon, English citron is not: a French form word settles it.
FRENCH_CITRON = {
    "jus": "lemon-juice",
    "zeste": "lemon-zest",
    "ecorce": "lemon-peel",
    "tranche": "lemon",
    "tranch": "lemon",
    "rondelle": "lemon",
    "feuille": "lemon-leaf",
}


def unjoin(token: str) -> tuple[str, str] | None:
    """Stem and form word of a joined German name, or None."""
    for word in _JOINED.split():
        if token.endswith(word) and len(token) > len(word) + 3:
            return token.removesuffix(word), normalise(word)
    return None
