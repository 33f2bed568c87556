"""The first schema: events, what they touch, things as they are, and by which program."""

from __future__ import annotations

from alembic import op
from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKeyConstraint,
    PrimaryKeyConstraint,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy.dialects.postgresql import TIMESTAMP
from sqlalchemy.types import TypeEngine

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_SQLITE = (
    """CREATE TRIGGER events_only_new BEFORE INSERT ON events
       WHEN EXISTS (SELECT 1 FROM events WHERE "order" = NEW."order" OR id = NEW.id)
       BEGIN SELECT RAISE(ABORT, 'an event is written once'); END""",
    """CREATE TRIGGER events_not_changed BEFORE UPDATE ON events
       BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END""",
    """CREATE TRIGGER events_not_deleted BEFORE DELETE ON events
       BEGIN SELECT RAISE(ABORT, 'an event is never deleted'); END""",
    """CREATE TRIGGER touches_only_new BEFORE INSERT ON touches
       WHEN EXISTS (SELECT 1 FROM touches WHERE name = NEW.name AND event = NEW.event)
       BEGIN SELECT RAISE(ABORT, 'what an event touches is written once'); END""",
    """CREATE TRIGGER touches_not_changed BEFORE UPDATE ON touches
       BEGIN SELECT RAISE(ABORT, 'what an event touches is never changed'); END""",
    """CREATE TRIGGER touches_not_deleted BEFORE DELETE ON touches
       BEGIN SELECT RAISE(ABORT, 'what an event touches is never deleted'); END""",
)
"""``INSERT OR REPLACE`` deletes without asking the triggers on DELETE: those on INSERT refuse it."""

_POSTGRESQL = (
    """CREATE FUNCTION only_grows() RETURNS trigger LANGUAGE plpgsql AS
       $$ BEGIN RAISE EXCEPTION 'the table % only grows', TG_TABLE_NAME; END $$""",
    """CREATE TRIGGER events_only_grow BEFORE UPDATE OR DELETE ON events
       FOR EACH ROW EXECUTE FUNCTION only_grows()""",
    """CREATE TRIGGER events_not_emptied BEFORE TRUNCATE ON events
       FOR EACH STATEMENT EXECUTE FUNCTION only_grows()""",
    """CREATE TRIGGER touches_only_grow BEFORE UPDATE OR DELETE ON touches
       FOR EACH ROW EXECUTE FUNCTION only_grows()""",
    """CREATE TRIGGER touches_not_emptied BEFORE TRUNCATE ON touches
       FOR EACH STATEMENT EXECUTE FUNCTION only_grows()""",
)


def _name() -> TypeEngine[str]:
    return Text().with_variant(Text(collation="C"), "postgresql")


def _moment() -> TypeEngine[int]:
    return BigInteger().with_variant(TIMESTAMP(timezone=True), "postgresql")


def upgrade() -> None:
    """Make the tables, and the triggers that let them only grow."""
    op.create_table(
        "events",
        Column("order", BigInteger, autoincrement=False, nullable=False),
        Column("id", String(32).with_variant(String(32, collation="C"), "postgresql"), nullable=False),
        Column("at", _moment(), nullable=False),
        Column("zone", Text, nullable=False),
        Column("who", Text, nullable=False),
        Column("device", _name(), nullable=False),
        Column("late", Boolean, nullable=False),
        Column("kind", String(40), nullable=False),
        Column("body", Text, nullable=False),
        Column("kept", _moment(), nullable=False),
        PrimaryKeyConstraint("order"),
        UniqueConstraint("id"),
    )
    op.create_index("events_of_device", "events", ["device", "late", "at"])
    op.create_index("events_of_kind", "events", ["kind", "order"])
    op.create_table(
        "touches",
        Column("name", _name(), nullable=False),
        Column("event", BigInteger, nullable=False),
        PrimaryKeyConstraint("name", "event"),
        ForeignKeyConstraint(["event"], ["events.order"]),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "things",
        Column("name", _name(), nullable=False),
        Column("sort", String(20), nullable=False),
        Column("there", Boolean, nullable=False),
        Column("born", _moment(), nullable=False),
        Column("last", _moment(), nullable=False),
        Column("upto", BigInteger, nullable=False),
        Column("material", Text, nullable=False),
        Column("job", Text, nullable=False),
        Column("state", Text, nullable=False),
        PrimaryKeyConstraint("name"),
    )
    op.create_index("things_there", "things", ["there", "sort", "name"])
    op.create_table(
        "about",
        Column("key", String(20), nullable=False),
        Column("value", Text, nullable=False),
        PrimaryKeyConstraint("key"),
    )
    op.execute("INSERT INTO about (key, value) VALUES ('view', '0')")
    postgresql = op.get_bind().dialect.name == "postgresql"
    for statement in _POSTGRESQL if postgresql else _SQLITE:
        op.execute(statement)
