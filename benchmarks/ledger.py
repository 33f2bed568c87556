"""Records of 10⁴, 10⁵ and 10⁶ events: how fast the board opens and one more event is kept, in SQLite and PostgreSQL.

The events are those of an invented workshop (``tests/busyshop.py``): twenty builds at a time, about 125 events each.
The ledger grows by `Ledger.add` in groups; PostgreSQL, a server of its own that waits for the disk, gets the same rows
by COPY, which are compared afterwards. The peer is the floor: the same bytes written and committed to a bare table of
the same database, without rules, views or indexes. Aims: board < 1 s, one event < 20 ms at the median.

Takes about ten minutes on an idle machine of two cores, and 2 GB of disk.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from pathlib import Path

import psycopg
from sqlalchemy import text

from bagside.ledger.event import Event
from bagside.records.database import Ledger
from bagside.records.database.asking import standings
from bagside.records.database.door import Door
from bagside.records.database.engine import address_of, reading, writing
from bagside.records.database.rows import event_row, thing_row
from bagside.records.database.tables import events, things, touches

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

import busyshop  # noqa: E402
import databases  # noqa: E402

SIZES = (10_000, 100_000, 1_000_000)
GROUP = 1000
SINGLE = 300
BOARD = """
import sys, time
from pathlib import Path
start = time.perf_counter()
from bagside.records.database import Ledger
loaded = time.perf_counter()
with Ledger.opened(Path(sys.argv[1]), sys.argv[2]) as ledger:
    there = ledger.things()
print(loaded - start, time.perf_counter() - loaded, len(there))
"""


def grown(ledger: Ledger, told: Iterator[Event], size: int) -> float:
    """Add events until there are as many as stated; return the time for each [s]."""
    before = ledger.count
    start = time.perf_counter()
    while (lacking := size - ledger.count) > 0:
        ledger.add(list(islice(told, min(GROUP, lacking))))
    return (time.perf_counter() - start) / max(1, size - before)


def copied(source: Ledger, target: Ledger) -> None:
    """Bring the rows that PostgreSQL lacks over from SQLite, as they are."""
    after = target.count
    with reading(source.door.engine) as there, writing(target.door.engine) as here:
        raw = here.connection.driver_connection
        assert isinstance(raw, psycopg.Connection)
        here.execute(text("DELETE FROM things"))
        for table, where in ((events, events.c.order > after), (touches, touches.c.event > after), (things, None)):
            names = ", ".join(f'"{c.name}"' for c in table.columns)
            wanted = table.select() if where is None else table.select().where(where)
            rows = there.execution_options(yield_per=5000).execute(wanted)
            with raw.cursor() as cursor, cursor.copy(f"COPY {table.name} ({names}) FROM STDIN") as copy:  # type: ignore[arg-type, unused-ignore]
                for row in rows:
                    copy.write_row(tuple(row))
    with target.door.engine.connect() as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT").execute(text("ANALYZE"))


def same(one: Ledger, other: Ledger) -> bool:
    """Return whether two ledgers hold the same things, and the same events in a thousand places."""
    orders = range(1, one.count + 1, max(1, one.count // 1000))
    wanted = events.select().where(events.c.order.in_(list(orders))).order_by(events.c.order)
    with reading(one.door.engine) as a, reading(other.door.engine) as b:
        rows = [tuple(r) for r in a.execute(wanted)] == [tuple(r) for r in b.execute(wanted)]
        for ledger, connection in ((one, a), (other, b)):
            assert connection.execute(text("SELECT count(*) FROM events")).scalar() == ledger.count
        wanted = things.select().order_by(things.c.name)
        pairs = zip(a.execute(wanted), b.execute(wanted), strict=True)
        return rows and all(tuple(x) == tuple(y) for x, y in pairs)


def board(ledger: Ledger, times: int = 5) -> tuple[float, float, int]:
    """Return what a new process takes to load the program, to open the board [s], and how much is on it."""
    said = [
        subprocess.run(
            [sys.executable, "-c", BOARD, str(ledger.folder), ledger.url], capture_output=True, text=True, check=True
        ).stdout.split()
        for _ in range(times)
    ]
    load, opening, count = (sorted(float(s[k]) for s in said)[times // 2] for k in range(3))
    return load, opening, int(count)


def timed(does: Callable[[], object], times: int = 5) -> float:
    """Return the median time of something [s]."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        does()
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def appended(ledger: Ledger, new: Sequence[Event]) -> tuple[list[float], list[float], list[float]]:
    """Add events one by one; return the time of each, the processor's, and that of readings of a room's climate [s]."""
    every, own, climate = [], [], []
    for one in new:
        start, busy = time.perf_counter(), time.process_time()
        ledger.add([one], one.at)  # by a clock of their own: both ledgers keep the same
        every.append(time.perf_counter() - start)
        own.append(time.process_time() - busy)
        if one.subjects == ("room",):
            climate.append(every[-1])
    return every, own, climate


