"""The task that every process does first: loading what planning needs takes seconds, and nobody shall wait for it."""

from __future__ import annotations

from bagside.web.work.child import Teller


def warmed(tell: Teller) -> None:
    """Load what planning needs.

    Parameters
    ----------
    tell
        Nothing is said.
    """
    import bagside.web.work.planning_task  # noqa: F401 - loading it is the task
