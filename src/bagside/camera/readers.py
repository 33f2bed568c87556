"""Photo files to arrays: the way up it was held, the focal length it states, and what is wrong with a broken one."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from bagside.errors import InputError

Bytes = NDArray[np.uint8]

MOST_PIXELS = 250_000_000
LEAST_PIXELS = 400  # along the shorter side: less holds no readable ring of markers
_FULL_FRAME_DIAGONAL = 43.2666  # [mm] of 36 × 24
_TURNS = {3: 2, 6: 3, 8: 1}  # EXIF orientation to quarter turns anticlockwise
_FOREIGN = (OSError, ValueError, SyntaxError, ArithmeticError, LookupError, TypeError, AttributeError, MemoryError)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """A picture as it is looked at.

    Parameters
    ----------
    name
        Of the file, for messages.
    grey
        Shape (h, w), as stored, not linear in light.
    colour
        Red, green, blue, shape (h, w, 3).
    focal_hint
        Focal length the file states [px]; None when it states none.
    turns
        Quarter turns anticlockwise from what the sensor saw.
    """

    name: str
    grey: Bytes
    colour: Bytes
    focal_hint: float | None = None
    turns: int = 0


def read_photo(path: Path) -> Photo:
    """Return a photo, turned the way up it was held.

    Parameters
    ----------
    path
        JPEG, PNG, TIFF, WebP or what else Pillow reads.

    Raises
    ------
    InputError
        When there is no such file, it is no picture, is cut off, or is too small or too large to measure from.
    """
    path = Path(path)
    name = path.name
    if not path.is_file():
        raise InputError.one(name, "", "there is no such file; check the name and the folder")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a warning about size or tags; size is checked here
            with Image.open(path) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise _wrong_size(name, opened.size, "up to 250 million pixels are read", "save it smaller")
                exif = opened.getexif()
                turns = _TURNS.get(exif.get(ExifTags.Base.Orientation, 1), 0)
                focal = _focal(exif, opened.size)
                opened.load()
                upright = _eight_bits(ImageOps.exif_transpose(opened))
    except UnidentifiedImageError:
        raise _no_picture(name, path.suffix.lower()) from None
    except InputError:
        raise
    except _FOREIGN as error:
        raise InputError.one(
            name, "", f"the picture is broken or cut off ({error})", "copy it again from the camera"
        ) from None
    if min(upright.size) < LEAST_PIXELS:
        raise _wrong_size(
            name,
            upright.size,
            f"at least {LEAST_PIXELS} pixels each way are wanted",
            "send the original, not a preview",
        )
    colour = np.asarray(upright.convert("RGB"))
    grey = np.asarray(upright.convert("L"))
    return Photo(name=name, grey=grey, colour=colour, focal_hint=focal, turns=turns)


def as_sensed(photo: Photo) -> Bytes:
    """Return the grey picture as the sensor saw it: one lens serves photos held upright and lengthwise.

    Parameters
    ----------
    photo
        The picture.
    """
    return np.ascontiguousarray(np.rot90(photo.grey, -photo.turns))


def light(values: Bytes) -> NDArray[np.float32]:
    """Return stored values as light, 0…1, by the sRGB curve (IEC 61966-2-1).

    Parameters
    ----------
    values
        Any shape, 0…255.

    Notes
    -----
    An edge blurred by a lens is symmetric in light, not in stored values: a dark thing measured in stored values comes
    out about a quarter of the blur too small on each side. Cameras bend the curve a little further; that is not undone.
    """
    return _LIGHT[values]


def _light() -> NDArray[np.float32]:
    x = np.arange(256) / 255.0
    return np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4).astype(np.float32)


_LIGHT = _light()


def _focal(exif: Image.Exif, size: tuple[int, int]) -> float | None:
    """Return the focal length in pixels from the 35 mm equivalent, which goes by the diagonal (CIPA DCG-001)."""
    told = exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm)
    try:
        equivalent = float(told) if told is not None else 0.0
    except (TypeError, ValueError):
        return None
    if not 8.0 <= equivalent <= 300.0:
        return None
    return equivalent * float(np.hypot(*size)) / _FULL_FRAME_DIAGONAL


def _eight_bits(image: Image.Image) -> Image.Image:
    """Return a picture of eight bits a channel; sixteen bits of grey are brought down, transparency lies on white."""
    if image.mode.startswith("I") or image.mode == "F":
        values = np.asarray(image, dtype=np.float64)
        top = 65535.0 if image.mode.startswith("I") and values.max(initial=0.0) > 255.0 else 255.0
        return Image.fromarray(np.clip(values * (255.0 / top) + 0.5, 0, 255).astype(np.uint8))
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        over = image.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", over.size, "white"), over).convert("RGB")
    return image


def _wrong_size(name: str, size: tuple[int, int], wanted: str, hint: str) -> InputError:
    return InputError.one(name, f"{size[0]} × {size[1]} pixels", wanted, hint)


def _no_picture(name: str, suffix: str) -> InputError:
    if suffix in (".heic", ".heif", ".avif"):
        cure = "save or send it as JPEG; phones have a setting for it"
    elif suffix in (".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf", ".orf", ".rw2"):
        cure = "export it as JPEG or TIFF at full size"
    else:
        cure = "a JPEG, PNG or TIFF from the camera is wanted"
    return InputError.one(name, "", "this is no picture that can be read", cure)
