"""Plies that make a corner tighter: ring equilibrium, verdicts, what slides and settles."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.mould import CornerVerdict, corner_pressure, largest_follower, plies_in_corner, radius_to_follow, slide_in

PLIES = st.lists(st.floats(5e-5, 1e-3), min_size=1, max_size=20)
ORDER = list(CornerVerdict)


@pytest.mark.published("Hubert & Poursartip 2001, JCM 35:2: frictionless ring, tool radius 10, laminate 2")
def test_ring_equilibrium_of_eight_plies() -> None:
    plies = plies_in_corner(0.010, np.pi / 2, [0.00025] * 8, visible=True, structural=True)
    assert plies[-1].pressure == pytest.approx(0.8, abs=1e-12)
    assert [p.pressure for p in plies] == pytest.approx([1 - 0.025 * k for k in range(1, 9)])


@given(st.floats(0.001, 0.05), PLIES)
def test_pressure_is_that_of_the_ring_and_vanishes_where_nothing_is_left(radius: float, plies: list[float]) -> None:
    found = plies_in_corner(radius, 1.5, plies, visible=False, structural=False)
    for p in found:
        if p.stack < radius:
            assert p.pressure == pytest.approx(corner_pressure(1.0, radius, p.stack))
        else:
            assert p.pressure == 0.0
            assert p.verdict is CornerVerdict.CLOSED


@given(st.floats(0.0, 0.03), st.floats(0.0, np.pi), PLIES, st.booleans(), st.booleans(), st.floats(0, 0.01))
def test_nothing_gets_better_with_another_ply(
    radius: float, turn: float, plies: list[float], visible: bool, structural: bool, bag: float
) -> None:
    found = plies_in_corner(radius, turn, plies, visible=visible, structural=structural, bag_radius=bag)
    rank = [ORDER.index(p.verdict) for p in found]
    assert rank == sorted(rank)
    assert all(b.pressure <= a.pressure for a, b in pairwise(found))
    assert all(b.onto <= a.onto for a, b in pairwise(found))
    slides = [p.slide for p in found if p.slide is not None]
    assert slides == sorted(slides)
    shorter = plies_in_corner(radius, turn, plies[:1], visible=visible, structural=structural, bag_radius=bag)
    assert shorter[0] == found[0]  # later plies change nothing for earlier ones


@given(st.floats(0.0005, 0.02), st.floats(0.0, 0.02), PLIES)
def test_a_larger_radius_never_asks_more(radius: float, more: float, plies: list[float]) -> None:
    tight = plies_in_corner(radius, 1.2, plies, visible=True, structural=True)
    wide = plies_in_corner(radius + more, 1.2, plies, visible=True, structural=True)
    assert all(ORDER.index(w.verdict) <= ORDER.index(t.verdict) for t, w in zip(tight, wide, strict=True))


@given(PLIES, st.booleans(), st.booleans(), st.floats(0.0, 0.01))
def test_the_radius_to_follow_lets_every_ply_follow_and_no_smaller_one_does(
    plies: list[float], visible: bool, structural: bool, bag: float
) -> None:
    wanted = radius_to_follow(plies, visible=visible, structural=structural, bag_radius=bag)

    def last(radius: float) -> CornerVerdict:
        found = plies_in_corner(radius, 1.5, plies, visible=visible, structural=structural, bag_radius=bag)
        return found[-1].verdict

    assert last(wanted * (1 + 1e-9)) is CornerVerdict.FOLLOWS
    assert last(wanted * (1 - 1e-6)) is not CornerVerdict.FOLLOWS


def test_a_corner_of_four_millimetres_ply_by_ply() -> None:
    """0.25 mm plies: laid on 3 mm and more hard work, on less they bridge, on 2 mm and less a filler."""
    plies = plies_in_corner(0.004, np.pi / 2, [0.00025] * 17, visible=True, structural=False)
    word = [p.verdict for p in plies]
    assert word[:5] == [CornerVerdict.HARD] * 5
    assert word[5:8] == [CornerVerdict.BRIDGES] * 3
    assert word[8:15] == [CornerVerdict.FILLER] * 7
    assert word[15:] == [CornerVerdict.CLOSED] * 2
    assert largest_follower(plies, CornerVerdict.HARD) == 5


def test_what_slides_is_counted_from_the_radius_a_ply_is_laid_on() -> None:
    plies = plies_in_corner(0.004, np.pi / 2, [0.0005] * 3, visible=True, structural=False)
    radii = np.array([0.004, 0.0035, 0.003])
    assert [p.slide for p in plies] == pytest.approx(slide_in(radii, np.pi / 2, 0.006).tolist())
    assert [p.shorter for p in plies] == pytest.approx([z * np.pi / 2 for z in (0.00025, 0.00075, 0.00125)])


def test_settling_is_the_difference_of_two_offset_arcs() -> None:
    """A stack of 2 mm laid 10 % thicker: its middle ply sinks from 1.1 to 1.0 mm above a right angle."""
    plies = plies_in_corner(0.010, np.pi / 2, [0.0008, 0.0004, 0.0008], visible=True, structural=True, bulk=0.10)
    before, after = (0.010 - 0.0011) * np.pi / 2, (0.010 - 0.0010) * np.pi / 2
    assert plies[1].settle == pytest.approx(after - before)


def test_a_bag_that_does_not_reach_in_presses_nothing() -> None:
    plies = plies_in_corner(0.010, np.pi / 2, [0.001] * 6, visible=True, structural=False, bag_radius=0.006)
    assert [p.pressure > 0 for p in plies] == [True] * 4 + [False] * 2
    assert [p.verdict for p in plies] == [CornerVerdict.FOLLOWS] * 4 + [CornerVerdict.BRIDGES] * 2


def test_a_crease_closes_at_the_first_ply_and_a_groove_states_no_slide() -> None:
    (ply,) = plies_in_corner(0.0, np.pi / 2, [0.0002], visible=False, structural=False)
    assert (ply.verdict, ply.pressure, ply.left) == (CornerVerdict.CLOSED, 0.0, 0.0)
    (ply,) = plies_in_corner(0.001, np.radians(178), [0.0002], visible=False, structural=False)
    assert ply.slide is None
    assert ply.bridge is None


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="thicknesses above zero"):
        plies_in_corner(0.01, 1.0, [], visible=True, structural=True)
    with pytest.raises(InputError, match="zero or more"):
        plies_in_corner(-0.01, 1.0, [0.001], visible=True, structural=True)
    with pytest.raises(InputError, match="0 to 180°"):
        plies_in_corner(0.01, 4.0, [0.001], visible=True, structural=True)
    with pytest.raises(InputError, match="at least one"):
        radius_to_follow([], visible=True, structural=True)
