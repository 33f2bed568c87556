"""Docstrings are read and held against the signatures they describe, and every public name is told."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import FunctionType, ModuleType

import pytest
from numpydoc.docscrape import NumpyDocString

import bagside

ROOMS = (
    "spec", "geometry", "mould", "drape", "camera", "laminate", "cutting", "bagging", "cure", "joining", "finishing",
    "planning", "ledger", "sheets", "records",
)  # fmt: skip


def modules() -> Iterator[ModuleType]:
    for info in pkgutil.walk_packages(bagside.__path__, "bagside."):
        if not info.name.endswith(("__main__", "engine_child")):
            yield importlib.import_module(info.name)


def functions() -> Iterator[tuple[str, FunctionType]]:
    for module in modules():
        for name, found in vars(module).items():
            if inspect.isfunction(found) and found.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{module.__name__}.{name}", found


@pytest.mark.parametrize(("name", "function"), list(functions()), ids=lambda x: x if isinstance(x, str) else "")
def test_parameters_told_are_those_there_are(name: str, function: FunctionType) -> None:
    assert function.__doc__, f"{name} has no docstring"
    if ".cli." in name:
        return  # a command's parameters are told by their help
    told: list[str] = []
    for parameter in NumpyDocString(inspect.cleandoc(function.__doc__))["Parameters"]:
        told += [word.strip().lstrip("*") for word in parameter.name.split(",")]
    there = list(inspect.signature(function).parameters)
    assert [t for t in told if t not in there] == [], f"{name} tells of parameters it does not have"


@pytest.mark.parametrize("room", ROOMS)
def test_public_names_exist(room: str) -> None:
    package = importlib.import_module(f"bagside.{room}")
    assert package.__doc__
    for name in getattr(package, "__all__", ()):
        assert hasattr(package, name), f"bagside.{room} promises {name}"


def test_the_package_gives_what_it_promises() -> None:
    for name in bagside.__all__:
        assert getattr(bagside, name) is not None
    with pytest.raises(AttributeError):
        _ = bagside.nothing
