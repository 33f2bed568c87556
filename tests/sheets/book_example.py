"""A whole book in miniature, from surfaces in closed form; every figure in it is made up to fill its place."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from dish import cloth, dish, height, part_of

from bagside.findings import Basis, Finding, Severity
from bagside.sheets import colour, marks, paper
from bagside.sheets.bookinput import (
    BookInput,
    Boxes,
    Caution,
    Chapter,
    Findings,
    Handwritten,
    Paragraph,
    Picture,
    PlyPage,
    Said,
    StepLine,
    Steps,
    Table,
)
from bagside.sheets.curechart import CureCurves, Segment, cure_chart
from bagside.sheets.flatview import FlatPiece, flat_view
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.section import PlyInSection, section_view
from bagside.sheets.timetable import Bar, Spell, bars, timetable
from bagside.spec.workshop import Paper

MEASURED, SHEET, PUBLISHED, COMMON = Basis.MEASURED, Basis.DATA_SHEET, Basis.PUBLISHED, Basis.COMMON


def curves() -> CureCurves:
    """Return curves of the right shape."""
    corners = np.array([[0, 21], [0.5, 80], [2, 80], [2.4, 110], [6.4, 110], [7.2, 40]], dtype=float)
    t = np.linspace(0, 7.2 * 3600, 400)
    h = t / 3600
    want = np.interp(h, corners[:, 0], corners[:, 1])

    def behind(tau: float) -> np.ndarray:
        y = np.full_like(t, 21.0)
        for k in range(1, len(t)):
            y[k] = y[k - 1] + (t[k] - t[k - 1]) / tau * (want[k] - y[k - 1])
        return y + 273.15

    cure = 0.96 / (1 + np.exp(-(h - 3.2) * 2.6))
    return CureCurves(
        programme=np.column_stack([corners[:, 0] * 3600, corners[:, 1] + 273.15]),
        time=t,
        leading=behind(500),
        lagging=behind(1500) + 6 * np.exp(-((h - 3.4) ** 2) * 3),
        names=("leading, open panel", "lagging, doubler on thick mould"),
        cure=cure,
        tg=273.15 - 20 + 150 * cure**1.2,
        air=behind(200),
        gel=2.95 * 3600,
        limit=273.15 + 120,
        limit_words="The mould softens at 135 °C; limit kept 15 K below, 120 °C",
        segments=(
            Segment(begin=0, end=1800, words="rise", under="2.0 °C/min"),
            Segment(begin=1800, end=7200, words="hold 80 °C", under="90 min"),
            Segment(begin=7200, end=2.4 * 3600, words="rise", under="1.3 °C/min"),
            Segment(begin=2.4 * 3600, end=6.4 * 3600, words="hold 110 °C", under="4 h 00"),
            Segment(begin=6.4 * 3600, end=7.2 * 3600, words="cool", under="1.5 °C/min"),
        ),
    )


def findings() -> tuple[Finding, ...]:
    """Return one finding of each weight."""
    return (
        Finding(
            severity=Severity.STOP,
            stage="cure",
            place="cure, mould",
            what="the mould softens at 95 °C and this cycle reaches 116 °C",
            why="a soft mould sags under the bag.",
            do="lower the hold to 80 °C or choose another mould.",
            basis=SHEET,
            source="data sheet of the mould's resin",
        ),
        Finding(
            severity=Severity.DECIDE,
            stage="drape",
            place="ply 3, piece 3A",
            what="the cloth shears 40.6° in this corner, more than this twill takes",
            why="it wrinkles from 35°.",
            do="move the join 20 mm outboard",
            basis=MEASURED,
        ),
        Finding(
            severity=Severity.WATCH,
            stage="mould",
            place="corner 2",
            what="2.8 mm radius in corner 2 is under the 3.6 mm this stack wants",
            why="cloth bridges it.",
            do="press it in before the rim; debulk warm.",
            basis=COMMON,
        ),
        Finding(
            severity=Severity.SEEN,
            stage="mould",
            place="mould file",
            what="two small holes in the mesh were closed",
            why="they are 0.4 mm across.",
            do="nothing.",
            basis=MEASURED,
        ),
    )


def profile() -> np.ndarray:
    """Return the mould's section along y = 0."""
    x = np.linspace(-0.21, 0.21, 300)
    return np.column_stack([x, height(x, np.zeros_like(x))])


