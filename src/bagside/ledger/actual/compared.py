"""Plan against actual for one part: what was planned the day it was begun, what happened, and what nobody recorded.

Nothing is filled in. A time that was never written down stays unknown; what is unknown is listed, so that a report can
say it instead of hiding it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.ledger.actual.cloth import GoodsUsed, Used, goods_used, used
from bagside.ledger.actual.laid import DebulkActual, PlyActual, debulks_of, plies_of
from bagside.ledger.actual.measured import (
    Climate,
    Holding,
    MouldThen,
    Pinholes,
    PointActual,
    climate_of,
    leaks_of,
    mould_of,
    pinholes_of,
    points_of,
)
from bagside.ledger.actual.missing import missing_of
from bagside.ledger.actual.money import Money, money_of
from bagside.ledger.actual.steps import ChapterHours, StepActual, chapters_of, steps_of
from bagside.ledger.bodies import Conceded, Cured, Found, MassStage, Measured, Passed, Spent
from bagside.ledger.builds.weighed import SCALE, MassReading, mass_reading
from bagside.ledger.clocks.life import Reckoner
from bagside.ledger.event import Event
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Noted

TOLD = (Found.MASS, Found.THICKNESS, Found.PINHOLES, Found.LEAK, Found.CLIMATE, Found.HOURS)
"""What has a place of its own; every other measurement is listed as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAgainstActual:
    """One part, as planned and as it was made.

    Parameters
    ----------
    build
        The part.
    now
        When this was put together [UTC].
    steps, chapters
        Each planned step, and hours by chapter.
    plies, debulks
        What was laid and pressed.
    leaks, cures
        Leak tests and cures, in order.
    masses
        Each weighing against what was planned.
    points, pinholes, climate
        Measured on the part, and of the room.
    others
        Every other measurement, in order.
    cloth, goods
        What it is made of, and what was used up on it.
    mould
        Of the mould when this part came off; None when the ledger does not know the mould.
    conceded, passed
        In order.
    money
        Against the plan; None when the plan had no price.
    missing
        What was never recorded, in sentences.
    """

    build: Build
    now: datetime
    steps: tuple[StepActual, ...]
    chapters: tuple[ChapterHours, ...]
    plies: tuple[PlyActual, ...]
    debulks: tuple[DebulkActual, ...]
    leaks: tuple[Holding, ...]
    cures: tuple[Noted[Cured], ...]
    masses: tuple[MassReading, ...]
    points: tuple[PointActual, ...]
    pinholes: tuple[Pinholes, ...]
    climate: tuple[Climate, ...]
    others: tuple[Noted[Measured], ...]
    cloth: tuple[Used, ...]
    goods: tuple[GoodsUsed, ...]
    mould: MouldThen | None
    conceded: tuple[Noted[Conceded], ...]
    passed: tuple[Noted[Passed], ...]
    money: Money | None
    missing: tuple[str, ...]

    @property
    def hours(self) -> float:
        """Hands-on time that is known, for this part [s]."""
        return sum(s.attended * s.share for s in self.steps if s.attended is not None)

    @property
    def planned_hours(self) -> float:
        """Hands-on time that was planned for the same steps [s]."""
        return sum(s.planned_attended * s.share for s in self.steps if s.attended is not None)

    @property
    def films(self) -> tuple[int, int]:
        """Backing films taken off, and those there were."""
        return sum(p.films for p in self.plies), sum(p.films_planned for p in self.plies)

    @property
    def last_cure(self) -> Noted[Cured] | None:
        """The cure that was run last, post-cure or not."""
        return self.cures[-1] if self.cures else None


def compared(
    build: Build, shop: Shop, now: datetime, spent: Sequence[Event] = (), *, reckoner: Reckoner | None = None
) -> PlanAgainstActual:
    """Return a part as planned and as it was made.

    Parameters
    ----------
    build
        The part.
    shop
        The workshop as it stands.
    now
        When [UTC]; life is worked out at the moment of the cure, or now when there was none.
    spent
        Effective events of consumables, adhesives and coatings; those for this build count.
    reckoner
        Of lives, when many parts are compared: what they share is worked out once, and masses are held against the plan
        without looking for the causes of each deviation.
    """
    steps = steps_of(build)
    plies, debulks = plies_of(build), debulks_of(build)
    cloth = used(build, reckoner or Reckoner(shop), now)
    ours = [(e, e.body) for e in spent if isinstance(e.body, Spent) and e.body.build == build.name]
    goods = goods_used(build, shop, ours)
    leaks, points, pinholes, climate = leaks_of(build), points_of(build), pinholes_of(build), climate_of(build)
    masses = mass_reading(build, shop) if reckoner is None else cured_masses(build)
    return PlanAgainstActual(
        build=build,
        now=now,
        steps=steps,
        chapters=chapters_of(steps),
        plies=plies,
        debulks=debulks,
        leaks=leaks,
        cures=build.cures,
        masses=masses,
        points=points,
        pinholes=pinholes,
        climate=climate,
        others=tuple(m for m in build.measured if m.what.found not in TOLD),
        cloth=cloth,
        goods=goods,
        mould=mould_of(build, shop),
        conceded=build.conceded,
        passed=build.passed,
        money=money_of(build, shop.workshop, steps, cloth),
        missing=missing_of(build, steps, plies, debulks, leaks, points, cloth),
    )


def cured_masses(build: Build) -> tuple[MassReading, ...]:
    """Return the masses of a cured part against its plan, without the causes of their deviations.

    Parameters
    ----------
    build
        The part.
    """
    planned = {m.stage: m for m in build.planned.masses}
    last = {m.what.stage: m for m in build.measured if m.what.found is Found.MASS and m.what.stage is not None}
    out = []
    for stage in (MassStage.RAW, MassStage.TRIMMED, MassStage.FINISHED):
        if stage not in last:
            continue
        read, want = last[stage], planned.get(stage.value)
        sigma = ((want.sigma if want else 0.0) ** 2 + (read.what.sigma or SCALE) ** 2) ** 0.5
        out.append(
            MassReading(
                stage=stage,
                planned=want.mass if want else None,
                measured=read.what.value,
                sigma=sigma,
                z=(read.what.value - want.mass) / sigma if want else None,
                candidates=(),
                findings=(),
                at=read.at,
            )
        )
    return tuple(out)
