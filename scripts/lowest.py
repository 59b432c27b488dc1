"""The lowest versions that pyproject.toml allows, as pip constraints: python scripts/lowest.py."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).resolve().parents[1] / "pyproject.toml").read_text())
for wanted in project["project"]["dependencies"]:
    name, low = re.fullmatch(r"([\w-]+)>=([\d.]+)", wanted).groups()
    print(f"{name}=={low}")
