"""Photos of sheets and flat things with known truth: exact to a hundredth of a pixel.

Every edge is projected through the true lens and painted by the exact area it covers of each pixel; light is added up
as light, blurred as a lens does it, and only then bent by the sRGB curve, given noise and stored as JPEG. Nothing here
uses the code under test but the marker bitmaps and the lens formula, which has a test of its own against OpenCV.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from bagside.camera.lens import Lens
from bagside.camera.mark_pages import pages
from bagside.camera.marks import Marker, MarkFrame, ink
from bagside.camera.plane_view import View, view_from
from bagside.camera.readers import Photo

Floats = NDArray[np.float64]
PAPER, INK, TABLE, DARK, LIGHT = 0.78, 0.045, 0.22, 0.045, 0.70
"""Share of light thrown back by paper, ink, a table top, dark cloth, light card."""
STEP = 0.002  # [m] edges are divided this finely before they are projected


@dataclass(frozen=True, kw_only=True, eq=False)
class Thing:
    """A flat thing on the sheet.

    ``outline`` and ``holes`` are closed lines [m] in the sheet's axes (any sense of turning), the same at its foot and
    at its top; ``thickness`` [m] puts the top over the paper; ``weave`` is the relative depth of a 2 mm twill texture;
    ``marks`` are drawn on its top: (closed line, share of light).
    """

    outline: Floats
    holes: Sequence[Floats] = ()
    thickness: float = 0.0
    tone: float = DARK
    wall: float | None = None
    weave: float = 0.0
    marks: Sequence[tuple[Floats, float]] = ()


def cloth(outline: Floats, holes: Sequence[Floats] = (), **more: object) -> Thing:
    """Return dark cloth with a slight weave, 0.3 mm thick."""
    return replace(Thing(outline=outline, holes=holes, thickness=0.0003, weave=0.12), **more)  # type: ignore[arg-type]


def card(outline: Floats, holes: Sequence[Floats] = (), **more: object) -> Thing:
    """Return light card, 2 mm thick."""
    return replace(Thing(outline=outline, holes=holes, thickness=0.002, tone=LIGHT), **more)  # type: ignore[arg-type]


def strip(tail: tuple[float, float], head: tuple[float, float], width: float = 0.004, tone: float = PAPER) -> tuple:
    """Return an arrow as a mark: a bar with a head of three times its width."""
    a, b = np.array(tail), np.array(head)
    along = (b - a) / np.hypot(*(b - a))
    side = np.array([-along[1], along[0]]) * 0.5 * width
    neck = b - 3.0 * width * along
    return (np.array([a + side, a - side, neck - side, neck - 3 * side, b, neck + 3 * side, neck + side]), tone)


def phone_lens(size: tuple[int, int] = (4032, 3024)) -> Lens:
    """Return the lens of an invented phone at a picture's size."""
    w, h = size
    s = max(w, h) / 4032
    return Lens(
        width=w, height=h, f=3010 * s, cx=0.5 * (w - 1) + 15 * s, cy=0.5 * (h - 1) - 11 * s,
        k1=0.09, k2=-0.18, p1=8e-4, p2=-5e-4,
    )  # fmt: skip


def look(
    frame: MarkFrame,
    lens: Lens,
    *,
    tilt: float = 0.0,
    azimuth: float = 0.0,
    distance: float | None = None,
    roll: float | None = None,
    aim: tuple[float, float] | None = None,
) -> View:
    """Return the view of a camera that looks at a place (the paper's middle), tilted over towards an azimuth [rad]."""
    target = np.array([*(aim or (0.5 * frame.paper[0], 0.5 * frame.paper[1])), 0.0])
    if roll is None:
        same = (frame.paper[0] >= frame.paper[1]) == (lens.width >= lens.height)
        roll = 0.0 if same else 0.5 * np.pi
    if distance is None:
        distance = _far_enough(frame, lens, tilt, azimuth, roll, target)
    away = np.array([np.sin(tilt) * np.cos(azimuth), np.sin(tilt) * np.sin(azimuth), np.cos(tilt)])
    forward = -away
    up = np.array([-np.sin(roll), np.cos(roll), 0.0])
    down = -(up - (up @ forward) * forward)
    down /= np.linalg.norm(down)
    rotation = np.stack([np.cross(down, forward), down, forward])
    return view_from(lens, rotation, -rotation @ (target + distance * away), frame)


