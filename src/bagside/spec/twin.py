"""A part that is the mirror image of another: which, in which plane, and how twill is made to follow."""

from __future__ import annotations

from enum import StrEnum

from bagside.spec.fields import stated
from bagside.spec.region import Plane


class Reversal(StrEnum):
    """How the diagonal of a twill is reversed."""

    QUARTER_TURN = "quarter turn"
    TURNED_OVER = "turned over"
    AS_IT_IS = "as it is"


@stated
class Mirror:
    """What a twin is the mirror image of.

    Parameters
    ----------
    of
        The job file of the other part, beside this one or by its way from here.
    plane
        The mirror.
    twill
        How plies of balanced twill are cut, so that their diagonal is reversed too.
    seen_only
        Whether only the ply against a mould that shows is cut so, and the ones behind it as they were.
    """

    of: str
    plane: Plane
    twill: Reversal = Reversal.QUARTER_TURN
    seen_only: bool = False


@stated
class TwinFile:
    """What may stand in the job file of a twin; everything else is the other part's.

    Parameters
    ----------
    mirror
        Of what, and in which plane.
    name
        What people call it; the other's name and "mirrored" when not stated.
    quantity
        How many are built; as many as of the other when not stated.
    note
        A line for the cover.
    """

    mirror: Mirror
    name: str = ""
    quantity: int | None = None
    note: str = ""
