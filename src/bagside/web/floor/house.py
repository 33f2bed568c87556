"""What the floor page needs of the workshop it is served from."""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol

from bagside.records.desk import Desk


class FloorHouse(Protocol):
    """A workshop's folder, and its records opened for as long as one request takes."""

    @property
    def folder(self) -> Path:
        """Of the workshop."""

    def desk(self, who: str, device: str) -> AbstractContextManager[Desk]:
        """Open the records.

        Parameters
        ----------
        who
            Says so.
        device
            On which it is written.
        """
