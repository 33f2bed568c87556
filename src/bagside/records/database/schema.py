"""The records as they are found: none yet, ours, older, newer, or somebody else's.

What is not ours is never written to. A new schema is made, and an older one taken on, in one transaction.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import URL, Connection, inspect, select, text

from bagside.errors import InputError
from bagside.records.database.door import Door
from bagside.records.database.engine import WAIT, brought_home, called, reading, writing
from bagside.records.database.faults import told
from bagside.records.database.tables import APPLICATION, SCHEMA, VERSION_TABLE, VIEW, about
from bagside.records.database.views import rebuilt

MIGRATIONS = Path(__file__).with_name("migrations")
_HEAD = b"SQLite format 3\x00"


def made_ready(door: Door) -> None:
    """Bring the records to the schema of this program, or begin them; make the view anew when it is an older one.

    Parameters
    ----------
    door
        To the records.

    Raises
    ------
    InputError
        When what is there is not ours, or was written by a newer program.
    OutputError
        When the disk or the server fails.
    """
    address = door.address
    if address.get_backend_name() == "sqlite":
        refuse_foreign_file(address)
    with told(address, writes=True):
        with reading(door.engine) as connection:
            ready = _is_ready(connection, address)
        if not ready:
            with writing(door.engine) as connection:
                if not _is_ready(connection, address):  # another program may have been faster
                    _taken_on(connection, address)
        door.hold()
        brought_home(door.engine, address, at_once=not ready)


def _taken_on(connection: Connection, address: URL) -> None:
    """Begin the records, or take older ones on, inside the transaction that is open."""
    if address.get_backend_name() == "postgresql":
        code = connection.execute(text("SHOW server_encoding")).scalar()
        if code != "UTF8":
            raise InputError.one(
                called(address), f"encoding {code}", "not every name can be written there: UTF8 is wanted",
                "create the database with createdb --encoding=UTF8 --template=template0",
            )  # fmt: skip
    if version_of(connection, address) != SCHEMA:
        migrated(connection)
        if address.get_backend_name() == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION}")
    if _view_of(connection) != VIEW:
        rebuilt(connection)


def _is_ready(connection: Connection, address: URL) -> bool:
    if version_of(connection, address) != SCHEMA:
        return False
    view = _view_of(connection)
    if view > VIEW:
        raise _newer(called(address), f"view {view}", str(VIEW))
    return view == VIEW


def _view_of(connection: Connection) -> int:
    return int(connection.execute(select(about.c.value).where(about.c.key == "view")).scalar_one())


def version_of(connection: Connection, address: URL) -> str:
    """Return the schema of the records; empty when there are none.

    Parameters
    ----------
    connection
        To the database.
    address
        For messages.

    Raises
    ------
    InputError
        When the tables there are not ours, or of a newer program.
    """
    tables = inspect(connection).get_table_names()
    place = called(address)
    if VERSION_TABLE not in tables:
        if tables and (connection.dialect.name == "sqlite" or {"events", "touches", "things"} & set(tables)):
            raise _foreign(place)
        return ""
    if not {"events", "touches", "things"} <= set(tables):
        raise _foreign(place)
    version = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar()
    if version is None:
        raise _foreign(place)
    if version not in revisions():
        raise _newer(place, f"schema {version}", SCHEMA)
    return str(version)


def revisions() -> tuple[str, ...]:
    """Return every schema that was ever released, oldest first."""
    return tuple(sorted(p.name[1:5] for p in MIGRATIONS.glob("v[0-9][0-9][0-9][0-9]_*.py")))


def migrated(connection: Connection, to: str = "head") -> None:
    """Bring the records to a schema, inside the transaction that is open.

    Parameters
    ----------
    connection
        That writes.
    to
        A schema; the newest by default.
    """
    from alembic.config import Config  # only here: it takes longer to load than records take to open
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    script = ScriptDirectory(str(MIGRATIONS), version_locations=[str(MIGRATIONS)])

    def steps(revision: object, _context: object) -> list[object]:
        return script._upgrade_revs(to, revision)  # type: ignore[arg-type, return-value]

    with EnvironmentContext(Config(), script, fn=steps, destination_rev=to) as environment:
        environment.configure(connection=connection, version_table=VERSION_TABLE, transactional_ddl=True)
        environment.run_migrations()


def refuse_foreign_file(address: URL) -> None:
    """Look into an SQLite file, without writing to it, before it is opened as records.

    Parameters
    ----------
    address
        Of the records.

    Raises
    ------
    InputError
        When it is no database, or one of somebody else.
    OutputError
        When it cannot be read.
    """
    path = Path(str(address.database))
    if path.exists() and not path.is_file():
        raise _foreign(str(path))
    with told(address):
        if not path.is_file() or not path.stat().st_size:
            return
        with path.open("rb") as file:
            if file.read(len(_HEAD)) != _HEAD:
                raise _foreign(str(path))
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=WAIT)) as connection:
            names = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    if names and VERSION_TABLE not in names:
        raise _foreign(str(path))


def _newer(place: str, came: str, known: str) -> InputError:
    return InputError.one(
        place, came, f"a newer bagside wrote these records; this one knows them up to {known}",
        "update bagside on this machine; nothing was changed",
    )  # fmt: skip


def _foreign(place: str) -> InputError:
    return InputError.one(
        place, "", "this is not a file of records, or it is damaged",
        "nothing was changed: move it elsewhere, or state another place for the records in workshop.toml",
    )  # fmt: skip
