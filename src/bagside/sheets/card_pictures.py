"""The pictures of plies that are cut from cards: flat, as they are cut, at a round scale."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cutting import FlatPiece as CutPiece
from bagside.sheets.flatview import FlatPiece, flat_view

ON_COVER = 4  # cards, the largest ones
SMALL = 0.05  # of the largest card's area: smaller ones are not on the cover
COVER = (150.0, 96.0)  # [mm]


def card_flats(cards: Sequence[CutPiece], weight: float, parts: int, size: tuple[float, float]) -> str:
    """Return the cards of one ply.

    Parameters
    ----------
    cards
        Of the ply, for all parts; at least one.
    weight
        Of its cloth as it comes off the roll [kg/m²].
    parts
        How many parts they are for.
    size
        Room on paper [mm].
    """
    return flat_view([_flat(card, parts, weight) for card in cards], size_mm=size)


def card_cover(cards: Sequence[CutPiece], parts: int) -> str:
    """Return the largest cards of a job, for its cover; those that are alike but for their label once.

    Parameters
    ----------
    cards
        Of all plies, for all parts; at least one.
    parts
        How many parts they are for.
    """
    unlike: dict[tuple[float, ...], CutPiece] = {}
    for card in cards:
        unlike.setdefault((round(card.area, 7), *(round(s, 5) for s in card.size)), card)
    largest = sorted(unlike.values(), key=lambda c: -c.area)[:ON_COVER]
    chosen = [c for c in unlike.values() if c in largest and c.area >= SMALL * largest[0].area]
    return flat_view([_flat(card, parts, None) for card in chosen], size_mm=COVER)


def _flat(card: CutPiece, parts: int, weight: float | None) -> FlatPiece:
    copies = card.quantity // parts
    return FlatPiece(
        label=card.label,
        loops=card.loops,
        start=next((at for mark, at in card.marks if mark == "start"), None),
        holes=tuple(at for mark, at in card.marks if mark != "start"),
        note=f"cut {copies} for each part" if copies > 1 and weight is not None else "",
        area=card.area if weight is not None else None,
        mass=None if weight is None else weight * card.area,
    )