def floor(ledger: Ledger, new: Sequence[Event], folder: Path) -> float:
    """Return the median time to write the same bytes to a bare table and commit them [s]."""
    with reading(ledger.door.engine) as connection:
        names = [name for one in new for name in one.subjects]
        held = standings(connection, names)
    rows = []
    for one in new:
        row = event_row(one)
        state = "".join(thing_row(n, held[n])["state"] for n in one.subjects if n in held)
        rows.append((row["id"], row["body"], state))
    url = "sqlite:///bare.sqlite" if ledger.door.engine.dialect.name == "sqlite" else ledger.url
    door = Door(address_of(folder, url))
    with writing(door.engine) as connection:
        connection.execute(text("DROP TABLE IF EXISTS bare"))
        connection.execute(text("CREATE TABLE bare (id TEXT, body TEXT, state TEXT)"))
    mark = "?" if door.engine.dialect.name == "sqlite" else "%s"
    raw = door.engine.raw_connection()
    took = []
    for row in rows:
        start = time.perf_counter()
        cursor = raw.cursor()
        if mark == "?":
            cursor.execute("BEGIN IMMEDIATE")
        cursor.execute(f"INSERT INTO bare VALUES ({mark}, {mark}, {mark})", row)
        raw.commit()
        took.append(time.perf_counter() - start)
    raw.close()
    door.close()
    return statistics.median(took)


def weight(ledger: Ledger) -> float:
    """Return how much the records take on the disk [bytes]."""
    if ledger.door.engine.dialect.name == "sqlite":
        return float(sum(p.stat().st_size for p in ledger.folder.glob("records.sqlite*")))
    with reading(ledger.door.engine) as connection:
        return float(connection.execute(text("SELECT pg_database_size(current_database())")).scalar_one())


def shown(kind: str, ledger: Ledger, new: Sequence[Event], folder: Path, each: float) -> None:
    """Measure a ledger, and print a line."""
    size = ledger.count
    load, opening, count = board(ledger)
    every, own, climate = appended(ledger, new)
    bare = floor(ledger, new, folder)
    build = next(n for one in reversed(new) for n in one.subjects if n.startswith("B-"))
    history = timed(lambda: ledger.history(build))
    name = timed(lambda: ledger.next_name("O"))
    most = sorted(every)[int(0.95 * len(every))]
    words = (
        f"{size:9d}", f"{kind:10s}", f"{1e3 * load:6.0f}", f"{1e3 * opening:7.0f} ({count:3d})",
        f"{1e3 * statistics.median(every):8.2f}", f"{1e3 * most:7.2f}", f"{1e3 * statistics.median(own):7.2f}",
        f"{1e3 * statistics.median(climate or [0.0]):8.1f}", f"{1e3 * bare:7.2f}", f"{1e3 * history:8.1f}",
        f"{1e3 * name:7.1f}", f"{weight(ledger) / 1e6:7.0f}", f"{1e3 * each:5.2f}",
    )  # fmt: skip
    print(*words, flush=True)


def run(sizes: Sequence[int] = SIZES) -> None:
    server = databases.own_server(durable=True)
    print("all in ms but the size on the disk [MB]; cpu: of this process for one event; floor: see above")
    print("   events database     load   board          event    95 %     cpu  climate   floor", end="")
    print("  history    name    size group")
    told = busyshop.happened()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        ledgers = [Ledger.opened(folder)]
        if server.lacking:
            print(f"no PostgreSQL: {server.lacking}")
        else:
            ledgers.append(Ledger.opened(folder, databases.new_database(server)))
        try:
            for size in sizes:
                each = grown(ledgers[0], told, size)
                new = list(islice(told, SINGLE))
                for ledger in ledgers[1:]:
                    copied(ledgers[0], ledger)
                    assert same(ledgers[0], ledger), "the two databases do not hold the same"
                for kind, ledger in zip(("SQLite", "PostgreSQL"), ledgers, strict=False):
                    shown(kind, ledger, new, folder, each)
            start = time.perf_counter()
            made = ledgers[0].rebuild()
            took = time.perf_counter() - start
            print(f"{made} things made anew from {ledgers[0].count} events in {took:.0f} s (SQLite)")
        finally:
            for ledger in ledgers:
                ledger.close()
            server.end()
