"""What cannot be true of a build: each refusal is one sentence that says where, why, and what to do instead.

What is merely early, late or off is kept: gates and findings tell of it. Refused is what would let the records
contradict themselves: a tick for a ply that is not there, a step finished twice, a part that is good while it is open.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from bagside.errors import Problem, did_you_mean
from bagside.ledger.bodies import (
    Bagged,
    Begun,
    Body,
    Closed,
    Conceded,
    Cured,
    Debulked,
    Finished,
    Laid,
    Measured,
    Passed,
    Photographed,
    Pulled,
    Started,
)
from bagside.ledger.builds.build_closing import closing_problems
from bagside.ledger.builds.build_readings import cured_problems, debulked_problems, measured_problems, pulled_problems
from bagside.ledger.event import Event
from bagside.ledger.gates.gate import CLOSING, GATES
from bagside.ledger.things import Build, Thing

CORRECT = "correct that event if it was wrong"


def build_problems(event: Event, before: Mapping[str, Thing | None]) -> tuple[Problem, ...]:
    """Return why an event cannot be true of the builds it touches; nothing when it can.

    Parameters
    ----------
    event
        New.
    before
        Everything it touches, as it is; None for what is not known.

    Notes
    -----
    What is written down late is held against the time at which it happened: a closed build takes what was before.
    """
    body = event.body
    if isinstance(body, Begun):
        return _begun(body, before)
    names = body.builds if isinstance(body, Cured) else _named(body)
    wrong: list[Problem] = []
    if isinstance(body, Cured) and not names:
        wrong.append(Problem(place="cured, builds", came="", wanted="which parts were in the oven is wanted"))
    for name in dict.fromkeys(names):
        if name not in before:  # not asked for
            continue
        thing = before[name]
        if isinstance(thing, Build):
            wrong += _of_build(event, thing)
        elif not isinstance(body, Measured | Photographed):  # those may be of a mould, a place or cloth
            wanted = "there is no build of this serial number" if thing is None else "this is not a build"
            hint = "begin it first, or look at the number"
            wrong.append(Problem(place=f"{event.kind}, build", came=f'"{name}"', wanted=wanted, hint=hint))
    return tuple(wrong)


def _named(body: Body) -> tuple[str, ...]:
    """Return the build that a body names, when it names one."""
    if isinstance(body, Measured | Photographed):
        return (body.subject,)
    kinds = (Started, Finished, Laid, Debulked, Bagged, Pulled, Conceded, Passed, Closed)
    return (body.build,) if isinstance(body, kinds) else ()


def _begun(body: Begun, before: Mapping[str, Thing | None]) -> tuple[Problem, ...]:
    wrong: list[Problem] = []
    taken = before.get(body.build)
    if taken is not None:
        what = "a build" if isinstance(taken, Build) else f"a {taken.sort.value}"
        wanted = f"this serial number is taken by {what} of {taken.born:%Y-%m-%d}; no two things ever share one"
        wrong.append(
            Problem(place="begun, build", came=f'"{body.build}"', wanted=wanted, hint="take a number not used before")
        )
    if not body.build.strip():
        wrong.append(Problem(place="begun, build", came="", wanted="a serial number is wanted"))
    if not body.planned.steps:
        wanted = "there is no step in it"
        wrong.append(Problem(place=f"{body.build}, plan", came="", wanted=wanted, hint="plan it anew"))
    for word, keys in (
        ("steps", [s.key for s in body.planned.steps]),
        ("plies", [str(p.number) for p in body.planned.plies]),
    ):
        twice = sorted({k for k in keys if keys.count(k) > 1})
        if twice:
            wanted = "each may be there once"
            wrong.append(Problem(place=f"{body.build}, plan, {word}", came=", ".join(twice), wanted=wanted))
    return tuple(wrong)


def _of_build(event: Event, build: Build) -> list[Problem]:
    """Return why an event cannot be true of a build that is known."""
    body = event.body
    if event.at < build.born:
        wanted = f"it was begun {_moment(build.born)}, which is later"
        return [
            Problem(
                place=f"{build.name}, {event.kind}", came=_moment(event.at), wanted=wanted,
                hint="look at the time, or correct when it was begun",
            )
        ]  # fmt: skip
    if build.closed is not None and event.at > build.closed.at:
        closed = build.closed
        wanted = f"it was closed as {closed.what.verdict} by {closed.who}, {_moment(closed.at)}"
        return [
            Problem(
                place=f"{build.name}, {event.kind}", came=_moment(event.at), wanted=wanted,
                hint="correct the event that closed it, then write this down",
            )
        ]  # fmt: skip
    match body:
        case Started():
            return _started(event, body, build)
        case Finished():
            return _finished(event, body, build)
        case Laid():
            return _laid(body, build)
        case Debulked():
            return debulked_problems(body, build)
        case Cured():
            return cured_problems(body, build)
        case Pulled():
            return pulled_problems(body, build)
        case Measured():
            return measured_problems(body, build)
        case Photographed():
            return _of_step(body.step, build) if body.step else []
        case Conceded():
            return _words(build, "concession", what=body.what, why=body.why, effect=body.effect, by=body.by)
        case Passed():
            return _passed(body, build)
        case Closed():
            return closing_problems(body, build)
        case _:
            return []


def _of_step(key: str, build: Build, *besides: str) -> list[Problem]:
    """Return that a step is not in the plan."""
    known = (*(s.key for s in build.steps), *besides)
    if key in known:
        return []
    wanted = "there is no such step in its plan"
    return [
        Problem(place=f"{build.name}, step", came=f'"{key}"', wanted=wanted, hint=did_you_mean(key, known))
    ]


def _started(event: Event, body: Started, build: Build) -> list[Problem]:
    wrong = _of_step(body.step, build)
    if wrong:
        return wrong
    step = next(s for s in build.steps if s.key == body.step)
    place = f"{build.name}, step {step.key}"
    if step.finished is not None and event.at > step.finished:
        wanted = f"it was finished {_moment(step.finished)} and cannot be started after that"
        return [Problem(place=place, came=_moment(event.at), wanted=wanted, hint=CORRECT)]
    if step.started is not None and event.at >= step.started and event.who in step.who:
        wanted = f"{event.who} has been at it since {_moment(step.started)}"
        return [Problem(place=place, came=_moment(event.at), wanted=wanted, hint="finish it when it is done")]
    return []


def _finished(event: Event, body: Finished, build: Build) -> list[Problem]:
    wrong = _of_step(body.step, build)
    if wrong:
        return wrong
    step = next(s for s in build.steps if s.key == body.step)
    boxes = next(s for s in build.planned.steps if s.key == body.step).boxes
    place = f"{build.name}, step {step.key}"
    if step.finished is not None:
        wanted = f"it was finished {_moment(step.finished)} by {_people(step.who)}"
        wrong.append(Problem(place=place, came=_moment(event.at), wanted=wanted, hint=CORRECT))
    elif step.started is not None and event.at < step.started:
        wanted = f"it was started {_moment(step.started)}, which is later"
        wrong.append(Problem(place=place, came=_moment(event.at), wanted=wanted, hint="look at the time"))
    outside = sorted({n for n in body.boxes if not 0 <= n < len(boxes)})
    if outside:
        has = f"its boxes are 1 to {len(boxes)}" if boxes else "it has no boxes"
        came = ", ".join(str(n + 1) for n in outside)
        wrong.append(Problem(place=f"{place}, boxes", came=came, wanted=has))
    open_boxes = [b for n, b in enumerate(boxes) if n not in body.boxes]
    if open_boxes and not body.note.strip():
        came = "; ".join(f'"{b}"' for b in open_boxes)
        wanted = "not ticked yet"
        wrong.append(
            Problem(place=f"{place}, boxes", came=came, wanted=wanted, hint="tick them, or say in a note why not")
        )
    if body.attended is not None and body.attended < 0.0:
        wanted = "a time not below zero is wanted"
        wrong.append(Problem(place=f"{place}, attended", came=f"{body.attended:g} s", wanted=wanted))
    return wrong


def _laid(body: Laid, build: Build) -> list[Problem]:
    plies = {p.number: p for p in build.planned.plies}
    if body.ply not in plies:
        numbers = ", ".join(str(n) for n in plies) if len(plies) < 4 else f"{min(plies)} to {max(plies)}"
        wanted = f"this ply is not in the build: it has {numbers}" if plies else "this build has no plies"
        return [Problem(place=f"{build.name}, ply", came=str(body.ply), wanted=wanted)]
    ply = plies[body.ply]
    place = f"{build.name}, ply {ply.number}, piece"
    wrong: list[Problem] = []
    if body.films < 0:
        wanted = "a number of films from 0 is wanted"
        wrong.append(Problem(place=f"{build.name}, ply {ply.number}, films", came=str(body.films), wanted=wanted))
    if body.piece not in ply.pieces:
        home = [p.number for p in plies.values() if body.piece in p.pieces]
        wanted = f"it is a piece of ply {home[0]}" if home else "this ply has no such piece"
        hint = did_you_mean(body.piece, ply.pieces)
        return [*wrong, Problem(place=place, came=f'"{body.piece}"', wanted=wanted, hint=hint)]
    ticks = [t for t in build.laid if (t.what.ply, t.what.piece) == (body.ply, body.piece)]
    if len(ticks) >= ply.pieces.count(body.piece):
        wanted = f"{ticks[-1].who} ticked it {_moment(ticks[-1].at)}"
        wrong.append(
            Problem(
                place=place, came=f'"{body.piece}"', wanted=wanted,
                hint="one of the two ticks is another piece: look, and correct it",
            )
        )  # fmt: skip
    return wrong


def _passed(body: Passed, build: Build) -> list[Problem]:
    wrong = _words(build, f"gate {body.gate}", by=body.by, why=body.why)
    if body.gate not in GATES:
        wanted = "there is no such gate"
        hint = did_you_mean(body.gate, GATES)
        wrong.append(Problem(place=f"{build.name}, gate", came=f'"{body.gate}"', wanted=wanted, hint=hint))
    return [*wrong, *_of_step(body.step, build, CLOSING)]


def _words(build: Build, word: str, **texts: str) -> list[Problem]:
    """Return which of several texts are missing."""
    wanted = {
        "what": "what departs from the plan is wanted",
        "why": "the reason is wanted",
        "effect": "what it means for the part is wanted",
        "by": "the name of who takes it on is wanted",
    }
    return [
        Problem(place=f"{build.name}, {word}, {key}", came="", wanted=wanted[key])
        for key, text in texts.items()
        if not text.strip()
    ]


def _people(who: tuple[str, ...]) -> str:
    return " and ".join(who) or "nobody named"


def _moment(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"
