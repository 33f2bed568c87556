"""One step of the build, as a value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step.

    Parameters
    ----------
    key
        Short name, unique in the job; other steps refer to it.
    name
        What is done, as a heading.
    stage
        Chapter it belongs to.
    do
        What to do, in sentences.
    boxes
        What is ticked when it is done.
    attended
        Time a person is needed [s], for one part or for the whole job.
    unattended
        Time that passes by itself afterwards [s].
    each
        Whether it is done for each part.
    needs
        What it keeps busy: ``mould``, ``oven``, ``freezer``.
    hazards
        Kinds of caution shown before it.
    hold
        The next step must begin within this time [s]; none when it can wait.
    one_off
        Whether it is done only for the first batch.
    """

    key: str
    name: str
    stage: str
    do: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    attended: float = 0.0
    unattended: float = 0.0
    each: bool = False
    needs: frozenset[str] = frozenset()
    hazards: tuple[str, ...] = ()
    hold: float | None = None
    one_off: bool = False
