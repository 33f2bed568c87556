"""Drawings for a phone: how large they are, and how they are packed so that a whole build fits on it."""

from __future__ import annotations

import base64
import io
import re

from PIL import Image

SIZE = (92.0, 70.0)
"""Room for a picture of the mould [mm]: a phone held upright shows a millimetre as 4 px, so that letters are 13 px."""
SECTION = (92.0, 26.0)
"""Room for the section [mm]."""
PIXELS = 720
"""Width of the shaded mould in a picture."""
_PNG = re.compile(r"data:image/png;base64,([A-Za-z0-9+/=]+)")
_FINE = re.compile(r"(\d\.\d\d)\d+")


def lighter(svg: str) -> str:
    """Return a picture with its shaded part packed small: a whole build must fit into a phone that is offline.

    Parameters
    ----------
    svg
        With PNG pictures in it.
    """
    rough = _FINE.sub(r"\1", svg)  # a hundredth of a millimetre is a twenty-fifth of a pixel
    return _PNG.sub(lambda found: _webp(base64.b64decode(found.group(1))), rough)


def _webp(data: bytes) -> str:
    with Image.open(io.BytesIO(data)) as picture:
        whole = picture.convert("RGBA")
    if whole.width > PIXELS:
        whole = whole.resize((PIXELS, round(whole.height * PIXELS / whole.width)), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    whole.save(out, "WEBP", quality=60, method=4)
    return f"data:image/webp;base64,{base64.b64encode(out.getvalue()).decode('ascii')}"
