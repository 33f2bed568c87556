"""From plies to the laminate in each zone of the part, its mass, and how it compares with what it replaces.

Which ply covers a triangle of the part, and how it lies there, is read from the draped pieces by nearest point: the
meshes of pieces and part need not be the same. A ply cut from cards lies over its region at the angle that is stated.
Without a surface, places take the part of triangles (`bagside.planning.measured_stage`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside import laminate as laminates
from bagside.drape import Drape
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface
from bagside.laminate import LaidPly, Lamina, Match, Original, Zone
from bagside.planning.extent import Extent, extent_of
from bagside.planning.piece import Piece
from bagside.quantity import shown
from bagside.spec.job import Ply
from bagside.spec.material import ClothKind, Prepreg, Substrate

BARE = 0.02  # of the part: less may be triangles at its edge
COVERS = 0.0005  # [m] a triangle's middle this near a piece lies under it


@dataclass(frozen=True, slots=True, kw_only=True)
class LaminateMap:
    """The laminate over the part.

    Parameters
    ----------
    part
        How large the finished part is.
    zones
        Largest first; their triangles are those of the surface, or numbers of places when there is none.
    layers
        Index of the ply of each layer that a zone names: a ply whose pieces overlap gives two, the second one being
        what lies over the other piece.
    mass
        Of the finished part as cured, without coats and brackets [kg].
    bare
        Area that no ply covers [m²].
    match
        Against the part it replaces, for the largest zone; none when nothing is replaced.
    basis
        Weakest basis among the plies' constants.
    surface
        The finished part's surface, evenly meshed; None when it was measured by tape.
    """

    part: Extent
    zones: tuple[Zone, ...]
    layers: tuple[int, ...]
    mass: float
    bare: float
    match: Match | None
    basis: Basis
    surface: Surface | None = None

    @property
    def main(self) -> Zone:
        """The largest zone."""
        return self.zones[0]

    @property
    def thickest(self) -> float:
        """Of any zone that is not small [m]."""
        return max(z.laminate.thickness for z in self.zones if not z.small or len(self.zones) == 1)

    def plies_in(self, zone: Zone) -> tuple[int, ...]:
        """Return the index of the ply of each layer of a zone, in laying order; one that overlaps there comes twice."""
        return tuple(self.layers[k] for k in zone.present)


def lamina_of(prepreg: Prepreg) -> Lamina:
    """Return a prepreg's cured constants."""
    return Lamina(
        E1=prepreg.e1,
        E2=prepreg.e2,
        G12=prepreg.g12,
        nu12=prepreg.nu12,
        alpha1=prepreg.alpha1,
        alpha2=prepreg.alpha2,
        XT=prepreg.strength_tension_1,
        XC=prepreg.strength_compression_1,
        YT=prepreg.strength_tension_2,
        YC=prepreg.strength_compression_2,
        S=prepreg.strength_shear,
    )


def laid_ply(name: str, prepreg: Prepreg, angle: float) -> LaidPly:
    """Return a ply as the laminate bench takes it: the sheet's thickness, else the one its weights give."""
    thickness = prepreg.thickness or float(
        laminates.cured_thickness(
            prepreg.areal_weight, prepreg.resin_content, prepreg.fibre_density, prepreg.resin_density
        )
    )
    return LaidPly(
        name=name,
        lamina=lamina_of(prepreg),
        thickness=thickness,
        angle=angle,
        woven=prepreg.kind in (ClothKind.WOVEN, ClothKind.NON_CRIMP),
        areal_weight=float(laminates.prepreg_areal_weight(prepreg.areal_weight, prepreg.resin_content)),
    )


