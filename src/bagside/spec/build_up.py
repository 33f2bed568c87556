"""Rings round holes and strips along seams, each narrower than the one below, built up to a stated height.

One stack is round holes or along lines, not both. On a mould with a mesh each layer is a ply of its own over the
surface within the width; without one it is cut from a card, a ring or a strip, and a strip's length is stated.
"""

from __future__ import annotations

from bagside.spec.fields import Angle, PositiveLength, SomeLength, stated


@stated
class BuildUp:
    """A stack of rings or strips among the plies.

    Parameters
    ----------
    name
        What people call it.
    material
        Name of a prepreg.
    height
        Cured height it reaches at least [m].
    around
        Holes that get a ring each, by name.
    along
        Lines that get a strip each, by name.
    width
        Of the first one: beyond a hole's rim, or across a seam [m].
    step
        By which each further one is narrower at every edge [m]: a strip by twice as much, but as long.
    narrowest
        Width below which none is made [m].
    angles
        Of the warp, one after the other and again [rad]: from the part's zero direction; of a strip cut from a card,
        from the strip's length.
    after
        The ply they are laid after, counted from 1; after the last when zero.
    open
        Whether a ring is cut with the hole in it, or as a disc to be drilled.
    length
        Of each strip along a seam that was measured by tape [m]; from the line when not stated.
    region
        Within which they lie: a region of the mould, or a place of a part measured by tape; the first ply's when not
        stated.
    """

    name: str
    material: str
    height: PositiveLength
    around: tuple[str, ...] = ()
    along: tuple[str, ...] = ()
    width: PositiveLength
    step: SomeLength = 0.004
    narrowest: PositiveLength = 0.010
    angles: tuple[Angle, ...] = (0.0,)
    after: int = 0
    open: bool = False
    length: PositiveLength | None = None
    region: str = ""