def _far_enough(frame, lens, tilt, azimuth, roll, target) -> float:
    w, h = frame.paper
    corners = np.array([(0, 0), (w, 0), (w, h), (0, h)])
    low, high = 0.1, 20.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        view = look(frame, lens, tilt=tilt, azimuth=azimuth, distance=middle, roll=roll, aim=tuple(target[:2]))
        # without the lens's bend, which is not one to one far outside the picture
        seen = np.column_stack([corners, np.zeros(4)]) @ view.rotation.T + view.translation
        flat = seen[:, :2] / np.maximum(seen[:, 2:], 1e-3) * lens.f
        fits = (np.abs(flat) < np.array([0.485 * lens.width, 0.485 * lens.height])).all() and (seen[:, 2] > 0.02).all()
        low, high = (low, middle) if fits else (middle, high)
    return high


def render(
    frame: MarkFrame,
    objects: Iterable[Thing] = (),
    *,
    size: tuple[int, int] = (4032, 3024),
    tilt: float = 0.0,
    azimuth: float = 0.0,
    distance: float | None = None,
    lens: Lens | None = None,
    blur: float = 0.8,
    motion: float = 0.0,
    noise: float = 2.0,
    shadow: float = 0.0,
    uneven: float = 0.2,
    jpeg: int = 92,
    seed: int = 0,
    roll: float | None = None,
    aim: tuple[float, float] | None = None,
    cut: bool = False,
    table: float = TABLE,
    curl: float = 0.0,
    sheets: Sequence[Floats] | None = None,
    missing: Iterable[int] = (),
    focal_35: int | None = None,
) -> tuple[bytes, View]:
    """Return a photo as JPEG, and the true view.

    ``blur`` is the lens's [px], ``motion`` a drag along a slanted line [px], ``noise`` in steps of 1/255, ``shadow``
    and ``uneven`` shares of light, ``cut`` shows the table in the window, ``curl`` lifts the paper's middle [m] over
    its long sides, ``sheets`` are the papers' outlines when there are several, ``missing`` ids are covered up.
    """
    lens = lens or phone_lens(size)
    view = look(frame, lens, tilt=tilt, azimuth=azimuth, distance=distance, roll=roll, aim=aim)
    picture = np.full((lens.height, lens.width, 1), table, dtype=np.float32)

    def seen(line: Floats, height: float = 0.0) -> Floats:
        return view.to_pixels(_lifted(_fine(line), height, frame, curl))

    papers = [np.array([(0, 0), (frame.paper[0], 0), frame.paper, (0, frame.paper[1])])] if sheets is None else sheets
    for paper in papers:
        _paint(picture, [seen(paper)], PAPER)
    gone = set(missing)
    _paint(picture, [seen(ring) for m in frame.markers if m.id not in gone for ring in ink(m)], INK)
    if cut:
        _paint(picture, [seen(frame.window)], table)
    elif len(papers) == 1:  # the printed line to cut along, 0.15 mm wide
        rim = shapely.Polygon(frame.window)
        outer, inner = (shapely.get_coordinates(rim.buffer(d, join_style="mitre"))[:-1] for d in (75e-6, -75e-6))
        _paint(picture, [seen(outer), seen(inner[::-1])], 0.4)
    rng = np.random.default_rng(seed)
    for thing in objects:
        _put(picture, thing, view, shadow)
    picture = picture if picture.shape[2] == 3 else np.repeat(picture, 3, axis=2)
    _light_falls(picture, uneven, shadow, rng)
    return _developed(picture, blur, motion, noise, jpeg, rng, focal_35), view


def pictured(frame: MarkFrame, objects: Iterable[Thing] = (), **options: object) -> tuple[Photo, View]:
    """Return a rendered photo as it is read, and the true view."""
    data, view = render(frame, objects, **options)  # type: ignore[arg-type]
    image = Image.open(io.BytesIO(data))
    photo = Photo(name="photo.jpg", grey=np.asarray(image.convert("L")), colour=np.asarray(image))
    return photo, view


def places_in(window: Floats, count: int = 12) -> Floats:
    """Return places all over the box of a window, shape (count², 2) [m]."""
    low, high = window.min(axis=0), window.max(axis=0)
    x, y = np.linspace(low[0], high[0], count), np.linspace(low[1], high[1], count)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def off(found: Floats, true: Floats) -> Floats:
    """Return the distances of found from true points, shape (n,)."""
    return np.hypot(*(np.asarray(found) - np.asarray(true)).reshape(-1, 2).T)


