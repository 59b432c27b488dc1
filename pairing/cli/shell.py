"""``pairing completion`` and ``pairing help``, and the names that the Tab key completes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import click
from click.shell_completion import CompletionItem, get_completion_class

from pairing.errors import PairingError, quoted

if TYPE_CHECKING:
    from pairing.evidence.catalog import Catalog

__all__ = ["INGREDIENTS", "completion", "help_", "names_of"]

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]
VARIABLE = "_PAIRING_COMPLETE"
WHERE = {
    "bash": 'Put this line into ~/.bashrc:\n  eval "$(pairing completion bash --script)"',
    "zsh": 'Put this line into ~/.zshrc:\n  eval "$(pairing completion zsh --script)"',
    "fish": "Run once:\n  pairing completion fish --script"
    " > ~/.config/fish/completions/pairing.fish",
}


def names_of(pick: Callable[[Catalog], Iterable[str]]) -> Complete:
    """What the Tab key offers for an option or argument.

    Parameters
    ----------
    pick : callable
        Takes the shipped catalogue, gives the names.

    Returns
    -------
    callable
        For the ``shell_complete`` of a click parameter.
    """

    def complete(
        _ctx: click.Context, _param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        from pairing.evidence.catalog import load

        found = sorted(n for n in pick(load()) if n.startswith(incomplete.lower()))
        return [CompletionItem(n) for n in found]

    return complete


INGREDIENTS = names_of(lambda catalog: catalog.forms)


@click.command()
@click.argument("shell", type=click.Choice(sorted(WHERE)))
@click.option("--script", is_flag=True, help="The script itself, for the shell to read.")
def completion(shell: str, script: bool) -> None:
    """How to have commands, options and names completed by the Tab key.

    \b
    Example:
      pairing completion bash
    """
    if not script:
        click.echo(WHERE[shell])
        return
    from pairing.cli import cli

    made = get_completion_class(shell)
    assert made is not None  # click knows bash, fish and zsh
    click.echo(made(cli, {}, "pairing", VARIABLE).source())


@click.command("help")
@click.argument("command", nargs=-1)
@click.pass_context
def help_(ctx: click.Context, command: tuple[str, ...]) -> None:
    """Show the help of a command, such as `pairing help suggest`.

    \b
    Example:
      pairing help ratio
    """
    from pairing.cli import cli

    parent = ctx.parent
    assert parent is not None  # help is called below `pairing`
    here: click.Command = cli
    for word in command:
        inner = here.get_command(parent, word) if isinstance(here, click.Group) else None
        if inner is None:
            raise PairingError(f"no command {quoted(word)}; `pairing --help` lists them")
        parent, here = click.Context(inner, info_name=word, parent=parent), inner
    click.echo(here.get_help(parent))
