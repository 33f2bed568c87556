"""What stands on the sheets of the door's own pages, as HTML; every value in it is made safe here."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from datetime import datetime

import segno

from bagside.web.guard.gate import Seen
from bagside.web.guard.sessions import Session
from bagside.web.guard.tongues import Said

WIDE = 350.0
"""Of the thread on a phone of 390 [px]."""


def form_body(say: Said, to: str, session: Session | None, wrong: str = "") -> str:
    """Return the sheet that asks for the PIN.

    Parameters
    ----------
    say
        Speaks.
    to
        Path to go on to.
    session
        When the device has joined already.
    wrong
        What is wrong with the PIN that was typed.
    """
    role = say(f"guard.role_{session.role.value}") if session else ""
    joined = f"<p>{_e(say('guard.joined', role=role))}</p>" if session else ""
    described = 'aria-invalid="true" aria-describedby="wrong"' if wrong else 'aria-describedby="where"'
    fault = f'<p id="wrong" class="wrong" role="alert">{_e(wrong)}</p>' if wrong else ""
    return (
        f"{_thread(say)}<h1>{_e(say('guard.title'))}</h1>{joined}"
        f'<p id="where">{_e(say("guard.where"))}</p>'
        f'<form method="post" action="/join"><input type="hidden" name="to" value="{_e(to)}">'
        f'<label for="pin">{_e(say("guard.pin"))}</label>'
        f'<input id="pin" name="pin" inputmode="numeric" autocomplete="off" maxlength="40" autofocus {described}>'
        f"{fault}"
        f'<button class="go">{_e(say("guard.join"))}</button></form>'
        f'<p class="second">{_e(say("guard.roles"))}</p>'
    )


def pause_body(say: Said, wait: float) -> str:
    """Return the sheet of a pause after wrong PINs.

    Parameters
    ----------
    say
        Speaks.
    wait
        Until the next try [s].
    """
    seconds = math.ceil(wait)
    if seconds < 90:
        told = say("guard.pause_seconds", count=seconds)
    else:
        told = say("guard.pause_minutes", count=math.ceil(seconds / 60))
    return (
        f"{_thread(say)}<h1>{_e(say('guard.title'))}</h1>"
        f'<p class="wrong">{_e(say("guard.pause"))}</p><p>{_e(told)}</p>'
        f'<p class="second">{_e(say("guard.pause_why"))}</p>'
    )


def alone_body(say: Said) -> str:
    """Return the sheet that says how other devices are let in, when none are.

    Parameters
    ----------
    say
        Speaks.
    """
    return (
        f"<h1>{_e(say('guard.bring'))}</h1><p>{_e(say('guard.not_open'))}</p>"
        f"<p><code>bagside serve --lan</code></p>{back(say)}"
    )


def code_body(say: Said, reached: Sequence[str], devices: Sequence[Seen], own: Session | None, *, secure: bool) -> str:
    """Return the sheet with the code that brings a device, and the devices that are there.

    Parameters
    ----------
    say
        Speaks.
    reached
        Addresses at which devices join, the likeliest first.
    devices
        Seen since the program started.
    own
        Session of who looks at it.
    secure
        Whether spoken through TLS.
    """
    heads = "".join(f"<th>{_e(say(f'guard.{name}'))}</th>" for name in ("device", "role", "seen", "address"))
    rows = "".join(_row(say, seen, own) for seen in devices)
    return (
        f"<h1>{_e(say('guard.bring'))}</h1>{_code(say, reached)}"
        f'<p class="second">{_e(say("guard.sealed" if secure else "guard.plain"))}</p>'
        f"<h2>{_e(say('guard.devices'))}</h2>"
        f"<table><thead><tr>{heads}<td></td></tr></thead><tbody>{rows}</tbody></table>"
        f'<form method="post" action="/join-code/end"><input type="hidden" name="device" value="*">'
        f"<p><button>{_e(say('guard.end_all'))}</button></p></form>"
        f'<p class="second">{_e(say("guard.end_all_why"))}</p>{back(say)}'
    )


def leave_body(say: Said) -> str:
    """Return the sheet that asks whether to leave.

    Parameters
    ----------
    say
        Speaks.
    """
    return (
        f"<h1>{_e(say('guard.leave'))}</h1><p>{_e(say('guard.leave_why'))}</p>"
        f'<form method="post" action="/leave"><p><button>{_e(say("guard.leave_verb"))}</button></p></form>'
        f'<p><a href="/">{_e(say("guard.stay"))}</a></p>'
    )


def fault_body(say: Said, error: Exception) -> str:
    """Return the sheet that says what could not be written down.

    Parameters
    ----------
    say
        Speaks.
    error
        What was said about it.
    """
    return f"<h1>{_e(say('guard.not_kept'))}</h1><p>{_e(error)}</p>{back(say)}"


def back(say: Said) -> str:
    """Return the way back to the board.

    Parameters
    ----------
    say
        Speaks.
    """
    return f'<p><a href="/">{_e(say("guard.back"))}</a></p>'


def _thread(say: Said) -> str:
    """Return how far a device has come: here, at the PIN, and what is ahead. The words beside it say the same."""
    # Half a second to import, and only whoever joins needs it: the start of the program is waited for.
    from bagside.sheets.themed import themed
    from bagside.sheets.thread import Stop, thread_view

    stops = [
        Stop(name=say("guard.this_device"), state="done"),
        Stop(name=say("guard.pin"), state="here"),
        Stop(name=say("guard.title_ahead"), state="ahead"),
    ]
    return f'<div class="thread" aria-hidden="true">{themed(thread_view(stops, width=WIDE))}</div>'


def _code(say: Said, reached: Sequence[str]) -> str:
    if not reached:
        return f"<p>{_e(say('guard.no_network'))}</p>"
    best, *others = reached
    drawn = segno.make(best, error="m", micro=False).svg_inline(scale=6, border=4, dark="#000", light="#fff")
    label = _e(say("guard.code_for", address=best))
    listed = "".join(f"<li>{_e(address)}</li>" for address in others)
    return (
        f"<p>{_e(say('guard.bring_how'))}</p>"
        f'<div class="code" role="img" aria-label="{label}">{drawn}</div><p class="address">{_e(best)}</p>'
        + (f"<p>{_e(say('guard.or_at'))}</p><ul>{listed}</ul>" if others else "")
    )


def _row(say: Said, seen: Seen, own: Session | None) -> str:
    device = seen.session.device
    if own is not None and own.id == seen.session.id:
        verb = _e(say("guard.this_one"))
    else:
        label, word = _e(say("guard.end_of", device=device)), _e(say("guard.end"))
        verb = (
            f'<form method="post" action="/join-code/end"><input type="hidden" name="device" value="{device}">'
            f'<button class="verb" aria-label="{label}">{word}</button></form>'
        )
    when = datetime.fromtimestamp(seen.session.seen).strftime("%H:%M")
    role = _e(say(f"guard.role_{seen.session.role.value}"))
    return f"<tr><td>{device}</td><td>{role}</td><td>{when}</td><td>{_e(seen.address)}</td><td>{verb}</td></tr>"


def _e(text: object) -> str:
    return html.escape(str(text))
