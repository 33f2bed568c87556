"""Sixty pieces on one roll: the first answer, what more time brings, and how soon it stops.

The peer is a plain bottom-left layout with swaps of its order for as long, from `benchmarks.nest_open`; it does without
a gap and a margin, which is easier, so both are nested without them here. ``python -m benchmarks.nest SECONDS`` gives
more time. Limits: first answer within 1 s, stopped within 1 s of being told.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import Cloth, FlatPiece, NestProgress, nest_roll, verify
from benchmarks.nest_open import BottomLeft

SETS = (1, 2, 3)
SECONDS = 20.0
CLOTH = Cloth(material="twill", width=1.25, margin=0.010, gap=0.005)
AT = (0.2, 1.0, 5.0, 20.0, 60.0)
MANY = 34


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


def run(seconds: float = SECONDS) -> None:
    """Print one line for each set, one for stopping and one for many pieces."""
    for seed in SETS:
        heard: list[NestProgress] = []
        nest = nest_roll(pieces(seed), CLOTH, seconds=seconds, seeds=(1,), on_progress=heard.append)
        verify(nest)
        first = heard[0]
        used = []
        for limit in (*(t for t in AT if t < seconds), seconds):
            by_then = [h.utilisation for h in heard if h.seconds <= limit]
            used.append(f"{limit:g} s {100 * max(by_then):.1f}" if by_then else f"{limit:g} s nothing")
        print(
            f"set {seed}: first answer in {first.seconds:.2f} s (limit 1 s), {100 * first.utilisation:.1f} %; "
            f"then {', '.join(used)} %",
            flush=True,
        )
    plain = tuple(_on_a_metre(p) for p in pieces(SETS[0]))
    bare = nest_roll(plain, Cloth(material="twill", width=1.0), seconds=10.0, seeds=(1,))
    peer = BottomLeft(plain).density(10.0, 1)
    print(f"without gap, 10 s each: ours {100 * bare.utilisation:.1f} %, bottom-left {100 * peer:.1f} %", flush=True)
    told: list[float] = []

    def stop(now: NestProgress) -> bool:
        if now.seconds > 2.0 and not told:
            told.append(time.perf_counter())
        return not told

    nest_roll(pieces(SETS[0]), CLOTH, seconds=60, seeds=(1,), on_progress=stop)
    print(f"stopped {time.perf_counter() - told[0]:.2f} s after being told (limit 1 s)", flush=True)
    many = tuple(replace(p, quantity=MANY) for p in pieces(SETS[0]))
    seen: list[NestProgress] = []
    nest = nest_roll(many, CLOTH, seconds=10.0, seeds=(1,), on_progress=seen.append)
    verify(nest)
    print(
        f"{15 * MANY} pieces: first answer in {seen[0].seconds:.2f} s, {100 * seen[0].utilisation:.1f} %; "
        f"10 s {100 * nest.utilisation:.1f} %"
    )


def _on_a_metre(piece: FlatPiece) -> FlatPiece:
    return replace(piece, loops=tuple(loop / CLOTH.width for loop in piece.loops))


if __name__ == "__main__":
    run(*(float(s) for s in sys.argv[1:2]))
