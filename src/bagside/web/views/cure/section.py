"""Through the bag: film, breather, release film, laminate as it lies, mould; laminate and mould to their own scales.

What the films are as thick is not stated anywhere and is not drawn to scale; they are lines with their names.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside.planning.cure_case import CureCase
from bagside.planning.cure_stage import CurePlan
from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import NOTE

WIDE, TALL = 86.0, 60.0  # [mm]
LEFT, RIGHT = 2.0, 84.0
APART = 20.0
"""Between two places whose names then stand under them; nearer ones lean away from each other [mm]."""
TOP = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Through:
    """The drawing, and what is named beside it.

    Parameters
    ----------
    svg
        The drawing.
    rows
        ``film``, ``breather``, ``release``, ``laminate`` and ``mould``, from the top: name in the library or empty, and
        least and most thickness [m]; None where nobody stated it.
    """

    svg: str
    rows: tuple[tuple[str, str, tuple[float, float] | None], ...]


def through_the_bag(case: CureCase, plan: CurePlan, films: dict[str, str], mould: str) -> Through:
    """Return the section through bag, laminate and mould, with the place that leads and the one that lags.

    Parameters
    ----------
    case
        What is cured.
    plan
        Worked out: says which place leads and which lags.
    films
        Name of the bag film, breather and release film in the library.
    mould
        What the mould is made of.
    """
    laminates = [_thick(s.layers, "laminate") for s in case.on_mould]
    moulds = [_thick(s.layers, "tool") for s in case.on_mould]
    order = np.argsort(laminates, kind="stable")
    count = len(order)
    most, thick = max(laminates), max(moulds) or 1.0
    xs = np.linspace(LEFT, RIGHT, 2 * count)
    tall, deep = 15.0, 16.0  # [mm] of the thickest laminate and the thickest mould
    floor = TALL - 8.0 - deep
    out = [marks.hatch("bag-mould", pitch=1.6, weight=0.12)]
    top, bottom = [], []
    for place, k in enumerate(order):
        for x in xs[2 * place : 2 * place + 2]:
            top.append((x, floor - tall * laminates[k] / most))
            bottom.append((x, floor + deep * moulds[k] / thick))
    shell = np.array([(LEFT, floor), (RIGHT, floor), *bottom[::-1]])
    out.append(paper.line(shell, weight=0, fill=colour.MOULD, closed=True))
    out.append(paper.line(shell, weight=paper.THIN, fill="url(#bag-mould)", closed=True))
    plies = max(2, min(10, round(max(laminates) / 0.00025)))
    skin = np.array(top)
    for step in range(plies):
        height = floor - tall * (step + 0.5) / plies
        for a, b in _under(skin, height):
            out.append(paper.line([(a, height), (b, height)], weight=paper.BOLD, ink=colour.INK))
    over = skin - (0.0, 2.0)
    out.append(paper.line(over, weight=paper.THIN))
    out += _breather(over - (0.0, 1.0))
    out.append(paper.line(over - (0.0, 5.4), weight=paper.EDGE))
    same = plan.leading == plan.lagging
    seen = [("leading", plan.leading, False), ("lagging", plan.lagging, True)]
    across = []
    for _, at, bold in seen:
        place = int(np.flatnonzero(order == at)[0])
        across.append(float(xs[2 * place : 2 * place + 2].mean()) + (30.0 * (bold - 0.5) if same else 0.0))
    near = abs(across[0] - across[1]) < APART
    for (word, at, bold), x in zip(seen, across, strict=True):
        y = floor - 0.5 * tall * laminates[at] / most
        out.append(paper.line([(x, y), (x, TALL - 5.0)], weight=paper.THIN, ink=colour.HEAT))
        fill = colour.HEAT if bold else colour.PAPER
        out.append(paper.circle(x, y, 1.3, weight=paper.EDGE, ink=colour.HEAT, fill=fill))
        anchor = "start" if x < LEFT + 12 else "end" if x > RIGHT - 12 else "middle"
        if near:
            anchor = "end" if x == min(across) else "start"
        out.append(paper.text(x, TALL - 1.4, f"{{{word}}}", size=NOTE, ink=colour.HEAT, bold=bold, anchor=anchor))
    out.append(paper.text(LEFT, 3.4, "{scale}", size=NOTE, ink=colour.SECOND))
    svg = paper.sheet(WIDE, TALL, out, title="{title}")
    return Through(
        svg=svg,
        rows=(
            ("film", films["bag film"], None),
            ("breather", films["breather"], None),
            ("release", films["release film"], None),
            ("laminate", "", (min(laminates), max(laminates))),
            ("mould", mould, (min(moulds), max(moulds)) if max(moulds) else None),
        ),
    )


def _thick(layers: tuple[object, ...], name: str) -> float:
    """Return the thickness of everything that belongs to the laminate or to the tool [m]."""
    own = [layer for layer in layers if getattr(layer, "name", "").startswith(name)]
    return float(sum(getattr(layer, "thickness", 0.0) for layer in own))


def _under(skin: np.ndarray, height: float) -> list[tuple[float, float]]:
    """Return the stretches in which the laminate's upper side lies above a height."""
    there = np.concatenate([[False], skin[:, 1] <= height + 1e-9, [False]])
    begins = np.flatnonzero(there[1:] & ~there[:-1])
    ends = np.flatnonzero(there[:-1] & ~there[1:]) - 1
    return [(float(skin[a, 0]), float(skin[b, 0])) for a, b in zip(begins, ends, strict=True) if b > a]


def _breather(under: np.ndarray) -> list[str]:
    """Return two wavy lines over a line: a fleece."""
    xs = np.arange(LEFT, RIGHT + 0.01, 2.0)
    base = np.interp(xs, under[:, 0], under[:, 1]) - 1.6
    wave = np.where(np.arange(len(xs)) % 2 == 0, 1.2, -1.2)
    return [
        paper.line(np.column_stack([xs, base + sign * wave]), weight=paper.HAIR, ink=colour.EDGE)
        for sign in (1.0, -1.0)
    ]
