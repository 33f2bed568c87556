"""One oven run as its chart shows it: curves, limits, what is kept and by how much.

It is made from a case alone, in a few hundredths of a second, so that the same code serves the plan's own view and
every move of a handle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Programme, SectionHistory, Segment
from bagside.cure.noticed import DWELL_SHARE, EXOTHERM_DECIDE, SHORTEST_DWELL
from bagside.errors import InputError
from bagside.findings import Basis, Finding
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_design import void_free
from bagside.planning.cure_stage import CurePlan, Run, cure_findings, cure_plan
from bagside.spec.job import CycleWanted

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

SAMPLES = 360
"""Times a curve is drawn at: closer than a pixel would be lost."""
FAR = 35.0
"""A limit further above everything is said in words and not drawn [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """Where a run may not go.

    Parameters
    ----------
    kind
        ``tool``, ``resin``, ``oven``, ``void`` or ``stiff``.
    times, edge
        Its lower edge: shape (k,) [s], shape (k,) [K].
    words
        On what it rests, as planning says it; may be empty.
    basis
        The same as a basis.
    """

    kind: str
    times: tuple[float, ...]
    edge: tuple[float, ...]
    words: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One thing a run is held to.

    Parameters
    ----------
    key
        ``cure``, ``tg``, ``laminate``, ``tool``, ``apart``, ``over``, ``dwell``, ``stiff``, ``duration`` or ``energy``.
    value
        What it comes to [SI].
    basis
        On what that rests.
    wanted
        What is wanted [SI]; None when nothing is.
    most
        Whether the wanted one is the most it may be; the least else.
    wanted_basis
        On what that rests; None when a person stated it in the job.
    """

    key: str
    value: float
    basis: Basis
    wanted: float | None = None
    most: bool = False
    wanted_basis: Basis | None = None

    @property
    def holds(self) -> bool:
        """Whether it is as wanted; so when nothing is."""
        return self.wanted is None or (self.value <= self.wanted if self.most else self.value >= self.wanted)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RunShown:
    """One oven run, drawn and judged.

    Parameters
    ----------
    name
        ``cure`` or ``post-cure``.
    start
        Of the programme [K].
    segments
        Target [K], ramp [K/s] and hold [s] of each.
    duration
        From heat on until the part may be taken out [s].
    time
        Shape (k,) [s].
    leading, lagging, air
        Hottest point anywhere, coolest point of the place that lags, the oven's mean air; shape (k,) [K].
    cure, tg
        Of the place that lags, shape (k,), shape (k,) [K].
    lead_place, lag_place
        What those places are called.
    gel
        When the last place gels [s], and its degree of cure then; None when it does not, or has before.
    hottest
        When and how hot the hottest place is [s], [K].
    bounds
        Where it may not go.
    kept
        What it is held to.
    findings
        What the cure bench noticed.
    """

    name: str
    start: float
    segments: tuple[tuple[float, float, float], ...]
    duration: float
    time: Singles
    leading: Singles
    lagging: Singles
    air: Singles
    cure: Singles
    tg: Singles
    lead_place: str
    lag_place: str
    gel: tuple[float, float] | None
    hottest: tuple[float, float]
    bounds: tuple[Bound, ...]
    kept: tuple[Kept, ...]
    findings: tuple[Finding, ...]


def programme_from(start: float, segments: Sequence[tuple[float, float, float]]) -> Programme:
    """Return a programme.

    Parameters
    ----------
    start
        Temperature at the start [K].
    segments
        Target [K], ramp [K/s] and hold [s] of each.

    Raises
    ------
    InputError
        When it cannot be run.
    """
    return Programme(start=start, segments=tuple(Segment(target=t, ramp=r, hold=h) for t, r, h in segments))


def with_segments(case: CureCase, name: str, segments: Sequence[tuple[float, float, float]]) -> CureCase:
    """Return a case with another programme in one of its runs.

    Parameters
    ----------
    case
        What is cured.
    name
        ``cure`` or ``post-cure``.
    segments
        See `programme_from`.

    Raises
    ------
    InputError
        When it cannot be run, or there is no such run.
    """
    if name == "cure":
        return replace(case, programme=programme_from(case.start, segments), wanted=None)
    if case.post is None:
        raise InputError.one("post_cure", "", "this job has no post-cure")
    return replace(case, post=programme_from(case.post.start, segments), wanted=None)


def runs_shown(case: CureCase, plan: CurePlan | None = None) -> tuple[RunShown, ...]:
    """Return every oven run of a case.

    Parameters
    ----------
    case
        With its programme.
    plan
        Worked out from it; worked out here when None.

    Raises
    ------
    InputError
        When the programme cannot be run.
    """
    done = cure_plan(case) if plan is None else plan
    noticed = cure_findings(done, case)
    names = ("cure", "post-cure")
    return tuple(
        _shown(name, run, case, tuple(f for f in noticed if _of(f, name)))
        for name, run in zip(names, done.runs, strict=False)
    )


def _of(finding: Finding, name: str) -> bool:
    return finding.place.startswith("post-cure") is (name == "post-cure")


def _shown(name: str, run: Run, case: CureCase, noticed: tuple[Finding, ...]) -> RunShown:
    on_mould = name == "cure"
    lag = min(range(len(run.outcomes)), key=lambda k: run.outcomes[k].alpha_lagging)
    lead = max(range(len(run.outcomes)), key=lambda k: run.outcomes[k].hottest)
    slow, fast = run.histories[lag], run.histories[lead]
    alpha = slow.alpha[:, slow.lagging]
    grid = np.linspace(slow.time[0], slow.time[-1], min(SAMPLES, 4 * len(slow.time)))
    tg = np.asarray(case.resin.tg(alpha), dtype=np.float64)
    outcome = run.outcomes[lag]
    gel = None
    if on_mould and outcome.gel_time is not None:
        gel = (outcome.gel_time, float(np.interp(outcome.gel_time, slow.time, alpha)))
    peak = run.outcomes[lead]

    def thin(values: Floats) -> Singles:
        out: Singles = np.interp(grid, slow.time, values).astype(np.float32)
        return out

    return RunShown(
        name=name,
        start=run.programme.start,
        segments=tuple((s.target, s.ramp, s.hold) for s in run.programme.segments),
        duration=run.duration,
        time=grid.astype(np.float32),
        leading=thin(_hottest(fast)),
        lagging=thin(slow.laminate_temperature.min(axis=1)),
        air=thin(slow.air - slow.section.air_offset),
        cure=thin(alpha),
        tg=thin(tg),
        lead_place=run.outcomes[lead].name,
        lag_place=outcome.name,
        gel=gel,
        hottest=(peak.hottest_time, peak.hottest),
        bounds=_bounds(run, case, slow, tg, on_mould=on_mould),
        kept=_kept(run, case, on_mould=on_mould),
        findings=noticed,
    )


def _hottest(history: SectionHistory) -> Floats:
    out: Floats = history.laminate_temperature.max(axis=1)
    return out


def _bounds(run: Run, case: CureCase, slow: SectionHistory, tg: Floats, *, on_mould: bool) -> tuple[Bound, ...]:
    end = float(max(slow.time[-1], run.programme.duration))
    top = max(run.programme.hottest, max(o.hottest for o in run.outcomes)) + FAR
    found: list[Bound] = []

    def level(kind: str, edge: float | None, words: str, basis: Basis, until: float = end) -> None:
        covered = any(
            len(b.edge) == 2 and edge is not None and b.edge[0] <= edge and b.times[1] >= until for b in found
        )
        if edge is not None and edge < top and not covered:
            found.append(Bound(kind=kind, times=(0.0, until), edge=(edge, edge), words=words, basis=basis))

    if on_mould:
        basis = Basis.COMMON if case.mould is None else case.mould.basis
        level("tool", run.limits.tool, case.tool_limit_words, basis)
        gels = [o.gel_time for o in run.outcomes]
        wet = void_free(case, case.wanted or CycleWanted())
        if all(g is not None for g in gels):
            level("void", wet, "", Basis.PUBLISHED, max(g for g in gels if g is not None))
    else:
        pick = np.linspace(0, len(slow.time) - 1, min(80, len(slow.time))).astype(int)
        edge = tuple(float(t) for t in tg[pick])
        times = tuple(float(t) for t in slow.time[pick])
        found.append(Bound(kind="stiff", times=times, edge=edge, words="", basis=case.basis))
    level("resin", run.limits.resin, case.resin_name, case.basis)
    level("oven", case.oven.hottest, "", Basis.MEASURED)
    return tuple(found)


def _kept(run: Run, case: CureCase, *, on_mould: bool) -> tuple[Kept, ...]:
    limits, outcomes, basis = run.limits, run.outcomes, case.basis
    heating = run.histories[0].time <= run.programme.duration
    hot = np.max([h.laminate_temperature.max(axis=1) for h in run.histories], axis=0)
    cold = np.min([h.laminate_temperature.min(axis=1) for h in run.histories], axis=0)
    tools = [o.tool_hottest for o in outcomes if o.tool_hottest is not None]
    asked = min(o.dwell_asked for o in outcomes)
    rows = [
        Kept(key="cure", value=min(o.alpha_lagging for o in outcomes), basis=basis, wanted=limits.target),
        Kept(key="tg", value=min(o.tg for o in outcomes), basis=basis, wanted=limits.service + limits.margin),
        Kept(
            key="laminate",
            value=max(o.hottest for o in outcomes),
            basis=basis,
            wanted=limits.resin,
            most=True,
            wanted_basis=basis,
        ),
    ]
    if on_mould and tools:
        rows.append(
            Kept(
                key="tool",
                value=max(tools),
                basis=basis,
                wanted=limits.tool,
                most=True,
                wanted_basis=Basis.COMMON if case.mould is None else case.mould.basis,
            )
        )
    if not on_mould:
        least = min(o.stiff_margin for o in outcomes)
        rows.append(Kept(key="stiff", value=least, basis=basis, wanted=0.0, wanted_basis=basis))
    rows += [
        Kept(key="apart", value=float((hot - cold)[heating].max()), basis=basis),
        Kept(
            key="over",
            value=max(o.overshoot for o in outcomes),
            basis=basis,
            wanted=EXOTHERM_DECIDE,
            most=True,
            wanted_basis=Basis.COMMON,
        ),
        Kept(
            key="dwell",
            value=min(o.dwell for o in outcomes),
            basis=basis,
            wanted=DWELL_SHARE * asked if asked >= SHORTEST_DWELL else None,
            wanted_basis=Basis.COMMON,
        ),
        Kept(key="duration", value=run.duration, basis=basis),
        Kept(key="energy", value=run.energy.total, basis=Basis.MEASURED),
    ]
    return tuple(rows)
