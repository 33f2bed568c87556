"""``stock.toml``: read with what it rests on, and added to in one step or not at all.

Nothing that stands in the file is changed or taken away: comments, order and hand-made lines stay. What is added is
first read again as a person's file would be; only a file that passes replaces the old one. When the file was changed
since it was read, nothing is written and the person is told.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT

from bagside.errors import InputError
from bagside.records.writing import replaced, unwritable
from bagside.spec.library import Library
from bagside.spec.opening import STOCK_FILE
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Offcut, Stock, Taken, Up, Used
from bagside.spec.stock_check import stock_problems
from bagside.spec.workshop import Workshop

PATIENCE = 5.0
"""For how long another program may hold the file [s]."""
HEAD = """# Cloth in stock beside the rolls. Lines are only added: what was cut off each roll, the offcuts that were
# kept, and the ones that were cut from. Rolls themselves are stated in workshop.toml as they were received.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFile:
    """A workshop's stock as it was read.

    Parameters
    ----------
    path
        Of ``stock.toml``; it need not be there yet.
    stock
        What it holds.
    digest
        Of its content; empty when there is no file.
    """

    path: Path
    stock: Stock
    digest: str

    @classmethod
    def read(cls, folder: Path) -> StockFile:
        """Return the stock of a workshop.

        Parameters
        ----------
        folder
            Of the workshop.

        Raises
        ------
        InputError
            With every problem of the file.
        """
        path = folder / STOCK_FILE
        if not path.is_file():
            return cls(path=path, stock=Stock(), digest="")
        stock = stated_from(load_toml(path), Stock, path.name)
        return cls(path=path, stock=stock, digest=_digest(path))

    def next_name(self, taken: Sequence[str] = ()) -> str:
        """Return a name for a new offcut that none has had: ``O-7``.

        Parameters
        ----------
        taken
            Names given since the file was read.
        """
        names = [o.name for o in self.stock.offcuts] + list(taken)
        numbers = [int(n[2:]) for n in names if n.startswith("O-") and n[2:].isdecimal()]
        return f"O-{max(numbers, default=0) + 1}"

    def added(
        self,
        workshop: Workshop,
        library: Library,
        *,
        taken: Sequence[Taken] = (),
        used: Sequence[Used] = (),
        offcuts: Sequence[Offcut] = (),
    ) -> StockFile:
        """Add what happened and return the file as it stands then.

        Parameters
        ----------
        workshop, library
            That the new content is checked against.
        taken
            Lengths cut off rolls.
        used
            Offcuts that were cut from.
        offcuts
            New ones.

        Raises
        ------
        InputError
            When what is added does not go with what is there, or the file has changed since it was read.
        OutputError
            When it cannot be written; then it is as it was.
        """
        with _held(self.path):
            if (_digest(self.path) if self.path.is_file() else "") != self.digest:
                raise InputError.one(
                    self.path.name,
                    "",
                    "it was changed by someone else in the meantime, so nothing was written",
                    "do it again: what is there now is read first",
                )
            text = self._text(taken, used, offcuts, workshop.currency)
            after = self._checked(text, workshop, library)
            replaced(self.path, text)
        return StockFile(path=self.path, stock=after, digest=hashlib.sha256(text.encode()).hexdigest())

    def _text(self, taken: Sequence[Taken], used: Sequence[Used], offcuts: Sequence[Offcut], currency: str) -> str:
        before = self.path.read_text(encoding="utf-8") if self.digest else HEAD
        document = tomlkit.parse(before)
        new = {
            "offcuts": [_offcut(o, currency) for o in offcuts],
            "taken": [_taken(t) for t in taken],
            "used": [_used(u) for u in used],
        }
        for key, tables in new.items():
            if not tables:
                continue
            rows = document.get(key)
            if rows is None:
                rows = tomlkit.aot()
                document.append(key, rows)
            if not isinstance(rows, AoT):
                place = f"{self.path.name}, {key}"
                raise InputError.one(
                    place, "", "it is written on one line, and cannot be added to", f"write each as [[{key}]]"
                )
            for table in tables:
                table.trivia.indent = "\n"  # an empty line before each
                rows.append(table)
        return tomlkit.dumps(document)

    def _checked(self, text: str, workshop: Workshop, library: Library) -> Stock:
        after = stated_from(tomlkit.parse(text).unwrap(), Stock, self.path.name)
        problems = list(stock_problems(after, workshop, library, self.path.name, "workshop.toml"))
        if problems:
            raise InputError(problems)
        return after


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@contextmanager
def _held(path: Path) -> Iterator[None]:
    """Keep other programs from writing the file meanwhile."""
    lock = path.with_name(f".{path.name}.lock")
    until = time.monotonic() + PATIENCE
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            if time.monotonic() > until:
                raise InputError.one(
                    path.name,
                    "",
                    "another program is writing it, so nothing was written",
                    f"try again; if none is running, remove {lock.name} beside it",
                ) from None
            time.sleep(0.05)
        except OSError as error:
            raise unwritable(path, error) from None
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def _loop(points: Sequence[tuple[float, float]]) -> Any:
    rows = tomlkit.array()
    for x, y in points:
        rows.append(f"{1e3 * x:.1f} {1e3 * y:.1f} mm")
    return rows


def _hours(seconds: float) -> str:
    return f"{seconds / 3600.0:.6g} h"


def _offcut(offcut: Offcut, currency: str) -> Any:
    table = tomlkit.table()
    table["name"] = offcut.name
    table["material"] = offcut.material
    for key, text in (("roll", offcut.roll), ("batch", offcut.batch)):
        if text:
            table[key] = text
    table["life_used"] = _hours(offcut.life_used)
    if offcut.up is not Up.RICH:
        table["up"] = offcut.up.value
    if offcut.price is not None:
        table["price"] = f"{offcut.price:.6g} {currency}/m²"
    for word, day in (("made", offcut.made), ("use_by", offcut.use_by)):
        if day is not None:
            table[word] = day
    table["outline"] = _loop(offcut.outline)
    for key, loops in (("holes", offcut.holes), ("flaws", offcut.flaws)):
        if loops:
            rows = tomlkit.array()
            for loop in loops:
                rows.append(_loop(loop))
            table[key] = rows
    return table


def _taken(taken: Taken) -> Any:
    table = tomlkit.table()
    table["roll"] = taken.roll
    table["length"] = f"{taken.length:.3f} m"
    if taken.job:
        table["job"] = taken.job
    if taken.on is not None:
        table["on"] = taken.on
    return table


def _used(used: Used) -> Any:
    table = tomlkit.table()
    table["offcut"] = used.offcut
    if used.job:
        table["job"] = used.job
    if used.on is not None:
        table["on"] = used.on
    return table
