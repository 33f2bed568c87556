"""A step before it is begun: its cautions first, then what to do and what is ticked."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.ledger.planned import PlannedStep


def what_to_do(step: PlannedStep) -> None:
    """Print the cautions of a step, what to do, and the boxes that are ticked when it is done.

    Parameters
    ----------
    step
        As it was planned.
    """
    from rich.text import Text

    from bagside.cli import show

    width = max(60, min(show.OUT.width, 110))
    for line in caution_lines(step.hazards):
        show.OUT.print(Text(textwrap.fill(line, width), style="bold reverse"))
    for line in step.do:
        show.OUT.print(Text(textwrap.fill(line, width)))
    for number, box in enumerate(step.boxes, 1):
        show.OUT.print(Text(f"  {number} ☐ {box}"))


def caution_lines(hazards: tuple[str, ...]) -> list[str]:
    """Return the usual cautions, the last saying to what they defer; nothing when there are none.

    Parameters
    ----------
    hazards
        By name. One that this program no longer knows is told by its name rather than left out.
    """
    from bagside.planning.cautions import CAUTIONS, DEFERS

    lines = []
    for hazard in dict.fromkeys(hazards):
        caution = CAUTIONS.get(hazard)
        lines.append(f"Caution: {hazard}." if caution is None else f"{caution.head} {caution.text}")
    return [*lines, DEFERS] if lines else []
