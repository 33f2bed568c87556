"""The section A–A: the mould hatched at the bottom, the plies on it as they lie, thickness drawn large.

Plies are stacked along the mould's normal, which is smoothed over the height of the stack so that lines drawn many
times too thick do not cross in a corner; the picture is for reading order and ends of plies, not for measuring.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import CAPTION, NOTE

Floats = NDArray[np.float64]


STATES = ("laid", "in hand", "to come")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyInSection:
    """One ply as the section's plane cuts it.

    Parameters
    ----------
    spans
        From and to along the profile, for each piece cut [m].
    thickness
        Cured [m].
    state
        ``laid``, ``in hand`` or ``to come``.
    """

    spans: tuple[tuple[float, float], ...]
    thickness: float
    state: str


def section_view(
    profile: Floats,
    plies: Sequence[PlyInSection],
    *,
    size_mm: tuple[float, float] = (96.0, 36.0),
    name: str = "A–A",
) -> str:
    """Return the section with the thickness drawn a whole number of times too large, which it states.

    Parameters
    ----------
    profile, plies, size_mm, name
        See `section_drawn`.
    """
    return section_drawn(profile, plies, size_mm=size_mm, name=name)[0]


def section_drawn(
    profile: Floats,
    plies: Sequence[PlyInSection],
    *,
    size_mm: tuple[float, float] = (96.0, 36.0),
    name: str = "A–A",
) -> tuple[str, tuple[tuple[float, float] | None, ...]]:
    """Return the section and where each ply ends on its right, so that a leader can lead to its line of a list.

    Parameters
    ----------
    profile
        The mould's surface in the section's plane: along, up, shape (k, 2) [m].
    plies
        In laying order, the first on the mould.
    size_mm
        Room on paper [mm].
    name
        Of the section.

    Returns
    -------
    tuple
        The drawing, and for each ply the right end of its line on paper: right, down [mm]; None for one that the
        section does not meet.

    Raises
    ------
    ValueError
        When the profile has fewer than two points or no length, or a ply has no thickness, runs backwards or is in no
        known state.
    """
    p = np.asarray(profile, dtype=np.float64)
    if p.ndim != 2 or p.shape[1] != 2 or len(p) < 2 or not np.isfinite(p).all():
        raise ValueError("a section needs a profile of at least two finite points")
    if any(ply.thickness <= 0 or any(a >= b for a, b in ply.spans) for ply in plies):
        raise ValueError("a ply in a section has a thickness, and its spans run forwards")
    for ply in plies:
        if ply.state not in STATES:
            raise ValueError(f"a ply is {', '.join(STATES)}, not {ply.state!r}")
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    if along[-1] <= 0:
        raise ValueError("the profile has no length")
    s = np.linspace(0.0, along[-1], 600)
    x, z = np.interp(s, along, p[:, 0]), np.interp(s, along, p[:, 1])
    scale = size_mm[0] / max(float(np.ptp(x)), 1e-9)
    depth = scale * float(np.ptp(z))
    header, ground, room = 6.0, 5.0, 3.2
    squeeze = min(1.0, max(size_mm[1] - header - ground - room * 2.2, 4.0) / depth) if depth > 0 else 1.0
    scale_z = scale * squeeze
    px, pz = scale * (x - x.min()), scale_z * (z - z.min())
    total = sum(ply.thickness for ply in plies)
    step = 1.55
    times = max(int(step / (scale * 1e-3 * 1e3) / np.mean([q.thickness for q in plies])), 1) if plies else 1
    up = _normals(px, pz, max(len(plies), 1) * step)
    lifted = np.zeros(len(s))
    base = size_mm[1] - ground
    out = [marks.hatch("ground")]
    floor = np.concatenate([np.column_stack([px, base - pz]), [[px[-1], size_mm[1]], [px[0], size_mm[1]]]])
    out.append(paper.line(floor, weight=0, fill=colour.MOULD, closed=True))
    out.append(paper.line(floor, weight=0, fill="url(#ground)", closed=True))
    out.append(paper.line(np.column_stack([px, base - pz]), weight=paper.THIN))
    drawn: list[tuple[str, Floats]] = []
    ends: list[tuple[float, float] | None] = []
    for ply in plies:
        ends.append(None)
        high = times * scale * ply.thickness
        for a, b in ply.spans:
            here = np.flatnonzero((s >= a) & (s <= b))
            if len(here) < 2:
                continue
            under = _eased(lifted, here)
            middle = under + 0.5 * high
            line = np.column_stack([px[here] + up[here, 0] * middle, base - pz[here] - up[here, 1] * middle])
            drawn.append((ply.state, line))
            right = line[int(np.argmax(line[:, 0]))]
            if ends[-1] is None or right[0] > ends[-1][0]:
                ends[-1] = (float(right[0]), float(right[1]))
            lifted[here] = np.maximum(lifted[here], under) + high
    for state in ("to come", "laid", "in hand"):
        out += [marks.state_line(line, kind) for kind, line in drawn if kind == state]
    words = f"thickness drawn ×{times}" if total else "the mould alone"
    if squeeze < 1:
        words += f", depth ×{squeeze:.1f}"
    out.append(paper.text(0, 3.0, name, size=NOTE, bold=True))
    out.append(paper.text(10.5, 3.0, words, size=CAPTION, ink=colour.SECOND))
    return paper.sheet(size_mm[0], size_mm[1], out, title=f"section {name}"), tuple(ends)


def _normals(x: Floats, y: Floats, over: float) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    tangent = np.column_stack([np.gradient(x, along), np.gradient(y, along)])
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    reach = max(round(0.6 * over / (along[-1] / len(x))), 1)
    kernel = np.hanning(2 * reach + 3)
    kernel /= kernel.sum()
    padded = np.pad(normal, ((reach + 1, reach + 1), (0, 0)), mode="edge")
    smooth = np.column_stack([np.convolve(padded[:, k], kernel, mode="valid") for k in range(2)])
    out: Floats = smooth / np.maximum(np.linalg.norm(smooth, axis=1, keepdims=True), 1e-12)
    return out


def _eased(height: Floats, here: NDArray[np.int64]) -> Floats:
    """Return the ground under a piece with its steps eased, as cloth bridges the end of the ply below."""
    h = height[here]
    kernel = np.hanning(13)
    kernel /= kernel.sum()
    out: Floats = np.convolve(np.pad(h, 6, mode="edge"), kernel, mode="valid")
    return out
