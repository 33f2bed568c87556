"""Drawings for a phone: how large they are, and how they are packed so that a whole build fits on it."""

from __future__ import annotations

import base64
import io
import re

import numpy as np
import shapely
from PIL import Image

from bagside.sheets.paper import n

SIZE = (92.0, 70.0)
"""Room for a picture of the mould [mm]: a phone held upright shows a millimetre as 4 px, so that letters are 13 px."""
SECTION = (92.0, 26.0)
"""Room for the section [mm]."""
PIXELS = 720
"""Width of the shaded mould in a picture."""
_PNG = re.compile(r"data:image/png;base64,([A-Za-z0-9+/=]+)")
OFF = 0.04
"""By how much a line may run beside where it was drawn [mm]: a sixth of a pixel."""
_DATA = re.compile(r' d="([MLZ0-9. -]+)"')
_RUN = re.compile(r"M([^MZ]+)(Z?)")


def lighter(svg: str) -> str:
    """Return a picture with its shaded part packed small: a whole build must fit into a phone that is offline.

    Parameters
    ----------
    svg
        With PNG pictures in it.
    """
    thinner = _DATA.sub(lambda found: f' d="{_RUN.sub(_thinned, found.group(1))}"', svg)
    return _PNG.sub(lambda found: _webp(base64.b64decode(found.group(1))), thinner)


def _thinned(run: re.Match[str]) -> str:
    """Return one line of a path with no more points than the eye sees on a phone."""
    points = np.array([pair.split() for pair in run.group(1).split("L")], dtype=np.float64)
    if len(points) > 2:
        points = shapely.get_coordinates(shapely.simplify(shapely.LineString(points), OFF))
    return "M" + "L".join(f"{n(round(x, 2))} {n(round(y, 2))}" for x, y in points) + run.group(2)


def _webp(data: bytes) -> str:
    with Image.open(io.BytesIO(data)) as picture:
        whole = picture.convert("RGBA")
    if whole.width > PIXELS:
        whole = whole.resize((PIXELS, round(whole.height * PIXELS / whole.width)), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    whole.save(out, "WEBP", quality=60, method=4)
    return f"data:image/webp;base64,{base64.b64encode(out.getvalue()).decode('ascii')}"
