"""One tight patch of a mould measured: its single lines, how long, how sharp, how high the bridge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.mould.corner import Corner
from bagside.mould.line import Line, lines_in
from bagside.mould.profile import Profile
from bagside.mould.radius import verdict_of
from bagside.mould.skeleton import Skeleton
from bagside.mould.walls import Measured, bottom_of, section_at, turns_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_TURN = float(np.radians(20.0))  # flatter than this the ball's gap is too small to give a radius
WIDEST_TURN = float(np.radians(170.0))  # beyond it the walls are nearly parallel
SAMPLES = 80  # vertices at which the angle of one corner is taken
SECTIONS = 40  # stations of one corner at which a section is fitted
MARK = 0.001  # [m] grooves shallower than this are scribed lines and marks
SMALLER = (0.5, 0.25, 0.125)  # of the needed radius: balls tried in a groove
STEADY = 0.05  # of a radius: its error after the middle of so many neighbouring sections is taken
WOBBLE = float(np.radians(12.0))  # bends of a line to and fro that count as jitter of its stations


def corners_in(m: Measured, patch: Ints, skeleton: Skeleton) -> list[Corner]:
    """Return the corners of a patch, one for each single line in it; none when it is a scribed line or a mark.

    Parameters
    ----------
    m
        What was measured.
    patch
        Its vertices, shape (k,).
    skeleton
        The line along it.
    """
    found = [_corner(m, line) for line in lines_in(m, patch, skeleton)]
    return [c for c in found if c is not None]


def _corner(m: Measured, line: Line) -> Corner | None:
    patch = np.concatenate(line.stations)
    gap = float(np.quantile([m.gaps[s].max() for s in line.stations], 0.9))
    want = float(m.needed[patch].max())
    bottoms = [bottom_of(m, s) for s in line.stations]
    profiles = _sections(m, bottoms, line, want)
    read = _read(profiles)
    if read is not None:
        radius, error, turn = read
        if radius >= want:
            return None
    else:
        radius, turn = _by_ball(m, line.stations, bottoms, want)
        error = None
    if turn < LEAST_TURN and gap < MARK:
        return None
    thick = float(m.thickness[patch].max())
    return Corner(
        id="",
        points=line.points,
        links=line.links,
        closed=line.closed,
        length=line.length,
        radius=radius,
        radius_error=error,
        included=float(np.pi - turn),
        bending=_bending(line.points, m.surface.vertex_normals[np.concatenate(bottoms)].mean(axis=0), line.closed),
        surplus=float(m.defects[patch].sum()),
        gap=gap,
        needed=want,
        thickness=thick,
        meetings=line.meetings,
        verdict=verdict_of(radius, thick),
    )


def _sections(m: Measured, bottoms: list[Ints], line: Line, want: float) -> list[Profile | None]:
    """Return the sections at up to forty stations evenly along a line."""
    n = len(line.points)
    if n < 2:
        return []
    out = []
    for k in np.unique(np.linspace(0, len(bottoms) - 1, min(SECTIONS, len(bottoms))).round().astype(int)).tolist():
        at = line.at[k]
        before, after = ((at - 1) % n, (at + 1) % n) if line.closed else (max(at - 1, 0), min(at + 1, n - 1))
        out.append(section_at(m, bottoms[k], line.points[after] - line.points[before], want))
    return out


def _read(profiles: list[Profile | None]) -> tuple[float, float, float] | None:
    """Return radius, its error and the turn that most sections agree on; nothing when fewer than half were read."""
    read = [p for p in profiles if p is not None]
    if len(read) == 0 or 2 * len(read) < len(profiles):
        return None
    radii = np.array([p.radius for p in read])
    error = float(np.median([p.radius_error for p in read]))
    certain = max(STEADY * float(np.median(radii)), error / np.sqrt(len(read)))  # else the smallest is the luckiest
    wide = min(len(radii), max(3, int(np.ceil((error / certain) ** 2)) if certain > 0 else 3))
    radii = np.median(np.lib.stride_tricks.sliding_window_view(radii, wide), axis=1)
    return float(radii.min()), error, float(np.median([p.turn for p in read]))


def _by_ball(m: Measured, stations: list[Ints], bottoms: list[Ints], want: float) -> tuple[float, float]:
    """Return radius and turn from fitted curvature, the ball's gap and normals on both sides."""
    bend = float(np.quantile([np.quantile(m.radii[s], 0.2, method="higher") for s in stations], 0.1, method="higher"))
    at = np.concatenate(bottoms)
    at = at[:: max(1, len(at) // SAMPLES)]
    turns = turns_at(m, at, want)
    radius = min(bend, _radius_by_ball(m.gaps[at], turns, want))
    if not radius < want:
        radius = _largest_ball(m, at, want)
    return radius, float(np.median(turns))


def _largest_ball(m: Measured, bottom: Ints, want: float) -> float:
    """Return the largest of some smaller balls that touches the bottom of a groove; zero when none does."""
    for share in SMALLER:
        if float(np.median(m.gaps_of(share * want)[bottom])) <= 0.05 * share * want:
            return share * want
    return 0.0


def _radius_by_ball(gaps: Floats, turns: Floats, ball: float) -> float:
    """Return the fillet between two walls that leaves the ball's gap, at the tighter places; infinite when unknown.

    Grooves narrower than the ball leave a larger gap than any two walls could and say nothing about a radius.
    """
    whole = 1.0 / np.cos(np.minimum(turns, WIDEST_TURN) / 2.0) - 1.0
    known = (turns >= LEAST_TURN) & (gaps > 0) & (gaps <= 1.2 * ball * whole)
    if not known.any():
        return np.inf
    found = np.maximum(0.0, ball - gaps[known] / whole[known])
    return float(np.quantile(found, 0.25))


def _bending(points: Floats, up: Floats, closed: bool) -> float:
    """Return the angle by which a line bends about its walls' mean normal, there and back counted twice [rad]."""
    p = points
    if len(p) > 4:  # the mean of three neighbours has a third of the jitter
        inner = (np.roll(p, 1, axis=0) + p + np.roll(p, -1, axis=0)) / 3.0
        p = inner if closed else np.concatenate([p[:1], inner[1:-1], p[-1:]])
    if closed:
        p = np.concatenate([p, p[:2]])
    d = np.diff(p, axis=0)
    one, two = d[:-1], d[1:]
    cross, dot = np.cross(one, two), np.einsum("ij,ij->i", one, two)
    size = float(np.linalg.norm(up))
    upward = up / size if size > 0 else up
    angle = np.arctan2(np.linalg.norm(cross, axis=1), dot) * np.where(cross @ upward < 0, -1.0, 1.0)
    heading = np.concatenate([[0.0], np.cumsum(angle)])
    total, held = 0.0, 0.0
    for h in heading.tolist():
        if abs(h - held) > WOBBLE:
            total += abs(h - held)
            held = h
    return float(total)
