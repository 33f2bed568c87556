"""A plate cut in two and a plate with a dart, from the cut to the marks on the pieces."""

from __future__ import annotations

import numpy as np
import pytest

from bagside import drape as draping
from bagside.cutting import FlatPiece, PieceSeam
from bagside.drape import ClothLaw
from bagside.drape.cuts import Cut, cut_pieces
from bagside.drape.joins import seam_marks, with_overlaps
from bagside.geometry import Surface
from bagside.planning.seam_sides import piece_seams
from bagside.spec.lines import Join

SIDE, LAP, AT = 0.24, 0.02, 0.16


def plate(n: int = 24, lift: float = 0.0) -> Surface:
    x, y = np.meshgrid(np.linspace(0, SIDE, n + 1), np.linspace(0, SIDE, n + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    z = lift * np.hypot(x - 0.5 * SIDE, y - 0.5 * SIDE)
    return Surface(np.stack([x.ravel(), y.ravel(), -z.ravel()], axis=1), triangles)


def cut(surface: Surface, line: np.ndarray, join: Join) -> list[FlatPiece]:
    """Return the flat pieces that a cut leaves, with their sides of joins."""
    overlap = 0.0 if join is Join.BUTT else LAP
    parts = cut_pieces(surface, [Cut(name="c", line=line, join=join, overlap=overlap)], size=0.01, tolerance=5e-4)
    labels = [f"1{chr(65 + k)}" for k in range(len(parts))]
    found = []
    for k, part in enumerate(parts):
        v = part.surface.vertices
        middle = v[np.argmin(np.linalg.norm(v - v.mean(axis=0), axis=1))]
        law = ClothLaw(shear_weight=1e-3)
        lain = draping.drape(part.surface, start=middle, direction=np.array([1.0, 0.0, 0.0]), law=law)
        marks = seam_marks(lain, part, spacing=0.08)
        pattern = with_overlaps(draping.pattern_of(lain), part, marks)
        seams = piece_seams(marks, k, labels)
        found.append(FlatPiece(label=labels[k], material="twill-200", loops=pattern.loops, seams=seams))
    return found


def across(u: float) -> np.ndarray:
    return np.array([[u, 0.0, 0.0], [u, SIDE, 0.0]])


def test_the_piece_laid_later_lies_on_top_and_marks_meet() -> None:
    big, small = cut(plate(), across(AT), Join.OVERLAP)
    one, other = big.seams[0], small.seams[0]
    assert (one.shown, other.shown) == ("A", "A′")
    assert (one.other, other.other) == ("1B", "1A")
    assert (one.over, other.over) == (False, True)
    assert big.area == pytest.approx(AT * SIDE, rel=1e-3)
    assert small.area == pytest.approx((SIDE - AT + LAP) * SIDE, rel=1e-3)
    # Flat on a flat plate: the same marks, each in its own piece's axes, are one rigid move apart.
    assert len(one.ticks) == len(other.ticks) == 3
    assert one.ticks - one.ticks[0] == pytest.approx(other.ticks - other.ticks[0], abs=2e-4)
    assert one.normals == pytest.approx(-other.normals, abs=1e-3)
    assert one.length == pytest.approx(SIDE, abs=2e-4)


def test_a_butt_join_has_no_overlap_on_either_side() -> None:
    pieces = cut(plate(), across(AT), Join.BUTT)
    assert [(s.over, s.width, s.join) for p in pieces for s in p.seams] == [(False, 0.0, "butt")] * 2
    assert sum(p.area for p in pieces) == pytest.approx(SIDE * SIDE, rel=1e-3)


def test_both_lips_of_a_dart_are_named_apart_on_one_piece() -> None:
    line = np.array([[SIDE, 0.5 * SIDE, 0.0], [0.5 * SIDE, 0.5 * SIDE, 0.0]])
    (piece,) = cut(plate(lift=0.25), line, Join.OVERLAP)
    sides: list[PieceSeam] = sorted(piece.seams, key=lambda s: s.prime)
    assert [s.shown for s in sides] == ["A", "A′"]
    assert all(s.dart for s in sides)
    assert sum(s.over for s in sides) == 1
    assert sides[0].length == pytest.approx(sides[1].length, rel=0.02)
