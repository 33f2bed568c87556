"""Clocks of three hundred things by loggers of a year, against lives summed reading by reading; a year thinned.

The peer walks each thing's stays and sums the sheet's own integral along the readings of each, as one would without a
running sum for each place. It is timed on fewer things and told for all.
"""

from __future__ import annotations

import time
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from bagside.cure.life import LifeSheet, Spell
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life import life_of, lives_of
from bagside.ledger.clocks.mean_kinetic import thinned
from bagside.ledger.shop import Shop
from bagside.ledger.things import Cloth, Length, LogPart, Place, Stay
from bagside.planning.cure_life import life_sheet
from bagside.spec.library import generic_library
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Workshop

START = datetime(2026, 1, 5, 7, tzinfo=UTC)
HOURS, ROLLS, EACH, FEW = 365 * 24, 20, 14, 6
SET = {"freezer": 255.15, "room": 294.15}
DEMO = Path(__file__).parents[1] / "demo" / "workshop" / "workshop.toml"


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def place(name: str) -> Place:
    """Return a place with a reading for each hour of a year."""
    swing = 1.5 * np.sin(0.7 * np.arange(HOURS))
    log = LogPart(
        file="", called="", times=tuple(at(h) for h in range(HOURS)), temperatures=tuple((SET[name] + swing).tolist())
    )
    return Place(name=name, born=START, last=START, temperature=SET[name], logs=(log,))


def been(start: float, step: float, count: int) -> tuple[Stay, ...]:
    return tuple(Stay(place="room" if k % 2 else "freezer", since=at(start + k * step)) for k in range(count))


def workshop() -> tuple[Shop, list[str]]:
    """Return rolls that go out and in fifty times, and offcuts of each."""
    things: dict[str, Cloth | Place] = {name: place(name) for name in SET}
    for k in range(ROLLS):
        roll = Cloth(
            name=f"R-{k}", sort=Sort.ROLL, material="twill-200", born=START, last=START, length=50.0, life_used=0.0,
            stays=been(0, 80.0, 100),
        )  # fmt: skip
        for j in range(EACH):
            name, hour = f"O-{k}-{j}", 100.0 + 500.0 * j
            stays = sum(s.since <= at(hour) for s in roll.stays)
            cut = Length(length=0.5, job="", at=at(hour), event=name, pieces=0.0, kept=0.2, stays=stays)
            roll = replace(roll, pulled=(*roll.pulled, cut))
            things[name] = Cloth(
                name=name, sort=Sort.OFFCUT, material="twill-200", born=at(hour), last=at(hour), birth=name,
                parent=roll.name, stays=been(hour + 1, 30.0, 8),
            )  # fmt: skip
        things[roll.name] = roll
    stated = stated_from(tomllib.loads(DEMO.read_text(encoding="utf-8")), Workshop, "workshop.toml")
    shop = Shop(things=things, library=generic_library(), workshop=stated)
    return shop, [n for n in things if n not in SET]


def summed(cloth: Cloth, shop: Shop, sheet: LifeSheet, end: datetime) -> float:
    """Return the life of one thing, its stays and readings walked through one by one [s]."""
    used = 0.0
    if cloth.parent:
        parent = shop.cloth(cloth.parent)
        used = summed(parent, shop, sheet, cloth.born)
    stays = [s for s in cloth.stays if s.since < end]
    if cloth.parent and stays and stays[0].since > cloth.born:
        pulled = next(p for p in parent.pulled if p.event == cloth.birth)
        stays.insert(0, replace(parent.stays[pulled.stays - 1], since=cloth.born))
    for k, stay in enumerate(stays):
        until = stays[k + 1].since if k + 1 < len(stays) else end
        log = shop.things[stay.place].logs[0]  # type: ignore[union-attr]
        a, b = (int((t - START).total_seconds() // 3600) for t in (stay.since, until))
        warm = log.temperatures
        used += sheet.used([Spell(duration=3600.0, temperature=warm[h], to=warm[h + 1]) for h in range(a, b)])
    return used


def best(work: Callable[[], object], times: int = 3) -> float:
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def run() -> None:
    shop, names = workshop()
    end = at(HOURS - 24)
    sheet = life_sheet(shop.library.prepreg["twill-200"])
    some = names[:: len(names) // FEW][:FEW]
    lives = lives_of(names, shop, end)
    off = max(abs(lives[n].out.used / summed(shop.cloth(n), shop, sheet, end) - 1.0) for n in some)
    together = best(lambda: lives_of(names, shop, end))
    singly = best(lambda: [life_of(n, shop, end) for n in names])
    alone = best(lambda: [summed(shop.cloth(n), shop, sheet, end) for n in some], 1) / len(some) * len(names)
    print(f"{len(names)} lives by two loggers of a year, together  {together:7.3f} s")
    print(f"asked for one by one                         {singly:7.3f} s")
    print(f"reading by reading (from {len(some)})                   {alone:7.1f} s   {alone / together:.0f} times")
    print(f"they differ by {off:.1e} of the life used at most")
    times = np.arange(0.0, HOURS * 3600.0, 60.0)
    values = 255.15 + 1.5 * np.sin(2 * np.pi * times / 2400.0)
    taken = best(lambda: thinned(times, values))
    t, v = thinned(times, values)
    full = float(sheet.mean_rates(values[:-1], values[1:]) @ np.diff(times))
    kept = float(sheet.mean_rates(v[:-1], v[1:]) @ np.diff(t))
    print(f"a year of minutes ({len(times)} readings) thinned to {len(t)} in {taken:.2f} s; "
          f"life used {100 * (kept / full - 1):+.1f} %")  # fmt: skip


if __name__ == "__main__":
    run()
