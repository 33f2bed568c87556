"""Photo files: the way up they were held, what they state, and broken ones refused in one sentence."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from bagside.camera.readers import as_sensed, light, read_photo
from bagside.errors import InputError


def picture(width: int = 640, height: int = 480) -> Image.Image:
    """Return a dark picture with a white upper left corner."""
    values = np.full((height, width, 3), 60, dtype=np.uint8)
    values[: height // 4, : width // 4] = 250
    return Image.fromarray(values)


def saved(path, image: Image.Image, *, orientation: int = 1, focal: int | None = None, **options):
    exif = Image.Exif()
    exif[0x0112] = orientation
    if focal is not None:
        exif.get_ifd(0x8769)[0xA405] = focal
    image.save(path, exif=exif, **options)
    return path


@pytest.mark.parametrize(
    ("orientation", "turns", "corner"), [(1, 0, (0, 0)), (6, 3, (0, -1)), (3, 2, (-1, -1)), (8, 1, (-1, 0))]
)
def test_the_way_up_it_was_held(tmp_path, orientation, turns, corner) -> None:
    photo = read_photo(saved(tmp_path / "a.jpg", picture(), orientation=orientation))
    assert photo.turns == turns
    assert photo.grey[corner] > 200  # where the white corner is looked at
    assert photo.grey.mean() < 90
    assert photo.grey.shape == ((640, 480) if turns % 2 else (480, 640))
    assert as_sensed(photo).shape == (480, 640)
    assert as_sensed(photo)[0, 0] > 200


@pytest.mark.parametrize(("suffix", "options"), [("png", {}), ("tif", {}), ("webp", {"lossless": True})])
def test_other_kinds(tmp_path, suffix, options) -> None:
    photo = read_photo(saved(tmp_path / f"a.{suffix}", picture(), **options))
    assert photo.colour.shape == (480, 640, 3)
    assert photo.grey[0, 0] == 250


def test_focal_length_by_the_diagonal(tmp_path) -> None:
    """Closed form: the 35 mm equivalent goes by the diagonal, 43.27 mm of 36 × 24 (CIPA DCG-001)."""
    photo = read_photo(saved(tmp_path / "a.jpg", picture(), focal=26))
    assert photo.focal_hint == pytest.approx(26 * 800 / np.hypot(36, 24), rel=1e-4)
    assert read_photo(saved(tmp_path / "b.jpg", picture())).focal_hint is None
    assert read_photo(saved(tmp_path / "c.jpg", picture(), focal=0)).focal_hint is None


def test_sixteen_bits_and_transparency(tmp_path) -> None:
    deep = Image.fromarray(np.full((480, 640), 40000, dtype=np.uint16))
    deep.save(tmp_path / "deep.png")
    assert read_photo(tmp_path / "deep.png").grey[5, 5] == pytest.approx(40000 / 257, abs=1)
    clear = Image.new("RGBA", (640, 480), (0, 0, 0, 0))
    clear.save(tmp_path / "clear.png")
    assert read_photo(tmp_path / "clear.png").grey.min() == 255


def test_light_is_the_srgb_curve() -> None:
    """Values of IEC 61966-2-1: linear below 0.04045, 0.2140 at half."""
    assert light(np.array([0, 10, 255], dtype=np.uint8)) == pytest.approx([0.0, 10 / 255 / 12.92, 1.0], rel=1e-6)
    assert light(np.array([188], dtype=np.uint8))[0] == pytest.approx(0.5029, abs=1e-4)


def test_files_that_are_no_photos(tmp_path) -> None:
    with pytest.raises(InputError) as refused:
        read_photo(tmp_path / "none.jpg")
    assert str(refused.value) == "none.jpg – there is no such file; check the name and the folder"
    (tmp_path / "words.jpg").write_text("not a picture")
    with pytest.raises(InputError, match=r"words\.jpg – this is no picture that can be read \(a JPEG, PNG or TIFF"):
        read_photo(tmp_path / "words.jpg")
    (tmp_path / "phone.heic").write_bytes(b"\0\0\0\x18ftypheic")
    with pytest.raises(InputError, match=r"save or send it as JPEG; phones have a setting for it"):
        read_photo(tmp_path / "phone.heic")
    (tmp_path / "raw.dng").write_bytes(b"nothing")
    with pytest.raises(InputError, match="export it as JPEG or TIFF at full size"):
        read_photo(tmp_path / "raw.dng")
    (tmp_path / "empty.png").write_bytes(b"")
    with pytest.raises(InputError, match="no picture"):
        read_photo(tmp_path / "empty.png")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_a_file_cut_off_while_it_was_copied(tmp_path, kind) -> None:
    noise = Image.fromarray(np.random.default_rng(0).integers(0, 255, (480, 640, 3), dtype=np.uint8))
    whole = io.BytesIO()
    noise.save(whole, kind)
    path = tmp_path / f"cut.{kind.lower()}"
    for share in (0.02, 0.5, 0.9):
        path.write_bytes(whole.getvalue()[: int(share * len(whole.getvalue()))])
        with pytest.raises(InputError) as refused:
            read_photo(path)
        assert refused.value.problems[0].place == path.name


def test_a_preview_is_too_small(tmp_path) -> None:
    with pytest.raises(InputError, match=r"320 × 240 pixels – at least 400 pixels each way are wanted"):
        read_photo(saved(tmp_path / "a.jpg", picture(320, 240)))
