"""What every answer carries, so that a browser helps to keep the pages safe.

Two policies for content. Pages of the desk are put together in the browser by a library that compiles templates, so
they need ``unsafe-eval``, and scripts written into them carry a number drawn for this one answer. All other pages have
scripts from files of ours only. Neither may load, send, or be framed by anything elsewhere; styles may be written into
elements, since drawings are.

Not sent: Strict-Transport-Security. It counts for names only, never for bare addresses (RFC 6797, section 8.1.1), and
would lock people out of a workshop whose next start is without a certificate.
"""

from __future__ import annotations

from bagside.web.guard.origin import parted

_COMMON = {
    "default-src": "'self'",
    "style-src": "'self' 'unsafe-inline'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "media-src": "'self' blob:",
    "worker-src": "'self'",
    "manifest-src": "'self'",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
    "frame-src": "'none'",
}
ALWAYS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",  # "no-referrer" would turn the Origin of our own forms into "null"
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), microphone=(), geolocation=(), usb=(), serial=(), payment=()",
}
"""Headers of every answer, beside the policy for content."""
TRUSTWORTHY = {"cross-origin-opener-policy": "same-origin"}
"""Headers that browsers take from trustworthy places only, and complain about from others."""


_OF_FILES = {
    # A browser shows these in a viewer of its own, which some versions refuse to open under a policy for pages.
    "application/pdf": "frame-ancestors 'none'",
    # A drawing opened by itself is a page: nothing in it runs, whoever drew it.
    "image/svg+xml": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'; sandbox",
}


def policy_of(kind: str, host: str, *, secure: bool, nonce: str = "") -> str:
    """Return the policy for content of one answer by its kind.

    Parameters
    ----------
    kind
        Its Content-Type.
    host, secure, nonce
        See `policy`.
    """
    return _OF_FILES.get(kind.partition(";")[0].strip().lower()) or policy(host, secure=secure, nonce=nonce)


def policy(host: str, *, secure: bool, nonce: str = "") -> str:
    """Return the policy for content of one answer.

    Parameters
    ----------
    host
        Of the Host header, already found to be ours.
    secure
        Whether spoken through TLS.
    nonce
        Of a page that is put together in the browser; empty for every other answer.
    """
    rules = dict(_COMMON)
    rules["script-src"] = f"'self' 'nonce-{nonce}' 'unsafe-eval'" if nonce else "'self'"
    # Some browsers do not count a WebSocket to the same place as 'self', so it is named.
    socket = f" {'wss' if secure else 'ws'}://{host}" if parted(host) is not None else ""
    rules["connect-src"] = f"'self'{socket}"
    return "; ".join(f"{name} {value}" for name, value in rules.items())
