"""Where a request says it goes and where it comes from.

Three questions, each with one answer in one place. Is the name it asks for ours? (Else a page elsewhere may have
pointed a name of its own at this machine, and reads what we answer: DNS rebinding. A name can be pointed anywhere, a
bare address cannot, so bare addresses are taken and names must be known.) Does it come from one of our own pages? (Else
another site makes the person's browser ask for it: CSRF, and the same through a WebSocket.) Is its path plain?
"""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable, Mapping
from urllib.parse import urlsplit

from bagside.web.guard.access import Access

SAFE = frozenset({"GET", "HEAD"})
"""Methods that change nothing here."""
METHODS = SAFE | {"POST", "PUT", "PATCH", "DELETE"}
LONGEST_PATH = 2048  # characters
_HOST = re.compile(r"(\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9._-]{1,253})(?::([0-9]{1,5}))?")
_PORTS = {"http": 80, "https": 443}
_OF_A_NET = ("local", "home.arpa", "internal", "lan")
"""Ends that routers put behind a machine's name and that nobody can own elsewhere: RFC 6762 (local), RFC 8375
(home.arpa), reserved for private use by ICANN (internal), and never given out (lan; common practice). Other routers use
ends that somebody does own."""


def parted(host: str) -> tuple[str, int | None] | None:
    """Return name and port of a Host header; None when it is none.

    Parameters
    ----------
    host
        Its text.

    Examples
    --------
    >>> parted("Bench.local:8180"), parted("[::1]"), parted("a b")
    (('bench.local', 8180), ('::1', None), None)
    """
    match = _HOST.fullmatch(host)
    if match is None:
        return None
    name = match[1].lower().removeprefix("[").removesuffix("]").rstrip(".")
    port = int(match[2]) if match[2] else None
    return (name, port) if name else None


def own_names(access: Access) -> frozenset[str]:
    """Return the names by which this machine may be asked for.

    Parameters
    ----------
    access
        Holds names that were stated.
    """
    if not access.lan:
        return frozenset({"localhost"})
    own = socket.gethostname().lower().rstrip(".")
    short = own.partition(".")[0]
    stated = {name.lower().rstrip(".") for name in access.names}
    return frozenset({"localhost", own, short, *(f"{short}.{end}" for end in _OF_A_NET), *stated} - {""})


def host_is_ours(host: str, access: Access, names: Iterable[str]) -> bool:
    """Return whether a Host header asks for this machine.

    Parameters
    ----------
    host
        Its text.
    access
        Without ``lan`` only this machine itself is meant.
    names
        Of `own_names`.
    """
    found = parted(host)
    if found is None:
        return False
    name, _ = found
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name in names
    return access.lan or address.is_loopback


def is_trustworthy(host: str, *, secure: bool) -> bool:
    """Return whether browsers count a place as trustworthy: TLS, or this machine (W3C Secure Contexts, 3.1).

    Parameters
    ----------
    host
        Of the Host header.
    secure
        Whether spoken through TLS.
    """
    found = parted(host)
    if secure or found is None:
        return secure
    try:
        return ipaddress.ip_address(found[0]).is_loopback
    except ValueError:
        return found[0] == "localhost"


def from_ourselves(headers: Mapping[str, str], scheme: str, host: str) -> bool:
    """Return whether a request that changes something, or opens a WebSocket, comes from one of our own pages.

    Parameters
    ----------
    headers
        Lower-case names; of several lines of one name, joined by a comma.
    scheme
        ``http`` or ``https``, as spoken.
    host
        Of the Host header.
    """
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    said = headers.get("origin", "")
    if not said:  # OWASP's cheat sheet on CSRF: the Referer where there is no Origin; refuse where there is neither
        said = headers.get("referer", "")
    if not said or said == "null":
        return False
    try:
        parts = urlsplit(said)
        theirs = parted(parts.netloc)
    except ValueError:
        return False
    ours = parted(host)
    if theirs is None or ours is None or parts.scheme != scheme:
        return False
    return (theirs[0], theirs[1] or _PORTS[scheme]) == (ours[0], ours[1] or _PORTS[scheme])


def taken_from_elsewhere(headers: Mapping[str, str]) -> bool:
    """Return whether another site asks for something of ours as a part of its own page.

    Following a link to us is no such thing. Only browsers that speak to this machine or through TLS say it.

    Parameters
    ----------
    headers
        Lower-case names.
    """
    if headers.get("sec-fetch-site", "none") in ("same-origin", "none"):
        return False
    return headers.get("sec-fetch-mode") != "navigate" or headers.get("sec-fetch-dest", "document") != "document"


def path_is_plain(path: str, raw: bytes) -> bool:
    """Return whether a path has no way up, no blank part at its begin, no hidden slash and no control character.

    Parameters
    ----------
    path
        Decoded.
    raw
        As sent.

    Examples
    --------
    >>> path_is_plain("/floor/b/lid", b"/floor/b/lid"), path_is_plain("/floor/../jobs", b"/floor/%2e%2e/jobs")
    (True, False)
    """
    lower = raw.partition(b"?")[0].lower()
    if not path.startswith("/") or path.startswith("//") or len(path) > LONGEST_PATH:
        return False
    if "\\" in path or b"%2f" in lower or b"%5c" in lower or any(ord(c) < 32 or ord(c) == 127 for c in path):
        return False
    return not any(part in (".", "..") for part in path.split("/"))


def local_path(wanted: str) -> str:
    """Return a path to go on to that stays with us; empty when it does not.

    Parameters
    ----------
    wanted
        From a request: path and query.

    Examples
    --------
    >>> local_path("/floor/scan?code=K7"), local_path("//elsewhere.test/"), local_path("https:elsewhere.test")
    ('/floor/scan?code=K7', '', '')
    """
    if len(wanted) > LONGEST_PATH or not wanted.isascii() or not wanted.isprintable() or " " in wanted:
        return ""
    try:
        parts = urlsplit(wanted)
    except ValueError:
        return ""
    if parts.scheme or parts.netloc or not path_is_plain(parts.path, parts.path.encode()):
        return ""
    return wanted.partition("#")[0]
