"""DSC curves of an invented resin: ``python demo/make_dsc.py demo/benches``.

Three ramps and a hold of an epoxy that nobody sells, with noise, a drifting baseline and its step; each file is written
as another instrument would. The same files come out every time.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bagside.cure import Kamal, Vitrification

Floats = NDArray[np.float64]

LAW = Kamal(
    A1=2.2e6,
    E1=7.8e4,
    A2=1.6e8,
    E2=7.8e4,
    m=0.8,
    n=1.5,
    vitrification=Vitrification(tg0=268.15, tg1=395.15, tg_lambda=0.47, offset=-6.0),
)
HEAT, START, ZERO_C = 400.0, 0.01, 273.15  # [J/g], degree of cure, [K]


def curve(corners: Floats, celsius: Floats, seed: int) -> tuple[Floats, Floats, Floats]:
    """Return time [s], temperature [°C] and heat given off [W/g], as an instrument would see them."""
    time = np.linspace(0.0, corners[-1], 420)
    heats = np.interp(time, corners, celsius)
    got = solve_ivp(
        lambda t, y: LAW.rate(y, np.interp(t, corners, celsius) + ZERO_C),
        (0.0, corners[-1]),
        [START],
        method="LSODA",
        rtol=1e-8,
        atol=1e-10,
        max_step=20.0,
        t_eval=time,
    )
    alpha = got.y[0]
    flow = HEAT * LAW.rate(alpha, heats + ZERO_C) / (1.0 - START)
    flow += 0.04 - 0.012 * alpha + 0.00015 * (heats - 25.0) + 0.002 * np.random.default_rng(seed).standard_normal(420)
    return time, heats, flow


def main(folder: Path) -> None:
    """Write the files."""
    for seed, rate in enumerate((2.0, 5.0, 10.0), 1):
        time, heats, flow = curve(np.array([0.0, 16200.0 / rate]), np.array([-10.0, 260.0]), seed)
        if rate == 5.0:  # milliwatts, decimal commas, heat given off points down
            head = "Invented resin, no product\nSample mass: 8,40 mg\nexo down\nTime/min;Temp./°C;DSC/mW\n"
            lines = [
                f"{t / 60:.3f};{c:.2f};{-8.4 * q:.4f}".replace(".", ",")
                for t, c, q in zip(time, heats, flow, strict=True)
            ]
        else:
            head = "Invented resin, no product\nexo up\nTime (s),Temperature (°C),Heat Flow (W/g)\n"
            lines = [f"{t:.1f},{c:.2f},{q:.5f}" for t, c, q in zip(time, heats, flow, strict=True)]
        (folder / f"dsc-ramp-{rate:.0f}.csv").write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    time, heats, flow = curve(np.array([0.0, 120.0, 9120.0]), np.array([25.0, 100.0, 100.0]), 4)
    head = "Invented resin, no product; exo up\nTime\tSample temperature\tHeat flow\n[min]\t[°C]\t[mW/mg]\n"
    lines = [f"{t / 60:.3f}\t{c:.2f}\t{q:.5f}" for t, c, q in zip(time, heats, flow, strict=True)]
    (folder / "dsc-hold-100.csv").write_text(head + "\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
