"""Records of every schema that was ever released come forward to this program's, with all that is in them.

What a release wrote lies in ``released/NNNN.json``: rows of its tables, as that release made them. A new schema adds
its file (``PYTHONPATH=tests python tests/records/database/test_migrations.py`` writes the newest) and never changes an
older one.
"""

from __future__ import annotations

import json
import shutil
import sys
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import MetaData, Table, insert, select, text
from sqlalchemy.exc import DBAPIError

from bagside.errors import InputError
from bagside.ledger.bodies import Begun, Spent, body_data
from bagside.records.database import Ledger, schema
from bagside.records.database.door import Door
from bagside.records.database.engine import address_of, reading, writing
from bagside.records.database.schema import MIGRATIONS, migrated, revisions
from bagside.records.database.tables import APPLICATION, SCHEMA, VERSION_TABLE
from busyshop import plan
from databases import Database
from happenings import begun, correction, event, happenings

RELEASED = Path(__file__).with_name("released")
START = datetime(1970, 1, 1, tzinfo=UTC)


def test_every_released_schema_has_its_rows() -> None:
    assert [p.stem for p in sorted(RELEASED.glob("*.json"))] == list(revisions())


def as_released(database: Database, release: str) -> dict[str, Any]:
    """Make records as a release left them; return what was in them."""
    told: dict[str, Any] = json.loads((RELEASED / f"{release}.json").read_text(encoding="utf-8"))
    door = Door(address_of(database.folder, database.url))
    with writing(door.engine) as connection:
        migrated(connection, release)
        if database.kind == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(text("DELETE FROM about"))
        for name, rows in told["tables"].items():
            table = Table(name, MetaData(), autoload_with=connection)
            for row in rows:
                for column in told["moments"].get(name, ()):
                    if database.kind == "postgresql":
                        row[column] = START + timedelta(microseconds=row[column])
            connection.execute(insert(table), rows)
    door.close()
    return told


@pytest.mark.parametrize("release", revisions())
def test_forward_with_all_that_is_in_them(database: Database, release: str) -> None:
    told = as_released(database, release)
    with Ledger.opened(database.folder, database.url) as ledger:
        with reading(ledger.door.engine) as connection:
            version = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar_one()
        assert version == SCHEMA
        events = list(ledger.events())
        assert [(e.order, e.id, e.who, e.device, e.kind) for e in events] == [tuple(r) for r in told["events"]]
        assert [body_data(e.body) for e in events] == [json.loads(r["body"]) for r in told["tables"]["events"]]
        assert [e.at.isoformat() for e in events] == told["times"]
        assert ledger.differing() == ()
        assert list(ledger.names(there=None)) == told["names"]


def test_records_without_a_schema_are_begun_in_one_step(database: Database) -> None:
    door = Door(address_of(database.folder, database.url))

    def begun_by_half() -> None:
        with writing(door.engine) as connection:
            migrated(connection)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        begun_by_half()
    with reading(door.engine) as connection:
        tables = MetaData()
        tables.reflect(connection)
        assert list(tables.tables) == []
    door.close()
    assert not Ledger.kept_for(database.folder, database.url)


NEXT = '''
from alembic import op
from sqlalchemy import Column, Text

revision, down_revision, branch_labels, depends_on = "0002", "0001", None, None


def upgrade() -> None:
    op.add_column("things", Column("shelf", Text, nullable=False, server_default="none"))
    {then}
'''


@pytest.mark.parametrize("breaks", [False, True])
def test_the_next_schema_keeps_everything(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, breaks: bool
) -> None:
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
        events, things = list(ledger.events()), ledger.things(there=None)
    folder = tmp_path / "migrations"
    shutil.copytree(MIGRATIONS, folder)
    then = "op.execute('INSERT INTO nowhere VALUES (1)')" if breaks else "pass"
    (folder / "v0002_shelf.py").write_text(NEXT.format(then=then))
    with monkeypatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", folder)
        patch.setattr(schema, "SCHEMA", "0002")
        if breaks:
            with pytest.raises(DBAPIError):
                Ledger.opened(database.folder, database.url)
        else:
            with Ledger.opened(database.folder, database.url) as ledger, reading(ledger.door.engine) as connection:
                shelves = connection.execute(text("SELECT shelf FROM things")).scalars().all()
                assert set(shelves) == {"none"}
                assert list(ledger.events()) == events
                assert ledger.things(there=None) == things
    if breaks:  # nothing of it was done: the program before opens them as they were
        with Ledger.opened(database.folder, database.url) as ledger:
            assert list(ledger.events()) == events
            assert ledger.things(there=None) == things
    else:  # the program before does not
        with pytest.raises(InputError, match="schema 0002 – a newer bagside wrote these records"):
            Ledger.opened(database.folder, database.url)


def write_newest(folder: Path) -> None:
    """Write what the newest schema holds after a while in the invented workshop."""
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
        bodies = [*islice(happenings(1, "R-A"), 40), Begun(build="B-1", planned=plan(1), mould="")]
        ledger.add([event(body, 10 + k) for k, body in enumerate(bodies)])
        wrong = next(ledger.events(kinds=["counted"]))
        ledger.add([correction(wrong, None, 90), event(Spent(thing="TAPE-1", count=3), 20, late=True)])
        with reading(ledger.door.engine) as connection:
            meta = MetaData()
            meta.reflect(connection)
            tables = {
                table.name: [dict(row) for row in connection.execute(select(table)).mappings()]
                for table in meta.sorted_tables
                if table.name != VERSION_TABLE
            }
        events = list(ledger.events())
        told = {
            "moments": {"events": ["at", "kept"], "things": ["born", "last"]},
            "events": [[e.order, e.id, e.who, e.device, e.kind] for e in events],
            "times": [e.at.isoformat() for e in events],
            "names": list(ledger.names(there=None)),
            "tables": tables,
        }
    RELEASED.mkdir(exist_ok=True)
    path = RELEASED / f"{SCHEMA}.json"
    path.write_text(json.dumps(told, separators=(",", ":"), ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    import tempfile

    sys.path.insert(0, str(Path(__file__).parents[2]))
    with tempfile.TemporaryDirectory() as place:
        write_newest(Path(place))
