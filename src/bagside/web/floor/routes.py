"""Addresses of the floor page: the page, a build whole, its state, events and photos from devices, codes of labels."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from bagside.errors import BagsideError, InputError, OutputError, Problem
from bagside.ledger.bodies import Photographed
from bagside.ledger.things import Build
from bagside.records.attachments import Attachments
from bagside.records.desk import Desk
from bagside.records.photo_reading import code_in_photo, photo_to_keep
from bagside.web.floor.house import FloorHouse
from bagside.web.floor.labels import Meant, meant_by
from bagside.web.floor.pictures import Pictures
from bagside.web.floor.taking import answers_for, moment_of, text_of
from bagside.web.floor.told import build_told, builds_told, state_told
from bagside.web.guard import Kind, device_of, parsed_aside, received, thrown_away
from bagside.web.words.catalogue import LANGUAGES, catalogue

LARGEST_EVENTS = 1_000_000
LARGEST_PHOTO = 12_000_000
"""Bytes: devices send photos of at most 2 MB, one that cannot make them smaller sends what its camera gives."""
PHOTOS = {"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp"}
KINDS_OF_PHOTO = frozenset({Kind.JPEG, Kind.PNG, Kind.WEBP})
KINDS = {"css": "text/css", "js": "text/javascript", "woff2": "font/woff2", "svg": "image/svg+xml"}
T = TypeVar("T")
_DEVICE = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,39}")
_OWN = frozenset({"127.0.0.1", "::1", "localhost"})


def floor_routes(house: FloorHouse) -> APIRouter:
    """Return the addresses of the floor page.

    Parameters
    ----------
    house
        The workshop that is served.
    """
    routes = APIRouter()
    pictures = Pictures(house.folder)

    @routes.get("/floor", response_class=HTMLResponse)
    @routes.get("/floor/b/{name}", response_class=HTMLResponse)
    def page() -> HTMLResponse:
        """Give the page: the same for every build, it asks for what it shows."""
        return HTMLResponse(_file("page.html").decode(), headers={"Cache-Control": "no-cache"})

    @routes.get("/floor/app/{name:path}")
    def app_file(name: str) -> Response:
        """Give a file of the page."""
        found = _app_files().get(name)
        if found is None:
            return _wrong(404, InputError.one("file", f'"{name[:60]}"', "there is no such file of this page"))
        kind = KINDS[name.rpartition(".")[2]]
        lasting = "max-age=604800" if name.endswith(".woff2") else "no-cache"
        return Response(found, media_type=kind, headers={"Cache-Control": lasting})

    @routes.get("/floor/sw.js")
    def worker(request: Request) -> Response:
        """Give the service worker where a browser would take it: over TLS, or on this machine."""
        if request.url.scheme != "https" and request.url.hostname not in _OWN:
            wanted = "only in a secure context: start with a certificate"
            return _wrong(404, InputError.one("sw.js", request.url.scheme, wanted))
        body = _file("app/sw.js").decode().replace("@FILES@", json.dumps(["/floor", *_app_addresses()]))
        body = body.replace("@VERSION@", _version())
        own = {"Service-Worker-Allowed": "/floor", "Cache-Control": "no-cache"}
        return Response(body, media_type="text/javascript", headers=own)

    @routes.get("/floor/words/{language}.json")
    def words(language: str) -> Response:
        """Give what the page says in a language."""
        if language not in LANGUAGES:
            return _wrong(404, InputError.one("language", f'"{language[:20]}"', "en or de is wanted"))
        own = {k.partition(".")[2]: t for k, t in catalogue(language).items() if k.startswith("floor.")}
        return JSONResponse({"language": language, "languages": LANGUAGES, "words": own})

    @routes.get("/floor/builds.json")
    def builds() -> Response:
        """Give the builds that are open; none, and why, where there are no records yet."""
        try:
            with house.desk("floor", "floor") as desk:
                found = {"now": _now(), "builds": builds_told(desk.ledger), "why": ""}
        except InputError as error:
            found = {"now": _now(), "builds": [], "why": " ".join(str(p) for p in error.problems)}
        except OutputError as error:
            return _wrong(503, error)
        return JSONResponse(found, headers={"Cache-Control": "no-store"})

    @routes.get("/floor/build/{name}.json")
    def build(name: str) -> Response:
        """Give a build whole."""

        def told(desk: Desk) -> dict[str, Any]:
            found = _build(desk, name)
            return build_told(found, desk.standing(), datetime.now(UTC), pictures.of(found))

        return _told(told)

    @routes.get("/floor/build/{name}/state.json")
    def state(name: str) -> Response:
        """Give what of a build changes."""
        return _told(lambda desk: state_told(_build(desk, name), desk.standing(), datetime.now(UTC)))

    @routes.post("/floor/events")
    async def events(request: Request) -> Response:
        """Take events from a device; each gets an answer."""
        try:
            sent = json.loads(await _body(request, LARGEST_EVENTS, "the events"))
            if not isinstance(sent, dict):
                raise InputError.one("events", type(sent).__name__, "an object with events is wanted")
        except ValueError:
            return _wrong(400, InputError.one("events", "", "this is no JSON"))
        except InputError as error:
            return _wrong(413, error)
        device = _device(request, sent.get("device"))
        return await run_in_threadpool(
            _told, lambda desk: {"now": _now(), "answers": answers_for(desk, sent.get("events", []))}, device
        )

    @routes.post("/floor/photo")
    async def photo(request: Request) -> Response:
        """Take a photo from a device: kept without where it was taken, and written down as an event with its id."""
        try:
            picture = await _read(request, photo_to_keep)
        except BagsideError as error:
            return _wrong(422 if isinstance(error, InputError) else 503, error)
        asked = {k: str(v) for k, v in request.query_params.items()}
        device = _device(request, asked.get("device"))
        return await run_in_threadpool(_told, lambda desk: _photo(desk, asked, picture), device)

    @routes.post("/floor/photo/code")
    async def code(request: Request) -> Response:
        """Read the code of a label in a photo."""
        try:
            text = await _read(request, code_in_photo)
            if not text:
                raise InputError.one("the photo", "", "no code is seen in it", "go closer, hold it flat, or type it")
        except BagsideError as error:
            return _wrong(422, error)
        return JSONResponse({"code": text, "to": f"/floor/scan?code={quote(text)}"})

    @routes.get("/floor/scan")
    def scan(request: Request) -> Response:
        """Lead from the code of a label to its build."""
        asked = str(request.query_params.get("code", ""))
        try:
            with house.desk("floor", "floor") as desk:
                meant = meant_by(asked, desk.ledger, pictures)
        except BagsideError:
            meant = Meant()
        return RedirectResponse(_place_of(meant, asked), status_code=303)

    @routes.get("/p/{key}")
    @routes.get("/o/{key}")
    def label(request: Request, key: str) -> Response:
        """Lead from the address in a label's code to the page."""
        code = f"/{request.url.path[1]}/{quote(key, safe='')}"
        return RedirectResponse(f"/floor/scan?code={quote(code, safe='')}", status_code=303)

    def _told(make: Callable[[Desk], Any], device: str = "floor") -> Response:
        """Return what is made of the records, or the sentence that says why it cannot be."""
        try:
            with house.desk("floor", device) as desk:
                return JSONResponse(make(desk), headers={"Cache-Control": "no-store"})
        except InputError as error:
            return _wrong(422, error)
        except OutputError as error:
            return _wrong(503, error)

    return routes


