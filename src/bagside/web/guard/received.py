"""Files from requests: written to a private folder as they come, up to a size, and only of known kinds."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
import time
from collections.abc import AsyncIterator, Collection, Iterator
from pathlib import Path
from typing import Protocol, runtime_checkable

from bagside.errors import InputError, OutputError
from bagside.web.guard.kinds import Kind, kind_of
from bagside.web.guard.limits import MEGA
from bagside.web.guard.paths import plain_name

MOST = {"mesh": 300 * MEGA, "drawing": 50 * MEGA, "photo": 60 * MEGA, "sheet": 40 * MEGA, "log": 40 * MEGA}
"""Bytes of a file by what it is for."""
PREFIX = "bagside-in-"
OLD = 86400.0  # [s] after which what a killed program left behind is taken away
_STEP = 1 << 20


@runtime_checkable
class Readable(Protocol):
    """A file that is read in parts, as Starlette's ``UploadFile`` is."""

    async def read(self, size: int = -1, /) -> bytes:
        """Return the next bytes, none at the end.

        Parameters
        ----------
        size
            At most so many.
        """
        ...


@runtime_checkable
class Iterated(Protocol):
    """A file that gives its parts, as those of the desk's pages do."""

    def iterate(self, *, chunk_size: int = _STEP) -> AsyncIterator[bytes]:
        """Return its parts.

        Parameters
        ----------
        chunk_size
            Bytes of each.
        """
        ...


@runtime_checkable
class Streamed(Protocol):
    """A request whose body is the file."""

    def stream(self) -> AsyncIterator[bytes]:
        """Return the body's parts."""
        ...


async def received(
    source: Readable | Iterated | Streamed, *, name: str, kinds: Collection[Kind], most: int, called: str = ""
) -> Path:
    """Return a file that was sent, in a private folder of its own, named as it was called as far as that is safe.

    Whoever asked for it takes it away with `thrown_away`.

    Parameters
    ----------
    source
        An upload, or a request whose body is the file.
    name
        As the sender called it.
    kinds
        That are taken.
    most
        Bytes it may have.
    called
        For messages, instead of the name.

    Raises
    ------
    InputError
        When it is too large, empty, of another kind or not what its name says; nothing of it is kept then.
    OutputError
        When there is no room for it.
    """
    _swept()
    shown = called or plain_name(name)
    folder = Path(tempfile.mkdtemp(prefix=PREFIX))  # 0700
    try:
        draft = folder / plain_name(name)
        count = 0
        with draft.open("xb") as file:
            async for part in _parts(source):
                count += len(part)
                if count > most:
                    came = f"more than {most / MEGA:.0f} MB"
                    raise InputError.one(
                        shown, came, f"up to {most / MEGA:.0f} MB are taken here", "send a smaller file"
                    )
                file.write(part)
        kind = kind_of(draft, plain_name(name), kinds)
        kept = draft.with_suffix(kind.value) if kind is not Kind.CSV else draft
        if kept != draft:
            draft.rename(kept)
        return kept
    except OSError as error:
        shutil.rmtree(folder, ignore_errors=True)
        raise OutputError(f"{shown} cannot be kept: {(error.strerror or str(error)).lower()}") from None
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def thrown_away(path: Path) -> None:
    """Take away a file that was received, with its folder.

    Parameters
    ----------
    path
        From `received`.

    Raises
    ------
    ValueError
        When it is not one.
    """
    folder = path.parent
    if not folder.name.startswith(PREFIX) or folder.parent.resolve() != Path(tempfile.gettempdir()).resolve():
        raise ValueError("not a file that was received")
    shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def kept_for_now(path: Path) -> Iterator[Path]:
    """Give a file that was received, and take it away afterwards.

    Parameters
    ----------
    path
        From `received`.
    """
    try:
        yield path
    finally:
        thrown_away(path)


async def _parts(source: Readable | Iterated | Streamed) -> AsyncIterator[bytes]:
    if isinstance(source, Iterated):
        async for part in source.iterate(chunk_size=_STEP):
            yield part
    elif isinstance(source, Streamed):
        async for part in source.stream():
            yield part
    else:
        while part := await source.read(_STEP):
            yield part


def _swept() -> None:
    """Take away what a killed program left behind."""
    before = time.time() - OLD
    for folder in Path(tempfile.gettempdir()).glob(f"{PREFIX}*"):
        with contextlib.suppress(OSError):
            if folder.is_dir() and not folder.is_symlink() and folder.stat().st_mtime < before:
                shutil.rmtree(folder, ignore_errors=True)
