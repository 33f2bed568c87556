"""The dome's workshop as a fixture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from domeshop import written_in


@pytest.fixture
def shop(tmp_path: Path) -> Callable[..., Path]:
    """Return a writer of the workshop; each call may replace texts of the job, and returns the job's file."""
    return partial(written_in, tmp_path)
