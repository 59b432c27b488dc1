"""Every public function says, in numpydoc's sections, what it takes and what it gives."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from numpydoc.docscrape import FunctionDoc

import pairing


def _modules() -> Iterator[str]:
    for found in pkgutil.walk_packages(pairing.__path__, "pairing."):
        if not found.name.startswith(("pairing.cli", "pairing.page", "pairing.__main__")):
            yield found.name


def _public() -> Iterator[tuple[str, Callable[..., Any]]]:
    for name in _modules():
        module = importlib.import_module(name)
        for word in getattr(module, "__all__", ()):
            thing = getattr(module, word)
            if getattr(thing, "__module__", "") != name:
                continue
            if inspect.isfunction(thing):
                yield f"{name[8:]}.{word}", thing
            elif inspect.isclass(thing) and not issubclass(thing, Exception):
                for method, inner in vars(thing).items():
                    if inspect.isfunction(inner) and not method.startswith("_"):
                        yield f"{name[8:]}.{word}.{method}", inner


FUNCTIONS = dict(_public())


def _missing(function: Callable[..., Any]) -> list[str]:
    doc = FunctionDoc(function)
    takes = [p for p in inspect.signature(function).parameters if p not in ("self", "cls")]
    told = {n.strip().lstrip("*") for p in doc["Parameters"] for n in p.name.split(",")}
    gives = inspect.signature(function).return_annotation not in ("None", None)
    out = [] if doc["Summary"] else ["a summary"]
    out += [f"the parameter {p}" for p in takes if p not in told]
    # a summary that begins with Return, or a property-like method without arguments, says it all
    if gives and takes and not doc["Returns"] and not doc["Yields"]:
        out.append("Returns")
    return out


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_tells_what_it_takes_and_gives(name: str) -> None:
    assert not _missing(FUNCTIONS[name])


def test_the_check_notices_a_thin_docstring() -> None:
    def thin(grams: float) -> float:
        """Something."""
        return grams

    assert _missing(thin) == ["the parameter grams", "Returns"]
