"""When to debulk."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging import BagPly, debulk_plan
from bagside.errors import InputError

PLY = st.builds(
    BagPly,
    name=st.just("p"),
    area=st.just(0.1),
    thickness=st.sampled_from([0.00023, 0.00065]),
    has_tight_corner=st.booleans(),
)


def plies(count: int, thickness: float = 0.00023, *, corner: bool = False) -> list[BagPly]:
    return [BagPly(name=f"{k}", area=0.1, thickness=thickness, has_tight_corner=corner) for k in range(1, count + 1)]


@pytest.mark.parametrize(
    ("count", "thickness", "corner", "after"),
    [
        (1, 0.00023, False, [1]),
        (6, 0.00023, False, [1]),
        (12, 0.00023, False, [1, 6, 11]),
        (12, 0.00065, False, [1, 5, 9]),
        (8, 0.00023, True, [1, 4, 7]),
        (8, 0.00065, True, [1, 3, 5, 7]),
    ],
)
def test_plan(count: int, thickness: float, corner: bool, after: list[int]) -> None:
    assert [d.after for d in debulk_plan(plies(count, thickness, corner=corner))] == after


def test_a_seen_face_is_pressed_longer_and_corners_warm() -> None:
    seen, unseen = debulk_plan(plies(6))[0], debulk_plan(plies(6), visible=False)[0]
    assert (seen.minutes, unseen.minutes) == (20.0, 15.0)
    assert not seen.warm
    assert all(d.warm for d in debulk_plan(plies(6, corner=True)))


@given(st.lists(PLY, min_size=1, max_size=40))
def test_the_first_always_never_the_last_and_gaps_within_the_rule(stack: list[BagPly]) -> None:
    after = [d.after for d in debulk_plan(stack)]
    assert after[0] == 1
    assert len(stack) == 1 or after[-1] < len(stack)
    for one, two in zip(after, [*after[1:], len(stack)], strict=True):
        assert two - one <= 5
    assert after == sorted(set(after))


@given(st.lists(PLY, min_size=1, max_size=30))
def test_corners_never_mean_fewer_debulks(stack: list[BagPly]) -> None:
    tight = [BagPly(name=p.name, area=p.area, thickness=p.thickness, has_tight_corner=True) for p in stack]
    assert len(debulk_plan(tight)) >= len(debulk_plan(stack))


def test_no_ply_is_refused() -> None:
    with pytest.raises(InputError, match="at least one ply"):
        debulk_plan([])
    with pytest.raises(InputError, match="thickness"):
        debulk_plan(plies(1, 0.0))
