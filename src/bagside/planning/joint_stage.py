"""From brackets and holes to bonds and what stands round each hole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside import geometry, joining
from bagside.errors import InputError, did_you_mean
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.joining import BondPlan, Foot, HoleRule
from bagside.laminate import Zone
from bagside.planning.laminate_stage import LaminateMap
from bagside.spec.job import Bracket, Job
from bagside.spec.library import Library
from bagside.spec.material import Adhesive
from bagside.spec.region import Hole

BESIDE = 0.0015  # [m] outside a hole's rim, where its laminate is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPlan:
    """Bonds and holes."""

    bonds: tuple[BondPlan, ...]
    holes: tuple[HoleRule, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What lies under a bracket or round a hole.

    Parameters
    ----------
    thickness
        Of the laminate there [m].
    modulus
        Its mean in-plane modulus [Pa].
    edge
        From its centre to the nearest edge of the part [m]; infinite when nobody measured it.
    pitch
        To the centre of the nearest other hole [m]; infinite when it is alone or nobody measured it.
    """

    thickness: float
    modulus: float
    edge: float = float("inf")
    pitch: float = float("inf")


def site_in(zone: Zone, edge: float = float("inf"), pitch: float = float("inf")) -> Site:
    """Return a place in a zone of the laminate.

    Parameters
    ----------
    zone
        The zone.
    edge, pitch
        As for `Site` [m].
    """
    laminate = zone.laminate
    return Site(thickness=laminate.thickness, modulus=0.5 * (laminate.Ex + laminate.Ey), edge=edge, pitch=pitch)


def sites_on(
    found: LaminateMap, part: Surface, brackets: Sequence[Bracket], drilled: Sequence[Hole]
) -> tuple[tuple[Site, ...], tuple[Site, ...]]:
    """Return what lies under each bracket, and round each hole.

    Parameters
    ----------
    found
        The laminate.
    part
        The surface of the finished part that its zones name triangles of.
    brackets, drilled
        As stated.
    """

    def zones(points: NDArray[np.float64]) -> list[Zone]:
        _, triangles, _ = geometry.nearest(part, points)
        return [next((z for z in found.zones if t in z.triangles), found.main) for t in triangles.tolist()]

    holes = []
    for hole in drilled:
        others = [o for o in drilled if o.name != hole.name]
        pitch = min((float(np.linalg.norm(np.subtract(o.at, hole.at))) for o in others), default=float("inf"))
        thinnest = min(zones(_rim(part, hole)), key=lambda z: z.laminate.thickness)
        holes.append(site_in(thinnest, _to_edge(part, hole.at), pitch))
    return tuple(site_in(zones(np.array([b.at]))[0]) for b in brackets), tuple(holes)


def _rim(part: Surface, hole: Hole) -> NDArray[np.float64]:
    """Return places just outside a hole's rim, where what it is drilled in is left, shape (12, 3) [m]."""
    _, triangle, at = geometry.nearest(part, np.array([hole.at]))
    normal = part.normals[triangle[0]]
    along = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    along /= np.linalg.norm(along)
    turn = np.linspace(0.0, 2.0 * np.pi, 12, endpoint=False)[:, None]
    radius = 0.5 * hole.diameter + BESIDE
    out: NDArray[np.float64] = at[0] + radius * (np.cos(turn) * along + np.sin(turn) * np.cross(normal, along))
    return out


def joint_plan(
    under: tuple[Site, ...],
    around: tuple[Site, ...],
    brackets: tuple[Bracket, ...],
    drilled: tuple[Hole, ...],
    adhesives: dict[str, Adhesive],
    service: float,
    room: float,
) -> JointPlan:
    """Return how brackets are bonded and what the rules say of each hole.

    Parameters
    ----------
    under, around
        What lies under each bracket and round each hole.
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
    for bracket, site in zip(brackets, under, strict=True):
        if bracket.material not in feet:
            raise InputError.one(
                f"job.toml, bracket {bracket.name}, material",
                f'"{bracket.material}"',
                f"one of {', '.join(feet)} is wanted",
                did_you_mean(bracket.material, feet),
            )
        bonds.append(
            joining.plan_bond(
                bracket.name,
                size=bracket.size,
                foot=Foot(bracket.material),
                foot_thickness=bracket.thickness,
                laminate_modulus=site.modulus,
                laminate_thickness=site.thickness,
                adhesive=adhesives[bracket.adhesive],
                load=bracket.load,
                service_temperature=bracket.service or service,
                room_temperature=room,
            )
        )
    holes = tuple(
        joining.hole_rule(hole.name, diameter=hole.diameter, edge=site.edge, pitch=site.pitch, thickness=site.thickness)
        for hole, site in zip(drilled, around, strict=True)
    )
    return JointPlan(bonds=tuple(bonds), holes=holes)


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
