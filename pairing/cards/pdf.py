"""A card as PDF, set by the extra ``pdf``: fonts inside, no system library, no network.

Every text reaches the typesetter as a JSON value, never as markup, so that a user's own text is
inert there too.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pairing.cards import batch
from pairing.cards.card import SLOW_HANDS, Card
from pairing.cards.svg import printed
from pairing.errors import CONTROL, PairingError

__all__ = ["PAPERS", "card_pdf"]

PAPERS = {"a5": "a5", "a4": "a4", "letter": "us-letter"}  # ISO 216; ANSI Y14.1
TEMPLATE = Path(__file__).with_name("card.typ")
INSTALL = 'a PDF needs the extra pdf: python -m pip install "coffee-syrup-pairing[pdf]"'


def card_pdf(made: Card, paper: str = "a5") -> bytes:
    """A card as PDF.

    Parameters
    ----------
    made : Card
    paper : str
        One of :data:`PAPERS`.

    Returns
    -------
    bytes
        Complete in itself.

    Raises
    ------
    PairingError
        For an unknown paper, and where the extra is not installed, with its install line.
    """
    if paper not in PAPERS:
        raise PairingError(f"unknown paper {paper!r}; one of {', '.join(PAPERS)}")
    try:
        import typst
    except ModuleNotFoundError as gone:
        raise PairingError(INSTALL) from gone
    said = json.dumps(_clean(_data(made, PAPERS[paper])), ensure_ascii=False)
    pdf: bytes = typst.compile(TEMPLATE.read_bytes(), sys_inputs={"card": said})
    return pdf


def _data(made: Card, paper: str) -> dict[str, Any]:
    sheet = None
    if made.sheet is not None:
        rows = [(w["what"], f"{batch.grams(w['target_g'])} g") for w in made.sheet["weighed"]]
        checks = [(c["step"], c["target"]) for c in made.sheet["checks"]]
        sheet = {
            "head": batch.sheet_title(made.sheet),
            "blanks": batch.blanks(made.sheet),
            "rows": [*rows, *checks],
            "off": batch.OFF,
        }
    return {
        "paper": paper,
        "title": made.title,
        "words": made.words,
        "stops": made.stops,
        "allergens": made.allergens,
        "weigh": made.weigh,
        "sizes": [made.sizes.columns, *made.sizes.rows] if len(made.sizes.columns) > 2 else [],
        "slow_hands": SLOW_HANDS,
        "steps": [{"text": text, "chips": chips} for text, chips in made.steps],
        "glass_steps": [text for text, _ in made.glass_steps],
        "drawn": [printed(svg) for svg in made.drawn],
        "keeping": made.keeping,
        "cares": made.cares,
        "sources": ", ".join(made.sources),
        "sheet": sheet,
    }


def _clean(part: Any) -> Any:
    """No control characters and none that turn the writing; the rest stays as it is."""
    if isinstance(part, dict):
        return {k: _clean(v) for k, v in part.items()}
    if isinstance(part, (list, tuple)):
        return [_clean(v) for v in part]
    return CONTROL.sub(" ", part) if isinstance(part, str) else part
