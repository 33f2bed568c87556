"""The chapters on what is made: mould, laminate, cut list."""

from __future__ import annotations

import math

from bagside.findings import Basis, sentence
from bagside.mould import LaidCorner
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets import plan_pictures
from bagside.sheets.book_words import of_stage, ply_thickness
from bagside.sheets.bookinput import (
    Block,
    Chapter,
    Findings,
    Paragraph,
    Picture,
    Said,
    Table,
    Words,
)
from bagside.sheets.plan_pictures import Drawn
from bagside.spec.measured import Measured, Place

CORNERS_SHOWN = 6  # corners told ply by ply; plan.json holds all


def mould_words(plan: BuildPlan) -> str:
    """Return how many pieces the mould has, in words."""
    count = len(plan.job.mould.pieces)
    return f"{count}-piece mould" if count > 1 else "mould in one piece"


def mould_chapter(plan: BuildPlan, drawn: Drawn) -> Chapter:
    """Return the chapter on the mould."""
    found = plan.mould
    tool = plan.library.tool[plan.job.mould.material]
    placed = plan_pictures.placed_findings(found.findings)
    rings = [
        Paragraph(words=Said(words=f"{n}  {sentence(f.what)} {sentence(f.why)} {sentence(f.do)}", basis=f.basis))
        for n, f in enumerate(placed, 1)
    ]
    blocks: list[Block] = []
    if drawn.corners:
        blocks += [
            Picture(
                svg=drawn.corners,
                caption=f"seen from the laminate side, tilted {math.degrees(drawn.tilt):.0f}°; net edge dash-dotted, "
                "tight corners bold",
            ),
            *rings,
            Table(
                title="How it comes off",
                headers=("piece", "least draft", "hooks in by"),
                align="lrr",
                rows=tuple((p.name, shown(p.smallest, "°"), shown(p.hook, "mm", 2)) for p in found.pieces),
            ),
        ]
    if plan.stated.measured is not None:
        blocks.append(_tape_table(plan.stated.measured, plan.stated.part))
    through = {one.corner.id: one for one in found.laid}
    if found.corners:
        blocks.append(
            Table(
                title="Tight inside corners",
                headers=("corner", "verdict", "radius", "wanted", "between", "length", "bridge"),
                align="llrrrrr",
                rows=tuple(
                    (
                        c.id,
                        through[c.id].words if c.id in through else c.verdict.value,
                        Said(words=shown(c.radius, "mm"), basis=Basis.MEASURED),
                        Said(words=shown(c.needed, "mm"), basis=Basis.COMMON),
                        shown(c.included, "°", 0),
                        shown(c.length, "mm", 0),
                        shown(c.gap, "mm"),
                    )
                    for c in found.corners
                ),
            )
        )
    blocks += [_corner_plies(one) for one in found.laid[:CORNERS_SHOWN]]
    blocks.append(
        Table(
            title="Size and heat",
            headers=("", ""),
            align="lr",
            rows=(
                ("material, thickness", f"{plan.job.mould.material}, {shown(plan.job.mould.thickness, 'mm', 0)}"),
                ("hottest it may be", Said(words=shown(tool.limit, "°C", 0), basis=tool.basis.of("limit"))),
                ("hottest it gets", shown(tool.limit - found.heat_margin, "°C", 0)),
                (
                    f"mould to make for {shown(found.size.part, 'mm')} of part",
                    Said(words=shown(found.size.mould, "mm"), basis=tool.basis.of("expansion")),
                ),
                (
                    "a right angle closes by",
                    Said(words=shown(found.spring_per_right_angle, "°"), basis=Basis.COMMON),
                ),
            ),
        )
    )
    blocks.append(Findings(items=tuple(f for f in of_stage(plan, "mould", "geometry") if f not in placed)))
    known = "by tape measure" if plan.surface is None else plan.surface.report.name
    return Chapter(title="Mould", facts=(mould_words(plan), known), blocks=tuple(blocks))


