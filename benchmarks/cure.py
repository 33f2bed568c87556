"""The cure of six sections against scipy's general solvers at measured error.

Every method computes the same equations and the same output times and is measured against one tight reference, which
is itself compared with another method: error is the larger of the difference of temperature [K] and a hundred times
that of the degree of cure. For each peer the setting is printed that is fastest at an error no larger than ours at the
tolerance of a plan; where none is, the most exact one tried is printed and marked.
"""

from __future__ import annotations

import bisect
import itertools
import math
import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bagside.cure import (
    Air,
    CureResin,
    HubertEtAl2001,
    Kamal,
    Kinetics,
    Layer,
    LeeLoosSpringer1982,
    Oven,
    Programme,
    Section,
    Segment,
    Vitrification,
    simulate,
)

Floats = NDArray[np.float64]
DEFAULT = 0.03
"""Tolerance a plan uses [K]."""

ZERO_C = 273.15
LAWS: dict[str, tuple[Kinetics, float, float]] = {
    "diffusion": (
        HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3),
        540e3,
        0.01,
    ),
    "two-branch": (
        LeeLoosSpringer1982(A1=2.101e9 / 60, A2=-2.014e9 / 60, A3=1.960e5 / 60, E1=8.07e4, E2=7.78e4, E3=5.66e4),
        473.6e3,
        0.0,
    ),
    "kamal": (
        Kamal(
            A1=2e4,
            E1=7.2e4,
            A2=1.2e6,
            E2=7.0e4,
            m=0.85,
            n=1.6,
            vitrification=Vitrification(tg0=265.0, tg1=428.0, tg_lambda=0.5),
        ),
        400e3,
        0.01,
    ),
}
TOOLS = {
    "aluminium": (0.010, 2700.0, 900.0, 160.0),
    "steel": (0.006, 7850.0, 470.0, 50.0),
    "composite": (0.008, 1550.0, 1000.0, 0.7),
    "board": (0.040, 750.0, 1100.0, 0.15),
}
PLACES = (
    (0.002, "composite"),
    (0.004, "aluminium"),
    (0.008, "steel"),
    (0.012, "composite"),
    (0.020, "aluminium"),
    (0.030, "board"),
)


def sections() -> list[Section]:
    """Return six places: laminate 2 to 30 mm on four kinds of tool, 40 cells each."""
    out = []
    for thickness, tool in PLACES:
        depth, density, capacity, conductivity = TOOLS[tool]
        out.append(
            Section(
                name=f"{thickness * 1e3:.0f} mm on {tool}",
                layers=(
                    Layer(name="breather", thickness=0.004, density=80, heat_capacity=1300, conductivity=0.06, cells=4),
                    Layer(
                        name="laminate",
                        thickness=thickness,
                        density=1581,
                        heat_capacity=1051,
                        conductivity=0.637,
                        resin=1300 * 0.426,
                        cells=24,
                    ),
                    Layer(
                        name="tool",
                        thickness=depth,
                        density=density,
                        heat_capacity=capacity,
                        conductivity=conductivity,
                        cells=12,
                    ),
                ),
                film_bag=25.0,
                film_tool=25.0,
            )
        )
    return out


def air() -> Air:
    """Return eight hours: two dwells and a cooling, through an oven that lags."""
    programme = Programme(
        start=20 + ZERO_C,
        segments=(
            Segment(target=110 + ZERO_C, ramp=2 / 60, hold=3600.0),
            Segment(target=180 + ZERO_C, ramp=2 / 60, hold=9000.0),
            Segment(target=50 + ZERO_C, ramp=1 / 60, hold=3600.0),
        ),
    )
    oven = Oven(hottest=500.0, heating=3 / 60, cooling=1 / 60, lag=240.0)
    return oven.air(programme)


def resin(law: str) -> CureResin:
    kinetics, heat, alpha0 = LAWS[law]
    return CureResin(
        kinetics=kinetics,
        heat=heat,
        density=1300,
        heat_capacity=1304,
        conductivity=0.212,
        tg0=266.0,
        tg1=523.0,
        tg_lambda=0.78,
        gel=0.47,
        alpha0=alpha0,
    )


