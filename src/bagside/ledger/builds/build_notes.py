"""What merely looks wrong when it is written down of a build: it is kept, and told at once as a finding.

Refused is only what cannot be true (`bagside.ledger.builds.build_rules`); what stops the next step are gates. Here is
what a person should hear while the part is still on the bench: out of order, too short, too warm, off its angle.
"""

from __future__ import annotations

import math
from datetime import timedelta

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.actual.laid import plies_of
from bagside.ledger.bodies import Closed, Cured, Debulked, Finished, Laid, Pulled, Started
from bagside.ledger.event import Event
from bagside.ledger.things import Build
from bagside.quantity import shown

ARROW, BACKING = math.radians(3.0), math.radians(5.0)
"""How far the warp may be off its arrow, and off in a ply that neither shows nor carries: ±2° and ±1° are aimed at,
±5° is tolerable in backing. Common practice, no source."""

WARM = 333.15
"""Cloth is never warmed above this [K]: 60 °C. Common practice, no source."""


def noticed(event: Event, build: Build) -> tuple[Finding, ...]:
    """Return what looks wrong about something that happened to a build.

    Parameters
    ----------
    event
        It touches the build, and rules let it pass.
    build
        As it was before.
    """
    match event.body:
        case Started():
            return _started(event.body, build)
        case Finished():
            return _finished(event, event.body, build)
        case Laid():
            return _laid(event.body, build)
        case Debulked():
            return _debulked(event.body, build)
        case Cured():
            return _cured(event.body, build)
        case Pulled():
            return _pulled(event.body, build)
        case Closed():
            return _closed(event.body, build)
        case _:
            return ()


def _found(severity: Severity, place: str, what: str, why: str, do: str) -> Finding:
    return Finding(
        severity=severity, stage="build", place=place, what=what, why=why, do=do, basis=Basis.COMMON
    )


def _started(body: Started, build: Build) -> tuple[Finding, ...]:
    keys = [s.key for s in build.steps]
    left = [s.key for s in build.steps[: keys.index(body.step)] if s.finished is None] if body.step in keys else []
    if not left:
        return ()
    named = ", ".join(left[:4]) + (f" and {len(left) - 4} more" if len(left) > 4 else "")
    return (
        _found(
            Severity.WATCH, f"{build.name}, {body.step}", f"{named} {'is' if len(left) == 1 else 'are'} not finished",
            "what comes before is looked at least when the next thing has begun",
            "finish what is done, with its boxes, or go back to it",
        ),
    )  # fmt: skip


def _finished(event: Event, body: Finished, build: Build) -> tuple[Finding, ...]:
    step = next((s for s in build.steps if s.key == body.step), None)
    if step is None:
        return ()
    place = f"{build.name}, {body.step}"
    if step.started is None and body.attended is None:
        return (
            _found(
                Severity.SEEN, place, "nobody wrote down when it was begun",
                "how long it took stays unknown, and the next plan learns nothing from it",
                "state the hands-on time with the finish, or start the next step when it begins",
            ),
        )  # fmt: skip
    if step.started is not None and body.attended is not None:
        passed = event.at - step.started
        people = len({*step.who, event.who})
        if timedelta(seconds=body.attended) > people * passed + timedelta(minutes=1):
            told = f"{shown(body.attended, 'min', 0)} of hands-on work in {shown(passed.total_seconds(), 'min', 0)}"
            return (
                _found(
                    Severity.WATCH, place, f"{told} by {people} {'person' if people == 1 else 'people'}",
                    "the time is longer than the step", "correct its start or its time",
                ),
            )  # fmt: skip
    return ()


def _laid(body: Laid, build: Build) -> tuple[Finding, ...]:
    place = f"{build.name}, ply {body.ply}, piece {body.piece}"
    out = []
    under = [p.number for p in plies_of(build) if p.number < body.ply and not p.laid]
    if under:
        named = ", ".join(str(n) for n in under)
        out.append(
            _found(
                Severity.DECIDE, place, f"it is laid over ply {named}, which is not ticked whole",
                "a ply laid out of order or left out cannot be reached any more",
                "look now: tick what lies there, or take this piece off again",
            )
        )  # fmt: skip
    if body.angle is not None and abs(body.angle) > ARROW:
        out.append(
            _found(
                Severity.DECIDE if abs(body.angle) > BACKING else Severity.WATCH, place,
                f"its warp is {shown(abs(body.angle), '°', 1)} off the arrow; 3° is usual at most",
                "straight lines show it, and the part is stiff in another direction",
                "lift it while it is tacky and lay it anew; chill it first when it sticks",
            )
        )  # fmt: skip
    return tuple(out)


