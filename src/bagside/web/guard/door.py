"""The door: what every request passes before the pages see it, and every answer before it leaves.

Plain ASGI, since the desk's pages stream and keep WebSockets open. In this order: path, Host, method, where it comes
from, session, role, size; the first that is not met is answered here and nothing behind is run. Faults that nobody
caught are answered here too, with a number that is in the log and no word of what happened.
"""

from __future__ import annotations

import asyncio
import html
import json
import logging
import secrets
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bagside.errors import Problem
from bagside.web.guard import headers as heads
from bagside.web.guard import limits, origin
from bagside.web.guard.access import Role
from bagside.web.guard.gate import OPEN, OWN, Gate, is_below
from bagside.web.guard.sessions import RENEWED, Session, set_cookie, used
from bagside.web.guard.sheet import sheet
from bagside.web.guard.tongues import said_to

LOG = logging.getLogger("bagside.web")
LARGE_AT_ONCE = 6
"""Large bodies taken at a time; more are told to come again."""
_KEYS = {404: "path", 405: "method", 408: "too_slow", 413: "too_much"}
_HELD = frozenset({404, 422, 500})
_ROLE, _SESSION = "bagside.role", "bagside.session"
_FORWARDED = (b"forwarded", b"x-forwarded-for", b"x-forwarded-host", b"x-forwarded-prefix", b"x-forwarded-proto")


def role_of(request: HTTPConnection) -> Role | None:
    """Return what a request may do; None when its device has not joined.

    Parameters
    ----------
    request
        That came through the door.
    """
    role = request.scope.get(_ROLE)
    return role if isinstance(role, Role) else None


def session_of(request: HTTPConnection) -> Session | None:
    """Return the session of a request; None on this machine alone, and when its device has not joined.

    Parameters
    ----------
    request
        That came through the door.
    """
    session = request.scope.get(_SESSION)
    return session if isinstance(session, Session) else None


def device_of(request: HTTPConnection) -> str:
    """Return a short name for the device of a request; empty when it has no session.

    Parameters
    ----------
    request
        That came through the door.
    """
    session = session_of(request)
    return session.device if session else ""


class _Refused(Exception):  # noqa: N818 - reads as a sentence where it is raised
    """A request that goes no further."""

    def __init__(self, status: int, key: str, extra: Mapping[str, str] | None = None, *, join: bool = False) -> None:
        super().__init__(key)
        self.status, self.key, self.extra, self.join = status, key, extra or {}, join