def _tape_table(measured: Measured, part: str) -> Table:
    """Return what the tape measure said."""

    def row(name: str, place: Place) -> tuple[Words, ...]:
        lies = place.of or ("the finished part" if name == part else "over the whole part")
        edge = "" if place.edge is None else Said(words=shown(place.edge, "mm", 0), basis=Basis.MEASURED)
        area = shown(place.area, "cm²", 0 if place.area > 2e-3 else 1)
        return (name, lies, Said(words=area, basis=Basis.MEASURED), edge)

    length, width = measured.size
    size = f"{shown(length, 'mm', 0)} × {shown(width, 'mm', 0)}, {shown(measured.depth, 'mm', 0)} deep"
    return Table(
        title=f"As measured: {size}, flange {shown(measured.flange, 'mm', 0)}",
        headers=("place", "lies on", "area", "edge"),
        align="llrr",
        rows=tuple(row(name, place) for name, place in measured.places.items()),
    )


def _corner_plies(one: LaidCorner) -> Table:
    """Return what each ply meets in a corner, with what helps there under it."""
    rows = [
        (
            f"ply {number}",
            ply.verdict.value,
            shown(ply.onto, "mm"),
            Said(words=shown(ply.pressure, "%", 0), basis=Basis.PUBLISHED),
            "–" if ply.slide is None else shown(0.5 * ply.slide, "mm", 2),
        )
        for number, ply in zip(one.numbers, one.plies, strict=True)
    ]
    helps = [
        (f"{rank}  {remedy.kind.value}", sentence(remedy.effect), "", "", "")
        for rank, remedy in enumerate(one.remedies[:3], 1)
    ]
    return Table(
        title=f"Corner {one.corner.id}, ply by ply, and what helps",
        headers=("", "", "laid on", "pressed at most", "slides in, each side"),
        align="llrrr",
        rows=(*rows, *helps),
    )


def laminate_chapter(plan: BuildPlan, drawn: Drawn) -> Chapter:
    """Return the chapter on the laminate."""
    found = plan.laminate
    cloth = found.basis
    blocks: list[Block] = [
        Picture(svg=drawn.section, caption=drawn.section_words),
        Table(
            title="Plies, first on the mould",
            headers=("ply", "cloth", "warp", "where", "cured", "pieces"),
            align="llrlrr",
            rows=tuple(
                (
                    str(k + 1),
                    ply.material,
                    shown(ply.angle, "°", 0),
                    ply.region,
                    Said(words=shown(ply_thickness(plan, k), "mm", 2), basis=cloth),
                    str(plan.plies[k].count),
                )
                for k, ply in enumerate(plan.job.plies)
            ),
        ),
        Table(
            title="Zones",
            headers=("plies", "area", "thickness", "mass", "Ex", "Ey", "Gxy"),
            align="lrrrrrr",
            rows=tuple(
                (
                    ", ".join(str(i + 1) for i in found.plies_in(z)),
                    shown(z.area, "cm²", 0),
                    Said(words=shown(z.laminate.thickness, "mm", 2), basis=cloth),
                    shown(z.laminate.mass_per_area, "g/m²", 0),
                    Said(words=shown(z.laminate.Ex, "GPa", 0), basis=cloth),
                    shown(z.laminate.Ey, "GPa", 0),
                    shown(z.laminate.Gxy, "GPa", 0),
                )
                for z in found.zones
                if not z.small or len(found.zones) == 1
            ),
        ),
    ]
    match, replaced = found.match, plan.job.replaces
    if match is not None and replaced is not None:
        blocks.append(
            Table(
                title=f"Beside {shown(replaced.thickness, 'mm')} of {replaced.material}",
                headers=("as stiff as it, in", "this laminate", "would want", "mass saved by that"),
                align="lrrr",
                rows=tuple(
                    (
                        name,
                        Said(words=shown(a.ratio, "%", 0), basis=cloth),
                        shown(a.thickness, "mm", 2),
                        shown(a.saving, "%", 0),
                    )
                    for name, a in (
                        ("bending, as a flat plate", match.bending),
                        ("a push, as a gently curved panel", match.pushed),
                        ("its plane, as a bracket or an edge", match.in_plane),
                    )
                ),
            )
        )
    blocks.append(Findings(items=of_stage(plan, "laminate")))
    return Chapter(
        title="Laminate",
        facts=(shown(found.mass, "g", 0) + " as cured", shown(found.main.laminate.thickness, "mm", 2)),
        blocks=tuple(blocks),
    )
