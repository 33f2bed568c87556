"""Make the demo's photo: an offcut in the window of a printed A3 sheet, as a phone would see it. Invented.

    python demo/make_photo.py demo/photos/offcut.jpg

The offcut, its crease and the lens are made up; the picture is drawn by the renderer that the tests measure against.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.camera.photos import cloth, render, strip

from bagside.camera.marks import frame

OUTLINE = np.array(
    [[-0.105, -0.058], [0.062, -0.064], [0.112, -0.018], [0.101, 0.058], [-0.024, 0.064], [-0.098, 0.031]]
)
ROUND = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)


def main() -> None:
    """Write the photo to the path given."""
    target = Path(sys.argv[1])
    sheet = frame("A3")
    middle = 0.5 * (sheet.window.min(axis=0) + sheet.window.max(axis=0))
    hole = np.stack([0.045 + 0.017 * np.cos(ROUND), 0.008 + 0.017 * np.sin(ROUND)], axis=1)
    arrow = strip(tuple(middle - np.array([0.07, 0.02])), tuple(middle - np.array([0.005, 0.005])))
    piece = cloth(OUTLINE + middle, [hole + middle], marks=[arrow])
    data, _ = render(sheet, [piece], tilt=np.radians(18.0), azimuth=0.7, shadow=0.35, jpeg=88, seed=4)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)


if __name__ == "__main__":
    main()
