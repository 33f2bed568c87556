"""What stands round a hole: distance to the edge, pitch, thickness, doubler."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

EDGE, EDGE_LEAST = 3.0, 2.5
"""Distance from the centre to the edge in diameters, wanted and least."""

PITCH = 4.0
"""Distance between centres in diameters."""

THICK = 0.002
"""Thickness wanted at a fixing [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleRule:
    """What the rules say of one hole.

    Parameters
    ----------
    name
        What people call it.
    edge, edge_wanted, edge_least
        Distance to the nearest edge, wanted, and least [m].
    pitch, pitch_wanted
        Distance to the nearest other hole and wanted [m]; infinite when it is alone.
    thickness
        Of the laminate there [m].
    doubler_radius
        To which a doubler should reach [m].
    """

    name: str
    edge: float
    edge_wanted: float
    edge_least: float
    pitch: float
    pitch_wanted: float
    thickness: float
    doubler_radius: float


def hole_rule(name: str, *, diameter: float, edge: float, pitch: float, thickness: float) -> HoleRule:
    """Return what the rules say of one hole.

    Parameters
    ----------
    name
        What people call it.
    diameter
        [m].
    edge, pitch
        Distance of its centre to the nearest edge and to the nearest other centre [m].
    thickness
        Of the laminate there [m].

    Raises
    ------
    InputError
        When a length is not above zero.

    Notes
    -----
    Common practice for composite fixings: edge 3 D (least 2.5 D + 1 mm), pitch 4 D, washer 2.5 D and the doubler 15 mm
    beyond it.
    """
    for word, value in (("diameter", diameter), ("edge", edge), ("pitch", pitch), ("thickness", thickness)):
        if not value > 0.0:
            raise InputError.one(f"hole {name}, {word}", f"{value:g} m", "a length above zero is wanted")
    return HoleRule(
        name=name,
        edge=edge,
        edge_wanted=EDGE * diameter,
        edge_least=EDGE_LEAST * diameter + 0.001,
        pitch=pitch,
        pitch_wanted=PITCH * diameter,
        thickness=thickness,
        doubler_radius=1.25 * diameter + 0.015,
    )


def hole_findings(rule: HoleRule) -> tuple[Finding, ...]:
    """Return what a person should know before drilling.

    Parameters
    ----------
    rule
        From `hole_rule`.

    Returns
    -------
    tuple of Finding
        Edge, pitch and thickness, where they fall short.
    """
    found: list[Finding] = []

    def note(severity: Severity, what: str, why: str, do: str) -> None:
        found.append(
            Finding(
                severity=severity, stage="joining", place=f"hole {rule.name}", what=what, why=why, do=do,
                basis=Basis.COMMON, source="usual rules for fixings in laminates",
            )
        )  # fmt: skip

    if rule.edge < rule.edge_wanted:
        close = rule.edge < rule.edge_least
        note(
            Severity.DECIDE if close else Severity.WATCH,
            f"its centre is {shown(rule.edge, 'mm')} from the edge; {shown(rule.edge_wanted, 'mm')} is wanted",
            "the laminate tears out between hole and edge",
            "move it inward, or add ±45° plies there",
        )
    if math.isfinite(rule.pitch) and rule.pitch < rule.pitch_wanted:
        note(
            Severity.WATCH,
            f"the next hole is {shown(rule.pitch, 'mm')} away; {shown(rule.pitch_wanted, 'mm')} is wanted",
            "cracks run from hole to hole",
            "spread them, or use one larger fixing",
        )
    if rule.thickness < THICK:
        note(
            Severity.WATCH,
            f"the laminate there is {shown(rule.thickness, 'mm', 2)} thick; {shown(THICK, 'mm')} is wanted",
            "a thin laminate crushes under the washer and wears at the bolt",
            f"add plies to a radius of {shown(rule.doubler_radius, 'mm', 0)}, or spread the load with a larger washer",
        )
    return tuple(found)
