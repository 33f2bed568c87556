"""The tables of the records, and the types their columns have in each database.

`events` and `touches` only grow: triggers refuse everything else (`bagside.records.database.migrations`). `things` is a
view: it follows from the events and can be made anew at any time. `about` says by which program it was.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    ForeignKey,
    Index,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    TypeDecorator,
)
from sqlalchemy.dialects.postgresql import TIMESTAMP
from sqlalchemy.types import TypeEngine

SCHEMA = "0001"
"""The schema that this program reads and writes."""
VERSION_TABLE = "schema_version"
VIEW = 1
"""Raised by one whenever the same events come to make other things: opening records then makes their view anew."""
APPLICATION = 0x62616773
"""Stands in the head of an SQLite file of ours: ``bags``."""

_START = datetime(1970, 1, 1, tzinfo=UTC)
_STEP = timedelta(microseconds=1)


class Moment(TypeDecorator[datetime]):
    """A time in UTC to the microsecond: a whole number in SQLite, which has no times, ``timestamptz`` in PostgreSQL."""

    impl = BigInteger
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Return the type of the column."""
        if dialect.name == "postgresql":
            return dialect.type_descriptor(TIMESTAMP(timezone=True))
        return dialect.type_descriptor(BigInteger())

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """Return what goes into the database."""
        if value is None or dialect.name == "postgresql":
            return value
        return (value - _START) // _STEP

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Return what came out of it."""
        if value is None:
            return None
        if dialect.name == "postgresql":
            found: datetime = value.astimezone(UTC)
            return found
        return _START + int(value) * _STEP


def name_type() -> TypeEngine[str]:
    """Return the type of a name: compared letter by letter in both databases, whatever language the server speaks."""
    return Text().with_variant(Text(collation="C"), "postgresql")


def id_type() -> TypeEngine[str]:
    """Return the type of an id, which is found by its beginning too."""
    return String(32).with_variant(String(32, collation="C"), "postgresql")


metadata = MetaData()

events = Table(
    "events",
    metadata,
    Column("order", BigInteger, autoincrement=False, nullable=False),
    Column("id", id_type(), nullable=False, unique=True),
    Column("at", Moment, nullable=False),
    Column("zone", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("device", name_type(), nullable=False),
    Column("late", Boolean, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("body", Text, nullable=False),
    Column("kept", Moment, nullable=False),
    PrimaryKeyConstraint("order"),
    Index("events_of_device", "device", "late", "at"),
    Index("events_of_kind", "kind", "order"),
)
"""What happened; `order` rises by one with each, without gaps, because writers come one after the other."""

touches = Table(
    "touches",
    metadata,
    Column("name", name_type(), nullable=False),
    Column("event", BigInteger, ForeignKey("events.order"), nullable=False),
    PrimaryKeyConstraint("name", "event"),
    sqlite_with_rowid=False,
)
"""Which things an event touches."""

things = Table(
    "things",
    metadata,
    Column("name", name_type(), nullable=False),
    Column("sort", String(20), nullable=False),
    Column("there", Boolean, nullable=False),
    Column("born", Moment, nullable=False),
    Column("last", Moment, nullable=False),
    Column("upto", BigInteger, nullable=False),
    Column("material", Text, nullable=False),
    Column("job", Text, nullable=False),
    Column("state", Text, nullable=False),
    PrimaryKeyConstraint("name"),
    Index("things_there", "there", "sort", "name"),
)
"""What is true now of each thing; `last` is the time of the latest event that counts for it, `upto` the order of the
newest one that touches it."""

about = Table(
    "about",
    metadata,
    Column("key", String(20), nullable=False),
    Column("value", Text, nullable=False),
    PrimaryKeyConstraint("key"),
)
"""What is known of the records themselves: `view` says by which `VIEW` the things were made, `home` (SQLite) in which
file they were opened last."""
