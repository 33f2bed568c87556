"""The states a file was in, the newest first; each can be gone back to."""

from __future__ import annotations

from functools import partial

from bagside.web.parts.controls import verb
from bagside.web.parts.did import did
from bagside.web.parts.edited_file import EditedFile
from bagside.web.parts.html import box, words

MOST = 15
"""States shown; older ones are kept all the same."""


def history(form: EditedFile) -> None:
    """Show the states of a form's file.

    Parameters
    ----------
    form
        On its page.
    """
    say, tongue = form.sheet.say, form.sheet.tongue
    kept = form.file.versions[::-1]
    with box("details"):
        with box("summary", "act"):
            words(say("asked.history", count=len(kept)))
        with box("ul"):
            for k, version in enumerate(kept[:MOST]):
                when = version.when.astimezone()
                with box("li", "note"):
                    words(f"{tongue.day(when)} {tongue.clock(when)} {did(version.what, tongue)} {version.who} ")
                    if k:
                        back = form.sheet.doing(partial(form.gone_back, version.number))
                        verb(say("asked.go_back"), back, name=say("asked.go_back_to", what=did(version.what, tongue)))
