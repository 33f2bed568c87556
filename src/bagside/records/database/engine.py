"""How the program talks to each database: what a connection is told first, and how a transaction begins.

SQLite: a journal beside the file (WAL), every commit on the disk before it returns (``synchronous=FULL``), foreign keys
held, and a writer takes the file before it reads, so that no two of them decide on the same state. PostgreSQL: the same
by a lock that writers of the records take for one transaction; readers never wait in either.

While people work, only the journal grows: the file itself is written to when nobody has written for a while (`QUIET`),
or the journal gets long (`JOURNAL`). So a copy of the folder that is taken meanwhile is of one moment. SQLite alone
would bring the journal home whenever a command ends, under the hands of whoever copies.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError

from bagside.errors import InputError

FILE = "records.sqlite"
WAIT = 30.0
"""For how long a writer waits for others before it gives up [s]."""
LOCK = 0x62616773
"""Number of the lock that writers take in PostgreSQL."""
COMMIT = "while it was being kept"
"""Noted on what a database says when it fails at the last moment."""
JOURNAL = 4000
"""Pages of 4 KiB in the journal at which they are brought home into the file, whoever copies it."""
QUIET = 600.0
"""For how long nobody has written when the journal is brought home on opening [s]."""


def address_of(folder: Path, url: str) -> URL:
    """Return where the records are kept.

    Parameters
    ----------
    folder
        Of the workshop.
    url
        As stated in ``workshop.toml``; empty for a file in the folder.

    Raises
    ------
    InputError
        When it is none, or names a database that records cannot be kept in.
    """
    if not url.strip():
        return URL.create("sqlite", database=str(folder / FILE))
    wanted = 'nothing, or an address such as "postgresql://name@server/records" is wanted'
    try:
        found = make_url(url.strip())
    except ArgumentError:
        raise InputError.one("workshop.toml, records", _hidden(url), wanted) from None
    kind = found.drivername.split("+")[0]
    if kind == "sqlite" and found.database and found.database != ":memory:":
        return URL.create("sqlite", database=str(folder / found.database))
    if kind in ("postgresql", "postgres"):
        return found.set(drivername="postgresql+psycopg")
    raise InputError.one("workshop.toml, records", _hidden(url), wanted)


def called(address: URL) -> str:
    """Return what a person calls the place: the file, or the address without its password.

    Parameters
    ----------
    address
        Of the records.
    """
    if address.get_backend_name() == "sqlite":
        return str(address.database)
    return address.set(drivername="postgresql").render_as_string(hide_password=True)


def engine_for(address: URL) -> Engine:
    """Return an engine whose connections are set up for records.

    Parameters
    ----------
    address
        Of the records.

    Raises
    ------
    InputError
        When the driver for PostgreSQL is not installed.
    """
    if address.get_backend_name() == "sqlite":
        engine = create_engine(address, connect_args={"timeout": WAIT, "isolation_level": None})
        event.listen(engine, "connect", _sqlite_connected)
    else:
        try:
            engine = create_engine(address, pool_pre_ping=True, connect_args={"connect_timeout": 10})
        except ModuleNotFoundError:
            raise InputError.one(
                "workshop.toml, records", called(address), "what talks to PostgreSQL is not installed",
                'pip install "bagside[server]"',
            ) from None  # fmt: skip
        event.listen(engine, "connect", _postgresql_connected)
    event.listen(engine, "begin", _begun)
    return engine


def keeper_of(address: URL) -> sqlite3.Connection | None:
    """Return what holds the journal of an SQLite file when everybody else has gone: to be closed last of all.

    Parameters
    ----------
    address
        Of records that are there.

    Notes
    -----
    Who closes an SQLite file last brings the journal home, unless it may only read.
    """
    if address.get_backend_name() != "sqlite":
        return None
    path = Path(str(address.database)).resolve()
    keeper = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, timeout=WAIT, check_same_thread=False)
    keeper.execute("SELECT count(*) FROM sqlite_schema").fetchone()  # it has the journal only now
    return keeper


def brought_home(engine: Engine, address: URL, *, at_once: bool = False) -> None:
    """Bring a journal home that nobody has written to for a while, if that can be done now.

    Parameters
    ----------
    engine, address
        Of the records.
    at_once
        Whether it is not waited for a while: what was just begun is to stand in its file.
    """
    journal = Path(str(address.database) + "-wal")
    if address.get_backend_name() != "sqlite" or not journal.is_file():
        return
    told = journal.stat()
    if told.st_size and (at_once or time.time() - told.st_mtime > QUIET):
        raw = engine.raw_connection()
        try:
            cursor = raw.cursor()
            cursor.execute("PRAGMA busy_timeout = 200")
            with suppress(sqlite3.OperationalError):  # somebody reads, or the disk is full: it does well where it is
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            cursor.execute(f"PRAGMA busy_timeout = {int(WAIT * 1000)}")
        finally:
            raw.close()


@contextmanager
def reading(engine: Engine, *, of_one_moment: bool = False) -> Iterator[Connection]:
    """Give a connection that only reads.

    Parameters
    ----------
    engine
        Of the records.
    of_one_moment
        Whether everything that is asked is to be answered as of one moment, whoever writes meanwhile. SQLite always
        does; in PostgreSQL each question sees what is there by then.
    """
    with engine.connect() as connection:
        if of_one_moment and connection.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Give a connection that writes alone, in one transaction: it is kept whole, or not at all.

    Parameters
    ----------
    engine
        Of the records.
    """
    with engine.execution_options(bagside_writes=True).connect() as connection:
        transaction = connection.begin()
        try:
            if connection.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": LOCK})
            yield connection
        except BaseException:
            transaction.rollback()
            raise
        try:
            transaction.commit()
        except DBAPIError as error:
            error.add_note(COMMIT)
            raise


def _begun(connection: Connection) -> None:
    """Begin a transaction in SQLite, which leaves that to us; a writer takes the file at once."""
    if connection.dialect.name == "sqlite":
        writes = connection.get_execution_options().get("bagside_writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _sqlite_connected(raw: sqlite3.Connection, _record: Any) -> None:
    """Tell a new connection to SQLite how to treat the file."""
    deadline = time.monotonic() + WAIT
    while raw.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:  # the switch does not wait for others by itself
            raw.execute("PRAGMA journal_mode = WAL")
            break  # what is still something else is a file system without shared memory: safe too, readers wait there
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise
            time.sleep(0.02)
    raw.execute(f"PRAGMA wal_autocheckpoint = {JOURNAL}")
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("PRAGMA foreign_keys = ON")
    raw.execute(f"PRAGMA busy_timeout = {int(WAIT * 1000)}")


def _postgresql_connected(raw: Any, _record: Any) -> None:
    """Tell a new connection to PostgreSQL the zone and how long to wait."""
    before = raw.autocommit
    raw.autocommit = True
    with raw.cursor() as cursor:
        cursor.execute("SET TIME ZONE 'UTC'")
        cursor.execute("SET synchronous_commit = on")
        cursor.execute(f"SET lock_timeout = {int(WAIT * 1000)}")
        cursor.execute("SET idle_in_transaction_session_timeout = 300000")
    raw.autocommit = before


def _hidden(url: str) -> str:
    """Return an address as it came, without what may be a password."""
    head, at, tail = url.rpartition("@")
    return f'"{head.split("://")[0]}://…@{tail}"' if at else f'"{url}"'
