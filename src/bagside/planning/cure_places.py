"""Every distinct place that heat passes through: a laminate over a thickness of mould, and where on the part it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside import laminate as laminates
from bagside.cure import Fixing, Thickening
from bagside.errors import InputError
from bagside.laminate import Zone
from bagside.planning.cure_sections import Stack
from bagside.planning.laminate_stage import LaminateMap
from bagside.quantity import shown
from bagside.spec.material import Prepreg

ALIKE = 1e-5  # [m] thicknesses closer than this are one place
STRIP = 0.01  # of the part's area: less of a zone over another thickness of mould is a triangle's width at its edge


def stacks(
    found: LaminateMap,
    prepregs: Sequence[Prepreg],
    under: NDArray[np.float64],
    spots: Sequence[tuple[Fixing | Thickening, NDArray[np.bool_]]] = (),
) -> tuple[Stack, ...]:
    """Return each distinct place of the part as heat sees it, thinnest laminate first; small zones are left out.

    Parameters
    ----------
    found
        The laminate.
    prepregs
        The cloth of each ply.
    under
        Thickness of the mould under each triangle or place, shape (m,) [m].
    spots
        Each solid fixing and each strip of thicker mould, and which triangles or places it may lie in, shape (m,); it
        gets a place of its own, last.

    Raises
    ------
    InputError
        When one lies where there is no laminate.
    """
    varied = np.ptp(under) > ALIKE if len(under) else False
    places: dict[tuple[int, int], Stack] = {}
    for zone in found.zones:
        if zone.small and len(found.zones) > 1:
            continue
        step = np.round(under[zone.triangles] / ALIKE).astype(int)
        for tool in np.unique(step):
            own = zone.triangles[step == tool]
            if _area(found, own) < STRIP * found.part.area and len(own) < 0.5 * len(step):
                continue
            key = (round(zone.laminate.thickness / ALIKE), int(tool))
            words = f", mould {shown(float(under[own[0]]), 'mm', 1)}" if varied else ""
            places.setdefault(key, _stack(found, zone, prepregs, own, float(under[own[0]]), words))
    return (*(places[k] for k in sorted(places)), *(_at_spot(found, prepregs, under, m, at) for m, at in spots))


def _at_spot(
    found: LaminateMap,
    prepregs: Sequence[Prepreg],
    under: NDArray[np.float64],
    spot: Fixing | Thickening,
    where: NDArray[np.bool_],
) -> Stack:
    """Return the place at a fixing or a strip, in the zone that covers most of where it may lie."""

    def size(zone: Zone) -> float:
        inside = zone.triangles[where[zone.triangles]]
        return float(len(inside)) if found.surface is None else float(found.surface.areas[inside].sum())

    zone = max(found.zones, key=size)
    own = zone.triangles[where[zone.triangles]]
    if not len(own):
        raise InputError.one(f"job.toml, {spot.name}", "", "no ply covers any of where it lies")
    there = _stack(found, zone, prepregs, own, float(under[own[0]]), "")
    name = f"{spot.name}, {there.name}"
    if isinstance(spot, Fixing):
        return replace(there, name=name, metal=spot)
    return replace(there, name=name, strip=spot)


def _area(found: LaminateMap, triangles: NDArray[np.int64]) -> float:
    """Return the area of triangles [m²]; endless without a surface, whose places are as large as they are stated."""
    return np.inf if found.surface is None else float(found.surface.areas[triangles].sum())


def _stack(
    found: LaminateMap,
    zone: Zone,
    prepregs: Sequence[Prepreg],
    triangles: NDArray[np.int64],
    tool: float,
    words: str,
) -> Stack:
    own = [prepregs[k] for k in found.plies_in(zone)]
    fibre = sum(p.areal_weight / p.fibre_density for p in own)
    volume = sum(
        float(laminates.cured_thickness(p.areal_weight, p.resin_content, p.fibre_density, p.resin_density)) for p in own
    )
    thickness = zone.laminate.thickness
    return Stack(
        name=f"{len(own)} plies, {shown(thickness, 'mm', 2)}{words}",
        thickness=thickness,
        fibre_volume=fibre / volume,
        fibre_density=sum(p.areal_weight for p in own) / fibre,
        tool_thickness=tool,
        point=_middle(found, triangles),
    )


def _middle(found: LaminateMap, triangles: NDArray[np.int64]) -> tuple[float, float, float] | None:
    """Return the middle of the triangle that is nearest to the middle of all; nothing without a surface."""
    if found.surface is None:
        return None
    part = found.surface
    centres = part.vertices[part.triangles[triangles]].mean(axis=1)
    weights = part.areas[triangles]
    mean = (weights[:, None] * centres).sum(axis=0) / weights.sum()
    x, y, z = centres[int(np.argmin(np.linalg.norm(centres - mean, axis=1)))].tolist()
    return (x, y, z)