def laminate_map(
    part: Surface,
    drapes: tuple[tuple[int, Drape], ...],
    plies: tuple[Ply, ...],
    prepregs: tuple[Prepreg, ...],
    direction: tuple[float, float, float],
    original: tuple[Substrate, float] | None,
    cards: tuple[tuple[int, Surface], ...] = (),
) -> LaminateMap:
    """Return the laminate over the part.

    Parameters
    ----------
    part
        Evenly meshed.
    drapes
        Index of the ply and how each of its pieces lies.
    plies, prepregs
        In laying order.
    direction
        The part's zero direction.
    original
        What the replaced part is made of, and its thickness [m].
    cards
        Index and region of each ply that is cut from cards.

    Raises
    ------
    InputError
        When no ply covers any of the part.
    """
    layers, covers, angles, shears = _layers(part, drapes, cards, plies, np.array(direction))
    found = stacked(layers, covers, part.areas, angles, shears, plies, prepregs, original)
    return replace(found, part=extent_of(part), surface=part)


def with_edge(found: LaminateMap, edge: float) -> LaminateMap:
    """Return a laminate whose part has an edge of this length.

    Parameters
    ----------
    found
        The laminate.
    edge
        [m].
    """
    return replace(found, part=replace(found.part, edge=edge))


def stacked(
    layers: tuple[int, ...],
    covers: NDArray[np.bool_],
    areas: NDArray[np.float64],
    angles: NDArray[np.float64],
    shears: NDArray[np.float64],
    plies: tuple[Ply, ...],
    prepregs: tuple[Prepreg, ...],
    original: tuple[Substrate, float] | None,
) -> LaminateMap:
    """Return the laminate over triangles or places; the edge of the part is left at zero.

    Parameters
    ----------
    layers
        Index of the ply of each layer.
    covers
        Which layer covers which triangle or place, shape (m, layers).
    areas
        Shape (m,) [m²].
    angles, shears
        Of each layer's warp from the zero direction, and its shear, shape (m, layers) [rad].
    plies, prepregs
        In laying order.
    original
        What the replaced part is made of, and its thickness [m].

    Raises
    ------
    InputError
        When no ply covers any of the part.
    """
    laid = [laid_ply(str(k + 1), prepregs[k], plies[k].angle) for k in layers]
    if not covers.any():
        raise InputError.one("job.toml, plies", "", "no ply covers any of the part", "check the regions of the plies")
    zones = laminates.zones_of(covers, areas, angles, shears, plies=laid)
    mass = sum(z.area * z.laminate.mass_per_area for z in zones)
    match = None
    if original is not None:
        substrate, thickness = original
        match = laminates.match(
            zones[0].laminate,
            Original(E=substrate.modulus, nu=substrate.poisson, thickness=thickness, density=substrate.density),
        )
    fields = ("e1", "e2", "g12", "areal_weight", "resin_content")
    order = list(Basis)
    basis = max((p.basis.of(f) for p in prepregs for f in fields), key=order.index)
    return LaminateMap(
        part=Extent(area=float(areas.sum()), edge=0.0),
        zones=zones,
        layers=layers,
        mass=mass,
        bare=float(areas[~covers.any(axis=1)].sum()),
        match=match,
        basis=basis,
    )


def _layers(
    part: Surface,
    drapes: tuple[tuple[int, Drape], ...],
    cards: tuple[tuple[int, Surface], ...],
    stated: tuple[Ply, ...],
    direction: NDArray[np.float64],
) -> tuple[tuple[int, ...], NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]]:
    """Return the ply of each layer, and where it lies, its warp's angle and its shear, each of shape (m, layers).

    The second piece of a ply over a triangle is a layer of its own: there the ply lies twice.
    """
    count, plies = len(part.triangles), len(stated)
    zero = _tangent(np.broadcast_to(direction, (count, 3)), part.normals)
    covers = np.zeros((count, plies, 2), dtype=np.bool_)
    angles = np.zeros((count, plies, 2))
    shears = np.zeros((count, plies, 2))
    for ply, lain in drapes:
        distance, triangle, _ = geometry.nearest(lain.surface, part.centroids)
        warp = _tangent(lain.warp[triangle], part.normals)
        sine = np.einsum("ij,ij->i", np.cross(zero, warp), part.normals)
        cosine = np.einsum("ij,ij->i", zero, warp)
        inside = np.flatnonzero(distance < COVERS)
        level = covers[inside, ply, 0].astype(np.int64)  # a third piece over one place counts as the second
        covers[inside, ply, level] = True
        angles[inside, ply, level] = np.arctan2(sine, cosine)[inside]
        shears[inside, ply, level] = lain.shear[triangle][inside]
    for ply, region in cards:
        distance, _, _ = geometry.nearest(region, part.centroids)
        covers[distance < COVERS, ply, 0] = True
        angles[:, ply, 0] = stated[ply].angle
    overlapping = np.any(covers[:, :, 1], axis=0).tolist()
    chosen = [(k, level) for k in range(plies) for level in (0, 1) if level == 0 or overlapping[k]]
    column = np.array([2 * k + level for k, level in chosen], dtype=np.int64)
    wide = (count, 2 * plies)
    return (
        tuple(k for k, _ in chosen),
        covers.reshape(wide)[:, column],
        angles.reshape(wide)[:, column],
        shears.reshape(wide)[:, column],
    )


