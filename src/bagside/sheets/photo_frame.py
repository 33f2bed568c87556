"""Sheets with markers, true to size: a ring round a window, and pages for a table.

Each carries rules to be measured, because no printer is true, and what to do with it in the same place as the markers.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.camera.mark_pages import PAPER, SIDE, MarkPage, pages
from bagside.camera.marks import BOTTOM, LEFT, Marker, MarkFrame, frame, ink
from bagside.sheets import colour
from bagside.sheets import paper as draw
from bagside.sheets.press import pressed
from bagside.sheets.typeface import BODY, CAPTION, HEAD, NOTE, wrapped

Floats = NDArray[np.float64]

BLACK = "#000000"
"""Of markers; the ink of words is a little lighter."""
TICK = 3.0
"""Across the ends of a rule [mm]."""
RULE_OFF = 4.5
"""From the markers to a rule [mm]."""
LEAD = 3.0
"""From line to line of small words [mm]."""


def frame_pdf(paper: str = "A3") -> bytes:
    """Return a sheet with markers round a window as PDF.

    Parameters
    ----------
    paper
        ``A4`` or ``A3``.

    Raises
    ------
    InputError
        When there is no sheet of this size.
    """
    sheet = frame(paper)
    return _pdf(f"bagside frame {paper}", sheet.paper, [_frame_page(sheet)])


def table_pdf() -> bytes:
    """Return the pages with markers for a table as PDF, all A4."""
    return _pdf("bagside table pages", PAPER, [_table_page(page) for page in pages()])


def rule_ends(sheet: MarkFrame) -> tuple[Floats, Floats]:
    """Return the ends of the rule in x and of the one in y on a sheet.

    Parameters
    ----------
    sheet
        As drawn.

    Returns
    -------
    tuple of ndarray
        Each shape (2, 2), in the sheet's axes [m].
    """
    off = RULE_OFF * 1e-3
    x = 0.5 * (sheet.paper[0] - sheet.rules[0]) + np.array([0.0, sheet.rules[0]])
    y = BOTTOM + np.array([0.0, sheet.rules[1]])
    return (
        np.column_stack([x, np.full(2, BOTTOM - off)]),
        np.column_stack([np.full(2, LEFT - off), y]),
    )


def _pdf(title: str, size: tuple[float, float], svgs: list[str]) -> bytes:
    return pressed("tiles.typ", {"title": title, "width": 1e3 * size[0], "height": 1e3 * size[1], "pages": svgs})


def _down(points: Floats, height: float) -> Floats:
    """Return points of a sheet [m] in its print [mm], y downwards."""
    p = np.asarray(points, dtype=np.float64)
    return np.column_stack([1e3 * p[:, 0], 1e3 * (height - p[:, 1])])


def _black(marker: Marker, height: float) -> str:
    data = "".join(draw.path(_down(ring, height), closed=True) for ring in ink(marker))
    return draw.stroked(data, weight=0, fill=BLACK)


def _rule(ends: Floats, words: str, height: float) -> list[str]:
    """Return a rule with ticks at its ends, and its words under its middle, along it."""
    a, b = _down(ends, height)
    along = (b - a) / np.hypot(*(b - a))
    across = 0.5 * TICK * np.array([-along[1], along[0]])
    upright = abs(along[1]) > abs(along[0])
    x, y = 0.5 * (a + b) + (np.array([-1.4, 0.0]) if upright else np.array([0.0, 3.2]))
    return [
        draw.line([a, b], weight=draw.HAIR),
        *(draw.line([end - across, end + across], weight=draw.HAIR) for end in (a, b)),
        draw.text(x, y, words, size=CAPTION, anchor="middle", turn=-90.0 if upright else 0.0),
    ]


def _cut_line(points: Floats, height: float) -> str:
    return draw.line(_down(points, height), weight=draw.HAIR, ink=colour.EDGE, closed=True)


def _frame_page(sheet: MarkFrame) -> str:
    width, height = 1e3 * sheet.paper[0], 1e3 * sheet.paper[1]
    rule_x, rule_y = rule_ends(sheet)
    out = [_black(m, sheet.paper[1]) for m in sheet.markers]
    out.append(_cut_line(sheet.window, sheet.paper[1]))
    out += _rule(rule_x, f"rule x, {1e3 * sheet.rules[0]:.0f} mm from tick to tick", sheet.paper[1])
    out += _rule(rule_y, f"rule y, {1e3 * sheet.rules[1]:.0f} mm from tick to tick", sheet.paper[1])
    ids = sorted(sheet.ids)
    y = height - 14.8
    out.append(
        draw.text(1e3 * LEFT, y, f"bagside frame {sheet.name}, markers {ids[0]} to {ids[-1]}", size=NOTE, bold=True)
    )
    words = (
        "Print at 100 %, never to fit. Measure both rules with a steel ruler and state them with the photo. Lay the "
        "sheet flat, the thing inside the thin line. All markers in the picture; hold the camera 10° to 25° off "
        "straight down, for thick card straight down. Light things: cut the window out and lay the sheet on something "
        "dark."
    )
    for k, line in enumerate(wrapped(words, CAPTION, width - 1e3 * LEFT - 12.0)):
        out.append(draw.text(1e3 * LEFT, y + LEAD * (k + 1), line, size=CAPTION))
    return draw.sheet(width, height, out, title=f"bagside frame {sheet.name}")


def page_rule_ends(page: MarkPage) -> tuple[Floats | None, Floats]:
    """Return the ends of the rules of a table page: in x, on an L only, and in y.

    Parameters
    ----------
    page
        The page.

    Returns
    -------
    tuple
        Each shape (2, 2), in the page's axes [m].
    """
    low = page.markers[0].corners.min(axis=0)
    for marker in page.markers:
        low = np.minimum(low, marker.corners.min(axis=0))
    off = RULE_OFF * 1e-3
    y = np.column_stack([np.full(2, low[0] - off), low[1] + np.array([0.0, page.rules[1]])])
    if not page.corner:
        return None, y
    return np.column_stack([low[0] + np.array([0.0, page.rules[0]]), np.full(2, low[1] - off)]), y


def _table_page(page: MarkPage) -> str:
    width, height = 1e3 * PAPER[0], 1e3 * PAPER[1]
    rule_x, rule_y = page_rule_ends(page)
    out = [_black(m, PAPER[1]) for m in page.markers]
    out.append(_cut_line(page.cut, PAPER[1]))
    kind = "corner" if page.corner else "edge"
    for ends, axis, length in ((rule_x, "x", page.rules[0]), (rule_y, "y", page.rules[1])):
        if ends is not None:
            out += _rule(ends, "", PAPER[1])
        if ends is not None and axis == "y":
            x, y = _down(ends.mean(axis=0)[None], PAPER[1])[0] + np.array([1e3 * SIDE + RULE_OFF + 5.4, 0.0])
            told = f"page {page.number}, {kind}; rule y {1e3 * length:.0f} mm" + (
                f", rule x {1e3 * page.rules[0]:.0f} mm" if page.corner else ""
            )
            out.append(draw.text(x, y, told, size=CAPTION, anchor="middle", turn=-90.0))
    left = 1e3 * float(page.cut[:, 0].min()) + 50.0
    y = 40.0
    out.append(draw.text(left, y, f"bagside table page {page.number}, {kind}", size=HEAD, bold=True))
    words = (
        "Print at 100 %, never to fit, all pages on the same printer. Cut out along the thin line.",
        "Lay the pages round the table: corner pages at its corners, edge pages between them, markers upwards, any way "
        "round. Glue them down flat; nothing may move afterwards. What is to be measured lies between them.",
        "Measure the rules, from tick to tick, with a steel ruler.",
        "Once: take eight or more photos of the bare table, from all sides and held over by 20° to 40°, some with the "
        "camera turned upright, each with as many pages in it as will go. bagside trace-table makes the table's file "
        "from them.",
        "Then one photo of all pages is enough for each thing that is measured.",
    )
    for paragraph in words:
        y += 3.0
        for line in wrapped(paragraph, BODY, width - left - 14.0):
            y += 5.0
            out.append(draw.text(left, y, line, size=BODY))
    return draw.sheet(width, height, out, title=f"bagside table page {page.number}")
