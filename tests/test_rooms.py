"""The house: rooms import downward only, and no module imports itself through others."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "pairing"
# from the ground up; rooms of one floor do not know each other
FLOORS = (
    {"errors"},
    {"files", "values"},
    {"evidence"},
    {"safety"},
    {"aroma"},
    {"affinity", "syrup"},
    {"glass", "bar", "trials"},
    {"cards"},
    {"lab"},
    {"cli"},
    {"page"},
)
FLOOR_OF = {room: floor for floor, rooms in enumerate(FLOORS) for room in rooms}
MOST_LINES = 800


def _modules() -> dict[str, Path]:
    out = {}
    for path in PACKAGE.rglob("*.py"):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        if parts and parts[0] not in ("__init__", "__main__"):
            out[".".join(("pairing", *(p for p in parts if p != "__init__")))] = path
    return out


MODULES = _modules()


def _imports(path: Path) -> set[str]:
    """Modules that a module imports when it runs; what only the type checker reads is left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typing_only = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        for inner in ast.walk(node)
    }
    out = set()
    for node in ast.walk(tree):
        if id(node) in typing_only:
            continue
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pairing"):
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                out.add(inner if inner in MODULES else str(node.module))
        elif isinstance(node, ast.Import):
            out |= {a.name for a in node.names if a.name.startswith("pairing.")}
    return out & set(MODULES)


def _room(module: str) -> str:
    return module.split(".")[1]


def test_every_room_has_its_floor() -> None:
    assert {_room(m) for m in MODULES} <= set(FLOOR_OF)


@pytest.mark.parametrize("module", sorted(MODULES))
def test_a_room_imports_downward_only(module: str) -> None:
    here = _room(module)
    upward = [
        other
        for other in sorted(_imports(MODULES[module]))
        if _room(other) != here and FLOOR_OF[_room(other)] >= FLOOR_OF[here]
    ]
    assert not upward, f"{module} imports {', '.join(upward)}"


def test_no_import_runs_in_a_circle() -> None:
    needs = {m: _imports(p) for m, p in MODULES.items()}
    done: set[str] = set()
    path: list[str] = []

    def visit(module: str) -> None:
        if module in done:
            return
        assert module not in path, " -> ".join([*path[path.index(module) :], module])
        path.append(module)
        for other in sorted(needs[module]):
            visit(other)
        path.pop()
        done.add(module)

    for module in sorted(MODULES):
        visit(module)


@pytest.mark.parametrize("module", sorted(MODULES))
def test_a_module_is_short_and_says_its_one_idea(module: str) -> None:
    text = MODULES[module].read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MOST_LINES
    assert ast.get_docstring(ast.parse(text))


def test_the_check_notices_an_import_upward() -> None:
    assert FLOOR_OF["evidence"] < FLOOR_OF["cards"]
    assert "pairing.evidence.tables" in _imports(MODULES["pairing.evidence.catalog"])
