"""Photos keep their pixels and lose their place; checked against Pillow, which reads and writes pictures by itself."""

from __future__ import annotations

import io
import struct
import warnings
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image
from PIL.PngImagePlugin import PngInfo

from bagside.errors import InputError
from bagside.records.photos import picture_without_place, thumbnail

SECRET = b"Skerry Slip 7"  # a place's name that must be nowhere
LATITUDE = (54.0, 47.0, 12.3456)
XMP = b"http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>" + SECRET + b"<exif:GPSLatitude>54,47.2N</exif:GPSLatitude>"


def pixels() -> np.ndarray:
    rng = np.random.default_rng(7)
    y, x = np.mgrid[0:90, 0:120]
    picture = np.stack([2 * x, 2 * y, x + y], axis=-1) + rng.integers(0, 20, (90, 120, 3))
    return picture.clip(0, 255).astype(np.uint8)


def notes() -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    exif[ExifTags.Base.Make] = "Camera works"
    exif[ExifTags.Base.DateTime] = "2026:03:02 14:05:09"
    exif[ExifTags.Base.ImageDescription] = SECRET.decode()
    camera = exif.get_ifd(ExifTags.IFD.Exif)
    camera[ExifTags.Base.DateTimeOriginal] = "2026:03:02 14:05:08"
    camera[ExifTags.Base.OffsetTimeOriginal] = "+01:00"
    camera[ExifTags.Base.FocalLength] = 5.4
    camera[ExifTags.Base.MakerNote] = b"maker " + SECRET
    camera[ExifTags.Base.UserComment] = b"ASCII\x00\x00\x00" + SECRET
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = LATITUDE
    place[ExifTags.GPS.GPSLongitudeRef] = "E"
    place[ExifTags.GPS.GPSLongitude] = (9.0, 56.0, 3.21)
    place[ExifTags.GPS.GPSProcessingMethod] = SECRET
    return exif


def segment(mark: int, body: bytes) -> bytes:
    return bytes([0xFF, mark]) + struct.pack(">H", len(body) + 2) + body


def jpeg(progressive: bool = False, **more: object) -> bytes:
    """Return a JPEG as phones write them: notes with a place, XML, a press block, makers' blocks, a second picture."""
    out = io.BytesIO()
    profile = b"profile " * 20
    Image.fromarray(pixels()).save(
        out, "JPEG", quality=88, exif=notes(), icc_profile=profile, progressive=progressive, comment=SECRET, **more
    )  # type: ignore[arg-type]
    data = out.getvalue()
    extra = segment(0xE1, XMP) + segment(0xED, b"Photoshop 3.0\x00" + SECRET) + segment(0xE2, b"MPF\x00" + SECRET)
    extra += segment(0xE7, SECRET)
    second = io.BytesIO()
    Image.fromarray(pixels()[::4, ::4].copy()).save(second, "JPEG", exif=notes())
    return data[:2] + extra + data[2:] + second.getvalue() + b"ftypmp42" + SECRET


def read(data: bytes) -> Image.Image:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a further picture that is none
        picture = Image.open(io.BytesIO(data))
        picture.load()
    return picture


def traces(data: bytes) -> list[str]:
    """Return what of the place is left in a file."""
    found = ["name"] if SECRET in data else []
    exif = read(data).getexif()
    found += ["table"] if ExifTags.IFD.GPSInfo in exif or dict(exif.get_ifd(ExifTags.IFD.GPSInfo)) else []
    longitude = [struct.pack(f"{order}4I", 9, 1, 56, 1) for order in "<>"]
    found += ["longitude"] if any(packed in data for packed in longitude) else []
    found += ["XML"] if b"xmpmeta" in data or b"GPSLatitude" in data else []
    return found


