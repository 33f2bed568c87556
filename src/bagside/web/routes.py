"""What the desk's pages fetch beside themselves: looks, meshes, files of a job."""

from __future__ import annotations

import asyncio
import io
import zipfile
from pathlib import Path
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse, Response

from bagside.errors import BagsideError, InputError
from bagside.web.guard import inside
from bagside.web.house import House
from bagside.web.preferences import tongue_of
from bagside.web.work.answer import answered
from bagside.web.work.crew import Lane

ALL = "all.zip"
"""Every file of a plan in one."""
FOREVER = {"Cache-Control": "private, max-age=31536000, immutable"}


def desk_routes(house: House) -> APIRouter:
    """Return the routes.

    Parameters
    ----------
    house
        The workshop.
    """
    router = APIRouter()

    @router.get("/blob/{digest}")
    def blob(digest: str) -> Response:
        content = house.blobs.get(digest)
        if content is None:
            raise HTTPException(404)
        return Response(content, media_type="application/octet-stream", headers=FOREVER)

    @router.get("/job/{name}")
    def job(name: str) -> RedirectResponse:
        return RedirectResponse(f"/job/{name}/mould", status_code=303)

    @router.get("/job/{name}/file/{path:path}")
    async def file(request: Request, name: str, path: str) -> Response:
        tongue = tongue_of(request)
        try:
            desk = house.job(name)
            folder = await _written(house, desk.file.path)
            if path == ALL:
                return Response(
                    await asyncio.to_thread(_packed, folder),
                    media_type="application/zip",
                    headers={
                        "Content-Disposition": f"attachment; filename*=utf-8''{quote(name, safe='')}.zip",  # RFC 6266
                        "Cache-Control": "no-cache",
                    },
                )
            return FileResponse(_inside(folder, path), headers={"Cache-Control": "no-cache"})
        except InputError as error:
            text = "\n".join(str(problem) for problem in error.problems)
            return PlainTextResponse(tongue.say("common.waits_for") + "\n" + text, status_code=409)
        except BagsideError as error:
            return PlainTextResponse(tongue.say("common.went_wrong", why=error), status_code=409)

    return router


async def _written(house: House, job: Path) -> Path:
    """Return the folder of a job's files, written anew when something has changed."""
    value = await answered(house.crew, f"files:{job}", "bagside.web.work.files_task:write_files", job, lane=Lane.LONG)
    if value.error is not None:
        raise value.error
    if not isinstance(value.result, Path):
        raise BagsideError(value.fault.strip().splitlines()[-1] if value.fault else "it was stopped")
    return value.result


def _packed(folder: Path) -> bytes:
    """Return every file of a package in one archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(p for p in folder.rglob("*") if p.is_file() and not p.name.startswith(".")):
            archive.write(path, path.relative_to(folder).as_posix())
    return out.getvalue()


def _inside(folder: Path, path: str) -> Path:
    """Return a file of a package; one outside it is not there."""
    found = inside(folder, path)
    if not found.is_file():
        raise InputError.one("file", f'"{path[:60]}"', "there is no such file in this plan")
    return found
