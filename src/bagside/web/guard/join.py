"""The door's own pages: joining with a PIN, bringing a device with a code, and signing out.

Plain HTML that works without a script, since a phone meets it first. The code leads to the page that asks for the PIN
and holds nothing else: a photo of it lets nobody in.
"""

from __future__ import annotations

import contextlib
import math
from http import HTTPStatus
from importlib.resources import files
from urllib.parse import parse_qs, quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route, Router

from bagside.errors import OutputError
from bagside.web.guard import join_sheets as sheets
from bagside.web.guard.access import Role
from bagside.web.guard.gate import Gate
from bagside.web.guard.origin import local_path
from bagside.web.guard.reach import addresses, join_address
from bagside.web.guard.scrub import noted
from bagside.web.guard.sessions import Session, set_cookie
from bagside.web.guard.sheet import sheet
from bagside.web.guard.tongues import Said, said_to

MOST_FORM = 4096  # bytes: a PIN and a path
FONTS = {400: "b612-latin-400-normal.woff2", 700: "b612-latin-700-normal.woff2"}
_HOME = {Role.FLOOR: "/floor", Role.DESK: "/"}
_KEPT = {"cache-control": "public, max-age=86400"}


def join_pages(gate: Gate) -> Router:
    """Return what answers `bagside.web.guard.gate.OWN`.

    Parameters
    ----------
    gate
        Lets in.
    """
    pages = _Pages(gate)
    return Router(
        [
            Route("/join", pages.form, methods=["GET"]),
            Route("/join", pages.come, methods=["POST"]),
            Route("/join/sheet.css", pages.style, methods=["GET"]),
            Route("/join/b612-{weight:int}.woff2", pages.font, methods=["GET"]),
            Route("/join-code", pages.code, methods=["GET"]),
            Route("/join-code/end", pages.end, methods=["POST"]),
            Route("/leave", pages.ask_to_leave, methods=["GET"]),
            Route("/leave", pages.leave, methods=["POST"]),
        ]
    )


