"""The examples in the docstrings run."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import bagside.records.logger as logger

MODULES = [info.name for info in pkgutil.iter_modules(logger.__path__, "bagside.records.logger.")]


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0
