"""What was read, drawn over the photo seen from above, so that a person can check it at a glance.

The picture is pale, the outline is ink with a white halo, a scale bar lies in the corner, and under it stands for each
outline what it measures and how well that is known. Yellow marks the one thing to look at: where the edge could not be
read.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from bagside.camera.trace import Traced, TracedOutline
from bagside.quantity import shown

Floats = NDArray[np.float64]
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

PAPER, INK, SECOND, TAPE = (244, 247, 246), (16, 25, 31), (70, 83, 91), (248, 200, 0)
WIDTH, TALLEST = 1600, 2200  # [px] of the picture
PALE = 0.72  # of the photo is left, the rest is paper
LINE, HALO = 2, 7  # [px]
BODY, HEAD = 24, 30  # [px] of type
BAR = 0.1  # [m] of the scale bar


def picture_png(traced: Traced) -> bytes:
    """Return the window as a metric picture in PNG, with its true resolution.

    Parameters
    ----------
    traced
        As `bagside.camera.trace` returns it.
    """
    out = io.BytesIO()
    inch = 0.0254 * traced.rectified.scale
    Image.fromarray(traced.rectified.colour).save(out, "PNG", dpi=(inch, inch), compress_level=4)
    return out.getvalue()


def overlay(traced: Traced, *, title: str = "", regular: Path | None = None, bold: Path | None = None) -> bytes:
    """Return the check picture as PNG.

    Parameters
    ----------
    traced
        As `bagside.camera.trace` returns it.
    title
        Of the photo.
    regular, bold
        Files of the typeface; a plain one when None.
    """
    body, strong, head = (_font(regular, BODY), _font(bold, BODY), _font(bold, HEAD))
    picture = traced.rectified
    h, w = picture.colour.shape[:2]
    scale = min(WIDTH / w, TALLEST / h)
    size = (round(w * scale), round(h * scale))
    way = cv2.INTER_AREA if scale < 1.0 else cv2.INTER_CUBIC
    small = cv2.resize(picture.colour, size, interpolation=way).astype(np.float32)
    pale = np.clip(PALE * small + (1.0 - PALE) * np.array(PAPER, dtype=np.float32), 0, 255)
    rows = [_row(k, one) for k, one in enumerate(traced.outlines, 1)]
    strip = 40 + HEAD + 16 + (len(rows) + 1) * (BODY + 14) + 24
    width = max(size[0], 1180)
    sheet = Image.new("RGB", (width, size[1] + strip), PAPER)
    left = (width - size[0]) // 2
    sheet.paste(Image.fromarray(pale.astype(np.uint8)), (left, 0))
    draw = ImageDraw.Draw(sheet)

    def at(points: Floats) -> list[tuple[float, float]]:
        return [(left + x, y) for x, y in ((picture.to_pixels(points) + 0.5) * scale).tolist()]

    for one in traced.outlines:
        _lines(draw, [at(np.concatenate([loop, loop[:1]])) for loop in one.loops])
        _look_here(draw, at(one.unread[:: max(1, len(one.unread) // 200)]) if len(one.unread) else [])
        if one.warp is not None:
            _warp(draw, one, at)
    for k, one in enumerate(traced.outlines, 1):
        spot = shapely.maximum_inscribed_circle(shapely.Polygon(one.loops[0], one.loops[1:]), tolerance=1e-3)
        (x, y), *_ = at(np.asarray(spot.coords)[:1])
        box = draw.textbbox((x, y), str(k), font=head, anchor="mm")
        draw.rectangle((box[0] - 10, box[1] - 8, box[2] + 10, box[3] + 8), fill=PAPER, outline=INK, width=2)
        draw.text((x, y), str(k), font=head, fill=INK, anchor="mm")
    _bar(draw, (left + 32.0, size[1] - 32.0), BAR * picture.scale * scale, body)
    _table(draw, (left + 32, size[1] + 24), rows, title, _told(traced), (body, strong, head), width - left)
    out = io.BytesIO()
    sheet.save(out, "PNG", compress_level=4)
    return out.getvalue()


def _font(path: Path | None, size: int) -> Font:
    return ImageFont.load_default(size) if path is None else ImageFont.truetype(str(path), size)


def _row(k: int, one: TracedOutline) -> tuple[str, ...]:
    holes = len(one.loops) - 1
    if one.warp is None:
        warp = "–"
    else:
        warp = shown(one.warp, "°") + ("" if one.arrow is None or one.arrow.headed else ", either way")
    return (
        str(k),
        f"{1e3 * one.size[0]:.1f} × {1e3 * one.size[1]:.1f} mm",
        f"{1e4 * one.area:.1f} ± {1e4 * one.area_confidence:.1f} cm²",
        f"± {1e3 * one.confidence:.2f} mm",
        "–" if holes == 0 else str(holes),
        warp,
    )


def _told(traced: Traced) -> str:
    view = traced.view
    return (
        f"camera {shown(float(view.camera[2]), 'm', 2)} above, tilted {shown(view.tilt, '°', 0)}; "
        f"top {shown(traced.thickness, 'mm')} over the sheet; 95 of 100 points lie within the ± of the edge"
    )


def _lines(draw: ImageDraw.ImageDraw, lines: list[list[tuple[float, float]]]) -> None:
    for wide, colour in ((HALO, (255, 255, 255)), (LINE, INK)):
        for line in lines:
            draw.line(line, fill=colour, width=wide, joint="curve")


def _look_here(draw: ImageDraw.ImageDraw, points: list[tuple[float, float]]) -> None:
    for x, y in points:
        draw.rectangle((x - 6, y - 6, x + 6, y + 6), fill=TAPE, outline=INK)


def _warp(draw: ImageDraw.ImageDraw, one: TracedOutline, at: object) -> None:
    assert callable(at)
    warp = one.warp or 0.0
    along = np.array([math.cos(warp), math.sin(warp)])
    if one.arrow is not None:
        ends = np.array([one.arrow.tail, one.arrow.tip])
    else:
        spot = shapely.maximum_inscribed_circle(shapely.Polygon(one.loops[0], one.loops[1:]), tolerance=1e-3)
        middle = np.asarray(spot.coords)[0] - 0.45 * spot.length * np.array([-along[1], along[0]])
        ends = middle + np.array([[-0.5], [0.5]]) * 0.9 * spot.length * along
    (x0, y0), (x1, y1) = at(ends)
    long = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    head = min(0.3 * long, 34.0)

    def closed(x: float, y: float, s: float, grow: float) -> list[tuple[float, float]]:
        tip = (x + s * grow * ux, y + s * grow * uy)
        bx, by = x - s * (head + grow) * ux, y - s * (head + grow) * uy
        half = 0.3 * head + grow
        return [tip, (bx - half * uy, by + half * ux), (bx + half * uy, by - half * ux)]

    heads = [(x1, y1, 1.0)]
    if one.arrow is not None and not one.arrow.headed:
        heads.append((x0, y0, -1.0))
    for wide, grow, colour in ((10, 3.0, (255, 255, 255)), (5, 0.0, INK)):
        draw.line([(x0, y0), (x1 - 0.8 * head * ux, y1 - 0.8 * head * uy)], fill=colour, width=wide)
        for x, y, s in heads:
            draw.polygon(closed(x, y, s, grow), fill=colour)


def _bar(draw: ImageDraw.ImageDraw, at: tuple[float, float], long: float, font: Font) -> None:
    x, y = at
    draw.rectangle((x - 10, y - 46, x + long + 10, y + 12), fill=PAPER)
    draw.line([(x, y), (x + long, y)], fill=INK, width=4)
    for end in (x, x + long):
        draw.line([(end, y - 9), (end, y + 9)], fill=INK, width=3)
    draw.text((x + 0.5 * long, y - 12), f"{1e3 * BAR:.0f} mm", font=font, fill=INK, anchor="ms")


def _table(
    draw: ImageDraw.ImageDraw,
    at: tuple[int, int],
    rows: list[tuple[str, ...]],
    title: str,
    told: str,
    fonts: tuple[Font, Font, Font],
    right: int,
) -> None:
    body, strong, head = fonts
    x, y = at
    draw.text((x, y), title, font=head, fill=INK)
    small = body if draw.textlength(told, font=body) < right - 64 else None
    y += HEAD + 16
    if small is not None:
        draw.text((x, y), told, font=body, fill=SECOND)
        y += BODY + 14
    heads = ("", "size", "area", "edge", "holes", "warp")
    stops = [x + k for k in (24, 330, 590, 770, 880, 1110)]
    for stop, word in zip(stops, heads, strict=True):
        draw.text((stop, y), word, font=body, fill=SECOND, anchor="ra")
    y += BODY + 12
    for row in rows:
        for k, (stop, word) in enumerate(zip(stops, row, strict=True)):
            draw.text((stop, y), word, font=strong if k == 0 else body, fill=INK, anchor="ra")
        y += BODY + 14
