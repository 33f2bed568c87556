"""Joins on the mould: a cylinder unrolled by hand says where a line of the flat piece lies; distances by hand."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from bagside.cutting import PieceSeam
from bagside.geometry import Surface
from bagside.sheets.book_joins import TriedCut, joins_table, proposal_table
from bagside.sheets.bookinput import Said
from bagside.sheets.joined import JoinLine, least_apart, lifted, overlap_on
from bagside.sheets.joins_view import apart, joins_picture
from bagside.sheets.kept_angles import angle_words
from bagside.sheets.picture import OnMould, mould_picture
from bagside.sheets.view import View

RADIUS, LONG, ARC, LAP = 0.15, 0.2, 0.24, 0.02
FLAT = View(right=np.array([1.0, 0, 0]), up=np.array([0, 1.0, 0]), towards=np.array([0, 0, 1.0]), tilt=0.0)


def unrolled(n: int = 40) -> tuple[Surface, np.ndarray]:
    """Return a part of a cylinder and the same part unrolled: u along it, v round it."""
    u, v = np.meshgrid(np.linspace(0, LONG, n + 1), np.linspace(0, ARC, n + 1), indexing="ij")
    uv = np.stack([u.ravel(), v.ravel()], axis=1)
    angle = uv[:, 1] / RADIUS
    points = np.stack([uv[:, 0], RADIUS * np.sin(angle), RADIUS * np.cos(angle)], axis=1)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    return Surface(points, np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])), uv


def seam(u: float, *, over: bool = True, join: str = "overlap", name: str = "A", prime: bool = False) -> PieceSeam:
    line = np.column_stack([np.full(7, u), np.linspace(0, ARC, 7)])
    return PieceSeam(
        name=name, prime=prime, join=join, over=over, width=LAP, line=line, ticks=line[2:4],
        normals=np.array([[1.0, 0.0], [1.0, 0.0]]), other="3B",
    )  # fmt: skip


OUTLINE = np.array([[0.0, 0.0], [LONG, 0.0], [LONG, ARC], [0.0, ARC]])


def test_a_line_of_the_flat_piece_lies_where_the_cylinder_says() -> None:
    surface, uv = unrolled()
    rng = np.random.default_rng(5)
    flat = rng.random((50, 2)) * np.array([LONG, ARC])
    angle = flat[:, 1] / RADIUS
    true = np.stack([flat[:, 0], RADIUS * np.sin(angle), RADIUS * np.cos(angle)], axis=1)
    sag = (ARC / 40) ** 2 / (8 * RADIUS)
    assert np.linalg.norm(lifted(surface, uv, flat) - true, axis=1).max() < 1.05 * sag
    assert lifted(surface, uv, uv[:9]) == pytest.approx(surface.vertices[:9], abs=1e-9)


def test_the_overlap_on_the_mould_is_what_lies_past_the_join_line() -> None:
    surface, uv = unrolled()
    past, under = overlap_on(surface, uv, OUTLINE, (seam(LONG - LAP),))
    inside = uv[:, 0] > LONG - LAP + 1e-9
    assert ((past > 1e-9) == inside).all()
    assert past[inside] == pytest.approx(uv[inside, 0] - (LONG - LAP), abs=1e-9)
    assert not under.any()


def test_the_rim_under_a_neighbour_is_known_and_a_butt_join_hides_nothing() -> None:
    surface, uv = unrolled()
    past, under = overlap_on(surface, uv, OUTLINE, (seam(LONG, over=False),))
    assert (under == (uv[:, 0] > LONG - 1e-9)).all()
    assert (past < 0).all()
    past, under = overlap_on(surface, uv, OUTLINE, (seam(LONG, over=False, join="butt"),))
    assert not under.any()
    assert (past < 0).all()


def test_the_overlap_is_hatched_and_what_lies_under_it_is_dashed() -> None:
    surface, uv = unrolled()
    past, _ = overlap_on(surface, uv, OUTLINE, (seam(LONG - LAP),))
    _, under = overlap_on(surface, uv, OUTLINE, (seam(LONG, over=False),))
    plain = mould_picture(surface, [OnMould(surface=surface)], view=FLAT).svg
    hatched = mould_picture(surface, [OnMould(surface=surface, past=past)], view=FLAT).svg
    dashed = mould_picture(surface, [OnMould(surface=surface, under=under)], view=FLAT).svg
    picture = re.compile(r"base64,([^\"]+)")
    assert picture.findall(plain) != picture.findall(hatched)
    assert picture.findall(plain) == picture.findall(dashed)
    assert "stroke-dasharray" not in plain
    assert dashed.count('stroke-dasharray="1.4 0.9"') == 1


def test_joins_apart_by_hand() -> None:
    line = np.array([[0.0, 0.0, 0.0], [0.0, 0.3, 0.0]])
    joins = [
        JoinLine(ply=1, name="A", points=line),
        JoinLine(ply=3, name="A", points=line + np.array([0.025, 0.1, 0.0])),
        JoinLine(ply=4, name="A", points=np.array([[-0.2, 0.2, 0.0], [0.2, 0.2, 0.0]])),
    ]
    found = {(a.lower, a.upper): a.distance for a in apart(joins)}
    assert found == {(1, 3): pytest.approx(0.025, abs=1e-9), (3, 4): pytest.approx(0.0, abs=5e-4)}
    assert least_apart(joins[:1], []) == float("inf")
    assert joins[1].length == pytest.approx(0.3)


def test_least_distance_agrees_with_another_library() -> None:
    rng = np.random.default_rng(11)
    for _ in range(20):
        one, other = (np.cumsum(rng.normal(0, 0.02, (9, 2)), axis=0) for _ in range(2))
        found = least_apart(
            [JoinLine(ply=1, name="A", points=np.column_stack([one, np.zeros(9)]))],
            [JoinLine(ply=2, name="A", points=np.column_stack([other + 0.1, np.zeros(9)]))],
        )
        true = shapely.LineString(one).distance(shapely.LineString(other + 0.1))
        assert true - 1e-9 <= found <= true + 1e-3


def test_the_picture_of_all_joins_names_each() -> None:
    surface, uv = unrolled()
    up = np.linspace(0, ARC, 30)
    joins = [
        JoinLine(ply=k, name="A", points=lifted(surface, uv, np.column_stack([np.full(30, u), up])))
        for k, u in ((1, 0.06), (2, 0.12))
    ]
    svg = joins_picture(surface, joins, (), FLAT, (150.0, 96.0))
    assert "ply 1, A" in svg
    assert "ply 2, A" in svg


class Named:
    """A piece of which the table reads the label only."""

    def __init__(self, label: str) -> None:
        self.label = label


def test_the_table_says_which_side_lies_on_top() -> None:
    sides = [(seam(0.1, over=False),), (seam(0.0, over=True, prime=True),)]
    (table,) = joins_table([Named("3A"), Named("3B")], sides)  # type: ignore[list-item]
    assert table.rows == (("A – A′", "3A to 3B", "overlap", "20 mm", "240 mm", "3B on top"),)
    butt = [(seam(0.1, over=False, join="butt"),), (seam(0.0, over=False, join="butt", prime=True),)]
    (table,) = joins_table([Named("3A"), Named("3B")], butt)  # type: ignore[list-item]
    assert table.rows[0][3:] == ("none", "240 mm", "")
    assert joins_table([Named("3")], [()]) == ()  # type: ignore[list-item]


def test_two_parts_of_a_ply_may_use_the_same_letters_and_a_dart_is_called_one() -> None:
    plain = [replace(seam(0.1, over=False), other=o) for o in ("3B", "3D")]
    primed = [replace(seam(0.0, over=True, prime=True), other=o) for o in ("3A", "3C")]
    pieces = [Named(n) for n in ("3A", "3B", "3C", "3D")]
    (table,) = joins_table(pieces, [(plain[0],), (primed[0],), (plain[1],), (primed[1],)])  # type: ignore[arg-type]
    assert [(row[1], row[5]) for row in table.rows] == [("3A to 3B", "3B on top"), ("3C to 3D", "3D on top")]
    lips = tuple(replace(seam(0.1, over=k, prime=k), other="3", dart=True) for k in (False, True))
    (table,) = joins_table([Named("3")], [lips])  # type: ignore[list-item]
    assert table.rows == (("A – A′", "dart in 3", "overlap", "20 mm", "240 mm", "A′ on top"),)


def test_a_proposal_says_what_was_tried_and_at_what_price() -> None:
    whole = TriedCut(
        what="whole", cuts=0, cut=0.0, overlap=0.0, shear=0.75, surplus=math.inf, price="", good=False
    )
    dart = TriedCut(
        what="dart to the deepest point", cuts=1, cut=0.14, overlap=0.0021, shear=0.5, surplus=0.006, price="0.31 EUR",
        good=True, taken=True,
    )  # fmt: skip
    table = proposal_table(3, (whole, dart))
    assert table.rows[0] == ("whole", "0", "0 mm", "0 cm²", "43°", "–", "", "past a limit")
    assert [c.words for c in table.rows[1] if isinstance(c, Said)] == [
        "dart to the deepest point", "1", "140 mm", "21 cm²", "29°", "0.6 %", "0.31 EUR", "taken",
    ]  # fmt: skip


def test_angles_that_survive_are_one_sentence() -> None:
    three = [(np.radians(a), s) for a, s in ((3, 0.82), (5, 0.951), (10, 1.0))]
    assert angle_words(three, three[:1]) == (
        "Warp within ±3° 82 %, ±5° 95 %, ±10° 100 %; weft within ±3° 82 % of the area."
    )
    assert angle_words((), ()) == ""
