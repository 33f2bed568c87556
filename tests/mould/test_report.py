"""The whole report of a mould."""

import math

import pytest

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.mould import MouldReport, ToolFacts, corners_of, mould_report
from moulds import tray

ALUMINIUM = ToolFacts(name="aluminium", expansion=23e-6, limit=473.15)
BOARD = ToolFacts(name="epoxy board", expansion=40e-6, limit=368.15)


def report(tool: ToolFacts = ALUMINIUM, **changes: object) -> MouldReport:
    surface = tray(length=0.3, width=0.2, depth=0.04, wall=0.02, flange=0.05, edge=0.005)
    given: dict[str, object] = {"gel_temperature": 363.15, "hottest": 393.15, "tool": tool, **changes}
    pieces = given.pop("pieces", ())
    return mould_report(surface, pieces, corners_of(surface, 0.001), **given)  # type: ignore[arg-type]


def test_a_tray_of_aluminium() -> None:
    r = report()
    assert r.heat_margin == pytest.approx(80.0)
    assert r.size.part == pytest.approx(0.4)
    assert 1e3 * (r.size.part - r.size.mould) == pytest.approx(0.4 * 20e-3 * 70, abs=0.002)
    assert math.degrees(r.spring_per_right_angle) == pytest.approx(0.85, abs=0.02)
    assert r.one_piece.smallest == pytest.approx(math.atan2(0.02, 0.04))
    assert r.corners
    for f in r.findings:
        assert all((f.stage == "mould", f.place, f.what, f.why, f.do, f.basis)), f


def test_a_board_too_hot_stops() -> None:
    stops = [f for f in report(BOARD).findings if f.severity is Severity.STOP]
    assert [f.place for f in stops] == ["mould of epoxy board"]
    assert stops[0].what == "the cycle reaches 120 °C, the mould stands 95 °C"


def test_a_mould_close_to_its_limit_is_watched() -> None:
    watched = [f for f in report(ToolFacts(name="x", expansion=3e-6, limit=403.15)).findings if "lagging" in f.do]
    assert [f.severity for f in watched] == [Severity.WATCH]


def test_a_split_that_is_not_needed_is_questioned() -> None:
    left = ("left", (0, 0, -1), (0, 0, 0), (1, 0, 0))
    right = ("right", (0, 0, -1), (0, 0, 0), (-1, 0, 0))
    assert any("whether the split is needed" in f.do for f in report(pieces=(left, right)).findings)


def test_a_gel_temperature_above_the_cycle_is_refused() -> None:
    with pytest.raises(InputError, match="gel temperature between"):
        report(gel_temperature=400.0)
