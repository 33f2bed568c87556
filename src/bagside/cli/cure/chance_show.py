"""How a chance is shown: the answer in one sentence, limits, what the cure comes to, what it was drawn from."""

from __future__ import annotations

import math
from typing import Any

from rich.text import Text

from bagside.cli import show
from bagside.cli.cure.scatter_options import size_text
from bagside.cure.chance.chance import QUANTILES, Chance, LimitChance
from bagside.cure.chance.limits import SHORT as LIMIT_SHORT
from bagside.cure.chance.limits import UNITS
from bagside.cure.chance.margins import in_words, plain
from bagside.cure.chance.notes import DRIVES, margin_text, percent
from bagside.cure.chance.scatter import FOR_VOIDS
from bagside.cure.chance.scatter import SHORT as INPUT_SHORT
from bagside.cure.chance.scatter import WORDS as INPUT_WORDS
from bagside.planning.chance_case import CaseChance
from bagside.quantity import shown

REACHED = {
    "alpha": ("cure, lagging point", "%"),
    "tg": ("Tg, lagging point", "°C"),
    "hottest": ("hottest laminate", "°C"),
    "tool": ("hottest tool", "°C"),
    "gel": ("gels after", "min"),
}
"""What is told of the cure beside its limits, and in which unit."""

KEYS = {"%": ("", 1.0), "K": ("_k", 1.0), "min": ("_min", 1.0 / 60.0)}


def tables(found: CaseChance) -> None:
    """Print the answer and what it rests on."""
    chance = found.chance
    show.OUT.print(answer(found), highlight=False)
    runs = any(": " in c.name for c in chance.limits)
    show.table(
        "",
        ["limit", *(["run"] if runs else []), "holds", "between", "1 in 20", "middle", "hangs on"],
        [
            [
                LIMIT_SHORT[plain(c.name)],
                *([c.name.rpartition(": ")[0].removeprefix("on the ")] if runs else []),
                percent(c.odds.chance),
                f"{percent(c.odds.low).removesuffix(' %')}–{percent(c.odds.high)}",
                margin_text(c.name, c.margin[0]),
                margin_text(c.name, c.margin[1]),
                _hangs_on(c),
            ]
            for c in chance.limits
        ],
    )
    show.OUT.print(Text("between: where the chance lies; 1 in 20, middle: of the margin", style="dim"))
    show.table(
        "\nWhat it comes to",
        ["", "1 in 20 below", "middle", "1 in 20 above"],
        [[REACHED[name][0], *(_value(name, v) for v in chance.quantiles[name])] for name in _told(chance)],
    )
    show.table(
        "\nDrawn from",
        ["--scatter", "", "size", "", "basis"],
        [
            [
                name,
                INPUT_WORDS[name],
                size_text(name, getattr(found.scatter, name).size),
                _shape(getattr(found.scatter, name).kind.value),
                show.MARK[getattr(found.scatter, name).basis],
            ]
            for name in _scattered(found)
        ],
    )
    if found.found is not None:
        show.table(
            f"\nThe cycle, found in {found.rounds} rounds",
            ["", "to", "ramp", "hold"],
            [
                [str(k), shown(s.target, "°C", 0), shown(s.ramp, "°C/min"), shown(s.hold, "min", 0)]
                for k, s in enumerate(found.case.programme.segments, 1)
            ],
        )


def answer(found: CaseChance) -> str:
    """Return the answer in one sentence, and what is least sure in another."""
    odds, least = found.chance.all_hold, found.chance.limits[0]
    said = (
        f"In {percent(odds.chance)} of {odds.draws} cases ({percent(odds.low)} to {percent(odds.high)}) every limit "
        f"holds; {percent(found.wanted)} is wanted."
    )
    if least.odds.held == least.odds.draws:
        return said
    return f"{said} Least sure: {in_words(least.name)}, {percent(least.odds.chance)}."


def _scattered(found: CaseChance) -> list[str]:
    wet = found.chance.draws.void_free is not None
    return [name for name in found.scatter.scattered if wet or name not in FOR_VOIDS]


def _shape(kind: str) -> str:
    return {
        "normal": "sd",
        "log-normal": "sd, a factor",
        "uniform": "either way",
        "exponential": "mean, upward",
    }[kind]


def _told(chance: Chance) -> list[str]:
    return [n for n in REACHED if n in chance.quantiles and any(math.isfinite(v) for v in chance.quantiles[n])]


def _value(name: str, value: float) -> str:
    unit = REACHED[name][1]
    if not math.isfinite(value):
        return "never"
    return shown(value, unit, 1 if unit == "%" else 0)


def _hangs_on(c: LimitChance) -> str:
    main = [d for d in c.drivers if d.share >= DRIVES][:1]
    return "".join(f"{INPUT_SHORT[d.name]} {shown(d.share, '%', 0)}" for d in main) or "–"


def data(found: CaseChance) -> dict[str, Any]:
    """Return the chance as JSON data; keys carry their unit, infinite values are null."""
    chance = found.chance
    return {
        "wanted": found.wanted,
        "chance": chance.all_hold.chance,
        "low": chance.all_hold.low,
        "high": chance.all_hold.high,
        "level": chance.all_hold.level,
        "draws": chance.all_hold.draws,
        "asked": chance.asked,
        "not_computed": chance.not_computed,
        "seed": chance.draws.seed,
        "limits": [_limit_data(c) for c in chance.limits],
        "quantiles": list(QUANTILES),
        **{
            _key(name): [_number(v, name) for v in chance.quantiles[name]]
            for name in REACHED
            if name in chance.quantiles
        },
        "scatter": [
            {
                "input": name,
                "distribution": getattr(found.scatter, name).kind.value,
                _scatter_key(name): getattr(found.scatter, name).size * (0.01 if name == "leak" else 1.0),
                "basis": getattr(found.scatter, name).basis.value,
                "source": getattr(found.scatter, name).source,
            }
            for name in _scattered(found)
        ],
        "rounds": found.rounds,
        "programme": [
            {"to_c": s.target - 273.15, "rate_c_per_min": s.ramp * 60.0, "hold_min": s.hold / 60.0}
            for s in found.case.programme.segments
        ],
    }


def _scatter_key(name: str) -> str:
    return {"place": "size_k", "thermocouple": "size_k", "leak": "size_mbar"}.get(name, "size")


def _limit_data(c: LimitChance) -> dict[str, Any]:
    key, scale = KEYS[UNITS[plain(c.name)]]
    return {
        "limit": c.name,
        "held": c.odds.held,
        "chance": c.odds.chance,
        "low": c.odds.low,
        "high": c.odds.high,
        f"margin{key}": [v * scale if math.isfinite(v) else None for v in c.margin],
        "drivers": [{"input": d.name, "rank": d.rank, "share": d.share} for d in c.drivers],
    }


def _key(name: str) -> str:
    return {"alpha": "cure_lagging", "tg": "tg_c", "hottest": "hottest_c", "tool": "tool_hottest_c", "gel": "gel_min"}[
        name
    ]


def _number(value: float, name: str) -> float | None:
    if not math.isfinite(value):
        return None
    return {"tg": value - 273.15, "hottest": value - 273.15, "tool": value - 273.15, "gel": value / 60.0}.get(
        name, value
    )
