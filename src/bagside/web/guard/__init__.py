"""Who may do what, and what is let in.

access, pins, attempts   roles and PINs; how often they may be tried
sessions, gate           devices that joined
door, origin, headers,   what each request passes and each answer carries
  limits, templates
join, sheet, reach       the pages for joining, and the code that leads there
paths                    names from requests, kept inside their folder
kinds, packed, received  files from requests: how large, of what kind, what unpacks from them
parsed, child            parsers of such files, each in a process of its own with little time and memory
scrub                    what does not stand in a log
serving, starting        the server's settings; what a start asks and says
own_pins                 PINs that a person chose, typed unseen or from a file
"""

from __future__ import annotations

from fastapi import FastAPI

from bagside.web.guard.access import Access, Role
from bagside.web.guard.door import Door, device_of, role_of, session_of
from bagside.web.guard.gate import Gate
from bagside.web.guard.join import join_pages
from bagside.web.guard.kinds import DRAWINGS, LOGS, MESHES, PHOTOS, SHEETS, Kind
from bagside.web.guard.parsed import parsed, parsed_aside
from bagside.web.guard.paths import inside, plain_name
from bagside.web.guard.received import MOST, kept_for_now, received, thrown_away
from bagside.web.guard.scrub import SCRUB, scrubbed
from bagside.web.guard.serving import server_options, session_cookie
from bagside.web.guard.templates import nonce_of, nonced_templates


def guarded(app: FastAPI, access: Access, *, gate: Gate | None = None) -> None:
    """Put the door around an app: sessions, roles, limits, headers, and the pages for joining.

    Parameters
    ----------
    app
        With its pages, or before they are added: the order does not matter.
    access
        Where it listens and who is let in.
    gate
        Instead of a new one.
    """
    nonced_templates()
    SCRUB.also(access.secret.hex())
    scrubbed("uvicorn", "uvicorn.access", "uvicorn.error", "bagside", "nicegui")
    keeper = gate or Gate(access)
    app.add_middleware(Door, gate=keeper, own=join_pages(keeper))


__all__ = [
    "DRAWINGS", "LOGS", "MESHES", "MOST", "PHOTOS", "SHEETS", "Access", "Gate", "Kind", "Role", "device_of", "guarded",
    "inside", "kept_for_now", "nonce_of", "nonced_templates", "parsed", "parsed_aside", "plain_name", "received",
    "role_of", "server_options", "session_cookie", "session_of", "thrown_away",
]  # fmt: skip
