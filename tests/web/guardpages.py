"""A served app with one page put together in the browser: every kind of thing the desk's pages use."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from starlette.requests import Request


def main(folder: Path, port: int, lan: bool) -> None:
    os.environ["NICEGUI_STORAGE_PATH"] = str(folder / "kept")
    import uvicorn
    from fastapi import FastAPI
    from fastapi.responses import HTMLResponse, Response
    from nicegui import ui
    from tests.web.guardstand import lan_access

    from bagside.web.guard import Access, guarded, nonce_of, server_options

    access = lan_access(folder, port=port) if lan else Access.loopback(port)
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)

    @app.get("/floor", response_class=HTMLResponse)
    def floor() -> str:
        return (
            "<title>floor</title><p id=here>floor</p><script>window.hurt = 1</script><b onclick='window.hurt=1'>b</b>"
        )

    @app.get("/drawn.svg")
    def drawn() -> Response:
        text = "<svg xmlns='http://www.w3.org/2000/svg'><script>document.documentElement.id = 'hurt'</script></svg>"
        return Response(text, media_type="image/svg+xml")

    @app.post("/floor/events")
    def events() -> dict[str, str]:
        (folder / "changed").write_text("x")
        return {}

    @app.get("/p/{key}", response_class=HTMLResponse)
    def label(key: str) -> str:
        return f"<title>piece</title><p id=here>{key}"

    @ui.page("/")
    def board(request: Request) -> None:
        count = ui.label("0").classes("count")
        ui.button("more", on_click=lambda: count.set_text(str(int(count.text) + 1)))
        ui.input("name")
        ui.select(["a", "b"], value="a")
        ui.slider(min=0, max=3)
        ui.html('<p style="font-weight:700">styled</p><img src="x" onerror="window.hurt=1">', sanitize=False)
        ui.upload(on_upload=lambda e: count.set_text(f"got {e.file.name}"), auto_upload=True)
        with ui.scene(width=200, height=200) as scene:
            scene.sphere()
        ui.button("script", on_click=lambda: ui.run_javascript("window.ran = 1"))
        ui.add_body_html("<script>window.hurt = 1</script>")
        ui.add_body_html(f'<script nonce="{nonce_of(request)}">window.ours = 1</script>')

    @ui.page("/faulty")
    def faulty() -> None:
        raise RuntimeError("what happened inside")

    ui.run_with(app, reconnect_timeout=5.0, show_welcome_message=False)
    guarded(app, access)
    uvicorn.Server(uvicorn.Config(app, **server_options(access) | {"host": "127.0.0.1"})).run()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3] == "lan")
