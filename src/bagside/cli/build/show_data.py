"""One part as one JSON object, keys with units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bagside.cli import show
from bagside.cli.build import words
from bagside.cli.build.gate_words import gate_data
from bagside.cli.build.list import build_line
from bagside.cli.build.mass_words import mass_data
from bagside.ledger.actual.measured import points_of

if TYPE_CHECKING:
    from bagside.findings import Finding
    from bagside.ledger.builds.weighed import MassReading
    from bagside.ledger.gates.before import Gate
    from bagside.ledger.planned import PlannedStep
    from bagside.ledger.things import Build, Noted, StepDone


def build_data(
    build: Build, masses: Sequence[MassReading], gates: Sequence[Gate], findings: Sequence[Finding]
) -> dict[str, Any]:
    """Return a part as JSON data.

    Parameters
    ----------
    build
        The part.
    masses, gates, findings
        Against its plan, before the next step, and what should be known.
    """
    plan = build.planned
    return {
        **build_line(build),
        "part": plan.part,
        "revision": plan.revision,
        "begun_by": build.begun_by,
        "steps_planned_and_done": [_step(p, d) for p, d in words.steps(build)],
        "plies": [
            {
                "number": p.number,
                "material": p.material,
                "pieces": list(p.pieces),
                "films_each": p.films,
                "ticks": [
                    {**_noted(n), "piece": n.what.piece, "films": n.what.films, "kit": n.what.kit}
                    for n in build.laid
                    if n.what.ply == p.number
                ],
            }
            for p in plan.plies
        ],
        "debulks": [
            {**_noted(n), "after": n.what.after, "min": n.what.seconds / 60, "mbar": n.what.pressure / 100}
            for n in build.debulks
        ],
        "bagged": [{**_noted(n), "items": list(n.what.items), "note": n.what.note} for n in build.bagged],
        "cures": [_cure(n) for n in build.cures],
        "pulled": None
        if build.pulled is None
        else {
            **_noted(build.pulled),
            "mould": build.pulled.what.mould,
            "temperature_c": _celsius(build.pulled.what.temperature),
            "stuck": build.pulled.what.stuck,
        },
        "measured": [
            {**_noted(n), "found": n.what.found.value, "place": n.what.place, "value_si": n.what.value}
            for n in build.measured
        ],
        "points": [
            {
                "place": p.place,
                "where": p.where,
                "planned_mm": None if p.planned is None else 1e3 * p.planned,
                "tolerance_mm": None if p.tolerance is None else 1e3 * p.tolerance,
                "measured_mm": None if p.thickness is None else 1e3 * p.thickness,
            }
            for p in points_of(build)
        ],
        "masses": [mass_data(m) for m in masses],
        "photos": [
            {**_noted(n), "file": n.what.file, "called": n.what.called, "caption": n.what.caption, "step": n.what.step}
            for n in build.photos
        ],
        "conceded": [
            {
                **_noted(n), "what": n.what.what, "why": n.what.why, "effect": n.what.effect, "by": n.what.by,
                "customer": n.what.customer,
            }
            for n in build.conceded
        ],
        "passed": [
            {**_noted(n), "gate": n.what.gate, "step": n.what.step, "by": n.what.by, "why": n.what.why}
            for n in build.passed
        ],
        "gates": [gate_data(g) for g in gates],
        "findings": [show.finding_data(f) for f in findings],
    }  # fmt: skip


def _step(planned: PlannedStep, done: StepDone) -> dict[str, Any]:
    return {
        "key": planned.key,
        "name": planned.name,
        "stage": planned.stage,
        "planned_attended_min": planned.attended / 60,
        "planned_unattended_min": planned.unattended / 60,
        "started": None if done.started is None else done.started.isoformat(),
        "finished": None if done.finished is None else done.finished.isoformat(),
        "attended_min": None if done.attended is None else done.attended / 60,
        "boxes": [{"box": box, "ticked": n in done.boxes} for n, box in enumerate(planned.boxes)],
        "who": list(done.who),
        "note": done.note,
    }


def _cure(noted: Noted[Any]) -> dict[str, Any]:
    what = noted.what
    return {
        **_noted(noted),
        "builds": list(what.builds),
        "post": what.post,
        "log": what.file,
        "called": what.called,
        "min": what.seconds / 60,
        "programme": what.programme,
        "verdict": what.verdict,
        "reasons": list(what.reasons),
        "cure": what.cure,
        "tg_c": _celsius(what.tg),
        "hottest_part_c": _celsius(what.hottest_part),
        "hottest_tool_c": _celsius(what.hottest_tool),
        "pressure_mbar": None if what.pressure is None else what.pressure / 100,
    }


def _celsius(kelvin: float | None) -> float | None:
    return None if kelvin is None else kelvin - 273.15


def _noted(noted: Noted[Any]) -> dict[str, Any]:
    return {"event": noted.event, "at": noted.at.isoformat(), "who": noted.who}
