"""``pairing page``: the documents of the commands behind plain forms, on this machine."""

from __future__ import annotations

from pathlib import Path

import click

from pairing.cli.options import pantry_option
from pairing.errors import PairingError
from pairing.lab import open_lab

__all__ = ["page"]

MISSING = 'the page needs starlette and uvicorn: pip install "coffee-syrup-pairing[page]"'


@click.command()
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    metavar="ADDRESS",
    help="Where it listens; another address shows it to the whole network.",
)
@click.option(
    "--port",
    type=click.IntRange(1024, 65535),
    default=8437,
    show_default=True,
    help="Where on this machine it listens.",
)
@pantry_option
def page(host: str, port: int, pantry: Path | None, data_folder: Path | None) -> None:
    """A page for the counter: choose a coffee, see the shelves, open a formula, a drink, a card.

    It reads only, keeps nothing and works without a network. Stop it with Ctrl-C.

    \b
    Example:
      pairing page --port 8437
    """  # fmt: skip
    try:
        import uvicorn

        from pairing.cli.counter import application
    except ModuleNotFoundError as err:
        if err.name is None or not err.name.startswith(("uvicorn", "starlette")):
            raise
        raise PairingError(MISSING) from None
    lab = open_lab(pantry, data_folder, here=True)
    if host not in ("127.0.0.1", "localhost", "::1"):
        click.echo("pairing: anyone on this network can open the page", err=True)
    click.echo(f"http://{host}:{port} - stop with Ctrl-C", err=True)
    uvicorn.run(application(lab), host=host, port=port, log_level="warning")
