"""Benchmarks cannot rot: each still imports and has its door."""

import importlib

import pytest
from benchmarks.__main__ import NAMED


@pytest.mark.parametrize("name", NAMED)
def test_it_can_be_run(name: str) -> None:
    assert callable(importlib.import_module(f"benchmarks.{name}").run)
