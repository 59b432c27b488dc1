"""The command line: parse, call one library function, print one card.

Commands are imported when called, so that ``pairing ratio`` does not pay for ``pairing graph``.
"""

from __future__ import annotations

import gc
import itertools
import os
import sys
import traceback
from importlib import import_module

import click

from pairing.errors import CONTROL, NothingFoundError, PairingError, RefusedError, quoted

__all__ = ["BAD_INPUT", "FAULT", "MUST_NOT_BE_SERVED", "NOTHING_FOUND", "cli", "console", "main"]

NOTHING_FOUND = 1
BAD_INPUT = 2
MUST_NOT_BE_SERVED = 3
FAULT = 70  # of the program itself; EX_SOFTWARE of sysexits.h
STOPPED = 130  # by the user; 128 + SIGINT

COMMANDS = {
    "list": "pairing.cli.look:list_",
    "show": "pairing.cli.look:show",
    "suggest": "pairing.cli.pair:suggest",
    "check": "pairing.cli.pair:check",
    "instead": "pairing.cli.pair:instead",
    "formula": "pairing.cli.make:formula",
    "ratio": "pairing.cli.ratio:ratio",
    "drink": "pairing.cli.glass:drink",
    "label": "pairing.cli.label:label",
    "papers": "pairing.cli.papers:papers",
    "kitchen-rules": "pairing.cli.papers:kitchen_rules",
    "card": "pairing.cli.card:card",
    "compare": "pairing.cli.compare:compare",
    "report": "pairing.cli.report:report",
    "page": "pairing.page.command:page",
    "pantry": "pairing.cli.pantry:pantry_",
    "trials": "pairing.cli.trials:trials",
    "journal": "pairing.cli.journal:journal",
    "graph": "pairing.cli.graph:graph",
    "sources": "pairing.cli.look:sources",
    "score": "pairing.cli.pair:score",
    "validate": "pairing.cli.pair:validate",
    "schema": "pairing.cli.schema:schema",
    "completion": "pairing.cli.shell:completion",
    "help": "pairing.cli.shell:help_",
}

SHORT = {
    "list": "What the catalogue holds.",
    "show": "What is known of one ingredient, coffee or compound.",
    "suggest": "Ranked blends for a coffee, with reasons.",
    "check": "Does this ingredient suit this coffee?",
    "instead": "What does the same job as an ingredient.",
    "formula": "A trial syrup: what to weigh, do and expect.",
    "ratio": "The syrup calculator alone.",
    "drink": "The syrup in a glass: fit, chill, balance, pour.",
    "label": "A draft label for the bottle.",
    "papers": "Allergen matrix, batch sheet, guest card, lots.",
    "kitchen-rules": "House rules for the wall.",
    "card": "A card of a syrup: for the wall, or to share.",
    "compare": "What differs between two kept things.",
    "report": "A page for the brainstorm of a menu.",
    "page": "A page for the counter, on this machine.",
    "pantry": "What your shelf holds, and what it lacks.",
    "journal": "Batches, tastings and lots: your own notebook.",
    "trials": "Formulas to taste blind: plan, sheets, reading, the next.",
    "graph": "The aroma graph: paths, likeness, families.",
    "sources": "Where the numbers come from, and their audit.",
    "score": "Score a CSV file of blends or pairs.",
    "validate": "The score card of the affinity.",
    "schema": "JSON Schema of the documents for programs.",
    "completion": "Names completed by the Tab key of your shell.",
    "help": "The help of a command.",
}


class Commands(click.Group):
    """A group that imports a command when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        """Import one command."""
        if name not in COMMANDS:
            return None
        module, attribute = COMMANDS[name].split(":")
        command = getattr(import_module(module), attribute)
        assert isinstance(command, click.Command)
        command.short_help = SHORT[name]
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Answer an unknown command with the nearest known ones."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, 2)
            hint = f"; did you mean {' or '.join(near)}?" if near else ""
            raise click.UsageError(f"no command {quoted(args[0])}{hint}", ctx)
        return super().resolve_command(ctx, args)


GREETING = """\
pairing: from a coffee to a spice and citrus syrup: what goes with it and why,
what to weigh, how it keeps, the drink, and what to watch.

