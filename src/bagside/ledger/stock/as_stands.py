"""What is to be written down about cloth follows from how it stands: labels of what is cut, and where things are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bagside.ledger.bodies import Cut, CutPiece, Label, Moved, NewOffcut
from bagside.ledger.things import Cloth, Place, Stay, Thing

COLD = 278.15
"""A place colder than this is a freezer or a fridge: cloth goes into it sealed [K]; common practice, no source."""

DEEPEST = 1000
"""Cuts from a roll to an offcut of an offcut of …; more than anybody makes."""


def label_of(source: Cloth) -> Label:
    """Return what is written on the label of everything that is cut from cloth.

    Parameters
    ----------
    source
        Roll or offcut.
    """
    return Label(
        material=source.material,
        batch=source.batch,
        price=source.price,
        use_by=source.use_by,
        made=source.made,
        up=source.up,
    )


def cut_from(
    source: Cloth,
    *,
    length: float = 0.0,
    kits: Mapping[str, Sequence[CutPiece]] | None = None,
    offcuts: Sequence[NewOffcut] = (),
    job: str = "",
    place: str = "",
) -> Cut:
    """Return a cut with the labels that its source gives.

    Parameters
    ----------
    source
        Roll or offcut.
    length, kits, offcuts, job, place
        See `bagside.ledger.bodies.Cut`.
    """
    return Cut(
        source=source.name,
        length=length,
        kits={name: tuple(pieces) for name, pieces in (kits or {}).items()},
        offcuts=tuple(offcuts),
        job=job,
        of=label_of(source),
        place=place,
    )


def moved_to(place: Place, things: Sequence[str], *, temperature: float | None = None) -> Moved:
    """Return a move, sealed when the place is cold.

    Parameters
    ----------
    place
        Where to.
    things
        Names.
    temperature
        Measured there [K]; the place's own when not stated.
    """
    there = place.temperature if temperature is None else temperature
    return Moved(
        things=tuple(things), to=place.name, temperature=temperature, sealed=there is not None and there < COLD
    )


def source_of(cloth: Cloth) -> str:
    """Return from which roll or offcut cloth was cut first; empty when it was received.

    Parameters
    ----------
    cloth
        Any.
    """
    return cloth.parent or (cloth.pieces[0].source if cloth.pieces else "")


def stays_of(cloth: Cloth, things: Mapping[str, Thing]) -> tuple[Stay, ...]:
    """Return where cloth has been since it was born.

    Parameters
    ----------
    cloth
        Any.
    things
        By name; its sources must be among them, gone or not.

    Returns
    -------
    tuple of Stay
        Its own, and before them the place in which its source was when it was cut, as far as that is known.
    """
    own = cloth.stays
    if own and own[0].since <= cloth.born:
        return own
    child = cloth
    for _ in range(DEEPEST):
        source = things.get(source_of(child))
        if not isinstance(source, Cloth):
            return own
        pulled = next((p for p in source.pulled if p.event == child.birth), None)
        if pulled is None:
            return own
        if pulled.stays:
            stay = source.stays[pulled.stays - 1]
            return (Stay(place=stay.place, since=cloth.born, temperature=stay.temperature), *own)
        child = source
    return own