def kept(data: bytes) -> None:
    exif = read(data).getexif()
    assert exif[ExifTags.Base.Orientation] == 6
    assert exif[ExifTags.Base.DateTime] == "2026:03:02 14:05:09"
    camera = exif.get_ifd(ExifTags.IFD.Exif)
    assert camera[ExifTags.Base.DateTimeOriginal] == "2026:03:02 14:05:08"
    assert camera[ExifTags.Base.OffsetTimeOriginal] == "+01:00"
    assert float(camera[ExifTags.Base.FocalLength]) == pytest.approx(5.4)
    assert ExifTags.Base.MakerNote not in camera
    assert ExifTags.Base.UserComment not in camera
    assert ExifTags.Base.ImageDescription not in exif


@pytest.mark.parametrize("more", [{}, {"progressive": True}, {"subsampling": 0, "restart_marker_blocks": 4}])
def test_a_jpeg_keeps_its_packed_pixels_and_loses_its_place(more: dict[str, object]) -> None:
    data = jpeg(**more)  # type: ignore[arg-type]
    assert set(traces(data)) >= {"name", "table", "XML", "longitude"}  # it was there
    out = picture_without_place(data, "rim.jpg")
    assert traces(out) == []
    kept(out)
    assert np.array_equal(np.asarray(read(out)), np.asarray(read(data)))
    start = data.index(b"\xff\xdb")  # tables and packed pixels, byte for byte
    packed = data[start : data.index(b"\xff\xd9", data.index(b"\xff\xda")) + 2]
    assert out.endswith(packed[packed.index(b"\xff\xda") :])
    assert read(out).info["icc_profile"] == b"profile " * 20
    assert "comment" not in read(out).info


def test_what_is_clean_stays_as_it_is() -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "JPEG", quality=90)
    assert picture_without_place(out.getvalue()) == out.getvalue()
    once = picture_without_place(jpeg())
    assert picture_without_place(once) == once


def test_a_cmyk_jpeg_keeps_the_mark_its_colours_hang_on() -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()).convert("CMYK").save(out, "JPEG", exif=notes())
    clean = picture_without_place(out.getvalue())
    assert np.array_equal(np.asarray(read(clean)), np.asarray(read(out.getvalue())))
    assert b"Adobe" in clean


def test_a_png_keeps_its_pixels_and_loses_its_place() -> None:
    words = PngInfo()
    words.add_text("Location", SECRET.decode())
    words.add_itxt("XML:com.adobe.xmp", XMP.decode("latin-1"), zip=False)
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "PNG", exif=notes(), pnginfo=words, dpi=(300, 300))
    data = out.getvalue() + SECRET
    assert SECRET in data
    clean = picture_without_place(data)
    assert traces(clean) == []
    kept(clean)
    assert np.array_equal(np.asarray(read(clean)), pixels())
    assert read(clean).info["dpi"] == pytest.approx((300, 300), abs=0.1)


@pytest.mark.parametrize("lossless", [True, False])
def test_a_webp_keeps_its_pixels_and_loses_its_place(lossless: bool) -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "WEBP", exif=notes(), xmp=XMP, lossless=lossless, icc_profile=b"p" * 41)
    data = out.getvalue()
    assert SECRET in data
    clean = picture_without_place(data)
    assert traces(clean) == []
    kept(clean)
    assert np.array_equal(np.asarray(read(clean)), np.asarray(read(data)))
    bare = io.BytesIO()
    Image.fromarray(pixels()).save(bare, "WEBP", lossless=lossless)
    assert picture_without_place(bare.getvalue()) == bare.getvalue()


def test_notes_that_cannot_be_read_go_and_the_picture_stays() -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "JPEG", quality=90)
    plain = out.getvalue()
    broken = plain[:2] + segment(0xE1, b"Exif\x00\x00MM\x00*\xff\xff\xff\xff" + SECRET) + plain[2:]
    assert picture_without_place(broken) == plain


