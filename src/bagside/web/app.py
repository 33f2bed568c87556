"""Everything that is served, put together."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from nicegui import ui

from bagside.web.floor.routes import floor_routes
from bagside.web.guard import Access, guarded
from bagside.web.house import House
from bagside.web.pages import register_pages
from bagside.web.preferences import preference_routes
from bagside.web.routes import desk_routes
from bagside.web.uploads import upload_routes

RECONNECT = 60.0
"""How long a page that has lost its connection is waited for [s]; after that it is drawn anew from its address."""


def make_app(house: House, access: Access) -> FastAPI:
    """Return the application.

    Parameters
    ----------
    house
        The workshop.
    access
        Who may do what.
    """

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        house.lives_in(asyncio.get_running_loop())
        yield
        house.close()

    app = FastAPI(title="bagside", lifespan=lifespan, docs_url=None, redoc_url=None, openapi_url=None)
    app.mount("/looks", StaticFiles(directory=Path(__file__).parent / "looks"))
    app.include_router(preference_routes())
    app.include_router(floor_routes(house))
    app.include_router(desk_routes(house))
    app.include_router(upload_routes())
    register_pages(house)
    ui.run_with(
        app,
        title="bagside",
        favicon=Path(__file__).parent / "looks" / "mark.svg",
        dark=None,
        tailwind=False,
        reconnect_timeout=RECONNECT,
        binding_refresh_interval=None,
        show_welcome_message=False,
    )
    guarded(app, access)
    return app
