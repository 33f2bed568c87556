"""Pictures of what is meant where nothing is there yet: a mould and a card template."""

from __future__ import annotations

import numpy as np

from bagside.sheets import colour, paper
from bagside.sheets.marks import warp_arrow
from bagside.sheets.typeface import BODY
from bagside.web.words.tongue import Tongue

WIDE, TALL = 132.0, 40.0


def first_job_drawn(tongue: Tongue) -> str:
    """Return the two ways in which a job begins: the surface of a mould, and a card cut to the shape of a piece.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    x = np.linspace(0.0, 52.0, 60)
    y = 24.0 - 10.0 * np.exp(-(((x - 26.0) / 12.0) ** 4))
    surface = [(4.0 + a, float(b)) for a, b in zip(x.tolist(), y.tolist(), strict=True)]
    out = [
        paper.line([*surface, (56.0, 30.0), (4.0, 30.0)], weight=0.0, closed=True, fill=colour.MOULD),
        paper.line(surface, weight=paper.BOLD),
    ]
    behind = [(a + 5.0, b - 6.0) for a, b in surface]  # the far edge of the same surface, and triangles between
    zigzag = [point for k in range(0, len(surface), 6) for point in (surface[k], behind[min(k + 3, len(behind) - 1)])]
    out += [paper.line(zigzag, weight=paper.HAIR), paper.line(behind, weight=paper.THIN)]
    out.append(paper.line([behind[0], surface[0]], weight=paper.THIN))
    out.append(paper.line([behind[-1], surface[-1]], weight=paper.THIN))
    out.append(paper.text(30.0, 37.0, tongue.say("board.a_mesh"), size=BODY, anchor="middle"))
    card = [(78.0, 6.0), (112.0, 6.0), (116.0, 12.0), (116.0, 27.0), (74.0, 27.0), (74.0, 12.0)]
    out.append(paper.line(card, weight=paper.EDGE, closed=True))
    out.append(warp_arrow(np.array([80.0, 17.0]), np.array([108.0, 17.0])))
    out.append(paper.line([(74.0, 30.0), (116.0, 30.0)], weight=paper.HAIR))
    for end in (74.0, 116.0):
        out.append(paper.line([(end, 28.6), (end, 31.4)], weight=paper.HAIR))
    out.append(paper.text(95.0, 37.0, tongue.say("board.a_card"), size=BODY, anchor="middle"))
    return paper.sheet(WIDE, TALL, out, title=tongue.say("board.first_job"))
