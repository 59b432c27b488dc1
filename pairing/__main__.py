"""``python -m pairing``."""

from pairing.cli import console

console()
