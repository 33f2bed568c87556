"""The page of each ply, and what its pictures are drawn from."""

from __future__ import annotations

import math

from bagside.cutting import PieceSeam
from bagside.drape import summary_of
from bagside.findings import Finding
from bagside.laminate import prepreg_areal_weight
from bagside.planning.cautions import cautions_for
from bagside.planning.piece import locking_of
from bagside.planning.plan import BuildPlan
from bagside.planning.step import Step
from bagside.quantity import shown
from bagside.sheets import colour, marks, paper, plan_pictures
from bagside.sheets.book_joins import joins_table
from bagside.sheets.book_words import of_stage, ply_thickness
from bagside.sheets.bookinput import (
    Caution,
    PlyPage,
    Said,
    Words,
)
from bagside.sheets.maps import Map, Maps
from bagside.sheets.picture import LineLook
from bagside.sheets.plan_pictures import Drawn
from bagside.sheets.ply_pictures import small
from bagside.sheets.press import SIZES
from bagside.sheets.sight import Sight
from bagside.sheets.typeface import CAPTION


def sight_of(plan: BuildPlan) -> Sight:
    """Return what the pictures on the mould are drawn from.

    Raises
    ------
    ValueError
        When the plan has no surface.
    """
    job = plan.job
    if plan.surface is None or plan.part is None:
        raise ValueError("there is no surface to draw on")
    return Sight(
        name=job.name,
        work=plan.surface.work,
        laid=max((plan.regions[ply.region] for ply in job.plies), key=lambda s: s.area),
        part=plan.part,
        pieces=plan.pieces,
        thicknesses=tuple(ply_thickness(plan, k) for k in range(len(job.plies))),
        holes=job.holes,
        brackets=tuple(b.at for b in job.brackets),
        corners=plan.mould.corners,
        mould_places=tuple(plan_pictures.placed_findings(plan.mould.findings)),
        ply_places=tuple(tuple(_placed(plan, k)) for k in range(len(job.plies))),
        start=job.laying.start,
        direction=job.laying.direction,
        side=job.mould.laminate_side,
        tall=SIZES[plan.workshop.paper][1],
        kinds=tuple(plan.library.prepreg[ply.material].kind for ply in job.plies),
        weights=tuple(cloth_weight(plan, k) for k in range(len(job.plies))),
        seams=seams_of(plan),
        along=frozenset(k for k, ply in enumerate(job.plies) if ply.laid_first),
        cards=tuple((k, plan.regions[ply.region]) for k, ply in enumerate(job.plies) if ply.templates),
        angles=tuple(ply.angle for ply in job.plies),
        rosette=job.laying.rosette,
    )


def seams_of(plan: BuildPlan) -> tuple[tuple[PieceSeam, ...], ...]:
    """Return the sides of joins of each piece, in the plan's order of pieces."""
    return tuple(p.seams for p in plan.pieces)


def scale_of(shown_map: Map, locking_angle: float | None, *, ordered: bool = False) -> str:
    """Return the scale of a map, and what its contours are.

    Parameters
    ----------
    shown_map
        What is coloured.
    locking_angle
        Of the cloth, marked on the scale of its shear [rad]; None for none.
    ordered
        Whether contours of the order of laying are drawn.
    """
    limit = math.degrees(locking_angle) if locking_angle is not None and shown_map is Map.SHEAR else None
    drawn = [marks.scale_bar(2.5, 2.4, shown_map.bands, limit=limit, length=56)]
    if ordered:
        weight, dashes = LineLook.ORDER.value
        drawn.append(paper.line([(2.5, 12.2), (10.5, 12.2)], weight=weight, dashes=dashes))
        drawn.append(paper.text(12.0, 13.0, "so far from the start, mm", size=CAPTION, ink=colour.SECOND))
    return paper.sheet(62, 14 if ordered else 9, drawn, title=shown_map.value)


def cloth_weight(plan: BuildPlan, k: int) -> float:
    """Return what a ply's cloth weighs as it comes off the roll [kg/m²]."""
    prepreg = plan.library.prepreg[plan.job.plies[k].material]
    return float(prepreg_areal_weight(prepreg.areal_weight, prepreg.resin_content))


