"""Sixty pieces on one roll: the first answer, what more time brings, and how soon it stops.

The peer is our own first answer, a plain bottom-left layout of a few orders; each row says how much shorter the nest is
than that after so much time. Limits: first answer within 1 s, stopped within 1 s of being told.
"""

from __future__ import annotations

import time

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece, NestProgress, nest_roll, verify

SETS = (1, 2, 3)
SECONDS = 10
CLOTH = Cloth(material="twill", width=1.25, margin=0.010, gap=0.005)


def pieces(seed: int) -> tuple[FlatPiece, ...]:
    """Return fifteen star-shaped outlines of 60 to 520 mm, four copies of each."""
    random = np.random.default_rng(seed)
    out = []
    for index in range(15):
        corners = int(random.integers(4, 9))
        angle = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False) + 6.0 * random.random()
        radius = (0.45 + 0.55 * random.random(corners)) * random.uniform(0.06, 0.26)
        outline: NDArray[np.float64] = np.stack([1.3 * radius * np.cos(angle), radius * np.sin(angle)], axis=1)
        out.append(FlatPiece(label=str(index + 1), material="twill", loops=(outline,), quantity=4))
    return tuple(out)


def run() -> None:
    """Print one line for each set and one for stopping."""
    for seed in SETS:
        heard: list[NestProgress] = []
        nest = nest_roll(pieces(seed), CLOTH, seconds=SECONDS, seeds=(1,), on_progress=heard.append)
        verify(nest)
        first = heard[0]
        ratios = []
        for limit in (2.0, 5.0, float(SECONDS)):
            length = min((h.length for h in heard if h.seconds <= limit), default=first.length)
            ratios.append(f"{limit:.0f} s {length / first.length:.3f}")
        print(
            f"set {seed}: first answer in {first.seconds:.2f} s (limit 1 s), {100 * first.utilisation:.1f} % used; "
            f"length over the first: {', '.join(ratios)}; at the end {100 * nest.utilisation:.1f} % used"
        )
    told: list[float] = []

    def stop(now: NestProgress) -> bool:
        if now.seconds > 2.0 and not told:
            told.append(time.perf_counter())
        return not told

    nest_roll(pieces(SETS[0]), CLOTH, seconds=60, seeds=(1,), on_progress=stop)
    print(f"stopped {time.perf_counter() - told[0]:.2f} s after being told (limit 1 s)")
