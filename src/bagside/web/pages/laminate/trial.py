"""A stack as it would be with plies left out and others laid on top: reckoned at once, written when it is wanted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.laminate import LaidPly, Laminate, Match, Original, laminate_of, match
from bagside.laminate.elasticity import rotated_stiffness
from bagside.sheets import colour, paper
from bagside.sheets.typeface import CAPTION
from bagside.spec.library import Library
from bagside.web.views.laminate.shown import ZoneShown

Floats = NDArray[np.float64]
AROUND = np.radians(np.arange(0.0, 360.0, 3.0))
ROSE = 62.0
"""Width and height of the rose [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """A ply laid on top for trial.

    Parameters
    ----------
    material
        Name of a prepreg.
    angle
        Of its warp [rad].
    """

    material: str
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is tried on a stack.

    Parameters
    ----------
    out
        Indices of plies left out.
    more
        Plies laid on top.
    """

    out: frozenset[int] = frozenset()
    more: tuple[More, ...] = field(default_factory=tuple)

    @property
    def empty(self) -> bool:
        """Whether nothing is tried."""
        return not self.out and not self.more


def tried(zone: ZoneShown, trial: Trial, library: Library) -> tuple[LaidPly, ...]:
    """Return the stack of a zone as it would be.

    Parameters
    ----------
    zone
        As planned.
    trial
        What is tried.
    library
        Of the cloths that are laid on top.
    """
    from bagside.planning.laminate_stage import laid_ply  # loads geometry, which an open page must not wait for

    kept = tuple(p for k, p in zip(zone.layers, zone.plies, strict=True) if k not in trial.out)
    return kept + tuple(
        laid_ply(f"more {n}", library.prepreg[one.material], one.angle) for n, one in enumerate(trial.more, 1)
    )


def stack(plies: Sequence[LaidPly]) -> Laminate | None:
    """Return a stack's stiffness; None when nothing is left of it.

    Parameters
    ----------
    plies
        In laying order.
    """
    return laminate_of(list(plies)) if plies else None


def beside(laminate: Laminate | None, original: Original | None) -> Match | None:
    """Return how a stack compares with what it replaces; None when there is nothing to compare.

    Parameters
    ----------
    laminate
        Of a zone.
    original
        The sheet replaced.
    """
    if laminate is None or original is None:
        return None
    try:
        return match(laminate, original)
    except InputError:
        return None


def in_plane(laminate: Laminate) -> Floats:
    """Return Young's modulus of the stack pulled in its plane, in each direction of `AROUND` [Pa].

    Parameters
    ----------
    laminate
        The stack.
    """
    give = np.asarray(np.linalg.inv(rotated_stiffness(laminate.A, AROUND)), dtype=np.float64)
    out: Floats = 1.0 / (give[:, 0, 0] * laminate.thickness)
    return out


def in_bending(laminate: Laminate) -> Floats:
    """Return the modulus of a plain sheet of the same thickness that bends alike, in each direction of `AROUND` [Pa].

    Parameters
    ----------
    laminate
        The stack.
    """
    give = np.asarray(np.linalg.inv(rotated_stiffness(laminate.bending, AROUND)), dtype=np.float64)
    out: Floats = 12.0 / (give[:, 0, 0] * laminate.thickness**3)
    return out


def rose(now: Laminate, would: Laminate | None, words: tuple[str, str, str]) -> str:
    """Return the stiffness in every direction as a drawing; the zero direction points right.

    Parameters
    ----------
    now
        The stack as planned.
    would
        As it is tried; None when nothing is.
    words
        For in-plane, bending, and the unit.
    """
    shown = would or now
    plane, bend = in_plane(shown) / 1e9, in_bending(shown) / 1e9
    before = [] if would is None else [in_plane(now) / 1e9, in_bending(now) / 1e9]
    most = max(float(x.max()) for x in (plane, bend, *before))
    step = next(s for s in (5, 10, 20, 50, 100, 200, 500) if most / s <= 4.0)
    rings = math.ceil(most / step)
    middle, unit = 0.5 * ROSE, (0.5 * ROSE - 7.0) / (rings * step)
    out: list[str] = []
    for k in range(1, rings + 1):
        out.append(paper.line(_round(np.full(len(AROUND), k * step * unit), middle), weight=paper.HAIR,
                              ink=colour.HAIR, closed=True))  # fmt: skip
        out.append(paper.text(middle + 0.8, middle - k * step * unit - 0.6, str(k * step), size=CAPTION,
                              ink=colour.SECOND, halo=True))  # fmt: skip
    for turn in (0.0, 0.25 * math.pi, 0.5 * math.pi, 0.75 * math.pi):
        way = rings * step * unit * np.array([math.cos(turn), -math.sin(turn)])
        out.append(paper.line(np.array([-way, way]) + middle, weight=paper.HAIR, ink=colour.HAIR))
    for old in before:
        out.append(paper.line(_round(old * unit, middle), weight=paper.THIN, ink=colour.EDGE, closed=True))
    out.append(paper.line(_round(plane * unit, middle), weight=paper.EDGE, ink=colour.CLOTH, closed=True))
    out.append(paper.line(_round(bend * unit, middle), weight=paper.EDGE, dashes="1.6 1", closed=True))
    out.append(paper.text(ROSE - 0.5, middle - 1.0, "0°", size=CAPTION, anchor="end"))
    out.append(paper.line([(0.0, ROSE + 2.5), (8.0, ROSE + 2.5)], weight=paper.EDGE, ink=colour.CLOTH))
    out.append(paper.text(10.0, ROSE + 3.4, words[0], size=CAPTION))
    out.append(paper.line([(0.0, ROSE + 7.0), (8.0, ROSE + 7.0)], weight=paper.EDGE, dashes="1.6 1"))
    out.append(paper.text(10.0, ROSE + 7.9, words[1], size=CAPTION))
    return paper.sheet(ROSE, ROSE + 10.0, out, title=words[2])


def _round(reach: Floats, middle: float) -> Floats:
    out: Floats = middle + np.column_stack([reach * np.cos(AROUND), -reach * np.sin(AROUND)])
    return out
