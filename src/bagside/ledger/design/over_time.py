"""Parts of one design over time: scatter, trends, what stands out and what it shares, and what the shop may learn.

Nothing here changes a plan. A learned figure is shown with what it rests on; whoever believes it writes it into
``workshop.toml``. People are not compared: who did a step is kept with each part and is no figure of a design.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.bagging.pinholes import Ranked
from bagside.errors import InputError
from bagside.ledger.actual.compared import PlanAgainstActual, compared
from bagside.ledger.clocks.life import Reckoner
from bagside.ledger.design.apart import Circumstance, Shared, shared_by
from bagside.ledger.design.circumstances import circumstances_of
from bagside.ledger.design.learned import Learned, learned_of
from bagside.ledger.design.pinhole_record import likely_causes
from bagside.ledger.design.scatter import share_between
from bagside.ledger.design.series import Series, series_of
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build

FEW = 5
"""Parts below which no scatter, trend or common circumstance is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandsOut:
    """Parts that stand out in one figure.

    Parameters
    ----------
    series
        Key of the figure; ``scrap`` for parts that were scrapped or conceded.
    parts
        Their serial numbers.
    shared
        What they share against the rest, the clearest first.
    causes
        Of pinholes: by part, what its own record makes likely, most likely first; empty otherwise.
    """

    series: str
    parts: tuple[str, ...]
    shared: tuple[Shared, ...]
    causes: tuple[tuple[str, tuple[Ranked, ...]], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Scrapped:
    """How many closed parts were scrapped, of how many, and what the share may be, 95 times in 100."""

    count: int
    closed: int
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignOverTime:
    """The parts of one design.

    Parameters
    ----------
    job
        Name of the design.
    parts
        In the order they were begun.
    revisions
        Of the plans they were made to, in order of first use.
    series
        Each figure over the parts.
    standing
        What stands out, the figure with most parts first.
    scrapped
        None when no part is closed.
    learned
        What the shop may take into its own figures; empty below `FEW` parts for most.
    few
        Whether there are too few parts to tell scatter from change.
    """

    job: str
    parts: tuple[PlanAgainstActual, ...]
    revisions: tuple[str, ...]
    series: tuple[Series, ...]
    standing: tuple[StandsOut, ...]
    scrapped: Scrapped | None
    learned: tuple[Learned, ...]
    few: bool

    @property
    def names(self) -> tuple[str, ...]:
        """Serial numbers of its parts."""
        return tuple(p.build.name for p in self.parts)


def over_time(builds: Sequence[Build], shop: Shop, now: datetime) -> DesignOverTime:
    """Return the parts of one design over time.

    Parameters
    ----------
    builds
        All of one job.
    shop
        The workshop.
    now
        When [UTC].

    Raises
    ------
    InputError
        When there is no part, or they are of several jobs.
    """
    jobs = sorted({b.planned.job for b in builds})
    if len(jobs) != 1:
        raise InputError.one("JOB", ", ".join(jobs), "parts of one job are wanted, at least one")
    reckoner = Reckoner(shop)
    ordered = sorted(builds, key=lambda b: (b.born, b.name))
    parts = tuple(compared(b, shop, now, reckoner=reckoner) for b in ordered)
    series = series_of(parts)
    return DesignOverTime(
        job=jobs[0],
        parts=parts,
        revisions=tuple(dict.fromkeys(p.build.planned.revision for p in parts)),
        series=series,
        standing=_standing(parts, series, shop),
        scrapped=_scrapped(parts),
        learned=learned_of(parts, shop.workshop),
        few=len(parts) < FEW,
    )


def _standing(parts: Sequence[PlanAgainstActual], series: Sequence[Series], shop: Shop) -> tuple[StandsOut, ...]:
    names = [p.build.name for p in parts]
    under = circumstances_of(parts)
    out = []
    for s in series:
        if not s.standing:
            continue
        those = [names[k] for k in s.standing]
        known = [n for n, v in zip(names, s.values, strict=True) if v is not None]
        shared = shared_by(those, known, [u for u in under if not _itself(u, s)])
        causes: tuple[tuple[str, tuple[Ranked, ...]], ...] = ()
        if s.key == "pinholes":
            found = ((n, likely_causes(parts[names.index(n)], shop)) for n in those)
            causes = tuple((n, ranked) for n, ranked in found if ranked)
        out.append(StandsOut(series=s.key, parts=tuple(those), shared=shared, causes=causes))
    closed = [p for p in parts if p.build.closed is not None]
    bad = [p.build.name for p in closed if p.build.closed is not None and p.build.closed.what.verdict != "good"]
    if bad:
        shared = shared_by(bad, [p.build.name for p in closed], under)
        out.append(StandsOut(series="scrap", parts=tuple(bad), shared=shared))
    return tuple(sorted(out, key=lambda s: (-len(s.parts), s.series)))


def _itself(under: Circumstance, series: Series) -> bool:
    """Return whether a circumstance is the figure itself, or holds it."""
    return bool(under.about) and f"{series.key} ".startswith(f"{under.about} ")


def _scrapped(parts: Sequence[PlanAgainstActual]) -> Scrapped | None:
    verdicts = [p.build.closed.what.verdict for p in parts if p.build.closed is not None]
    if not verdicts:
        return None
    count = sum(v == "scrap" for v in verdicts)
    low, high = share_between(count, len(verdicts))
    return Scrapped(count=count, closed=len(verdicts), low=low, high=high)