def _debulked(body: Debulked, build: Build) -> tuple[Finding, ...]:
    place = f"{build.name}, debulk after ply {body.after}"
    out = []
    left = [p.number for p in plies_of(build) if p.number <= body.after and not p.laid]
    if left:
        out.append(
            _found(
                Severity.WATCH, place, f"ply {', '.join(str(n) for n in left)} is not ticked whole",
                "what is not under the bag is not pressed", "tick what lies there, or debulk again when it is laid",
            )
        )  # fmt: skip
    over = [t.what.ply for t in build.laid if t.what.ply > body.after]
    if over:
        out.append(
            _found(
                Severity.WATCH, place, f"ply {max(over)} is laid already",
                "a debulk presses all that lies there, and the plan wanted one before that ply",
                "write it down as after the ply that was laid last",
            )
        )  # fmt: skip
    if body.temperature is not None and body.temperature > WARM:
        out.append(
            _found(
                Severity.DECIDE, place, f"{shown(body.temperature, '°C', 0)}; never above {shown(WARM, '°C', 0)}",
                "the resin begins to cure, and its life is used in minutes",
                "look at tack and life of the cloth before the next ply goes on",
            )
        )  # fmt: skip
    return tuple(out)


def _cured(body: Cured, build: Build) -> tuple[Finding, ...]:
    place = f"{build.name}, {'post-cure' if body.post else 'cure'}"
    out = []
    limit = build.planned.mould_limit
    if body.post and not any(not c.what.post for c in build.cures):
        out.append(
            _found(
                Severity.DECIDE, place, "no cure on the mould is written down before it",
                "a part that is not stiff yet sags in a post-cure", "write the first cure down with its log",
            )
        )  # fmt: skip
    if not body.post and not build.bagged:
        out.append(
            _found(
                Severity.WATCH, place, "nobody wrote down that it was bagged",
                "what the bag was made of, and that it saw this heat, stays unknown", "write down with what, late",
            )
        )  # fmt: skip
    if not body.post and limit is not None and body.hottest_tool is not None and body.hottest_tool > limit:
        out.append(
            _found(
                Severity.DECIDE, place,
                f"the tool saw {shown(body.hottest_tool, '°C', 0)}, it stands {shown(limit, '°C', 0)}",
                "above its limit a mould creeps, and every later part with it",
                "measure a known length of the mould before the next part is laid",
            )
        )  # fmt: skip
    return tuple(out)


def _pulled(body: Pulled, build: Build) -> tuple[Finding, ...]:
    place = f"{build.name}, demould"
    out = []
    if not build.cures:
        out.append(
            _found(
                Severity.WATCH, place, "no cure is written down", "nobody can tell later what state it is in",
                "write the cure down with its log, late",
            )
        )  # fmt: skip
    limit = build.planned.demould
    if limit is not None and body.temperature is not None and body.temperature > limit:
        out.append(
            _found(
                Severity.DECIDE, place,
                f"it came off at {shown(body.temperature, '°C', 0)}; {shown(limit, '°C', 0)} or less is wanted",
                "a part pulled hot warps as it cools",
                "hold it against its mould when it is cold; re-clamp and warm it to 10 K below its Tg if it moved",
            )
        )  # fmt: skip
    if body.mould and build.mould and body.mould != build.mould:
        out.append(
            _found(
                Severity.WATCH, place, f"it came off {body.mould}, and was begun on {build.mould}",
                "pulls and release are counted for the mould that is named", "correct the one that is wrong",
            )
        )  # fmt: skip
    return tuple(out)


def _closed(body: Closed, build: Build) -> tuple[Finding, ...]:
    if body.verdict != "good" or not build.conceded:
        return ()
    many = len(build.conceded)
    return (
        _found(
            Severity.DECIDE, f"{build.name}, close",
            f"it is closed as good with {many} concession{'s' if many > 1 else ''}",
            "a part with a concession is one that the customer accepts, not one without fault",
            "close it as conceded, and say to the customer what departs from the plan",
        ),
    )  # fmt: skip
