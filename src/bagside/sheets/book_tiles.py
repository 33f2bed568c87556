"""The chapters on a ply laid as tiles and on a mirrored twin's cloth."""

from __future__ import annotations

from bagside.planning.patchwork_notes import pattern_in_words, tiles_in_words
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.piece import locking_of
from bagside.planning.plan import BuildPlan
from bagside.planning.twin_notes import twin_findings
from bagside.quantity import shown
from bagside.sheets.book_words import money
from bagside.sheets.bookinput import Block, Chapter, Findings, Paragraph, Picture, Table, Words
from bagside.sheets.laying_map import MapPiece, MapTile, laying_map
from bagside.sheets.plan_pictures import WIDE
from bagside.sheets.press import SIZES
from bagside.spec.twin import Reversal


def map_of(plan: BuildPlan, found: PlyPatchwork, size: tuple[float, float]) -> str:
    """Return the laying map of a plan's tiles.

    Parameters
    ----------
    plan
        The build.
    found
        Its ply of tiles.
    size
        Room on paper [mm].
    """
    locks = locking_of(plan.library.prepreg[plan.job.plies[found.ply].material])
    pieces = [
        MapPiece(
            label=p.label,
            loops=p.pattern.loops,
            tiles=tuple(
                MapTile(
                    words=str(t.number),
                    loops=t.loops,
                    whole=bool(t.sort),
                    heavy=locks is not None and t.shear > locks,
                )
                for t in found.plan.tiles
                if t.piece == p.label
            ),
            start=p.pattern.start,
            holes=tuple(at for _, at in p.holes),
        )
        for p in plan.pieces
        if p.ply == found.ply
    ]
    return laying_map(pieces, size_mm=size)


def tiles_chapter(plan: BuildPlan) -> Chapter | None:
    """Return the chapter on the ply laid as tiles; None when there is none."""
    found = plan.patchwork
    if found is None:
        return None
    n = found.ply + 1
    tiles = found.plan
    over = (
        f"Each tile lies {shown(found.base.overlap, 'mm')} over those with smaller numbers."
        if found.base.overlap
        else f"{shown(found.base.gap, 'mm')} stay open between tiles; the ply behind shows there."
        if found.base.gap
        else "Tiles meet edge to edge."
    )
    half = any(t.half_turn for t in tiles.tiles)
    sorts: list[tuple[Words, ...]] = [
        (f"{n}{s.name}", str(s.count), str(s.count * plan.job.quantity), shown(_area(plan, f"{n}{s.name}"), "cm²"))
        for s in tiles.sorts
    ]
    blocks: list[Block] = [
        Paragraph(
            words=f"{tiles_in_words(found)}: {pattern_in_words(found)}. Lay them in the order of their numbers. {over} "
            + ("Where a whole tile points the other way it is laid turned by half. " if half else "")
            + f"The cut list calls an edge tile by its number: {n}-7 goes to place 7."
        ),
        Picture(
            svg=map_of(plan, found, (WIDE, SIZES[plan.workshop.paper][1] - 145.0)),
            caption="seen from the laminate side, flat: on the mould tiles shear as the cloth does there",
        ),
        Table(
            title="Whole tiles",
            headers=("sort", "places", "cut in all", "area of one"),
            align="lrrr",
            rows=tuple(sorts),
        ),
        Table(
            title="Where the area goes",
            headers=("", "area", "of the ply"),
            align="lrr",
            rows=tuple(
                (words, shown(area, "cm²", 1), shown(area / tiles.outline, "%", 1))
                for words, area in (
                    ("ply, what is trimmed off included", tiles.outline),
                    ("under tiles", tiles.covered),
                    ("gaps between tiles", max(tiles.gaps, 0.0)),
                    ("left to the ply behind", sum(x.area for x in tiles.left)),
                    ("tiles over each other", max(tiles.lapped, 0.0)),
                )
            ),
        ),
        Findings(items=tuple(f for f in plan.findings if f.place == f"ply {n}, tiles")),
    ]
    if not sorts:
        blocks.pop(2)
    return Chapter(title=f"Tiles of ply {n}", facts=(f"{len(tiles.tiles)} tiles a part",), blocks=tuple(blocks))


def _area(plan: BuildPlan, label: str) -> float:
    return next(p.area for p in plan.cut if p.label == label)


def twin_chapter(plan: BuildPlan) -> Chapter | None:
    """Return the chapter on what mirroring does to the cloth; None when the part is its own."""
    twin = plan.twin
    if twin is None:
        return None
    normal = ", ".join(f"{c:.2g}" for c in twin.mirror.plane.normal).replace("-", "−")
    point = " ".join(f"{1e3 * c:.1f}" for c in twin.mirror.plane.point).replace("-", "−")
    rows: list[tuple[Words, ...]] = []
    for k, ply in enumerate(plan.job.plies):
        done = (
            "warp turned by 90°, same face out"
            if k in twin.quarter
            else "rolled out with its other face up"
            if k in twin.over
            else "mirrored warp, same face out"
        )
        weave = plan.library.prepreg[ply.material].weave
        rows.append((str(k + 1), f"{ply.material}{f', {weave}' if weave else ''}", shown(ply.angle, "°", 0), done))
    blocks: list[Block] = [
        Paragraph(
            words="Mould, regions, holes, lines, brackets and flat pieces are the other part's, mirrored. Cloth cannot "
            "be mirrored: a balanced twill whose diagonal is to run the mirrored way is turned by 90°, or over."
        ),
        Table(title="Cloth", headers=("ply", "cloth", "warp", "what was done"), align="llrl", rows=tuple(rows)),
    ]
    if plan.turned:
        blocks.append(
            Table(
                title="What turning does to the cloth pulled, for all parts",
                headers=("cloth", "pull", "before", "becomes pieces", "before", "cost", "before"),
                align="lrrrrrr",
                rows=tuple(
                    (
                        t.material,
                        shown(t.pull[1], "m", 2),
                        shown(t.pull[0], "m", 2),
                        shown(t.utilisation[1], "%", 0),
                        shown(t.utilisation[0], "%", 0),
                        money(plan, t.cost[1]),
                        money(plan, t.cost[0]),
                    )
                    for t in plan.turned
                ),
            )
        )
    blocks.append(Findings(items=twin_findings(twin, plan.turned, plan.library, plan.workshop.currency)))
    word = "" if twin.mirror.twill is Reversal.QUARTER_TURN else f"twill {twin.mirror.twill.value}"
    facts = (f"of {twin.mirror.of}", f"plane through {point} mm, normal {normal}", word)
    return Chapter(title="Mirrored twin", facts=tuple(f for f in facts if f), blocks=tuple(blocks))
