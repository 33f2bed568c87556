"""Films recovered from logs of trials of which the truth is known: the stated doubt holds in the stated share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.cure.calibrate import Trial, Where, calibrated
from trials import BOTH, OVEN, RESIN, drawn, panel, seats, trial_logs


def standing(
    tool: str, sensors: Sequence[tuple[str, Where]], seeds: range, gaps: Sequence[tuple[float, float]] = ()
) -> tuple[np.ndarray, np.ndarray]:
    """Return errors of both films in logarithms, and the same in stated deviations."""
    section = panel(tool)
    draws = []
    for seed in seeds:
        rng = np.random.default_rng([seed, len(sensors), len(tool)])
        draws.append((rng, drawn(rng, film=0.5, spread=6.0)))
    errors, scaled = [], []
    for (_, truth), log in zip(draws, trial_logs(draws, section, sensors, gaps=gaps), strict=True):
        trial = Trial(log=log, inert=True, where=seats(sensors))
        found = calibrated([trial], [section], RESIN, OVEN, spread=6.0, foresee=False)
        values = [(found.film_bag, 12.0 * truth.bag), (found.film_tool, 18.0 * truth.tool)]
        errors.append([np.log(v.value / true) for v, true in values])
        scaled.append([np.log(v.value / true) / (np.log(v.high / v.low) / (2.0 * 1.96)) for v, true in values])
    return np.array(errors), np.array(scaled)


def test_two_thermocouples() -> None:
    """Noise of 1 K that hangs together for 10 min and an offset of 1 K on every channel, air that differs by place."""
    parts = [
        standing("aluminium", BOTH, range(6)),
        standing("carbon", BOTH, range(6), gaps=((5000.0, 6200.0), (9000.0, 9900.0))),
        standing("board", BOTH, range(6)),
    ]
    scaled = np.vstack([s for _, s in parts])
    assert 0.56 < (np.abs(scaled) < 1.0).mean() < 0.80
    assert (np.abs(scaled) < 1.96).mean() > 0.89
    assert np.abs(scaled.mean(axis=0)).max() < 0.35
    board = parts[2][0]
    assert np.abs(board.mean(axis=0)).max() < 0.05  # a mould that insulates tells both films well: bias in per cent
    assert board.std(axis=0).max() < 0.12
