"""An account of life as tables for people and as one JSON object."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from bagside.cli import show
from bagside.cure import LifeEffect, LifeSheet, Spell
from bagside.findings import Finding
from bagside.quantity import shown

Table = tuple[str, list[str], list[list[str]]]
DAY, ZERO_C = 86400.0, 273.15
LONG = 20 * 3600.0  # [s] from which on a time is told in days


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is told of a prepreg's life.

    Parameters
    ----------
    name
        The prepreg or resin.
    sheet
        Its life.
    tack
        The life of its tack, when it has a clock of its own.
    spells
        Where it has been.
    law
        Degree of cure after each spell, by its rate law.
    fresh, now
        Degree of cure when new, and now, by life.
    freezer, room
        Where it is kept and laid up [K].
    effects
        By place: a cure of fresh resin, and of what it is now.
    found
        What a person should know.
    """

    name: str
    sheet: LifeSheet
    tack: LifeSheet | None
    spells: Sequence[Spell]
    law: Sequence[float]
    fresh: float
    now: float
    freezer: float
    room: float
    effects: dict[str, tuple[LifeEffect, LifeEffect]]
    found: Sequence[Finding]

    @property
    def share(self) -> float:
        """Share of its life that is used."""
        return self.sheet.share(self.spells)

    def left(self, temperature: float) -> float:
        """Life left at a temperature [s]."""
        return self.sheet.left(self.share, temperature)


def tables(told: Told) -> Iterator[Table]:
    """Yield title, headers and rows of each table."""
    counted = shown(told.sheet.counted_at, "°C", 0)
    whole = _time(float(told.sheet.life(told.sheet.counted_at)))
    used = _time(told.sheet.used(told.spells))
    if told.spells:
        yield (
            f"{told.name}: {used} of {whole} at {counted} are used, {shown(told.share, '%', 0)}",
            ["spell", "for", f"counts as, at {counted}", "cure by its law"],
            [
                [_where(s), _time(s.duration), _time(told.sheet.used([s])), shown(a, "%", 1)]
                for s, a in zip(told.spells, told.law, strict=True)
            ],
        )
    yield (
        f"{told.name}: life left" if told.spells else f"{told.name}: {whole} at {counted}, none used",
        ["where", "", ""],
        [
            ["in the room", shown(told.room, "°C", 0), _time(told.left(told.room))],
            ["in the freezer", shown(told.freezer, "°C", 0), _time(told.left(told.freezer))],
            *_tack_rows(told),
            ["degree of cure by life used", f"fresh {shown(told.fresh, '%', 1)}", shown(told.now, "%", 1)],
        ],
    )
    if told.effects:
        yield (
            "In the cure: fresh, and as it is now",
            ["place", "gels after", "", "least viscosity", "", "flows for", "", "cured"],
            [
                [
                    place,
                    *(_or_not(e.gel_time) for e in pair),
                    *("unknown" if e.viscosity is None else shown(e.viscosity, "Pa s", 1) for e in pair),
                    *("unknown" if e.flow_time is None else shown(e.flow_time, "min", 0) for e in pair),
                    shown(pair[1].alpha, "%", 0),
                ]
                for place, pair in told.effects.items()
            ],
        )


def _tack_rows(told: Told) -> list[list[str]]:
    """Return the row of the second clock, when there is one."""
    if told.tack is None:
        return []
    share = told.tack.share(told.spells)
    left = _time(told.tack.left(share, told.room))
    return [["its tack, in the room", f"{shown(share, '%', 0)} used", left]]


def data(told: Told) -> dict[str, Any]:
    """Return the account as JSON data."""
    return {
        "life": {
            "name": told.name,
            "counted_at_c": told.sheet.counted_at - ZERO_C,
            "life_h": float(told.sheet.life(told.sheet.counted_at)) / 3600,
            "used_h": told.sheet.used(told.spells) / 3600,
            "share": told.share,
            "tack": None
            if told.tack is None
            else {
                "counted_at_c": told.tack.counted_at - ZERO_C,
                "life_h": float(told.tack.life(told.tack.counted_at)) / 3600,
                "used_h": told.tack.used(told.spells) / 3600,
                "share": told.tack.share(told.spells),
            },
            "left": [{"at_c": t - ZERO_C, "left_h": told.left(t) / 3600} for t in (told.room, told.freezer)],
            "cure_fresh": told.fresh,
            "cure_now": told.now,
            "spells": [
                {
                    "duration_h": s.duration / 3600,
                    "from_c": s.temperature - ZERO_C,
                    "to_c": s.end - ZERO_C,
                    "counts_h": told.sheet.used([s]) / 3600,
                    "cure_by_law": float(a),
                }
                for s, a in zip(told.spells, told.law, strict=True)
            ],
            "cure": [
                {"place": place, "fresh": _effect(pair[0]), "now": _effect(pair[1])}
                for place, pair in told.effects.items()
            ],
        },
        "findings": [show.finding_data(f) for f in told.found],
    }


def _effect(e: LifeEffect) -> dict[str, Any]:
    return {
        "cure_at_start": e.alpha0,
        "gel_min": None if e.gel_time is None else e.gel_time / 60,
        "gel_c": None if e.gel_temperature is None else e.gel_temperature - ZERO_C,
        "viscosity_pa_s": e.viscosity,
        "flow_min": None if e.flow_time is None else e.flow_time / 60,
        "hottest_c": e.hottest - ZERO_C,
        "cure": e.alpha,
        "tg_c": e.tg - ZERO_C,
    }


def _where(s: Spell) -> str:
    if s.end == s.temperature:
        return shown(s.temperature, "°C", 0)
    return f"{shown(s.temperature, '°C', 0)} to {shown(s.end, '°C', 0)}"


def _time(seconds: float) -> str:
    if seconds > LONG * 6:
        return f"{seconds / DAY:.0f} days"
    return shown(seconds, "h", 0 if seconds > LONG else 1)


def _or_not(seconds: float | None) -> str:
    return "not" if seconds is None else shown(seconds, "min", 0)
