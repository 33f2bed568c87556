"""The server's own settings: patience with slow devices, room for connections, TLS, and what is logged.

The server waits for ever for the head of a request once a connection stands. Here it waits ten seconds, and one address
holds only so many connections, so a device that opens them and says nothing cannot keep others out.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

from bagside.web.guard.access import Access
from bagside.web.guard.scrub import log_settings

HEAD_WITHIN = 10.0  # [s] from its first byte, or from the connection, to the end of a request's head
MOST_OF_ONE = 120
"""Connections of one other device: 20 open pages with six each; this machine itself is not counted."""
MOST_OF_ALL = 600
LONGEST_HEAD = 32_768  # bytes
LONGEST_MESSAGE = 4_000_000  # bytes of one WebSocket message
_SELF = ("127.0.0.1", "::1")


class Patient(H11Protocol):
    """One connection, given up when a request's head does not come."""

    _waiting: asyncio.TimerHandle | None = None
    head_within = HEAD_WITHIN
    most_of_one = MOST_OF_ONE

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a connection, or close it when its device has too many.

        Parameters
        ----------
        transport
            Of the connection.
        """
        super().connection_made(transport)
        own = self.client[0] if self.client else ""
        if own not in _SELF and self._count_of(own) > self.most_of_one:
            transport.abort()
            return
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Take bytes, and wait for the rest of a head that is not whole.

        Parameters
        ----------
        data
            As they came.
        """
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._rest()
        else:
            self._wait()

    def handle_websocket_upgrade(self, event: Any) -> None:
        """Hand the connection to a WebSocket.

        Parameters
        ----------
        event
            The head of its request.
        """
        self._rest()
        super().handle_websocket_upgrade(event)
        self.head_within = 0.0  # it is no longer ours to give up

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget a connection.

        Parameters
        ----------
        exc
            Why it was lost.
        """
        self._rest()
        super().connection_lost(exc)

    def _count_of(self, address: str) -> int:
        return sum(
            1 for c in self.connections if (client := getattr(c, "client", None)) is not None and client[0] == address
        )

    def _wait(self) -> None:
        if self._waiting is None and self.head_within > 0.0 and self.transport is not None:
            self._waiting = self.loop.call_later(self.head_within, self._give_up)

    def _rest(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        if self.transport is not None and not self.transport.is_closing():
            self.transport.abort()


def server_options(access: Access) -> dict[str, Any]:
    """Return the keyword arguments for ``uvicorn.Config``, beside the app.

    Parameters
    ----------
    access
        Where it listens, and its certificate.
    """
    options: dict[str, Any] = {
        "host": access.host,
        "port": access.port,
        "http": Patient,
        "proxy_headers": False,  # nobody stands in front: who says so is lying about its address
        "server_header": False,
        "limit_concurrency": MOST_OF_ALL,
        "timeout_keep_alive": 15,
        "timeout_graceful_shutdown": 5,
        "h11_max_incomplete_event_size": LONGEST_HEAD,
        "ws_max_size": LONGEST_MESSAGE,
        "log_config": log_settings(),
        "access_log": False,
    }
    if access.certificate is not None and access.key is not None:
        options |= {"ssl_certfile": str(access.certificate), "ssl_keyfile": str(access.key)}
    return options


def session_cookie(access: Access) -> dict[str, Any]:
    """Return the settings for the cookie by which the desk's pages keep preferences.

    Parameters
    ----------
    access
        Whether through TLS, and the port, since programs of one machine share cookies.
    """
    return {"session_cookie": f"bagside-page-{access.port}", "same_site": "strict", "https_only": access.secure}