def _tangent(vectors: NDArray[np.float64], normals: NDArray[np.float64]) -> NDArray[np.float64]:
    flat = vectors - np.einsum("ij,ij->i", vectors, normals)[:, None] * normals
    length = np.linalg.norm(flat, axis=1, keepdims=True)
    out: NDArray[np.float64] = flat / np.where(length > 1e-9, length, 1.0)
    return out


def laminate_findings(found: LaminateMap, cools: float, *, show: bool, structural: bool) -> tuple[Finding, ...]:
    """Return what the laminate says, zone by zone.

    Parameters
    ----------
    cools
        By how much it cools from gel to the room [K].
    """
    return (
        *_bare_findings(found),
        *_match_findings(found),
        *_zone_findings(found, cools, show=show, structural=structural),
    )


def _bare_findings(found: LaminateMap) -> tuple[Finding, ...]:
    """Say so when part of the part carries no ply."""
    if found.bare < BARE * found.part.area:
        return ()
    return (
        Finding(
            severity=Severity.DECIDE,
            stage="laminate",
            place="the part",
            what=f"no ply covers {shown(found.bare, 'cm²', 0)} of its {shown(found.part.area, 'cm²', 0)}",
            why="there is nothing there to demould, and nothing of it is in mass and price",
            do="let a ply cover it, or leave it out of the part",
            basis=Basis.MEASURED,
        ),
    )


def _match_findings(found: LaminateMap) -> tuple[Finding, ...]:
    """Say so when the part is less stiff than what it replaces, in the two ways a panel is pushed."""
    match = found.match
    if match is None:
        return ()
    short = [
        (name, answer)
        for name, answer in (("bent as a plate", match.bending), ("pushed as a curved panel", match.pushed))
        if answer.ratio < 1.0
    ]
    return tuple(
        Finding(
            severity=Severity.DECIDE,
            stage="laminate",
            place="the largest zone",
            what=f"{name}, it is {shown(answer.ratio, '%', 0)} as stiff as the part it replaces",
            why=f"this laminate is {shown(match.thickness, 'mm', 2)} thick and would want "
            f"{shown(answer.thickness, 'mm', 2)}",
            do="add plies or a thin core, or accept it where ribs and rims hold the panel",
            basis=found.basis,
            source="t₂ = t₁ (E₁/E₂)^(1/3) for a plate, ^(1/2) for a gently curved shell",
        )
        for name, answer in short
    )


def _zone_findings(found: LaminateMap, cools: float, *, show: bool, structural: bool) -> tuple[Finding, ...]:
    worth = [z for z in found.zones if not z.small] or list(found.zones)
    return laminates.findings(worth, cooled=cools, flat=False, show_surface=show, structural=structural)


def drapes_of(pieces: Sequence[Piece]) -> tuple[tuple[int, Drape], ...]:
    """Return each piece's ply and how it lies."""
    return tuple((p.ply, p.drape) for p in pieces)
