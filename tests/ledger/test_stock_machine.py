"""Any sequence of events about cloth: what is taken, what is there, what is conserved, what life is handed on."""

from __future__ import annotations

from hypothesis import settings

from stockwalk import Stock


class Walk(Stock):
    """In memory."""


Walk.TestCase.settings = settings(max_examples=100, stateful_step_count=45, deadline=None)
TestWalk = Walk.TestCase
