"""Reading files within a limit, and writing them so that nothing is lost or half-written."""

from __future__ import annotations

import os
import stat
import sys
import tempfile
from pathlib import Path

from pairing.errors import PairingError

STANDARD = "-"  # stands for standard input where a file is read, output where one is written

__all__ = ["mode_of", "read_text", "write_atomically"]


def mode_of(path: Path) -> int | None:
    """The ``st_mode`` of what a path leads to through its links; None where nothing is.

    Parameters
    ----------
    path : Path
        A file, a folder or a link.

    Returns
    -------
    int or None

    Raises
    ------
    PairingError
        When the place cannot be looked at, such as a name that is too long or a loop of links.
    """
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as err:
        raise PairingError(f"cannot open {_short(path)}: {err.strerror or err}") from None
    except ValueError as err:  # a NUL in the name
        raise PairingError(f"cannot open {_short(path)}: {err}") from None


def read_text(path: Path, most_bytes: int) -> str:
    """Text of a regular UTF-8 file (``-``: of standard input), never more of it than a limit.

    Parameters
    ----------
    path : Path
    most_bytes : int
        The largest file that is taken, bytes.

    Returns
    -------
    str
        Without a byte order mark.

    Raises
    ------
    PairingError
        For a missing or unreadable file, a folder, device or pipe, a file above the limit,
        bytes that are not UTF-8, and NUL bytes.
    """
    if str(path) == STANDARD:
        return _decoded(sys.stdin.buffer.read(most_bytes + 1), "standard input", most_bytes)
    mode = mode_of(path)
    if mode is not None and not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "a device or pipe"
        raise PairingError(f"cannot read {_short(path)}: it is {what}; name a file")
    try:
        with path.open("rb") as file:
            raw = file.read(most_bytes + 1)
    except OSError as err:
        raise PairingError(f"cannot read {_short(path)}: {err.strerror or err}") from None
    return _decoded(raw, path.name, most_bytes)


def _decoded(raw: bytes, name: str, most_bytes: int) -> str:
    if len(raw) > most_bytes:
        most = f"{most_bytes / 1e6:.0f} MB" if most_bytes >= 1e6 else f"{most_bytes / 1e3:.0f} kB"
        raise PairingError(f"{name} has more than {most}, the most that is read")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        raise PairingError(
            f"{name} is not UTF-8 text (byte {err.start}); save it as UTF-8"
        ) from None
    if "\0" in text:
        raise PairingError(f"{name} holds NUL bytes; it should be a UTF-8 text")
    return text


def write_atomically(path: Path, content: bytes | str) -> None:
    """Write to a temporary file beside the target, then rename it (``-``: standard output).

    A symbolic link is followed: its target is written and the link stays.

    Parameters
    ----------
    path : Path
    content : bytes or str
        Text is written as UTF-8.

    Raises
    ------
    PairingError
        When the folder does not exist or cannot be written, or what stands there is no regular
        file (a folder, device, pipe or socket is never replaced); the old file stays as it was.
    """
    data = content.encode() if isinstance(content, str) else content
    if str(path) == STANDARD:
        sys.stdout.buffer.write(data)
        sys.stdout.flush()
        return
    mode = mode_of(path)
    if mode is not None and stat.S_ISDIR(mode):
        raise PairingError(f"cannot write {str(path)!r}: it is a folder; name a file")
    if mode is not None and not stat.S_ISREG(mode):
        raise PairingError(f"cannot write {str(path)!r}: it is a device or pipe; name a file")
    target = Path(os.path.realpath(path)) if path.is_symlink() else path
    folder = target.parent
    above = mode_of(folder)
    if above is None or not stat.S_ISDIR(above):
        raise PairingError(f"cannot write {_short(path)}: there is no folder {str(folder)!r}")
    try:
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=".pairing-")
    except OSError as err:
        raise PairingError(f"cannot write {_short(path)}: {err.strerror or err}") from None
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, target)
    except OSError as err:
        Path(temporary).unlink(missing_ok=True)
        raise PairingError(f"cannot write {_short(path)}: {err.strerror or err}") from None


def _short(path: Path) -> str:
    name = path.name or str(path)
    return name if len(name) <= 60 else name[:57] + "..."
