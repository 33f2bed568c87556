"""``bagside serve``: the workshop in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

PORT = 8760


def serve(
    folder: Annotated[
        Path, typer.Argument(help="Folder of the workshop, or an empty one in which it will be set up.")
    ] = Path("."),
    port: Annotated[int, typer.Option(help="Where it listens; 0 takes one that is free.", min=0, max=65535)] = PORT,
    open_: Annotated[bool, typer.Option("--open", help="Open the browser, too.")] = False,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let phones and tablets of this network join, with a PIN.")
    ] = False,
    host: Annotated[str, typer.Option(help="Address of this machine to listen on; with --lan only.")] = "",
    certificate: Annotated[
        Path | None, typer.Option(help="Certificate for https, as PEM: the floor page then opens offline, too.")
    ] = None,
    key: Annotated[Path | None, typer.Option(help="Key of the certificate, as PEM.")] = None,
    new_pins: Annotated[bool, typer.Option("--new-pins", help="Make new PINs; every device joins again.")] = False,
    own_pins: Annotated[
        bool, typer.Option("--own-pins", help="Ask for PINs of your own, typed unseen at the terminal.")
    ] = False,
    pins: Annotated[
        Path | None,
        typer.Option(help='File with PINs of your own, as floor = "…" and desk = "…"; only its owner may read it.'),
    ] = None,
    starter: Annotated[
        Path | None,
        typer.Option(help="Write files into this folder that open the workshop with a double click, and end."),
    ] = None,
) -> int:
    """Open the workshop in the browser: plan at the desk, build with phone and gloves."""
    from bagside.web.serve import serve_pages, write_starters

    if starter is not None:
        return write_starters(folder, starter)
    return serve_pages(
        folder, port, open_browser=open_, lan=lan, host=host, certificate=certificate, key=key, new_pins=new_pins,
        own_pins=own_pins, pins=pins,
    )  # fmt: skip
