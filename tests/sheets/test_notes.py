"""Notes on a picture: none on the drawing, none on another, no leader across anything; else rings, all of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from bagside.sheets.notes import CELL, GAP, RING, Note, notes_placed

SHEET = (0.0, 0.0, 900.0, 500.0)
OVAL = np.column_stack(
    [400 + 260 * np.cos(np.linspace(0, 2 * np.pi, 60)), 250 + 140 * np.sin(np.linspace(0, 2 * np.pi, 60))]
)


@st.composite
def cases(draw: st.DrawFn) -> list[Note]:
    notes = []
    for _ in range(draw(st.integers(1, 6))):
        turn, out = draw(st.floats(0, 6.28)), draw(st.floats(0, 0.95))
        at = (400 + 260 * out * np.cos(turn), 250 + 140 * out * np.sin(turn))
        size = (draw(st.floats(60, 260)), draw(st.floats(18, 110)))
        notes.append(Note(at=at, size=size))
    return notes


@settings(max_examples=150, deadline=None)
@given(cases())
def test_no_overlap_and_no_crossing(notes: list[Note]) -> None:
    for k, one in enumerate(notes):  # two places a ring apart are one place to whoever looks
        assume(all(np.hypot(one.at[0] - o.at[0], one.at[1] - o.at[1]) > 8.0 for o in notes[k + 1 :]))
    got = notes_placed(notes, bounds=SHEET, taken=[OVAL])
    assert len(got) == len(notes)
    assert len({s.box is None for s in got}) == 1  # boxes or rings, never both
    if got[0].box is None:
        return
    shape = Polygon(OVAL)
    boxes = [box(*s.box) for s in got if s.box is not None]
    leaders = [LineString(s.leader) for s in got if s.leader is not None]
    assert len(boxes) == len(leaders) == len(notes)
    for k, (note, own, leader) in enumerate(zip(notes, boxes, leaders, strict=True)):
        assert box(*SHEET).buffer(1e-6).contains(own)
        assert own.distance(shape) > GAP - 2 * CELL
        x0, y0, x1, y1 = own.bounds
        assert (x1 - x0, y1 - y0) == pytest.approx(note.size)
        assert leader.coords[1] == pytest.approx(note.at)
        assert own.distance(Point(leader.coords[0])) < 1e-6
        for j in range(len(notes)):
            if j != k:
                assert own.distance(boxes[j]) >= GAP - 1e-6
                assert not leader.intersects(leaders[j])
                assert not leader.intersects(boxes[j])
                assert leader.distance(Point(notes[j].at)) > 5.9


@settings(max_examples=80, deadline=None)
@given(cases())
def test_rings_do_not_cover_each_other(notes: list[Note]) -> None:
    whole = np.array([[0.0, 0], [900, 0], [900, 500], [0, 500]])
    got = notes_placed(notes, bounds=SHEET, taken=[whole])  # no white at all
    rings = [s.ring for s in got]
    for k, ring in enumerate(rings):
        assert ring is not None
        assert box(*SHEET).contains(Point(ring))
        for other in rings[k + 1 :]:
            assert other is not None
            assert np.hypot(ring[0] - other[0], ring[1] - other[1]) >= 2 * RING
        leader = got[k].leader
        if leader is None:
            assert np.hypot(ring[0] - notes[k].at[0], ring[1] - notes[k].at[1]) <= RING
        else:
            assert leader[1] == pytest.approx(notes[k].at)


def test_a_note_stands_at_the_nearest_white() -> None:
    (got,) = notes_placed([Note(at=(640.0, 250.0), size=(120.0, 40.0))], bounds=SHEET, taken=[OVAL])
    assert got.box is not None
    assert 660.0 < got.box[0] < 690.0
    (got,) = notes_placed([Note(at=(400.0, 120.0), size=(120.0, 40.0))], bounds=SHEET, taken=[OVAL])
    assert got.box is not None
    assert 85.0 < got.box[3] < 110.0


def test_five_notes_of_a_full_page_find_room_without_rings() -> None:
    places = [(180.0, 230.0), (300.0, 180.0), (520.0, 170.0), (600.0, 300.0), (380.0, 350.0)]
    notes = [Note(at=at, size=(170.0, 70.0)) for at in places]
    assert all(s.box is not None for s in notes_placed(notes, bounds=SHEET, taken=[OVAL]))


def test_too_long_a_leader_makes_rings() -> None:
    notes = [Note(at=(400.0, 250.0), size=(200.0, 60.0))]
    assert notes_placed(notes, bounds=SHEET, taken=[OVAL], longest=400.0)[0].box is not None
    assert notes_placed(notes, bounds=SHEET, taken=[OVAL], longest=100.0)[0].ring == (400.0, 250.0)


def test_what_has_no_place_is_refused() -> None:
    assert notes_placed([], bounds=SHEET, taken=[]) == ()
    with pytest.raises(ValueError, match="a sheet to stand on"):
        notes_placed([], bounds=(0, 0, 0, 10), taken=[])
    with pytest.raises(ValueError, match=r"\(950, 250\) lies outside"):
        notes_placed([Note(at=(950.0, 250.0), size=(10.0, 10.0))], bounds=SHEET, taken=[])
