"""What is meant by the life of a mould, where none is known yet: a part comes off, and each pull is a stop."""

from __future__ import annotations

import numpy as np

from bagside.sheets import colour, marks, paper
from bagside.sheets.typeface import NOTE
from bagside.web.words.tongue import Tongue

WIDE, TALL = 86.0, 58.0
PULLS = 3


def life_meant(tongue: Tongue) -> str:
    """Return a mould with a part over it, and under it a release and the pulls that it serves, as SVG.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    x = np.linspace(8.0, 78.0, 90)
    y = 32.0 - 12.0 / (1.0 + np.exp(-(np.abs(x - 43.0) - 20.0) * 0.9))
    face = np.column_stack([x, y])
    body = np.vstack([face, [(78.0, 38.0), (8.0, 38.0)]])
    out = [marks.hatch("mould-meant", pitch=1.6, weight=0.12)]
    out.append(paper.line(body, weight=0.0, closed=True, fill=colour.MOULD))
    out.append(paper.line(body, weight=paper.THIN, closed=True, fill="url(#mould-meant)"))
    part = face[(x > 16.0) & (x < 70.0)]
    for lift in (7.0, 8.0, 9.0):
        out.append(paper.line(part - (0.0, lift), weight=paper.EDGE, ink=colour.CLOTH))
    out.append(paper.line([(43.0, 20.0), (43.0, 8.0)], weight=paper.EDGE))
    out.append(marks.head(np.array([43.0, 5.5]), np.array([0.0, -1.0]), long=3.0, wide=2.0))
    row, at = 48.0, 12.0
    stops = [at + 16.0 * (k + 1) for k in range(PULLS)]
    out.append(paper.line([(at, row), (stops[-1] + 12.0, row)], weight=paper.BOLD))
    out.append(paper.rect(at - 3.0, row - 2.6, 6.0, 5.2, weight=paper.EDGE, fill=colour.PAPER))
    out.append(paper.text(at, row + 8.0, tongue.say("moulds.meant_release"), size=NOTE, anchor="middle"))
    for number, stop in enumerate(stops, 1):
        out.append(paper.circle(stop, row, 1.5, weight=paper.EDGE, fill=colour.INK))
        out.append(
            paper.text(stop, row + 8.0, tongue.say("moulds.meant_pull", number=number), size=NOTE, anchor="middle")
        )
    return paper.sheet(WIDE, TALL, out, title=tongue.say("moulds.meant"))
