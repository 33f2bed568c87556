"""Opened records: every reading and every writing goes through here, so that each fault is told in one sentence."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL, Connection, Engine

from bagside.records.database.engine import engine_for, keeper_of, reading, writing
from bagside.records.database.faults import told


class Door:
    """A database with records in it, or one where they are to be begun.

    Parameters
    ----------
    address
        See `bagside.records.database.engine.address_of`.
    """

    def __init__(self, address: URL) -> None:
        self.address = address
        self.engine: Engine = engine_for(address)
        self._keeper: sqlite3.Connection | None = None

    @contextmanager
    def reading(self, *, of_one_moment: bool = False) -> Iterator[Connection]:
        """Give a connection that only reads.

        Parameters
        ----------
        of_one_moment
            See `bagside.records.database.engine.reading`.

        Raises
        ------
        OutputError
            When the disk or the server fails.
        """
        with told(self.address), reading(self.engine, of_one_moment=of_one_moment) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection that writes alone: all is kept at the end, or nothing when anything is raised.

        Raises
        ------
        OutputError
            When the disk or the server fails; then nothing was kept.
        """
        with told(self.address, writes=True), writing(self.engine) as connection:
            yield connection

    def hold(self) -> None:
        """Hold the journal until this is closed: see `bagside.records.database.engine.keeper_of`."""
        if self._keeper is None:
            with told(self.address):
                self._keeper = keeper_of(self.address)

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()
        if self._keeper is not None:
            self._keeper.close()
            self._keeper = None
