from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.cutting import FlatPiece, PieceSeam
from bagside.cutting.piece import edge_turns, turned
from bagside.errors import InputError
from pieces import TWILL, ell, outlines, piece, rectangle


def test_an_ell_by_hand() -> None:
    p = piece("5", ell())
    assert p.area == pytest.approx(0.018, abs=1e-15)
    assert p.size == pytest.approx((0.2, 0.15))
    assert p.knife_path == pytest.approx(0.7)
    assert p.turns == (0.0, math.pi)
    assert p.narrowest()[0] == pytest.approx(0.15)


def test_a_hole_counts_for_area_and_knife_but_not_for_the_outline() -> None:
    hole = rectangle(0.02, 0.01, at=(0.01, 0.01))
    p = FlatPiece(label="1", material=TWILL, loops=(ell(), hole))
    assert p.area == pytest.approx(0.018 - 0.0002)
    assert p.outline.area == pytest.approx(0.018)
    assert p.knife_path == pytest.approx(0.7 + 0.06)


def test_loops_come_in_one_form_whatever_their_winding_and_closing() -> None:
    shape = ell()
    hole = rectangle(0.02, 0.01, at=(0.01, 0.01))
    backwards = np.concatenate([shape, shape[:1]])[::-1]
    p = FlatPiece(label="1", material=TWILL, loops=(backwards, hole))
    assert p.polygon.exterior.is_ccw
    assert not p.polygon.interiors[0].is_ccw
    assert len(p.loops[0]) == 6
    assert not p.loops[0].flags.writeable
    assert p.polygon.equals(FlatPiece(label="1", material=TWILL, loops=(shape, hole[::-1])).polygon)


def test_a_piece_survives_a_cache() -> None:
    p = pickle.loads(pickle.dumps(piece("3A", ell(), marks=(("centre", (0.1, 0.02)),))))
    assert p.label == "3A"
    assert p.marks == (("centre", (0.1, 0.02)),)
    assert np.array_equal(p.loops[0], ell())


def problems(**given_: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        FlatPiece(**{"label": "3A", "material": TWILL, "loops": (ell(),), **given_})  # type: ignore[arg-type]
    return [str(p) for p in caught.value.problems]


def test_a_crossing_outline_is_refused_by_name_and_place() -> None:
    bow = np.array([[0.0, 0.0], [0.1, 0.1], [0.1, 0.0], [0.0, 0.1]])
    assert problems(loops=(bow,)) == [
        "piece 3A, outline: it crosses or touches itself (Self-intersection[0.05 0.05], in m) – "
        "a simple closed outline (look there for a crossing, a doubled edge or a fold in the flat)"
    ]


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ({"loops": ()}, "piece 3A: no outline – one closed outline"),
        ({"loops": (np.zeros((5, 2)),)}, "piece 3A, outline: 1 different points – at least three"),
        ({"loops": (np.zeros((5, 3)),)}, "piece 3A, outline: an array of shape (5, 3) – points as (k, 2)"),
        (
            {"loops": (ell() * np.nan,)},
            "piece 3A, outline: a coordinate that is not a number – finite coordinates",
        ),
        ({"quantity": 0}, "piece 3A, quantity: 0 – at least one copy"),
        ({"turns": ()}, "piece 3A, turns: () – at least one angle, or none for any angle"),
        (
            {"quantity": 2, "kits": ("lid 1",)},
            "piece 3A, kits: 1 names for 2 copies – one name for each copy, or none",
        ),
        ({"marks": (("hole", (math.inf, 0.0)),)}, "piece 3A, mark hole: (inf, 0.0) – finite numbers"),
    ],
)
def test_what_cannot_be_cut_is_refused(given_: dict[str, object], message: str) -> None:
    assert problems(**given_) == [message]


def test_a_flat_line_and_a_hole_outside_are_refused() -> None:
    line = np.array([[0.0, 0.0], [0.1, 0.0], [0.2, 0.0]])
    assert problems(loops=(line,))[0].startswith("piece 3A, outline: ")
    outside = rectangle(0.02, 0.02, at=(0.3, 0.3))
    assert problems(loops=(ell(), outside))[0].startswith("piece 3A, holes: Hole lies outside shell")


def test_every_problem_is_told_at_once() -> None:
    assert len(problems(quantity=0, turns=())) == 2


def test_quarter_turns_are_exact() -> None:
    points = rectangle(0.1, 1.25)
    for k in range(-4, 5):
        size = np.ptp(turned(points, k * math.pi / 2), axis=0)
        assert tuple(size) == ((0.1, 1.25) if k % 2 == 0 else (1.25, 0.1))


@given(outlines(), st.floats(-7.0, 7.0))
def test_a_turn_keeps_lengths_and_area(outline: np.ndarray, turn: float) -> None:
    p = piece("1", outline)
    q = piece("1", turned(outline, turn))
    assert q.area == pytest.approx(p.area, rel=1e-9)
    assert q.knife_path == pytest.approx(p.knife_path, rel=1e-9)


@given(outlines(), st.floats(-7.0, 7.0))
def test_no_turn_is_narrower_than_the_narrowest(outline: np.ndarray, turn: float) -> None:
    p = piece("1", outline, turns=None)
    width, at = p.narrowest()
    assert np.ptp(turned(outline, turn)[:, 1]) >= width - 1e-12
    assert np.ptp(turned(outline, at)[:, 1]) == pytest.approx(width)


def test_the_narrowest_of_a_tilted_rectangle_is_its_short_side() -> None:
    tilted = turned(rectangle(0.3, 0.1), 0.7)
    assert piece("1", tilted, turns=None).narrowest()[0] == pytest.approx(0.1)
    assert len(edge_turns(tilted)) == 4


def seam(**given_: object) -> PieceSeam:
    line = np.array([[0.0, 0.15], [0.04, 0.15], [0.08, 0.15]])
    fields = {
        "name": "A", "prime": False, "join": "overlap", "over": True, "width": 0.015, "line": line,
        "ticks": line[1:2], "normals": np.array([[0.0, 1.0]]), "other": "3B",
    }  # fmt: skip
    return PieceSeam(**{**fields, **given_})  # type: ignore[arg-type]


def test_two_sides_of_a_join_are_told_apart() -> None:
    p = FlatPiece(label="1", material=TWILL, loops=(ell(),), seams=(seam(), seam(prime=True, over=False)))
    assert [s.shown for s in p.seams] == ["A", "A′"]
    with pytest.raises(InputError, match="A′ stands on it twice"):
        FlatPiece(label="1", material=TWILL, loops=(ell(),), seams=(seam(prime=True), seam(prime=True)))


@pytest.mark.parametrize(
    ("given_", "told"),
    [
        ({"name": ""}, "seam without a name, name"),
        ({"join": "lap"}, 'seam A, join: "lap" .*overlap, butt, slip joint'),
        ({"width": -0.001}, "seam A, width"),
        ({"width": math.nan}, "seam A, width"),
        ({"line": np.zeros((3, 2))}, "seam A, line"),
        ({"line": np.zeros((3, 3))}, "seam A, line"),
        ({"ticks": np.array([[math.inf, 0.0]])}, "seam A, ticks"),
        ({"normals": np.zeros((0, 2))}, "seam A, normals"),
    ],
)
def test_a_seam_that_cannot_be_marked_is_refused(given_: dict[str, object], told: str) -> None:
    with pytest.raises(InputError, match=told):
        seam(**given_)
