"""Kept work: ``--save NAME`` writes what was asked as TOML, ``--from FILE`` asks it again.

A kept file holds the question, not the answer: the options as they were said, in the grammar of
the command line, so that a person can change them and the tables of today answer.
"""

from __future__ import annotations

import json
import os
import re
import stat
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource

from pairing.bar.pantry import FILE_NAME
from pairing.errors import CONTROL, PairingError, quoted
from pairing.files import STANDARD, mode_of, read_text, write_atomically

__all__ = ["TAKES", "asked_in", "command_of", "from_option", "kept_from", "kept_text", "read_saved",
           "refuse_overwriting", "saved_options"]  # fmt: skip

F = TypeVar("F", bound=Callable[..., Any])
VERSION = 1  # of kept files; raise it when a key changes its meaning
MOST_BYTES = 100_000
MOST_ITEMS = 200
NOT_KEPT = {"save", "force", "from_file", "how", "picture", "output", "data_folder", "help"}
TAKES = ("formula", "drink", "suggest", "check", "instead", "ratio", "card", "label", "report",
         "papers batch", "papers guest", "papers matrix", "trials plan")  # fmt: skip
HEAD = "# kept by pairing {command}; change it as you like and take it up with --from {name}\n"
# what is said in one of several ways: said anew, it takes the place of what was kept
AMOUNTS = {"yield_g", "yield_ml", "servings", "sugar_g", "water_g", "sites", "spare", "factor"}
STRENGTHS = {"strength", "by_volume", "brix"}
WHOLE_COFFEE = {"coffee_words", "coffees", "menu"}
COFFEE = WHOLE_COFFEE | {"origin", "process", "roast", "brew", "species", "variety", "notes"}


def key_of(param: click.Parameter) -> str:
    """The key of an option or argument in a kept file: its long name."""
    if isinstance(param, click.Argument):
        return str(param.name)
    return max(param.opts, key=len).lstrip("-").replace("-", "_")


def from_option(function: F) -> F:
    """``--from``."""

    @wraps(function)
    def run(*args: Any, **options: Any) -> Any:
        return function(*args, **_said_anew(options))

    return click.option(  # type: ignore[return-value]
        "--from",
        "from_file",
        type=click.Path(path_type=Path),
        is_eager=True,
        expose_value=False,
        callback=_take_up,
        metavar="FILE",
        help="Take up what was kept; options given here go over it.",
    )(run)


def saved_options(function: F) -> F:
    """``--save``, ``--force`` and ``--from``."""

    @wraps(function)
    def run(*args: Any, save: str | None, force: bool, **options: Any) -> Any:
        if save is None:
            return function(*args, **options)
        path = path_of(save)
        text = kept_text(path.name)
        refuse_overwriting(path, text, force)
        try:
            done = function(*args, **options)
        except click.exceptions.Exit:
            _write(path, text)
            raise
        _write(path, text)
        return done

    forced = click.option("--force", is_flag=True, help="Write over what is kept as NAME.")(run)
    kept = click.option(
        "--save", metavar="NAME", help="Keep what was asked as NAME.toml, to change and take up."
    )(forced)
    taken: F = from_option(kept)  # type: ignore[assignment]
    return taken


def _said_anew(options: dict[str, Any]) -> dict[str, Any]:
    """What was kept gives way to what is said on the command line in another way."""
    context = click.get_current_context()
    if not context.default_map:
        return options
    here, kept = (
        {n for n in context.params if context.get_parameter_source(n) is source}
        for source in (ParameterSource.COMMANDLINE, ParameterSource.DEFAULT_MAP)
    )
    gone = {n for group in (AMOUNTS, STRENGTHS) if here & group for n in group & kept}
    if here & WHOLE_COFFEE:
        gone |= COFFEE & kept
    elif here & COFFEE - {"notes"} and kept & WHOLE_COFFEE:
        raise PairingError(
            "the kept coffee is said in one breath; say the new one whole too, with --coffee"
        )
    for param in context.command.params:
        if (name := str(param.name)) in gone:
            context.default_map = {k: v for k, v in context.default_map.items() if k != name}
            value = param.get_default(context)
            value = param.type_cast_value(context, None if param.value_is_missing(value) else value)
            options[name] = context.params[name] = value
            context.set_parameter_source(name, ParameterSource.DEFAULT)
    return options


def path_of(name: str) -> Path:
    """The file of a plain name.

    Raises
    ------
    PairingError
        For a name that is no plain name.
    """
    stem = name.removesuffix(".toml")
    if len(stem) > 100 or not re.fullmatch(r"[^\W_](?:[\w. -]*\w)?", stem):
        raise PairingError(
            f"--save {quoted(name)}: give a plain name of letters, digits, blanks, - and _"
        )
    return Path(stem + ".toml")


