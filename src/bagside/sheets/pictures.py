"""The pictures of a plan, whether there is a mould's surface to draw on or only cards."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bagside.cutting import FlatPiece
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import ply_of
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.sheets.bag_sketch import bag_sketch
from bagside.sheets.book_plies import cloth_weight, sight_of
from bagside.sheets.card_pictures import card_cover, card_flats
from bagside.sheets.plan_pictures import WIDE, Drawn, bag_picture, blank, drawn
from bagside.sheets.press import SIZES
from bagside.sheets.stack_view import PlyInStack, stack_height, stack_view

ROOM = (120.0, 72.0)  # [mm] for the picture of the bag
MOST_IN_STACK = 14  # plies: a taller stack does not stand beside the boxes of a ply's page
ALONE, UNDER_PICTURE = 92.0, 188.0  # [mm] of a ply's page that other things take, without and with a picture
TOLD, BOXES = 14.0, 30.0  # [mm] for a finding on the page, and at least for its boxes


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """Every picture of a plan that is slow to draw.

    Parameters
    ----------
    drawn
        The mould, the plies and the flat pieces.
    bag
        The bag.
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
    room = (WIDE, SIZES[plan.workshop.paper][1] - _beside(plan))
    flats = ("",) * len(cards)
    if any(cards):
        flats = stages.run("Drawing the cards", cards_drawn, cards, weights, plan.job.quantity, room)
    if plan.surface is None or plan.part is None:
        return _by_tape(plan, flats)
    on_mould = stages.run("Drawing the plies", drawn, sight_of(plan))
    tape, pleats = plan.bag.tape_line, plan.bag.pleats.places
    return Pictures(
        drawn=replace(on_mould, flats=tuple(a or b for a, b in zip(flats, on_mould.flats, strict=True))),
        bag=stages.run(
            "Drawing the bag", bag_picture, plan.surface.work, plan.part, tape, pleats, plan.bag.edge_spacing, ROOM
        ),
    )


def _beside(plan: BuildPlan) -> float:
    """Return what of the height of a ply's page its cards leave to other things [mm]."""
    if plan.surface is not None:
        return UNDER_PICTURE
    count = len(plan.plies)
    told = any(f.stage == "cutting" and f.place.startswith("ply ") for f in plan.findings)
    return ALONE + max(BOXES, stack_height(count) if count <= MOST_IN_STACK else 0.0) + (TOLD if told else 0.0)


def cards_drawn(
    cards: tuple[tuple[FlatPiece, ...], ...], weights: tuple[float, ...], parts: int, room: tuple[float, float]
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
    room
        For the cards of one ply [mm].
    """
    return tuple(card_flats(own, w, parts, room) if own else "" for own, w in zip(cards, weights, strict=True))


def _by_tape(plan: BuildPlan, flats: tuple[str, ...]) -> Pictures:
    """Return the pictures of a part of stated sizes: cards, the order of plies, a sketch of the bag."""
    job, measured, count = plan.job, plan.job.measured, len(flats)
    if measured is None:
        return Pictures(drawn=replace(blank(count), flats=flats), bag="")
    whole = measured.laid(job.part).area
    shares = [measured.place(ply.region, job.part).area / whole for ply in job.plies]
    words = [f"{ply.material}, {shown(ply.angle, '°', 0)}, {ply.region}" for ply in job.plies]

    def stack(now: int | None) -> str:
        wide, bars = (WIDE, 0.5 * WIDE) if now is None else (92.0, 80.0)
        return stack_view(
            [
                PlyInStack(
                    number=str(k + 1),
                    share=share,
                    words=words[k] if now is None else "",
                    state="laid" if now is None or k < now else "in hand" if k == now else "to come",
                )
                for k, share in enumerate(shares)
            ],
            wide=wide,
            bars=bars,
        )

    sections = tuple(stack(k) if count <= MOST_IN_STACK else "" for k in range(count))
    found = replace(
        blank(count),
        cover=card_cover(plan.cut, job.quantity),
        flats=flats,
        section=stack(None),
        section_words="a bar is as wide as the root of the share that its ply covers",
        sections=sections,
    )
    return Pictures(drawn=found, bag=bag_sketch(measured, plan.bag, ROOM))
