"""Odd sheets of cloth with flaws, drawn from random numbers."""

from __future__ import annotations

import numpy as np
from benchmarks.offcuts import blob

from bagside.cutting import Sheet
from pieces import TWILL


def odd_sheet(random: np.random.Generator, name: str, *, gap: float, margin: float, flaws: int = 1) -> Sheet:
    """Return an odd sheet of 350 to 800 mm with flaws of 15 to 40 mm in it."""
    outline = blob(random, random.uniform(0.5, 0.8), random.uniform(0.35, 0.55), int(random.integers(6, 10)), 0.72)
    spots = [
        random.uniform(-0.15, 0.15, 2) + blob(random, *random.uniform(0.015, 0.04, 2), 5, 0.7) for _ in range(flaws)
    ]
    return Sheet(
        name=name, material=TWILL, outline=outline, flaws=tuple(spots), gap=gap, margin=margin, price=60.0, worth=0.5
    )