def section(at: int) -> str:
    """Return the section with a ply in hand."""
    line = profile()
    end = float(np.hypot(*np.diff(line, axis=0).T).sum())
    spans = [
        ((0.04, end - 0.04),),
        ((0.04, end - 0.04),),
        ((0.04, end * 0.6), (end * 0.57, end - 0.04)),
        ((0.17, 0.26),),
        ((0.04, end - 0.04),),
    ]
    states = ["laid" if k < at else "in hand" if k == at else "to come" for k in range(5)]
    plies = [PlyInSection(spans=s, thickness=0.00022, state=w) for s, w in zip(spans, states, strict=True)]
    return section_view(line, plies, size_mm=(92.0, 33.0))


@cache
def surfaces() -> tuple[object, ...]:
    mould = dish()
    return mould, part_of(mould), part_of(mould, east=0.05), part_of(mould, west=0.035)


def ply_page(number: int) -> PlyPage:
    """Return a ply of one or two pieces."""
    mould, whole, west, east = surfaces()
    two = number == 3
    angle = np.pi / 4 if two else 0.0
    laid, flat = [], []
    for surface, label in ((west, "3A"), (east, "3B")) if two else ((whole, str(number)),):
        uv, shear = cloth(surface, angle)
        laid.append(OnMould(surface=surface, values=shear, uv=uv, label=label))
        flat.append(
            FlatPiece(
                label=label,
                loops=tuple(uv[loop] for loop in surface.loops),
                uv=uv,
                triangles=surface.triangles,
                values=shear,
                start=(0.0, 0.0) if label != "3B" else (0.07, -0.07),
                note="from the join outward" if label == "3B" else "",
            )
        )
    rim = whole.loops[0]
    net = whole.vertices[np.append(rim, rim[0])] * np.array([0.94, 0.93, 1.0])
    net[:, 2] = height(net[:, 0], net[:, 1])
    picture = mould_picture(
        mould,
        laid,
        lines=[MouldLine(points=net, look=LineLook.NET_EDGE)],
        points=[
            MouldPoint(at=(0.0, 0.0, height(np.array(0.0), np.array(0.0)).item()), look=PointLook.START),
            MouldPoint(at=(-0.135, -0.075, -0.03), look=PointLook.RING, words="2"),
            MouldPoint(at=(0.03, 0.02, -0.03), look=PointLook.RING, words="1"),
            MouldPoint(at=(0.11, 0.0, -0.044), look=PointLook.HOLE),
        ],
        arrows=[(np.array([-0.09, -0.02, -0.044]), np.array([-0.06, -0.02 + 0.03 * np.tan(angle), -0.044]))],
        size_mm=(89.0 if two else 150.0, 96.0),
        title=f"ply {number} on the mould",
    )
    scale = paper.sheet(62, 9, [marks.scale_bar(2.5, 2.4, colour.SHEAR, limit=35, length=56)], title="shear")
    stretch = paper.sheet(62, 9, [marks.scale_bar(2.5, 2.4, colour.STRETCH, length=56)], title="stretch")
    pulled = [replace(p, values=0.03 * np.sin(40 * p.surface.centroids[:, 0]), label="") for p in laid]
    second = mould_picture(mould, pulled, bands=colour.STRETCH, size_mm=(89.0, 96.0), title="stretch")
    rows = (("A – A′", "3A to 3B", "overlap", "15 mm", "212 mm", "3A on top"),)
    joins = Table(headers=("join", "of", "kind", "overlap", "length", ""), align="lllrrl", rows=rows)
    return PlyPage(
        title=f"Ply {number}",
        facts=("of 5", "twill 200", "±45°" if two else "0/90", "lid and skirt", "two pieces" if two else "one piece"),
        picture=picture.svg,
        scale=scale,
        second=second.svg if two else "",
        second_scale=stretch if two else "",
        lines=("Warp within ±3° 82 %, ±5° 95 %, ±10° 100 % of the area; weft within ±3° 80 %.",),
        tables=(joins,) if two else (),
        notes=(
            "Cross on the recess mark, arrow aft.",
            Said(words="Press this corner before the rim; it shears 40.6°, warm it", basis=COMMON),
            *(("3B from the join outward.",) if two else ()),
        ),
        flats=(flat_view(flat, size_mm=(184.0, 92.0)),),
        section=section(number - 1),
        boxes=(
            (len(flat), "tool film off"),
            (len(flat), "bag film off"),
            (1, "corner 2 lies down, no bridge"),
            (1, "warp within 3° of the arrow"),
        ),
        cautions=(
            Caution(
                what="Fresh gloves, no heat gun above 60 °C.", why="Freezer-cold cloth cracks: 3 h in the bag first."
            ),
        ),
    )


