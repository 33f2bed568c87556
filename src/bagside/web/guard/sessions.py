"""Sessions: a signed cookie that says role, device and when it began.

Nothing secret is in the cookie but its signature (HMAC-SHA-256 through itsdangerous). It is kept from scripts
(HttpOnly), from other sites (SameSite=Strict), and under TLS from plain connections (Secure, with the prefix
``__Host-``: RFC 6265bis, section 4.1.3, from memory). A session ends by itself, when it is ended here, or with its
epoch. A restart of the program ends none: a phone in the middle of a build must not be asked for a PIN again.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass, replace
from http.cookies import CookieError, SimpleCookie

from itsdangerous import BadData, URLSafeSerializer

from bagside.web.guard.access import Access, Role

IDLE = {Role.FLOOR: 7 * 86400.0, Role.DESK: 86400.0}
"""A session ends when nothing was asked for so long [s]; common practice, no source."""
WHOLE = {Role.FLOOR: 30 * 86400.0, Role.DESK: 14 * 86400.0}
"""And in any case after so long [s]; common practice, no source."""
RENEWED = 600.0  # [s] a cookie older than this is written anew when it is used
LONGEST_COOKIE = 1024  # characters; ours has about 200
_SALT = "bagside session 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One device that joined.

    Parameters
    ----------
    role
        What it may do.
    id
        Its name here, drawn by lot.
    epoch
        Of the access file when it joined.
    begun, seen
        When it joined, and when it last asked for something, to `RENEWED` [s since 1970].
    """

    role: Role
    id: str
    epoch: int
    begun: float
    seen: float

    @property
    def device(self) -> str:
        """A short name for the device, which gives nothing away of its session."""
        return hashlib.sha256(self.id.encode()).hexdigest()[:6]

    @property
    def ends(self) -> float:
        """When it ends whatever happens [s since 1970]."""
        return self.begun + WHOLE[self.role]


def cookie_name(access: Access) -> str:
    """Return the name of the cookie; two programs on one machine share its cookies, so the port is in it.

    Parameters
    ----------
    access
        Where it listens, and whether through TLS.
    """
    return f"{'__Host-' if access.secure else ''}bagside-{access.port}"


def begun(role: Role, access: Access, now: float) -> Session:
    """Return a new session.

    Parameters
    ----------
    role
        It has.
    access
        Its epoch counts.
    now
        [s since 1970].
    """
    return Session(role=role, id=secrets.token_urlsafe(16), epoch=access.epoch, begun=now, seen=now)


def signed(session: Session, access: Access) -> str:
    """Return the cookie's value.

    Parameters
    ----------
    session
        To be signed.
    access
        Holds the key.
    """
    said = [session.role.value, session.id, session.epoch, int(session.begun), int(session.seen)]
    out = _signer(access).dumps(said)
    return out if isinstance(out, str) else out.decode("ascii")


def opened(value: str, access: Access, now: float) -> Session | None:
    """Return the session of a cookie; None when it is not ours, was changed, is over, or is of another epoch.

    Parameters
    ----------
    value
        Of the cookie.
    access
        Holds the key and the epoch.
    now
        [s since 1970].
    """
    if len(value) > LONGEST_COOKIE:
        return None
    try:
        role, name, epoch, start, seen = _signer(access).loads(value)
        session = Session(role=Role(role), id=str(name), epoch=int(epoch), begun=float(start), seen=float(seen))
    except (BadData, ValueError, TypeError, RecursionError):
        return None
    ahead = 300.0  # [s] a clock that was put back a little
    if session.epoch != access.epoch or session.begun > now + ahead or session.seen > now + ahead:
        return None
    if now > session.ends or now > session.seen + IDLE[session.role]:
        return None
    return session


def used(session: Session, now: float) -> Session:
    """Return a session that was used now.

    Parameters
    ----------
    session
        As it was.
    now
        [s since 1970].
    """
    return replace(session, seen=now)


def cookie_of(header: str, name: str) -> str:
    """Return the value of a cookie in a request's header; empty when it is not there, or is there twice.

    Parameters
    ----------
    header
        The header's text.
    name
        Of the cookie.
    """
    found = [part.partition("=")[2].strip() for part in header.split(";") if part.partition("=")[0].strip() == name]
    return found[0] if len(found) == 1 else ""


def set_cookie(session: Session | None, access: Access, now: float) -> str:
    """Return the header that sets a session's cookie, or takes it away.

    Parameters
    ----------
    session
        None to take it away.
    access
        Name, key, and whether through TLS.
    now
        [s since 1970].

    Raises
    ------
    ValueError
        When the value cannot stand in a header; a signed one always can.
    """
    name = cookie_name(access)
    jar: SimpleCookie = SimpleCookie()
    try:
        jar[name] = "" if session is None else signed(session, access)
    except CookieError as error:
        raise ValueError(str(error)) from None
    crumb = jar[name]
    crumb["path"] = "/"
    crumb["httponly"] = True
    crumb["samesite"] = "Strict"
    crumb["max-age"] = 0 if session is None else int(max(0.0, session.ends - now))
    if access.secure:
        crumb["secure"] = True
    return crumb.OutputString()


def _signer(access: Access) -> URLSafeSerializer:
    return URLSafeSerializer(
        access.secret, salt=_SALT, signer_kwargs={"key_derivation": "hmac", "digest_method": hashlib.sha256}
    )
