"""A hundred photos of flat things, all that goes wrong with photos at random and together: how true outlines are.

Photos are rendered with known truth: a sheet of 420 × 594 mm with a ring of markers, a thing of 350 to 500 mm on it
(dark cloth, mid-tone card, or light card over a dark table; curved or with corners, with holes, with a drawn arrow),
tilt to 40°, a phone's lens, shadow, uneven light, noise, blur and JPEG. The sheet is printed off size and its rules are
read to a standard deviation of 0.2 mm; thickness is stated with an error of up to 15 %; thick card is shot from above
only and with a lens made before, as the how-to says. The peer gets the same photo and sheet: the markers of a general
library with its sub-pixel corners, one homography, a threshold by Otsu, its contours. Outlines are compared as shapes:
a shift of the whole that follows from the sheet's size is taken out of both.
"""

from __future__ import annotations

import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from bagside.camera import MarkFrame, Photo
    from photos import Thing

TESTS = Path(__file__).resolve().parents[1] / "tests" / "camera"
sys.path.insert(0, str(TESTS))

Floats = NDArray[np.float64]

PHOTOS, SEED = 100, 1
SIZE = (4032, 3024)
RMS, WORST, AREA = 0.2, 0.5, 0.2  # [mm], [mm], [%]: what is aimed at
SAMPLE = 2e-4  # [m] between points that are compared


@dataclass(frozen=True)
class Result:
    number: int
    refused: str = ""
    seconds: float = 0.0
    rms: float = 0.0
    p95: float = 0.0
    worst: float = 0.0
    area: float = 0.0
    stated: float = 0.0
    area_stated: float = 0.0
    warp: float | None = None
    peer_rms: float = float("nan")
    peer_worst: float = float("nan")
    peer_area: float = float("nan")
    peer_seconds: float = float("nan")
    told: str = ""


def sheet() -> MarkFrame:
    """Return a sheet of 420 × 594 mm with a ring of markers of 20 mm, as it is drawn."""
    from bagside.camera.marks import MarkFrame, square

    wide, tall, side, edge = 0.420, 0.594, 0.020, 0.012
    x = np.linspace(edge, wide - edge - side, 15)
    y = np.linspace(edge, tall - edge - side, 21)
    places = [(a, y[0]) for a in x] + [(a, y[-1]) for a in x]
    places += [(x[0], b) for b in y[1:-1]] + [(x[-1], b) for b in y[1:-1]]
    inner = edge + side + 0.004
    window = np.array([(inner, inner), (wide - inner, inner), (wide - inner, tall - inner), (inner, tall - inner)])
    return MarkFrame(
        name="A2",
        markers=tuple(square(60 + k, (float(a), float(b)), side) for k, (a, b) in enumerate(places)),
        window=window,
        paper=(wide, tall),
        rules=(0.380, 0.550),
    )


def outline(rng: np.random.Generator) -> Floats:
    """Return an outline of 280 to 330 by 400 to 500 mm in the middle of the sheet: curved, or with corners."""
    half = np.array([rng.uniform(0.14, 0.165), rng.uniform(0.20, 0.25)])
    if rng.random() < 0.5:
        t = np.linspace(0.0, 2.0 * np.pi, 3000, endpoint=False)
        r = 1.0 + sum(rng.uniform(-0.12, 0.12) / k * np.cos(k * t + rng.uniform(0, 6.3)) for k in range(2, 7))
        loop = np.stack([r * np.cos(t), r * np.sin(t)], axis=1)
    else:
        n = int(rng.integers(4, 9))
        t = (np.arange(n) + rng.uniform(-0.25, 0.25, n)) * 2.0 * np.pi / n
        r = rng.uniform(0.7, 1.0, n)
        loop = np.stack([r * np.cos(t), r * np.sin(t)], axis=1)
        if rng.random() < 0.5:  # some cards have rounded corners
            fine = shapely.Polygon(loop * half)
            turn = rng.uniform(0.004, 0.02)
            fine = fine.buffer(-turn, quad_segs=64).buffer(turn, quad_segs=64)
            loop = shapely.get_coordinates(fine.exterior)[:-1] / half
    loop = loop / np.abs(loop).max(axis=0)
    return loop * half + np.array([0.210, 0.297])


