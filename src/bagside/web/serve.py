"""Serving: a socket first, then the pages, and an end that leaves nothing running."""

from __future__ import annotations

import socket
import sys
import threading
import urllib.request
import webbrowser
from pathlib import Path

from bagside.errors import InputError, OutputError


def serve_pages(
    folder: Path,
    port: int,
    *,
    open_browser: bool = False,
    lan: bool = False,
    host: str = "",
    certificate: Path | None = None,
    key: Path | None = None,
    new_pins: bool = False,
    own_pins: bool = False,
    pins: Path | None = None,
) -> int:
    """Serve a workshop until it is stopped.

    Parameters
    ----------
    folder
        Of the workshop; it may be empty.
    port
        Where it listens; 0 takes one that is free.
    open_browser
        Whether to open the browser.
    lan, host, certificate, key, new_pins
        See `bagside.web.guard.starting.access_for`.
    own_pins
        Whether a person types PINs of their own.
    pins
        File with PINs of their own.

    Raises
    ------
    InputError
        When the folder is no folder, the port is taken, or what is stated does not fit together.
    """
    if not folder.is_dir():
        raise InputError.one("folder", f'"{folder}"', "there is no such folder", "make it first; it may be empty")
    from bagside.web.guard.own_pins import pins_in, typed_pin
    from bagside.web.guard.starting import access_for, announced

    if own_pins and pins is not None:
        raise InputError.one("--own-pins", "", "PINs are typed or read from a file", "leave it out, or --pins")
    choose = typed_pin if own_pins else None if pins is None else pins_in(pins)
    try:
        listener = _listening(host or ("0.0.0.0" if lan else "127.0.0.1"), port, lan=lan)
    except InputError:
        if open_browser and not lan and _open_already(port):  # a second double click on the starter
            webbrowser.open(address_of(port))
            return 0
        raise
    try:
        access = access_for(
            folder,
            lan=lan,
            host=host,
            port=int(listener.getsockname()[1]),
            certificate=certificate,
            key=key,
            new_pins=new_pins,
            choose=choose,
        )
        import uvicorn

        from bagside.web.app import make_app
        from bagside.web.guard import server_options
        from bagside.web.house import House

        house = House(folder.resolve())
        try:
            app = make_app(house, access)
            options = {k: v for k, v in server_options(access).items() if k not in ("host", "port")}
            server = uvicorn.Server(uvicorn.Config(app, **options))
            print(announced(access), file=sys.stderr, flush=True)
            if open_browser:
                threading.Timer(0.5, webbrowser.open, (address_of(access.port, secure=access.secure),)).start()
            server.run(sockets=[listener])
        finally:
            house.close()  # a child that is left would keep this process from ending
    finally:
        listener.close()
    return 0


def address_of(port: int, *, secure: bool = False) -> str:
    """Return the address of the pages on this machine.

    Parameters
    ----------
    port
        Where it listens.
    secure
        Whether by TLS.
    """
    return f"http{'s' if secure else ''}://127.0.0.1:{port}/"


def write_starters(folder: Path, target: Path) -> int:
    """Write files that open a workshop with a double click.

    Parameters
    ----------
    folder
        Of the workshop.
    target
        Where they are put.
    """
    from bagside.web.starter import write_starters as written

    for path in written(folder, target):
        print(path)
    return 0


def _open_already(port: int) -> bool:
    """Return whether what listens there are these pages."""
    try:
        with urllib.request.urlopen(address_of(port) + "looks/mark.svg", timeout=2.0) as answer:
            there: bytes = answer.read(10_000)
    except OSError:
        return False
    return there == (Path(__file__).parent / "looks" / "mark.svg").read_bytes()


def _listening(host: str, port: int, *, lan: bool) -> socket.socket:
    listener = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(256)
    except OSError as error:
        listener.close()
        if isinstance(error, PermissionError):
            raise OutputError(f"port {port} is not allowed here: take one above 1023 with --port") from None
        place = "--host" if lan and host not in ("0.0.0.0", "127.0.0.1") and port == 0 else "--port"
        raise InputError.one(
            place, f"{host}:{port}", f"nothing can listen there: {(error.strerror or str(error)).lower()}",
            "perhaps it is open already: look there first, or take another with --port, as in --port 8761",
        ) from None  # fmt: skip
    return listener
