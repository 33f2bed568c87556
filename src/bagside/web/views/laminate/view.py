"""What the page of the laminate shows: the zones of the part, the stack in each, and what it replaces."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.geometry import Surface
from bagside.laminate import Original, Zone
from bagside.planning.laminate_stage import LaminateMap
from bagside.planning.plan import BuildPlan
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.sheets.picture import PointLook
from bagside.sheets.view import view_of
from bagside.spec.job import Job
from bagside.spec.opening import Opened
from bagside.web.scene import Field, Look, MeshData, MeshLine, MeshPart, MeshPoint, packed
from bagside.web.scene.buffers import MM
from bagside.web.views.laminate.shown import LaminateView, ZoneShown
from bagside.web.views.plies_shown import stated_of

Floats = NDArray[np.float64]

STEPS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
"""Between the bands of the map of thickness [mm]."""
MOST_BANDS = 9


def early(shape: Shaped, opened: Opened, stages: Stages) -> LaminateView:
    """Return what can be shown as soon as plies are draped.

    Parameters
    ----------
    shape
        The part as far as its pieces.
    opened
        The job.
    stages
        Keep what is worked out.
    """
    return _view(shape.laminated(stages), shape.job, opened.job, _original(shape), stages)


def view(plan: BuildPlan, stages: Stages) -> LaminateView:
    """Return what the page of the laminate shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    replaced = plan.job.replaces
    original = None
    if replaced is not None:
        one = plan.library.substrate[replaced.material]
        original = Original(E=one.modulus, nu=one.poisson, thickness=replaced.thickness, density=one.density)
    return _view(plan.laminate, plan.job, plan.stated, original, stages)


def _original(shape: Shaped) -> Original | None:
    replaced = shape.replaced
    if replaced is None:
        return None
    one, thickness = replaced
    return Original(E=one.modulus, nu=one.poisson, thickness=thickness, density=one.density)


def _view(found: LaminateMap, job: Job, stated: Job, original: Original | None, stages: Stages) -> LaminateView:
    chosen = [z for z in found.zones if not z.small] or list(found.zones[:1])
    surface = found.surface
    zones = tuple(_zone(found, zone, k, surface) for k, zone in enumerate(chosen, 1))
    mesh, of_triangle = b"", np.zeros(0, dtype=np.int32)
    if surface is not None:
        of_triangle = np.zeros(len(surface.triangles), dtype=np.int32)
        for k, zone in enumerate(chosen, 1):
            of_triangle[zone.triangles] = k
        thick = np.full(len(surface.triangles), np.nan)
        for zone in found.zones:
            thick[zone.triangles] = zone.laminate.thickness
        middles = tuple(z.at for z in zones if z.at is not None)
        mesh = stages.run("Drawing the zones", zones_mesh, surface, of_triangle, thick, middles)
    return LaminateView(
        job=job,
        stated=(None,) * len(job.plies) if job.mirror is not None else stated_of(job.plies, stated.plies),
        zones=zones,
        mass=found.mass,
        area=found.part.area,
        bare=found.bare,
        original=original,
        basis=found.basis,
        mesh=mesh,
        of_triangle=of_triangle,
    )


def _zone(found: LaminateMap, zone: Zone, number: int, surface: Surface | None) -> ZoneShown:
    return ZoneShown(
        number=number,
        layers=found.plies_in(zone),
        plies=zone.laminate.plies,
        area=zone.area,
        share=zone.share,
        spread=max(zone.spreads, default=0.0),
        at=None if surface is None else _middle(surface.selected(_mask(surface, zone.triangles))),
    )


def _mask(surface: Surface, triangles: NDArray[np.int64]) -> NDArray[np.bool_]:
    out = np.zeros(len(surface.triangles), dtype=np.bool_)
    out[triangles] = True
    return out


