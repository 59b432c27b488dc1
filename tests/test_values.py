from __future__ import annotations

import ast
import pickle
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

import pairing
from pairing.errors import NothingFoundError, PairingError, UnknownNameError
from pairing.values import Value


@dataclass(frozen=True, eq=False, repr=False)
class Cup(Value):
    name: str
    loud: npt.NDArray[np.float64]

    def __str__(self) -> str:
        return f"cup of {self.name}"


def test_results_compare_by_content_and_print_in_one_line() -> None:
    one, same = Cup("kenya", np.array([1.0, np.nan])), Cup("kenya", np.array([1.0, np.nan]))
    assert one == same
    assert hash(one) == hash(same)
    assert one != Cup("kenya", np.array([1.0, 2.0]))
    assert one != Cup("brazil", np.array([1.0, np.nan]))
    assert one != Cup("kenya", np.array([1.0]))
    assert one != "cup of kenya"
    assert repr(one) == "<Cup: cup of kenya>"


@pytest.mark.parametrize(
    "error",
    [
        PairingError("a batch of 2 g; the smallest is 20 g"),
        NothingFoundError("nothing fits"),
        UnknownNameError("ingredient", "cardamon", ("green-cardamom",)),
        UnknownNameError("brew", "tea", message="tea is an ingredient, not a brew"),
    ],
    ids=lambda e: type(e).__name__,
)
def test_errors_survive_a_process_pool(error: PairingError) -> None:
    sent = pickle.loads(pickle.dumps(error))
    assert type(sent) is type(error)
    assert str(sent) == str(error)
    assert getattr(sent, "nearest", None) == getattr(error, "nearest", None)


def test_named_tuples_have_nothing_that_they_would_pass_over() -> None:
    """A named tuple neither calls ``__post_init__`` nor keeps a ``cached_property``."""
    found = []
    for path in Path(pairing.__file__).parent.rglob("*.py"):
        for part in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(part, ast.ClassDef) and "NamedTuple" in map(ast.unparse, part.bases):
                for held in part.body:
                    if isinstance(held, ast.FunctionDef):
                        marks = {ast.unparse(d) for d in held.decorator_list}
                        if held.name == "__post_init__" or "cached_property" in marks:
                            found.append(f"{path.name}: {part.name}.{held.name}")
    assert found == []
