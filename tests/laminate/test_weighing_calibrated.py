"""Chances that are told are kept: of parts made up with faults, those told 80 % are right in about 80 of 100.

The parts are made up piece by piece (rolls, pieces, films, resin, scales), not by the formulas that read them.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest

from bagside.laminate.weighing import masses_read
from bagside.laminate.weighing_plan import Faults, WeighedPlan, WeighedPly, Weighing

PIECES, SCATTER, COMMON = 2, 0.03, 0.75
FAULTS = Faults(
    common=COMMON, missing=0.03, unlaid=0.03, extra=0.03, exchanged=0.03, film=0.01, resin=0.1, roll=0.05, reading=0.03
)
CLOTHS = {"twill": 0.35, "heavy": 0.65}
LAID = ("twill", "heavy", "heavy", "twill")
FILM = 0.08
RESIN = 0.8
SCALE = {"kit": 0.005, "raw": 0.002, "trimmed": 0.002}


def made_up(rng: np.random.Generator) -> Iterator[tuple[str, dict[str, float]]]:
    """Yield what happened and what the scales showed, one part after another."""
    trimmed_off = 0.2
    raw = sum(CLOTHS[m] for m in LAID)
    kept = (raw - trimmed_off) / raw
    kinds = ("bare", "missing", "unlaid", "extra", "exchanged", "film", "resin", "roll", "reading", "trim")
    rates = {
        "bare": [FAULTS.bare],
        "missing": [FAULTS.missing] * 4, "unlaid": [FAULTS.unlaid] * 4, "extra": [FAULTS.extra] * 4,
        "exchanged": [FAULTS.exchanged] * 4, "film": [1 - (1 - FAULTS.film) ** 4] * 4, "resin": [FAULTS.resin],
        "roll": [FAULTS.roll] * 2, "reading": [FAULTS.reading] * 3, "trim": [FAULTS.trim],
    }  # fmt: skip
    while True:
        happened = [(kind, k) for kind in kinds for k, p in enumerate(rates[kind]) if rng.random() < p]
        if len(happened) > 1:
            continue  # two faults at once are not among the candidates, and so not made up here
        kind, which = happened[0] if happened else ("nothing", 0)
        rolls = {m: 1 + SCATTER * np.sqrt(COMMON) * rng.standard_normal() for m in CLOTHS}
        if kind == "roll":
            rolls[list(CLOTHS)[which]] += FAULTS.roll_share * rng.standard_normal()

        def cloth(material: str, rolls: dict[str, float] = rolls) -> float:
            own = 1 + SCATTER * np.sqrt(1 - COMMON) * rng.standard_normal(PIECES)
            return float(CLOTHS[material] / PIECES * np.sum(own + rolls[material] - 1))

        in_kit = list(LAID)
        if kind == "missing":
            del in_kit[which]
        if kind == "exchanged":
            in_kit[which] = "heavy" if in_kit[which] == "twill" else "twill"
        if kind == "extra":
            in_kit.append(in_kit[which])
        masses = [cloth(m) for m in in_kit]
        # films scatter together, as one film's thickness does: 10 % of all that were planned
        films = FILM * len(in_kit) + 0.1 * FILM * len(LAID) * rng.standard_normal()
        films = 0.0 if kind == "bare" else films
        part = sum(masses) - (masses[which] if kind == "unlaid" else 0.0)
        part += FILM / 4 if kind == "film" else 0.0
        part -= RESIN * FAULTS.resin_share * abs(rng.standard_normal()) if kind == "resin" else 0.0
        off = trimmed_off * 0.1 * rng.standard_normal()
        off += trimmed_off * FAULTS.trim_share * rng.standard_normal() if kind == "trim" else 0.0
        shown = {"kit": sum(masses) + films, "raw": part, "trimmed": kept * part + off}
        for k, stage in enumerate(shown):
            planned = {"kit": raw + FILM * 4, "raw": raw, "trimmed": raw - trimmed_off}[stage]
            slip = FAULTS.reading_share * planned * rng.standard_normal() if (kind, which) == ("reading", k) else 0.0
            shown[stage] += SCALE[stage] * rng.standard_normal() + slip
        yield kind, shown


@pytest.mark.parametrize("stages", [("kit", "raw", "trimmed")])
def test_a_chance_told_is_a_chance_kept(stages: tuple[str, ...]) -> None:
    plies = tuple(
        WeighedPly(
            number=k, material=m, area=1.0, mass=CLOTHS[m], scatter=SCATTER, pieces=PIECES, films=4, film_mass=FILM
        )
        for k, m in enumerate(LAID, 1)
    )
    plan = WeighedPlan(plies=plies, resin=RESIN, means={"trimmed": sum(p.mass for p in plies) - 0.2})
    rng = np.random.default_rng(20261126)
    told: list[float] = []
    right: list[bool] = []
    best: list[bool] = []
    for (kind, shown), _ in zip(made_up(rng), range(2500), strict=False):
        read = masses_read(plan, [Weighing(stage=s, mass=shown[s], sigma=SCALE[s]) for s in stages], FAULTS)
        chances: dict[str, float] = {}
        for candidate in read.candidates:
            chances[candidate.key] = chances.get(candidate.key, 0.0) + candidate.chance
        told += list(chances.values())
        right += [key == kind for key in chances]
        best.append(max(chances, key=lambda key: chances[key]) == kind)
    chance, true = np.array(told), np.array(right)
    edges = [0.02, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.98, 1.0]
    for low, high in pairwise(edges):
        within = (chance >= low) & (chance < high)
        count = int(within.sum())
        assert count > 30, (low, high)
        mean = chance[within].mean()
        spread = 3.5 * np.sqrt((chance[within] * (1 - chance[within])).sum()) / count + 0.5 / count
        assert abs(true[within].mean() - mean) < spread, (low, high, mean, true[within].mean(), count)
    assert 0.65 < np.mean(best) < 0.95  # it is of use, and it is not sure of what cannot be known
