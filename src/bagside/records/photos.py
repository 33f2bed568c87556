"""Photos as they are kept: the same pixels, without where they were taken.

A photo from a phone says where it was taken, in four places at least: a table of its own in the picture's notes, the
maker's notes, a text in XML, and a second small picture with notes of its own. Nothing of it is needed to build a
part, so only a short list of notes is kept (`KEPT`: which way up, when, with which lens) and everything else goes. The
picture itself is not packed anew: a JPEG, a PNG and a WebP are taken apart and put together again without that.
"""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from numbers import Rational
from typing import Any

from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from bagside.errors import InputError

KEPT = frozenset(
    {
        ExifTags.Base.Orientation, ExifTags.Base.XResolution, ExifTags.Base.YResolution, ExifTags.Base.ResolutionUnit,
        ExifTags.Base.DateTime, ExifTags.Base.Make, ExifTags.Base.Model, ExifTags.Base.YCbCrPositioning,
    }
)  # fmt: skip
KEPT_OF_CAMERA = frozenset(
    {
        ExifTags.Base.DateTimeOriginal, ExifTags.Base.DateTimeDigitized, ExifTags.Base.OffsetTime,
        ExifTags.Base.OffsetTimeOriginal, ExifTags.Base.OffsetTimeDigitized, ExifTags.Base.SubsecTime,
        ExifTags.Base.SubsecTimeOriginal, ExifTags.Base.SubsecTimeDigitized, ExifTags.Base.ExposureTime,
        ExifTags.Base.FNumber, ExifTags.Base.ISOSpeedRatings, ExifTags.Base.FocalLength,
        ExifTags.Base.FocalLengthIn35mmFilm, ExifTags.Base.ColorSpace, ExifTags.Base.ExifImageWidth,
        ExifTags.Base.ExifImageHeight,
    }
)  # fmt: skip
"""Notes that stay: which way up, when, with what lens; a photo that is measured in needs the lens."""
PIXELS = 150_000_000
"""A photo may have so many."""
CURE = "set the camera to JPEG (often called most compatible), or save the photo as JPEG, PNG or WebP"
_UNREADABLE = (SyntaxError, ValueError, TypeError, KeyError, IndexError, OSError, OverflowError, struct.error)
_EXIF = b"Exif\x00\x00"
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB", b"cICP", b"bKGD",
     b"pHYs", b"tIME"}
)  # fmt: skip
_WEBP_KEPT = frozenset({b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP", b"ANIM", b"ANMF"})


def picture_without_place(data: bytes, called: str = "the photo") -> bytes:
    """Return a photo without where it was taken; its pixels, which way up it is and when it was taken stay.

    Parameters
    ----------
    data
        Content of a JPEG, PNG or WebP file.
    called
        For messages.

    Raises
    ------
    InputError
        When it is another kind of file, or is damaged or cut off.
    """
    try:
        if data[:3] == b"\xff\xd8\xff":
            out = _jpeg(data)
        elif data[:8] == _PNG:
            out = _png(data)
        elif data[:4] == b"RIFF" and data[8:12] == b"WEBP":
            out = _webp(data)
        else:
            kind = _kind(data)
            raise InputError.one(called, kind, "a photo as JPEG, PNG or WebP is wanted", CURE)
    except (struct.error, ValueError, IndexError):
        raise _damaged(called) from None
    _opened(out, called).close()
    return out


def thumbnail(data: bytes, longest: int, called: str = "the photo") -> bytes:
    """Return a small JPEG of a photo, the right way up, without any notes.

    Parameters
    ----------
    data
        Of the photo.
    longest
        Pixels along its longer side; a photo that has fewer keeps them.
    called
        For messages.

    Raises
    ------
    InputError
        When it is no photo, or is damaged.
    """
    with _opened(data, called) as picture:
        upright = ImageOps.exif_transpose(picture)
        if "A" in upright.getbands() or "transparency" in upright.info:
            backed = Image.new("RGBA", upright.size, "white")
            backed.alpha_composite(upright.convert("RGBA"))
            upright = backed
        small = upright.convert("RGB")
    small.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    bare = Image.frombytes(small.mode, small.size, small.tobytes())  # a picture carries its comments along
    bare.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue()


def _opened(data: bytes, called: str) -> Image.Image:
    """Return a picture with all its pixels read."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            picture = Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP"))
            if picture.width * picture.height > PIXELS:
                raise Image.DecompressionBombError
            picture.load()
    except Image.DecompressionBombError:
        wanted = f"at most {PIXELS // 1_000_000} million pixels are wanted"
        raise InputError.one(called, "", wanted, "save it smaller") from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        raise _damaged(called) from None
    return picture


def _damaged(called: str) -> InputError:
    return InputError.one(called, "", "the picture is damaged or cut off", "copy it from the camera again")


def _kind(data: bytes) -> str:
    """Return what a file that is not taken seems to be."""
    if data[4:8] == b"ftyp":
        return "a photo or film as phones pack them (HEIC, AVIF, MP4)"
    if data[:4] in (b"II*\x00", b"MM\x00*"):
        return "TIFF or a raw photo"
    return "GIF" if data[:3] == b"GIF" else "PDF" if data[:4] == b"%PDF" else "no photo"


def _notes(old: bytes) -> bytes:
    """Return the notes that are kept, as they follow the mark of the notes; empty when there are none of them."""
    found = Image.Exif()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found.load(old)
            kept: dict[int, Any] = {tag: found[tag] for tag in found if tag in KEPT and _is_plain(found[tag])}
            camera = found.get_ifd(ExifTags.IFD.Exif)
            new = Image.Exif()
            new.update(kept)
            new.get_ifd(ExifTags.IFD.Exif).update(
                {tag: value for tag, value in camera.items() if tag in KEPT_OF_CAMERA and _is_plain(value)}
            )
            if not kept and not new.get_ifd(ExifTags.IFD.Exif):
                return b""
            return new.tobytes()[len(_EXIF) :]
    except _UNREADABLE:  # every maker writes notes in their own way: what cannot be read goes
        return b""


def _is_plain(value: object) -> bool:
    """Return whether a note is a number, a few numbers, or a short word: nothing to hide a place in."""
    if isinstance(value, str):
        return len(value) <= 64
    if isinstance(value, tuple):
        return len(value) <= 4 and all(isinstance(v, Rational | float) for v in value)
    return isinstance(value, Rational | float)


def _jpeg(data: bytes) -> bytes:
    """Return a JPEG without notes but those kept, comments, further pictures and what hangs on behind."""
    out = [b"\xff\xd8"]
    k = 2
    noted = False
    while True:
        while data[k] == 0xFF and data[k + 1] == 0xFF:  # fill
            k += 1
        if data[k] != 0xFF:
            raise ValueError("no marker")
        mark = data[k + 1]
        if mark == 0xD9:
            out.append(b"\xff\xd9")
            return b"".join(out)  # what follows is another picture, or a film
        if 0xD0 <= mark <= 0xD7 or mark == 0x01:
            out.append(data[k : k + 2])
            k += 2
            continue
        (size,) = struct.unpack(">H", data[k + 2 : k + 4])
        body = data[k + 4 : k + 2 + size]
        if len(body) != size - 2:
            raise ValueError("cut off")
        whole = data[k : k + 2 + size]
        k += 2 + size
        if mark == 0xE1 and body.startswith(_EXIF) and not noted:
            noted = True
            notes = _notes(body)
            if notes and len(notes) < 65_000:
                out.append(b"\xff\xe1" + struct.pack(">H", len(notes) + 8) + _EXIF + notes)
        elif mark == 0xDA:
            end = _scan_end(data, k)
            out.append(whole + data[k:end])
            k = end
        elif (not 0xE0 <= mark <= 0xEF and mark != 0xFE) or _is_needed(mark, body):
            out.append(whole)


def _is_needed(mark: int, body: bytes) -> bool:
    """Return whether the colours of a JPEG hang on one of its side tables."""
    return (
        (mark == 0xE0 and body.startswith(b"JFIF\x00"))
        or (mark == 0xE2 and body.startswith(b"ICC_PROFILE\x00"))
        or (mark == 0xEE and body.startswith(b"Adobe"))
    )


def _scan_end(data: bytes, k: int) -> int:
    """Return where packed pixels end that begin at k: at the first marker that is none of theirs."""
    while True:
        k = data.index(b"\xff", k)
        mark = data[k + 1]
        if mark == 0 or 0xD0 <= mark <= 0xD7:
            k += 2
        elif mark == 0xFF:
            k += 1
        else:
            return k


def _png(data: bytes) -> bytes:
    out = [_PNG]
    k = 8
    while True:
        (size,) = struct.unpack(">I", data[k : k + 4])
        kind, body = data[k + 4 : k + 8], data[k + 8 : k + 8 + size]
        (check,) = struct.unpack(">I", data[k + 8 + size : k + 12 + size])
        if zlib.crc32(kind + body) != check:
            raise ValueError("damaged")
        if kind == b"eXIf":
            body = _notes(_EXIF + body)
        if kind in _PNG_KEPT or (kind == b"eXIf" and body):
            out.append(struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)))
        if kind == b"IEND":
            return b"".join(out)
        k += 12 + size


def _webp(data: bytes) -> bytes:
    parts: list[tuple[bytes, bytes]] = []
    end = 8 + struct.unpack("<I", data[4:8])[0]
    if end > len(data):
        raise ValueError("cut off")
    k = 12
    while k < end:
        kind, (size,) = data[k : k + 4], struct.unpack("<I", data[k + 4 : k + 8])
        body = data[k + 8 : k + 8 + size]
        if len(body) != size:
            raise ValueError("cut off")
        if kind == b"EXIF":
            body = _notes(body if body.startswith(_EXIF) else _EXIF + body)
        if kind in _WEBP_KEPT or (kind == b"EXIF" and body):
            parts.append((kind, body))
        k += 8 + size + size % 2
    noted = any(kind == b"EXIF" for kind, _ in parts)
    out = b""
    for kind, body in parts:
        if kind == b"VP8X":  # says whether notes (8) and a text in XML (4) follow
            body = bytes([body[0] & ~0x0C | (0x08 if noted else 0)]) + body[1:]
        out += kind + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)
    return b"RIFF" + struct.pack("<I", len(out) + 4) + b"WEBP" + out