class _Pages:
    def __init__(self, gate: Gate) -> None:
        self.gate = gate
        self._style = (files("bagside.web.guard") / "sheet.css").read_text(encoding="utf-8")

    async def form(self, request: Request) -> Response:
        say = _say(request)
        to = local_path(request.query_params.get("to", ""))
        session = _session(request)
        if not self.gate.access.lan:
            return RedirectResponse(to or "/", HTTPStatus.SEE_OTHER)
        if session is not None and to and self._may(session.role, to):
            return RedirectResponse(to, HTTPStatus.SEE_OTHER)
        wait = self.gate.attempts.wait(_address(request))
        if wait > 0.0:
            return self._paused(say, to, wait)
        return _page(say, "guard.title", sheets.form_body(say, to, session))

    async def come(self, request: Request) -> Response:
        say = _say(request)
        fields = await _fields(request)
        to = local_path(fields.get("to", ""))
        if not self.gate.access.lan:
            return RedirectResponse(to or "/", HTTPStatus.SEE_OTHER)
        pin = fields.get("pin", "")
        if not pin.strip():
            return _page(say, "guard.title", sheets.form_body(say, to, None, wrong=say("guard.empty")), status=422)
        address = _address(request)
        answer = await self.gate.tried(pin, address)
        if answer.session is None:
            if answer.wait > 0.0:
                noted("wrong PINs from %s, next try in %d s", address, math.ceil(answer.wait))
                return self._paused(say, to, answer.wait)
            noted("a wrong PIN from %s", address)
            wrong = say("guard.wrong_last") if answer.left == 1 else say("guard.wrong", left=answer.left)
            return _page(say, "guard.title", sheets.form_body(say, to, None, wrong=wrong), status=403)
        before = _session(request)
        if before is not None:
            with contextlib.suppress(OutputError):  # it is over in any case until a restart, and by itself later
                self.gate.end(before)
        role = answer.session.role
        noted("device %s joined as %s from %s", answer.session.device, role.value, address)
        out = RedirectResponse(to if to and self._may(role, to) else _HOME[role], HTTPStatus.SEE_OTHER)
        out.headers["set-cookie"] = set_cookie(answer.session, self.gate.access, self.gate.now())
        return out

    async def code(self, request: Request) -> Response:
        say = _say(request)
        access = self.gate.access
        if not access.lan:
            return _page(say, "guard.bring", sheets.alone_body(say))
        reached = [join_address(host, access) for host in (*access.names, *addresses())]
        devices, own = self.gate.devices(), _session(request)
        return _page(say, "guard.bring", sheets.code_body(say, reached, devices, own, secure=access.secure))

    async def end(self, request: Request) -> Response:
        say = _say(request)
        device = (await _fields(request)).get("device", "")
        own = _session(request)
        try:
            if device == "*":
                self.gate.end_all()
                noted("every session was ended")
            elif self.gate.end_named(device):
                noted("the session of device %s was ended", device[:12])
        except OutputError as error:
            return _page(say, "guard.not_kept", sheets.fault_body(say, error), status=500)
        gone = own is not None and not self.gate.goes_on(own)
        return RedirectResponse("/join" if gone else "/join-code", HTTPStatus.SEE_OTHER)

    async def ask_to_leave(self, request: Request) -> Response:
        say = _say(request)
        return _page(say, "guard.leave", sheets.leave_body(say))

    async def leave(self, request: Request) -> Response:
        session = _session(request)
        if session is not None:
            try:
                self.gate.end(session)
            except OutputError as error:
                say = _say(request)
                return _page(say, "guard.not_kept", sheets.fault_body(say, error), status=500)
            noted("device %s left", session.device)
        out = RedirectResponse("/join", HTTPStatus.SEE_OTHER)
        out.headers["set-cookie"] = set_cookie(None, self.gate.access, self.gate.now())
        return out

    async def style(self, request: Request) -> Response:
        return Response(self._style, media_type="text/css", headers=_KEPT)

    async def font(self, request: Request) -> Response:
        name = FONTS.get(request.path_params["weight"])
        entry = files("bagside.web") / "looks" / "fonts" / name if name else None
        if entry is None or not entry.is_file():
            raise HTTPException(404)
        return Response(entry.read_bytes(), media_type="font/woff2", headers=_KEPT)

    def _may(self, role: Role, to: str) -> bool:
        return self.gate.may(role, to.partition("?")[0])

    def _paused(self, say: Said, to: str, wait: float) -> Response:
        seconds = math.ceil(wait)
        on = f"/join?to={quote(to, safe='/')}" if to else "/join"
        again = f'<meta http-equiv="refresh" content="{seconds + 1}; url={on}">'
        extra = {"retry-after": str(seconds)}
        return _page(say, "guard.title", sheets.pause_body(say, wait), head=again, status=429, extra=extra)


def _page(
    say: Said, title: str, body: str, *, head: str = "", status: int = 200, extra: dict[str, str] | None = None
) -> Response:
    return HTMLResponse(sheet(say.language, say(title), body, head=head), status_code=status, headers=extra)


async def _fields(request: Request) -> dict[str, str]:
    """Return the first value of each field of a small form."""
    data = b""
    async for part in request.stream():
        data += part
        if len(data) > MOST_FORM:
            raise HTTPException(413)
    try:
        found = parse_qs(data.decode("ascii"), keep_blank_values=True, max_num_fields=8)
    except ValueError:
        return {}
    return {name: values[0] for name, values in found.items()}


def _say(request: Request) -> Said:
    return said_to(request.headers.get("accept-language", ""), request.headers.get("cookie", ""))


def _session(request: Request) -> Session | None:
    session = request.scope.get("bagside.session")
    return session if isinstance(session, Session) else None


def _address(request: Request) -> str:
    return request.client.host if request.client else ""
