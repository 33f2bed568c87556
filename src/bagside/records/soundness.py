"""Whether the database itself is whole, as far as it can say."""

from __future__ import annotations

from sqlalchemy.exc import DatabaseError

from bagside.records.database.ledger import Ledger

MOST = 20
"""Faults that are named; one is enough to stop."""


def faults_of(ledger: Ledger) -> tuple[str, ...]:
    """Return what SQLite finds wrong with its file; a server looks after its own.

    Parameters
    ----------
    ledger
        Opened.
    """
    if ledger.door.address.get_backend_name() != "sqlite":
        return ()
    with ledger.door.reading() as connection:
        try:
            rows = connection.exec_driver_sql(f"PRAGMA quick_check({MOST})").scalars().all()
        except DatabaseError as error:  # so damaged that it cannot even be looked at
            return (str(error.orig),)
    return tuple(str(row) for row in rows if row != "ok")
