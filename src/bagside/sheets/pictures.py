"""The pictures of a plan, whether there is a mould's surface to draw on or only cards."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bagside.cutting import FlatPiece
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import ply_of
from bagside.planning.stages import Stages
from bagside.sheets.book_plies import cloth_weight, sight_of
from bagside.sheets.card_pictures import card_cover, card_flats
from bagside.sheets.plan_pictures import WIDE, Drawn, bag_picture, blank, drawn
from bagside.sheets.press import SIZES

ROOM = (120.0, 72.0)  # [mm] for the picture of the bag


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """Every picture of a plan that is slow to draw.

    Parameters
    ----------
    drawn
        The mould, the plies and the flat pieces.
    bag
        The bag; empty when there is no surface under it.
    """

    drawn: Drawn
    bag: str


def pictures_of(plan: BuildPlan, stages: Stages) -> Pictures:
    """Return the pictures of a plan.

    Parameters
    ----------
    plan
        The build.
    stages
        Keeps what has been drawn before.
    """
    cards = tuple(
        tuple(p for p in plan.cut if ply_of(p.label) == k) if own.cards else () for k, own in enumerate(plan.plies)
    )
    weights = tuple(cloth_weight(plan, k) for k in range(len(cards)))
    tall = SIZES[plan.workshop.paper][1]
    flats = ("",) * len(cards)
    if any(cards):
        flats = stages.run("Drawing the cards", cards_drawn, cards, weights, plan.job.quantity, tall)
    if plan.surface is None or plan.part is None:
        return Pictures(drawn=replace(blank(len(cards)), cover=_cover(plan), flats=flats), bag="")
    on_mould = stages.run("Drawing the plies", drawn, sight_of(plan))
    tape, pleats = plan.bag.tape_line, plan.bag.pleats.places
    return Pictures(
        drawn=replace(on_mould, flats=tuple(a or b for a, b in zip(flats, on_mould.flats, strict=True))),
        bag=stages.run("Drawing the bag", bag_picture, plan.surface.work, plan.part, tape, pleats, ROOM),
    )


def cards_drawn(
    cards: tuple[tuple[FlatPiece, ...], ...], weights: tuple[float, ...], parts: int, tall: float
) -> tuple[str, ...]:
    """Return the cards of each ply; empty for a draped one.

    Parameters
    ----------
    cards
        Of each ply; none for a draped one.
    weights
        Of each ply's cloth as it comes off the roll [kg/m²].
    parts
        How many parts they are for.
    tall
        Height of the paper [mm].
    """
    room = (WIDE, tall - 165.0)
    return tuple(card_flats(own, w, parts, room) if own else "" for own, w in zip(cards, weights, strict=True))


def _cover(plan: BuildPlan) -> str:
    return card_cover(plan.cut, plan.job.quantity)