Try:
  pairing suggest --coffee "washed burundi light espresso"
  pairing check green-cardamom --coffee "washed burundi light espresso"
  pairing formula mandarin green-cardamom black-pepper --yield-g 500

All commands: pairing --help. One of them: pairing help suggest.
"""


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(
    None, "-V", "--version", package_name="coffee-syrup-pairing", prog_name="pairing"
)
@click.pass_context
def cli(ctx: click.Context) -> None:
    """From a coffee to a trial syrup: pairings with reasons, doses, batch arithmetic, cautions.

    \b
    Start here:
      pairing suggest --origin burundi --process washed --roast light
      pairing check green-cardamom --origin kenya
      pairing formula mandarin green-cardamom black-pepper --origin burundi --yield-g 500

    Amounts are grams, millilitres and degrees Celsius. Exit codes: 0 fine, 1 nothing found,
    2 bad input, 3 must not be served.
    """
    if ctx.invoked_subcommand is None:
        click.echo(GREETING, nl=False)


def console() -> None:
    """Entry of the installed command: a short life, in which nothing is collected."""
    gc.disable()  # tables are read once and the process ends
    main()


def main(args: list[str] | None = None) -> None:
    """Run the command line; bad input gets one line and exit code 2.

    Parameters
    ----------
    args : list of str, optional
        What follows the command's name; the process's own when not given.
    """
    try:
        _refuse_unwritable(sys.argv[1:] if args is None else args)
        code = cli.main(args=args, prog_name="pairing", standalone_mode=False)
        sys.exit(code if isinstance(code, int) else 0)
    except NothingFoundError as err:
        _fail(str(err), NOTHING_FOUND, args, err)
    except RefusedError as err:
        _fail(str(err), MUST_NOT_BE_SERVED, args, err)
    except PairingError as err:
        _fail(str(err), BAD_INPUT, args, err)
    except click.exceptions.Abort:
        _fail("stopped", STOPPED, args)
    except click.exceptions.NoArgsIsHelpError as err:
        click.echo(err.format_message())
        sys.exit(0)
    except click.ClickException as err:
        where = ""
        if isinstance(err, click.UsageError) and err.ctx is not None:
            where = f" (see {err.ctx.command_path} --help)"
        _fail(err.format_message().rstrip(".").replace("\n", " ") + where, BAD_INPUT, args)
    except BrokenPipeError:
        sys.stderr.close()  # the reader (head, less) has gone: nothing to say
        sys.exit(0)
    except OSError as err:
        what = f"cannot use {err.filename}" if err.filename else "cannot write the output"
        if not err.filename:  # what is still in the buffer cannot be written at exit either
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        _fail(f"{what}: {err.strerror or err}", BAD_INPUT, args)
    except Exception:
        traceback.print_exc()
        _fail("a fault of the program, not of your input; the lines above say where", FAULT, args)


def _refuse_unwritable(args: list[str]) -> None:
    """Refuse what no file name and no terminal can hold: NUL, half a pair of UTF-16."""
    for said in args:
        try:
            held = b"\0" in os.fsencode(said)
        except UnicodeEncodeError:
            held = True
        if held:
            raise PairingError(f"{quoted(said)} holds a character that cannot be; give plain text")


LONGEST_ECHO = 60
LONGEST_WORD = 120


def _fail(
    message: str, code: int, args: list[str] | None = None, err: Exception | None = None
) -> None:
    """One line on standard error, long texts of the user cut, nothing a terminal obeys.

    Who asked for JSON finds the error as JSON on standard output too.
    """
    given = sys.argv[1:] if args is None else args
    for said in given:
        for echo in (said, repr(said)[1:-1], said.partition("=")[2]):
            if len(echo) > LONGEST_ECHO:
                message = message.replace(echo, f"{echo[:40]}...{echo[-17:]}")
    words = CONTROL.sub(" ", message).split()
    cut = (w if len(w) <= LONGEST_WORD else f"{w[:40]}...{w[-17:]}" for w in words)
    line = " ".join(cut)
    if "--format=json" in given or ("--format", "json") in itertools.pairwise(given):
        from pairing.cards.report import emit, error

        emit(error(line, code, err), "json")
    click.echo(f"pairing: {line}", err=True)
    sys.exit(code)