class Door:
    """ASGI middleware around everything.

    Parameters
    ----------
    app
        Behind it.
    gate
        Who is in.
    own
        Answers the door's own pages.
    """

    def __init__(self, app: ASGIApp, gate: Gate, own: ASGIApp) -> None:
        self.app = app
        self.gate = gate
        self.own = own
        self._large = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or hand it on.

        Parameters
        ----------
        scope, receive, send
            Of ASGI.
        """
        if scope["type"] == "http":
            await self._request(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._socket(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    async def _request(self, scope: Scope, receive: Receive, send: Send) -> None:
        said = _joined(scope)
        outgoing = _Outgoing(send, host=said.get("host", ""), secure=scope.get("scheme") == "https")
        try:
            session = self._let_in(scope, said)
            length = self._length(scope, said)
        except _Refused as refused:
            await _answer(scope, receive, outgoing, refused, said)
            return
        scope["headers"] = [(name, value) for name, value in scope["headers"] if name.lower() not in _FORWARDED]
        scope["bagside.nonce"] = outgoing.nonce
        outgoing.cookie = self._renewal(scope, session)
        outgoing.person = "text/html" in said.get("accept", "")
        most = limits.most_bytes(scope["path"])
        large = most > limits.SMALL and (length > limits.SMALL or "transfer-encoding" in said)
        if large and self._large >= LARGE_AT_ONCE:
            await _answer(scope, receive, outgoing, _Refused(503, "busy", {"retry-after": "10"}), said)
            return
        self._large += large
        body = limits.Measured(receive, most)
        try:
            await (self.own if is_below(scope["path"], OWN) else self.app)(scope, body, outgoing)
            if outgoing.held is not None:
                await self._in_our_words(scope, receive, outgoing, said)
        except HTTPException as error:
            key = _KEYS.get(error.status_code)
            if key is None or outgoing.begun:
                raise
            await _answer(scope, receive, outgoing, _Refused(error.status_code, key, {"connection": "close"}), said)
        except Exception:
            number = secrets.token_hex(4)
            LOG.exception("fault %s at %s", number, scope["path"][:200])
            if outgoing.begun:
                raise
            outgoing.held, outgoing.person = None, False
            await _answer(scope, receive, outgoing, _Refused(500, "fault"), said, number=number)
        finally:
            self._large -= large

    async def _in_our_words(self, scope: Scope, receive: Receive, outgoing: _Outgoing, said: Mapping[str, str]) -> None:
        """Answer a person in place of a library, whose page for a fault tells what happened inside."""
        status, key, number = outgoing.held or 404, "missing", ""
        if status == 500:
            key, number = "fault", secrets.token_hex(4)
            LOG.error("fault %s at %s; what is known of it stands above", number, scope["path"][:200])
        outgoing.held, outgoing.person = None, False
        await _answer(scope, receive, outgoing, _Refused(404 if status == 422 else status, key), said, number=number)

    async def _socket(self, scope: Scope, receive: Receive, send: Send) -> None:
        said = _joined(scope)
        try:
            session = self._let_in(scope, said)
        except _Refused:
            await receive()  # the server has to be heard before it is told no
            await send({"type": "websocket.close", "code": 1008})
            return
        scope["headers"] = [(name, value) for name, value in scope["headers"] if name.lower() not in _FORWARDED]
        if session is None:
            await self.app(scope, receive, send)
            return
        over = self.gate.opened(session)
        watched = _Watched(receive, send, over)
        try:
            await self.app(scope, watched.receive, watched.send)
        finally:
            self.gate.closed(session, over)

    def _let_in(self, scope: Scope, said: Mapping[str, str]) -> Session | None:
        """Return the session of a request that may go on; None where none is needed."""
        path, access = scope["path"], self.gate.access
        http = scope["type"] == "http"
        scheme = "https" if scope.get("scheme") in ("https", "wss") else "http"
        if not origin.path_is_plain(path, scope.get("raw_path") or path.encode()):
            raise _Refused(400, "path")
        host = said.get("host", "")
        if "," in host or not origin.host_is_ours(host, access, self.gate.names):
            raise _Refused(421, "host")
        if http and scope["method"] not in origin.METHODS:
            raise _Refused(405, "method", {"allow": ", ".join(sorted(origin.METHODS))})
        asks_only = http and scope["method"] in origin.SAFE
        if not asks_only and not origin.from_ourselves(said, scheme, host):
            raise _Refused(403, "elsewhere")
        if asks_only and origin.taken_from_elsewhere(said):
            raise _Refused(403, "elsewhere")
        if not access.lan:
            scope[_ROLE] = Role.DESK
            return None
        session = self.gate.session(said.get("cookie", ""))
        if session is not None:
            scope[_ROLE], scope[_SESSION] = session.role, session
            self.gate.is_here(session, _address(scope))
        if is_below(path, OPEN):
            return session
        if session is None:
            raise _Refused(401, "join_first", join=asks_only)
        if not self.gate.may(session.role, path):
            if path == "/" and asks_only:
                raise _Refused(303, "floor_only", {"location": "/floor"})
            raise _Refused(403, "floor_only")
        return session

    def _length(self, scope: Scope, said: Mapping[str, str]) -> int:
        try:
            length = limits.promised(said.get("content-length", ""))
        except ValueError:
            raise _Refused(400, "length") from None
        if length > limits.most_bytes(scope["path"]):
            raise _Refused(413, "too_much", {"connection": "close"})
        return length

    def _renewal(self, scope: Scope, session: Session | None) -> str:
        """Return the header that makes a used session last; empty when it is fresh enough."""
        now = self.gate.now()
        if session is None or now - session.seen < RENEWED or scope["path"] == "/leave":
            return ""
        return set_cookie(used(session, now), self.gate.access, now)


class _Outgoing:
    """An answer on its way out: gets the headers every answer has."""

    def __init__(self, send: Send, *, host: str, secure: bool) -> None:
        self._send = send
        self._host, self._secure = host, secure
        self.nonce = secrets.token_urlsafe(16)
        self.cookie = ""
        self.begun = False
        self.person = False
        self.held: int | None = None  # status of an answer that is not sent as it is

    async def __call__(self, message: Message) -> None:
        if self.held is not None:
            return
        if message["type"] == "http.response.start":
            carried = MutableHeaders(scope=message)
            if self.person and message["status"] in _HELD and _is_a_library_s(carried):
                self.held = message["status"]
                return
            self.begun = True
            nonce = self.nonce if carried.get("x-nicegui-content") == "page" else ""
            trusted = origin.is_trustworthy(self._host, secure=self._secure)
            for name, value in (heads.ALWAYS | (heads.TRUSTWORTHY if trusted else {})).items():
                carried[name] = value
            kind = carried.get("content-type", "")
            rules = heads.policy_of(kind, self._host, secure=self._secure, nonce=nonce)
            carried["content-security-policy"] = rules
            carried.setdefault("cache-control", "no-store")
            if self.cookie:
                carried.append("set-cookie", self.cookie)
        await self._send(message)


class _Watched:
    """A WebSocket that is closed when its session ends."""

    def __init__(self, receive: Receive, send: Send, over: asyncio.Event) -> None:
        self._receive, self._send, self._over = receive, send, over

    async def receive(self) -> Message:
        """Return the next message, or that it is closed."""
        coming = asyncio.ensure_future(self._receive())
        ending = asyncio.ensure_future(self._over.wait())
        try:
            await asyncio.wait({coming, ending}, return_when=asyncio.FIRST_COMPLETED)
            if self._over.is_set():
                await self._send({"type": "websocket.close", "code": 1008})
                return {"type": "websocket.disconnect", "code": 1008}
            return coming.result()
        finally:
            for task in (coming, ending):
                if not task.done():
                    task.cancel()

    async def send(self, message: Message) -> None:
        """Send a message, unless the session is over."""
        if not self._over.is_set():
            await self._send(message)


def _is_a_library_s(carried: MutableHeaders) -> bool:
    """Return whether an answer without success is a library's: a page put together in the browser, or bare JSON."""
    return carried.get("x-nicegui-content") == "page" or carried.get("content-type", "").startswith("application/json")


