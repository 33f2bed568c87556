"""Heat through sections that do not react, in closed form.

Without reaction the cells are a linear system: it falls apart into modes, and each answers a straight stretch of air
exactly. It gives what `bagside.cure.simulate` gives, some twenty times as fast, which a fit of films asks for again
and again.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh_tridiagonal

from bagside.cure.section import Section

Floats = NDArray[np.float64]


def warmed(sections: Sequence[Section], starts: Floats, air: Floats, step: float) -> list[Floats]:
    """Return the temperature of every cell of each section.

    Parameters
    ----------
    sections
        One or more, without reaction and without radiation.
    starts
        Temperature each begins with all through, shape (s,) [K].
    air
        Over each, at even steps and straight between them, shape (k, s) [K].
    step
        [s].

    Returns
    -------
    list of Floats
        One for each section, shape (k, n) [K].

    Notes
    -----
    With C the heat capacities, K the couplings and g those to the air, C dT/dt = −K T + g Ta. In the modes of
    C^(−1/2) K C^(−1/2), each of rate λ, q' = −λ q + β Ta has over a straight stretch from u to u + s Δ the answer
    q(Δ) = q e + β (u (1 − e)/λ + s (Δ/λ − (1 − e)/λ²)), e = exp(−λ Δ).
    """
    parts = [_modes(s) for s in sections]
    sizes = [len(rate) for rate, _, _ in parts]
    rate = np.concatenate([p[0] for p in parts])
    beta = np.concatenate([p[2] for p in parts])
    lane = np.repeat(np.arange(len(parts)), sizes)
    fade = np.exp(-rate * step)
    gained = -np.expm1(-rate * step) / rate
    # by the air at the start of a step, and by the air at its end
    second = beta * (1.0 / rate - gained / (rate * step))
    first = beta * gained - second
    q = np.empty((len(air), len(rate)))
    roots = [np.sqrt(s.capacities) for s in sections]
    q[0] = np.concatenate([v.T @ (c * t) for (_, v, _), c, t in zip(parts, roots, starts, strict=True)])
    forced = first * air[:-1][:, lane] + second * air[1:][:, lane]
    for i in range(len(air) - 1):
        q[i + 1] = fade * q[i] + forced[i]
    ends = np.cumsum(sizes)
    return [
        (q[:, end - size : end] @ v.T) / c for (_, v, _), c, end, size in zip(parts, roots, ends, sizes, strict=True)
    ]


def _modes(section: Section) -> tuple[Floats, Floats, Floats]:
    c, up = section.capacities, section.couplings
    bag, tool = section.face_couplings
    to_air = np.zeros(len(c))
    to_air[0] += bag
    to_air[-1] += tool
    out = to_air.copy()
    out[:-1] += up
    out[1:] += up
    root = np.sqrt(c)
    rate, vectors = eigh_tridiagonal(out / c, -up / (root[:-1] * root[1:]))
    return rate, vectors, vectors.T @ (to_air / root)