def refuse_overwriting(path: Path, text: str, force: bool) -> None:
    """Refuse before any work is done: a kept file may hold what somebody wrote by hand.

    Raises
    ------
    PairingError
        When another text stands there and ``force`` is not said, or nothing can be written.
    """
    folder = path.parent
    if not folder.is_dir():
        raise PairingError(f"cannot write {path.name}: there is no folder {quoted(folder)}")
    if not os.access(folder, os.W_OK):
        raise PairingError(f"cannot write {path.name}: the folder is read-only; go to another")
    mode = mode_of(path)
    if mode is None and not path.is_symlink():
        return
    if mode is not None and not stat.S_ISREG(mode):
        raise PairingError(f"{path.name} is a folder or device; save another name")
    if not force and not (mode is not None and read_text(path, 10 * MOST_BYTES) == text):
        raise PairingError(f"{path.name} is there already; save another name, or add --force")


def _write(path: Path, text: str) -> None:
    write_atomically(path, text)
    click.echo(f"kept as {path}", err=True)


def kept_text(name: str) -> str:
    """What was asked of the running command, as TOML.

    Parameters
    ----------
    name : str
        Of the file.

    Returns
    -------
    str
    """
    context = click.get_current_context()
    said = _path_of(context)
    lines = [HEAD.format(command=said, name=name)]
    lines += [f"version = {VERSION}", f'command = "{said}"']
    values = {**context.params, "market": context.meta.get("pairing.market")}
    values["pantry"] = _beside(values.get("pantry"))
    for param in context.command.params:
        param_name = str(param.name)
        value = values.get(param_name)
        source = context.get_parameter_source(param_name)
        given = source in (ParameterSource.COMMANDLINE, ParameterSource.DEFAULT_MAP)
        given = given or param_name == "pantry"  # one that lies here is read unasked
        if given and param_name not in NOT_KEPT and value not in (None, (), False):
            lines.append(f"{key_of(param)} = {_toml(value)}")
    return "\n".join(lines) + "\n"


def _beside(pantry: Path | None) -> str | None:
    """The pantry in use, by its way from here; None where there is none."""
    if pantry is None:
        return FILE_NAME if os.path.lexists(FILE_NAME) else None
    try:
        return Path(os.path.relpath(pantry)).as_posix()
    except ValueError as err:  # another drive
        raise PairingError(f"--save cannot name the pantry {pantry.name} from here: {err}") from err


def kept_from(command: str, said: Mapping[str, Any], name: str) -> str:
    """A kept file of options by key, where no command runs.

    Parameters
    ----------
    command : str
        One of :data:`TAKES`.
    said : mapping
        Texts and lists of them, by key.
    name : str
        Of the file.

    Returns
    -------
    str

    Raises
    ------
    PairingError
        For a key that the command does not have.
    """
    lines = [HEAD.format(command=command, name=name)]
    lines += [f"version = {VERSION}", f'command = "{command}"']
    params = find_command(command).params
    known = {key_of(p): p for p in params if p.name not in NOT_KEPT | {"pantry"}}
    for key, value in said.items():
        if key not in known:
            raise PairingError(f"{command} keeps no {quoted(key)}")
        alone = isinstance(value, list) and len(value) == 1 and not _many(known[key])
        lines.append(f"{key} = {_toml(value[0] if alone else value)}")
    return "\n".join(lines) + "\n"


def _many(param: click.Parameter) -> bool:
    return param.multiple if isinstance(param, click.Option) else param.nargs != 1


def _path_of(context: click.Context) -> str:
    """``papers batch``: a command with the groups it stands in."""
    names = []
    here: click.Context | None = context
    while here is not None and here.parent is not None:
        names.append(str(here.command.name))
        here = here.parent
    return " ".join(reversed(names)) or str(context.command.name)


