"""The sheet for an address that leads to nothing."""

from __future__ import annotations

from fastapi import Request

from bagside.errors import InputError
from bagside.web.parts.controls import link, sentences
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.html import words


def no_such_job(request: Request, error: InputError) -> None:
    """Say that there is no such job, and where to go on.

    Parameters
    ----------
    request
        That asked for it.
    error
        Why.
    """
    sheet = house_sheet(request, "bagside")
    with sheet.root:
        words(sheet.say("common.no_job"), tag="p", look="lead b")
        words(sentences(error), tag="p")
        link(sheet.say("common.to_board"), "/")
