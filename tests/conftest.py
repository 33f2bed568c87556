"""Shared by every test: where the open data lies, and that a published figure names its source."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: matrices are small, and threads wait for each other
HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))  # tests share `shapes`; importlib mode puts no folder on the path

# The same commit gives the same answer on every machine; `make fuzz` draws new examples, to find what these miss.
settings.register_profile("repeatable", derandomize=True, print_blob=True)
settings.register_profile("fuzz", print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))


def data_folder() -> Path | None:
    """Return the folder of open data, or nothing when there is none."""
    stated = os.environ.get("BAGSIDE_OPEN_DATA")
    folder = Path(stated) if stated else HERE.parents[1] / "shared" / "data"
    return folder if folder.is_dir() else None


@pytest.fixture(scope="session")
def open_data() -> Path:
    folder = data_folder()
    if folder is None:
        pytest.skip("no open data: set BAGSIDE_OPEN_DATA to its folder")
    return folder


def sourceless(items: list[pytest.Item]) -> list[str]:
    """Return the tests marked `published` without naming a source in words."""
    return [
        item.nodeid
        for item in items
        for mark in item.iter_markers("published")
        if not (len(mark.args) == 1 and isinstance(mark.args[0], str) and len(mark.args[0].split()) >= 2)
    ]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    bare = sourceless(items)
    if bare:
        raise pytest.UsageError("published figures without a source: " + ", ".join(bare))
