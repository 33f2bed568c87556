"""The page of each ply, and what its pictures are drawn from."""

from __future__ import annotations

import math

from bagside.drape import summary_of
from bagside.findings import Finding
from bagside.planning.cautions import cautions_for
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets import colour, marks, paper, plan_pictures
from bagside.sheets.book_words import of_stage, ply_thickness
from bagside.sheets.bookinput import (
    Caution,
    PlyPage,
    Said,
    Words,
)
from bagside.sheets.plan_pictures import Drawn, Sight
from bagside.sheets.press import SIZES


def sight_of(plan: BuildPlan) -> Sight:
    """Return what the pictures on the mould are drawn from."""
    job = plan.job
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
    )


def _own(plan: BuildPlan, k: int) -> tuple[Finding, ...]:
    labels = {p.label for p in plan.pieces if p.ply == k}
    return tuple(f for f in of_stage(plan, "drape") if labels & _labels_in(f.place))


def _placed(plan: BuildPlan, k: int) -> list[Finding]:
    return [f for f in _own(plan, k) if f.point is not None][: plan_pictures.RINGS]


def ply_page(plan: BuildPlan, k: int, drawn: Drawn) -> PlyPage:
    """Return the page of one ply."""
    ply = plan.job.plies[k]
    pieces = [p for p in plan.pieces if p.ply == k]
    prepreg = plan.library.prepreg[ply.material]
    own, placed = _own(plan, k), _placed(plan, k)
    notes: list[Words] = [Said(words=f.what.rstrip("."), basis=f.basis) for f in placed]
    worst = max(summary_of(p.drape, p.drape.law).shear_99 for p in pieces)
    limit = None if prepreg.locking_angle is None else math.degrees(prepreg.locking_angle)
    scale = paper.sheet(62, 9, [marks.scale_bar(2.5, 2.4, colour.SHEAR, limit=limit, length=56)], title="shear")
    step = next(s for s in plan.steps if s.key == f"ply-{k + 1}")
    count = len(pieces)
    return PlyPage(
        title=f"Ply {k + 1}",
        facts=(
            f"of {len(plan.job.plies)}",
            ply.material,
            f"warp {shown(ply.angle, '°', 0)}",
            ply.region,
            "one piece" if count == 1 else f"{count} pieces",
            f"shear {shown(worst, '°', 0)}",
        ),
        picture=drawn.plies[k],
        scale=scale,
        notes=tuple(notes),
        flats=(drawn.flats[k],),
        section=drawn.sections[k],
        boxes=tuple((plan.job.quantity if plan.job.quantity <= 8 else 1, b) for b in step.boxes),
        cautions=tuple(Caution(what=c.head, why=c.text) for c in cautions_for(step.hazards)),
        findings=tuple(f for f in own if f not in placed),
    )


def _labels_in(place: str) -> set[str]:
    words = place.replace(",", " ").split()
    return set(words[1:]) - {"and"} if words and words[0] in ("piece", "pieces") else set()