def one(number: int) -> Result:
    """Render, trace and compare one photo."""
    import photos
    from bagside.camera import Lens, Photo, trace
    from bagside.errors import BagsideError

    rng = np.random.default_rng([SEED, number])
    loop = outline(rng)
    body = shapely.Polygon(loop)
    spot = shapely.maximum_inscribed_circle(body, tolerance=1e-3)
    middle, reach = np.asarray(spot.coords)[0], float(spot.length)
    holes, marks, drawn = [], [], None
    t = np.linspace(0.0, 2.0 * np.pi, 300, endpoint=False)
    for _ in range(int(rng.integers(0, 3))):
        way, radius = rng.uniform(0, 2 * np.pi), rng.uniform(0.004, 0.02)
        at = middle + 0.7 * reach * np.array([np.cos(way), np.sin(way)])
        hole = at + radius * np.stack([np.cos(t), np.sin(t)], axis=1)
        if not any(shapely.Polygon(h).distance(shapely.Polygon(hole)) < 0.01 for h in holes):
            holes.append(hole)
    kind = int(rng.integers(0, 3))
    tilt = float(np.radians(rng.uniform(0.0, 40.0)))
    if rng.random() < 0.5:
        drawn = float(rng.uniform(-np.pi, np.pi))
        along = 0.4 * reach * np.array([np.cos(drawn), np.sin(drawn)])
        marks = [
            photos.strip(
                tuple(middle - along), tuple(middle + along), rng.uniform(0.002, 0.006), (0.78, 0.05, 0.05)[kind]
            )
        ]
    thick = 0.0003 if kind == 0 or tilt > np.radians(12.0) else float(rng.uniform(0.0005, 0.002))
    tone = (rng.uniform(0.03, 0.08), rng.uniform(0.2, 0.4), rng.uniform(0.55, 0.75))[kind]
    thing = photos.Thing(
        outline=loop, holes=holes, thickness=thick, tone=float(tone), weave=0.15 if kind == 0 else 0.0, marks=marks
    )
    w, h = SIZE
    lens = Lens(
        width=w, height=h, f=rng.uniform(2700, 3400), cx=0.5 * (w - 1) + rng.uniform(-20, 20),
        cy=0.5 * (h - 1) + rng.uniform(-20, 20), k1=rng.uniform(-0.02, 0.12), k2=rng.uniform(-0.2, 0.0),
        p1=rng.uniform(-8e-4, 8e-4), p2=rng.uniform(-8e-4, 8e-4),
    )  # fmt: skip
    from bagside.camera.marks import RULER_SD, scaled

    rules = np.array(sheet().rules)
    printed = rules * (1.0 + rng.normal(0.0, 0.002, 2))  # a printer is off, and so is the ruler that measures it
    frame = scaled(sheet(), *(printed + rng.normal(0.0, RULER_SD, 2)))
    data, _ = photos.render(
        scaled(sheet(), *printed), [thing], size=SIZE, lens=lens, tilt=tilt, azimuth=rng.uniform(0, 2 * np.pi),
        blur=rng.uniform(0.6, 1.2), noise=rng.uniform(1.0, 4.0), shadow=rng.uniform(0.0, 0.5),
        uneven=rng.uniform(0.0, 0.4), jpeg=int(rng.integers(80, 96)), seed=number, cut=kind == 2,
        table=0.05 if kind == 2 else 0.22,
    )  # fmt: skip
    colour = cv2.cvtColor(cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)
    photo = Photo(name=f"photo {number}", grey=cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), colour=colour)
    known = None  # thick card: a lens made before, its focus moved since
    if thick > 0.0003:
        known = replace(lens, f=lens.f * (1.0 + rng.normal(0.0, 0.002)), cx=lens.cx + rng.normal(0.0, 5.0))
    stated = thick * (1.0 + rng.uniform(-0.15, 0.15))
    told = f"{('cloth', 'mid', 'light')[kind]} {np.degrees(tilt):.0f}° {1e3 * thick:.1f} mm"
    truth = [loop, *holes]
    lines = shapely.MultiLineString([np.vstack([x, x[:1]]).tolist() for x in truth])
    area = shapely.Polygon(loop, holes).area
    shift = scaled(sheet(), *printed).middle - frame.middle
    peer = _peer(photo, frame, thing, lines, shift)
    began = time.perf_counter()
    try:
        found = trace(photo, frame, thickness=stated, lens=known)
    except BagsideError as error:
        return Result(number, refused=str(error), told=told, **peer)
    seconds = time.perf_counter() - began
    mine = found.outlines[0]
    off = 1e3 * np.concatenate([_off(x + shift, lines) for x in mine.loops])
    if len(mine.loops) != len(truth) or len(found.outlines) > 1:
        told += f"; {len(found.outlines)} outlines, {len(mine.loops) - 1} of {len(holes)} holes"
    warp = None
    if drawn is not None:
        warp = 180.0 if mine.warp is None else float(np.degrees(abs((mine.warp - drawn + np.pi) % (2 * np.pi) - np.pi)))
    return Result(
        number, seconds=seconds, rms=float(np.sqrt((off**2).mean())), p95=float(np.percentile(off, 95)),
        worst=float(off.max()), area=100 * (mine.area / area - 1), stated=1e3 * mine.confidence,
        area_stated=100 * mine.area_confidence / area, warp=warp, told=told, **peer,
    )  # fmt: skip


