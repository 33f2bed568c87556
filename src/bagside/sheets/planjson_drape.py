"""Draped pieces and their joins as the objects that ``plan.json`` holds."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from bagside.cutting import PieceSeam
from bagside.drape import summary_of
from bagside.drape.cuts import Cut
from bagside.drape.propose import Proposal
from bagside.drape.trial import Trial
from bagside.planning.cut_notes import price_of
from bagside.planning.piece import Piece
from bagside.planning.plan import BuildPlan
from bagside.sheets import planmodel_drape as m
from bagside.sheets.book_plies import cloth_weight, seams_of
from bagside.sheets.joins_view import apart, joins_of
from bagside.sheets.kept_angles import kept_angles

MM, CM2 = 1e3, 1e4
DEGREES = 180.0 / math.pi


def _r(value: float) -> float:
    return float(f"{float(value):.6g}")


def drape_message(plan: BuildPlan) -> m.DrapeMessage:
    """Return every piece as it drapes, and the joins of every ply, as a message."""
    pieces = []
    seams = seams_of(plan)
    for p, own in zip(plan.pieces, seams, strict=True):
        ply = plan.job.plies[p.ply]
        s = summary_of(p.drape, p.drape.law)
        spread = np.ptp(p.pattern.loops[0], axis=0)
        pieces.append(
            m.PieceMessage(
                label=p.label,
                ply=p.ply + 1,
                material=ply.material,
                region=ply.region,
                angle_deg=_r(DEGREES * ply.angle),
                surface_cm2=_r(CM2 * p.pattern.surface_area),
                flat_cm2=_r(CM2 * p.pattern.area),
                length_mm=_r(MM * float(spread[0])),
                width_mm=_r(MM * float(spread[1])),
                shear_median_deg=_r(DEGREES * s.shear_median),
                shear_95_deg=_r(DEGREES * s.shear_95),
                shear_99_deg=_r(DEGREES * s.shear_99),
                yarn_strain_95_percent=_r(100 * s.strain_95),
                yarn_strain_99_percent=_r(100 * s.strain_99),
                over_locking_percent=_r(100 * s.over_locking),
                triangles=len(p.surface.triangles),
                steps=p.drape.steps,
                scheme=p.drape.scheme,
                outline_mm=[np.round(MM * loop, 3).tolist() for loop in p.pattern.loops],
                holes_mm={name: [round(MM * u, 3), round(MM * v, 3)] for name, (u, v) in p.holes},
                mass_g=_r(1e3 * cloth_weight(plan, p.ply) * p.pattern.area),
                seams=[_seam(seam) for seam in own],
                angles=_angles(p, plan),
            )
        )
    return m.DrapeMessage(pieces=pieces, plies=_plies(plan, seams))


def _seam(seam: PieceSeam) -> m.SeamMessage:
    return m.SeamMessage(
        name=seam.shown,
        join=seam.join,
        over=seam.over,
        overlap_mm=_r(MM * seam.width),
        length_mm=_r(MM * seam.length),
        other=seam.other,
    )


def _angles(piece: Piece, plan: BuildPlan) -> m.AnglesMessage | None:
    laying, ply = plan.job.laying, plan.job.plies[piece.ply]
    warp, weft = kept_angles([piece.drape], laying.direction, ply.angle, laying.rosette)
    if not warp:
        return None
    (w3, w5, w10), (f3, f5, f10) = ([_r(100 * share) for _, share in shares] for shares in (warp, weft))
    return m.AnglesMessage(
        within_3_deg_warp_percent=w3,
        within_5_deg_warp_percent=w5,
        within_10_deg_warp_percent=w10,
        within_3_deg_weft_percent=f3,
        within_5_deg_weft_percent=f5,
        within_10_deg_weft_percent=f10,
    )


def _plies(plan: BuildPlan, seams: Sequence[Sequence[PieceSeam]]) -> list[m.PlyMessage]:
    """Return how each ply is cut, and how far its joins stand from those of the plies under and over it."""
    found = apart(joins_of(plan.pieces, seams))
    out = []
    for k in range(len(plan.job.plies)):
        near = [a.distance for a in found if k + 1 in (a.lower, a.upper)]
        own = [c for c in plan.cuts if c.ply == k]
        out.append(
            m.PlyMessage(
                ply=k + 1,
                cuts=[_cut(cut) for c in own for cut in c.cuts],
                joins_apart_mm=_r(MM * min(near)) if near else None,
                proposals=[_proposal(p, k, plan) for c in own for p in c.proposals],
            )
        )
    return out


def _cut(cut: Cut) -> m.CutMessage:
    line = np.asarray(cut.line)
    return m.CutMessage(
        line=cut.name,
        join=cut.join.value,
        overlap_mm=_r(MM * cut.overlap),
        length_mm=_r(MM * float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())),
        points_mm=np.round(MM * line, 3).tolist(),
    )


def _proposal(proposal: Proposal, ply: int, plan: BuildPlan) -> m.ProposalMessage:
    def trial(t: Trial) -> m.TrialMessage:
        return m.TrialMessage(
            what=t.note,
            cuts=len(t.cuts),
            cut_length_mm=_r(MM * t.cut_length),
            overlap_cm2=_r(CM2 * t.overlap_area),
            shear_deg=_r(DEGREES * t.shear_99) if math.isfinite(t.shear_99) else None,
            surplus_percent=_r(100 * t.compression_99) if math.isfinite(t.compression_99) else None,
            spanned_mm=_r(MM * t.spanned),
            adds=round(price_of(t, plan.job.plies[ply].material, plan.kits, plan.workshop).total, 2),
            good=t.fine,
            kept=t.kept,
        )

    return m.ProposalMessage(
        enough=proposal.enough,
        why=proposal.why,
        before=trial(proposal.before),
        after=trial(proposal.after),
        tried=[trial(t) for t in proposal.trials],
    )
