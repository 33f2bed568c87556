"""What one person prefers – language, units, paper – kept in a cookie of the browser they sit at."""

from __future__ import annotations

from enum import StrEnum
from typing import TypeVar

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.tongue import Heat, Lengths, Theme, Tongue

COOKIE = "bagside-tongue"
YEAR = 365 * 24 * 3600
E = TypeVar("E", bound=StrEnum)


def tongue_of(request: Request) -> Tongue:
    """Return how the person behind a request wants to be spoken to.

    Parameters
    ----------
    request
        With the cookie, or with what the browser says of its languages.
    """
    stated = dict(
        part.split("-", 1) for part in request.cookies.get(COOKIE, "").split(".") if "-" in part and len(part) < 40
    )
    language = stated.get("language", "")
    return Tongue(
        language=language if language in LANGUAGES else _spoken(request.headers.get("accept-language", "")),
        lengths=_one_of(Lengths, stated.get("lengths"), Lengths.METRIC),
        heat=_one_of(Heat, stated.get("heat"), Heat.CELSIUS),
        theme=_one_of(Theme, stated.get("theme"), Theme.AUTO),
    )


def _one_of(kind: type[E], value: str | None, usual: E) -> E:
    return kind(value) if value in set(kind) else usual


def _spoken(header: str) -> str:
    for part in header.split(","):
        language = part.split(";")[0].strip().split("-")[0].lower()
        if language in LANGUAGES:
            return language
    return "en"


def preference_routes() -> APIRouter:
    """Return the route by which a preference is changed."""
    router = APIRouter()

    @router.get("/prefer")
    def prefer(request: Request, to: str = "/") -> RedirectResponse:
        tongue = tongue_of(request)
        asked = request.query_params
        values = {
            "language": asked.get("language", tongue.language),
            "lengths": asked.get("lengths", tongue.lengths.value),
            "heat": asked.get("heat", tongue.heat.value),
            "theme": asked.get("theme", tongue.theme.value),
        }
        known: dict[str, set[str]] = {
            "language": set(LANGUAGES),
            "lengths": {*Lengths},
            "heat": {*Heat},
            "theme": {*Theme},
        }
        text = ".".join(f"{k}-{v}" for k, v in values.items() if v in known[k])
        back = to if to.startswith("/") and not to.startswith("//") and "\\" not in to else "/"
        answer = RedirectResponse(back, status_code=303)
        answer.set_cookie(COOKIE, text, max_age=YEAR, samesite="strict", path="/")
        return answer

    return router