def _toml(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return str(int(value)) if value == int(value) else repr(value)
    return json.dumps(CONTROL.sub(" ", str(value)), ensure_ascii=False)


def read_saved(path: Path) -> dict[str, Any]:
    """What a kept file asks for.

    Parameters
    ----------
    path : Path
        ``autumn`` is read as ``autumn.toml`` where there is no ``autumn``.

    Returns
    -------
    dict
        Texts, numbers, yes and no, and lists of them, by key.

    Raises
    ------
    PairingError
        For a file that is no TOML, or of another version, and for keys and values that no command
        has.
    """
    import tomllib  # here: most commands begin with nothing kept

    if not path.suffix and str(path) != STANDARD and mode_of(path) is None:
        path = path.with_suffix(".toml")
    name = path.name
    try:
        said = tomllib.loads(read_text(path, MOST_BYTES))
    except PairingError:
        raise
    except RecursionError:
        raise PairingError(f"{name} is not TOML: its lists stand too deep in each other") from None
    except ValueError as err:
        raise PairingError(f"{name} is not TOML: {quoted(err, 120)[1:-1]}") from None
    if not said:
        raise PairingError(f"{name} is empty; --save NAME writes such a file")
    version = said.pop("version", VERSION)
    if version != VERSION or isinstance(version, bool):
        raise PairingError(f"{name} is of version {quoted(version)}; version {VERSION} is read")
    for key, value in said.items():
        if isinstance(value, date) and not isinstance(value, datetime):
            value = said[key] = value.isoformat()
        items = value if isinstance(value, list) else [value]
        if len(items) > MOST_ITEMS:
            raise PairingError(f"{name}: {quoted(key)} lists more than {MOST_ITEMS} things")
        if not all(isinstance(i, (str, int, float, bool)) for i in items):
            raise PairingError(f"{name}: {quoted(key)} should be a text, a number or a list")
        if any(isinstance(i, str) and CONTROL.search(i) for i in items):
            raise PairingError(f"{name}: {quoted(key)} holds a control character")
        if isinstance(value, str) and not value.strip():
            raise PairingError(f"{name}: {quoted(key)} is empty; fill it in or take the line out")
    if "pantry" in said:
        said["pantry"] = _found_beside(path, said["pantry"])
    command = said.get("command", "formula")
    if command not in TAKES:
        raise PairingError(
            f"{name}: {quoted(command)} keeps no work; command is one of {', '.join(TAKES)}"
        )
    _refuse_unknown(name, said, command)
    return said


def _found_beside(path: Path, pantry: Any) -> str:
    """The pantry of a kept file, by the way from its own folder.

    Raises
    ------
    PairingError
        For anything but a relative way, and where nothing lies there.
    """
    if not isinstance(pantry, str) or Path(pantry).is_absolute():
        raise PairingError(
            f"{path.name}: pantry names a file as it lies from this one, such as {FILE_NAME!r}"
        )
    folder = Path() if str(path) == STANDARD else path.parent
    if mode_of(folder / pantry) is None:
        raise PairingError(
            f"{path.name} was kept with the pantry {quoted(pantry)}, which is not there; bring it, "
            "or take the line out"
        )
    return str(folder / pantry)


def command_of(said: Mapping[str, Any]) -> str:
    """The command that a kept file was written by; a formula's when it does not say.

    Parameters
    ----------
    said : mapping
        As :func:`read_saved` gives it.

    Returns
    -------
    str
        One of :data:`TAKES`.
    """
    return str(said.get("command", "formula"))


def find_command(name: str) -> click.Command:
    """A command by its words, such as ``papers batch``."""
    from pairing.cli import cli

    here: click.Command = cli
    context = click.Context(cli, info_name="pairing")
    for word in name.split():
        assert isinstance(here, click.Group)
        found = here.get_command(context, word)
        assert found is not None  # TAKES names commands that there are
        context, here = click.Context(found, info_name=word, parent=context), found
    return here


def _keys(command: click.Command) -> Iterator[str]:
    return (key_of(p) for p in command.params if p.name not in NOT_KEPT)


def _refuse_unknown(name: str, said: Mapping[str, Any], command: str) -> None:
    """Every key must be one of the file's own command, or of another that keeps work."""
    known = {"command", *_keys(find_command(command))}
    if set(said) <= known:
        return
    for other in TAKES:
        known |= set(_keys(find_command(other)))
    for key in said:
        if key not in known:
            from difflib import get_close_matches

            near = get_close_matches(key, sorted(known), 1)
            hint = f"; did you mean {near[0]}?" if near else ""
            raise PairingError(f"{name}: no command knows {quoted(key)}{hint}")


def _take_up(context: click.Context, _param: click.Parameter, path: Path | None) -> None:
    if path is None:
        return
    said = read_saved(path)
    asked = asked_in(context.command, said, path.name)
    context.default_map = {**(context.default_map or {}), **asked}


def asked_in(command: click.Command, said: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Kept keys as the parameters of a command, those it has.

    Parameters
    ----------
    command : click.Command
    said : mapping
        As :func:`read_saved` gives it.
    where : str
        Name of the file, for the message.

    Returns
    -------
    dict
        By the name of the parameter, numbers as texts: the command's own grammar reads them.

    Raises
    ------
    PairingError
        For a list where the command takes one thing.
    """
    asked: dict[str, Any] = {}
    for param in command.params:
        if (key := key_of(param)) not in said or param.name in NOT_KEPT:
            continue
        value = said[key]
        many = _many(param)
        if isinstance(value, list):
            if not many and len(value) != 1:
                raise PairingError(
                    f"{where}: {command.name} takes one {key}, not a list of {len(value)}"
                )
            asked[str(param.name)] = [_text(v) for v in value] if many else _text(value[0])
        else:
            asked[str(param.name)] = [_text(value)] if many else _text(value)
    return asked


def _text(value: Any) -> Any:
    return value if isinstance(value, (str, bool)) else str(value)
