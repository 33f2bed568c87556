"""A build that was begun once for all tests of its commands, and the same when its first ply may be laid."""

from __future__ import annotations

from pathlib import Path

import pytest

from bagside.cli.cure.case import opened_case
from bagside.planning.cure_case import CureCase
from buildshop import JOB, Floor, begun_in, copied, laid_in, released_in, set_clock


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Floor:
    return begun_in(tmp_path_factory.mktemp("begun"))


@pytest.fixture(scope="session")
def released(begun: Floor, tmp_path_factory: pytest.TempPathFactory) -> Floor:
    return released_in(begun, tmp_path_factory.mktemp("released"))


@pytest.fixture(scope="session")
def laid(released: Floor, tmp_path_factory: pytest.TempPathFactory) -> Floor:
    return laid_in(released, tmp_path_factory.mktemp("laid"))


@pytest.fixture(scope="session")
def case(laid: Floor) -> CureCase:
    """What the cure of the footrest plate is worked on with."""
    return opened_case(laid.folder / "jobs" / JOB, laid.folder / "workshop.toml")


@pytest.fixture
def floor(begun: Floor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Floor:
    """The footrest plate, just begun, in a workshop of its own."""
    own = copied(begun, tmp_path)
    set_clock(own, monkeypatch)
    return own


@pytest.fixture
def ready(released: Floor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Floor:
    """The footrest plate when its first ply may be laid, in a workshop of its own."""
    own = copied(released, tmp_path)
    set_clock(own, monkeypatch)
    return own


@pytest.fixture
def bagged(laid: Floor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Floor:
    """The footrest plate in its bag, its leak test begun, in a workshop of its own."""
    own = copied(laid, tmp_path)
    set_clock(own, monkeypatch)
    return own
