"""Which gates stand before which step, how each stands now, and what a person is told.

A gate that does not hold stops the step that comes next. So does one to which nobody has an answer: what is not
measured is not known to be good. Either can be passed by a named person with a reason, which is then part of the
record. Steps are those that the plan makes (`bagside.planning.step_lists`); a part that has no bonding, no coats or no
post-cure has none of their gates.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from bagside.errors import InputError, did_you_mean
from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import MassStage
from bagside.ledger.gates.bag import fresh_bag, thermocouples, tight
from bagside.ledger.gates.cloth import complete, lay_room
from bagside.ledger.gates.coat import paint_room, recoat
from bagside.ledger.gates.cure import cool, cured
from bagside.ledger.gates.gate import CLOSING, GATES, Gate
from bagside.ledger.gates.kits_for import KitsFor, kits_for
from bagside.ledger.gates.lay import debulked, films_off
from bagside.ledger.gates.life import lives, on_shelf
from bagside.ledger.gates.mass import mass, mass_if_weighed
from bagside.ledger.gates.mould import mould_heat, mould_tight, released
from bagside.ledger.gates.part import holes, thick, water_break
from bagside.ledger.gates.record import gates_on_record, number_of, on_record, ply_of, settled, stopping, with_pass
from bagside.ledger.gates.thaw import thawed, waiting_for
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build

__all__ = ["CLOSING", "GATES", "Gate", "gate_findings", "gates_before", "gates_on_record", "stopping"]


def gates_before(build: Build, step: str, shop: Shop, now: datetime) -> tuple[Gate, ...]:
    """Return the gates before a step, as they stand.

    Parameters
    ----------
    build
        Which.
    step
        Key of a step of its plan, or `CLOSING`.
    shop
        The workshop as it stands.
    now
        When the step would begin [UTC].

    Raises
    ------
    InputError
        When its plan has no such step.
    """
    keys = [s.key for s in build.planned.steps]
    if step not in (*keys, CLOSING):
        hint = did_you_mean(step, (*keys, CLOSING))
        raise InputError.one(f"{build.name}, step", f'"{step}"', "there is no such step in its plan", hint)
    found: list[Gate | None] = []
    if step == CLOSING:
        found += [*on_record(build), mass(build, step, MassStage.FINISHED, shop)]
    else:
        found += _preparing(build, step, shop)
        if step in ("cut", "bag", "cure") or ply_of(step):
            found += _cloth(build, step, shop, now, kits_for(build, shop))
        found += _laying(build, step)
        found += _curing(build, step, shop)
        found += _finishing(build, step, shop, now, keys)
    return tuple(with_pass(build, g) for g in found if g is not None)


def gate_findings(gates: Iterable[Gate]) -> tuple[Finding, ...]:
    """Return what a person is told: what stops, and what was passed by whom; a gate that holds says nothing.

    Parameters
    ----------
    gates
        From `gates_before`.
    """
    out = []
    for gate in gates:
        if gate.holds:
            continue
        before = "before it is closed" if gate.step == CLOSING else f"before {gate.step}"
        if gate.passed is None:
            out.append(
                Finding(
                    severity=Severity.STOP, stage="gate", place=f"{before}, {gate.key}", what=gate.what, why=gate.why,
                    do=gate.do, basis=gate.basis, source=gate.source,
                )
            )  # fmt: skip
            continue
        passed = gate.passed.what
        out.append(
            Finding(
                severity=Severity.WATCH, stage="gate", place=f"{before}, {gate.key}", what=gate.what, why=gate.why,
                do=f"{passed.by} has taken it on, {gate.passed.at:%Y-%m-%d}: {passed.why}", basis=Basis.MEASURED,
                source=gate.source,
            )
        )  # fmt: skip
    return tuple(out)


def _preparing(build: Build, step: str, shop: Shop) -> list[Gate | None]:
    """Return what stands before the mould is released."""
    none = all(s.key != "release" for s in build.planned.steps)
    if step == "release" or (none and step == _first_ply(build)):
        return [mould_heat(build, step, shop), mould_tight(build, step, shop)]
    return []


def _cloth(build: Build, step: str, shop: Shop, now: datetime, kits: KitsFor) -> list[Gate | None]:
    """Return what stands before cloth is cut, laid, bagged and heated."""
    out: list[Gate | None] = []
    if step == _first_ply(build):
        out += [released(build, step, shop), complete(build, step, kits)]
        out.append(mass_if_weighed(build, step, (MassStage.KIT,), shop))
    if step == "cut":
        out.append(thawed(build, step, shop, now, tuple(on_shelf(build, shop, kits).values())))
    elif ply_of(step):
        choices = waiting_for(kits, ply_of(step))
        if choices or not kits.kits:
            out.append(thawed(build, step, shop, now, choices))
    if step in ("bag", "cure"):
        out.append(mass_if_weighed(build, step, (MassStage.LAID, MassStage.FILMS), shop))
    out.append(lives(build, step, shop, now, kits))
    if ply_of(step):
        out.append(lay_room(build, step, shop, now, kits))
    return out


def _laying(build: Build, step: str) -> list[Gate | None]:
    """Return what must be on the mould before the next ply, before a debulk and before the bag."""
    last = max((p.number for p in build.planned.plies), default=0)
    number = ply_of(step)
    if step.startswith("debulk-"):
        return [films_off(build, step, number_of(step), settled(build, "films", step))]
    if (number and step != _first_ply(build)) or (step == "bag" and last):
        upto = number - 1 if number else last
        return [
            films_off(build, step, upto, settled(build, "films", step)),
            debulked(build, step, upto, settled(build, "debulk", step)),
        ]
    return []


def _first_ply(build: Build) -> str:
    return next((s.key for s in build.planned.steps if ply_of(s.key)), "")


def _curing(build: Build, step: str, shop: Shop) -> list[Gate | None]:
    """Return what stands before the leak test, the hold, the cure and demoulding."""
    if step == "leak":
        return [fresh_bag(build, step, shop)]
    if step == "hold":
        return [tight(build, step)]
    if step == "cure":
        return [
            mould_heat(build, step, shop),
            fresh_bag(build, step, shop),
            tight(build, step),
            thermocouples(build, step),
        ]
    if step == "demould":
        return [cured(build, step, post=False), cool(build, step)]
    return []


def _finishing(build: Build, step: str, shop: Shop, now: datetime, keys: list[str]) -> list[Gate | None]:
    """Return what stands before what is done off the mould."""
    before = keys[keys.index(step) - 1] if keys.index(step) else ""
    out: list[Gate | None] = []
    if before == "demould":
        out.append(mass(build, step, MassStage.RAW, shop))
    if before == "post-cure":
        out.append(cured(build, step, post=True))
    if before == "trim":
        out += [mass(build, step, MassStage.TRIMMED, shop), thick(build, step)]
    if step == "bond":
        out += [water_break(build, step, now), holes(build, step)]
    out += [paint_room(build, step, shop, now)]
    if step == "polish" or any(c.step == step for c in build.planned.coats):
        out.append(recoat(build, step, now))
    if step == "fit":
        out.append(holes(build, step))
    return out
