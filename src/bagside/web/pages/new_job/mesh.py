"""The mesh of a new job's mould: sent, its unit said by a person who sees what that makes of it, its side and start."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from nicegui.element import Element

from bagside.sheets.picture import PointLook
from bagside.web.founding.draft import MeshDraft
from bagside.web.founding.mesh import METRES, UNITS, likely, mesh_seen
from bagside.web.founding.pictures import side_picture
from bagside.web.guard import MESHES, MOST, parsed_aside
from bagside.web.pages.new_job.asked import NewPage
from bagside.web.parts.controls import choice, verb
from bagside.web.parts.drop import Drop
from bagside.web.parts.html import box, figure, words
from bagside.web.scene import MeshPoint
from bagside.web.scene.view import MeshView, SurfacePoint

AXES = {
    "+x": (1.0, 0.0, 0.0), "-x": (-1.0, 0.0, 0.0), "+y": (0.0, 1.0, 0.0), "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0), "-z": (0.0, 0.0, -1.0),
}  # fmt: skip


def axis_of(vector: tuple[float, float, float]) -> str:
    """Return the name of an axis; empty when the vector is none.

    Parameters
    ----------
    vector
        A unit vector.
    """
    return next((name for name, axis in AXES.items() if axis == vector), "")


class MeshAsking:
    """The part of the page where a mesh is sent and understood.

    Parameters
    ----------
    page
        Of the new job.
    """

    def __init__(self, page: NewPage) -> None:
        self.page = page
        self.view: MeshView | None = None
        self._chosen: dict[str, Element] = {}

    def picture(self) -> None:
        """Show the mesh, or the place where it is dropped."""
        page = self.page
        say, mesh = page.sheet.say, page.draft.mesh
        if mesh is None:
            Drop(page.sheet, say("new_job.drop_mesh"), kinds=MESHES, most=MOST["mesh"], took=self._came)
            words(say("new_job.mesh_is"), tag="p", look="q note")
            return
        if not mesh.seen.picture:
            words(say("new_job.too_many", count=page.sheet.tongue.number(mesh.seen.triangles)), tag="p")
            return
        with box("div", "mesh-new"):
            self.view = MeshView(
                page.house.blob(mesh.seen.picture), tongue=page.sheet.tongue, label=say("new_job.picture_mesh"),
                on_pick=self._picked,
            )  # fmt: skip
            self.view.pick_mode(True)
        self._marked()
        words(say("new_job.pick_start"), tag="p", look="q note")

    def _marked(self) -> None:
        mesh = self.page.draft.mesh
        if self.view is not None and mesh is not None:
            self.view.mark_points([MeshPoint(at=mesh.start, look=PointLook.START)])

    def _picked(self, point: SurfacePoint) -> None:
        mesh = self.page.draft.mesh
        if mesh is not None:
            x, y, z = (1e3 * c for c in point.at)
            mesh.start = (x, y, z)
            self._marked()
            self.page.keep()

    async def _came(self, path: Path, name: str) -> None:
        seen = await parsed_aside(mesh_seen, path)
        draft = self.page.draft
        file = draft.kept(path)
        picture = draft.kept_bytes(seen.picture, ".picture") if seen.picture else None
        draft.mesh = MeshDraft(file=file, picture=picture, seen=seen, unit=seen.own_unit, up=seen.up, start=seen.middle,
                               along=(1.0, 0.0, 0.0) if seen.up[0] == 0 else (0.0, 1.0, 0.0))  # fmt: skip
        self.page.drawn()

    def ask(self) -> None:
        """Show what is asked of the mesh."""
        page = self.page
        say, tongue, mesh = page.sheet.say, page.sheet.tongue, page.draft.mesh
        if mesh is None:
            return
        words(say("new_job.mesh"), tag="h2", look="b")
        words(tongue.count("new_job.triangles", mesh.seen.triangles), tag="p", look="q note")
        if mesh.seen.own_unit:
            words(say("new_job.own_unit", size=self._size(mesh, mesh.unit)), tag="p")
        else:
            self._units(mesh)
        sides = {name: say(f"new_job.axis_{name[0]}", axis=name[1]) for name in AXES}
        figure(side_picture({"title": say("new_job.picture_side"), "side": say("new_job.side_arrow")}))
        choice(say("new_job.side"), sides, axis_of(mesh.up), partial(self._axis, "up"), hint=say("new_job.h_side"))
        choice(say("new_job.along"), sides, axis_of(mesh.along), partial(self._axis, "along"),
               hint=say("new_job.h_along"))  # fmt: skip
        verb(say("new_job.other_mesh"), self._other)

    def _units(self, mesh: MeshDraft) -> None:
        say = self.page.sheet.say
        self._chosen.clear()
        with box("fieldset", "units"):
            with box("legend"):
                words(say("new_job.which_unit"))
            for unit in UNITS:
                fits = likely(mesh.seen.size, unit)
                text = say("new_job.unit_makes", unit=unit, size=self._size(mesh, unit))
                with box("div", "" if fits else "q"):
                    chosen = verb(text, partial(self._unit, unit))
                    chosen._props["aria-pressed"] = "true" if unit == mesh.unit else "false"
                    self._chosen[unit] = chosen
                    if not fits:
                        words(say("new_job.unlikely"), look="why")

    def _size(self, mesh: MeshDraft, unit: str) -> str:
        return " × ".join(self.page.sheet.tongue.length(x * METRES[unit]) for x in mesh.seen.size)

    def _unit(self, unit: str) -> None:
        if self.page.draft.mesh is not None:
            self.page.draft.mesh.unit = unit
            for name, control in self._chosen.items():
                control._props["aria-pressed"] = "true" if name == unit else "false"
                control.update()
            self.page.keep()

    def _axis(self, name: str, value: str) -> None:
        if self.page.draft.mesh is not None and value:
            setattr(self.page.draft.mesh, name, AXES[value])
            self.page.keep()

    def _other(self) -> None:
        mesh = self.page.draft.mesh
        if mesh is not None:
            for file in (mesh.file, mesh.picture):
                if file is not None:
                    file.unlink(missing_ok=True)
            self.page.draft.mesh = None
            self.page.drawn()
