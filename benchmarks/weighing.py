"""What masses mean: chances told against millions of parts made up piece by piece, and what each scale can show.

The peer makes up parts with faults as often as they happen, keeps those that weigh nearly what was weighed, and counts
what was wrong with them. It knows no formula; it is slow, and blunt where parts are rare.
"""

from __future__ import annotations

import time

import numpy as np
from numpy.typing import NDArray

from bagside.laminate import Faults, Masses, WeighedPlan, WeighedPly, Weighing, masses_read

Floats = NDArray[np.float64]
FAULTS = Faults(unlaid=0.0, roll=0.0, reading=0.0, trim=0.0, bare=0.0)
CLOTHS = {"twill-200": 0.345, "twill-400": 0.645}
LAID = ("twill-200", "twill-400", "twill-400", "twill-200")
AREA, PIECES, SCATTER, RESIN = 0.6, 2, 0.02, 0.47
PARTS, WITHIN = 4_000_000, 0.006
KINDS = ("nothing", "missing", "extra", "exchanged", "film", "resin")
CASES = {"on plan": 0.0, "30 g over": 0.030, "45 g under": -0.045, "180 g under": -0.180, "190 g over": 0.190}


def plan(scatter: float = SCATTER, film: float = 0.07) -> WeighedPlan:
    plies = tuple(
        WeighedPly(
            number=k, material=m, area=AREA, mass=AREA * CLOTHS[m], scatter=scatter, pieces=PIECES, films=2 * PIECES,
            film_mass=2 * AREA * film,
        )
        for k, m in enumerate(LAID, 1)
    )  # fmt: skip
    return WeighedPlan(plies=plies, resin=RESIN)


def made_up(rng: np.random.Generator, count: int) -> tuple[NDArray[np.int64], Floats]:
    """Return what was wrong with each of many parts, by its place in `KINDS`, and what the scale showed."""
    film = 1.0 - (1.0 - FAULTS.film) ** (2 * PIECES)
    rates = [FAULTS.missing] * 4 + [FAULTS.extra] * 4 + [FAULTS.exchanged] * 4 + [film] * 4 + [FAULTS.resin]
    rates[:4] = [FAULTS.missing + FAULTS.unlaid] * 4
    odds = np.array([1.0, *(p / (1.0 - p) for p in rates)])
    drawn = rng.choice(odds.size, count, p=odds / odds.sum())
    kind = np.where(drawn == 0, 0, (drawn - 1) // 4 + 1)
    ply = np.where(drawn > 0, (drawn - 1) % 4, -1)
    rolls = {m: 1 + SCATTER * np.sqrt(FAULTS.common) * rng.standard_normal(count) for m in CLOTHS}
    own = SCATTER * np.sqrt((1 - FAULTS.common) / PIECES)
    mass = np.zeros(count)
    for k, material in enumerate(LAID):
        other = next(m for m in CLOTHS if m != material)
        laid = AREA * CLOTHS[material] * (rolls[material] + own * rng.standard_normal(count))
        instead = AREA * CLOTHS[other] * (rolls[other] + own * rng.standard_normal(count))
        twice = AREA * CLOTHS[material] * (rolls[material] + own * rng.standard_normal(count))
        here = ply == k
        mass += np.where(here & (kind == 1), 0.0, np.where(here & (kind == 3), instead, laid))
        mass += np.where(here & (kind == 2), twice, 0.0)
        mass += np.where(here & (kind == 4), AREA * 0.07 / PIECES, 0.0)
    mass -= np.where(kind == 5, RESIN * FAULTS.resin_share * np.abs(rng.standard_normal(count)), 0.0)
    return kind, mass + 0.001 * rng.standard_normal(count)


def chance(read: Masses, key: str) -> float:
    return sum(c.chance for c in read.candidates if c.key == key)


def run() -> None:
    raw = plan().mean("raw") or 0.0
    begin = time.perf_counter()
    kind, mass = made_up(np.random.default_rng(7), PARTS)
    peer = time.perf_counter() - begin
    begin = time.perf_counter()
    for off in CASES.values():
        masses_read(plan(), [Weighing(stage="raw", mass=raw + off, sigma=0.001)], FAULTS)
    ours = (time.perf_counter() - begin) / len(CASES)
    print(f"one reading {1e3 * ours:.1f} ms; {PARTS:,} parts made up {peer:.1f} s: {peer / ours:.0f} times as long")
    print(f"{'':14}" + "".join(f"{k:>19}" for k in KINDS) + "      told | counted, in %")
    worst = 0.0
    for name, off in CASES.items():
        near = np.abs(mass - raw - off) < WITHIN
        # told for the same window: the mean over it, each mass as often as it is seen
        grid = raw + off + np.linspace(-WITHIN, WITHIN, 41)
        often, _ = np.histogram(mass[near], bins=np.append(grid - WITHIN / 40, grid[-1] + WITHIN / 40))
        reads = [masses_read(plan(), [Weighing(stage="raw", mass=m, sigma=0.001)], FAULTS) for m in grid]
        line = f"{name:14}"
        for place, key in enumerate(KINDS):
            told = float(np.average([chance(r, key) for r in reads], weights=often))
            counted = float(np.mean(kind[near] == place))
            line += f"{100 * told:9.1f} |{100 * counted:7.1f} "
            sigma = max(np.sqrt(told * (1 - told) / near.sum()), 0.5 / near.sum())
            worst = max(worst, abs(told - counted) / sigma)
        print(f"{line}  of {near.sum():,}")
    print(f"the furthest is {worst:.1f} standard errors of the count off, of {len(KINDS) * len(CASES)}")
    print("what a raw mass can show (two sigmas), by scatter of the cloth and error of the scale:")
    for scatter in (0.005, 0.01, 0.02, 0.03):
        for scale in (0.0005, 0.005, 0.02):
            read = masses_read(plan(scatter), [Weighing(stage="raw", mass=raw, sigma=scale)])
            hidden = {c.key for c in read.unseen}
            shown = [w for w, key in (("a ply", "missing"), ("a film", "film")) if key not in hidden]
            print(f"  {100 * scatter:3.1f} %, ±{1e3 * scale:4.1f} g: {' and '.join(shown) or 'neither'}")


if __name__ == "__main__":
    run()
