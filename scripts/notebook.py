"""Run docs/first-syrup.ipynb from top to bottom; a cell that fails fails the run.

Run: python scripts/notebook.py          (needs the extra `docs`)
"""

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

PAGE = Path(__file__).resolve().parents[1] / "docs" / "first-syrup.ipynb"

book = nbformat.read(PAGE, as_version=4)
NotebookClient(book, timeout=300, kernel_name="python3").execute()
print(f"{PAGE.name}: {sum(c.cell_type == 'code' for c in book.cells)} cells ran", file=sys.stderr)
