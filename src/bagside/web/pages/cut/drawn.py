"""A cloth on the table drawn in the reader's words and units."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bagside.sheets.nest_view import Bed, Shown, nest_view
from bagside.web.parts.html import markup
from bagside.web.views.cut.shown import ClothView, CopyView
from bagside.web.words.tongue import Lengths, Tongue


def part_words(kit: str, tongue: Tongue) -> str:
    """Return a part's name as people say it: a bare number is called a part.

    Parameters
    ----------
    kit
        Name or number.
    tongue
        Of the reader.
    """
    return tongue.say("cut.part", kit=kit) if kit.isdecimal() else kit


def in_metres(metres: float, tongue: Tongue) -> str:
    """Return a length off a roll: in metres to a centimetre, or in inches.

    Parameters
    ----------
    metres
        [m].
    tongue
        Of the reader.
    """
    return tongue.length(metres, 1) if tongue.lengths is Lengths.INCH else f"{tongue.number(metres, 2)} m"


def cloth_drawn(cloth: ClothView, parts: Sequence[str], tongue: Tongue, room: tuple[float, float]) -> str:
    """Return the drawing of a cloth.

    Parameters
    ----------
    cloth
        With its copies.
    parts
        Of all cloths: each has the same grey on every one.
    tongue
        Of the reader.
    room
        Width and greatest height [px].
    """
    fills = {part: k for k, part in enumerate(parts)}
    say = tongue.say
    if not cloth.roll:
        on_roll = ""
    elif cloth.rest is None:
        on_roll = say("cut.roll_bought", name=cloth.name)
    elif cloth.rest > 0.0:
        on_roll = say("cut.roll_left", name=cloth.name, length=in_metres(cloth.rest, tongue))
    else:
        on_roll = cloth.name
    inch = tongue.lengths is Lengths.INCH
    bed = Bed(
        name=cloth.name,
        title=say("cut.nest_on", name=cloth.name),
        outline=cloth.outline,
        inner=cloth.inner,
        margins=cloth.margins,
        selvedges=cloth.selvedges,
        left=[(tongue.area(area), loops) for area, loops in cloth.left],
        roll=on_roll,
        long=say("cut.pull", length=in_metres(cloth.pull, tongue)),
        wide=tongue.length(cloth.width) if inch else tongue.number(1e3 * cloth.width),
        warp=say("cut.warp"),
    )
    copies = [
        Shown(
            piece=c.piece,
            kit=c.kit,
            part=part_words(c.kit, tongue),
            told=_told(c, cloth, tongue),
            fill=fills.get(c.kit, 0),
            turn=c.turn,
            x=c.x,
            y=c.y,
            flipped=c.flipped,
            turns=c.turns,
            loops=c.loops,
            pinned=c.pinned,
        )
        for c in sorted(cloth.copies, key=lambda c: c.number)
    ]
    return nest_view(bed, copies, room)


def _told(c: CopyView, cloth: ClothView, tongue: Tongue) -> str:
    degrees = math.degrees(c.turn) % 360.0
    turn = tongue.say("cut.turned_none")
    if min(degrees, 360.0 - degrees) > 0.05:
        whole = abs(degrees - round(degrees)) < 0.05
        turn = tongue.say("cut.turned", angle=tongue.angle(math.radians(degrees), 0 if whole else 1))
    if c.flipped:
        turn = tongue.say("cut.turned_over", turn=turn)
    return tongue.say(
        "cut.told_pinned" if c.pinned else "cut.told",
        piece=c.piece,
        part=part_words(c.kit, tongue),
        area=tongue.area(c.area),
        turn=turn,
        number=c.number,
        count=len(cloth.copies),
    )


def cloth_head(cloth: ClothView, tongue: Tongue) -> None:
    """Show what an offcut is called, and how much of its life is gone.

    Parameters
    ----------
    cloth
        An offcut.
    tongue
        Of the reader.
    """
    from html import escape

    said = []
    if cloth.life:
        used, life = tongue.duration(cloth.life_used), tongue.duration(cloth.life)
        said.append(tongue.say("cut.offcut_life", used=used, life=life))
    if cloth.batch:
        said.append(tongue.say("cut.offcut_batch", batch=cloth.batch))
    markup(f'{escape(cloth.name)} <span class="q">{escape(", ".join(said))}</span>', tag="h2")
