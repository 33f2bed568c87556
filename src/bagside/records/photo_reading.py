"""Photos that were sent, read where they lie: in a process of its own, so that a bad one harms nothing else."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from bagside.errors import InputError
from bagside.records.photos import picture_without_place

MOST_PIXELS = 60_000_000
"""A phone's photo has 12 to 50 million."""


def photo_to_keep(path: Path) -> bytes:
    """Return a photo as it is kept: without where it was taken.

    Parameters
    ----------
    path
        Where it lies.

    Raises
    ------
    InputError
        When it is no photo, damaged, or larger than any phone takes.
    """
    _looked_at(path)
    return picture_without_place(path.read_bytes(), "the photo")


def code_in_photo(path: Path) -> str:
    """Return what the QR code in a photo says; empty when none is found.

    Parameters
    ----------
    path
        Where it lies.

    Raises
    ------
    InputError
        When it is no picture, or larger than any phone takes.
    """
    _looked_at(path)
    with Image.open(path, formats=("JPEG", "PNG", "WEBP")) as opened:
        picture = np.asarray(opened.convert("L"))
    reader = cv2.QRCodeDetector()
    for longest in (0, 1600, 900):  # a code that fills the photo is found more easily in a smaller one
        scale = longest / max(picture.shape) if longest else 1.0
        if scale > 1.0:
            continue
        small = picture if scale == 1.0 else cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        text, _, _ = reader.detectAndDecode(small)
        if text:
            return str(text)
    return ""


def _looked_at(path: Path) -> None:
    """Refuse a picture before its pixels are unpacked."""
    try:
        with Image.open(path, formats=("JPEG", "PNG", "WEBP")) as opened:
            pixels = opened.width * opened.height
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise InputError.one("the photo", "", "the picture cannot be read", "take it again") from None
    if pixels > MOST_PIXELS:
        most = f"at most {MOST_PIXELS // 1_000_000} million pixels are wanted"
        came = f"{pixels / 1e6:.0f} million pixels"
        raise InputError.one("the photo", came, most, "set the camera to smaller photos")
