"""Whether a hole will meet its bolt: everything that may move it, added up."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bagside.errors import InputError, Problem
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleStack:
    """What may move a hole off its bolt.

    Parameters
    ----------
    name
        What people call it.
    shift
        Known, one way: it adds to everything else [m].
    spread
        What varies from part to part, root of the sum of squares [m].
    worst
        Shift and all that varies added up [m].
    clearance
        By which the hole may be off: half of hole less bolt [m].
    largest
        The contribution that moves it most, and by how much [m].
    """

    name: str
    shift: float
    spread: float
    worst: float
    clearance: float
    largest: tuple[str, float]

    @property
    def expected(self) -> float:
        """Shift and spread together [m]."""
        return self.shift + self.spread


def hole_stack(
    name: str, *, hole: float, bolt: float, shifts: Mapping[str, float], spreads: Mapping[str, float]
) -> HoleStack:
    """Return what may move a hole off its bolt.

    Parameters
    ----------
    name
        What people call it.
    hole, bolt
        Diameters [m].
    shifts
        Known movements by cause, signed along one line [m]: heat of the mould, spring-in.
    spreads
        Plus or minus by cause, each independent of the others [m]: template, drill, what it is bolted to.

    Returns
    -------
    HoleStack
        See there.

    Raises
    ------
    InputError
        When the bolt does not go through, nothing moves the hole, or a spread is negative.

    Notes
    -----
    The root of the sum of squares holds for several independent causes of like size; where one dominates, look at
    ``worst``. A shift that was put into the mould's size is no longer a shift: leave it out.
    """
    problems = []
    if not 0.0 < bolt <= hole < math.inf:
        problems.append(
            Problem(place=f"hole {name}", came=f"{hole:g} m for a {bolt:g} m bolt", wanted="the bolt must go through")
        )
    if not shifts and not spreads:
        problems.append(Problem(place=f"hole {name}", came="", wanted="at least one cause that moves it is wanted"))
    problems += [
        Problem(place=f"hole {name}, {cause}", came=f"{value:g} m", wanted="a finite spread, not negative, is wanted")
        for cause, value in spreads.items()
        if not 0.0 <= value < math.inf
    ]
    problems += [
        Problem(place=f"hole {name}, {cause}", came=f"{value:g} m", wanted="a finite movement is wanted")
        for cause, value in shifts.items()
        if not math.isfinite(value)
    ]
    if problems:
        raise InputError(problems)
    shift = abs(math.fsum(shifts.values()))
    causes = [*((c, abs(v)) for c, v in shifts.items()), *spreads.items()]
    return HoleStack(
        name=name,
        shift=shift,
        spread=math.hypot(*spreads.values()),
        worst=shift + math.fsum(spreads.values()),
        clearance=0.5 * (hole - bolt),
        largest=max(causes, key=lambda c: c[1]),
    )


def stack_findings(stack: HoleStack) -> tuple[Finding, ...]:
    """Return whether a hole needs a slot, or drilling in place.

    Parameters
    ----------
    stack
        From `hole_stack`.

    Returns
    -------
    tuple of Finding
        Empty when even the worst case fits.
    """
    if stack.worst <= stack.clearance:
        return ()
    likely = stack.expected > stack.clearance
    cause, most = stack.largest
    return (
        Finding(
            severity=Severity.DECIDE if likely else Severity.WATCH,
            stage="joining",
            place=f"hole {stack.name}",
            what=f"it may be {shown(stack.expected, 'mm')} off, {shown(stack.worst, 'mm')} at worst; "
            f"{shown(stack.clearance, 'mm')} is free round the bolt",
            why=f"the bolt then does not go in; {cause} moves it most, {shown(most, 'mm')}",
            do="make a slot or a larger hole, use a floating nut, or drill it in place on assembly"
            if likely
            else "try the first part before all are drilled",
            basis=Basis.COMMON,
            source="independent causes added as the root of the sum of squares",
        ),
    )
