"""The mould as the object that ``plan.json`` holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from bagside.mould import LaidCorner
from bagside.planning.plan import BuildPlan
from bagside.sheets import planmodel_mould as m

MM, CM2 = 1e3, 1e4
DEGREES = 180.0 / math.pi


def _r(value: float) -> float:
    return float(f"{float(value):.6g}")


def _mm(point: Sequence[float] | np.ndarray) -> list[float]:
    return [round(MM * float(c), 3) for c in point]


def mould_message(plan: BuildPlan) -> m.MouldMessage:
    """Return the mould as a message.

    Parameters
    ----------
    plan
        The build.
    """
    found = plan.mould
    through = {one.corner.id: one for one in found.laid}
    return m.MouldMessage(
        **_mesh(plan),
        pieces=[
            m.DraftMessage(
                name=p.name,
                pull=[_r(c) for c in p.pull],
                area_m2=_r(p.area),
                smallest_draft_deg=_r(DEGREES * p.smallest),
                undercut_cm2=_r(CM2 * p.undercut),
                hook_mm=_r(MM * p.hook),
            )
            for p in found.pieces
        ],
        corners=[
            m.CornerMessage(
                id=c.id,
                length_mm=_r(MM * c.length),
                radius_mm=_r(MM * c.radius),
                needed_radius_mm=_r(MM * c.needed),
                bridge_gap_mm=_r(MM * c.gap),
                included_angle_deg=_r(DEGREES * c.included) if math.isfinite(c.included) else None,
                closed=c.closed,
                line_bends_deg=_r(DEGREES * c.bending),
                cloth_surplus_deg=_r(DEGREES * c.surplus),
                meetings_mm=[_mm(at) for at in c.meetings.tolist()],
                centre_mm=_mm(c.centre),
                verdict=c.verdict.value,
                plies=_corner_plies(through[c.id]) if c.id in through else [],
                remedies=[
                    m.RemedyMessage(remedy=remedy.kind.value, effect=remedy.effect, why=remedy.why)
                    for remedy in (through[c.id].remedies if c.id in through else ())
                ],
            )
            for c in found.corners
        ],
        spring_in_per_right_angle_deg=_r(DEGREES * found.spring_per_right_angle),
        part_length_mm=_r(MM * found.size.part),
        mould_length_for_it_mm=_r(MM * found.size.mould),
        heat_margin_k=_r(found.heat_margin),
    )


def _mesh(plan: BuildPlan) -> dict[str, Any]:
    """Return what reading the mesh told; sizes as stated, and null for the rest, when there is none."""
    measured = plan.job.measured
    if plan.surface is None:
        stated = (0.0, 0.0, 0.0) if measured is None else (*measured.size, measured.depth)
        none = dict.fromkeys(("file", "unit", "triangles_read", "triangles_used"))
        return {**none, "area_m2": _r(plan.mould.area), "size_mm": _mm(stated), "holes": []}
    report = plan.surface.report
    return {
        "file": report.name,
        "unit": report.unit,
        "triangles_read": report.triangles_read,
        "triangles_used": len(plan.surface.work.triangles),
        "area_m2": _r(report.area),
        "size_mm": _mm(report.size),
        "holes": [m.HoleInMesh(length_mm=_r(MM * length), centre_mm=_mm(centre)) for length, centre in report.holes],
    }


def _corner_plies(one: LaidCorner) -> list[m.PlyInCornerMessage]:
    return [
        m.PlyInCornerMessage(
            ply=number,
            laid_on_radius_mm=_r(MM * p.onto),
            stack_mm=_r(MM * p.stack),
            radius_left_mm=_r(MM * p.left),
            pressure_at_most_percent=_r(100.0 * p.pressure),
            verdict=p.verdict.value,
            bridge_mm=None if p.bridge is None else _r(MM * p.bridge),
            slides_in_each_side_mm=None if p.slide is None else _r(0.5 * MM * p.slide),
            settles_each_side_mm=_r(0.5 * MM * p.settle),
            shorter_mm=_r(MM * p.shorter),
        )
        for number, p in zip(one.numbers, one.plies, strict=True)
    ]
