"""Plan against actual as one JSON object, keys with units."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.ledger.actual.compared import PlanAgainstActual
    from bagside.ledger.clocks.life import Clock


def actual_data(found: PlanAgainstActual) -> dict[str, Any]:
    """Return a part as planned and as made.

    Parameters
    ----------
    found
        The part.
    """
    from bagside.ledger.actual.measured import pinhole_count

    build, plan = found.build, found.build.planned
    return {
        "build": build.name,
        "job": plan.job,
        "part": plan.part,
        "number": plan.number,
        "quantity": plan.quantity,
        "revision": plan.revision,
        "begun": _at(build.born),
        "closed": None if build.closed is None else {"at": _at(build.closed.at), "verdict": build.closed.what.verdict},
        "steps": [
            {
                "key": s.key, "name": s.name, "stage": s.stage, "share": s.share,
                "planned_attended_min": s.planned_attended / 60, "planned_elapsed_min": s.planned_elapsed / 60,
                "attended_min": _by(s.attended, 60), "attended_stated": s.stated, "elapsed_min": _by(s.elapsed, 60),
                "started": _at(s.started), "finished": _at(s.finished), "who": list(s.who), "boxes": len(s.boxes),
                "ticked": s.ticked, "note": s.note,
            }
            for s in found.steps
        ],
        "chapters": [
            {
                "stage": c.stage, "planned_min": c.planned / 60, "planned_known_min": c.planned_known / 60,
                "actual_min": c.actual / 60, "known": c.known, "steps": c.steps,
            }
            for c in found.chapters
        ],
        "plies": [
            {
                "number": p.number, "material": p.material, "films_planned": p.films_planned, "films": p.films,
                "pieces": [
                    {
                        "label": x.label, "films_planned": x.films,
                        "laid": None if x.tick is None else _at(x.tick.at),
                        "who": None if x.tick is None else x.tick.who,
                        "kit": None if x.tick is None else x.tick.what.kit,
                        "films": None if x.tick is None else x.tick.what.films,
                    }
                    for x in p.pieces
                ],
            }
            for p in found.plies
        ],
        "debulks": [
            {
                "after": d.after, "planned_min": None if d.planned is None else d.planned.seconds / 60,
                "planned_mbar": None if d.planned is None else d.planned.pressure / 100,
                "min": None if d.done is None else d.done.what.seconds / 60,
                "mbar": None if d.done is None else d.done.what.pressure / 100,
                "long_enough": d.long_enough, "deep_enough": d.deep_enough,
            }
            for d in found.debulks
        ],
        "leaks": [
            {
                "at": _at(t.reading.at), "rise_mbar_in_5_min": _by(t.rise, 1 / 3),
                "limit_mbar_in_5_min": _by(t.limit, 1 / 3), "kept": t.kept,
            }
            for t in found.leaks
        ],
        "cures": [
            {
                "at": _at(c.at), "post": c.what.post, "h": c.what.seconds / 3600, "verdict": c.what.verdict,
                "cure": c.what.cure, "tg_c": _celsius(c.what.tg), "hottest_part_c": _celsius(c.what.hottest_part),
                "hottest_tool_c": _celsius(c.what.hottest_tool), "log": c.what.file,
            }
            for c in found.cures
        ],
        "masses": [
            {
                "stage": m.stage.value, "planned_g": _by(m.planned, 1e-3), "measured_g": m.measured * 1e3,
                "sigma_g": m.sigma * 1e3, "z": m.z,
                "candidates": [{"what": c.what, "chance": c.chance} for c in m.candidates[:5]],
            }
            for m in found.masses
        ],
        "points": [
            {
                "place": p.place, "where": p.where, "planned_mm": _by(p.planned, 1e-3),
                "tolerance_mm": _by(p.tolerance, 1e-3), "thickness_mm": _by(p.thickness, 1e-3),
                "readings": p.readings, "inside": p.inside,
            }
            for p in found.points
        ],
        "pinholes": pinhole_count(found.pinholes),
        "pinholes_by_place": {p.place: p.count for p in found.pinholes},
        "climate": [
            {
                "at": _at(c.reading.at), "temperature_c": _celsius(c.reading.what.value),
                "humidity": c.reading.what.humidity, "fit_for_laying": c.laying,
            }
            for c in found.climate
        ],
        "cloth": [
            {
                "material": u.material, "kit": u.kit, "plies": list(u.plies), "batches": list(u.batches),
                "sources": list(u.sources), "rolls": list(u.rolls),
                "use_by": None if u.use_by is None else u.use_by.isoformat(), "at": _at(u.at), "at_the_cure": u.cured,
                "out_life": _clock(u.out), "tack": _clock(u.tack), "area_m2": u.area, "cut_m2": u.taken,
            }
            for u in found.cloth
        ],
        "goods": [
            {"name": g.name, "material": g.material, "batch": g.batch, "for": g.what_for, "cures_seen": g.heats}
            for g in found.goods
        ],
        "mould": None
        if found.mould is None
        else {
            "name": found.mould.name, "pull": found.mould.pull, "since_release": found.mould.since_release,
            "hottest_c": _celsius(found.mould.hottest), "limit_c": _celsius(found.mould.limit),
        },
        "conceded": [
            {
                "what": c.what.what, "why": c.what.why, "effect": c.what.effect, "by": c.what.by,
                "customer": c.what.customer,
            }
            for c in found.conceded
        ],
        "passed": [
            {"gate": p.what.gate, "step": p.what.step, "by": p.what.by, "why": p.what.why} for p in found.passed
        ],
        "attended_h": found.hours / 3600,
        "planned_attended_h": found.planned_hours / 3600,
        "money": None
        if found.money is None
        else {
            "currency": found.money.currency, "price": found.money.price,
            "labour_planned": found.money.labour_planned, "labour": found.money.labour,
            "cloth": found.money.cloth, "waste": found.money.waste,
        },
        "missing": list(found.missing),
    }  # fmt: skip


def _at(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()


def _by(value: float | None, unit: float) -> float | None:
    """Return a number in a unit; of a rise of pressure [Pa/s] the unit 1/3 makes mbar in five minutes."""
    return None if value is None else value / unit


def _celsius(value: float | None) -> float | None:
    return None if value is None else value - 273.15


def _clock(clock: Clock | None) -> dict[str, Any] | None:
    if clock is None:
        return None
    return {"share": clock.share, "whole_h": clock.whole / 3600, "sure": clock.sure, "basis": clock.basis.value}
