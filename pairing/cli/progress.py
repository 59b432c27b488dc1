"""A line on standard error while something takes long: only at a terminal, gone when it is done."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["waiting"]

FIRST_S = 2.0
STEP_S = 1.0
CLEAR = "\r\x1b[K"  # back to the start of the line and erase it; ECMA-48


@contextmanager
def waiting(what: str) -> Iterator[None]:
    """Say what takes long and for how many seconds it has, from the second one on.

    Parameters
    ----------
    what : str
        Such as ``"scoring 100,000 rows"``.
    """
    if not sys.stderr.isatty():
        yield
        return
    done, began = threading.Event(), time.monotonic()

    def tell() -> None:
        wait = FIRST_S
        while not done.wait(wait):
            wait = STEP_S
            sys.stderr.write(f"{CLEAR}{what}: {time.monotonic() - began:.0f} s")
            sys.stderr.flush()

    teller = threading.Thread(target=tell, daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()
        if time.monotonic() - began >= FIRST_S:
            sys.stderr.write(CLEAR)
            sys.stderr.flush()
