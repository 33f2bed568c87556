"""A file of records that came here by being copied is looked at once, before anything is built on it.

A copy of the folder is of one moment unless the journal was brought home just while it was taken. That shows when the
copy is opened first, and not in the year in which somebody needs it.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import func, select

from bagside.errors import OutputError
from bagside.records.database.asking import newest
from bagside.records.database.door import Door
from bagside.records.database.tables import about, events

KEY = "home"


def looked_at(door: Door) -> None:
    """Look at an SQLite file that is not where it was opened last: whether its pages fit, and no event is missing.

    Parameters
    ----------
    door
        To the records, of this program's schema.

    Raises
    ------
    OutputError
        When it is damaged.
    """
    if door.address.get_backend_name() != "sqlite":
        return
    path = Path(str(door.address.database))
    here = str(path.stat().st_ino)
    with door.reading() as connection:
        kept = connection.execute(select(about.c.value).where(about.c.key == KEY)).scalar()
        if kept == here:
            return
        if kept is not None:
            found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
            count = connection.execute(select(func.count()).select_from(events)).scalar()
            if found != "ok" or count != newest(connection):
                raise OutputError(
                    f'"{path}" is a damaged copy of records: it was taken while somebody wrote, or it was cut off. '
                    'Take another one, with "bagside backup", or put it back from one (bagside restore).'
                )
    try:
        with door.writing() as connection:
            connection.execute(about.delete().where(about.c.key == KEY))
            connection.execute(about.insert().values(key=KEY, value=here))
    except OutputError:
        return  # read only, or full: it is looked at again next time
