"""``pairing schema``: the JSON Schema of a document."""

from __future__ import annotations

import json

import click

from pairing.cards.report import emit

__all__ = ["schema"]


@click.command()
@click.argument("name", required=False)
def schema(name: str | None) -> None:
    """JSON Schema of a document that `--format json` prints; without NAME, the documents there are.

    A document says its name and schema_version. A version stays as it is once it was released.

    \b
    Examples:
      pairing schema
      pairing schema formula
    """
    from pairing.cards import schema as schemas

    if name is None:
        emit("\n".join(schemas.names()) + "\n", "table")
    else:
        emit(json.dumps(schemas.schema(name), ensure_ascii=False, indent=2) + "\n", "json")
