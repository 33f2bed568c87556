"""A kayak workshop whose cloth has been about: places with logs, rolls, offcuts and kits, made as values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from bagside.ledger.bodies import CutPiece, Sort
from bagside.ledger.shop import Shop
from bagside.ledger.things import Cloth, KitPiece, Length, LogPart, Place, Stay, Thing
from bagside.spec.library import Library, generic_library
from bagside.spec.material import LifePoint
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop

HOUR, DAY, ZERO_C = 3600.0, 86400.0, 273.15
FROZEN, ROOM = 255.15, 294.15
START = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
WORKSHOP = Path(__file__).parents[1] / "demo" / "workshop" / "workshop.toml"


@cache
def _generic() -> Library:
    return generic_library()


@cache
def _stated() -> Workshop:
    return stated_from(load_toml(WORKSHOP), Workshop, "workshop.toml")


def at(hours: float = 0.0, *, days: float = 0.0) -> datetime:
    """Return a moment after the shop's first."""
    return START + timedelta(hours=hours, days=days)


def library(*, one_point: bool = False, lives: Sequence[tuple[float, float]] = (), tack: bool = True) -> Library:
    """Return the generic library; its twill-200 with other lives when wanted [K, s]."""
    found = _generic()
    cloth = found.prepreg["twill-200"]
    if one_point:
        cloth = replace(cloth, storage=None)
    if lives:
        (warm, life), *more = lives
        points = tuple(LifePoint(temperature=t, life=x) for t, x in more)
        cloth = replace(cloth, out_life=life, out_life_at=warm, lives=points, storage=None)
    if not tack:
        cloth = replace(cloth, tack_life=())
    return replace(found, prepreg={**found.prepreg, "twill-200": cloth})


def shop(*things: Thing, told: Library | None = None, room: float = ROOM, humidity: float = 0.5) -> Shop:
    """Return a workshop with a freezer and a room, unless they are among the things."""
    stated = _stated()
    workshop = replace(stated, room=replace(stated.room, temperature=room, humidity=humidity))
    there = {p.name: p for p in (place("freezer", FROZEN), place("room", ROOM))}
    return Shop(
        things={**there, **{t.name: t for t in things}}, library=told or library(), workshop=workshop
    )


def place(name: str, temperature: float | None = None, *logs: LogPart) -> Place:
    return Place(name=name, born=at(days=-900), last=at(), temperature=temperature, logs=logs)


def log(hours: Sequence[float], temperatures: Sequence[float], gaps: Sequence[tuple[float, float]] = ()) -> LogPart:
    """Return a log with readings at some hours after the start [K]."""
    return LogPart(
        file="0" * 64,
        called="freezer.csv",
        times=tuple(at(h) for h in hours),
        temperatures=tuple(temperatures),
        gaps=tuple((at(a), at(b)) for a, b in gaps),
    )


def stays(*told: tuple[float, str] | tuple[float, str, float]) -> tuple[Stay, ...]:
    """Return stays from hours, places, and measured temperatures where there are three."""
    return tuple(Stay(place=s[1], since=at(s[0]), temperature=s[2] if len(s) > 2 else None) for s in told)


def roll(name: str = "R-1", *, born: float = 0.0, been: tuple[Stay, ...] = (), **more: object) -> Cloth:
    values: dict[str, object] = {
        "sort": Sort.ROLL, "material": "twill-200", "length": 50.0, "width": 1.25, "life_used": 0.0,
        "stays": been or stays((born, "freezer")), **more,
    }  # fmt: skip
    return Cloth(name=name, born=at(born), last=at(born), **values)  # type: ignore[arg-type]


def cut_off(source: Cloth, name: str, hours: float, *later: Stay) -> tuple[Cloth, Cloth]:
    """Return cloth after an offcut was cut from it, and the offcut; it stays where its source is."""
    there = sum(s.since <= at(hours) for s in source.stays)
    entry = Length(length=0.5, job="", at=at(hours), event=name, pieces=0.0, kept=0.2, stays=there)
    child = Cloth(
        name=name, sort=Sort.OFFCUT, material=source.material, born=at(hours), last=at(hours), birth=name,
        parent=source.name, outline=((0.0, 0.0), (0.4, 0.0), (0.4, 0.5), (0.0, 0.5)), stays=later,
        made=source.made, use_by=source.use_by,
    )  # fmt: skip
    return replace(source, pulled=(*source.pulled, entry)), child


def kit(name: str, *pieces: tuple[str, float], been: tuple[Stay, ...] = (), **more: object) -> Cloth:
    """Return a kit of pieces cut from named sources at some hours."""
    first = min(h for _, h in pieces)
    told = tuple(
        KitPiece(piece=CutPiece(label=f"{k + 1}A", ply=k + 1, area=0.1), source=source, cut=at(h))
        for k, (source, h) in enumerate(pieces)
    )
    return Cloth(
        name=name, sort=Sort.KIT, material="twill-200", born=at(first), last=at(first), pieces=told,
        stays=been or stays((first, "room")), **more,  # type: ignore[arg-type]
    )  # fmt: skip
