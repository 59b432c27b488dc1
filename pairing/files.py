"""Writing files so that nothing is lost or half-written."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from pairing.errors import PairingError

__all__ = ["write_atomically"]


def write_atomically(path: Path, content: bytes | str) -> None:
    """Write to a temporary file beside ``path``, then rename it into place.

    Parameters
    ----------
    path : Path
    content : bytes or str
        Text is written as UTF-8.

    Raises
    ------
    PairingError
        When the folder does not exist or cannot be written; the old file stays as it was.
    """
    data = content.encode() if isinstance(content, str) else content
    folder = path.parent
    if not folder.is_dir():
        raise PairingError(f"cannot write {path.name}: there is no folder {str(folder)!r}")
    if path.is_dir():
        raise PairingError(f"cannot write {str(path)!r}: it is a folder; name a file")
    try:
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=f".{path.name}.")
    except OSError as err:
        raise PairingError(f"cannot write {path.name}: {err.strerror or err}") from None
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as err:
        Path(temporary).unlink(missing_ok=True)
        raise PairingError(f"cannot write {path.name}: {err.strerror or err}") from None
