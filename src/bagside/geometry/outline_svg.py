"""The strokes of an SVG drawing [m]: paths and plain shapes with their transforms, y turned upwards.

Its size in mm, cm, in, pt or px (96 to the inch, as CSS has it) with its viewBox says how large a user unit is; where
the size has no unit, the unit of the numbers must be told. Nothing it refers to is fetched, and nothing in it is run: a
file that declares entities is refused.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import svgelements

from bagside.errors import InputError
from bagside.geometry.foreign import BROKEN, quiet, steps_of
from bagside.geometry.outline_loops import CHORD, Drawing, Stroke
from bagside.geometry.readers import UNITS
from bagside.geometry.surface import Floats

PIXEL = 0.0254 / 96  # [m]
ABSOLUTE = {"mm": 0.001, "cm": 0.01, "in": 0.0254, "pt": 0.0254 / 72, "pc": 0.0254 / 6, "px": PIXEL}
"""Units of length that do not depend on the screen (CSS Values and Units 3, 6.2) [m]."""
LENGTH = re.compile(r"\s*([0-9.eE+-]+?)\s*([a-z]+|%)?\s*")
MOST_BYTES = 50_000_000
HIDDEN = ("symbol", "marker", "mask", "pattern", "clipPath")
"""What is defined in a drawing and not drawn by itself."""
SVG = "http://www.w3.org/2000/svg"


def svg_drawing(path: Path, unit: str) -> Drawing:
    """Return what is drawn in an SVG file.

    Parameters
    ----------
    path
        The file.
    unit
        Of its numbers, when its width and height do not say it.

    Raises
    ------
    InputError
        When it is no SVG file or a broken one, or its unit is not known or is not the stated one.
    """
    root = _root(path)
    per_unit = _scaled(root, unit, path.name)
    left = _without_hidden(root)
    text = ElementTree.tostring(root)
    try:
        with quiet("svgelements"):
            whole = svgelements.SVG.parse(io.BytesIO(text), ppi=96, reify=False, on_error="raise")
            strokes = [s for item in whole for s in _strokes(item, (), per_unit)] if isinstance(whole, list) else []
    except BROKEN as error:
        said = " ".join(str(error).split())[:120] or type(error).__name__
        raise InputError.one(
            path.name, "", f"a shape in it cannot be read ({said})", "save it again as plain SVG, shapes as paths"
        ) from error
    return Drawing(strokes=tuple(strokes), left_out=tuple(f"{n} {tag}" for tag, n in sorted(left.items())))


def _root(path: Path) -> ElementTree.Element:
    """Return the drawing's element; refuses what is not SVG, and entities."""
    data = path.read_bytes()
    cure = "export it again from the drawing program, as plain SVG"
    if len(data) > MOST_BYTES:
        raise InputError.one(path.name, f"{len(data) / 1e6:.0f} MB", "an outline is never as large as that", cure)
    if data[:2] == b"\x1f\x8b":
        raise InputError.one(path.name, "a packed file", "an SVG file as text is wanted", cure)
    if b"<!ENTITY" in data or "<!ENTITY".encode("utf-16-le") in data or "<!ENTITY".encode("utf-16-be") in data:
        raise InputError.one(path.name, "it declares entities", "they are not read", cure)
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError) as error:
        raise InputError.one(path.name, "", f"this is not a whole SVG file ({error})", cure) from error
    if root.tag not in ("svg", f"{{{SVG}}}svg"):
        name = root.tag.rpartition("}")[2]
        raise InputError.one(path.name, f"its first element is <{name}>", "an SVG drawing is wanted", cure)
    return root


def _length(text: str | None) -> tuple[float, str] | None:
    """Return a length and its unit, empty when it has none; None when it says nothing about size."""
    match = None if text is None else LENGTH.fullmatch(text)
    if match is None:
        return None
    try:
        number = float(match[1])
    except ValueError:
        return None
    unit = match[2] or ""
    return (number, unit) if number > 0 and (not unit or unit in ABSOLUTE) else None


def _scaled(root: ElementTree.Element, stated: str, file: str) -> float:
    """Return what one of the reader's pixels is [m]; the size is put in order in the element."""
    size = {word: _length(root.get(word)) for word in ("width", "height")}
    box = _box(root.get("viewBox"), file)
    known = {word: at[0] * ABSOLUTE[at[1]] for word, at in size.items() if at is not None and at[1]}
    if not known:
        if not stated:
            came = " and ".join(f'{word}="{root.get(word)}"' for word in size if root.get(word)) or "no size"
            raise InputError.one(
                file, came, "the drawing does not say what its numbers are", 'state unit, as in unit = "mm"'
            )
        for word in size:
            root.attrib.pop(word, None)
        root.attrib.pop("preserveAspectRatio", None)
        return UNITS[stated]
    for word, other, own in (("width", "height", (2, 3)), ("height", "width", (3, 2))):
        at = size[word]
        if at is not None and not at[1]:
            known[word] = at[0] * PIXEL
        if word not in known:
            known[word] = known[other] * (box[own[0]] / box[own[1]] if box else 1.0)
        root.set(word, repr(known[word] / PIXEL))
    if stated:
        user = min(known["width"] / box[2], known["height"] / box[3]) if box else PIXEL
        if abs(user / UNITS[stated] - 1) > 1e-3:
            raise InputError.one(
                file,
                f'one of its units is {1000 * user:.4g} mm by its width and height, unit = "{stated}" is stated',
                "one of the two is wrong, and a template of a wrong size is cut for nothing",
                "measure a known length in the drawing; leave unit out if its width and height are right, "
                "else take them out of the file",
            )
    return PIXEL