def off_rigidly(found: Floats, true: Floats) -> Floats:
    """Return the distances after the best turn and shift, shape (n,): two sets in different axes."""
    a, b = found - found.mean(axis=0), true - true.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    turn = u @ np.diag([1.0, np.linalg.det(u @ vt)]) @ vt
    return np.hypot(*(a @ turn - b).T)


def _fine(line: Floats) -> Floats:
    """Return a closed line with corners at most STEP apart."""
    line = np.asarray(line, dtype=np.float64)
    after = np.roll(line, -1, axis=0)
    count = np.maximum(np.ceil(np.hypot(*(after - line).T) / STEP).astype(int), 1)
    which = np.repeat(np.arange(len(line)), count)
    share = (np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)) / count[which]
    return line[which] + share[:, None] * (after - line)[which]


def _lifted(flat: Floats, height: float, frame: MarkFrame, curl: float) -> Floats:
    across = flat[:, 0] / frame.paper[0]
    return np.column_stack([flat, height + curl * 4.0 * across * (1.0 - across)])


def covered(rings: Iterable[Floats], box: tuple[int, int, int, int]) -> NDArray[np.float64]:
    """Return the exact share of each pixel covered by closed lines, by winding number.

    Each small piece of an edge inside one pixel adds the area to its right; a running sum along the row does the rest.

    ``box`` is left, top, right, bottom in whole pixels; pixel centres are whole numbers.
    """
    left, top, right, bottom = box
    w, h = right - left, bottom - top
    start = np.concatenate([np.asarray(r) for r in rings]) + 0.5 - np.array([left, top])
    end = np.concatenate([np.roll(np.asarray(r), -1, axis=0) for r in rings]) + 0.5 - np.array([left, top])
    start, end = _clipped(start, end, h)
    t, which = [np.zeros(len(start)), np.ones(len(start))], [np.arange(len(start))] * 2
    for axis, most in ((0, w), (1, h)):
        a, b = start[:, axis], end[:, axis]
        low = np.clip(np.floor(np.minimum(a, b)) + 1, 0, most + 1).astype(int)
        high = np.clip(np.ceil(np.maximum(a, b)) - 1, -1, most).astype(int)
        count = np.maximum(high - low + 1, 0)
        k = np.repeat(np.arange(len(a)), count)
        line = low[k] + np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        t.append((line - a[k]) / (b - a)[k])
        which.append(k)
    t, which = np.concatenate(t), np.concatenate(which)
    order = np.lexsort((t, which))
    t, which = t[order], which[order]
    same = which[1:] == which[:-1]
    k, t0, t1 = which[1:][same], t[:-1][same], t[1:][same]
    step = end[k] - start[k]
    drop = step[:, 1] * (t1 - t0)
    middle = start[k] + step * (0.5 * (t0 + t1))[:, None]
    x = np.clip(middle[:, 0], 0.0, w)
    row = np.clip(np.floor(middle[:, 1]), 0, h - 1).astype(int)
    column = np.minimum(np.floor(x), w).astype(int)
    inside = x - column
    at = row * (w + 2) + column
    total = np.bincount(at, drop * (1.0 - inside), h * (w + 2)) + np.bincount(at + 1, drop * inside, h * (w + 2))
    return np.clip(np.abs(np.cumsum(total.reshape(h, w + 2), axis=1)[:, :w]), 0.0, 1.0)


