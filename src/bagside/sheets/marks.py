"""Each mark of the trade, drawn once: what every picture, page and template uses.

A mark is an SVG fragment in millimetres. Its size on paper does not follow the scale of the picture.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Basis
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.sheets.grounds import on_cloth, on_tape
from bagside.sheets.paper import BOLD, EDGE, HAIR, THIN, circle, line, n, rect, stroked, text
from bagside.sheets.typeface import ASCENT, CAPTION, NOTE, width

Floats = NDArray[np.float64]

NET_EDGE = "3 0.7 0.5 0.7"
BELOW = "1.4 0.9"
TO_COME = "1.6 0.9"
WEFT = "0.8 0.6"
KNIFE = "3 1.2"


def _unit(from_: Floats, to: Floats) -> tuple[Floats, float]:
    way = np.asarray(to, dtype=np.float64) - np.asarray(from_, dtype=np.float64)
    length = float(np.hypot(*way))
    if length == 0:
        raise ValueError("a mark with a direction needs two different points")
    return way / length, length


def head(tip: Floats, way: Floats, *, long: float = 2.0, wide: float = 1.0, ink: str = colour.INK) -> str:
    """Return a closed arrow head.

    Parameters
    ----------
    tip
        Where it points, shape (2,) [mm].
    way
        Unit direction, shape (2,).
    long, wide
        Its length and width [mm].
    ink
        Its colour.
    """
    side = np.array([-way[1], way[0]])
    base = tip - long * way
    corners = np.array([tip, base + 0.5 * wide * side, base - 0.5 * wide * side])
    return line(corners, weight=0, fill=ink, closed=True)


def warp_arrow(from_: Floats, to: Floats, *, weight: float = 0.8, halo: bool = False) -> str:
    """Return the arrow along the warp.

    Parameters
    ----------
    from_, to
        Shape (2,) [mm].
    weight
        Of its shaft [mm].
    halo
        Whether paper stands around it.
    """
    way, length = _unit(from_, to)
    long = min(3.4, 0.5 * length)
    stop = np.asarray(to) - 0.8 * long * way
    under = line(np.array([from_, to]), weight=weight + 0.9, ink=colour.PAPER) if halo else ""
    return under + line(np.array([from_, stop]), weight=weight) + head(np.asarray(to), way, long=long, wide=0.62 * long)


def broad_arrow(from_: Floats, to: Floats, *, shaft: float = 2.6) -> str:
    """Return the arrow along the warp as it is read at arm's length: one broad shape of tape with an ink edge.

    Parameters
    ----------
    from_, to
        Shape (2,) [mm].
    shaft
        Its width; the head is twice as wide and as long [mm].
    """
    way, length = _unit(from_, to)
    shaft = min(shaft, 0.25 * length)
    side, tip = np.array([-way[1], way[0]]), np.asarray(to)
    neck, tail = tip - 2.0 * shaft * way, np.asarray(from_)
    half = 0.5 * shaft * side
    corners = [tail + half, neck + half, neck + 2.2 * half, tip, neck - 2.2 * half, neck - half, tail - half]
    return line(np.array(corners), weight=EDGE, fill=colour.TAPE, closed=True)


def start_cross(x: float, y: float, *, size: float = 2.4, weight: float = THIN) -> str:
    """Return the mark where laying starts: a ring and a cross.

    Parameters
    ----------
    x, y
        [mm].
    size
        Half the length of the cross [mm].
    weight
        Of its lines [mm].
    """
    return (
        circle(x, y, 0.45 * size, weight=weight, fill="none")
        + line([(x - size, y), (x + size, y)], weight=weight)
        + line([(x, y - size), (x, y + size)], weight=weight)
    )


def hole_ring(x: float, y: float, *, radius: float = 2.0, pilot: bool = False) -> str:
    """Return a hole: a ring with a long cross, dashed where it is only piloted.

    Parameters
    ----------
    x, y, radius
        [mm].
    pilot
        Whether it is drilled through later and only piloted here.
    """
    reach = radius + 0.9
    arc = f"a{n(radius)} {n(radius)} 0 1 0"
    ring = f"M{n(x - radius)} {n(y)}{arc} {n(2 * radius)} 0{arc} {n(-2 * radius)} 0"
    return (
        stroked(ring, weight=THIN, dashes="0.8 0.5" if pilot else "")
        + line([(x - reach, y), (x + reach, y)], weight=HAIR)
        + line([(x, y - reach), (x, y + reach)], weight=HAIR)
    )


def number_ring(x: float, y: float, number: str, *, radius: float = 2.3) -> str:
    """Return a numbered ring: order of pressing, or the place of a note.

    Parameters
    ----------
    x, y
        [mm].
    number
        One or two characters.
    radius
        [mm].
    """
    return circle(x, y, radius, weight=EDGE, fill=colour.PAPER) + text(
        x, y + 0.5 * ASCENT * NOTE, number, size=NOTE, bold=True, anchor="middle"
    )


def place_dot(x: float, y: float) -> str:
    """Return the dot at the end of a leader.

    Parameters
    ----------
    x, y
        [mm].
    """
    return circle(x, y, 0.9, weight=0, fill=colour.PAPER) + circle(x, y, 0.6, weight=0, fill=colour.INK)


def basis_mark(x: float, y: float, basis: Basis, *, size: float = 2.0) -> str:
    """Return the mark of what a number rests on: full, half, ring, wave.

    Parameters
    ----------
    x, y
        Its middle [mm].
    basis
        On what the number rests.
    size
        Its diameter [mm].
    """
    r = 0.42 * size
    if basis is Basis.MEASURED:
        shape = circle(x, y, r, weight=0.12 * size, fill=colour.INK)
    elif basis is Basis.DATA_SHEET:
        half = f"M{n(x)} {n(y - r)}A{n(r)} {n(r)} 0 0 0 {n(x)} {n(y + r)}Z"
        shape = stroked(half, weight=0, fill=colour.INK) + circle(x, y, r, weight=0.12 * size)
    elif basis is Basis.PUBLISHED:
        shape = circle(x, y, r, weight=0.14 * size)
    else:
        ways = ((-1.0, 0.3), (-0.4, -1.0), (0.4, 1.0), (1.0, -0.3))
        first, *rest = (f"{n(x + a * r)} {n(y + b * r)}" for a, b in ways)
        wave = f"M{first}C{' '.join(rest)}"
        shape = stroked(wave, weight=0.16 * size)
    return f'<g role="img" aria-label="{basis.value}">{shape}</g>'


def tick_box(x: float, y: float, *, size: float = 3.6) -> str:
    """Return an empty box to tick.

    Parameters
    ----------
    x, y
        Its upper left corner [mm].
    size
        [mm].
    """
    return rect(x, y, size, size, weight=EDGE, fill=colour.PAPER)


def dimension(from_: Floats, to: Floats, words: str, *, offset: float, size: float = NOTE) -> str:
    """Return a dimension: witness lines, filled arrows, the figure on the line.

    Parameters
    ----------
    from_, to
        The points measured, shape (2,) [mm].
    words
        The figure; its unit is stated once on the sheet.
    offset
        How far the dimension line stands off, to the right hand of the way from one to the other seen on paper [mm].
    size
        Type size [mm].
    """
    way, length = _unit(from_, to)
    side = np.array([-way[1], way[0]])
    a, b = np.asarray(from_) + offset * side, np.asarray(to) + offset * side
    sign = np.sign(offset) if offset else 1.0
    out = [
        line(np.array([np.asarray(p) + sign * 0.8 * side, q + sign * 1.0 * side]), weight=HAIR, ink=colour.EDGE)
        for p, q in ((from_, a), (to, b))
    ]
    room = width(words, size) + 1.6
    middle = 0.5 * (a + b)
    turn = float(np.degrees(np.arctan2(way[1], way[0])))
    turn = turn - 180 if turn >= 90 - 1e-9 else turn + 180 if turn < -90 - 1e-9 else turn
    up = np.array([np.sin(np.radians(turn)), -np.cos(np.radians(turn))])
    if room + 5 < length:
        out.append(line(np.array([a, middle - 0.5 * room * way]), weight=HAIR))
        out.append(line(np.array([middle + 0.5 * room * way, b]), weight=HAIR))
        at = middle - 0.5 * ASCENT * size * up
    else:
        out.append(line(np.array([a, b]), weight=HAIR))
        at = middle + 0.9 * up
    out += [head(a, -way, long=2.2, wide=0.75), head(b, way, long=2.2, wide=0.75)]
    out.append(text(at[0], at[1], words, size=size, anchor="middle", turn=turn))
    return "".join(out)


def leader(from_: Floats, to: Floats) -> str:
    """Return a leader from a note to its place, with paper around it and a dot at its end.

    Parameters
    ----------
    from_, to
        Shape (2,) [mm].
    """
    ends = np.array([from_, to], dtype=np.float64)
    return line(ends, weight=0.7, ink=colour.PAPER) + line(ends, weight=HAIR) + place_dot(ends[1, 0], ends[1, 1])


def scale_bar(x: float, y: float, bands: Bands, *, limit: float | None = None, length: float = 57.0) -> str:
    """Return the scale of a map, with the limit as a tick on it.

    Parameters
    ----------
    x, y
        Left end of the caption's baseline [mm].
    bands
        What is shown.
    limit
        Where it may not go, shown units; it is named in the caption.
    length
        Of the bar [mm].
    """
    step = length / len(bands.colours)
    caption = bands.name + (f"; limit {limit:.0f}" if limit is not None else "")
    out = [text(x, y, caption, size=CAPTION, ink=colour.SECOND)]
    for k, c in enumerate(bands.colours):
        out.append(on_cloth([rect(x + k * step, y + 1.2, step, 2.4, fill=c)]))
        # Bands that start at nothing are told by where they begin, bands about nothing by their middles.
        half = 0.0 if bands.magnitude else 0.5
        told = bands.edges[k] + half * (bands.edges[1] - bands.edges[0])
        words = f"{told:g}".replace("-", "−")
        out.append(text(x + (k + half) * step, y + 6.4, words, size=CAPTION, anchor="middle"))
    out.append(rect(x, y + 1.2, length, 2.4, weight=HAIR, ink=colour.EDGE))
    if limit is not None:
        inside = np.interp(limit, bands.edges, np.arange(len(bands.edges)), left=np.nan, right=len(bands.edges))
        if np.isfinite(inside):
            at = x + float(inside) * step
            out.append(line([(at, y + 0.4), (at, y + 4.2)], weight=EDGE))
    return "".join(out)


def time_bar(x: float, y: float, gone: float, *, length: float, height: float = 1.6) -> str:
    """Return a bar of time: gone is solid, left is hollow.

    Parameters
    ----------
    x, y
        Its upper left corner [mm].
    gone
        Share that is gone, 0…1.
    length, height
        [mm].
    """
    if not 0 <= gone <= 1:
        raise ValueError(f"a share of time lies between 0 and 1, not at {gone:g}")
    return rect(x, y, gone * length, height, fill=colour.INK) + rect(x, y, length, height, weight=THIN)


def hatch(name: str, *, ink: str = colour.EDGE, pitch: float = 1.5, weight: float = HAIR) -> str:
    """Return the definition of a hatch, to be used as ``url(#name)``.

    Parameters
    ----------
    name
        Its identifier in the document.
    ink
        Its colour.
    pitch
        Between lines [mm].
    weight
        Of its lines [mm].
    """
    return (
        f'<defs><pattern id="{name}" width="{n(pitch)}" height="{n(pitch)}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M0 0V{n(pitch)}" stroke="{ink}" stroke-width="{n(2 * weight)}"/>'
        "</pattern></defs>"
    )


def butt(points: Floats, *, pitch: float = 4.0) -> str:
    """Return a butt join: a line with cross ticks.

    Parameters
    ----------
    points
        Along the join, shape (k, 2) [mm].
    pitch
        Between ticks [mm].
    """
    out = [line(points, weight=THIN)]
    step = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(step)])
    for s in np.arange(0.5 * pitch, along[-1], pitch):
        k = min(int(np.searchsorted(along, s, side="right")) - 1, len(step) - 1)
        way = (points[k + 1] - points[k]) / step[k]
        at = points[k] + (s - along[k]) * way
        side = 1.1 * np.array([-way[1], way[0]])
        out.append(line(np.array([at - side, at + side]), weight=THIN))
    return "".join(out)


def overlap(above: Floats, below: Floats) -> str:
    """Return an overlap: the cut edge that lies on top, and the edge beneath as dashes.

    Parameters
    ----------
    above, below
        Along the edges, shape (k, 2) [mm].
    """
    return line(below, weight=THIN, dashes=BELOW) + line(above, weight=EDGE)


def slip_joint(above: Floats, below: Floats) -> str:
    """Return a slip joint: a dashed pair with a double arrow between.

    Parameters
    ----------
    above, below
        Along the edges, shape (k, 2) [mm].
    """
    a, b = above[len(above) // 2], below[len(below) // 2]
    way, _ = _unit(a, b)
    return (
        line(above, weight=THIN, dashes=BELOW)
        + line(below, weight=THIN, dashes=BELOW)
        + line(np.array([a, b]), weight=HAIR)
        + head(a, -way, long=1.4, wide=0.9)
        + head(b, way, long=1.4, wide=0.9)
    )


def state_line(points: Floats, state: str) -> str:
    """Return a ply's line by its state.

    Parameters
    ----------
    points
        Along the ply, shape (k, 2) [mm].
    state
        ``laid`` is bold, ``in hand`` is tape under ink, ``to come`` is dashed.
    """
    if state == "laid":
        return line(points, weight=BOLD)
    if state == "in hand":
        return on_tape([line(points, weight=1.5), line(points, weight=1.0, ink=colour.TAPE)])
    if state == "to come":
        return line(points, weight=THIN, dashes=TO_COME)
    raise ValueError(f"a ply is laid, in hand or to come, not {state!r}")
