"""First cure on a mould that cannot take the heat, then a free-standing post-cure that follows the part's own glass
transition: found together.

A longer hold on the mould costs time there and saves it later, because the part starts the post-cure stiffer. So the
hold is scanned, each with the post-cure ridden from what it leaves, and the two are then polished as one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.aim import Aim, Costs
from bagside.cure.design.bounds import Bounds
from bagside.cure.design.controller import Controller
from bagside.cure.design.design import Design, always, design_of, proven, quiet, scenarios_of
from bagside.cure.design.limits import wanted_cure
from bagside.cure.design.not_reached import not_reached
from bagside.cure.design.riding import Ride, ridden
from bagside.cure.design.rig import Rows
from bagside.cure.design.search import Going, Progress, searched
from bagside.cure.design.stage import CURE_MARGIN, Chain, Stage
from bagside.cure.design.trial import cooled
from bagside.cure.oven import Oven
from bagside.cure.resin import CureResin
from bagside.cure.scenario import Scenario
from bagside.cure.section import Section
from bagside.errors import InputError, NotSolved, Problem

Floats = NDArray[np.float64]

SCANNED, AGAIN = 9, 6
"""Holds on the mould that are tried, and tried again about the best."""

LONGEST_SCAN = 20 * 3600.0
"""Longest first cure that is looked at [s]."""

MORE, LONGER = 1.25, 3600.0
"""How much longer than the best hold as stated it is looked for in all scenarios: a share, and a time [s]."""

FAR = 0.9999
"""Degree of cure that a ride does not reach, so that it goes on."""

POST_SEGMENTS = 4
"""Segments of a post-cure when no controller is stated for it: three, and the cooling."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scanned:
    """One hold on the mould and what it leads to, as ridden.

    Parameters
    ----------
    hold
        Time until cooling begins [s].
    mould
        Time until the part is off, cooling included [s].
    tg
        Least glass transition then [K].
    post
        Time of the post-cure, its cooling not included; infinite when it does not reach its target [s].
    """

    hold: float
    mould: float
    tg: float
    post: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoStage:
    """A first cure on the mould and a post-cure off it.

    Parameters
    ----------
    first, post
        The two.
    handling
        Time between them [s].
    scan
        Holds on the mould that were tried, shortest first.
    """

    first: Design
    post: Design
    handling: float
    scan: tuple[Scanned, ...]

    @property
    def total(self) -> float:
        """Both, and the time between them [s]."""
        return self.first.duration + self.handling + self.post.duration


