"""A gate: a question before a step, with the number it was answered by; no answer stops like a wrong one."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.findings import Basis
from bagside.ledger.bodies import Passed
from bagside.ledger.things import Noted

CLOSING = "close"
"""Stands for the end of a build where a step is named: a gate passed there is passed for the whole part."""

GATES: dict[str, str] = {
    "mould-heat": "the mould stands the cure",
    "mould-tight": "the mould holds vacuum",
    "release": "release agent is on the mould",
    "thawed": "the cloth is thawed and dry",
    "life": "the cloth lives until the cure",
    "room": "the room is fit for laying",
    "kit": "the kit is complete",
    "films": "every piece is laid and every film is off",
    "debulk": "the debulk was long and deep enough",
    "leak": "the bag is tight",
    "bag": "the bag has not seen a cure",
    "thermocouples": "the thermocouples are set",
    "cured": "the cure is good",
    "post-cured": "the post-cure is good",
    "cool": "the part is cool enough to pull",
    "mass": "the mass is as planned",
    "thickness": "the thickness is as planned",
    "water-break": "water stays unbroken on the bond face",
    "paint-room": "the room is fit for coating",
    "recoat": "the coat before is ready for the next",
    "holes": "the holes are where they belong",
}
"""Key of each gate, and what it asks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One gate before one step.

    Parameters
    ----------
    key
        One of `GATES`.
    step
        Before which it stands; `CLOSING` before the end.
    holds
        Whether what it asks is so; None when nobody has looked, which stops as well.
    what
        The fact, with its number and its limit.
    why
        Why it matters.
    do
        What to do, or what to read, now.
    basis
        On what the limit rests.
    source
        Which rule, sheet or publication.
    passed
        Who took it on although it does not hold, and why; None when nobody did.
    """

    key: str
    step: str
    holds: bool | None
    what: str
    why: str
    do: str
    basis: Basis
    source: str = ""
    passed: Noted[Passed] | None = None

    @property
    def name(self) -> str:
        """What it asks."""
        return GATES[self.key]

    @property
    def stops(self) -> bool:
        """Whether the step must wait: it does not hold, or nobody has looked, and nobody has passed it."""
        return not self.holds and self.passed is None
