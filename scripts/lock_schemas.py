"""Write down the digests of the JSON Schemas of this schema version, unless it was released.

Run it after a change of ``pairing/cards/schemas/``. A released version never changes: raise
SCHEMA_VERSION in ``pairing/cards/report.py`` and run it again.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from pairing.cards import schema
from pairing.cards.report import SCHEMA_VERSION

LOCK = Path(__file__).resolve().parents[1] / "tests" / "cards" / "schema_lock.json"


def digests() -> dict[str, str]:
    """SHA-256 of every schema as it is printed."""
    return {
        name: hashlib.sha256(json.dumps(schema.schema(name), sort_keys=True).encode()).hexdigest()
        for name in schema.names()
    }


def main() -> None:
    """Rewrite the lock."""
    lock = json.loads(LOCK.read_text("utf-8"))
    version = str(SCHEMA_VERSION)
    if version in lock["released"] and lock["digests"].get(version) != digests():
        sys.exit(f"version {version} was released; raise SCHEMA_VERSION")
    lock["digests"][version] = digests()
    LOCK.write_text(json.dumps(lock, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
