"""Bonds and holes as drawings: what the adhesive bears along the lap, what lies in it, how far a hole is from edges.

Words stand in braces and are put in by the page, so that one drawing serves every language.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside.joining import BondPlan, HoleRule
from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import NOTE

Floats = NDArray[np.float64]

WIDE, TALL = 86.0, 82.0  # [mm]: its words stay legible when a phone makes it smaller
LEFT, RIGHT = 6.0, 79.0
TOP, FOOT = 6.0, 34.0  # of the stress curve [mm]
HOLE = 40.0  # [mm] of a hole's drawing, square


def stress_along(bond: BondPlan, count: int = 121) -> tuple[Floats, Floats]:
    """Return the shear stress in the adhesive along the lap.

    Parameters
    ----------
    bond
        With its stress at both ends and in the middle.
    count
        Points.

    Returns
    -------
    tuple of arrays
        Place from −1 to 1, shape (count,), and stress, shape (count,) [Pa].

    Notes
    -----
    Between its ends Volkersen's stress is C cosh wx + S sinh wx; both ends and the middle fix C, S and w.

    References
    ----------
    Volkersen 1938, as given in `bagside.joining.lap`.
    """
    s = bond.stress
    at: Floats = np.linspace(-1.0, 1.0, count)
    if s.middle <= 0.0:
        return at, np.zeros(count)
    half = math.acosh(max((s.first + s.second) / (2.0 * s.middle), 1.0))
    if half < 1e-9:
        return at, np.full(count, s.mean)
    lean = 0.5 * (s.second - s.first) / math.sinh(half)
    tau: Floats = s.middle * np.cosh(half * at) + lean * np.sinh(half * at)
    return at, tau


def bond_picture(bond: BondPlan, foot: float) -> str:
    """Return a bond from the side: the stress over the lap, foot, glass ply, adhesive and laminate under it.

    Parameters
    ----------
    bond
        Planned.
    foot
        Thickness of the bracket's foot [m].

    Notes
    -----
    Thicknesses of foot, adhesive and laminate are each drawn to be seen, not to one scale; the lap's length is.
    """
    at, tau = stress_along(bond)
    high = 1.25 * max(float(tau.max()), bond.design, 1.0)

    def y(stress: Floats | float) -> Floats:
        out: Floats = FOOT - (FOOT - TOP) * np.asarray(stress, dtype=np.float64) / high
        return out

    xs = LEFT + (RIGHT - LEFT) * (at + 1.0) / 2.0
    out = [marks.hatch("no-more", ink=colour.KEEP_OUT, weight=0.1), marks.hatch("skin", pitch=1.6, weight=0.12)]
    limit = float(y(bond.design))
    out.append(paper.rect(LEFT, TOP, RIGHT - LEFT, limit - TOP, fill="url(#no-more)"))
    out.append(paper.line([(LEFT, limit), (RIGHT, limit)], weight=paper.THIN, ink=colour.HEAT))
    curve = np.column_stack([xs, y(tau)])
    under = np.array([(RIGHT, FOOT), (LEFT, FOOT)])
    out.append(paper.line(np.concatenate([curve, under]), weight=0, fill=colour.HILL, closed=True))
    mean = float(y(bond.stress.mean))
    out.append(paper.line([(LEFT, mean), (RIGHT, mean)], weight=paper.HAIR, ink=colour.CLOTH, dashes="1.2 0.8"))
    out.append(paper.line(curve, weight=0.55, ink=colour.CLOTH))
    out.append(paper.line([(LEFT, FOOT), (RIGHT, FOOT)], weight=paper.THIN))
    out.append(paper.text(LEFT + 2.0, limit - 1.4, "{design}", size=NOTE, halo=True))
    peak = int(np.argmax(tau))
    side = "start" if peak < len(at) / 2 else "end"
    x = float(xs[peak]) + (2.0 if side == "start" else -2.0)
    out.append(paper.circle(float(xs[peak]), float(y(tau[peak])), 0.9, weight=paper.THIN, fill=colour.PAPER))
    out.append(paper.text(x, float(y(tau[peak])) + 4.6, "{peak}", size=NOTE, bold=True, anchor=side, halo=True))
    out.append(
        paper.text(0.5 * (LEFT + RIGHT), mean - 1.2, "{mean}", size=NOTE, ink=colour.CLOTH, anchor="middle", halo=True)
    )
    out += _layers(bond, foot)
    out.append(marks.dimension(np.array([LEFT, 68.0]), np.array([RIGHT, 68.0]), "{length}", offset=7.0))
    return paper.sheet(WIDE, TALL, out, title="{title}")


def _layers(bond: BondPlan, foot: float) -> list[str]:
    """Return foot, adhesive, glass ply and laminate, each tall enough to be named in it."""
    tall = min(max(1.6e3 * foot, 5.0), 9.0)
    base, skin, thin = 61.0, 6.0, 4.6
    middle = 0.5 * (LEFT + RIGHT)
    rows = [(base, skin, "url(#skin)", "{laminate}"), *([(base - thin, thin, colour.WASH, "{glass}")] * bond.isolate)]
    at = rows[-1][0] if bond.isolate else base
    rows.append((at - thin, thin, colour.CLOTH_WASH, "{adhesive}"))
    rows.append((at - thin - tall, tall, colour.MOULD, "{foot}"))
    out = []
    for top, height, fill, name in rows:
        left, right = (2.0, WIDE - 2.0) if name == "{laminate}" else (LEFT, RIGHT)
        out.append(paper.rect(left, top, right - left, height, weight=paper.THIN, fill=fill))
        halo = name == "{laminate}"
        out.append(paper.text(middle, top + 0.5 * height + 1.2, name, size=NOTE, anchor="middle", halo=halo))
    y = rows[-1][0] + 0.5 * tall
    out.append(paper.line([(RIGHT, y), (WIDE - 2.0, y)], weight=paper.EDGE))
    out.append(marks.head(np.array([WIDE - 0.5, y]), np.array([1.0, 0.0]), long=3.0, wide=1.6))
    return out


def area_picture(bond: BondPlan, width: float) -> str:
    """Return the bond from above: what is bonded, and what the load needs of it.

    Parameters
    ----------
    bond
        Planned.
    width
        Across the load [m].
    """
    long, wide = bond.length, width
    unit = min(44.0 / long, 34.0 / wide)
    size = (unit * long, unit * wide)
    left, top = 3.0, 5.0
    share = min(bond.area_needed / bond.area, 1.0) if bond.area else 0.0
    out = [marks.hatch("needed", ink=colour.CLOTH, pitch=1.4, weight=0.14)]
    out.append(paper.rect(left, top, size[0], size[1], weight=paper.EDGE, fill=colour.CLOTH_WASH))
    inner = (size[0] * math.sqrt(share), size[1] * math.sqrt(share))
    out.append(paper.rect(left, top, inner[0], inner[1], weight=paper.THIN, ink=colour.CLOTH, fill="url(#needed)"))
    out.append(paper.text(left, top - 1.4, "{bonded}", size=NOTE))
    return paper.sheet(50.0, top + size[1] + 3.0, out, title="{area_title}")


def hole_picture(hole: HoleRule, diameter: float) -> str:
    """Return a hole with the edge and the next hole, and how far both should be.

    Parameters
    ----------
    hole
        As the rules have it.
    diameter
        [m].
    """
    middle = 0.5 * HOLE
    reach = max(hole.edge_wanted, hole.doubler_radius) * 1.15
    unit = (middle - 2.0) / reach
    out = [paper.circle(middle, middle, unit * hole.doubler_radius, weight=paper.HAIR, fill=colour.CLOTH_WASH)]
    out.append(paper.circle(middle, middle, unit * hole.edge_wanted, weight=paper.THIN, ink=colour.HEAT))
    out.append(paper.circle(middle, middle, 0.5 * unit * diameter, weight=paper.EDGE, fill=colour.PAPER))
    arm = 0.5 * unit * diameter + 2.0
    out.append(paper.line([(middle - arm, middle), (middle + arm, middle)], weight=paper.HAIR))
    out.append(paper.line([(middle, middle - arm), (middle, middle + arm)], weight=paper.HAIR))
    if math.isfinite(hole.edge) and hole.edge < reach:
        x = middle + unit * hole.edge
        out.append(paper.line([(x, 2.0), (x, HOLE - 2.0)], weight=paper.THIN, dashes=marks.NET_EDGE))
    return paper.sheet(HOLE, HOLE, out, title="{hole_title}")