def _box(text: str | None, file: str) -> tuple[float, float, float, float] | None:
    if text is None:
        return None
    try:
        x, y, w, h = (float(n) for n in text.replace(",", " ").split())
    except ValueError:
        raise InputError.one(file, f'viewBox="{text}"', "four numbers are wanted there") from None
    if not (w > 0 and h > 0 and all(map(math.isfinite, (x, y, w, h)))):
        raise InputError.one(file, f'viewBox="{text}"', "a width and height of more than zero are wanted there")
    return x, y, w, h


def _without_hidden(root: ElementTree.Element) -> Counter[str]:
    """Take out what is not drawn by itself, and count what is drawn and is no line."""
    left: Counter[str] = Counter()
    used = {v[1:] for e in root.iter() for k, v in e.attrib.items() if k.endswith("href") and v.startswith("#")}
    for parent in list(root.iter()):
        for child in list(parent):
            tag = child.tag.rpartition("}")[2] if isinstance(child.tag, str) else ""
            if tag in ("text", "image", "foreignObject", "use"):
                external = tag == "use" and not any(
                    v.startswith("#") for k, v in child.attrib.items() if k.endswith("href")
                )
                if tag != "use" or external:
                    left[tag] += 1
                    parent.remove(child)
            elif tag in HIDDEN and child.get("id") not in used:
                parent.remove(child)
    return left


def _strokes(item: Any, around: tuple[str, ...], scale: float) -> list[Stroke]:
    """Return the strokes of an element and of all within it."""
    if isinstance(item, svgelements.Group | svgelements.Use | svgelements.SVG):
        names = around + _names(item)
        return [s for child in item for s in _strokes(child, names, scale)]
    if not isinstance(item, svgelements.Shape):
        return []
    if str(item.values.get("visibility", "")) in ("hidden", "collapse"):
        return []
    own = _names(item)
    t = item.transform
    turn = np.array([[t.a, t.c, t.e], [t.b, t.d, t.f]], dtype=np.float64)
    out: list[Stroke] = []
    for sub in svgelements.Path(item).as_subpaths():
        # The library's own transform of an arc is wrong where axes are skewed, so points are transformed, not arcs.
        points, closed = _flattened(list(sub), CHORD / (scale * float(np.linalg.norm(turn[:, :2])) or 1.0))
        if len(points) > 1:
            at = scale * (points @ turn[:, :2].T + turn[:, 2]) * np.array([1.0, -1.0])
            if not np.isfinite(at).all():
                raise ValueError("a number that is not finite")
            out.append(Stroke(points=at, closed=closed, layers=around, name=own[-1] if own else ""))
    return out


def _names(item: Any) -> tuple[str, ...]:
    """Return what an element is called: its classes, its id and its label, the label last."""
    own = item.values.get("attributes", {})
    found = [*own.get("class", "").split(), own.get("id", "")] + [
        v for k, v in own.items() if k.rpartition("}")[2] == "label"
    ]
    return tuple(dict.fromkeys(str(n) for n in found if n))


def _flattened(segments: list[Any], chord: float) -> tuple[Floats, bool]:
    """Return the points of a run of segments as they are stated, before any transform, and whether it is closed."""
    closed = any(isinstance(s, svgelements.Close) for s in segments)
    points: list[complex] = []
    for s in segments:
        end = None if s.end is None else complex(s.end.x, s.end.y)
        if isinstance(s, svgelements.Move):
            points = [] if end is None else [end]
        elif isinstance(s, svgelements.CubicBezier | svgelements.QuadraticBezier | svgelements.Arc):
            share = np.arange(1, _steps(s, chord) + 1) / _steps(s, chord)
            points += [complex(x, y) for x, y in np.asarray(s.npoint(share), dtype=np.float64)]
        elif end is not None:
            points.append(end)
    at = np.array(points, dtype=np.complex128)
    if len(at) > 1 and abs(at[0] - at[-1]) <= 1e-9 * max(1.0, float(np.abs(at).max())):
        closed, at = closed or len(at) > 3, at[:-1] if closed or len(at) > 3 else at
    return np.stack([at.real, at.imag], axis=1), closed


def _steps(segment: Any, chord: float) -> int:
    """Return into how many chords a curve is divided so that they stray less than stated.

    Notes
    -----
    A chord of a Bézier curve over a share h of its parameter strays at most h² / 8 times its largest second derivative;
    that of an ellipse at most as from a circle of its larger radius.
    """
    if isinstance(segment, svgelements.Arc):
        radius = max(abs(segment.rx), abs(segment.ry))
        if not radius > 0:
            return 1
        return 1 + steps_of(abs(float(segment.sweep)) / (2 * math.acos(1 - min(chord / radius, 0.5))))
    if isinstance(segment, svgelements.QuadraticBezier):
        corners, factor = [segment.start, segment.control, segment.end], 2.0
    else:
        corners, factor = [segment.start, segment.control1, segment.control2, segment.end], 6.0
    p = np.array([complex(c.x, c.y) for c in corners])
    bend = factor * float(np.abs(np.diff(p, 2)).max())
    return steps_of(math.sqrt(bend / (8 * chord)))
