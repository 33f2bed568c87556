import numpy as np
import pytest

import shapes
from bagside.drape import ClothLaw, Drape, DrapeTask, drape, draped_many
from bagside.errors import InputError, NotSolved
from bagside.geometry.surface import Surface

WOVEN = ClothLaw(shear_weight=3e-3)


def tasks() -> list[DrapeTask]:
    cap = shapes.hemisphere(0.1, 1.0, 12)
    ball = shapes.hemisphere(0.1, np.pi, 8)
    line = np.array([[-0.05, 0, 0.0866], [0, 0, 0.1], [0.05, 0, 0.0866]])
    way = np.array([1.0, 0.4, 0])
    return [
        DrapeTask(surface=cap, start=np.array([0, 0, 0.1]), direction=way, law=WOVEN),
        DrapeTask(surface=cap, start=np.array([0, 0, 0.2]), direction=way, law=WOVEN),
        DrapeTask(surface=shapes.saddle(n=20), start=np.zeros(3), direction=way, law=WOVEN, refine=True),
        DrapeTask(surface=Surface(ball.vertices[:0], ball.triangles[:0]), start=np.zeros(3), direction=way, law=WOVEN),
        DrapeTask(surface=cap, start=np.array([0, 0, 0.1]), direction=way, law=WOVEN, first=line),
    ]


@pytest.fixture(scope="module")
def one_by_one() -> list[Drape | NotSolved | InputError]:
    return draped_many(tasks(), 1)


def test_results_come_in_order_and_an_error_stays_with_its_piece(
    one_by_one: list[Drape | NotSolved | InputError],
) -> None:
    assert [type(r) for r in one_by_one] == [Drape, InputError, Drape, InputError, Drape]
    assert "100.0 mm off the surface" in str(one_by_one[1])
    for task, lain in zip(tasks(), one_by_one, strict=True):
        if isinstance(lain, Drape):
            alone = drape(
                task.surface,
                start=task.start,
                direction=task.direction,
                law=task.law,
                refine=task.refine,
                first=task.first,
            )
            np.testing.assert_array_equal(lain.uv, alone.uv)


def test_side_by_side_is_the_same_to_the_bit(one_by_one: list[Drape | NotSolved | InputError]) -> None:
    both = draped_many(tasks(), 2)
    for one, other in zip(one_by_one, both, strict=True):
        assert type(one) is type(other)
        if isinstance(one, Drape):
            assert isinstance(other, Drape)
            for name in ("uv", "warp", "weft", "shear", "stretch_warp", "stretch_weft", "line"):
                np.testing.assert_array_equal(getattr(one, name), getattr(other, name))
            assert (one.energy, one.steps, one.scheme) == (other.energy, other.steps, other.scheme)
        else:
            assert str(one) == str(other)


def test_nothing_to_lay_gives_nothing() -> None:
    assert draped_many([], 4) == []
