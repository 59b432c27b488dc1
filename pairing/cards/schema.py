"""The JSON Schema of every document, shipped as files and put together with the shared words."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

from pairing.cards.report import SCHEMA_VERSION
from pairing.errors import UnknownNameError

__all__ = ["names", "schema"]

FOLDER = files("pairing.cards").joinpath("schemas")
WORDS = "vocabulary"


@cache
def names() -> tuple[str, ...]:
    """Names of the documents that have a schema."""
    found = (f.name.removesuffix(".json") for f in FOLDER.iterdir() if f.name.endswith(".json"))
    return tuple(sorted(n for n in found if n != WORDS))


def _read(name: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(FOLDER.joinpath(f"{name}.json").read_text("utf-8"))
    return read


def schema(name: str) -> dict[str, Any]:
    """The schema of one document, complete in itself.

    Parameters
    ----------
    name : str
        One of :func:`names`.

    Returns
    -------
    dict
        JSON Schema, draft 2020-12; the shared words it uses are in its ``$defs``.

    Raises
    ------
    UnknownNameError
        For a document that has none.
    """
    if name not in names():
        from difflib import get_close_matches

        raise UnknownNameError("document", name, get_close_matches(name, names(), 3) or names())
    own, words = _read(name), _read(WORDS)["$defs"]
    wanted, used = [own], {}
    while wanted:
        for ref in _refs(wanted.pop()):
            if ref not in used:
                used[ref] = words[ref]
                wanted.append(words[ref])
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": own["title"],
        "description": own["description"],
        "type": "object",
        "properties": {
            "document": {"const": name},
            "schema_version": {"const": SCHEMA_VERSION},
            "command": {"type": "string"},
            **own["properties"],
        },
        "required": ["document", "schema_version", "command", *own["required"]],
        "additionalProperties": False,
    }
    return {**head, "$defs": dict(sorted(used.items()))} if used else head


def _refs(part: Any) -> list[str]:
    if isinstance(part, dict):
        here = [str(part["$ref"]).rpartition("/")[2]] if "$ref" in part else []
        return here + [r for v in part.values() for r in _refs(v)]
    return [r for v in part for r in _refs(v)] if isinstance(part, list) else []
