"""``pairing page``: serve the page to this machine."""

from __future__ import annotations

import socket
from pathlib import Path

import click

from pairing.cli.options import open_bar, pantry_option
from pairing.errors import PairingError, quoted

__all__ = ["page"]

MISSING = 'the page needs starlette and uvicorn: pip install "coffee-syrup-pairing[page]"'
LOOPBACK = ("127.0.0.1", "localhost", "::1")


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
    r"""A page for the counter: choose a coffee, see the shelves, open a formula, a drink, a card.

    The calculator, the pantry and trials are there too. It works without a network. It keeps
    nothing but the plans, sheets and ballots of trials, in the working folder, when you say so.
    Stop it with Ctrl-C.

    \b
    Example:
      pairing page --port 8437
    """  # fmt: skip
    try:
        import uvicorn

        from pairing.page.application import application
    except ModuleNotFoundError as err:
        if err.name is None or not err.name.startswith(("uvicorn", "starlette")):
            raise
        raise PairingError(MISSING) from None
    market = click.get_current_context().meta.get("pairing.market", "")
    open_bar(pantry, data_folder, market)  # a pantry that is wrong is said before anything opens
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        listening = socket.create_server((host, port), family=family)
    except OSError as err:
        raise PairingError(
            f"cannot listen at {quoted(host)}, port {port}: {err.strerror or err}; is it open "
            "already, or the address another machine's?"
        ) from None
    shown = f"[{host}]" if ":" in host else host
    home = f"http://{shown}:{port}"
    if host not in LOOPBACK:
        click.echo("pairing: anyone on this network can open the page", err=True)
    app = application(
        lambda said: open_bar(pantry, data_folder, said or market),
        Path.cwd(),
        open_to_network=host not in LOOPBACK,
    )
    click.echo(f"{home} - stop with Ctrl-C", err=True)
    settings = uvicorn.Config(app, log_level="warning", server_header=False)
    with listening:
        uvicorn.Server(settings).run(sockets=[listening])
