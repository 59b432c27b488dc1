"""Kept work: ``--save NAME`` writes what was asked as TOML, ``--from FILE`` asks it again."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource

from pairing.errors import CONTROL, PairingError, quoted
from pairing.files import read_text, write_atomically

__all__ = ["asked_in", "read_saved", "saved_options"]

F = TypeVar("F", bound=Callable[..., Any])
MOST_BYTES = 100_000
NOT_KEPT = {"save", "from_file", "how", "picture", "output", "pantry", "data_folder", "why"}
HEAD = "# kept by pairing {command}; change it as you like and take it up with --from {name}\n"


def key_of(param: click.Parameter) -> str:
    """The key of an option or argument in a kept file: its long name."""
    if isinstance(param, click.Argument):
        return str(param.name)
    return max(param.opts, key=len).lstrip("-").replace("-", "_")


def saved_options(function: F) -> F:
    """``--save`` and ``--from``."""

    @wraps(function)
    def run(*args: Any, save: str | None, **options: Any) -> Any:
        if save is None:
            return function(*args, **options)
        path = _path(save)
        try:
            done = function(*args, **options)
        except click.exceptions.Exit:
            _write(path)
            raise
        _write(path)
        return done

    kept = click.option(
        "--save", metavar="NAME", help="Keep what was asked as NAME.toml, to change and take up."
    )(run)
    return click.option(  # type: ignore[return-value]
        "--from",
        "from_file",
        type=click.Path(path_type=Path),
        is_eager=True,
        expose_value=False,
        callback=_take_up,
        metavar="FILE",
        help="Take up what was kept; options given here go over it.",
    )(kept)


def _path(name: str) -> Path:
    if not re.fullmatch(r"[^\W_](?:[\w. -]*\w)?", name.removesuffix(".toml")):
        raise PairingError(
            f"--save {quoted(name)}: give a plain name of letters, digits, blanks, - and _"
        )
    return Path(name.removesuffix(".toml") + ".toml")


def _write(path: Path) -> None:
    context = click.get_current_context()
    lines = [HEAD.format(command=context.command.name, name=path.name)]
    lines.append(f'command = "{context.command.name}"')
    for param in context.command.params:
        name = str(param.name)
        value = context.params.get(name)
        source = context.get_parameter_source(name)
        given = source in (ParameterSource.COMMANDLINE, ParameterSource.DEFAULT_MAP)
        if given and name not in NOT_KEPT and value not in (None, (), False):
            lines.append(f"{key_of(param)} = {_toml(value)}")
    write_atomically(path, "\n".join(lines) + "\n")
    click.echo(f"kept as {path}", err=True)


def _toml(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    return json.dumps(CONTROL.sub(" ", str(value)), ensure_ascii=False)


def read_saved(path: Path) -> dict[str, Any]:
    """What a kept file asks for.

    Raises
    ------
    PairingError
        For a file that is no TOML, or keys and values that no command has.
    """
    try:
        said = tomllib.loads(read_text(path, MOST_BYTES))
    except tomllib.TOMLDecodeError as err:
        raise PairingError(f"{path.name} is not TOML: {err}") from None
    for key, value in said.items():
        items = value if isinstance(value, list) else [value]
        if not all(isinstance(i, (str, int, float, bool)) for i in items):
            raise PairingError(f"{path.name}: {quoted(key)} should be a text, a number or a list")
        if any(isinstance(i, str) and CONTROL.search(i) for i in items):
            raise PairingError(f"{path.name}: {quoted(key)} holds a control character")
    return said


def _known() -> set[str]:
    """Keys of all commands that take up what was kept."""
    from pairing.cli import COMMANDS, cli

    context = click.Context(cli)
    known = {"command"}
    for name in ("formula", "drink", "suggest", "card", "label"):
        if name in COMMANDS:
            command = cli.get_command(context, name)
            known |= {key_of(p) for p in command.params} if command is not None else set()
    return known


def _take_up(context: click.Context, _param: click.Parameter, path: Path | None) -> None:
    if path is None:
        return
    said = read_saved(path)
    for key in said:
        if key not in _known():
            from difflib import get_close_matches

            near = get_close_matches(key, sorted(_known()), 1)
            hint = f"; did you mean {near[0]}?" if near else ""
            raise PairingError(f"{path.name}: no command knows {quoted(key)}{hint}")
    context.default_map = {**(context.default_map or {}), **asked_in(context.command, said)}


def asked_in(command: click.Command, said: dict[str, Any]) -> dict[str, Any]:
    """Kept keys as the parameters of a command, those it has."""
    asked: dict[str, Any] = {}
    for param in command.params:
        if (key := key_of(param)) not in said or param.name in NOT_KEPT:
            continue
        value = said[key]
        many = param.multiple if isinstance(param, click.Option) else param.nargs != 1
        if many and not isinstance(value, list):
            value = [value]
        if not many and isinstance(value, list):
            value = value[0]
        asked[str(param.name)] = value
    return asked
