"""Wall, arc, wall: the section across a corner as two straight lines joined by an arc that touches both.

Fitting all three at once reads small fillets truly: a curvature fitted to a patch wider than the fillet blurs it with
its walls, while here the walls say where the arc must end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ROUNDS = 40  # of the fit at most
FEWEST = 8  # points
SEEN = 1.1  # of the way from where walls meet to the arc's end: from there on a wall is seen
FLATTEST = float(np.radians(8.0))  # turn of walls that still tells an arc from a line
STEEPEST = float(np.radians(175.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Two walls and the arc between them.

    Parameters
    ----------
    radius
        Of the arc [m]; zero for a crease.
    turn
        By which the walls turn [rad].
    rms
        Distance of the points from it, root mean square [m].
    radius_error
        Standard deviation of the radius from points that scatter so [m].
    covered
        1 when points lie on both walls beyond the arc, 0.5 when on one of them, 0 when on neither.
    """

    radius: float
    turn: float
    rms: float
    radius_error: float
    covered: float


def fitted_profile(points: Floats) -> Profile | None:
    """Return the wall–arc–wall that lies closest to points across a hollow.

    Parameters
    ----------
    points
        In the plane of the section, shape (n, 2) [m]: across the corner, and up to the laminate's side.

    Returns
    -------
    Profile or None
        Nothing when there are fewer than eight points, when they lie flat, or when the fit does not settle.

    Notes
    -----
    Least squares of distances over five numbers: where the walls' lines meet, their two slopes, the radius. With
    noise σ the radius comes out to about σ/(1/cos(t/2) − 1)/√n with n the points on the arc; `radius_error` is
    worked out from the fit itself, for noise that is not the same from point to point. Walls that are not straight
    are read as wider or tighter arcs; the rms tells.
    """
    p = np.asarray(points, dtype=np.float64)
    if len(p) < FEWEST:
        return None
    x = _start(p)
    if x is None:
        return None
    scale = float(np.ptp(p[:, 0]))
    unit = np.array([scale, scale, 1.0, 1.0, scale])
    r = _distances(x, p)
    cost, damping = float(r @ r), 1e-3
    settled = False
    jacobian = _jacobian(x, p, unit, r)
    for _ in range(ROUNDS):
        normal = jacobian.T @ jacobian
        slope = jacobian.T @ r
        free = np.arange(5 if x[4] > 0 or slope[4] < 0 else 4)  # a radius that wants to go below zero stays there
        step = np.zeros(5)
        block = normal[np.ix_(free, free)]
        ridge = damping * (np.diag(np.diag(block)) + 1e-12 * np.eye(len(free)))
        try:
            step[free] = -np.linalg.solve(block + ridge, slope[free])
        except np.linalg.LinAlgError:  # points that do not tell the five numbers apart
            return None
        trial = x + unit * step
        trial[4] = max(trial[4], 0.0)
        turn = trial[2] + trial[3]
        new = _distances(trial, p) if FLATTEST < turn < STEEPEST else None
        better = new is not None and float(new @ new) <= cost
        if new is not None and better:
            done = cost - float(new @ new) < 1e-9 * cost + 1e-30
            x, r, cost, damping = trial, new, float(new @ new), 0.3 * damping
            jacobian = _jacobian(x, p, unit, r)
            settled = done
            if done:
                break
        else:
            damping *= 5.0
            if damping > 1e8:
                settled = new is not None
                break
    if not settled:
        return None
    rms = float(np.sqrt(cost / len(p)))
    spare = max(len(p) - 5, 1)
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * cost / spare
    radius, turn = float(x[4]), float(x[2] + x[3])
    tangent = SEEN * radius * float(np.tan(turn / 2.0))
    q = p - x[:2]
    left = float((q @ np.array([-np.cos(x[2]), np.sin(x[2])])).max())
    right = float((q @ np.array([np.cos(x[3]), np.sin(x[3])])).max())
    return Profile(
        radius=radius,
        turn=turn,
        rms=rms,
        radius_error=float(scale * np.sqrt(max(covariance[4, 4], 0.0))),
        covered=0.5 * (float(left > tangent) + float(right > tangent)),
    )


def _start(p: Floats) -> Floats | None:
    """Return a first guess from lines through the outer third on both sides."""
    order = np.argsort(p[:, 0], kind="stable")
    third = max(3, len(p) // 3)
    if float(np.ptp(p[:, 0])) <= 0:
        return None
    lines = []
    for part in (p[order[:third]], p[order[-third:]]):
        middle = part.mean(axis=0)
        along = np.linalg.svd(part - middle, full_matrices=False)[2][0]
        lines.append((middle, along * (1.0 if along[0] >= 0 else -1.0)))
    (m1, d1), (m2, d2) = lines
    a1, a2 = float(np.arctan2(-d1[1], d1[0])), float(np.arctan2(d2[1], d2[0]))
    if not FLATTEST < a1 + a2 < STEEPEST:
        return None
    matrix = np.column_stack([d1, -d2])
    if abs(float(np.linalg.det(matrix))) < 1e-6:
        return None
    apex = m1 + d1 * float(np.linalg.solve(matrix, m2 - m1)[0])
    turn = a1 + a2
    lowest = float(np.linalg.norm(p - apex, axis=1).min())
    return np.array([apex[0], apex[1], a1, a2, lowest / (1.0 / np.cos(turn / 2.0) - 1.0)])


def _distances(x: Floats, p: Floats) -> Floats:
    """Return signed distances from wall, arc, wall; positive on the laminate's side."""
    a1, a2, radius = x[2], x[3], x[4]
    half = 0.5 * (a1 + a2)
    q = p - x[:2]
    tilt = 0.5 * (a2 - a1)  # of the line that halves the angle, from straight up
    up, side = np.array([-np.sin(tilt), np.cos(tilt)]), np.array([np.cos(tilt), np.sin(tilt)])
    height, across = q @ up - radius / np.cos(half), q @ side
    left = q @ np.array([np.sin(a1), np.cos(a1)])
    right = q @ np.array([-np.sin(a2), np.cos(a2)])
    on_wall = np.abs(across) * np.cos(half) > -height * np.sin(half)
    arc = radius - np.hypot(height, across)
    out: Floats = np.where(on_wall, np.where(across < 0, left, right), arc)
    return out


def _jacobian(x: Floats, p: Floats, unit: Floats, at: Floats) -> Floats:
    """Return how distances change with each number, in its unit, forwards from the distances at hand."""
    columns = []
    for k in range(5):
        step = np.zeros(5)
        step[k] = 1e-7 * unit[k]
        columns.append((_distances(x + step, p) - at) / 1e-7)
    return np.column_stack(columns)
