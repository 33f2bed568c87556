"""How a gate stands, in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.ledger.gates.before import Gate


def state(gate: Gate) -> str:
    """Return how a gate stands: it holds, it was passed by somebody, it stops, or nobody has looked.

    Parameters
    ----------
    gate
        Any.
    """
    if gate.holds is True:
        return "holds"
    if gate.passed is not None:
        return f"passed by {gate.passed.what.by}"
    return "stops" if gate.holds is False else "not looked at, stops"


def gate_data(gate: Gate) -> dict[str, Any]:
    """Return a gate as JSON data.

    Parameters
    ----------
    gate
        Any.
    """
    passed = gate.passed
    return {
        "key": gate.key,
        "name": gate.name,
        "step": gate.step,
        "holds": gate.holds,
        "stops": gate.stops,
        "what": gate.what,
        "why": gate.why,
        "do": gate.do,
        "basis": gate.basis.value,
        "source": gate.source,
        "passed": None
        if passed is None
        else {"by": passed.what.by, "why": passed.what.why, "at": passed.at.isoformat(), "who": passed.who},
    }
