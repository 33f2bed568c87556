"""What is meant by a question, drawn: room, oven, pump, freezer and roll, each on a piece of the same floor.

Side by side they make one section through the workshop. Points are CSS pixels; words come from the catalogue.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from bagside.sheets.colour import CLOTH, EDGE, HAIR, HEAT, HEAT_WASH, INK, MOULD, PAPER, SECOND, WASH

WIDE, HIGH, FLOOR = 280, 176, 160
Words = Mapping[str, str]


def _svg(inside: str, title: str, *, floor: bool = True) -> str:
    ground = _line([(0, FLOOR), (WIDE, FLOOR)], 1.6) if floor else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img"><title>{escape(title)}</title>'
        f"{ground}{inside}</svg>"
    )


def _line(points: list[tuple[float, float]], weight: float = 1.0, *, ink: str = INK, dashes: str = "",
          fill: str = "none", closed: bool = False) -> str:  # fmt: skip
    way = "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + ("Z" if closed else "")
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{way}" fill="{fill}" stroke="{ink}" stroke-width="{weight:g}" stroke-linejoin="round"{dashed}/>'


def _curve(way: str, weight: float = 1.0, *, ink: str = INK, fill: str = "none", dashes: str = "") -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{way}" fill="{fill}" stroke="{ink}" stroke-width="{weight:g}"{dashed}/>'


def _ring(x: float, y: float, r: float, weight: float = 1.0, *, ink: str = INK, fill: str = "none") -> str:
    return f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="{fill}" stroke="{ink}" stroke-width="{weight:g}"/>'


def _words(x: float, y: float, text: str, *, bold: bool = False, side: str = "start", ink: str = INK) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="12" text-anchor="{side}" fill="{ink}"{weight}>{escape(text)}</text>'
    )


def _thermometer(x: float, y: float, text: str, *, high: float = 34.0, side: str = "start") -> str:
    away = 9 if side == "start" else -9
    return (
        _curve(f"M{x - 3:g} {y:g}v{-high:g}a3 3 0 0 1 6 0v{high:g}", 1.2, fill=PAPER)
        + _ring(x, y + 4, 5.5, 1.2, fill=HEAT)
        + _line([(x, y), (x, y - 0.55 * high)], 2.4, ink=HEAT)
        + _words(x + away, y - high / 2 + 8, text, bold=True, side=side)
    )


def _mould_and_part(x: float, y: float, wide: float = 84.0) -> str:
    """Return a mould in section, hatched, with plies on it; its foot stands at y."""
    a, b = x, x + wide
    top, dip = y - 22, y - 8
    face = f"M{a:g} {top:g}h14C{a + 22:g} {top:g} {a + 22:g} {dip:g} {a + 32:g} {dip:g}H{b - 32:g}"
    face += f"C{b - 22:g} {dip:g} {b - 22:g} {top:g} {b - 14:g} {top:g}H{b:g}"
    hatch = "".join(_line([(a + k, y), (a + k + 7, y - 8)], 0.6, ink=EDGE) for k in range(4, int(wide) - 8, 9))
    plies = "".join(
        f'<g transform="translate(0 {-3.2 * k:g})">'
        + _curve(
            f"M{a + 6:g} {top - 2:g}h8C{a + 22:g} {top - 2:g} {a + 22:g} {dip - 2:g} {a + 32:g} {dip - 2:g}H{b - 32:g}"
            f"C{b - 22:g} {dip - 2:g} {b - 22:g} {top - 2:g} {b - 14:g} {top - 2:g}h8",
            1.6,
            ink=CLOTH,
        )
        + "</g>"
        for k in range(3)
    )
    return _curve(f"{face}V{y:g}H{a:g}Z", 1.2, fill=MOULD) + hatch + plies


def room_picture(say: Words) -> str:
    """Return the table where plies are laid, with what is read on the wall.

    Parameters
    ----------
    say
        ``title``, ``warm``, ``damp``.
    """
    table = _line([(96, 104), (250, 104)], 2.6) + _line([(108, 104), (108, FLOOR)]) + _line([(238, 104), (238, FLOOR)])
    drop = "M34 92c-7 10 -9 14 -9 18a9 9 0 0 0 18 0c0 -4 -2 -8 -9 -18z"
    return _svg(
        _line([(8, 20), (8, FLOOR)], 0.6, ink=HAIR)
        + _thermometer(34, 58, say["warm"])
        + _curve(drop, 1.2, fill=WASH)
        + _words(50, 116, say["damp"], bold=True)
        + table
        + _mould_and_part(128, 103),
        say["title"],
    )


def oven_picture(say: Words) -> str:
    """Return the oven in section: hottest, how fast it rises, how unlike top and bottom are.

    Parameters
    ----------
    say
        ``title``, ``hottest``, ``rise``, ``spread``.
    """
    wall = _line([(22, 22), (228, 22), (228, 152), (22, 152)], 2.6, closed=True, fill=HEAT_WASH)
    inner = _line([(30, 30), (220, 30), (220, 144), (30, 144)], 1.0, closed=True, fill=PAPER)
    rack = _line([(60, 112), (190, 112)], 1.6) + "".join(_line([(x, 112), (x, 118)], 1) for x in range(64, 190, 12))
    fan = _ring(125, 46, 11, 1.2) + _curve("M125 46c4 -8 9 -8 9 -3s-5 5 -9 3c-4 8 -9 8 -9 3s5 -5 9 -3", 1.2)
    air = "".join(
        _curve(way, 1.2, ink=HEAT) for way in ("M104 50C70 54 46 70 44 98", "M146 50c34 4 58 20 60 48")
    ) + "".join(_curve(f"M{x} 92l{4} 8l4 -8", 1.2, ink=HEAT) for x in (40, 202))
    feet = "".join(_line([(x, 152), (x, FLOOR)], 2.6) for x in (34, 216))
    probes = _ring(206, 36, 3, 1.2, fill=PAPER) + _ring(206, 138, 3, 1.2, fill=PAPER)
    leader = _line([(209, 36), (240, 36), (240, 138), (209, 138)], 0.8, ink=SECOND)
    return _svg(
        wall + inner + rack + fan + air + feet + probes + leader
        + _mould_and_part(83, 111)
        + _words(244, 84, say["spread"], bold=True)
        + _words(36, 136, say["hottest"], bold=True)
        + _words(148, 136, say["rise"], side="middle", ink=SECOND),
        say["title"],
    )  # fmt: skip


def pump_picture(say: Words) -> str:
    """Return the pump, its hose and the gauge that says how far it gets.

    Parameters
    ----------
    say
        ``title``, ``reaches``, ``flow``.
    """
    body = _line([(24, 128), (92, 128), (92, 154), (24, 154)], 1.6, closed=True, fill=WASH)
    motor = _ring(50, 141, 9, 1.2) + _line([(66, 128), (66, 118), (80, 118), (80, 128)], 1.2)
    feet = "".join(_line([(x, 154), (x, FLOOR)], 2.0) for x in (32, 84))
    hose = _curve("M73 118V78c0 -26 30 -26 40 -12c8 12 20 -2 40 2", 2.0)
    bag = _curve("M138 104c8 0 8 -34 18 -34h78c10 0 10 34 18 34", 1.2, dashes="5 3")
    table = _line([(128, 105), (262, 105)], 2.6) + _line([(140, 105), (140, FLOOR)]) + _line([(250, 105), (250, FLOOR)])
    gauge = _ring(113, 40, 16, 1.4, fill=PAPER) + _line([(113, 40), (104, 50)], 1.8) + _line([(113, 56), (113, 70)])
    ticks = "".join(_ring(113 + dx, 40 + dy, 0.8) for dx, dy in ((-11, -5), (0, -12), (11, -5), (11, 6), (-11, 6)))
    return _svg(
        body + motor + feet + hose + table + _mould_and_part(153, 104) + bag + gauge + ticks
        + _words(136, 38, say["reaches"], bold=True)
        + _words(136, 54, say["absolute"], ink=SECOND)
        + _words(18, 112, say["flow"], bold=True),
        say["title"],
    )  # fmt: skip


def freezer_picture(say: Words) -> str:
    """Return the freezer with a roll in its bag.

    Parameters
    ----------
    say
        ``title``, ``cold``.
    """
    chest = _line([(40, 76), (216, 76), (216, 152), (40, 152)], 2.6, closed=True, fill=WASH)
    inner = _line([(50, 76), (50, 142), (206, 142), (206, 76)], 1.0, fill=PAPER)
    lid = _line([(40, 76), (34, 34), (212, 30), (216, 76)], 1.4) + _line([(40, 72), (216, 72)], 1)
    roll = _ring(92, 120, 18, 1.6, ink=CLOTH) + _ring(92, 120, 12, 1, ink=CLOTH) + _ring(92, 120, 5, 1.2, ink=INK)
    bag = _curve("M68 142c-4 -44 50 -44 50 -6l20 -4", 1.0, dashes="4 3")
    return _svg(
        chest + inner + lid + roll + bag + _thermometer(138, 124, say["cold"])
        + "".join(_line([(x, 152), (x, FLOOR)], 2.0) for x in (52, 204)),
        say["title"],
    )  # fmt: skip


def roll_picture(say: Words) -> str:
    """Return a roll with cloth pulled off it, its label, and which of its sizes is which.

    Parameters
    ----------
    say
        ``title``, ``width``, ``length``, ``label``.
    """
    cloth = _line([(70, 58), (150, 138), (260, 138), (180, 58)], 1.2, closed=True, fill=WASH)
    yarns = "".join(_line([(70 + k, 58), (150 + k, 138)], 0.6, ink=CLOTH) for k in range(8, 110, 11))
    tube = "".join(_line([(70, y), (180, y)], 1.6) for y in (24, 58)) + _curve("M180 24a9 17 0 0 1 0 34", 1.6)
    end = f'<ellipse cx="70" cy="41" rx="9" ry="17" fill="{PAPER}" stroke="{INK}" stroke-width="1.6"/>'
    core = f'<ellipse cx="70" cy="41" rx="4" ry="7" fill="none" stroke="{INK}" stroke-width="1"/>'
    tag = _line([(96, 31), (154, 31), (154, 51), (96, 51)], 1.0, closed=True, fill=PAPER)
    width = _line([(150, 146), (260, 146)], 0.8) + _line([(150, 142), (150, 150)]) + _line([(260, 142), (260, 150)])
    along = _line([(62, 66), (142, 146)], 0.8) + _line([(58, 70), (66, 62)]) + _line([(138, 150), (146, 142)])
    return _svg(
        cloth + yarns + tube + end + core + tag
        + _words(125, 45, say["label"], side="middle")
        + width + along
        + _words(205, 162, say["width"], bold=True, side="middle")
        + _words(92, 124, say["length"], bold=True, side="end"),
        say["title"],
        floor=False,
    )  # fmt: skip


def side_picture(say: Words) -> str:
    """Return the mould in section with the arrow that points from it towards the laminate.

    Parameters
    ----------
    say
        ``title``, ``side``.
    """
    arrow = _line([(140, 88), (140, 34)], 2.6) + _line([(133, 40), (140, 24), (147, 40)], 1.0, closed=True, fill=INK)
    mould = f'<g transform="translate(0 20)">{_mould_and_part(98, 104)}</g>'
    return _svg(mould + arrow + _words(154, 38, say["side"], bold=True), say["title"], floor=False)
