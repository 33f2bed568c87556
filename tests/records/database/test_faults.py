"""The disk is full, read only, or taken; the server is gone: one sentence, and what was there is as it was."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import text

from bagside.errors import InputError, OutputError
from bagside.ledger.bodies import Spent
from bagside.records.database import Ledger
from bagside.records.database.engine import QUIET, writing
from bagside.records.database.keeping import keep
from databases import Database, drop_database, new_database, own_server, server
from happenings import START, begun, event, happenings
from recordwriter import writer

KEPT = " Nothing of this was kept; what was there before is as it was."


def filled(ledger: Ledger, most: int = 3000) -> tuple[list[str], str]:
    """Add events until one cannot be kept; return the ids of those that were, and what was said then."""
    kept: list[str] = []
    bodies = happenings(11, "F")
    for k in range(most):
        told = event(next(bodies), 10 + k)
        try:
            ledger.add([told])
        except OutputError as error:
            return kept, str(error)
        kept.append(told.id)
    pytest.fail("the disk never got full")


def is_whole(ledger: Ledger, kept: list[str]) -> None:
    assert [e.id for e in ledger.events()][4:] == kept
    assert ledger.differing() == ()


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """Give a disk of 1 MB that everybody may enter, which pytest's own folders are not."""
    place = Path(tempfile.mkdtemp(prefix="bagside-disk-"))
    place.chmod(0o755)
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True, text=True, check=False
    )
    if made.returncode:
        place.rmdir()
        pytest.skip(f"no small disk can be mounted here: {made.stderr.strip()}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)
    place.rmdir()


def remounted(place: Path, options: str) -> None:
    subprocess.run(["mount", "-o", f"remount,{options}", str(place)], check=True)


def test_a_full_disk(small_disk: Path) -> None:
    with Ledger.opened(small_disk) as ledger:
        ledger.add(begun())
        kept, said = filled(ledger)
        assert said == (
            f'the records in "{small_disk}/records.sqlite" cannot be written: the disk is full, or the file may not '
            f"grow any more: make room, then do it again.{KEPT}"
        )
        assert len(kept) > 5
        is_whole(ledger, kept)
    with Ledger.opened(small_disk) as ledger:
        is_whole(ledger, kept)
        remounted(small_disk, "size=4m")
        more = event(Spent(thing="TAPE-1", count=1), 9999)
        ledger.add([more])
        is_whole(ledger, [*kept, more.id])


def test_records_are_not_begun_by_half_on_a_full_disk(small_disk: Path) -> None:
    filler = small_disk / "photos"
    filler.write_bytes(b"x" * (1024 * 1024 - 40 * 1024))
    with pytest.raises(OutputError, match="the disk is full"):
        Ledger.opened(small_disk)
    filler.unlink()
    assert not Ledger.kept_for(small_disk, "")
    with Ledger.opened(small_disk) as ledger:
        ledger.add(begun())
        assert ledger.count == 4


LIMITED = """
import resource, sys
from pathlib import Path
sys.path.insert(0, {tests!r})
from happenings import event, happenings
from bagside.errors import InputError, OutputError
from bagside.records.database import Ledger

with Ledger.opened(Path({folder!r})) as ledger:
    resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, resource.RLIM_INFINITY))
    bodies = happenings(11, "F")
    for k in range(3000):
        told = event(next(bodies), 10 + k)
        try:
            ledger.add([told])
        except OutputError as error:
            print(error, flush=True)
            break
        print(told.id, flush=True)
    print(ledger.count, *ledger.differing())
"""


def test_a_file_that_may_not_grow(tmp_path: Path) -> None:
    with Ledger.opened(tmp_path) as ledger:
        ledger.add(begun())
    script = LIMITED.format(tests=str(Path(__file__).parents[2]), folder=str(tmp_path))
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=120, check=False)
    assert ran.returncode == 0, ran.stderr
    *kept, said, count = ran.stdout.splitlines()
    assert said.endswith(f"the disk is full, or the file may not grow any more: make room, then do it again.{KEPT}")
    assert len(kept) > 5
    assert count == str(4 + len(kept))
    with Ledger.opened(tmp_path) as ledger:
        is_whole(ledger, kept)


def test_a_server_whose_disk_is_full(small_disk: Path, tmp_path: Path) -> None:
    there = server()
    if there.lacking or there.process is None:
        pytest.skip(f"no PostgreSQL of our own: {there.lacking or 'its disk is not ours'}")
    remounted(small_disk, "size=14m")
    space = small_disk / "space"
    space.mkdir()
    os.chown(space, *_owner(there.folder))
    with psycopg.connect(there.url, autocommit=True) as connection:
        connection.execute(f"CREATE TABLESPACE small LOCATION '{space}'")  # type: ignore[arg-type, unused-ignore]
    url = new_database(options="TABLESPACE small")
    try:
        with Ledger.opened(tmp_path, url) as ledger:
            ledger.add(begun())
            filler = small_disk / "photos"
            with filler.open("wb") as file:
                try:
                    while file.write(b"x" * 8192):
                        file.flush()
                except OSError:
                    pass
            kept, said = filled(ledger)
            assert said.endswith(f": the server's disk is full: make room there, then do it again.{KEPT}")
            is_whole(ledger, kept)
            filler.unlink()
            more = event(Spent(thing="TAPE-1", count=1), 9999)
            ledger.add([more])
            is_whole(ledger, [*kept, more.id])
    finally:
        drop_database(url)
        with psycopg.connect(there.url, autocommit=True) as connection:
            connection.execute("DROP TABLESPACE small")