@given(st.binary(max_size=300))
def test_notes_of_any_kind_leave_no_place(junk: bytes) -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()[:16, :16].copy()).save(out, "JPEG")
    plain = out.getvalue()
    data = plain[:2] + segment(0xE1, b"Exif\x00\x00" + junk) + plain[2:]
    clean = picture_without_place(data)
    assert traces(clean) == []
    assert np.array_equal(np.asarray(read(clean)), np.asarray(read(plain)))


def test_a_long_word_is_no_make() -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "x" * 50 + SECRET.decode() + "y" * 50
    exif[ExifTags.Base.Orientation] = 8
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "JPEG", exif=exif)
    clean = picture_without_place(out.getvalue())
    assert SECRET not in clean
    assert read(clean).getexif()[ExifTags.Base.Orientation] == 8


CURE = " (set the camera to JPEG (often called most compatible), or save the photo as JPEG, PNG or WebP)"


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (
            b"\x00\x00\x00\x18ftypheic" + b"\x00" * 40,
            "rim.jpg: a photo or film as phones pack them (HEIC, AVIF, MP4) – a photo as JPEG, PNG or WebP is wanted"
            + CURE,
        ),
        (b"II*\x00" + b"\x00" * 40, "rim.jpg: TIFF or a raw photo – a photo as JPEG, PNG or WebP is wanted" + CURE),
        (b"hello", "rim.jpg: no photo – a photo as JPEG, PNG or WebP is wanted" + CURE),
        (b"", "rim.jpg: no photo – a photo as JPEG, PNG or WebP is wanted" + CURE),
        (b"\xff\xd8\xff", "rim.jpg – the picture is damaged or cut off (copy it from the camera again)"),
    ],
)
def test_what_is_no_photo_is_refused_with_the_cure(data: bytes, sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        picture_without_place(data, "rim.jpg")
    assert str(caught.value) == sentence


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.95])
def test_a_photo_that_is_cut_off_is_refused(share: float) -> None:
    buffers = []
    for form in ("JPEG", "PNG", "WEBP"):
        out = io.BytesIO()
        Image.fromarray(pixels()).save(out, form)
        buffers.append(out.getvalue())
    for data in buffers:
        with pytest.raises(InputError, match=r"damaged or cut off|no photo"):
            picture_without_place(data[: int(share * len(data))])


def test_a_png_with_a_wrong_bit_is_refused() -> None:
    out = io.BytesIO()
    Image.fromarray(pixels()).save(out, "PNG")
    data = bytearray(out.getvalue())
    data[len(data) // 2] ^= 1
    with pytest.raises(InputError, match="damaged or cut off"):
        picture_without_place(bytes(data))


def test_a_picture_that_would_fill_the_memory_is_refused() -> None:
    for side in (13_000, 60_000):
        refused_for_its_size(side)


def refused_for_its_size(side: int) -> None:
    head = struct.pack(">2I5B", side, side, 8, 2, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n"
    for kind, body in ((b"IHDR", head), (b"IDAT", zlib.compress(b"\x00" * 100)), (b"IEND", b"")):
        data += struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    with pytest.raises(InputError, match="at most 150 million pixels are wanted"):
        picture_without_place(data)


def test_a_thumbnail_is_small_upright_and_bare() -> None:
    small = thumbnail(jpeg(), 60)
    picture = read(small)
    assert picture.size == (45, 60)  # 120 × 90, turned by a quarter
    assert SECRET not in small
    assert not dict(picture.getexif())
    # turned clockwise: what was the bottom left corner is the top left one
    upright = np.asarray(Image.fromarray(pixels()).transpose(Image.Transpose.ROTATE_270).resize((45, 60))).astype(int)
    assert np.abs(np.asarray(picture).astype(int) - upright).mean() < 6
    assert read(thumbnail(jpeg(), 4000)).size == (90, 120)
    glass = io.BytesIO()
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(glass, "PNG")
    assert np.asarray(read(thumbnail(glass.getvalue(), 10))).min() > 250
    with pytest.raises(InputError, match="damaged or cut off"):
        thumbnail(b"no photo", 100)
