"""Surfaces known in closed form, meshed, for tests and benchmarks; lengths in metres, normals towards the laminate."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def disc(rings: int) -> tuple[Floats, Ints]:
    """Return the unit disc as rings of 6 k points, 6 rings² triangles, and the triangles counter-clockwise."""
    points = [np.zeros((1, 2))]
    first = [0]
    for k in range(1, rings + 1):
        angle = 2 * np.pi * np.arange(6 * k) / (6 * k)
        first.append(first[-1] + max(6 * (k - 1), 1))
        points.append(k / rings * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    triangles = []
    for k in range(1, rings + 1):
        inner, outer = first[k - 1], first[k]
        n_in, n_out = max(6 * (k - 1), 1), 6 * k
        for side in range(6):
            for j in range(k):
                o0, o1 = outer + side * k + j, outer + (side * k + j + 1) % n_out
                i0 = inner + (side * (k - 1) + j) % n_in
                triangles.append((i0, o0, o1))
                if j < k - 1:
                    i1 = inner + (side * (k - 1) + j + 1) % n_in
                    triangles.append((i0, o1, i1))
    return np.concatenate(points), np.array(triangles, dtype=np.int64)


def grid(nx: int, ny: int) -> tuple[Floats, Ints]:
    """Return the unit square as 2 nx ny triangles with alternating diagonals."""
    x, y = np.meshgrid(np.linspace(0, 1, nx + 1), np.linspace(0, 1, ny + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(nx), np.arange(ny), indexing="ij"))
    a, b, c, d = i * (ny + 1) + j, (i + 1) * (ny + 1) + j, (i + 1) * (ny + 1) + j + 1, i * (ny + 1) + j + 1
    even = (i + j) % 2 == 0
    one = np.where(even[:, None], np.stack([a, b, c], 1), np.stack([a, b, d], 1))
    two = np.where(even[:, None], np.stack([a, c, d], 1), np.stack([b, c, d], 1))
    return np.stack([x.ravel(), y.ravel()], axis=1), np.concatenate([one, two])


def hemisphere(radius: float = 0.1, angle: float = np.pi / 2, rings: int = 40) -> Surface:
    """Return a sphere cap about +z down to a polar angle, 6 rings² triangles, pole at (0, 0, radius), bag side out."""
    p, t = disc(rings)
    r = np.linalg.norm(p, axis=1)
    unit = np.divide(p, r[:, None], out=np.zeros_like(p), where=r[:, None] > 0)
    polar = r * angle
    return Surface(radius * np.column_stack([unit * np.sin(polar)[:, None], np.cos(polar)]), t)


def plane(width: float = 0.3, height: float = 0.2, nx: int = 30, ny: int = 20) -> Surface:
    """Return a flat rectangle in z = 0 about the origin, normal +z."""
    p, t = grid(nx, ny)
    return Surface(np.column_stack([(p[:, 0] - 0.5) * width, (p[:, 1] - 0.5) * height, np.zeros(len(p))]), t)


def plane_with_hole(side: float = 0.3, radius: float = 0.05, around: int = 96, across: int = 16) -> Surface:
    """Return a flat square about the origin with a round hole in its middle, normal +z."""
    p, t = grid(around, across)
    at, out = 2 * np.pi * p[:, 0], p[:, 1]
    ray = np.stack([np.cos(at), np.sin(at)], axis=1)
    rim = 0.5 * side / np.abs(ray).max(axis=1)
    length = (1 - out) * radius + out * rim
    return welded(np.column_stack([ray * length[:, None], np.zeros(len(p))]), t[:, ::-1])


def cylinder(radius: float = 0.08, arc: float = np.pi, length: float = 0.25, nx: int = 50, ny: int = 50) -> Surface:
    """Return part of a cylinder about the x axis, middle line at +z."""
    p, t = grid(nx, ny)
    turn = (p[:, 1] - 0.5) * arc
    return Surface(np.column_stack([(p[:, 0] - 0.5) * length, radius * np.sin(turn), radius * np.cos(turn)]), t)


def cone(
    half_angle: float = np.radians(20), near: float = 0.1, far: float = 0.35, arc: float = np.pi, n: int = 50
) -> Surface:
    """Return part of a cone about the x axis between two slant distances from its apex, middle line at +z."""
    p, t = grid(n, n)
    slant, turn = near + p[:, 0] * (far - near), (p[:, 1] - 0.5) * arc
    r = slant * np.sin(half_angle)
    return Surface(np.column_stack([slant * np.cos(half_angle), r * np.sin(turn), r * np.cos(turn)]), t)


def saddle(side: float = 0.16, length: float = 0.3, n: int = 50) -> Surface:
    """Return z = (x² − y²) / length over a square about the origin, normal up."""
    p, t = grid(n, n)
    x, y = (p[:, 0] - 0.5) * side, (p[:, 1] - 0.5) * side
    return Surface(np.column_stack([x, y, (x * x - y * y) / length]), t)


def box_corner(reach: float = 0.08, fillet: float = 0.004, rings: int = 40, *, inside: bool = False) -> Surface:
    """Return a corner of a box whose three edges are rounded, seen along its diagonal as a disc.

    The box is x, y, z ≤ 0 grown by ``fillet``; with ``inside`` the laminate lies inside the box (a female mould).
    """
    p, t = disc(rings)
    e = np.array([[1, -1, 0], [1, 1, -2], [1, 1, 1]]) / np.sqrt([[2], [6], [3]])
    flat = reach * (p @ e[:2])
    low, high = np.full(len(p), -3 * reach), np.full(len(p), 3 * reach)
    for _ in range(60):
        middle = 0.5 * (low + high)
        outside = np.linalg.norm(np.maximum(flat + middle[:, None] * e[2], 0), axis=1) > fillet
        low, high = np.where(outside, low, middle), np.where(outside, middle, high)
    return Surface(flat + low[:, None] * e[2], t[:, ::-1] if inside else t)


def l_shape(side: float = 0.3, n: int = 30) -> Surface:
    """Return a flat L: a square about the origin without the quarter x > 0, y > 0; normal +z."""
    whole = plane(side, side, n, n)
    c = whole.centroids
    return whole.selected(~((c[:, 0] > 0) & (c[:, 1] > 0)))


def slotted_cap(radius: float = 0.1, angle: float = np.radians(70), rings: int = 40, width: float = 0.1) -> Surface:
    """Return a sphere cap with a slot cut from its rim along +x to half its polar angle; width in radians of turn."""
    whole = hemisphere(radius, angle, rings)
    c = whole.centroids
    turn, polar = np.arctan2(c[:, 1], c[:, 0]), np.arctan2(np.hypot(c[:, 0], c[:, 1]), c[:, 2])
    return whole.selected(~((np.abs(turn) < width) & (polar > 0.5 * angle)))


def holed_cap(radius: float = 0.1, angle: float = np.radians(70), rings: int = 40) -> Surface:
    """Return a sphere cap with an off-centre hole of 15° polar radius at 35° towards +x."""
    whole = hemisphere(radius, angle, rings)
    at = radius * np.array([np.sin(np.radians(35)), 0, np.cos(np.radians(35))])
    return whole.selected(whole.centroids @ at / radius**2 < np.cos(np.radians(15)))


def necked_cap(radius: float = 0.1, angle: float = np.radians(70), rings: int = 40, neck: float = 0.016) -> Surface:
    """Return a sphere cap of which a band about x = 0 is left out but for a neck of a width across its pole."""
    whole = hemisphere(radius, angle, rings)
    c = whole.centroids
    return whole.selected((np.abs(c[:, 0]) > 0.3 * radius) | (np.abs(c[:, 1]) < neck / 2))


def torus(ring: float = 0.15, tube: float = 0.05, n: int = 50, *, inside: bool = False) -> Surface:
    """Return a patch of a torus about z, 120° of turn and 150° round the tube, about its outer or its inner equator."""
    p, t = grid(n, n)
    turn, round_ = (p[:, 0] - 0.5) * np.radians(120), (p[:, 1] - 0.5) * np.radians(150)
    out = ring + tube * np.cos(round_) * (-1 if inside else 1)
    xyz = np.column_stack([out * np.cos(turn), out * np.sin(turn), tube * np.sin(round_)])
    return Surface(xyz, t[:, ::-1] if inside else t)


def cone_tip(half_angle: float = np.radians(60), slant: float = 0.12, rings: int = 40) -> Surface:
    """Return a cone about z with its sharp apex at the origin, bag side out and up."""
    p, t = disc(rings)
    r = slant * np.linalg.norm(p, axis=1)
    return Surface(np.column_stack([slant * np.sin(half_angle) * p, -np.cos(half_angle) * r]), t)


def noisy(surface: Surface, deviation: float = 0.0003, seed: int = 5) -> Surface:
    """Return a surface whose vertices are moved along their normals by normally distributed noise [m]."""
    move = np.random.default_rng(seed).normal(0, deviation, len(surface.vertices))
    return Surface(surface.vertices + move[:, None] * surface.vertex_normals, surface.triangles)


def rough(n: int = 71, side: float = 0.2) -> Surface:
    """Return a saddle in triangles of about 2 mm with 0.3 mm of noise, as a scan before fairing."""
    return noisy(saddle(side, 0.5, n))


def torn(rings: int = 40) -> Surface:
    """Return a sphere cap with five round holes of different size: six boundary loops."""
    whole = hemisphere(0.1, np.radians(75), rings)
    keep = np.ones(len(whole.triangles), dtype=bool)
    for k, (polar, size) in enumerate([(0.45, 0.12), (0.7, 0.2), (0.9, 0.15), (0.6, 0.08), (0.8, 0.25)]):
        turn = 2 * np.pi * k / 5
        at = np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])
        keep &= whole.centroids @ at / np.linalg.norm(whole.centroids, axis=1) < np.cos(size)
    return whole.selected(keep)


def welded(points: Floats, triangles: Ints) -> Surface:
    """Return a surface whose vertices closer than 1e-9 m are one."""
    _, first, back = np.unique(np.round(points, 9), axis=0, return_index=True, return_inverse=True)
    joined = back.reshape(-1)[triangles]
    whole = (joined[:, 0] != joined[:, 1]) & (joined[:, 1] != joined[:, 2]) & (joined[:, 2] != joined[:, 0])
    return Surface(points[first], joined[whole])
