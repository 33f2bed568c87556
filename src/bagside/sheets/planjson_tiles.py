"""A ply of tiles and a mirrored twin as the objects that ``plan.json`` holds."""

from __future__ import annotations

import math

import numpy as np

from bagside.planning.plan import BuildPlan
from bagside.sheets import planmodel_tiles as m

MM, CM2 = 1e3, 1e4
DEGREES = 180.0 / math.pi


def _r(value: float) -> float:
    return float(f"{float(value):.6g}")


def patchwork_message(plan: BuildPlan) -> m.PatchworkMessage | None:
    """Return the ply that is laid as tiles as a message; None when there is none."""
    found = plan.patchwork
    if found is None:
        return None
    base, tiles = found.base, found.plan
    return m.PatchworkMessage(
        ply=found.ply + 1,
        shape=base.shape.value,
        size_mm=_r(MM * base.size),
        length_mm=None if base.length is None else _r(MM * base.length),
        gap_mm=_r(MM * base.gap),
        overlap_mm=_r(MM * base.overlap),
        turn_deg=_r(DEGREES * math.remainder(base.turn, math.tau)),
        origin_mm=[round(MM * c, 3) for c in base.origin],
        first_piece=found.first,
        pieces_apart=list(found.apart),
        points_further_apart_mm=None if found.apart_by is None else _r(MM * found.apart_by),
        outline_cm2=_r(CM2 * tiles.outline),
        covered_cm2=_r(CM2 * tiles.covered),
        gaps_cm2=_r(CM2 * max(tiles.gaps, 0.0)),
        lapped_cm2=_r(CM2 * max(tiles.lapped, 0.0)),
        left_cm2=_r(CM2 * sum(x.area for x in tiles.left)),
        slivers_left=len(tiles.left),
        slivers_joined=tiles.joined,
        sorts=[
            m.TileSortMessage(
                name=f"{found.ply + 1}{s.name}", places=s.count, outline_mm=np.round(MM * s.outline, 3).tolist()
            )
            for s in tiles.sorts
        ],
        tiles=[
            m.TileMessage(
                number=t.number,
                piece=t.piece,
                sort=f"{found.ply + 1}{t.sort}" if t.sort else "",
                half_turn=t.half_turn,
                joined=t.joined,
                area_cm2=_r(CM2 * t.area),
                shear_95_deg=_r(DEGREES * t.shear),
                outline_mm=[np.round(MM * loop, 3).tolist() for loop in t.loops],
            )
            for t in tiles.tiles
        ],
    )


def twin_message(plan: BuildPlan) -> m.TwinMessage | None:
    """Return what the part is the mirror image of as a message; None when it is its own."""
    twin = plan.twin
    if twin is None:
        return None
    return m.TwinMessage(
        of=twin.mirror.of,
        point_mm=[round(MM * c, 3) for c in twin.mirror.plane.point],
        normal=[_r(c) for c in twin.mirror.plane.normal],
        twill=twin.mirror.twill.value,
        plies_turned=[k + 1 for k in sorted(twin.quarter)],
        plies_other_face=[k + 1 for k in sorted(twin.over)],
        cloths=[
            m.TurnedClothMessage(
                material=t.material,
                pull_mm=_r(MM * t.pull[1]),
                pull_before_mm=_r(MM * t.pull[0]),
                utilisation_percent=_r(100 * t.utilisation[1]),
                utilisation_before_percent=_r(100 * t.utilisation[0]),
                cost=_r(t.cost[1]),
                cost_before=_r(t.cost[0]),
            )
            for t in plan.turned
        ],
    )