def _own(plan: BuildPlan, k: int) -> tuple[Finding, ...]:
    labels = {p.label for p in plan.pieces if p.ply == k}
    return tuple(f for f in of_stage(plan, "drape") if labels & _labels_in(f.place))


def _placed(plan: BuildPlan, k: int) -> list[Finding]:
    return [f for f in _own(plan, k) if f.point is not None][: plan_pictures.RINGS]


def ply_page(plan: BuildPlan, k: int, drawn: Drawn) -> PlyPage:
    """Return the page of one ply."""
    maps = drawn.maps[k]
    return _card_page(plan, k, drawn) if maps is None else _draped_page(plan, k, drawn, maps)


def _card_page(plan: BuildPlan, k: int, drawn: Drawn) -> PlyPage:
    """Return the page of a ply that is cut from cards: its cards are its picture."""
    ply, own = plan.job.plies[k], plan.plies[k]
    step = next(s for s in plan.steps if s.key == f"ply-{k + 1}")
    return PlyPage(
        title=f"Ply {k + 1}",
        facts=(
            f"of {len(plan.job.plies)}",
            ply.material,
            f"warp {shown(ply.angle, '°', 0)}",
            ply.region,
            "one card" if own.count == 1 else f"{own.count} cards",
            shown(cloth_weight(plan, k) * own.area, "g", 1),
        ),
        picture=drawn.plies[k],
        lines=step.do,
        flats=(drawn.flats[k],),
        section=drawn.sections[k],
        boxes=_boxes(plan, step),
        cautions=_cautions(step),
        findings=tuple(f for f in of_stage(plan, "cutting") if f.place.startswith(f"ply {k + 1},")),
    )


def _boxes(plan: BuildPlan, step: Step) -> tuple[tuple[int, str], ...]:
    return tuple((plan.job.quantity if plan.job.quantity <= 8 else 1, b) for b in step.boxes)


def _cautions(step: Step) -> tuple[Caution, ...]:
    return tuple(Caution(what=c.head, why=c.text) for c in cautions_for(step.hazards))


def _draped_page(plan: BuildPlan, k: int, drawn: Drawn, maps: Maps) -> PlyPage:
    ply = plan.job.plies[k]
    pieces = [p for p in plan.pieces if p.ply == k]
    prepreg = plan.library.prepreg[ply.material]
    own, placed = _own(plan, k), _placed(plan, k)
    notes: list[Words] = [Said(words=f.what.rstrip("."), basis=f.basis) for f in placed]
    said = [summary_of(p.drape, p.drape.law) for p in pieces]
    worst = {Map.SHEAR: shown(max(s.shear_99 for s in said), "°", 0)}
    worst[Map.STRETCH] = shown(max(s.strain_99 for s in said), "%", 1)
    step = next(s for s in plan.steps if s.key == f"ply-{k + 1}")
    tiled = plan.patchwork is not None and plan.patchwork.ply == k
    count = len(plan.patchwork.plan.tiles) if plan.patchwork is not None and tiled else len(pieces)
    return PlyPage(
        title=f"Ply {k + 1}",
        facts=(
            f"of {len(plan.job.plies)}",
            ply.material,
            f"warp {shown(ply.angle, '°', 0)}",
            ply.region,
            "one piece" if count == 1 else f"{count} {'tiles' if tiled else 'pieces'}",
            f"{maps.first.value} {worst[maps.first]}",
        ),
        picture=drawn.plies[k],
        scale=scale_of(maps.first, locking_of(prepreg), ordered=any(not small(p) for p in pieces)),
        second=drawn.seconds[k],
        second_scale="" if maps.second is None else scale_of(maps.second, locking_of(prepreg)),
        notes=tuple(notes),
        lines=(drawn.angles[k],) if drawn.angles[k] else (),
        flats=(drawn.flats[k],),
        tables=joins_table(pieces, [s for p, s in zip(plan.pieces, seams_of(plan), strict=True) if p.ply == k]),
        section=drawn.sections[k],
        boxes=_boxes(plan, step),
        cautions=_cautions(step),
        findings=tuple(f for f in own if f not in placed),
    )


def _labels_in(place: str) -> set[str]:
    words = place.replace(",", " ").split()
    return set(words[1:]) - {"and"} if words and words[0] in ("piece", "pieces") else set()
