"""Flat views, sections, charts, timetables and marks."""

from __future__ import annotations

import re
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from book_example import curves

from bagside.findings import Basis
from bagside.sheets import colour, marks, paper
from bagside.sheets.curechart import cure_chart
from bagside.sheets.flatview import FlatPiece, flat_view, round_scale
from bagside.sheets.placing import Places
from bagside.sheets.section import PlyInSection, section_view
from bagside.sheets.timetable import Bar, Spell, bars, timetable
from bagside.sheets.typeface import width, wrapped

RECTANGLE = np.array([[0, 0], [0.3, 0], [0.3, 0.2], [0, 0.2]])


def texts(svg: str) -> list[str]:
    return [
        "".join(e.itertext()) for e in ET.fromstring(svg).iter() if e.tag.endswith("text") and e.get("class") != "halo"
    ]


def test_a_flat_piece_states_scale_and_size() -> None:
    said = texts(flat_view([FlatPiece(label="1", loops=(RECTANGLE,))], size_mm=(184, 70)))
    assert {"300.0", "200.0", "flat, mm, 1 : 5", "warp"} <= set(said)
    svg = flat_view([FlatPiece(label="1", loops=(RECTANGLE,))], size_mm=(184, 70))
    outline = re.search(r'<path d="(M[^"]+Z)" fill="none"', svg)
    assert outline is not None
    points = np.array(re.findall(r"[\d.]+", outline.group(1)), dtype=float).reshape(-1, 2)
    np.testing.assert_allclose(np.ptp(points, axis=0), [60, 40], atol=0.01)


def test_scales_are_round() -> None:
    assert round_scale((0.09, 0.05), (100, 60)) == 1
    assert round_scale((0.19, 0.05), (100, 60)) == 2
    assert round_scale((2.0, 0.05), (100, 60)) == 20
    with pytest.raises(ValueError, match="does not fit"):
        round_scale((10.0, 1.0), (100, 60))