@cache
def example(on: Paper = Paper.A4) -> BookInput:
    """Return the book."""
    mould, whole, *_ = surfaces()
    cover = mould_picture(mould, [OnMould(surface=whole)], size_mm=(150.0, 100.0), title="the part")
    monday = datetime(2026, 11, 23, 8)
    hours = timedelta(hours=1)
    spells = (
        Spell(line="hands", words="cut kit", start=monday, end=monday + 3 * hours),
        Spell(line="hands", words="lay", start=monday + 5 * hours, end=monday + 9 * hours),
        Spell(line="oven", words="cure", start=monday + 10 * hours, end=monday + 18 * hours, attended=False),
        Spell(line="hands", words="trim", start=monday + 24 * hours, end=monday + 28 * hours),
        Spell(line="hands", words="coat", start=monday + 96 * hours, end=monday + 100 * hours),
    )
    return BookInput(
        title="Day-hatch lid",
        subtitle="4 off · 2-piece mould M-14 · invented figures",
        facts=(
            ("plies", "5"),
            ("pieces", "6"),
            ("area", Said(words="1\u2009087 cm²", basis=MEASURED)),
            ("thickness", Said(words="1.10 mm", basis=SHEET)),
            ("mass, cured", Said(words="156 g", basis=SHEET)),
            ("cloth", "1.75 m of roll"),
            ("cure", Said(words="80 °C 90 min, 110 °C 4 h", basis=SHEET)),
            ("degree of cure, least", Said(words="0.962 ≥ 0.950", basis=PUBLISHED)),
            ("finish", "Fri 27 Nov"),
            ("price", Said(words="1\u2009734.00 EUR", basis=COMMON, bold=True)),
        ),
        inputs="7f3c 91ae",
        made="25 Nov, 14:02",
        cover=cover.svg,
        findings=findings(),
        before=(
            Chapter(
                title="Mould",
                facts=("2 pieces", "epoxy tooling"),
                blocks=(
                    Picture(
                        svg=mould_picture(
                            mould,
                            points=[
                                MouldPoint(at=(-0.14, -0.085, -0.03), look=PointLook.RING, words="1"),
                                MouldPoint(at=(0.14, 0.085, -0.03), look=PointLook.RING, words="2"),
                            ],
                            size_mm=(150.0, 100.0),
                        ).svg,
                        caption="seen from the laminate side, tilted 25°",
                    ),
                    Table(
                        headers=("corner", "verdict", "radius mm", "wanted mm", "length mm"),
                        align="llrrr",
                        title="Tight corners",
                        rows=(
                            (
                                "1",
                                "cloth bridges",
                                Said(words="2.8", basis=MEASURED),
                                Said(words="3.6", basis=COMMON),
                                "84",
                            ),
                            (
                                "2",
                                "just in reach",
                                Said(words="3.9", basis=MEASURED),
                                Said(words="3.6", basis=COMMON),
                                "61",
                            ),
                        ),
                    ),
                    Findings(items=findings()[2:]),
                ),
            ),
            Chapter(
                title="Cut list",
                facts=("4 kits", "twill 200"),
                blocks=(
                    Table(
                        headers=("piece", "cloth", "angle", "cut", "length mm", "width mm", "cm²"),
                        align="llrrrrr",
                        rows=tuple(
                            (p, "twill 200", a, "4", w, h, c)
                            for p, a, w, h, c in (
                                ("1", "0°", "402.1", "271.0", "1\u2009087"),
                                ("2", "0°", "402.1", "271.0", "1\u2009087"),
                                ("3A", "45°", "321.1", "308.5", "713"),
                                ("3B", "45°", "230.5", "249.1", "413"),
                            )
                        ),
                    ),
                    Boxes(
                        title="Before the roll goes back",
                        items=((1, "hours out of the freezer written down"), (1, "offcuts labelled")),
                    ),
                ),
            ),
        ),
        plies=(ply_page(1), ply_page(3)),
        after=(
            Chapter(
                title="Bag and cure",
                facts=("7 h 12", "oven"),
                blocks=(
                    Picture(svg=cure_chart(curves(), size_mm=(184.0, 90.0))),
                    Table(
                        headers=("margin", "planned", "wanted", ""),
                        align="lrrl",
                        rows=(
                            ("degree of cure, least", "0.964", Said(words="≥ 0.950", basis=SHEET), "kept"),
                            ("Tg, least", "124 °C", Said(words="≥ 105 °C", basis=COMMON), "kept"),
                            ("hottest in the laminate", "116 °C", Said(words="≤ 120 °C", basis=MEASURED), "kept"),
                        ),
                    ),
                    Handwritten(fields=(("vacuum, mbar", 1), ("drop in 5 min", 1), ("oven on", 1), ("by", 1))),
                ),
            ),
            Chapter(
                title="Steps",
                facts=("11 h 40 attended",),
                blocks=(
                    Steps(
                        title="Lay",
                        items=(
                            StepLine(
                                number="1",
                                name="Thaw the kit",
                                do=("Leave the bag shut until it is dry outside.",),
                                boxes=("bag dry, core above dew point",),
                                attended="5 min",
                                unattended="3 h 00",
                            ),
                            StepLine(
                                number="2",
                                name="Lay ply 1",
                                do=("Cross on cross, arrow aft; floor first, then radius, then wall.",),
                                boxes=("films off: 2", "no bridge"),
                                attended="16 min",
                                cautions=(
                                    Caution(
                                        what="Uncured resin sensitises skin.",
                                        why="Nitrile gloves, sleeves down; change gloves when torn.",
                                    ),
                                ),
                            ),
                        ),
                    ),
                ),
            ),
            Chapter(
                title="Time and money",
                blocks=(
                    Picture(svg=timetable(spells)),
                    Table(
                        headers=("total", "EUR"),
                        align="lr",
                        title="Three totals",
                        rows=(
                            ("for each batch", Said(words="735.30", basis=COMMON)),
                            ("once", Said(words="998.70", basis=COMMON)),
                            ("equipment", "0.00"),
                        ),
                    ),
                    Picture(
                        svg=bars(
                            (
                                Bar(words="hands", value=612, shown="612.00 EUR"),
                                Bar(words="cloth", value=88.2, shown="88.20 EUR"),
                                Bar(words="bag and films", value=31, shown="31.00 EUR"),
                                Bar(words="oven", value=4.1, shown="4.10 EUR"),
                            )
                        )
                    ),
                    Paragraph(
                        title="How the price is made", words="Hands at the workshop's rate, cloth by the metre pulled."
                    ),
                ),
            ),
        ),
        sources=(
            ("thickness of a ply", Said(words="data sheet of twill 200", basis=SHEET)),
            ("cure kinetics α(t)", Said(words="published rate law", basis=PUBLISHED)),
            ("times", Said(words="common practice until the shop's own are known", basis=COMMON)),
        ),
        limits=(
            "It does not certify a structure. Loads, safety factors and tests of a part that carries people belong to "
            "someone licensed to sign for them.",
            "It does not replace data sheets, safety data sheets or local rules; where they differ, they are right.",
        ),
        paper=on,
    )
