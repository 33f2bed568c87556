"""Joins of successive plies kept apart: a cut moved aside from ply to ply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside.drape.cuts import CARRIED, Cut
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface, trace
from bagside.geometry.lines import parallel
from bagside.geometry.polyline import length_of, resampled
from bagside.geometry.surface import Floats

PLACES = (0, 1, -1, 2, -2)  # steps aside of successive plies; the sixth lies over the first, five plies below
KEPT = 0.5  # share of its length that a moved line must keep
REACHED = 3.0  # steps over which a moved line is led on to the rim
NEARLY = 0.97  # of the step: distances are taken straight, and the surface is longer


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Staggered:
    """A cut moved aside.

    Parameters
    ----------
    cut
        The cut at its new place.
    shift
        How far aside, positive to the left of its line seen from the laminate side [m].
    note
        What a person should know: that another place was taken, or that it comes too near another join; else empty.
    """

    cut: Cut
    shift: float
    note: str


def staggered(surface: Surface, cut: Cut, ply_index: int, step: float, before: Sequence[Floats] = ()) -> Staggered:
    """Return the cut of one of several plies, moved aside so that joins do not lie over each other.

    Parameters
    ----------
    surface
        What the ply covers.
    cut
        The cut as drawn.
    ply_index
        How many plies with this cut lie below, from zero.
    step
        Least distance between joins of successive plies [m].
    before
        Join lines of the last four plies, each shape (k, 3) [m]; none of them is to be nearer than the step.

    Returns
    -------
    Staggered
        The first place of 0, +step, −step, +2 steps, −2 steps, beginning with the one whose turn it is, that lies on
        the surface and keeps its distance; when none does the cut comes back as drawn, with a note.

    Raises
    ------
    InputError
        When the step is not a length.

    Notes
    -----
    Places repeat after five plies. A dart is moved sideways as a whole; its point stays as deep.
    """
    if not (np.isfinite(step) and step > 0):
        raise InputError.one(f"cut {cut.name}, stagger", f"{1000 * step:.1f} mm", "a distance above zero is wanted")
    turn = ply_index % len(PLACES)
    wanted = PLACES[turn]
    gone = False
    for place in PLACES[turn:] + PLACES[:turn]:
        line = _moved(surface, cut, place * step)
        if line is None:
            gone = gone or place == wanted
            continue
        if _apart(line, before) < NEARLY * step:
            continue
        if place == wanted:
            return Staggered(cut=replace(cut, line=line), shift=place * step, note="")
        why = "leaves the ply" if gone else "comes too near a join below"
        first, taken = (f"{1000 * p * step:+.0f} mm" for p in (wanted, place))
        note = f"Cut {cut.name} moved by {first} {why}; it is moved by {taken}."
        return Staggered(cut=replace(cut, line=line), shift=place * step, note=note.replace("-", "−"))
    near = _apart(cut.line, before)
    note = f"Cut {cut.name} cannot be moved aside by steps of {1000 * step:.0f} mm: it "
    below = f"comes within {1000 * near:.0f} mm of a join of the last four plies"
    note += "leaves the ply" if np.isinf(near) else below
    return Staggered(cut=cut, shift=0.0, note=note + ".")


def _apart(line: Floats, others: Sequence[Floats]) -> float:
    """Return the smallest distance between a line and others [m]."""
    best = np.inf
    fine = resampled(line, 0.002)
    for other in others:
        theirs = resampled(np.asarray(other, dtype=np.float64), 0.002)
        best = min(best, float(np.linalg.norm(fine[:, None] - theirs[None], axis=2).min()))
    return best


def _moved(surface: Surface, cut: Cut, shift: float) -> Floats | None:
    line = np.asarray(cut.line, dtype=np.float64)
    if shift == 0:
        return line
    loop = np.concatenate([line, line[:1]]) if cut.closed and not np.array_equal(line[0], line[-1]) else line
    try:
        beside = parallel(surface, loop, shift)
    except NotSolved:
        return None
    if length_of(beside) < KEPT * length_of(loop):
        return None
    if cut.closed:
        return beside if np.linalg.norm(beside[0] - beside[-1]) < CARRIED else None
    rim = surface.vertices[np.concatenate(surface.loops)] if surface.loops else np.zeros((0, 3))
    for _ in range(2):
        if _near(line[0], rim) < CARRIED + surface.edge_length:
            beside = _led_on(surface, beside, REACHED * abs(shift))
        beside, line = beside[::-1], line[::-1]
    return beside


def _near(p: Floats, rim: Floats) -> float:
    return float(np.linalg.norm(rim - p, axis=1).min()) if len(rim) else np.inf


def _led_on(surface: Surface, line: Floats, reach: float) -> Floats:
    """Return a line led on straight from its first point to the rim, where that is not too far."""
    away = line[0] - line[min(3, len(line) - 1)]
    try:
        path, _, _ = trace(surface, line[0], away, reach)
    except ValueError:
        return line
    if length_of(path) > reach * (1 - 1e-6):
        return line
    return np.concatenate([path[::-1], line[1:]])