async def _read(request: Request, reader: Callable[[Path], T]) -> T:
    """Return what is read in a photo that is the body of a request, in a process with little time and memory.

    Raises
    ------
    InputError
        When it is too large, no photo, or cannot be read.
    OutputError
        When there is no room for it.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    name = f"photo{PHOTOS.get(kind, '.jpg')}"
    path = await received(request, name=name, kinds=KINDS_OF_PHOTO, most=LARGEST_PHOTO, called="the photo")
    try:
        return await parsed_aside(reader, path, seconds=30.0, megabytes=900.0, called="the photo")
    finally:
        thrown_away(path)


def _photo(desk: Desk, asked: dict[str, str], picture: bytes) -> dict[str, Any]:
    """Keep a photo and its event; return the answer for it."""
    id = asked.get("id", "")
    try:
        if not re.fullmatch("[0-9a-f]{32}", id):
            raise InputError.one("photo, id", f'"{id[:40]}"', "32 hexadecimal digits are wanted")
        if desk.ledger.event(id) is not None:
            return {"now": _now(), "answers": [{"id": id, "answer": "known", "said": [], "noticed": []}]}
        called = f"{asked.get('build', '')[:60]}-{id[:6]}.jpg"
        caption, step = text_of(asked, "caption"), text_of(asked, "step")
        build = _build(desk, asked.get("build", ""))
        body = Photographed(
            subject=build.name, file=Attachments(desk.folder).put(picture, called), called=called, caption=caption,
            step=step,
        )  # fmt: skip
        own = Desk(folder=desk.folder, shop=desk.shop, ledger=desk.ledger, who=text_of(asked, "who"),
                   device=desk.device)  # fmt: skip
        desk.ledger.add([own.event(body, moment_of(asked.get("at", "")), id, zone=asked.get("zone", ""))])
    except InputError as error:
        answer = {"id": id, "answer": "refused", "said": [str(p) for p in error.problems], "noticed": []}
        return {"now": _now(), "answers": [answer]}
    return {"now": _now(), "answers": [{"id": id, "answer": "taken", "said": [], "noticed": []}]}


def _build(desk: Desk, name: str) -> Build:
    found = desk.ledger.thing(name)
    if not isinstance(found, Build):
        raise InputError.one("build", f'"{name[:60]}"', "there is no build of this name", "choose one from the list")
    return found


def _place_of(meant: Meant, asked: str) -> str:
    if meant.build:
        piece = f"?piece={quote(meant.piece)}" if meant.piece else ""
        return f"/floor/b/{quote(meant.build, safe='')}{piece}"
    told = f"thing={quote(meant.thing)}&sort={quote(meant.sort)}" if meant.thing else f"unknown={quote(asked[:80])}"
    return f"/floor?{told}"


def _device(request: Request, own: object) -> str:
    """Return the name of a device in the records: as it joined, and as it calls itself."""
    named = own if isinstance(own, str) and _DEVICE.fullmatch(own) else "phone"
    joined = device_of(request)
    return f"{joined} {named}" if joined else named


async def _body(request: Request, most: int, what: str) -> bytes:
    """Return what was sent, read no further than it may be long.

    Raises
    ------
    InputError
        When it is longer.
    """
    out = bytearray()
    async for part in request.stream():
        out += part
        if len(out) > most:
            raise InputError.one(what, "", f"at most {most / 1e6:.0f} MB are taken", "send less at once")
    return bytes(out)


def _wrong(status: int, error: BagsideError) -> JSONResponse:
    """Return what is wrong, as every page's requests answer."""
    problems = error.problems if isinstance(error, InputError) else (Problem(place="", came="", wanted=str(error)),)
    told = [{"place": p.place, "came": p.came, "wanted": p.wanted, "hint": p.hint, "said": str(p)} for p in problems]
    return JSONResponse({"problems": told}, status_code=status, headers={"Cache-Control": "no-store"})


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _file(name: str) -> bytes:
    return (files("bagside.web.floor") / name).read_bytes()


def _app_files() -> dict[str, bytes]:
    """Return every file of the page by its address under ``/floor/app/``: modules, styles, letters."""
    out: dict[str, bytes] = {}
    for folder, prefix in (("web/floor/app", ""), ("web/looks/fonts", "fonts/")):
        for entry in files("bagside").joinpath(*folder.split("/")).iterdir():
            if entry.name.rpartition(".")[2] in KINDS and entry.name != "sw.js":
                out[prefix + entry.name] = entry.read_bytes()
    out["tokens.css"] = (files("bagside.web") / "looks" / "tokens.css").read_bytes()  # the same as at the desk
    return out


def _app_addresses() -> list[str]:
    words = [f"/floor/words/{language}.json" for language in LANGUAGES]
    return [*(f"/floor/app/{name}" for name in sorted(_app_files())), *words]


def _version() -> str:
    """Return a digest of the page, so that a newer one is taken by devices that have an older."""
    digest = hashlib.sha256(_file("page.html"))
    for name, data in sorted(_app_files().items()):
        digest.update(name.encode() + data)
    for language in LANGUAGES:
        digest.update(repr(sorted(catalogue(language).items())).encode())
    return digest.hexdigest()[:16]