def _clipped(start: Floats, end: Floats, h: int) -> tuple[Floats, Floats]:
    """Return the edges inside the rows."""
    fall = end[:, 1] - start[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        a, b = (0.0 - start[:, 1]) / fall, (h - start[:, 1]) / fall
    low, high = np.clip(np.fmin(a, b), 0, 1), np.clip(np.fmax(a, b), 0, 1)
    keep = (fall != 0.0) & (high > low)
    step = (end - start)[keep]
    return start[keep] + low[keep, None] * step, start[keep] + high[keep, None] * step


def _box(rings: Sequence[Floats], shape: tuple[int, ...], around: int = 2) -> tuple[int, int, int, int] | None:
    every = np.concatenate([np.asarray(r) for r in rings])
    low, high = np.floor(every.min(axis=0)) - around, np.ceil(every.max(axis=0)) + around
    left, top = np.maximum(low, 0).astype(int)
    right, bottom = np.minimum(high + 1, [shape[1], shape[0]]).astype(int)
    return None if right <= left or bottom <= top else (left, top, right, bottom)


def _paint(
    picture: NDArray[np.float32],
    rings: Sequence[Floats],
    tone: float | NDArray[np.float32],
    over: float | None = None,
) -> None:
    """Paint an area by the share it covers of each pixel; ``over`` is what it lies on when that was painted whole."""
    box = _box(rings, picture.shape) if len(rings) else None
    if box is None:
        return
    share = covered(rings, box).astype(np.float32)[..., None]
    part = picture[box[1] : box[3], box[0] : box[2]]
    own = tone if np.isscalar(tone) else tone[box[1] : box[3], box[0] : box[2]]
    part += share * (own - (part if over is None else over))


def _rings(shape: shapely.Geometry) -> list[Floats]:
    out = []
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and not part.is_empty:
            whole = shapely.geometry.polygon.orient(part)
            out += [np.array(r.coords)[:-1] for r in (whole.exterior, *whole.interiors)]
    return out


def _put(picture: NDArray[np.float32], thing: Thing, view: View, shadow: float) -> None:
    lines = [_fine(line) for line in (thing.outline, *thing.holes)]

    def level(height: float, shift: tuple[float, float] = (0.0, 0.0)) -> list[Floats]:
        return [view.to_pixels(np.column_stack([line + shift, np.full(len(line), height)])) for line in lines]

    def shape(rings: list[Floats]) -> shapely.Geometry:
        return shapely.Polygon(rings[0], rings[1:])

    top, foot = level(thing.thickness), level(0.0)
    wall: float | None = None
    if shadow > 0.0:
        _cast(
            picture, shape(level(0.0, (0.6 * thing.thickness + 0.0008, -0.4 * thing.thickness - 0.0005))), shadow, view
        )
    if thing.thickness > 0.0:
        quads = []
        for a, b in zip(foot, top, strict=True):
            corners = np.stack([a, np.roll(a, -1, axis=0), np.roll(b, -1, axis=0), b], axis=1)
            quads.append(shapely.polygons(corners))
        every = shapely.union_all([shape(top), *shapely.make_valid(np.concatenate(quads))])
        wall = 0.7 * thing.tone if thing.wall is None else thing.wall
        _paint(picture, _rings(every), wall)
    tone = _woven(picture.shape, thing, view, top) if thing.weave else thing.tone
    _paint(picture, _rings(shape(top)), tone, over=wall)
    for line, mark in thing.marks:
        flat = _fine(line)
        _paint(picture, [view.to_pixels(np.column_stack([flat, np.full(len(flat), thing.thickness)]))], mark)


def _cast(picture: NDArray[np.float32], shape: shapely.Geometry, shadow: float, view: View) -> None:
    rings = _rings(shape)
    soft = 0.001 * view.lens.f / float(np.linalg.norm(view.camera))
    box = _box(rings, picture.shape, int(4 * soft) + 2)
    if box is None:
        return
    dark = cv2.GaussianBlur(covered(rings, box).astype(np.float32), (0, 0), soft)
    picture[box[1] : box[3], box[0] : box[2]] *= 1.0 - shadow * dark[..., None]


def _woven(shape: tuple[int, ...], thing: Thing, view: View, top: list[Floats]) -> NDArray[np.float32]:
    """Return the tone of a twill of 2 mm tows over the whole picture; outside the thing it is not used."""
    tone = np.full((*shape[:2], 1), thing.tone, dtype=np.float32)
    box = _box(top, shape)
    if box is None:
        return tone
    left, high, right, low = box
    step = 8
    x, y = np.arange(left, right + step, step), np.arange(high, low + step, step)
    grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    at = view.to_plane(grid, thing.thickness).reshape(len(y), len(x), 2).astype(np.float32)
    fx, fy = np.meshgrid(
        np.arange(right - left, dtype=np.float32) / step, np.arange(low - high, dtype=np.float32) / step
    )
    u, v = (cv2.remap(np.ascontiguousarray(at[..., k]), fx, fy, cv2.INTER_LINEAR) / 0.002 for k in (0, 1))
    over = np.sin(0.5 * np.pi * (u - v)) * np.cos(np.pi * u) ** 2  # lines of light at 45°, broken by tows
    tone[high:low, left:right, 0] *= 1.0 + thing.weave * over
    return tone


def _light_falls(picture: NDArray[np.float32], uneven: float, shadow: float, rng: np.random.Generator) -> None:
    h, w = picture.shape[:2]
    way = rng.uniform(0.0, 2.0 * np.pi)
    x, y = np.linspace(-0.5, 0.5, w, dtype=np.float32), np.linspace(-0.5, 0.5, h, dtype=np.float32)[:, None]
    along = np.cos(way) * x + np.sin(way) * y
    light = 1.0 - uneven * (0.5 + along)
    if shadow > 0.0:  # of the one who holds the camera: wide and soft
        light = light * (1.0 - 0.6 * shadow / (1.0 + np.exp(-(along - 0.25) * 40.0)))
    picture *= light.astype(np.float32)[..., None]


def _developed(
    picture: NDArray[np.float32],
    blur: float,
    motion: float,
    noise: float,
    jpeg: int,
    rng: np.random.Generator,
    focal_35: int | None,
) -> bytes:
    if blur > 0.0:
        picture = cv2.GaussianBlur(picture, (0, 0), blur)
    if motion > 0.0:
        picture = cv2.filter2D(picture, -1, _drag(motion))
    steps = np.arange(65536) / 65535.0
    curve = (255.0 * np.where(steps <= 0.0031308, 12.92 * steps, 1.055 * steps ** (1 / 2.4) - 0.055)).astype(np.float32)
    shown = curve[(np.clip(picture, 0.0, 1.0) * 65535.0 + 0.5).astype(np.uint16)]
    if noise > 0.0:
        shown += noise * rng.standard_normal(shown.shape, dtype=np.float32)
    image = Image.fromarray(np.clip(shown + 0.5, 0, 255).astype(np.uint8))
    exif = Image.Exif()
    if focal_35 is not None:
        exif.get_ifd(0x8769)[0xA405] = focal_35
    out = io.BytesIO()
    image.save(out, "JPEG", quality=jpeg, subsampling=1, exif=exif)
    return out.getvalue()


def _drag(length: float) -> NDArray[np.float32]:
    """Return the kernel of a drag along a line at 30°, exact to small parts of a pixel."""
    half = int(np.ceil(0.5 * length)) + 1
    kernel = np.zeros((2 * half + 1, 2 * half + 1))
    along = np.linspace(-0.5 * length, 0.5 * length, 201)
    x, y = half + along * np.cos(np.pi / 6), half + along * np.sin(np.pi / 6)
    for i, j, share in (
        (0, 0, (1 - x % 1) * (1 - y % 1)), (0, 1, x % 1 * (1 - y % 1)),
        (1, 0, (1 - x % 1) * (y % 1)), (1, 1, x % 1 * (y % 1)),
    ):  # fmt: skip
        np.add.at(kernel, (np.floor(y).astype(int) + i, np.floor(x).astype(int) + j), share)
    return (kernel / kernel.sum()).astype(np.float32)


def laid_table(width: float = 0.9, height: float = 0.6, seed: int = 4) -> tuple[MarkFrame, list[Floats]]:
    """Return the markers of pages laid by hand round a table, and the outlines of the pages as cut out.

    Corner pages at the corners, edge pages between them, each off by some millimetres and a degree.
    """
    rng = np.random.default_rng(seed)
    known = pages()
    quarter = 0.5 * np.pi
    at = [(0.0, 0.0, 0.0), (width, 0.0, quarter), (width, height, 2 * quarter), (0.0, height, 3 * quarter)]
    at += [(0.5 * width - 0.148, 0.045, -quarter), (0.5 * width + 0.148, height - 0.045, quarter)]
    at += [(0.006, 0.5 * height - 0.11, 0.0), (width - 0.006, 0.5 * height + 0.11, 2 * quarter)][
        : 2 if height > 0.75 else 0
    ]
    markers, cuts = [], []
    for page, place in zip(known, at, strict=False):
        x, y, angle = np.array(place) + rng.normal(0.0, [0.002, 0.002, 0.012])
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        markers += [Marker(id=m.id, corners=m.corners @ turn.T + [x, y]) for m in page.markers]
        cuts.append(page.cut @ turn.T + [x, y])
    window = np.array([(0.06, 0.06), (width - 0.06, 0.06), (width - 0.06, height - 0.06), (0.06, height - 0.06)])
    frame = MarkFrame(
        name="laid table", markers=tuple(sorted(markers, key=lambda m: m.id)), window=window, paper=(width, height),
        rules=(0.0, 0.0),
    )  # fmt: skip
    return frame, cuts
