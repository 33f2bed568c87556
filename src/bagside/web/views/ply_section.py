"""The section A–A with each ply in hand, and the stack where there is no surface to cut through."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.geometry import Surface
from bagside.sheets.section import PlyInSection, section_drawn
from bagside.sheets.stack_view import GROUND, NUMBER, ROW, PlyInStack, stack_height, stack_view
from bagside.web.views.plies_shown import SectionShown

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

SIZE = (128.0, 48.0)  # [mm]
UNDER = 0.0006  # [m] a point of the section this near a piece lies under it
STACK = (92.0, 80.0)  # [mm] of the paper, and of its longest bar
POINTS = 800


def sections_on(
    work: Surface,
    under: tuple[tuple[Surface, ...], ...],
    thicknesses: tuple[float, ...],
    start: Triple,
    direction: Triple,
    side: Triple,
) -> tuple[SectionShown, ...]:
    """Return the section along the part's direction through the start, with each ply in hand.

    Parameters
    ----------
    work
        The mould.
    under
        What each ply covers.
    thicknesses
        Of each ply, cured [m].
    start
        Of laying [m].
    direction, side
        The part's zero direction, and that towards the laminate.
    """
    line, flat = profile_along(work, start, direction, side)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(flat, axis=0), axis=1))])
    at = np.linspace(0.0, run[-1], POINTS)
    points = np.column_stack([np.interp(at, run, line[:, k]) for k in range(3)])
    known: dict[int, tuple[tuple[float, float], ...]] = {}
    spans = []
    for own in under:
        for surface in own:
            if id(surface) not in known:
                known[id(surface)] = _spans(surface, points, at)
        spans.append(tuple(s for surface in own for s in known[id(surface)]))
    out = []
    for now in range(len(under)):
        laid = [
            PlyInSection(spans=own, thickness=thick, state="laid" if k < now else "in hand" if k == now else "to come")
            for k, (own, thick) in enumerate(zip(spans, thicknesses, strict=True))
        ]
        svg, ends = section_drawn(flat, laid, size_mm=SIZE)
        shares = tuple(None if e is None else (e[0] / SIZE[0], e[1] / SIZE[1]) for e in ends)
        out.append(SectionShown(svg=svg, ends=shares))
    return tuple(out)


def profile_along(work: Surface, start: Triple, direction: Triple, side: Triple) -> tuple[Floats, Floats]:
    """Return the mould's section along the part's direction: its points in space, and in the plane.

    Parameters
    ----------
    work, start, direction, side
        See `sections_on`.

    Returns
    -------
    tuple of arrays
        Shape (k, 3) and (k, 2) [m].
    """
    up = np.array(side)
    along = np.array(direction) - (np.array(direction) @ up) * up
    along = along / np.linalg.norm(along)
    foot = np.array(start)
    lines = geometry.section(work, start, tuple(float(x) for x in np.cross(up, along)))
    line = max(lines, key=lambda p: float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()))
    if (line[-1] - line[0]) @ along < 0:
        line = line[::-1]
    return line, np.column_stack([(line - foot) @ along, (line - foot) @ up])


def _spans(surface: Surface, points: Floats, at: Floats) -> tuple[tuple[float, float], ...]:
    distance, _, _ = geometry.nearest(surface, points)
    under = np.concatenate([[False], distance < UNDER, [False]])
    begins = np.flatnonzero(under[1:] & ~under[:-1])
    ends = np.flatnonzero(under[:-1] & ~under[1:]) - 1
    return tuple((float(at[a]), float(at[b])) for a, b in zip(begins, ends, strict=True) if at[b] > at[a])


def stacks(shares: tuple[float, ...]) -> tuple[SectionShown, ...]:
    """Return the stack of plies with each in hand.

    Parameters
    ----------
    shares
        Of what is laid up, that each ply covers.
    """
    wide, bars = STACK
    tall = stack_height(len(shares))
    ends = tuple(
        ((NUMBER + bars * min(1.0, float(np.sqrt(share)))) / wide, (tall - GROUND - ROW * (k + 0.5)) / tall)
        for k, share in enumerate(shares)
    )
    out = []
    for now in range(len(shares)):
        plies = [
            PlyInStack(
                number=str(k + 1), share=share, words="",
                state="laid" if k < now else "in hand" if k == now else "to come",
            )
            for k, share in enumerate(shares)
        ]  # fmt: skip
        out.append(SectionShown(svg=stack_view(plies, wide=wide, bars=bars), ends=ends))
    return tuple(out)
