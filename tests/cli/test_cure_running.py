"""Long work that is watched: a time limit, and Ctrl-C once to stop and twice to stop at once."""

from __future__ import annotations

import os
import signal

import pytest

from bagside.cli.cure.running import Watched


def test_a_time_limit_stops_it() -> None:
    with Watched(0.0) as watched:
        assert watched.stop()
    with Watched(3600.0) as watched:
        assert not watched.stop()
    with Watched() as watched:
        assert not watched.stop()


def test_the_first_interrupt_is_a_wish_and_the_second_is_obeyed_at_once() -> None:
    before = signal.getsignal(signal.SIGINT)
    with Watched() as watched:
        os.kill(os.getpid(), signal.SIGINT)
        assert watched.stop()
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before