def _owner(folder: Path | None) -> tuple[int, int]:
    assert folder is not None
    told = folder.stat()
    return told.st_uid, told.st_gid


def test_a_disk_that_is_read_only(small_disk: Path) -> None:
    with Ledger.opened(small_disk) as ledger:
        ledger.add(begun())
    long_ago = time.time() - 2 * QUIET
    os.utime(small_disk / "records.sqlite-wal", (long_ago, long_ago))
    remounted(small_disk, "ro")
    with Ledger.opened(small_disk) as ledger:
        is_whole(ledger, [])
        with pytest.raises(OutputError) as caught:
            ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
        assert str(caught.value).endswith(f"it may be read only: look at its permissions and at the disk.{KEPT}")
    for beside in ("-wal", "-shm"):
        remounted(small_disk, "rw")
        (small_disk / f"records.sqlite{beside}").unlink(missing_ok=True)
    remounted(small_disk, "ro")
    with pytest.raises(OutputError, match=r"cannot be read: it cannot be opened: look whether the folder is there"):
        Ledger.opened(small_disk)
    remounted(small_disk, "rw")
    with Ledger.opened(small_disk) as ledger:
        is_whole(ledger, [])


def test_a_server_that_takes_no_writing(tmp_path: Path) -> None:
    url = new_database()
    try:
        with Ledger.opened(tmp_path, url) as ledger:
            ledger.add(begun())
        with psycopg.connect(url, autocommit=True) as connection:
            name = url.rpartition("/")[2]
            connection.execute(f"ALTER DATABASE {name} SET default_transaction_read_only = on")  # type: ignore[arg-type, unused-ignore]
        with Ledger.opened(tmp_path, url) as ledger:
            with pytest.raises(OutputError, match=r"the server takes no writing at present\. Nothing of this was kept"):
                ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
            is_whole(ledger, [])
    finally:
        drop_database(url)


def test_somebody_else_has_been_writing_for_long(database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.records.database.engine.WAIT", 0.3)
    with Ledger.opened(database.folder, database.url) as other, Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
        with writing(other.door.engine):
            with pytest.raises(OutputError, match=r"another program has been writing for .* s: close it"):
                ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
            assert ledger.count == 4, "readers do not wait"
        ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
        assert ledger.count == 5


def test_wrong_password_and_wrong_database_are_told() -> None:
    url = new_database()
    try:
        name = url.rpartition("/")[2]
        for wrong, wanted in (
            (url.replace("postgres:", "postgres:no", 1), "the server does not let this user in"),
            (url.replace(name, "nowhere"), "the server has no database of this name: create it first"),
        ):
            with pytest.raises(OutputError, match=wanted) as caught:
                Ledger.opened(Path(), wrong)
            assert "\n" not in str(caught.value)
    finally:
        drop_database(url)


def test_a_database_of_another_code_is_refused() -> None:
    url = new_database(options="ENCODING 'LATIN1'")
    try:
        with pytest.raises(InputError, match="encoding LATIN1 – not every name can be written there: UTF8 is wanted"):
            Ledger.opened(Path(), url)
        with psycopg.connect(url) as connection:
            assert connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone() == (0,)
    finally:
        drop_database(url)


def test_a_server_that_goes_at_the_last_moment_leaves_it_open(tmp_path: Path) -> None:
    url = new_database()
    try:
        with Ledger.opened(tmp_path, url) as ledger:
            ledger.add(begun())
            before = ledger.count

            def cut_off() -> None:
                with ledger.door.writing() as connection:
                    keep(connection, [event(Spent(thing="TAPE-1", count=1), 10)], START + timedelta(hours=1))
                    pid = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
                    with psycopg.connect(url) as other:
                        other.execute("SELECT pg_terminate_backend(%s, 10000)", [pid])

            with pytest.raises(OutputError) as caught:
                cut_off()
            assert str(caught.value).endswith(
                "the server was shut down: start it. It is not known whether this was kept: look first, and do it "
                "again only if it is not there."
            )
            assert ledger.count == before  # it was not, this time
            ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
    finally:
        drop_database(url)


def test_a_server_that_dies_while_others_write(tmp_path: Path) -> None:
    if server().lacking:
        pytest.skip(f"no PostgreSQL: {server().lacking}")
    there = own_server()
    assert not there.lacking, there.lacking
    try:
        url = new_database(there)
        with Ledger.opened(tmp_path, url) as ledger:
            ledger.add(begun())
            process = writer(tmp_path, url, "S", 3, 2000)
            assert process.stdout is not None
            assert process.stdout.readline() == "open\n"
            kept = [process.stdout.readline().strip() for _ in range(40)]
            there.kill()
            rest, said = process.communicate(timeout=60)
            assert "OutputError" in said.splitlines()[-1]
            kept += [line for line in rest.splitlines() if len(line) == 32]
            with pytest.raises(OutputError, match=r"the server does not answer|the server was shut down") as caught:
                ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
            assert "\n" not in str(caught.value)
            assert not there.start()
            ids = [e.id for e in ledger.events()][4:]
            assert ids[: len(kept)] == kept
            assert len(ids) - len(kept) in (0, 1)  # one may have been kept before it could be told
            assert ledger.differing() == ()
            ledger.add([event(Spent(thing="TAPE-1", count=1), 10)])
    finally:
        there.end()
