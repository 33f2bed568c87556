"""What a calendar is made of: tasks, working hours, and when each task is done.

Times of day are the clock's on the wall: a calendar knows no time zones and no change to summer time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from bagside.findings import Finding

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One task.

    Parameters
    ----------
    name
        Unique.
    attended
        Time a person is needed, first [s]; split over days when it is longer than one.
    unattended
        Time that passes by itself afterwards [s].
    after
        Tasks that must have ended.
    needs
        What it keeps busy from start to end.
    claims
        Resources it takes and does not give back; a later task of the chain gives them back.
    frees
        Resources given back at its end.
    hold
        It must start within this time after the last of ``after`` has ended [s]; none when it can wait.
    """

    name: str
    attended: float
    unattended: float = 0.0
    after: tuple[str, ...] = ()
    needs: frozenset[str] = frozenset()
    claims: frozenset[str] = frozenset()
    frees: frozenset[str] = frozenset()
    hold: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a task is done.

    Parameters
    ----------
    task
        Its name.
    spells
        Stretches in which a person works on it.
    start, end
        From the first touch to the end of what passes by itself.
    """

    task: str
    spells: tuple[tuple[datetime, datetime], ...]
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """Working hours.

    Parameters
    ----------
    begins, ends
        Of the working day.
    days
        Names of working days, ``Mon`` to ``Sun``.
    people
        How many work at once.
    """

    begins: time
    ends: time
    days: tuple[str, ...]
    people: int = 1

    def works(self, day: date) -> bool:
        """Whether a day is worked."""
        return WEEK[day.weekday()] in self.days

    @property
    def length(self) -> float:
        """Of the working day [s]."""
        at = date(2000, 1, 1)
        return (datetime.combine(at, self.ends) - datetime.combine(at, self.begins)).total_seconds()


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """A feasible calendar.

    Parameters
    ----------
    slots
        One for each task, by start.
    findings
        Holds that could not be kept.
    """

    slots: tuple[Slot, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def start(self) -> datetime:
        """First touch."""
        return min(s.start for s in self.slots)

    @property
    def finish(self) -> datetime:
        """Last end."""
        return max(s.end for s in self.slots)
