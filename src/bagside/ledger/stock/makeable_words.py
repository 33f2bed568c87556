"""What can be made of a dying cloth, as sentences for people."""

from __future__ import annotations

from bagside.ledger.stock.makeable import Dying, Makeable, PartsOf
from bagside.quantity import shown
from bagside.spec.workshop import Roll


def in_sentences(found: Makeable, currency: str) -> tuple[str, ...]:
    """Return the answer for people.

    Parameters
    ----------
    found
        What can be made.
    currency
        Of the workshop.
    """
    dying = found.dying
    what = "roll" if isinstance(dying.cloth, Roll) else "offcut"
    size = shown(found.area, "m²", 2)
    if isinstance(dying.cloth, Roll):
        size = f"{shown(dying.cloth.length, 'm', 2)}, {size}"
    end = "has no end in sight" if dying.last is None else f"ends on {dying.last.isoformat()}: {dying.why}"
    out = [f"{what.capitalize()} {dying.name} ({dying.cloth.material}, {size}) {end}."]
    if not found.area:
        return (*out, "Nothing can be made of it any more.")
    if not found.parts:
        return (*out, f"No open job still wants {dying.cloth.material}; all {size} would expire unused.")
    told = [f"{p.fit} of {p.wanted} {p.job}" for p in found.parts if p.fit]
    if told:
        length = "" if found.length is None else f" in {shown(found.length, 'm', 2)} of its length"
        last = max(p.done for p in found.parts if p.done is not None)
        out.append(
            f"It gives {', '.join(told)}: {shown(found.pieces, 'm²', 2)} of pieces{length}; the last is in the oven on "
            f"{last:%Y-%m-%d at %H:%M} when nothing else is made meanwhile."
        )
        longest = max(p.out for p in found.parts if p.fit)
        out.append(
            f"The cloth of a part is out of the freezer for {shown(longest, 'h', 0)} of the "
            f"{shown(dying.left_room, 'h', 0)} of {dying.clock} it has left, when its kit goes back into the freezer "
            "until it is laid."
        )
    else:
        out.append(f"No whole part can be made of it: {', '.join(p.job for p in found.parts)} were tried.")
    none = [p.job for p in found.parts if not p.on_cloth]
    if none and told:
        out.append(f"No room was found for a whole {' or '.join(none)}.")
    out += [s for p in found.parts if p.on_cloth for s in _short(p, dying)]
    needs = sorted({m for p in found.parts if p.fit for m in p.others})
    if needs:
        out.append(f"Those parts need {', '.join(needs)} besides.")
    value = "" if found.value is None else f", {found.value:.2f} {currency} at what it cost,"
    unused = shown(max(found.unused, 0.0), "m²", 2)
    if found.width:
        unused = f"{shown(max(found.unused, 0.0) / found.width, 'm', 2)} ({unused})"
    out.append(f"{unused}{value} would expire unused; {shown(found.seconds, 's', 1)} of nesting found no better.")
    return tuple(out)


def _short(part: PartsOf, dying: Dying) -> list[str]:
    """Say why fewer parts are made than wanted."""
    if part.out > dying.left_room:
        hours, left = shown(part.out, "h", 0), shown(dying.left_room, "h", 0)
        return [f"{part.job}: its cloth would be out of the freezer for {hours}, and {left} of {dying.clock} are left."]
    out = []
    if part.on_cloth < part.wanted:
        out.append(f"{part.job}: no room was found for more than {part.on_cloth} of {part.wanted}.")
    if part.fit < part.on_cloth:
        last = "" if dying.last is None else dying.last.isoformat()
        out.append(f"{part.job}: {part.on_cloth - part.fit} more would fit, but not be in the oven by {last}.")
    return out



