"""The gates before the end of a build, as its record alone answers them, and who has passed a gate.

It loads none of the benches: what is written down is held against these, and a tick must not wait for them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from bagside.ledger.bodies import Passed
from bagside.ledger.gates.cure import cured
from bagside.ledger.gates.gate import CLOSING, Gate
from bagside.ledger.gates.lay import films_off
from bagside.ledger.gates.part import holes, thick
from bagside.ledger.things import Build, Noted

SAME_AGAIN = ("cured", "post-cured", "thickness", "holes")
"""Gates that ask before the end what they asked before an earlier step: a pass there stands."""


def gates_on_record(build: Build) -> tuple[Gate, ...]:
    """Return the gates before the end that the record of a build alone answers.

    Parameters
    ----------
    build
        Which.
    """
    return tuple(with_pass(build, g) for g in on_record(build) if g is not None)


def on_record(build: Build) -> list[Gate | None]:
    """Return what stands before the end, as far as the record alone answers it.

    Parameters
    ----------
    build
        Which.
    """
    out: list[Gate | None] = []
    keys = {s.key for s in build.planned.steps}
    if build.planned.plies:
        last = max(p.number for p in build.planned.plies)
        out.append(films_off(build, CLOSING, last, settled(build, "films", CLOSING)))
    if "cure" in keys or build.cures:
        out.append(cured(build, CLOSING, post=False))
    out += [cured(build, CLOSING, post=True), thick(build, CLOSING), holes(build, CLOSING)]
    return out


def with_pass(build: Build, gate: Gate) -> Gate:
    """Return a gate with who passed it before this step, last.

    Parameters
    ----------
    build, gate
        The build, and one of its gates.
    """
    return replace(gate, passed=_pass(build, gate.key, gate.step))


def _pass(build: Build, key: str, step: str) -> Noted[Passed] | None:
    """Return who passed a gate; before the end, who passed it earlier counts where it asks the same again."""
    again = step == CLOSING and key in SAME_AGAIN
    found = [p for p in build.passed if p.what.gate == key and (again or p.what.step == step)]
    return found[-1] if found else None


def stopping(gates: Iterable[Gate]) -> tuple[Gate, ...]:
    """Return the gates that stop: they do not hold, or nobody has looked, and nobody has passed them.

    Parameters
    ----------
    gates
        From `gates_before`.
    """
    return tuple(g for g in gates if g.stops)


def settled(build: Build, key: str, step: str) -> int:
    """Return up to which ply a gate on plies was passed before an earlier step: that is not asked again.

    Parameters
    ----------
    build
        Which.
    key
        Of the gate.
    step
        Before which it is asked now.
    """
    keys = [*(s.key for s in build.planned.steps), CLOSING]
    last = max((p.number for p in build.planned.plies), default=0)
    settled = 0
    for passed in build.passed:
        at = passed.what.step
        if passed.what.gate != key or at not in keys or keys.index(at) >= keys.index(step):
            continue
        number = ply_of(at)
        settled = max(settled, number - 1 if number else number_of(at) if at.startswith("debulk-") else last)
    return settled


def ply_of(step: str) -> int:
    """Return the number of the ply that a step lays; 0 when it lays none.

    Parameters
    ----------
    step
        Its key.

    Examples
    --------
    >>> ply_of("ply-12"), ply_of("polish")
    (12, 0)
    """
    return number_of(step) if step.startswith("ply-") else 0


def number_of(step: str) -> int:
    """Return the number at the end of a step's key; 0 when there is none.

    Parameters
    ----------
    step
        Its key.
    """
    tail = step.rpartition("-")[2]
    return int(tail) if tail.isdigit() else 0
