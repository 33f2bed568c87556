"""The nest as a page shows it: every copy carries its place, on the page's scale, and says all about itself."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from bagside.cutting import FlatPiece, Placement, laid
from bagside.sheets.growth import growth
from bagside.sheets.nest_view import Bed, Shown, nest_view
from bagside.sheets.themed import themed
from pieces import ell, rectangle

PIECE = FlatPiece(label="3A", material="twill-200", loops=(ell(),), quantity=3)
SMALL = FlatPiece(label="4B", material="twill-200", loops=(rectangle(0.06, 0.06),))


def bed(*, roll: bool = True) -> Bed:
    return Bed(
        name="R-1",
        title='nest on "R-1"',
        outline=rectangle(1.5, 1.0),
        inner=(rectangle(0.1, 0.1, (1.2, 0.8)),),
        margins=(),
        selvedges=(),
        left=(("900 cm²", (rectangle(0.3, 0.3, (1.1, 0.1)),)),),
        roll="R-1, 12.05 m left" if roll else "",
        long="pull 1.50 m",
        wide="1000",
        warp="warp",
    )


def shown(piece: FlatPiece, turn: float, x: float, y: float, *, pinned: bool = False, flipped: bool = False) -> Shown:
    place = Placement(label=piece.label, copy=1, turn=turn, x=x, y=y, flipped=flipped)
    return Shown(
        piece=piece.label,
        kit="1",
        part="part 1",
        told=f"{piece.label}, part 1: <all> about it",
        fill=1,
        turn=turn,
        x=x,
        y=y,
        flipped=flipped,
        turns=piece.turns,
        loops=laid(piece, place),
        pinned=pinned,
    )


def copies(svg: str) -> list[ET.Element]:
    return [g for g in ET.fromstring(svg).iter() if "copy" in (g.get("class") or "").split()]


def points(g: ET.Element) -> np.ndarray:
    (edge,) = (p for p in g.iter() if p.get("class") == "edge")
    data = re.findall(r"(-?[\d.]+) (-?[\d.]+)", (edge.get("d") or "").split("Z")[0])
    return np.array(data, dtype=np.float64)


@pytest.mark.parametrize("roll", [True, False])
def test_a_copy_moved_on_the_page_is_moved_as_far_on_the_cloth(roll: bool) -> None:
    svg = nest_view(bed(roll=roll), [shown(PIECE, 0.0, 0.1, 0.2), shown(PIECE, 0.0, 0.4, 0.5)], (900.0, 520.0))
    root = ET.fromstring(svg)
    scale = float(root.get("data-scale") or 0)
    one, other = (points(g) for g in copies(svg))
    np.testing.assert_allclose(other - one, np.tile([0.3 * scale, -0.3 * scale], (len(one), 1)), atol=0.02)
    wide, tall = (float(v) for v in (root.get("viewBox") or "").split()[2:])
    assert wide <= 900.01
    assert tall <= 520.01


def test_the_corner_of_the_cloth_is_where_the_page_says() -> None:
    svg = nest_view(bed(), [shown(PIECE, 0.0, 0.0, 0.0)], (900.0, 520.0))
    root = ET.fromstring(svg)
    first = points(copies(svg)[0])[0]  # of the L: its corner at (0, 0)
    assert first == pytest.approx((float(root.get("data-left") or 0), float(root.get("data-base") or 0)), abs=0.02)


@pytest.mark.parametrize(("turn", "flipped"), [(0.0, False), (math.pi, False), (math.pi, True), (0.7, False)])
def test_the_label_lies_on_its_copy_however_that_is_turned(turn: float, flipped: bool) -> None:
    import shapely

    svg = nest_view(bed(), [shown(PIECE, turn, 0.5, 0.5, flipped=flipped)] * 2, (900.0, 520.0))
    for g in copies(svg):
        x, y = (float(v) for v in (g.get("data-at") or "").split())
        assert shapely.Polygon(points(g)).contains(shapely.Point(x, y))


def test_a_copy_says_all_about_itself_and_can_be_reached_by_keys() -> None:
    svg = nest_view(bed(), [shown(PIECE, 0.0, 0.1, 0.2, pinned=True), shown(SMALL, math.pi, 0.6, 0.6)], (900.0, 520.0))
    pinned, free = copies(svg)
    assert (pinned.get("tabindex"), pinned.get("role")) == ("0", "button")
    assert pinned.get("aria-label") == "3A, part 1: <all> about it"
    assert (pinned.get("data-x"), pinned.get("data-turns")) == ("0.100000000", "0 3.14159265359")
    assert (pinned.get("data-pinned"), free.get("data-pinned")) == ("1", "0")
    assert 'data-ground="tape"' in ET.tostring(pinned, encoding="unicode")
    assert "tape" not in ET.tostring(free, encoding="unicode")
    assert [t.text for t in free.iter() if t.tag.endswith("text")] == ["4B"]  # too small for its part's name


def test_what_no_label_fits_into_has_none() -> None:
    tiny = FlatPiece(label="9", material="twill-200", loops=(rectangle(0.01, 0.01),))
    (g,) = copies(nest_view(bed(), [shown(tiny, 0.0, 0.2, 0.2)], (900.0, 520.0)))
    assert not [t for t in g.iter() if t.tag.endswith("text")]


def test_a_roll_shows_what_is_pulled_and_an_offcut_its_edge() -> None:
    roll, offcut = (nest_view(bed(roll=r), [], (900.0, 520.0)) for r in (True, False))
    assert "pull 1.50 m" in roll
    assert "R-1, 12.05 m left" in roll
    assert "pull" not in offcut
    for svg in (roll, offcut):
        assert "900 cm²" in svg
        ET.fromstring(themed(svg))


def test_the_curve_ends_in_tape_while_it_grows() -> None:
    def drawn(points: list[tuple[float, float]], *, running: bool) -> str:
        return growth(
            points,
            (330.0, 170.0),
            running=running,
            share=lambda s, digits: f"{100 * s:.{digits}f} %",
            seconds=lambda s: f"{s:g} s",
            title="growth",
        )

    points = [(0.4, 0.63), (1.2, 0.70), (7.0, 0.748)]
    growing, done = (drawn(points, running=r) for r in (True, False))
    assert 'data-ground="tape"' in growing
    assert 'data-ground="tape"' not in done
    assert ">65 %<" in growing
    stairs = max(re.findall(r'<path d="(M[^"]*)" fill="none"', growing), key=len)
    xy = np.array(re.findall(r"([\d.]+) ([\d.]+)", stairs), dtype=np.float64)
    assert (np.diff(xy[:, 0]) >= 0).all()
    assert (np.diff(xy[:, 1]) <= 0).all()
    assert (np.isclose(np.diff(xy, axis=0), 0.0).any(axis=1)).all()  # steps: an answer stands until the next
    labels = re.findall(r">([\d.]+) %<", drawn([(1.0, 0.641), (2.0, 0.645)], running=False))
    assert len(set(labels)) == len(labels)
    ET.fromstring(drawn([(0.5, 0.7)], running=True))
    with pytest.raises(ValueError, match="before the first answer"):
        drawn([], running=True)
