"""Branching lines taken apart."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from bagside.mould import arms_of
from bagside.mould.skeleton import Skeleton


def drawn(points: list[tuple[float, float]], links: list[tuple[int, int]]) -> Skeleton:
    p = np.column_stack([np.array(points, dtype=float), np.zeros(len(points))])
    return Skeleton(
        points=p, links=np.array(links).reshape(-1, 2), station=np.arange(len(p)), length=0.0, branches=0
    )


def test_a_line_a_ring_and_a_star() -> None:
    (line,) = arms_of(drawn([(k, 0) for k in range(5)], [(k, k + 1) for k in range(4)]), 1.5)
    assert line.stations in ((0, 1, 2, 3, 4), (4, 3, 2, 1, 0))
    assert (line.closed, line.meets) == (False, (False, False))
    corners = [(np.cos(a), np.sin(a)) for a in np.linspace(0, 2 * np.pi, 9)[:-1]]
    (ring,) = arms_of(drawn(corners, [(k, (k + 1) % 8) for k in range(8)]), 0.5)
    assert ring.closed
    assert sorted(ring.stations) == list(range(8))
    points = [(0, 0), (1, 0), (2, 0), (0, 1), (0, 2), (-1, 0), (-2, 0)]
    star = arms_of(drawn(points, [(0, 1), (1, 2), (0, 3), (3, 4), (0, 5), (5, 6)]), 1.5)
    assert len(star) == 3
    assert all(sum(arm.meets) == 1 and 0 in arm.stations for arm in star)


def test_a_spur_goes_and_the_line_runs_through() -> None:
    (line,) = arms_of(drawn([(k, 0) for k in range(7)] + [(3, 0.5)], [(k, k + 1) for k in range(6)] + [(3, 7)]), 2.0)
    assert len(line.stations) == 7
    assert 7 not in line.stations
    assert line.meets == (False, False)


def test_a_small_ring_in_a_line_goes_and_the_line_runs_through() -> None:
    points = [(-4, 0), (-2, 0), (0, 0), (0.5, 0.4), (0.5, -0.4), (1, 0), (3, 0), (5, 0)]
    links = [(0, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 5), (5, 6), (6, 7)]
    (line,) = arms_of(drawn(points, links), 2.0)
    assert {line.stations[0], line.stations[-1]} == {0, 7}


def test_two_branches_close_together_are_one_meeting_of_four() -> None:
    """A cross whose stations fell a little apart."""
    points = [(-3, 0), (-2, 0), (-0.2, 0), (0.2, 0), (2, 0), (3, 0), (-0.2, 2), (-0.2, 3), (0.2, -2), (0.2, -3)]
    links = [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (2, 6), (6, 7), (3, 8), (8, 9)]
    arms = arms_of(drawn(points, links), 1.0)
    assert len(arms) == 4
    assert all(sum(arm.meets) == 1 for arm in arms)


def test_a_rectangle_with_arms_has_four_sides_and_four_arms() -> None:
    n = 6
    side = [(k / n, 0) for k in range(n)] + [(1, k / n) for k in range(n)]
    side += [(1 - k / n, 1) for k in range(n)] + [(0, 1 - k / n) for k in range(n)]
    links = [(k, (k + 1) % (4 * n)) for k in range(4 * n)]
    points = list(side)
    for c, (dx, dy) in zip((0, n, 2 * n, 3 * n), ((-1, -1), (1, -1), (1, 1), (-1, 1)), strict=True):
        at = c
        for k in range(1, 4):
            points.append((side[c][0] + 0.2 * k * dx, side[c][1] + 0.2 * k * dy))
            links.append((at, len(points) - 1))
            at = len(points) - 1
    arms = arms_of(drawn(points, links), 0.4)
    assert sorted(sum(arm.meets) for arm in arms) == [1] * 4 + [2] * 4


@given(st.integers(2, 14), st.lists(st.tuples(st.integers(0, 13), st.integers(0, 13)), max_size=24), st.floats(0, 3))
def test_any_graph_ends_and_no_link_is_in_two_arms(n: int, extra: list[tuple[int, int]], shortest: float) -> None:
    rng = np.random.default_rng(n)
    points = [tuple(p) for p in rng.random((n, 2)) * 4]
    tree = [(k, int(rng.integers(0, k))) for k in range(1, n)]
    links = {(min(a, b), max(a, b)) for a, b in [*tree, *extra] if a != b and max(a, b) < n}
    arms = arms_of(drawn(points, sorted(links)), shortest)
    seen: list[tuple[int, int]] = []
    for arm in arms:
        s = list(arm.stations)
        pairs = list(zip(s, s[1:] + (s[:1] if arm.closed else []), strict=False))
        seen += [(min(a, b), max(a, b)) for a, b in pairs if (min(a, b), max(a, b)) in links]
    assert len(seen) == len(set(seen))


def test_nothing_but_a_point() -> None:
    assert arms_of(drawn([(0, 0)], []), 1.0) == ()
