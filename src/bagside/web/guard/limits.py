"""How much may be sent, and how slowly.

A request's body is counted while it comes, whatever its head promised. One that stops coming, or trickles, is ended:
otherwise a few hundred open requests would hold the program's connections for ever. What is read after the body is
whole is the app waiting for the person to go away, and may take as long as it likes.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.types import Message, Receive

MEGA = 1_000_000
SMALL = MEGA
"""Bytes of any body that is not named below."""
LARGE = (("/_nicegui/client/", 300 * MEGA), ("/upload/", 300 * MEGA), ("/floor/photo", 25 * MEGA))
"""Beginnings of paths that take files, and the bytes they take: a scan of a mould, a photo from a phone."""
STILL = 20.0  # [s] the longest silence within a body
GRACE = 30.0  # [s] before its mean rate counts
SLOWEST = 2_000.0  # [bytes/s] mean: a poor wireless network has a hundred times that


class TooMuch(HTTPException):
    """A body is larger than its place takes."""

    def __init__(self) -> None:
        super().__init__(413, "this is larger than is taken here")


class TooSlow(HTTPException):
    """A body stopped coming, or trickles."""

    def __init__(self) -> None:
        super().__init__(408, "this came too slowly; send it again")


def most_bytes(path: str) -> int:
    """Return how many bytes a body for a path may have.

    Parameters
    ----------
    path
        Of the request.
    """
    return next((most for start, most in LARGE if path.startswith(start)), SMALL)


def promised(length: str) -> int:
    """Return the bytes a Content-Length promises.

    Parameters
    ----------
    length
        The header's text; empty when there is none.

    Raises
    ------
    ValueError
        When it is no number of bytes.
    """
    if not length:
        return 0
    if not (length.isascii() and length.isdigit() and len(length) < 16):
        raise ValueError(length)
    return int(length)


class Measured:
    """A body as the app receives it, counted and timed.

    Parameters
    ----------
    receive
        As the server gives it.
    most
        Bytes it may have.
    clock
        Gives seconds that never run back.
    still
        The longest silence [s].
    """

    def __init__(
        self, receive: Receive, most: int, clock: Callable[[], float] = time.monotonic, still: float = STILL
    ) -> None:
        self._receive = receive
        self._most = most
        self._clock = clock
        self._still = still
        self._begun: float | None = None
        self._count = 0
        self._whole = False
        self.over: HTTPException | None = None

    async def __call__(self) -> Message:
        """Return the next message.

        Raises
        ------
        TooMuch
            When the body is larger than it may be.
        TooSlow
            When it stopped coming, or trickles.
        """
        if self._whole:
            return await self._receive()
        if self._begun is None:
            self._begun = self._clock()
        try:
            async with asyncio.timeout(self._still):
                message = await self._receive()
        except TimeoutError:
            raise self._ended(TooSlow()) from None
        if message["type"] != "http.request":
            self._whole = True
            return message
        self._count += len(message.get("body", b""))
        self._whole = not message.get("more_body", False)
        if self._count > self._most:
            raise self._ended(TooMuch())
        spent = self._clock() - self._begun
        if not self._whole and spent > GRACE and self._count < SLOWEST * spent:
            raise self._ended(TooSlow())
        return message

    def _ended(self, error: HTTPException) -> HTTPException:
        self.over = error
        return error