def two_stage(
    on_mould: Sequence[Section],
    free: Sequence[Section],
    resin: CureResin,
    oven: Oven,
    first: Bounds,
    post: Bounds,
    *,
    start: float,
    post_start: float,
    handling: float = 1800.0,
    scenarios: Sequence[Scenario] | None = None,
    controller: Controller = Controller(),  # noqa: B008 - a frozen value
    post_controller: Controller | None = None,
    aim: Aim = Aim.FASTEST,
    costs: Costs | None = None,
    progress: Progress | None = None,
    going: Going | None = None,
) -> TwoStage:
    """Return the first cure and the post-cure that together reach the target soonest.

    Parameters
    ----------
    on_mould, free
        The same places with and without the mould, as many cells in each laminate.
    resin
        What they hold.
    oven
        What the air can do.
    first
        What the first cure keeps to; its target is the least state in which the part may be taken off. It has to gel
        and to be stiff enough to start the post-cure in any case.
    post
        What the post-cure keeps to; ``stiff`` is how far the glass transition stays above the part, everywhere and at
        all times: a few kelvin for a law that was measured in mid-cycle, far more for one fitted to a data sheet.
    start, post_start
        Temperature of air and part at the start of each [K].
    handling
        Time between the two [s].
    scenarios
        As for `designed`; a scenario holds through both.
    controller, post_controller
        What each is set on; the post-cure takes up to four segments of the same when None.
    aim, costs, progress, going
        As for `designed`.

    Returns
    -------
    TwoStage
        Both designs, and the holds that were tried.

    Raises
    ------
    NotReached
        When the part cannot be taken off, or the post-cure cannot reach its target.
    InputError
        When the input makes no sense, or the cells do not match.
    NotSolved
        As `designed`.
    """
    told, on = progress or quiet, going or always
    _refuse(on_mould, free, post, aim, costs)
    stiff = max(post_start, first.demould or 0.0) + (post.stiff or 0.0)
    first = replace(first, target=max(first.target or 0.0, resin.gel), tg=max(first.tg or 0.0, stiff))
    holds = scenarios_of(oven, scenarios)
    if post_controller is None:
        post_controller = replace(controller, segments=min(controller.segments, POST_SEGMENTS))
    mould = Stage.of("first cure", on_mould, resin, oven, first, controller, start, holds)
    after = Stage.of("post-cure", free, resin, oven, post, post_controller, post_start, holds)
    if wanted_cure(post, resin) >= 1.0:
        raise not_reached(after, None, on)
    told("hold on the mould", 0.0)
    scan = _scanned(mould.only(holds[:1]), after.only(holds[:1]), handling, on)
    told("post-cure", 0.15)
    real = [s for s in scan if s.post > 0.0] or scan  # whoever wants two stages wants the mould back early
    best = min(real, key=lambda s: s.mould + s.post).hold if real else 0.0
    ride, states = _held(mould, on, MORE * best + LONGER)
    hold = min(states, key=lambda s: abs(s.time - best))
    (post_ride,) = _ridden(after, [_off_the_mould(mould, hold)], on)
    if not post_ride.reached:
        ride, states = _held(mould, on)
        numbers = np.linspace(0, len(states) - 1, min(SCANNED, len(states))).round().astype(int)
        off = [_off_the_mould(mould, states[i]) for i in numbers]
        rides = _ridden(after, off, on)
        both = [(states[i], r) for i, r in zip(numbers, rides, strict=True) if r.reached]
        if not both:
            if not on():
                raise NotSolved("post-cure: stopped before a cycle was found that keeps the limits")
            raise not_reached(after, rides[-1], on, off[-1].alpha)
        hold, post_ride = min(both, key=lambda each: each[0].time + float(each[1].time[-1]))
    upto = int(np.searchsorted(ride.time, hold.time)) + 1
    courses = [(ride.time[:upto], ride.air[:upto]), (post_ride.time, post_ride.air)]
    if len(post_ride.time) == 1:  # the mould took all of it
        courses[1] = (np.array([0.0, controller.time_step]), np.array([post_start, post_start]))
    chain = Chain(stages=(mould, after), aim=aim, costs=costs)
    found = searched(chain, courses, lambda what, share: told(what, 0.3 + 0.5 * share), on)
    chain, found, checks = proven(chain, found, told, on)
    told("done", 1.0)
    return TwoStage(
        first=design_of(chain, found, checks, 0, ride),
        post=design_of(chain, found, checks, 1, post_ride),
        handling=handling,
        scan=tuple(scan),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _State:
    """Where the first cure is after some time [s]."""

    time: float
    rows: Rows


def _refuse(on_mould: Sequence[Section], free: Sequence[Section], post: Bounds, aim: Aim, costs: Costs | None) -> None:
    wrong = []
    if len(on_mould) != len(free):
        wrong.append(
            Problem(
                place="places without the mould",
                came=str(len(free)),
                wanted=f"as many as on it are wanted: {len(on_mould)}",
            )
        )
    else:
        wrong += [
            Problem(
                place=f.name,
                came=f"{len(f.reacting)} reacting cells",
                wanted=f"as many as on the mould are wanted: {len(m.reacting)}",
            )
            for m, f in zip(on_mould, free, strict=True)
            if len(m.reacting) != len(f.reacting)
        ]
    if post.stiff is None:
        wrong.append(
            Problem(
                place="post-cure, limit, stiff",
                came="",
                wanted="by how much the glass transition has to stay above the part without its mould is wanted",
                hint="5 K for a law measured in mid-cycle, 30 K or more for one fitted to a data sheet",
            )
        )
    if aim is Aim.CHEAPEST and costs is None:
        wrong.append(
            Problem(
                place="costs",
                came="",
                wanted="what energy and an hour of the oven cost is wanted for the cheapest cycle",
            )
        )
    if wrong:
        raise InputError(wrong)


def _held(mould: Stage, going: Going, upto: float = LONGEST_SCAN) -> tuple[Ride, list[_State]]:
    """Return the first cure ridden on and on up to a time [s], and the states in which the part may be taken off.

    Raises
    ------
    NotReached
        When there is none.
    NotSolved
        When it was stopped before there was one.
    """
    enough = wanted_cure(mould.bounds, mould.resin) + CURE_MARGIN
    if enough >= 1.0:
        raise not_reached(mould, None, going)
    longest = min(mould.bounds.longest, upto)
    on = mould.towards(FAR)
    states: list[_State] = []

    def passed(time: float, rows: Rows) -> None:
        if float(rows.seen.alpha.min()) >= enough:
            states.append(_State(time=time, rows=rows))

    begin = on.rig.rows(1, on.top)
    (ride,) = ridden(on.rig, begin, on.limits, on.pace, longest=longest, going=going, passed=passed, plain=False)
    if not states:
        if not going():
            raise NotSolved("first cure: stopped before a cycle was found that keeps the limits")
        begin = mould.rig.rows(1, mould.top)
        longest = mould.bounds.longest
        (ride,) = ridden(mould.rig, begin, mould.limits, mould.pace, longest=longest, going=going, passed=passed)
        if not ride.reached:
            raise not_reached(mould, ride, going)
    return ride, states


def _off_the_mould(mould: Stage, state: _State) -> Rows:
    """Return the state when the part has been taken off."""
    return state.rows if mould.cooling is None else cooled(mould.rig, state.rows, mould.cooling)


def _ridden(after: Stage, off: Sequence[Rows], going: Going) -> tuple[Ride, ...]:
    begin = after.rig.rows(len(off), after.top, np.concatenate([r.alpha for r in off]))
    return ridden(after.rig, begin, after.limits, after.pace, longest=after.bounds.longest, going=going)


def _scanned(mould: Stage, after: Stage, handling: float, going: Going) -> tuple[Scanned, ...]:
    """Return holds and what they lead to, shortest first: some over the whole range, then some about the best."""
    _, states = _held(mould, going)
    out: dict[int, Scanned] = {}

    def tried(numbers: Sequence[int]) -> None:
        fresh = [i for i in dict.fromkeys(numbers) if i not in out]
        if not fresh or not going():
            return
        off = [_off_the_mould(mould, states[i]) for i in fresh]
        for i, rows, ride in zip(fresh, off, _ridden(after, off, going), strict=True):
            warm = float(rows.seen.warm.max()) if mould.cooling is not None else states[i].time
            out[i] = Scanned(
                hold=states[i].time,
                mould=max(warm, states[i].time),
                tg=float(mould.resin.tg(rows.alpha.min())),
                post=float(ride.time[-1]) if ride.reached else np.inf,
            )

    times = np.array([s.time for s in states])
    spread = np.geomspace(times[0], times[-1], SCANNED)
    tried([int(i) for i in np.abs(times[None, :] - spread[:, None]).argmin(axis=1)])
    if out:
        order = sorted(out)
        k = order.index(min(order, key=lambda i: out[i].mould + out[i].post))
        low, high = order[max(k - 1, 0)], order[min(k + 1, len(order) - 1)]
        tried([int(i) for i in np.linspace(low, high, AGAIN + 2)[1:-1].round()])
    return tuple(out[i] for i in sorted(out))
