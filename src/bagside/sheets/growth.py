"""How well a cloth is used, growing while a nest is searched for: a line of steps with the answer at its end.

Drawn in CSS pixels for a page. The axis begins where the first answer is, not at nothing: what is read is how much the
last seconds have brought.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from bagside.sheets import colour, paper
from bagside.sheets.grounds import on_tape
from bagside.sheets.typeface import width

LEFT, TOP, BOTTOM = 58.0, 10.0, 26.0
SMALL = 12.0
STEPS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2)
TIMES = (1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0)


def growth(
    points: Sequence[tuple[float, float]],
    size: tuple[float, float],
    *,
    running: bool,
    share: Callable[[float, int], str],
    seconds: Callable[[float], str],
    title: str,
) -> str:
    """Return the curve.

    Parameters
    ----------
    points
        Time [s] and share of the cloth that becomes pieces, each as it was found; at least one.
    size
        Width and height [px].
    running
        Whether the search still goes on.
    share, seconds
        Write a share, with so many digits after the decimal sign, and a time in the reader's language.
    title
        What is shown, for readers.

    Raises
    ------
    ValueError
        When nothing has been found yet.
    """
    if not points:
        raise ValueError("there is no curve before the first answer")
    t, u = (np.array(column, dtype=np.float64) for column in zip(*points, strict=True))
    last = max(float(t[-1]), 1.0)
    low, high = float(u.min()), float(u.max())
    step = next(s for s in STEPS if (high - low) / s <= 3.0 or s == STEPS[-1])
    bottom = step * np.floor(low / step - 1e-9)
    top = step * np.ceil(high / step + 1e-9)
    top = max(top, bottom + step)
    right, base = size[0] - 12.0, size[1] - BOTTOM

    def x(at: float) -> float:
        return LEFT + (right - LEFT) * at / last

    def y(at: float) -> float:
        return float(base - (base - TOP) * (at - bottom) / (top - bottom))

    out = []
    for k in range(round((top - bottom) / step) + 1):
        level = bottom + k * step
        out.append(paper.line([(LEFT, y(level)), (right, y(level))], weight=1.0, ink=colour.HAIR))
        words = share(level, 1 if step < 0.01 else 0)
        out.append(paper.text(LEFT - 8.0, y(level) + 4.0, words, size=SMALL, anchor="end"))
    every = next((s for s in TIMES if last / s <= 4.5), TIMES[-1])
    out.append(paper.line([(LEFT, base), (right, base)], weight=1.0))
    ticks = [k * every for k in range(int(last / every) + 1)]
    for at in ticks:
        out.append(paper.line([(x(at), base), (x(at), base + 4.0)], weight=1.0))
        words = seconds(at) if at == ticks[-1] else seconds(at).split("\u2009")[0].split(" ")[0]
        room = x(at) + 0.5 * width(words, SMALL) - size[0]
        out.append(paper.text(x(at) - max(room, 0.0), base + 18.0, words, size=SMALL, anchor="middle"))
    stairs = [(x(t[0]), y(u[0]))]
    for k in range(1, len(t)):
        stairs += [(x(t[k]), y(u[k - 1])), (x(t[k]), y(u[k]))]
    stairs.append((x(last), y(u[-1])))
    out.append(paper.line(stairs, weight=1.6, ink=colour.CLOTH))
    end = (x(last), y(float(u[-1])))
    if running:
        out.append(on_tape([paper.circle(*end, 6.0, weight=1.6, fill=colour.TAPE)]))
    else:
        out.append(paper.circle(*end, 4.0, weight=1.6, fill=colour.PAPER))
    return paper.sheet(size[0], size[1], out, title=title)