def test_plies_in_a_section_lie_over_each_other_by_state() -> None:
    line = np.array([[0.0, 0.0], [0.3, 0.0]])
    plies = [PlyInSection(spans=((0.05, 0.25),), thickness=0.0002, state=s) for s in ("laid", "in hand", "to come")]
    svg = section_view(line, plies)
    root = ET.fromstring(svg)
    heights = {}
    for e in root.iter():
        if e.tag.endswith("path") and e.get("fill") == "none":
            numbers = np.array(re.findall(r"-?[\d.]+", e.get("d") or ""), dtype=float).reshape(-1, 2)
            heights[e.get("stroke"), e.get("stroke-width"), e.get("stroke-dasharray")] = float(
                numbers[len(numbers) // 2, 1]
            )
    laid = heights[colour.INK, "0.7", None]
    hand = heights[colour.TAPE, "1", None]
    come = heights[colour.INK, "0.25", marks.TO_COME]
    times = int(re.search(r"×(\d+)", svg).group(1))  # type: ignore[union-attr]
    step = times * 0.0002 * 96.0 / 0.3
    assert laid - hand == pytest.approx(step, abs=0.01)
    assert hand - come == pytest.approx(step, abs=0.01)


def test_a_section_without_sense_is_refused() -> None:
    line = np.array([[0.0, 0.0], [0.3, 0.0]])
    with pytest.raises(ValueError, match="run forwards"):
        section_view(line, [PlyInSection(spans=((0.2, 0.1),), thickness=0.0002, state="laid")])
    with pytest.raises(ValueError, match="laid, in hand, to come, not 'lost'"):
        section_view(line, [PlyInSection(spans=((0.0, 0.1),), thickness=0.0002, state="lost")])
    with pytest.raises(ValueError, match="no length"):
        section_view(np.zeros((2, 2)), [])


def boxes_of(svg: str) -> list[tuple[str, float, float, float, float]]:
    out = []
    for e in ET.fromstring(svg).iter():
        if e.tag.endswith("text") and e.get("class") != "halo":
            size, x, y = (float(e.get(k) or 0) for k in ("font-size", "x", "y"))
            words = "".join(e.itertext())
            wide = width(words, size, bold=e.get("font-weight") == "700")
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[e.get("text-anchor") or "start"] * wide
            out.append((words, left, y - 0.74 * size, left + wide, y))
    return out


def assert_apart(svg: str) -> None:
    found = boxes_of(svg)
    for i, (one, a, b, c, d) in enumerate(found):
        for other, p, q, r, s in found[i + 1 :]:
            assert min(c, r) <= max(a, p) + 0.05 or min(d, s) <= max(b, q) + 0.05, (one, other)


def test_no_two_labels_of_a_cure_chart_overlap() -> None:
    assert_apart(cure_chart(curves()))
    assert_apart(cure_chart(replace(curves(), tg=None, air=None, gel=None, limit=None), size_mm=(130, 80)))


def test_a_cure_chart_says_what_it_shows() -> None:
    said = texts(cure_chart(curves()))
    assert {"programme", "oven air", "Tg, lagging", "degree of cure 0.96", "gel, 2 h 57", "hold 80 °C", "cured"} <= set(
        said
    )


def test_a_cure_chart_of_unlike_curves_is_refused() -> None:
    with pytest.raises(ValueError, match="leading of a cure chart"):
        cure_chart(replace(curves(), leading=np.zeros(3)))
    with pytest.raises(ValueError, match="rises from point to point"):
        cure_chart(replace(curves(), time=np.zeros(400)))


def test_labels_keep_apart_while_there_is_room() -> None:
    places = Places((0, 0, 100, 100))
    found = [places.label("label", 3.0, [(50.0, 50.0), (80.0, 50.0)]) for _ in range(4)]
    assert all(free for *_, free in found)
    assert len({f[:2] for f in found}) == 4


def test_a_timetable_breaks_at_midnight_and_runs_on() -> None:
    start = datetime(2026, 11, 23, 20)
    svg = timetable([Spell(line="oven", words="cure", start=start, end=start + timedelta(hours=8), attended=False)])
    assert svg.count("<rect") == 2
    assert {"Mon 23 Nov", "Tue 24 Nov", "oven"} <= set(texts(svg))
    with pytest.raises(ValueError, match="end after they start"):
        timetable([Spell(line="oven", words="x", start=start, end=start)])


def test_bars_are_as_long_as_their_amounts() -> None:
    svg = bars(
        [Bar(words="a", value=4.0, shown="4"), Bar(words="b", value=1.0, shown="1"), Bar(words="c", value=0, shown="0")]
    )
    long = [float(w) for w in re.findall(r'<rect[^>]* width="([\d.]+)"', svg)]
    assert long[1] / long[0] == pytest.approx(0.25, abs=1e-3)
    assert long[2] == 0
    with pytest.raises(ValueError, match="not negative"):
        bars([Bar(words="a", value=-1, shown="x")])


def test_every_basis_has_its_own_mark_and_name() -> None:
    found = {b: marks.basis_mark(1, 1, b) for b in Basis}
    assert len(set(found.values())) == 4
    assert all(f'aria-label="{b.value}"' in mark for b, mark in found.items())


def test_a_dimension_reads_from_below_or_from_the_right() -> None:
    for turn in np.radians(np.arange(0, 360, 15)):
        svg = marks.dimension(np.zeros(2), 60 * np.array([np.cos(turn), np.sin(turn)]), "60.0", offset=5)
        found = re.search(r"rotate\(([-\d.]+)", svg)
        assert -90 <= (float(found.group(1)) if found else 0.0) < 90


def test_marks_without_direction_are_refused() -> None:
    with pytest.raises(ValueError, match="two different points"):
        marks.warp_arrow(np.zeros(2), np.zeros(2))
    with pytest.raises(ValueError, match="between 0 and 1"):
        marks.time_bar(0, 0, 1.2, length=10)


def test_every_mark_is_well_formed() -> None:
    edge = np.array([[0.0, 0], [20, 0], [30, 8]])
    parts = [
        marks.warp_arrow(np.zeros(2), np.array([10.0, 0]), halo=True),
        marks.start_cross(5, 5),
        marks.hole_ring(5, 5, pilot=True),
        marks.number_ring(5, 5, "2"),
        marks.tick_box(0, 0),
        marks.leader(np.zeros(2), np.ones(2)),
        marks.butt(edge),
        marks.overlap(edge, edge + 2),
        marks.slip_joint(edge, edge + 2),
        marks.time_bar(0, 0, 0.3, length=20),
        marks.hatch("h"),
        marks.scale_bar(0, 3, colour.SHEAR, limit=35),
        marks.scale_bar(0, 3, colour.STRETCH),
    ]
    ET.fromstring(paper.sheet(60, 60, parts, title="marks & more"))


def test_text_is_escaped_and_thin_spaces_are_made_by_moving() -> None:
    svg = paper.sheet(10, 10, [paper.text(0, 5, "1\u2009087 < 2 & more")], title="x")
    assert texts(svg) == ["1087 < 2 & more"]
    assert "<tspan dx=" in svg
    assert width("1\u2009087", 3.0) > width("1087", 3.0)


def test_lines_are_wrapped_to_their_room() -> None:
    lines = wrapped("press this corner before the rim and warm it", 3.0, 30.0)
    assert len(lines) > 2
    assert all(width(one, 3.0) <= 30.0 for one in lines)
    assert " ".join(lines) == "press this corner before the rim and warm it"


@pytest.mark.parametrize("hold", [1.0, 6.0])
def test_the_names_of_a_cure_s_curves_stand_beside_their_curves(hold: float) -> None:
    # A band that is widest in the middle of a long hold has other curves all round it.
    one = curves()
    late = 6.0 + hold * np.sin(np.pi * one.time / one.time[-1]) * 4.0
    shown = replace(one, leading=one.lagging + late, names=("5 plies, hottest place", "4 plies, coldest place"))
    svg = cure_chart(shown)
    assert_apart(svg)
    leaders = re.findall(rf'd="M([-\d.]+) ([-\d.]+)L([-\d.]+) ([-\d.]+)"[^>]*stroke="{colour.HEAT}"', svg)
    long = [np.hypot(float(c) - float(a), float(d) - float(b)) for a, b, c, d in leaders]
    assert [s for s in long if 12.0 < s < 100.0] == [], "only the limit runs far"
    for name, curve, bold in zip(shown.names, (shown.leading, shown.lagging), (False, True), strict=True):
        (box,) = [b for b in boxes_of(svg) if b[0] == name]
        left, top, right, bottom = box[1:]
        x = 12.0 + (184.0 - 24.0) * one.time / one.time[-1]
        high = 20.0 * np.ceil((max(float(shown.leading.max()), float(one.tg.max()), one.limit + 8) - 273.15 + 6) / 20.0)
        y = 77.0 - 74.0 * (curve - 273.15) / high
        away = np.hypot(x - np.clip(x, left, right), y - np.clip(y, top, bottom)).min()
        assert away < 9.0, f"{name}, bold {bold}: {away:.1f} mm from its curve"


def test_a_scale_about_nothing_is_told_by_the_middles_of_its_bands() -> None:
    said = texts(paper.sheet(60, 9, [marks.scale_bar(1, 2, colour.STRETCH)], title="x"))
    assert said[1:] == ["−2", "−1.5", "−1", "−0.5", "0", "0.5", "1", "1.5", "2"]
    said = texts(paper.sheet(60, 9, [marks.scale_bar(1, 2, colour.SHEAR)], title="x"))
    assert said[1:] == ["0", "5", "10", "15", "20", "25", "30", "35", "40"]
