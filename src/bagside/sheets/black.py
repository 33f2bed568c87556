"""A drawing in black alone, for a printer that has no grey or should not make one up.

Ink is black, paper is white, washes go. The bands of a map become hatches that grow with the value, so that a step is
read from its lines and not from a grey; about nothing they lean one way for less and the other for more. Tape becomes a
hollow bar, which is neither the solid one of what is laid nor the dashed one of what is to come.
"""

from __future__ import annotations

import base64
import io
import re

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from bagside.sheets import colour, paper
from bagside.sheets.colour import lit
from bagside.sheets.grounds import FIXED

Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

INK, WHITE = "#000000", "#ffffff"
PITCH = 1.0
"""Between the lines of a hatch [mm]."""
SHEAR_SHARES = (0.0, 0.06, 0.12, 0.18, 0.25, 0.33, 0.42, 0.52, 0.64)
STRETCH_SHARES = (0.54, 0.38, 0.24, 0.12, 0.0, 0.12, 0.24, 0.38, 0.54)
KIT_SHARES = (0.0, 0.08, 0.18, 0.32)
"""Of the paper that is black, for each band or kit; a step between two is a fifth or more of the darker."""
DPI = 600
DARK = frozenset({colour.INK, colour.SECOND, colour.EDGE, colour.HAIR, colour.CLOTH, colour.HEAT, colour.KEEP_OUT})
LIGHT = frozenset({colour.PAPER, colour.WASH, colour.TAPE, colour.MOULD, lit(colour.MOULD), colour.HILL})
HATCHES = {
    **{c: (s, 45) for c, s in zip(colour.SHEAR.colours, SHEAR_SHARES, strict=True)},
    **{c: (STRETCH_SHARES[k], 45 if k > 4 else -45) for k, c in enumerate(colour.STRETCH.colours)},
    **{c: (s, 0) for c, s in zip(colour.KITS[1:], KIT_SHARES[1:], strict=True)},
    colour.CLOTH_WASH: (0.05, 90),
    colour.HEAT_WASH: (0.05, 0),
}
"""Share that is black and lean [°] of what stands for each colour of a map or a kit."""

_TAG = re.compile(r"<(/?)([A-Za-z]+)((?:[^<>\"]|\"[^\"]*\")*?)(/?)>")
_COLOUR = re.compile(r'\b(fill|stroke)="(#[0-9a-fA-F]{6})"')
_DATA = re.compile(r'((?:xlink:)?href)="data:image/[a-z]+;base64,([^"]*)"')


def in_black(svg: str) -> str:
    """Return a sheet's drawing in black on white.

    Parameters
    ----------
    svg
        As a sheet draws it, in millimetres.

    Raises
    ------
    ValueError
        When it is no drawing.
    """
    if "<svg" not in svg:
        raise ValueError("a drawing begins with <svg")
    walk = _Walk()
    body = _TAG.sub(walk.tag, svg)
    head = re.search(r"<svg[^>]*>", body)
    if head is None:
        raise ValueError("a drawing begins with <svg")
    return body[: head.end()] + walk.patterns() + body[head.end() :]


class _Walk:
    """What has been read of a drawing."""

    def __init__(self) -> None:
        self.grounds: list[str] = []
        self.used: dict[str, tuple[float, float]] = {}

    def patterns(self) -> str:
        """Return the hatches that are used."""
        return "".join(_pattern(name, share, lean) for name, (share, lean) in sorted(self.used.items()))

    def tag(self, match: re.Match[str]) -> str:
        """Return a tag in black and white."""
        closing, name, words, alone = match.groups()
        if name == "g":
            if closing:
                if self.grounds:
                    self.grounds.pop()
                return match[0]
            if not alone:
                found = re.search(r'data-ground="([^"]*)"', words)
                self.grounds.append(found[1] if found else self.grounds[-1] if self.grounds else "")
        elif closing:
            return match[0]
        if name == "image":
            return self._image(words)
        return f"<{name}{_COLOUR.sub(self._ink, words)}{alone}>"

    def _ink(self, match: re.Match[str]) -> str:
        part, ink = match[1], match[2].lower()
        on_map = bool(self.grounds) and self.grounds[-1] == FIXED
        if part == "fill" and ink in HATCHES and (on_map or ink not in DARK):
            share, lean = HATCHES[ink]
            if share == 0.0:
                return f'fill="{WHITE}"'
            name = f"black-{ink[1:]}"
            self.used[name] = (share, lean)
            return f'fill="url(#{name})"'
        if ink in LIGHT:
            return f'{part}="{WHITE}"'
        if ink in DARK:
            return f'{part}="{INK}"'
        dark = colour.luminance(ink) < 0.45
        return f'{part}="{INK if dark else WHITE}"'

    def _image(self, words: str) -> str:
        kind = re.search(r'class="([^"]*)"', words)
        layer = kind[1] if kind else ""
        if layer in ("shade", "cloth plain"):
            return ""
        found = _DATA.search(words)
        wide = re.search(r'\bwidth="([0-9.]+)"', words)
        if found is None or wide is None:
            raise ValueError("a picture in a drawing is a PNG or JPEG kept in it, and has a width")
        with Image.open(io.BytesIO(base64.b64decode(found[2]))) as opened:
            image = opened if layer.startswith("cloth") else opened.convert("L")
            drawn = _banded(image, float(wide[1])) if layer.startswith("cloth") else image.convert("1")
        buffer = io.BytesIO()
        drawn.save(buffer, format="PNG", optimize=True)
        data = base64.b64encode(buffer.getvalue()).decode("ascii")
        return "<image" + _DATA.sub(lambda m: f'{m[1]}="data:image/png;base64,{data}"', words) + "/>"


def _pattern(name: str, share: float, lean: float) -> str:
    """Return a hatch of which a share is black."""
    return (
        f'<defs><pattern id="{name}" width="{paper.n(PITCH)}" height="{paper.n(PITCH)}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate({paper.n(lean)})">{paper.rect(0, 0, PITCH, PITCH, fill=WHITE)}'
        f"{paper.rect(0, 0, PITCH, share * PITCH, fill=INK)}</pattern></defs>"
    )


def _banded(image: Image.Image, wide: float) -> Image.Image:
    """Return the bands of a picture as hatches, black, white and nothing."""
    palette = image.getpalette()
    if image.mode != "P" or palette is None:
        raise ValueError("the cloth of a picture is kept in bands")
    rows = round(wide / 25.4 * DPI / image.width * image.height)
    large = image.resize((round(wide / 25.4 * DPI), rows), Image.Resampling.NEAREST)
    index = np.asarray(large)
    own = [tuple(palette[k : k + 3]) for k in range(0, len(palette), 3)]
    known = {tuple(colour.rgb(lit(c))): hatch for c, hatch in HATCHES.items()}
    out = np.full(index.shape, 2, dtype=np.uint8)
    y, x = np.arange(index.shape[0])[:, None], np.arange(index.shape[1])[None, :]
    per = DPI / 25.4 * PITCH
    for k in np.unique(index):
        if k == 0:
            continue
        share, lean = known.get(own[k], (0.5, 0))  # no band: the hatch of an overlap
        turn = np.radians(lean)
        here = index == k
        along = np.mod(y * np.cos(turn) - x * np.sin(turn), per)
        out[here] = np.where(along < share * per, 0, 1)[here]
    black = Image.fromarray(out, "P")
    black.putpalette([0, 0, 0, 255, 255, 255, 255, 255, 255])
    black.info["transparency"] = 2
    return black
