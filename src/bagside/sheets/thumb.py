"""A photo, small enough for paper: turned upright, scaled down, kept in a drawing that can stand on a page."""

from __future__ import annotations

import base64
import io

from PIL import Image, ImageOps, UnidentifiedImageError

from bagside.sheets import paper

WIDE = 58.0
"""Width on paper [mm]."""
ASPECT = 0.75
"""Height over width of the frame; a taller photo stands in its middle."""
DOTS = 700
"""Across: 300 dots for each inch."""


def thumb(content: bytes, title: str) -> str | None:
    """Return a photo as a drawing of one size; None when it is no picture that can be read.

    Parameters
    ----------
    content
        Of its file.
    title
        What it shows, for readers.
    """
    try:
        with Image.open(io.BytesIO(content)) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        return None
    picture.thumbnail((DOTS, int(DOTS * ASPECT)), Image.Resampling.LANCZOS)
    held = io.BytesIO()
    picture.save(held, "JPEG", quality=85)
    wide, tall = WIDE, WIDE * ASPECT
    scale = min(wide / picture.width, tall / picture.height)
    w, h = picture.width * scale, picture.height * scale
    data = base64.b64encode(held.getvalue()).decode("ascii")
    image = (
        f'<image x="{paper.n((wide - w) / 2)}" y="{paper.n((tall - h) / 2)}" width="{paper.n(w)}" '
        f'height="{paper.n(h)}" xlink:href="data:image/jpeg;base64,{data}"/>'
    )
    return paper.sheet(wide, tall, [image], title=title or "photo")
