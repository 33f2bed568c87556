"""The lens: from directions to pixels and back, and its small file.

One focal length for both axes, the principal point, two radial and two tangential terms: the plain camera model of
OpenCV. Pixel centres are whole numbers, the first pixel's centre is (0, 0).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
import tomlkit
from numpy.typing import NDArray
from tomlkit.exceptions import TOMLKitError

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

_SOLVED = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 60, 1e-12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """A camera's inner geometry.

    Parameters
    ----------
    width, height
        Of the picture [px].
    f
        Focal length [px].
    cx, cy
        Principal point [px].
    k1, k2
        Radial terms.
    p1, p2
        Tangential terms.
    turns
        Quarter turns anticlockwise by which the picture was turned upright from what the sensor saw.
    """

    width: int
    height: int
    f: float
    cx: float
    cy: float
    k1: float = 0.0
    k2: float = 0.0
    p1: float = 0.0
    p2: float = 0.0
    turns: int = 0

    @property
    def matrix(self) -> Floats:
        """The camera matrix, shape (3, 3) [px]."""
        return np.array([[self.f, 0.0, self.cx], [0.0, self.f, self.cy], [0.0, 0.0, 1.0]])

    @property
    def terms(self) -> Floats:
        """k1, k2, p1, p2 as OpenCV takes them, shape (4,)."""
        return np.array([self.k1, self.k2, self.p1, self.p2])

    def pixels(self, directions: Floats) -> Floats:
        """Return where directions are seen.

        Parameters
        ----------
        directions
            x/z and y/z in the camera's axes, x right, y down, z forward, shape (n, 2).

        Returns
        -------
        ndarray
            Shape (n, 2) [px].
        """
        x, y = np.asarray(directions, dtype=np.float64).reshape(-1, 2).T
        r2 = x * x + y * y
        radial = 1.0 + r2 * (self.k1 + r2 * self.k2)
        u = x * radial + 2.0 * self.p1 * x * y + self.p2 * (r2 + 2.0 * x * x)
        v = y * radial + self.p1 * (r2 + 2.0 * y * y) + 2.0 * self.p2 * x * y
        return np.column_stack([self.cx + self.f * u, self.cy + self.f * v])

    def directions(self, pixels: Floats) -> Floats:
        """Return the directions in which pixels look, the inverse of `pixels`.

        Parameters
        ----------
        pixels
            Shape (n, 2) [px].

        Returns
        -------
        ndarray
            x/z and y/z, shape (n, 2).
        """
        points = np.ascontiguousarray(pixels, dtype=np.float64).reshape(-1, 1, 2)
        if not len(points):
            return np.zeros((0, 2))
        found = cv2.undistortPoints(points, self.matrix, self.terms, None, None, None, _SOLVED)
        return np.asarray(found, dtype=np.float64).reshape(-1, 2)

    def seen_as(self, width: int, height: int, turns: int, place: str) -> Lens:
        """Return the lens for a picture that was turned or made smaller.

        Parameters
        ----------
        width, height
            Of that picture [px].
        turns
            Its quarter turns from the sensor.
        place
            Name of the picture, for messages.

        Raises
        ------
        InputError
            When the picture is a cut-out or comes from another sensor.
        """
        lens = self
        for _ in range((turns - self.turns) % 4):
            lens = lens._turned()
        scale = width / lens.width
        if abs(height / lens.height / scale - 1.0) > 2.0 / min(width, height):
            raise InputError.one(
                place,
                f"{width} × {height} pixels",
                f"the lens file was made from pictures of {lens.width} × {lens.height}",
                "take the photo with the same camera and zoom, do not crop it, or leave the lens file out",
            )
        if scale == 1.0:
            return lens
        # the picture's edge stays the edge: pixel centres are half a pixel inside it
        at = (scale * (lens.cx + 0.5) - 0.5, scale * (lens.cy + 0.5) - 0.5)
        return replace(lens, width=width, height=height, f=scale * lens.f, cx=at[0], cy=at[1])

    def _turned(self) -> Lens:
        """Return the lens of the picture turned a quarter anticlockwise."""
        return replace(
            self,
            width=self.height,
            height=self.width,
            cx=self.cy,
            cy=self.width - 1.0 - self.cx,
            p1=-self.p2,
            p2=self.p1,
            turns=(self.turns + 1) % 4,
        )


def lens_text(lens: Lens, *, note: str = "") -> str:
    """Return a lens as the text of its file.

    Parameters
    ----------
    lens
        The lens.
    note
        A comment for its first line, such as what it was made from.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment(note or "lens of a camera, from photos of a sheet with markers"))
    table = tomlkit.table()
    for name, unit in _FIELDS.items():
        value = getattr(lens, name)
        table[name + unit] = value if name in _WHOLE else round(value, 3 if unit else 8)
    document["lens"] = table
    return tomlkit.dumps(document)


_FIELDS = {
    "width": "_px",
    "height": "_px",
    "f": "_px",
    "cx": "_px",
    "cy": "_px",
    "k1": "",
    "k2": "",
    "p1": "",
    "p2": "",
    "turns": "",
}
_WHOLE = ("width", "height", "turns")


def read_lens(path: Path) -> Lens:
    """Return the lens kept in a file.

    Parameters
    ----------
    path
        A file as `lens_text` writes it.

    Raises
    ------
    InputError
        When there is no such file, or it holds no lens; names every number that is missing or wrong.
    """
    path = Path(path)
    again = "make it anew with bagside trace-lens"
    try:
        data = tomlkit.parse(path.read_text(encoding="utf-8")).unwrap().get("lens")
    except OSError as error:
        raise InputError.one(path.name, "", f"the file cannot be opened ({error.strerror})", "check its name") from None
    except (TOMLKitError, UnicodeDecodeError) as error:
        raise InputError.one(path.name, "", f"this is no lens file: {error}", again) from None
    if not isinstance(data, dict):
        raise InputError.one(path.name, "", "a table [lens] is wanted", again)
    values: dict[str, float] = {}
    problems = []
    for name, unit in _FIELDS.items():
        value = data.get(name + unit, 0 if name == "turns" else None)
        if (
            not isinstance(value, (int, float))
            or isinstance(value, bool)
            or not abs(value) < 1e6
            or (name in ("width", "height", "f") and not value > 0)
        ):
            place, came = f"{path.name}, lens, {name + unit}", "" if value is None else f"{value}"
            problems.append(Problem(place=place, came=came, wanted="a number is wanted", hint=again))
        else:
            values[name] = int(value) if name in _WHOLE else float(value)
    if problems:
        raise InputError(problems)
    return Lens(**values)  # type: ignore[arg-type]
