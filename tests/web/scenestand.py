"""A page with nothing but a surface on it, served by a process of its own; what comes back is kept to be read."""

from __future__ import annotations

import sys
from typing import Any

import numpy as np
from fastapi import Response
from nicegui import app, ui

from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.picture import PointLook
from bagside.web.scene import Field, Look, MeshData, MeshLine, MeshPoint, packed
from bagside.web.scene.view import Handle, MeshView, SurfacePoint
from bagside.web.words.tongue import Tongue

TOLD: list[Any] = []


def waves(n: int) -> Surface:
    """Return 2 (n − 1)² triangles over 400 × 300 mm: z = 20 cos 20x cos 25y mm."""
    x, y = np.meshgrid(np.linspace(-0.2, 0.2, n), np.linspace(-0.15, 0.15, n), indexing="ij")
    z = 0.02 * np.cos(20 * x) * np.cos(25 * y)
    i = np.arange(n * n).reshape(n, n)
    a, b, c, d = i[:-1, :-1].ravel(), i[1:, :-1].ravel(), i[1:, 1:].ravel(), i[:-1, 1:].ravel()
    vertices = np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)
    return Surface(vertices, np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]))


def mesh(n: int) -> MeshData:
    """Return the waves with two maps: the angle 100 x + 20 in degrees at vertices, and 1 in every triangle."""
    surface = waves(n)
    ramp = np.radians(100 * surface.vertices[:, 0] + 20)
    steps = np.radians(np.where(surface.centroids[:, 1] > 0, 38.0, 2.0))
    along = surface.vertices[np.argsort(np.abs(surface.vertices[:, 1]))[:n]]
    along = along[np.argsort(along[:, 0])]
    return MeshData.of(
        surface,
        fields={
            "ramp": Field(ramp, colour.SHEAR, "Ramp, degrees", np.radians(35), "degrees", "°", 1, "limit 35"),
            "steps": Field(steps, colour.SHEAR, "Steps, degrees", None, "degrees", "°", 0),
        },
        lines=(MeshLine(1000 * along, Look.NET_EDGE),),
        points=(MeshPoint((100.0, 0.0, 0.0), PointLook.HOLE), MeshPoint((0.0, 100.0, 0.0), PointLook.RING, "1")),
    )


def told(place: SurfacePoint | None) -> Any:
    """Return a place as JSON can carry it."""
    return None if place is None else {"at": place.at, "triangle": place.triangle, "weights": place.weights}


def main(port: int) -> None:
    """Serve the page."""
    buffers = {n: packed(mesh(n)) for n in (41, 160)}

    @app.get("/mesh/{n}")
    def fetch(n: int) -> Response:
        return Response(buffers[n], media_type="application/octet-stream")

    @app.get("/told")
    def heard() -> list[Any]:
        return TOLD

    @ui.page("/")
    def page(n: int = 41, notes: int = 0, tongue: str = "en") -> None:
        with ui.element("div").style("width:min(860px,100%);height:560px"):
            view = MeshView(
                f"/mesh/{n}",
                tongue=Tongue(language=tongue),
                label="Waves",
                field="ramp",
                on_pick=lambda p: TOLD.append(["pick", told(p)]),
                on_drag=lambda key, p, done: TOLD.append(["drag", key, told(p), done]),
                on_ready=lambda count, seconds: TOLD.append(["ready", count, seconds]),
                fallback='<svg viewBox="0 0 9 9" id="still"><circle r="3" cx="4" cy="4"/></svg>',
            )
            view.pick_mode(True)
            view.handle([Handle(key="start", at=(0.0, 0.0, 0.02), label="Start of laying", words="start")])
            for k in range(notes):
                with view, ui.element("p").props(f'data-at="{-150 + 100 * k},{90 - 60 * k},0"'):
                    ui.html(f"<b>Place {k + 1}</b> with a sentence on it", sanitize=False, tag="span")
        for name in ("ramp", "steps"):
            with ui.element("button").props(f"id={name}").on("click", lambda _, name=name: view.show_field(name)):
                ui.html(name, sanitize=False, tag="span")

    ui.run(host="127.0.0.1", port=port, show=False, reload=False)


if __name__ in {"__main__", "__mp_main__"}:
    main(int(sys.argv[1]))
