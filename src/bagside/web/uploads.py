"""Files that pages wait for: each wait has an address of its own, guessed by nobody, which is gone with its page.

The file is the body of the request. It lies in a private folder while the page looks at it and is thrown away after,
unless the page has moved it.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Collection
from dataclasses import dataclass
from inspect import isawaitable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from bagside.errors import BagsideError, InputError
from bagside.web.guard import Kind, plain_name, received, thrown_away
from bagside.web.parts.plan_words import plan_words
from bagside.web.preferences import tongue_of
from bagside.web.words.tongue import Tongue


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """A page that waits for a file.

    Parameters
    ----------
    kinds
        That it takes.
    most
        Bytes it takes.
    took
        Called with the file and the name the sender gave it; may be a coroutine. What it raises is told the sender.
    client
        Of the page.
    """

    kinds: Collection[Kind]
    most: int
    took: Callable[[Path, str], Any]
    client: Any


_WAITS: dict[str, Wait] = {}


def wait_for(wait: Wait) -> str:
    """Begin to wait, and return the address the file is sent to.

    Parameters
    ----------
    wait
        What for.
    """
    token = secrets.token_urlsafe(24)
    _WAITS[token] = wait
    return f"/upload/{token}"


def wait_no_more(address: str) -> None:
    """End a wait.

    Parameters
    ----------
    address
        From `wait_for`; one that has ended already is none.
    """
    _WAITS.pop(address.rsplit("/", 1)[-1], None)


def refusal(error: BagsideError, name: str, tongue: Tongue) -> str:
    """Return why a file was not taken: its name, what is in it, what is wanted and what to do.

    Parameters
    ----------
    error
        What its reader or its page raised.
    name
        As its sender called it.
    tongue
        Of the reader.
    """
    if not isinstance(error, InputError):
        return plan_words(str(error), tongue, full=True)
    told = []
    for problem in error.problems:
        place = problem.place if problem.place.startswith(name) else name
        parts = (plan_words(part, tongue) for part in (problem.came, problem.wanted, problem.hint) if part)
        told.append(f"{place}: {'; '.join(part.rstrip('.') for part in parts)}.")
    return " ".join(told)


def upload_routes() -> APIRouter:
    """Return the route that takes files."""
    router = APIRouter()

    @router.post("/upload/{token}")
    async def upload(request: Request, token: str) -> JSONResponse:
        wait = _WAITS.get(token)
        if wait is None:
            return JSONResponse({"says": tongue_of(request).say("asked.drop_none")}, status_code=404)
        name = plain_name(unquote(request.headers.get("x-name", "")))
        path = None
        try:
            path = await received(request, name=name, kinds=wait.kinds, most=wait.most)
            with wait.client:
                answer = wait.took(path, name)
                if isawaitable(answer):
                    await answer
        except BagsideError as error:
            return JSONResponse({"says": refusal(error, name, tongue_of(request))}, status_code=422)
        finally:
            if path is not None:
                thrown_away(path)
        return JSONResponse({"says": ""})

    return router
