"""Bringing the cloth coordinates of one piece onto those of another: a rigid motion of the plane.

Cloth neither stretches nor grows, so nothing but a turn and a move is allowed; what does not fit then is said as a
misfit in metres, never taken up by a scale.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.coarse import nearest
from bagside.drape.laid import Drape
from bagside.drape.pattern import locate
from bagside.errors import InputError

Floats = NDArray[np.float64]

TOUCHING = 0.001  # [m] pieces whose rims lie nearer to each other than this lie along a join
SHORTEST_JOIN = 0.005  # [m] points closer together than this do not fix a turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """A turn about the origin, then a move, in the plane of the cloth.

    Parameters
    ----------
    turn
        Counter-clockwise [rad].
    move
        [m].
    misfit
        Largest distance that is left between points that should meet [m].
    stretch
        How much longer the points lie apart where they go than where they come from, as a share.
    """

    turn: float = 0.0
    move: tuple[float, float] = (0.0, 0.0)
    misfit: float = 0.0
    stretch: float = 0.0

    def of(self, points: Floats) -> Floats:
        """Return points after the motion.

        Parameters
        ----------
        points
            Shape (k, 2) [m].
        """
        c, s = math.cos(self.turn), math.sin(self.turn)
        out: Floats = np.asarray(points, dtype=np.float64) @ np.array([[c, s], [-s, c]]) + np.array(self.move)
        return out

    def after(self, first: Motion) -> Motion:
        """Return this motion done after another one; the larger misfit stays known.

        Parameters
        ----------
        first
            What is done before.
        """
        move = self.of(np.array([first.move]))[0]
        return Motion(
            turn=self.turn + first.turn,
            move=(float(move[0]), float(move[1])),
            misfit=max(self.misfit, first.misfit),
            stretch=self.stretch if self.misfit >= first.misfit else first.stretch,
        )

    def back(self) -> Motion:
        """Return the motion that undoes this one."""
        undone = Motion(turn=-self.turn)
        move = undone.of(-np.array([self.move]))[0]
        return Motion(
            turn=-self.turn,
            move=(float(move[0]), float(move[1])),
            misfit=self.misfit,
            stretch=1.0 / (1.0 + self.stretch) - 1.0,
        )


def motion_between(from_: Floats, to: Floats, place: str = "registration") -> Motion:
    """Return the rigid motion that brings points nearest to others, in the sense of least squares.

    Parameters
    ----------
    from_, to
        Points that should meet, in the same order, each of shape (k, 2) with k at least 2 [m].
    place
        For messages.

    Raises
    ------
    InputError
        When there are fewer than two points or they all lie within 5 mm of each other: the turn would be a guess.

    References
    ----------
    The turn of least squares between two point sets, in the plane: Kabsch, W. (1976), Acta Cryst. A32, 922–923.

    Examples
    --------
    >>> square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]])
    >>> found = motion_between(square, square @ np.array([[0.0, 1.0], [-1.0, 0.0]]) + [2.0, 0.0])
    >>> round(math.degrees(found.turn), 6), round(found.misfit, 9)
    (90.0, 0.0)
    """
    a, b = np.asarray(from_, dtype=np.float64), np.asarray(to, dtype=np.float64)
    if a.shape != b.shape or a.ndim != 2 or a.shape[1] != 2 or len(a) < 2:
        raise InputError.one(place, f"points of shape {a.shape} and {b.shape}", "at least two points on each side")
    da, db = a - a.mean(axis=0), b - b.mean(axis=0)
    wide_a, wide_b = (math.sqrt(float((d**2).sum()) / len(d)) for d in (da, db))
    if min(wide_a, wide_b) < 0.5 * SHORTEST_JOIN:
        raise InputError.one(
            place,
            f"points {2e3 * min(wide_a, wide_b):.1f} mm apart",
            "points at least 5 mm apart are wanted, or the turn of the pattern is a guess",
        )
    turn = math.atan2(float((da[:, 0] * db[:, 1] - da[:, 1] * db[:, 0]).sum()), float((da * db).sum()))
    c, s = math.cos(turn), math.sin(turn)
    move = b.mean(axis=0) - a.mean(axis=0) @ np.array([[c, s], [-s, c]])
    plain = Motion(turn=turn, move=(float(move[0]), float(move[1])))
    misfit = float(np.linalg.norm(plain.of(a) - b, axis=1).max())
    return Motion(turn=plain.turn, move=plain.move, misfit=misfit, stretch=wide_b / wide_a - 1.0)


def join_between(one: Drape, other: Drape, reach: float = TOUCHING) -> tuple[Floats, Floats] | None:
    """Return where points along the join of two pieces fall in each of them; None when they do not touch.

    Parameters
    ----------
    one, other
        Two pieces as they lie.
    reach
        Rims nearer to each other than this touch [m].

    Returns
    -------
    tuple of arrays
        The same points of the join in the cloth coordinates of ``one`` and of ``other``, each shape (k, 2) [m].

    Notes
    -----
    Points are those vertices of either rim that lie on the other piece; with an overlap that is both edges of the band.
    """
    points = []
    for a, b in ((one, other), (other, one)):
        rim = a.surface.vertices[np.concatenate(a.surface.loops)] if a.surface.loops else np.zeros((0, 3))
        if len(rim):
            distance, _, _ = nearest_to(b, rim)
            points.append(rim[distance < reach])
    joined = np.concatenate(points) if points else np.zeros((0, 3))
    if len(joined) < 2 or float(np.ptp(joined, axis=0).max()) < SHORTEST_JOIN:
        return None
    return locate(one, joined), locate(other, joined)


def nearest_to(drape: Drape, points: Floats) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Return how far points lie off a draped surface, where they fall in its cloth, and in which triangle.

    Parameters
    ----------
    drape
        How the cloth lies.
    points
        Shape (k, 3) [m].
    """
    _, triangle, share = nearest(drape.surface, points)
    feet = np.einsum("ki,kij->kj", share, drape.surface.corners[triangle])
    uv = np.einsum("ki,kij->kj", share, drape.uv[drape.surface.triangles[triangle]])
    out: Floats = np.linalg.norm(feet - points, axis=1)
    return out, uv, triangle


def registered(drapes: Mapping[str, Drape], first: str) -> tuple[dict[str, Motion], tuple[str, ...]]:
    """Return for each piece the motion that brings its cloth coordinates onto those of the first.

    Parameters
    ----------
    drapes
        The pieces of a ply by label.
    first
        The one whose coordinates stay.

    Returns
    -------
    tuple
        Motions by label, and the labels of pieces that no join leads to from the first one.

    Notes
    -----
    Pieces follow from join to join, each over the join that is longest in points among those that lead to it; a ring
    of pieces therefore closes with what misfit the cloth leaves, at the shortest of its joins.
    """
    joins: dict[tuple[str, str], tuple[Floats, Floats]] = {}
    labels = list(drapes)
    for k, a in enumerate(labels):
        for b in labels[k + 1 :]:
            found = join_between(drapes[a], drapes[b])
            if found is not None:
                joins[a, b] = found
                joins[b, a] = (found[1], found[0])
    done = {first: Motion()}
    while True:
        open_ = [(len(points[0]), a, b) for (a, b), points in joins.items() if a in done and b not in done]
        if not open_:
            break
        _, a, b = max(open_, key=lambda item: (item[0], [-ord(c) for c in item[1] + item[2]]))
        in_a, in_b = joins[a, b]
        done[b] = done[a].after(motion_between(in_b, in_a, f"join of pieces {a} and {b}"))
    return done, tuple(label for label in labels if label not in done)