def _joined(scope: Scope) -> dict[str, str]:
    """Return a request's headers by lower-case name; several lines of one name are joined as HTTP has it."""
    out: dict[str, str] = {}
    for name, value in Headers(scope=scope).items():
        out[name] = f"{out[name]}{'; ' if name == 'cookie' else ', '}{value}" if name in out else value
    return out


def _address(scope: Scope) -> str:
    client = scope.get("client")
    return str(client[0]) if client else ""


async def _answer(
    scope: Scope, receive: Receive, send: Send, refused: _Refused, said: Mapping[str, str], number: str = ""
) -> None:
    """Answer a request that goes no further: as a page to a person, as JSON to a script."""
    del receive  # what was not read is left to the server, which closes the connection
    say = said_to(said.get("accept-language", ""), said.get("cookie", ""))
    why, cure = say(f"guard.refused_{refused.key}", number=number), say(f"guard.cure_{refused.key}")
    extra = dict(refused.extra)
    if "text/html" in said.get("accept", ""):
        head = ""
        verb = ""
        if refused.join:
            # Not a redirect: a link from elsewhere would stay a request from elsewhere, and the browser would keep a
            # strict cookie back. The page asks for the next one itself.
            query = scope.get("query_string", b"").decode("latin-1")
            on = quote(scope["path"] + (f"?{query}" if query else ""), safe="/")
            head = f'<meta http-equiv="refresh" content="0; url=/join?to={on}">'
            verb = f'<p><a href="/join?to={on}">{html.escape(say("guard.join"))}</a></p>'
        elif refused.key == "floor_only":
            verb = f'<p><a href="/join">{html.escape(say("guard.join_as_desk"))}</a></p>'
        elif refused.key in ("missing", "fault", "path"):
            verb = f'<p><a href="/">{html.escape(say("guard.back"))}</a></p>'
        body = f"<h1>{html.escape(why)}</h1><p>{html.escape(cure)}</p>{verb}"
        content = sheet(say.language, why, body, head=head).encode()
        kind = "text/html; charset=utf-8"
    else:
        problem = Problem(place=scope["path"][:200], came="", wanted=why, hint=cure)
        fields: dict[str, Any] = {f: getattr(problem, f) for f in ("place", "came", "wanted", "hint")}
        content = json.dumps({"problems": [fields]}, ensure_ascii=False).encode()
        kind = "application/json"
    start = [(b"content-type", kind.encode()), (b"content-length", str(len(content)).encode())]
    start += [(name.encode(), value.encode("latin-1")) for name, value in extra.items()]
    await send({"type": "http.response.start", "status": HTTPStatus(refused.status).value, "headers": start})
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else content})
