"""Which remedy comes first in which corner, and whether its number holds."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.mould import CornerCase, CornerVerdict, Remedy, RemedyKind, plies_in_corner, remedies_for

STRAIGHT = {"turn": np.pi / 2, "length": 0.3, "bending": 0.0, "surplus": 0.0, "closed": False, "meetings": 0}


def helped(
    radius: float, plies: list[float], *, visible: bool = False, structural: bool = False, **shape: float
) -> tuple[Remedy, ...]:
    case = CornerCase(radius=radius, **{**STRAIGHT, **shape})  # type: ignore[arg-type]
    growth = plies_in_corner(radius, case.turn, plies, visible=visible, structural=structural)
    return remedies_for(case, plies, growth, visible=visible, structural=structural)


def test_a_corner_that_is_followed_needs_nothing() -> None:
    assert helped(0.008, [0.00025] * 4) == ()


def test_a_straight_hard_corner_gets_a_slip_joint_first() -> None:
    first = helped(0.004, [0.00025] * 4, structural=True)[0]
    assert first.kind is RemedyKind.SLIP_JOINT
    slide = 0.5 * (0.005 - 0.00325) * (2 - np.pi / 2)
    assert f"the last ply wants {1e3 * slide:.2f} mm from each side" in first.effect


def test_a_crease_is_filled_or_made_rounder_first() -> None:
    kinds = [r.kind for r in helped(0.0, [0.00025] * 8, structural=True)]
    assert set(kinds[:2]) == {RemedyKind.TOW, RemedyKind.RADIUS}
    assert kinds.index(RemedyKind.STRIP) == len(kinds) - 1


def test_a_closed_bent_corner_gets_darts_or_pieces_and_a_straight_one_neither() -> None:
    ring = helped(0.0028, [0.00025] * 2, bending=2 * np.pi, surplus=2 * np.pi, closed=True)
    assert ring[0].kind in (RemedyKind.DART, RemedyKind.SMALLER_PIECES)
    kinds = {r.kind for r in helped(0.0028, [0.00025] * 2)}
    assert not kinds & {RemedyKind.DART, RemedyKind.SMALLER_PIECES}


def test_darts_share_out_the_curvature_that_is_gathered() -> None:
    (dart,) = [
        r
        for r in helped(0.0028, [0.00025] * 2, bending=2 * np.pi, surplus=2 * np.pi, closed=True)
        if r.kind is RemedyKind.DART
    ]
    count, left = (int(n) for n in re.search(r"(\d+) darts leave (\d+)", dart.effect).groups())  # type: ignore[union-attr]
    assert count * left == pytest.approx(360, abs=count / 2)
    assert left <= 33
    (opening,) = [r for r in helped(0.0028, [0.00025] * 2, surplus=-1.0, bending=1.0) if r.kind is RemedyKind.DART]
    assert "too little" in opening.effect


def test_lines_that_meet_ask_for_a_dart_there() -> None:
    (dart,) = [r for r in helped(0.0028, [0.00025] * 2, meetings=1) if r.kind is RemedyKind.DART]
    assert "within 3 to 5 mm" in dart.effect


def test_a_seen_or_carrying_part_puts_the_slip_joint_lower() -> None:
    def rank(**use: bool) -> int:
        return next(r.points for r in helped(0.0045, [0.00025] * 4, **use) if r.kind is RemedyKind.SLIP_JOINT)

    assert rank(visible=True, structural=True) < rank(visible=True) <= rank(structural=True)


def test_many_thick_plies_bring_the_debulk_up_and_two_want_none() -> None:
    def points(n: int) -> int | None:
        found = [r.points for r in helped(0.0045, [0.00025] * n, structural=True) if r.kind is RemedyKind.DEBULK]
        return found[0] if found else None

    assert points(2) is None
    few, many = points(4), points(12)
    assert few is not None
    assert many is not None
    assert few < many


@given(
    st.floats(0.0, 0.01),
    st.floats(0.2, 2.9),
    st.lists(st.floats(1e-4, 6e-4), min_size=1, max_size=14),
    st.booleans(),
    st.booleans(),
    st.floats(-7, 7),
    st.booleans(),
    st.integers(0, 2),
)
def test_every_remedy_says_what_it_does_and_why(
    radius: float,
    turn: float,
    plies: list[float],
    visible: bool,
    structural: bool,
    surplus: float,
    closed: bool,
    meetings: int,
) -> None:
    found = helped(
        radius,
        plies,
        visible=visible,
        structural=structural,
        turn=turn,
        surplus=surplus,
        bending=abs(surplus),
        closed=closed,
        meetings=0 if closed else meetings,
    )
    last = plies_in_corner(radius, turn, plies, visible=visible, structural=structural)[-1].verdict
    assert (found == ()) == (last is CornerVerdict.FOLLOWS)
    assert len({r.kind for r in found}) == len(found)
    assert [r.points for r in found] == sorted((r.points for r in found), reverse=True)
    for r in found:
        assert r.effect
        assert r.why
        assert "nan" not in r.effect
        assert "inf" not in r.effect


def test_the_larger_radius_named_lets_every_ply_follow() -> None:
    (larger,) = [r for r in helped(0.002, [0.0003] * 10, structural=True) if r.kind is RemedyKind.RADIUS]
    named = float(re.match(r"([\d.]+)", larger.effect).group(1)) / 1e3  # type: ignore[union-attr]
    growth = plies_in_corner(named, np.pi / 2, [0.0003] * 10, visible=False, structural=True)
    assert growth[-1].verdict is CornerVerdict.FOLLOWS


def test_plies_and_growth_must_belong_together() -> None:
    growth = plies_in_corner(0.004, 1.0, [0.001], visible=True, structural=True)
    with pytest.raises(InputError, match="one for each"):
        remedies_for(CornerCase(radius=0.004, **STRAIGHT), [0.001, 0.001], growth, visible=True, structural=True)  # type: ignore[arg-type]