class Peer:
    """The same equations for scipy: all sections in one state, temperature and degree of cure of each cell in turn."""

    def __init__(self, parts: list[Section], r: CureResin, course: Air) -> None:
        self.course, self.kinetics = course, r.kinetics
        self.mass = np.concatenate([s.capacities for s in parts])
        self.freed = r.heat * np.concatenate([s.resin for s in parts])
        self.up = np.concatenate([np.append(s.couplings, 0.0) for s in parts])[:-1]
        sizes = [len(s.widths) for s in parts]
        self.last = np.cumsum(sizes) - 1
        self.first = self.last - np.array(sizes) + 1
        faces = np.array([s.face_couplings for s in parts])
        self.bag, self.tool = faces[:, 0], faces[:, 1]
        self.live = self.freed > 0
        self.start = np.empty(2 * len(self.mass))
        self.start[0::2], self.start[1::2] = course.programme[0], np.where(self.live, r.alpha0, 0.0)
        self.corners = course.breaks[1:-1].tolist()
        self.pieces = list(
            zip(
                course.breaks[:-1].tolist(),
                course.reference[:-1].tolist(),
                course.slopes.tolist(),
                course.excess.tolist(),
                strict=True,
            )
        )

    def air(self, t: float) -> float:
        start, reference, slope, excess = self.pieces[bisect.bisect_right(self.corners, t)]
        since, lag = t - start, self.course.lag
        return reference + slope * (since - lag) + excess * math.exp(-since / lag)

    def __call__(self, t: float, y: Floats) -> Floats:
        temperature, alpha = y[0::2], y[1::2]
        out = np.zeros_like(y)
        with np.errstate(invalid="ignore"):
            rate = self.kinetics.rate(np.maximum(alpha[self.live], 0.0), temperature[self.live])
        heat = np.zeros_like(temperature)
        flow = self.up * np.diff(temperature)
        heat[:-1] += flow
        heat[1:] -= flow
        now = self.air(t)
        heat[self.first] += self.bag * (now - temperature[self.first])
        heat[self.last] += self.tool * (now - temperature[self.last])
        heat[self.live] += self.freed[self.live] * rate
        out[0::2] = heat / self.mass
        out[1::2][self.live] = rate
        return out

    def run(self, times: Floats, method: str, rtol: float, *, restart: bool) -> Floats:
        banded = {"lband": 2, "uband": 2} if method == "LSODA" else {}
        atol = np.empty_like(self.start)
        atol[0::2], atol[1::2] = rtol * 100.0, rtol
        stops = self.course.breaks if restart else self.course.breaks[[0, -1]]
        y, pieces = self.start, [self.start[:, None]]
        for a, b in itertools.pairwise(stops):
            inside = times[(times > a) & (times <= b)]
            got = solve_ivp(self, (a, b), y, method=method, t_eval=inside, rtol=rtol, atol=atol, **banded)
            if not got.success:
                raise RuntimeError(got.message)
            y = got.y[:, -1]
            pieces.append(got.y)
        return np.concatenate(pieces, axis=1)


def clock(work: Callable[[], object], repeat: int = 3) -> tuple[float, object]:
    """Return the best of some runs [s] and the last result."""
    best, result = math.inf, None
    for _ in range(repeat):
        begun = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - begun)
    return best, result


def run() -> None:
    """Print times, errors and ratios."""
    parts, course = sections(), air()
    hours = course.end / 3600
    cells = len(parts[0].widths)
    print(f"six sections, {cells} cells each, {hours:.1f} h, output each minute; error: max of dT [K], 100 d(alpha)")
    for law in LAWS:
        r = resin(law)
        reference = simulate(parts, r, course, tolerance=2e-5, max_steps=1_000_000)
        times = reference[0].time
        exact_t = np.concatenate([h.temperature for h in reference], axis=1)
        exact_a = np.concatenate([h.alpha for h in reference], axis=1)
        live = np.concatenate([s.resin > 0 for s in parts])
        peer = Peer(parts, r, course)
        check = peer.run(times, "LSODA", 1e-9, restart=True)

        def wrong(t: Floats, a: Floats, exact_t: Floats = exact_t, exact_a: Floats = exact_a) -> float:
            return max(float(np.abs(t - exact_t).max()), 100 * float(np.abs(a - exact_a).max()))

        print(
            f"\n{law}: the reference differs from banded LSODA at 1e-9 by "
            f"{wrong(check[0::2].T, check[1::2][live].T):.1e}"
        )
        print(f"  {'method':28}{'setting':>9}{'error':>10}{'ms':>9}{'ratio':>8}")
        ours = []
        for tolerance in (1.0, 0.3, 0.1, 0.03, 0.01):
            took, got = clock(lambda t=tolerance, r=r: simulate(parts, r, course, tolerance=t))  # type: ignore[misc]
            error = wrong(
                np.concatenate([h.temperature for h in got], axis=1), np.concatenate([h.alpha for h in got], axis=1)
            )
            ours.append((tolerance, error, took))
            print(f"  {'here':28}{tolerance:9.2g}{error:10.2g}{took * 1e3:9.1f}")
        target, base = next((e, s) for t, e, s in ours if t == DEFAULT)
        for name, method, restart, settings in (
            ("LSODA banded, at breaks", "LSODA", True, (1e-3, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6)),
            ("BDF as it comes", "BDF", False, (1e-3, 1e-4, 1e-5)),
        ):
            tried = []
            for rtol in settings:
                took, y = clock(
                    lambda p=peer, t=times, m=method, q=rtol, b=restart: p.run(t, m, q, restart=b),  # type: ignore[misc]
                    2 if method == "LSODA" else 1,
                )
                tried.append((rtol, wrong(y[0::2].T, y[1::2][live].T), took))
            equal = [x for x in tried if x[1] <= target]
            rtol, error, took = min(equal, key=lambda x: x[2]) if equal else min(tried, key=lambda x: x[1])
            mark = "" if equal else "  (not as exact)"
            print(f"  {name:28}{rtol:9.0e}{error:10.2g}{took * 1e3:9.1f}{took / base:8.1f}{mark}")
    scenarios(parts, course)


def scenarios(parts: list[Section], course: Air) -> None:
    """Print a thousand lanes in one call against one banded LSODA call per section."""
    r = resin("diffusion")
    many = [parts[i % len(parts)] for i in range(1000)]
    took, _ = clock(lambda: simulate(many, r, course, tolerance=0.1, output_interval=300.0), 1)
    alone = 0.0
    for s in parts:
        peer = Peer([s], r, course)
        times = np.arange(0.0, course.end, 300.0)
        alone += clock(lambda p=peer, t=times: p.run(t, "LSODA", 3e-5, restart=True), 1)[0]  # type: ignore[misc]
    mean = alone / len(parts)
    print(
        f"\n1000 sections of 40 cells: {took:.2f} s in one call; one banded LSODA call takes {mean * 1e3:.0f} ms, "
        f"so a thousand {1000 * mean / took:.0f} times as long (extrapolated from {len(parts)})"
    )


if __name__ == "__main__":
    run()
