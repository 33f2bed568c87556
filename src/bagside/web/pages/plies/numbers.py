"""The numbers of the ply in hand, each with its basis."""

from __future__ import annotations

from html import escape

from bagside.findings import Basis
from bagside.web.pages.plies.rows import Laid
from bagside.web.parts.basis import mark
from bagside.web.parts.frame import rows
from bagside.web.views.plies_shown import PlyShown
from bagside.web.words.tongue import Tongue


def numbers(laid: Laid, number: int, tongue: Tongue) -> str:
    """Return the numbers of a ply as a table in HTML, struck when they are from before the last change.

    Parameters
    ----------
    laid
        The ply.
    number
        Of it, from 1.
    tongue
        Of the reader.
    """
    shown, say = laid.shown, tongue.say
    if shown is None:
        return f'<p class="note q">{escape(say("plies.not_yet"))}</p>'
    lines = [(say("plies.cloth", number=number), tongue.area(shown.area), "")]
    lines.append((say("plies.mass"), tongue.mass(shown.mass), mark(shown.mass_basis, tongue)))
    lines += _strains(shown, tongue)
    if shown.shear is not None:
        limit = "" if shown.locking is None else say("plies.of_limit", angle=tongue.angle(shown.locking, 0))
        basis = mark(shown.locking_basis, tongue) if shown.locking is not None else ""
        lines.append((say("plies.shear_99"), f"{tongue.angle(shown.shear)}{limit}", basis))
    lines.append((say("plies.thickness"), tongue.thickness(shown.thickness), mark(shown.thickness_basis, tongue)))
    if shown.time is not None:
        lines.append((say("plies.lay_time"), tongue.duration(shown.time), mark(Basis.COMMON, tongue)))
    look = "" if laid.fresh else ' class="stale"'
    body = [(escape(name), f"<span{look}>{escape(value)}</span>{basis}") for name, value, basis in lines]
    return rows(("", ""), body, right=(1,), name=say("plies.numbers", number=number))


def _strains(shown: PlyShown, tongue: Tongue) -> list[tuple[str, str, str]]:
    out = []
    for key in ("warp", "weft"):
        ranges = [getattr(p, key) for p in shown.pieces if getattr(p, key) is not None]
        if ranges:
            low, high = min(r[0] for r in ranges), max(r[1] for r in ranges)
            words = f"{tongue.number(100 * low, 1, sign=True)} … {tongue.number(100 * high, 1, sign=True)} %"
            out.append((tongue.say(f"plies.{key}_stretch"), words, ""))
    return out


