"""Plies and stacks that several laminate tests share; constants as printed in the sources named there."""

from __future__ import annotations

import numpy as np

from bagside.laminate import LaidPly, Lamina, Laminate, laminate_of

T300 = Lamina(
    E1=181e9, E2=10.3e9, G12=7.17e9, nu12=0.28, alpha1=0.02e-6, alpha2=22.5e-6,
    XT=1500e6, XC=1500e6, YT=40e6, YC=246e6, S=68e6,
)  # fmt: skip
AS4 = Lamina(
    E1=126e9, E2=11e9, G12=6.6e9, nu12=0.28, alpha1=-1e-6, alpha2=26e-6,
    XT=1950e6, XC=1480e6, YT=48e6, YC=200e6, S=79e6,
)  # fmt: skip
HYER = Lamina(E1=155e9, E2=12.1e9, G12=4.4e9, nu12=0.248, alpha1=-0.018e-6, alpha2=24.3e-6)
CLOTH = Lamina(
    E1=60e9, E2=60e9, G12=4.5e9, nu12=0.05, alpha1=2.5e-6, alpha2=2.5e-6,
    XT=700e6, XC=500e6, YT=700e6, YC=500e6, S=90e6,
)  # fmt: skip


def stack(
    lamina: Lamina, degrees: list[float], thickness: float | list[float], *, woven: bool = False, shear: float = 0.0
) -> Laminate:
    each = thickness if isinstance(thickness, list) else [thickness] * len(degrees)
    return laminate_of(
        [
            LaidPly(
                name=str(k + 1), lamina=lamina, thickness=t, angle=float(np.radians(a)), woven=woven,
                shear=shear, areal_weight=1550.0 * t,
            )
            for k, (a, t) in enumerate(zip(degrees, each, strict=True))
        ]
    )  # fmt: skip
