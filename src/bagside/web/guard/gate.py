"""The gate: who is in at this moment, and how one comes in and goes.

What must outlast a restart (the epoch, sessions that were ended before their time) is written to the access file in the
moment it is said. Everything else is kept in memory.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from bagside.web.guard import sessions
from bagside.web.guard.access import Access, Kept, Role, read_kept, write_kept
from bagside.web.guard.attempts import Attempts
from bagside.web.guard.origin import own_names
from bagside.web.guard.pins import role_for
from bagside.web.guard.sessions import Session

MOST_SEEN = 500
"""Devices shown as joined; those not seen for longest go first. Their sessions go on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A device that was here since the program started.

    Parameters
    ----------
    session
        As it was used last.
    address
        It came from.
    """

    session: Session
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of a PIN.

    Parameters
    ----------
    session
        When it was right.
    wait
        Until the next try [s].
    left
        Misses before there is a pause.
    """

    session: Session | None = None
    wait: float = 0.0
    left: int = 0


class Gate:
    """Lets in, knows who is in, and sends out.

    Parameters
    ----------
    access
        As the program was started.
    now
        Gives the time [s since 1970].
    attempts
        Counts wrong PINs.
    """

    def __init__(
        self, access: Access, *, now: Callable[[], float] = time.time, attempts: Attempts | None = None
    ) -> None:
        self.access = access
        self.names = own_names(access)
        self.attempts = attempts or Attempts()
        self.now = now
        kept = read_kept(access.file) if access.lan and access.file is not None else None
        self._ended: dict[str, float] = dict(kept.ended) if kept else {}
        self._seen: dict[str, Seen] = {}
        self._sockets: dict[str, set[asyncio.Event]] = {}
        self._one_pin = asyncio.Semaphore(1)  # a hash takes 64 MiB: never two tries at a time

    def session(self, cookies: str) -> Session | None:
        """Return the session a request's cookies hold; None when it is over or there is none.

        Parameters
        ----------
        cookies
            The header's text.
        """
        value = sessions.cookie_of(cookies, sessions.cookie_name(self.access))
        found = sessions.opened(value, self.access, self.now()) if value else None
        return found if found is not None and self.goes_on(found) else None

    def goes_on(self, session: Session) -> bool:
        """Return whether a session that was found good before still is.

        Parameters
        ----------
        session
            Of a device.
        """
        return session.epoch == self.access.epoch and session.id not in self._ended and self.now() <= session.ends

    def is_here(self, session: Session, address: str) -> None:
        """Remember that a device was seen.

        Parameters
        ----------
        session
            Of the device.
        address
            It came from.
        """
        self._seen.pop(session.id, None)
        self._seen[session.id] = Seen(session=sessions.used(session, self.now()), address=address)
        while len(self._seen) > MOST_SEEN:
            del self._seen[next(iter(self._seen))]

    def devices(self) -> tuple[Seen, ...]:
        """Return the devices seen since the program started, the latest first."""
        return tuple(s for s in reversed(self._seen.values()) if self.goes_on(s.session))

    async def tried(self, pin: str, address: str) -> Answer:
        """Return what comes of a PIN.

        Parameters
        ----------
        pin
            As typed.
        address
            Of the device.
        """
        async with self._one_pin:
            wait = self.attempts.wait(address)
            if wait > 0.0:
                return Answer(wait=wait)
            role = await asyncio.to_thread(role_for, pin, self.access)
            if role is None:
                self.attempts.missed(address)
                return Answer(wait=self.attempts.wait(address), left=self.attempts.left(address))
            self.attempts.passed(address)
        session = sessions.begun(role, self.access, self.now())
        self.is_here(session, address)
        return Answer(session=session)

    def end(self, session: Session) -> None:
        """End one session, and close what it has open.

        Parameters
        ----------
        session
            To be ended.

        Raises
        ------
        OutputError
            When that cannot be written down; the session is over all the same until a restart.
        """
        now = self.now()
        self._ended = {name: until for name, until in self._ended.items() if until > now}
        self._ended[session.id] = session.ends
        self._seen.pop(session.id, None)
        for event in self._sockets.get(session.id, ()):
            event.set()
        self._keep()

    def end_named(self, device: str) -> bool:
        """End the session of a device by its short name; False when there is no such device.

        Parameters
        ----------
        device
            See `Session.device`.

        Raises
        ------
        OutputError
            See `end`.
        """
        found = [s.session for s in self.devices() if s.session.device == device]
        for session in found:
            self.end(session)
        return bool(found)

    def end_all(self) -> None:
        """End every session, and close what they have open.

        Raises
        ------
        OutputError
            When that cannot be written down; they are over all the same until a restart.
        """
        self.access = replace(self.access, epoch=self.access.epoch + 1)
        self._ended.clear()
        self._seen.clear()
        for events in self._sockets.values():
            for event in events:
                event.set()
        self._keep()

    def opened(self, session: Session) -> asyncio.Event:
        """Return what is set when a session with an open WebSocket ends; to be given back with `closed`.

        Parameters
        ----------
        session
            Of the device.
        """
        event = asyncio.Event()
        self._sockets.setdefault(session.id, set()).add(event)
        return event

    def closed(self, session: Session, event: asyncio.Event) -> None:
        """Forget a WebSocket that is closed.

        Parameters
        ----------
        session
            Of the device.
        event
            Of `opened`.
        """
        events = self._sockets.get(session.id, set())
        events.discard(event)
        if not events:
            self._sockets.pop(session.id, None)

    def may(self, role: Role, path: str) -> bool:
        """Return whether a role may go to a path.

        Parameters
        ----------
        role
            Of a session.
        path
            Of a request, found to be plain.
        """
        return role is Role.DESK or is_below(path, FLOOR)

    def _keep(self) -> None:
        access = self.access
        if access.file is None or access.floor_hash is None or access.desk_hash is None:
            return
        kept = Kept(
            floor_hash=access.floor_hash,
            desk_hash=access.desk_hash,
            secret=access.secret,
            epoch=access.epoch,
            ended=self._ended,
        )
        write_kept(access.file, kept)


OWN = ("/join", "/join-code", "/leave")
"""Paths the door answers itself, and what lies below them."""
OPEN = ("/join", "/favicon.ico")
"""Paths for everybody, and what lies below them."""
FLOOR = (*OPEN, "/floor", "/p", "/o", "/leave", "/looks")
"""Paths for those on the floor, and what lies below them; ``/p`` and ``/o`` are what the codes of labels lead to."""


def is_below(path: str, starts: tuple[str, ...]) -> bool:
    """Return whether a path is one of these or lies below one.

    Parameters
    ----------
    path
        Plain.
    starts
        Without a slash at the end.

    Examples
    --------
    >>> is_below("/floor/b/lid", ("/floor",)), is_below("/floorplan", ("/floor",))
    (True, False)
    """
    return any(path == start or path.startswith(start + "/") for start in starts)
