"""What the database says when something is wrong with the disk or the server, as one sentence a person can act on."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError

from bagside.errors import BagsideError, OutputError
from bagside.records.database.engine import COMMIT, WAIT, called

_FULL = "the disk is full, or the file may not grow any more: make room, then do it again"
_BUSY = f"another program has been writing for {WAIT:.0f} s: close it, then do it again"
_READ_ONLY = "it may be read only: look at its permissions and at the disk"
_UNREADABLE = "it is damaged, or it is not a file of records: take a backup, and keep this one for whoever mends it"
_GONE = "the server does not answer: look at the network and whether it runs, then do it again"

_SQLITE = {
    "SQLITE_FULL": _FULL,
    "SQLITE_IOERR_WRITE": _FULL,
    "SQLITE_BUSY": _BUSY,
    "SQLITE_LOCKED": _BUSY,
    "SQLITE_READONLY": _READ_ONLY,
    "SQLITE_PERM": _READ_ONLY,
    "SQLITE_AUTH": _READ_ONLY,
    "SQLITE_CANTOPEN": "it cannot be opened: look whether the folder is there and may be written",
    "SQLITE_NOTADB": _UNREADABLE,
    "SQLITE_CORRUPT": _UNREADABLE,
    "SQLITE_IOERR": "the disk cannot be read or written there: take a backup now",
}
_POSTGRESQL = {
    "53100": "the server's disk is full: make room there, then do it again",
    "25006": "the server takes no writing at present",
    "42501": "this user may not do that there: ask who looks after the server",
    "55P03": _BUSY,
    "57014": "the server gave it up because it took too long: do it again when less is going on",
    "28": "the server does not let this user in: look at the name and the password (PGPASSWORD)",
    "3D": "the server has no database of this name: create it first (createdb)",
    "53": "the server has no room or no connections left: make room there, then do it again",
    "57": "the server was shut down: start it, then do it again",
    "58": "the server's disk cannot be read or written: look there first",
    "XX": "the server says that the records are damaged: take a backup, and keep this one for whoever mends it",
    "08": _GONE,
}


@contextmanager
def told(address: URL, *, writes: bool = False) -> Iterator[None]:
    """Turn what the database says into one sentence.

    Parameters
    ----------
    address
        Of the records.
    writes
        Whether something is being written, of which the sentence then says that nothing was kept.

    Raises
    ------
    OutputError
        When the disk or the server fails.
    """
    try:
        yield
    except BagsideError:
        raise
    except (DBAPIError, sqlite3.Error) as error:
        raise fault(address, error, writes=writes) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            reason = _FULL
        raise OutputError(_sentence(address, reason, writes)) from None


def fault(address: URL, error: DBAPIError | sqlite3.Error, *, writes: bool = False) -> OutputError:
    """Return the error to raise for what a database says.

    Parameters
    ----------
    address
        Of the records.
    error
        What it says.
    writes
        See `told`.

    Raises
    ------
    DBAPIError
        When it is a fault of this program: it is passed on as it came.
    """
    if isinstance(error, sqlite3.Error):
        reason = _sqlite(error)
    elif address.get_backend_name() == "sqlite":
        reason = _sqlite(error.orig)
    else:
        reason = _postgresql(error)
    if not reason:
        raise error
    lost = reason in (_GONE, _POSTGRESQL["57"]) and COMMIT in getattr(error, "__notes__", ())
    return OutputError(_sentence(address, reason, writes, unknown=lost))


def _sentence(address: URL, reason: str, writes: bool, *, unknown: bool = False) -> str:
    kept = " Nothing of this was kept; what was there before is as it was." if writes else ""
    if unknown:  # it went away between keeping and saying so
        reason = reason.removesuffix(", then do it again")
        kept = " It is not known whether this was kept: look first, and do it again only if it is not there."
    return f'the records in "{called(address)}" cannot be {"written" if writes else "read"}: {reason}.{kept}'


def _sqlite(error: BaseException | None) -> str:
    name = getattr(error, "sqlite_errorname", "") or ""
    while name:
        if name in _SQLITE:
            return _SQLITE[name]
        name = name.rpartition("_")[0]  # SQLITE_READONLY_DBMOVED is SQLITE_READONLY
    return ""


def _postgresql(error: DBAPIError) -> str:
    state = getattr(error.orig, "sqlstate", None) or ""
    for known in (state, state[:2]):
        if known in _POSTGRESQL:
            return _POSTGRESQL[known]
    if not state and (error.connection_invalidated or isinstance(error, OperationalError | InterfaceError)):
        return _connecting(str(error.orig))
    return ""


def _connecting(said: str) -> str:
    """Return why no connection came about: the driver gives no code then, only the server's words."""
    if "password" in said or "authentication" in said or "no pg_hba.conf entry" in said or "role" in said:
        return _POSTGRESQL["28"]
    if "database" in said and "does not exist" in said:
        return _POSTGRESQL["3D"]
    return _GONE
