"""One photo's view of a plane of markers: from the plane to pixels and back, and how well each place is known."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.bend import Bend
from bagside.camera.lens import Lens
from bagside.camera.marks import MarkFrame

Floats = NDArray[np.float64]

POSE = 6
"""Parameters of a pose: three of turning, three of place."""
BEND_ROUNDS = 6  # of meeting a bent sheet: each leaves a hundredth or less of the one before
PARAMETERS = POSE + 7
"""Of a view: its pose, then f, cx, cy, k1, k2, p1, p2."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """Where a camera stood over a plane of markers, and through which lens.

    Parameters
    ----------
    lens
        The lens of this photo.
    rotation
        From the sheet's axes to the camera's (x right, y down, z forward), shape (3, 3).
    translation
        Of the sheet's origin in the camera's axes, shape (3,) [m].
    rms
        Root mean square of what is left between the corners used and the view, in both coordinates [px].
    corner_sd
        Standard deviation of one coordinate of a corner, estimated from what is left [px].
    frame
        The markers.
    markers_used
        How many of them hold the view.
    tilt
        Between the sight of the camera's middle and the normal of the sheet [rad].
    unexplained
        Standard deviation of what is left and is alike at neighbouring markers, in one coordinate [px]: the sheet is
        not flat, or not printed as drawn.
    growth
        How far the black of the markers reaches beyond its drawn edge; below zero when the exposure has eaten into it
        [px]. The edge of another dark thing on the same paper is moved alike, but for the part that is spread ink.
    bend
        How the sheet is bent, when its markers show that it is; heights are then over the bent paper.
    covariance
        Of turning (rotation vector added on the camera's side), place, f, cx, cy, k1, k2, p1, p2, shape (13, 13), and
        of the terms of the bend when there is one, shape (25, 25).
    """

    lens: Lens
    rotation: Floats
    translation: Floats
    rms: float
    corner_sd: float
    frame: MarkFrame
    markers_used: int
    tilt: float
    covariance: Floats
    unexplained: float = 0.0
    growth: float = 0.0
    bend: Bend | None = None

    @property
    def camera(self) -> Floats:
        """Place of the camera in the sheet's axes, shape (3,) [m]."""
        place: Floats = -self.rotation.T @ self.translation
        return place

    @property
    def lift(self) -> float:
        """How much higher the sheet lies at one marker than at another [m]; zero when it is flat."""
        if self.bend is None:
            return 0.0
        return float(np.ptp(self.bend.height(np.concatenate([m.corners for m in self.frame.markers]))))

    def to_pixels(self, points: Floats) -> Floats:
        """Return where points are seen.

        Parameters
        ----------
        points
            In the sheet's axes, shape (n, 3), or (n, 2) for points on the paper [m].

        Returns
        -------
        ndarray
            Shape (n, 2) [px].
        """
        p = np.atleast_2d(np.asarray(points, dtype=np.float64))
        if p.shape[1] == 2:
            p = np.column_stack([p, np.zeros(len(p))])
        if self.bend is not None:
            p = np.column_stack([p[:, :2], p[:, 2] + self.bend.height(p[:, :2])])
        seen = p @ self.rotation.T + self.translation
        return self.lens.pixels(seen[:, :2] / seen[:, 2:])

    def to_plane(self, pixels: Floats, height: float = 0.0) -> Floats:
        """Return where the sight through pixels meets a plane over the paper.

        Parameters
        ----------
        pixels
            Shape (n, 2) [px].
        height
            Of the plane over the paper [m].

        Returns
        -------
        ndarray
            Shape (n, 2) [m]; not a number where the sight does not meet the plane.
        """
        flat = self.lens.directions(pixels)
        sight = np.column_stack([flat, np.ones(len(flat))]) @ self.rotation
        start = self.camera
        up: float | Floats = height
        with np.errstate(divide="ignore", invalid="ignore"):
            for _ in range(1 if self.bend is None else BEND_ROUNDS):
                along = (up - start[2]) / sight[:, 2]
                met = start[:2] + along[:, None] * sight[:, :2]
                met[~(along > 0)] = np.nan
                if self.bend is not None:
                    up = height + self.bend.height(met)
        return np.asarray(met)

    def plane_sd(self, points: Floats, height: float = 0.0) -> Floats:
        """Return the predicted standard deviation of `to_plane` at places.

        Parameters
        ----------
        points
            Shape (n, 2) [m].
        height
            Of the plane over the paper [m].

        Returns
        -------
        ndarray
            In the direction in which it is largest, shape (n,) [m].

        Notes
        -----
        It holds the spread of the view's parameters, as far as the corners and what was known of the lens determine
        them, the size of the printed sheet about the window's middle, and twice what is left unexplained at the
        markers: inside the ring a curled sheet lies farther off than at it. It does not hold that an edge was found in
        the wrong place.
        """
        p = np.atleast_2d(np.asarray(points, dtype=np.float64))
        up = np.full(len(p), height) if self.bend is None else height + self.bend.height(p)
        seen = np.column_stack([p, up]) @ self.rotation.T + self.translation
        by_view = by_parameters(self.lens, seen, self.translation)  # (n, 2, 13): what a change does to the pixel
        by_point = by_camera_point(self.lens, seen) @ self.rotation
        by_plane = by_point[:, :, :2]  # (n, 2, 2)
        if self.bend is not None:
            by_height = by_point[:, :, 2:]
            by_view = np.concatenate([by_view, by_height * self.bend.terms(p)[:, None, :]], axis=2)
            by_plane = by_plane + by_height * self.bend.slope(p)[:, None, :]
        moved = np.linalg.solve(by_plane, by_view)
        spread = moved @ self.covariance @ moved.transpose(0, 2, 1)
        arm = (p - self.frame.middle) * np.array(self.frame.scale_sd)
        spread[:, 0, 0] += arm[:, 0] ** 2
        spread[:, 1, 1] += arm[:, 1] ** 2
        pixels = np.sqrt(np.abs(np.linalg.det(by_plane)))  # for a metre
        spread[:, [0, 1], [0, 1]] += ((2.0 * self.unexplained / pixels) ** 2)[:, None]
        sd: Floats = np.sqrt(np.linalg.eigvalsh(spread)[:, 1])
        return sd


def by_parameters(lens: Lens, seen: Floats, translation: Floats) -> Floats:
    """Return the change of pixels with the parameters of a view.

    Parameters
    ----------
    lens
        The lens.
    seen
        Points in the camera's axes, shape (n, 3) [m].
    translation
        Of the sheet's origin there, shape (3,) [m].

    Returns
    -------
    ndarray
        Shape (n, 2, 13); turning is a rotation vector applied after the rotation.
    """
    by_point = by_camera_point(lens, seen)
    arm = seen - translation
    turned = np.zeros((len(seen), 3, 3))  # d(exp(w) arm)/dw = -[arm]
    turned[:, 0, 1], turned[:, 0, 2] = arm[:, 2], -arm[:, 1]
    turned[:, 1, 0], turned[:, 1, 2] = -arm[:, 2], arm[:, 0]
    turned[:, 2, 0], turned[:, 2, 1] = arm[:, 1], -arm[:, 0]
    x, y = seen[:, 0] / seen[:, 2], seen[:, 1] / seen[:, 2]
    r2 = x * x + y * y
    out = np.zeros((len(seen), 2, PARAMETERS))
    out[:, :, 0:3] = by_point @ turned
    out[:, :, 3:6] = by_point
    out[:, :, 6] = (lens.pixels(np.column_stack([x, y])) - np.array([lens.cx, lens.cy])) / lens.f
    out[:, 0, 7] = out[:, 1, 8] = 1.0
    out[:, 0, 9], out[:, 1, 9] = lens.f * x * r2, lens.f * y * r2
    out[:, 0, 10], out[:, 1, 10] = lens.f * x * r2 * r2, lens.f * y * r2 * r2
    out[:, 0, 11], out[:, 1, 11] = lens.f * 2.0 * x * y, lens.f * (r2 + 2.0 * y * y)
    out[:, 0, 12], out[:, 1, 12] = lens.f * (r2 + 2.0 * x * x), lens.f * 2.0 * x * y
    return out


def by_camera_point(lens: Lens, seen: Floats) -> Floats:
    """Return the change of pixels with points in the camera's axes, shape (n, 2, 3).

    Parameters
    ----------
    lens
        The lens.
    seen
        Points in the camera's axes, shape (n, 3) [m].
    """
    z = seen[:, 2]
    x, y = seen[:, 0] / z, seen[:, 1] / z
    r2 = x * x + y * y
    radial = 1.0 + r2 * (lens.k1 + r2 * lens.k2)
    slope = 2.0 * (lens.k1 + 2.0 * r2 * lens.k2)  # of radial, over x or y
    ux = radial + slope * x * x + 2.0 * lens.p1 * y + 6.0 * lens.p2 * x
    uy = slope * x * y + 2.0 * lens.p1 * x + 2.0 * lens.p2 * y
    vy = radial + slope * y * y + 6.0 * lens.p1 * y + 2.0 * lens.p2 * x
    flat = np.stack([np.stack([ux, uy], -1), np.stack([uy, vy], -1)], -2)
    into = np.zeros((len(z), 2, 3))
    into[:, 0, 0] = into[:, 1, 1] = 1.0 / z
    into[:, 0, 2], into[:, 1, 2] = -x / z, -y / z
    return lens.f * flat @ into


def view_from(
    lens: Lens,
    rotation: Floats,
    translation: Floats,
    frame: MarkFrame,
    *,
    rms: float = 0.0,
    corner_sd: float = 0.0,
    markers_used: int = 0,
    covariance: Floats | None = None,
    unexplained: float = 0.0,
    growth: float = 0.0,
    bend: Bend | None = None,
) -> View:
    """Return a view with its tilt worked out.

    Parameters
    ----------
    lens
        The lens.
    rotation
        Shape (3, 3).
    translation
        Shape (3,) [m].
    frame
        The markers.
    rms
        [px].
    corner_sd
        [px].
    markers_used
        How many.
    covariance
        Shape (13, 13); zero when None: a view that is known exactly.
    unexplained, growth
        [px].
    bend
        Of the sheet.
    """
    middle = lens.directions(np.array([[0.5 * (lens.width - 1), 0.5 * (lens.height - 1)]]))[0]
    sight = np.array([*middle, 1.0]) / np.hypot(1.0, np.hypot(*middle))
    return View(
        lens=lens,
        rotation=rotation,
        translation=translation,
        rms=rms,
        corner_sd=corner_sd,
        frame=frame,
        markers_used=markers_used,
        tilt=float(np.arccos(np.clip(-(sight @ rotation[:, 2]), -1.0, 1.0))),
        covariance=np.zeros((PARAMETERS, PARAMETERS)) if covariance is None else covariance,
        unexplained=unexplained,
        growth=growth,
        bend=bend,
    )


def turned(vector: Floats) -> Floats:
    """Return the rotation of a rotation vector, shape (3, 3).

    Parameters
    ----------
    vector
        Axis times angle, shape (3,) [rad].
    """
    return np.asarray(cv2.Rodrigues(np.asarray(vector, dtype=np.float64))[0])