def _off(loop: Floats, lines: shapely.Geometry) -> Floats:
    closed = np.concatenate([loop, loop[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.arange(0.0, along[-1], SAMPLE)
    points = np.stack([np.interp(at, along, closed[:, k]) for k in (0, 1)], axis=1)
    out: Floats = shapely.distance(lines, shapely.points(points))
    return out


def _peer(photo: Photo, frame: MarkFrame, thing: Thing, lines: shapely.Geometry, shift: Floats) -> dict[str, float]:
    """Return what a plain homography, Otsu's threshold and a general library's contours make of the photo."""
    began = time.perf_counter()
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    finder = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250), settings)
    corners, ids, _ = finder.detectMarkers(photo.grey)
    known = {m.id: m.corners for m in frame.markers}
    pairs = [(c.reshape(4, 2), known[int(i)]) for c, i in zip(corners, np.ravel(ids), strict=True) if int(i) in known]
    if len(pairs) < 4:
        return {}
    seen, real = (np.concatenate(x) for x in zip(*pairs, strict=True))
    scale = 5000.0
    low, high = frame.window.min(axis=0), frame.window.max(axis=0)
    flat = (real - [low[0], high[1]]) * [scale, -scale]
    turn, _ = cv2.findHomography(seen, flat, cv2.RANSAC, 3.0)
    size = tuple(int(v) for v in np.ceil((high - low) * scale))
    picture = cv2.GaussianBlur(cv2.warpPerspective(photo.grey, turn, size), (5, 5), 0)
    light = cv2.THRESH_BINARY if thing.tone > 0.5 else cv2.THRESH_BINARY_INV
    _, mask = cv2.threshold(picture, 0, 255, light + cv2.THRESH_OTSU)
    contours, _ = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    contours = [c.reshape(-1, 2) for c in contours if cv2.contourArea(c) > 20 * (scale / 1000) ** 2]
    if not contours:
        return {}
    contours.sort(key=len)
    biggest = contours[-1] / [scale, -scale] + [low[0], high[1]]
    seconds = time.perf_counter() - began
    off = 1e3 * _off(biggest + shift, lines)
    own = shapely.Polygon(thing.outline).area
    return {
        "peer_rms": float(np.sqrt((off**2).mean())),
        "peer_worst": float(off.max()),
        "peer_area": 100 * (shapely.Polygon(biggest).buffer(0).area / own - 1),
        "peer_seconds": seconds,
    }


def run(count: int = PHOTOS) -> None:
    """Print what was found."""
    began = time.perf_counter()
    with ProcessPoolExecutor(min(2, os.cpu_count() or 1), initializer=_alone) as pool:
        found = list(pool.map(one, range(count)))
    good = [r for r in found if not r.refused]
    if "--all" in sys.argv:
        for r in found:
            tail = f"rms {r.rms:.3f} p95 {r.p95:.3f} worst {r.worst:.2f} ± {r.stated:.2f}"
            tail = r.refused or f"{tail}  area {r.area:+.3f} ± {r.area_stated:.2f} %"
            print(f"  {r.number:3d} {r.told:24} {tail}" + ("" if r.warp is None else f"  warp off {r.warp:.2f}°"))
    told = [r for r in found if r.refused]
    print(f"  {count} photos of {SIZE[0]} × {SIZE[1]}, {len(told)} refused, {time.perf_counter() - began:.0f} s in all")
    for r in told:
        print(f"    photo {r.number} ({r.told}): {r.refused}")
    if not good:
        return
    heads = f"{'median':>9}{'95 of 100':>11}{'largest':>9}{'aim':>7}"
    print(f"  {'':22}{heads}     peer median   ours / it")
    rows = [
        ("rms, mm", [r.rms for r in good], RMS, [r.peer_rms for r in good]),
        ("worst point, mm", [r.worst for r in good], WORST, [r.peer_worst for r in good]),
        ("area, %", [abs(r.area) for r in good], AREA, [abs(r.peer_area) for r in good]),
        ("seconds", [r.seconds for r in good], None, [r.peer_seconds for r in good]),
    ]
    for name, mine, aim, its in rows:
        m, p = float(np.median(mine)), float(np.nanmedian(its))
        limit = "" if aim is None else f"{aim:.1f}"
        print(
            f"  {name:22}{m:9.3f}{np.percentile(mine, 95):11.3f}{max(mine):9.3f}{limit:>7}{p:16.3f}{m / p:12.3f}"
            + ("" if aim is None else f"   {sum(v <= aim for v in mine)} of {len(mine)} within the aim")
        )
    held = sum(r.p95 <= r.stated for r in good)
    area = sum(abs(r.area) <= r.area_stated for r in good)
    wide = np.median([r.stated / max(r.p95, 1e-6) for r in good])
    print(f"  stated ± holds in {held} of {len(good)} (median {np.median([r.stated for r in good]):.2f} mm, "
          f"{wide:.1f} times what was off); area's in {area} of {len(good)}")  # fmt: skip
    warps = [r.warp for r in good if r.warp is not None]
    if warps:
        off = [w for w in warps if w < 170.0]
        print(
            f"  drawn arrows: {len(off)} of {len(warps)} read, off by {np.median(off):.2f}° (largest {max(off):.2f}°)"
        )


def _alone() -> None:
    cv2.setNumThreads(1)


if __name__ == "__main__":
    run(next((int(a) for a in sys.argv[1:] if a.isdigit()), PHOTOS))
