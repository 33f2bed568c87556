"""From brackets and holes to bonds and what stands round each hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside import geometry, joining
from bagside.errors import InputError, did_you_mean
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.joining import BondPlan, Foot, HoleRule
from bagside.planning.laminate_stage import LaminateMap
from bagside.spec.job import Bracket, Job
from bagside.spec.library import Library
from bagside.spec.material import Adhesive
from bagside.spec.region import Hole


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPlan:
    """Bonds and holes."""

    bonds: tuple[BondPlan, ...]
    holes: tuple[HoleRule, ...]


def thickness_at(found: LaminateMap, point: tuple[float, float, float]) -> tuple[float, float]:
    """Return thickness [m] and mean in-plane modulus [Pa] of the laminate nearest to a point."""
    _, triangle, _ = geometry.nearest(found.part, np.array(point)[None, :])
    for zone in found.zones:
        if triangle[0] in zone.triangles:
            laminate = zone.laminate
            return laminate.thickness, 0.5 * (laminate.Ex + laminate.Ey)
    laminate = found.main.laminate
    return laminate.thickness, 0.5 * (laminate.Ex + laminate.Ey)


def joint_plan(
    found: LaminateMap,
    brackets: tuple[Bracket, ...],
    drilled: tuple[Hole, ...],
    adhesives: dict[str, Adhesive],
    service: float,
    room: float,
) -> JointPlan:
    """Return how brackets are bonded and what the rules say of each hole.

    Parameters
    ----------
    found
        The laminate.
    brackets, drilled
        As stated.
    adhesives
        By name.
    service, room
        Hottest in use where a bracket states none, and temperature of the room [K].

    Raises
    ------
    InputError
        When a bracket's material is not known.
    """
    feet = [f.value for f in Foot]
    bonds = []
    for bracket in brackets:
        if bracket.material not in feet:
            raise InputError.one(
                f"job.toml, bracket {bracket.name}, material",
                f'"{bracket.material}"',
                f"one of {', '.join(feet)} is wanted",
                did_you_mean(bracket.material, feet),
            )
        thickness, modulus = thickness_at(found, bracket.at)
        bonds.append(
            joining.plan_bond(
                bracket.name,
                size=bracket.size,
                foot=Foot(bracket.material),
                foot_thickness=bracket.thickness,
                laminate_modulus=modulus,
                laminate_thickness=thickness,
                adhesive=adhesives[bracket.adhesive],
                load=bracket.load,
                service_temperature=bracket.service or service,
                room_temperature=room,
            )
        )
    holes = []
    for hole in drilled:
        others = [o for o in drilled if o.name != hole.name]
        pitch = min((float(np.linalg.norm(np.subtract(o.at, hole.at))) for o in others), default=float("inf"))
        thickness, _ = thickness_at(found, hole.at)
        holes.append(
            joining.hole_rule(
                hole.name,
                diameter=hole.diameter,
                edge=_to_edge(found.part, hole.at),
                pitch=pitch,
                thickness=thickness,
            )
        )
    return JointPlan(bonds=tuple(bonds), holes=tuple(holes))


def _to_edge(part: Surface, point: tuple[float, float, float]) -> float:
    rim = part.vertices[np.concatenate(part.loops)]
    return float(np.linalg.norm(rim - np.array(point), axis=1).min())


def joint_findings(plan: JointPlan, job: Job, library: Library) -> tuple[Finding, ...]:
    """Return what joining noticed."""
    found: list[Finding] = []
    for bond, bracket in zip(plan.bonds, job.brackets, strict=True):
        found.extend(joining.bond_findings(bond, library.adhesive[bracket.adhesive], show=job.laying.show))
    for rule in plan.holes:
        found.extend(joining.hole_findings(rule))
    return tuple(found)