def _middle(zone: Surface) -> tuple[float, float, float]:
    """Return a point of a zone far from its rim, in its largest part: there is room for its number."""
    largest = geometry.components(zone)[0]
    rim = largest.vertices[np.concatenate(largest.loops)] if largest.loops else largest.vertices[:1]
    step = max(1, len(rim) // 300)
    centres = largest.centroids[:: max(1, len(largest.centroids) // 2000)]
    away = np.min(np.linalg.norm(centres[:, None, :] - rim[None, ::step, :], axis=2), axis=1)
    x, y, z = (float(c) for c in centres[int(np.argmax(away))])
    return x, y, z


def zones_mesh(
    surface: Surface,
    of_triangle: NDArray[np.int32],
    thickness: Floats,
    middles: tuple[tuple[float, float, float], ...],
) -> bytes:
    """Return the part with its zones: bands of thickness, borders, numbers.

    Parameters
    ----------
    surface
        The finished part.
    of_triangle
        Number of the zone of each triangle, 0 for none, shape (m,).
    thickness
        Of each triangle, not a number where nothing lies, shape (m,) [m].
    middles
        Where the number of each zone stands [m].
    """
    lines = [MeshLine(MM * line, Look.FEATURE) for line in _borders(surface, of_triangle)]
    lines += [MeshLine(MM * surface.vertices[np.append(loop, loop[0])], Look.NET_EDGE) for loop in surface.loops]
    points = [
        MeshPoint(at=(MM * x, MM * y, MM * z), look=PointLook.LABEL, words=str(k))
        for k, (x, y, z) in enumerate(middles, 1)
    ]
    order = np.argsort(of_triangle, kind="stable")
    parts = []
    for k in range(1, len(middles) + 1):
        own = np.flatnonzero(of_triangle[order] == k)
        if len(own):
            parts.append(MeshPart(str(k), int(own[0]), len(own)))
    return packed(
        MeshData.of(
            Surface(surface.vertices, surface.triangles[order]),
            fields={
                "thickness": Field(
                    thickness[order],
                    bands_of(thickness),
                    "thickness, mm",
                    spoken="millimetres",
                    sign=" mm",
                    digits=2,
                )
            },
            lines=tuple(lines),
            points=tuple(points),
            parts=tuple(parts),
            view=view_of(surface),
        )
    )


def bands_of(thickness: Floats) -> Bands:
    """Return round bands from nothing to the thickest place.

    Parameters
    ----------
    thickness
        [m]; what is not a number is left out.
    """
    most = 1e3 * float(np.nanmax(thickness)) if np.isfinite(thickness).any() else 1.0
    step = next((s for s in STEPS if most / s < MOST_BANDS - 0.01), STEPS[-1])
    count = min(int(most / step) + 1, MOST_BANDS)
    return Bands(
        name="thickness, mm",
        edges=tuple(round(step * k, 6) for k in range(count)),
        colours=colour.SHEAR.colours[:count],
        per_si=1e3,
        magnitude=False,
    )


def _borders(surface: Surface, of_triangle: NDArray[np.int32]) -> list[Floats]:
    """Return the borders between zones, each of two points."""
    t = surface.triangles
    ends = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    zone = np.tile(of_triangle, 3)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ends, zone = ends[order], zone[order]
    twice = (ends[1:] == ends[:-1]).all(axis=1) & (zone[1:] != zone[:-1])
    pairs = ends[1:][twice]
    return _chained(surface.vertices, pairs)


def _chained(vertices: Floats, pairs: NDArray[np.int64]) -> list[Floats]:
    """Return edges joined to lines as long as they go."""
    after: dict[int, list[int]] = {}
    for a, b in pairs.tolist():
        after.setdefault(a, []).append(b)
        after.setdefault(b, []).append(a)
    left = {frozenset(pair) for pair in pairs.tolist()}
    out = []
    begins = [v for v, near in after.items() if len(near) != 2] + list(after)
    for begin in begins:
        for way in after[begin]:
            if frozenset((begin, way)) not in left:
                continue
            line, here, there = [begin], begin, way
            while frozenset((here, there)) in left:
                left.remove(frozenset((here, there)))
                line.append(there)
                here, there = there, next((v for v in after[there] if frozenset((there, v)) in left), there)
            out.append(vertices[line])
    return out
