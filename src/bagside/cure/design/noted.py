"""What a person should know about a cycle that was found."""

from __future__ import annotations

from bagside.cure.design.design import Design
from bagside.cure.design.kept import Kept
from bagside.cure.design.two_stage import TwoStage
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

ABOVE_MOULD = 1.0
"""By how much the air may be above the mould's limit before it is said [K]."""

WAYS = {
    "laminate": ("beyond it the resin degrades", "put a thermocouple there and stop the heater when it runs ahead"),
    "tool": ("beyond it the mould softens under vacuum", "put a thermocouple between part and mould at this place"),
    "overshoot": (
        "heat of reaction cannot leave fast enough",
        "put a thermocouple there; have a fan or the door ready",
    ),
    "void": (
        "above it water boils into voids before the resin sets",
        "pull the vacuum that was counted on, and check it",
    ),
    "stiff": ("nearer its glass transition the part sags", "keep the ramp; support the part"),
    "spread": ("what cures at different times pulls the part out of shape", "insulate or thin the slower side"),
    "flow": (
        "resin that gels early leaves dry spots and pores",
        "do not let prepreg near the end of its life into this part",
    ),
    "cure": ("what has not reacted softens the part", "time the end by the lagging thermocouple"),
}
"""Why each limit matters, and what to do about it being close."""


def _c(kelvin: float) -> str:
    return shown(kelvin, "°C", 1)


def _what(k: Kept) -> str:
    """Return how closely a limit is kept, as a clause."""
    said = {
        "laminate": lambda: f"the laminate reaches {_c(k.value)} of {_c(k.allowed)}",
        "tool": lambda: f"the mould reaches {_c(k.value)} of {_c(k.allowed)}",
        "overshoot": lambda: f"the laminate runs {shown(k.value, 'K', 1)} over the air, of {shown(k.allowed, 'K', 1)}",
        "void": lambda: f"the laminate is {_c(k.value)} before it gels, of {_c(k.allowed)}",
        "stiff": lambda: (
            f"the glass transition stays {shown(k.value, 'K', 1)} above the part; {shown(k.allowed, 'K', 1)} are wanted"
        ),
        "spread": lambda: (
            f"cure differs by {shown(k.value, '%', 1)} through the laminate, of {shown(k.allowed, '%', 1)}"
        ),
        "flow": lambda: f"the resin flows for {shown(k.value, 'min', 0)}; {shown(k.allowed, 'min', 0)} are wanted",
        "cure": lambda: (
            f"the lagging point ends at {shown(k.value, '%', 1)} cure; {shown(k.allowed, '%', 1)} are wanted"
        ),
    }[k.limit]()
    when = f" after {shown(k.time, 'min', 0)}" if k.limit not in ("flow", "cure") else ""
    return f"{said}{when}" + (f", with {k.scenario}" if k.scenario else "")


def design_findings(design: Design, *, basis: Basis, source: str = "", word: str = "cure") -> tuple[Finding, ...]:
    """Return what a person should know about a cycle that was found.

    Parameters
    ----------
    design
        What was found.
    basis, source
        On what the resin's data rest.
    word
        Which cure, for the place.

    Returns
    -------
    tuple of Finding
        The limits that shape it, closest first, then what it does not cover.
    """
    found = []
    for limit in design.binding:
        k = next(k for k in design.kept if k.limit == limit)
        reason, do = WAYS[limit]
        found.append(
            Finding(
                severity=Severity.SEEN,
                stage="cure",
                place=f"{word}, {k.place}",
                what=f"{_what(k)}; this limit shapes the cycle",
                why=reason,
                do=do,
                basis=basis,
                source=source,
            )
        )
    if all(not s.name for s in design.scenarios):
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place=word,
                what="the cycle holds as stated only; nothing was varied",
                why="a fast cycle tips over when heat of reaction or films are a little off",
                do="find it again with heat and films varied, which is what is done when nothing else is asked",
                basis=basis,
                source=source,
            )
        )
    tool = design.bounds.tool
    if tool is not None and design.programme.hottest > tool + ABOVE_MOULD:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place=f"{word}, mould",
                what=f"the air goes to {_c(design.programme.hottest)} while the mould under the laminate stays below "
                f"{_c(tool)}",
                why="bare and thin edges of the mould follow the air faster than what lies under the laminate",
                do=f"watch the mould's edge, or state {_c(tool)} as the oven's hottest for this cure",
                basis=Basis.COMMON,
            )
        )
    return tuple(found)


def two_stage_findings(result: TwoStage, *, basis: Basis, source: str = "") -> tuple[Finding, ...]:
    """Return what a person should know about a first cure and a post-cure found together.

    Parameters
    ----------
    result
        What was found.
    basis, source
        On what the resin's data rest.

    Returns
    -------
    tuple of Finding
        Of the first cure, of the post-cure, and how to support the part.
    """
    close = next(k for k in result.post.kept if k.limit == "stiff")
    support = Finding(
        severity=Severity.WATCH,
        stage="cure",
        place=f"post-cure, {close.place}",
        what=f"without its mould the part comes within {shown(close.value, 'K', 1)} of its glass transition after "
        f"{shown(close.time, 'min', 0)}, at {_c(result.post.programme.air(close.time).item())} air",
        why="its own weight bends what is that soft, and a hot spot in the oven takes the margin away",
        do="stand it on its mould's trim line or a cradle cut to its shape, flat panels on edge or on a plate, nothing "
        "leaning on it; a thermocouple on the part, and stop the ramp while it lags",
        basis=Basis.COMMON,
    )
    return (
        *design_findings(result.first, basis=basis, source=source, word="first cure"),
        *design_findings(result.post, basis=basis, source=source, word="post-cure"),
        support,
    )
