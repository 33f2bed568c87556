"""The copies of a kit one by one, what each is worth on a sheet, and layouts back as pieces with copies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from bagside.cutting.forms import Forms, Pose
from bagside.cutting.piece import FlatPiece
from bagside.cutting.place import Filling
from bagside.cutting.sheet import SheetNest, kit_names

Part = tuple[str, str]
"""Job and kit: one part."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Copy:
    """One copy of one piece.

    Parameters
    ----------
    number
        Among all copies.
    piece
        Number of its piece.
    kit
        Name of its kit.
    area
        [m²].
    value
        Of the fresh cloth it takes when it is not cut from a sheet [money].
    poses
        For each sheet, the ways in which it may lie there.
    stated
        For each sheet, how many of these are at a stated turn.
    part
        The part it shows on; None when it does not show.
    """

    number: int
    piece: int
    kit: str
    area: float
    value: float
    poses: tuple[tuple[Pose, ...], ...]
    stated: tuple[int, ...]
    part: Part | None


def copies_of(
    pieces: Sequence[FlatPiece],
    forms: Forms,
    fresh: float,
    must: Mapping[str, float],
    sheets: Sequence[tuple[bool, float]],
) -> tuple[Copy, ...]:
    """Return every copy of some pieces.

    Parameters
    ----------
    pieces
        Different labels.
    forms
        Where their shapes are kept.
    fresh
        What fresh cloth for a square metre of pieces costs [money/m²].
    must
        What copies of some labels are worth on a sheet beside that [money].
    sheets
        For each sheet, whether it lies the other way up than the roll, and how far askew [rad].
    """
    out: list[Copy] = []
    for index, piece in enumerate(pieces):
        poses = tuple(forms.poses(piece, over, askew) for over, askew in sheets)
        stated = tuple(sum(_stated(piece, p) for p in each) for each in poses)
        value = fresh * piece.area + must.get(piece.label, 0.0)
        for kit in kit_names(piece):
            out.append(
                Copy(
                    number=len(out),
                    piece=index,
                    kit=kit,
                    area=piece.area,
                    value=value,
                    poses=poses,
                    stated=stated,
                    part=(piece.job, kit) if piece.visible else None,
                )
            )
    return tuple(out)


def layout_of(filling: Filling, copies: Sequence[Copy], pieces: Sequence[FlatPiece], up: str) -> SheetNest:
    """Return what lies on a sheet as a layout of its own.

    Parameters
    ----------
    filling
        The sheet and what lies on it.
    copies, pieces
        All of them.
    up
        Face that is up on the roll.
    """
    items = sorted(filling.items, key=lambda i: (i.place, i.copy))
    kits: dict[int, list[str]] = {}
    placements = []
    for item in items:
        copy = copies[item.copy]
        here = kits.setdefault(copy.piece, [])
        here.append(copy.kit)
        placements.append(item.pose.placement(pieces[copy.piece].label, len(here), item.place, filling.ground.origin))
    return SheetNest(
        sheet=filling.ground.sheet,
        pieces=tuple(of_kits(pieces[k], kits[k]) for k in sorted(kits)),
        placements=tuple(placements),
        up=up,
    )


def of_kits(piece: FlatPiece, kits: Sequence[str]) -> FlatPiece:
    """Return a piece with just the copies of some kits.

    Parameters
    ----------
    piece
        With all its copies.
    kits
        Name of the kit of each copy wanted.
    """
    return replace(piece, quantity=len(kits), kits=tuple(kits))


def left_over(copies: Sequence[Copy], pieces: Sequence[FlatPiece], laid: Collection[int]) -> tuple[FlatPiece, ...]:
    """Return the pieces with the copies that lie on no sheet.

    Parameters
    ----------
    copies, pieces
        All of them.
    laid
        Numbers of the copies that lie on one.
    """
    kits: dict[int, list[str]] = {}
    for copy in copies:
        if copy.number not in laid:
            kits.setdefault(copy.piece, []).append(copy.kit)
    return tuple(of_kits(pieces[k], kits[k]) for k in sorted(kits))


def not_on(sheets: Sequence[SheetNest], pieces: Sequence[FlatPiece]) -> tuple[FlatPiece, ...]:
    """Return the pieces with the copies that lie on none of some sheets.

    Parameters
    ----------
    sheets
        Layouts.
    pieces
        With all their copies.
    """
    here = Counter((p.label, kit) for n in sheets for p in n.pieces for kit in kit_names(p))
    out = []
    for piece in pieces:
        kits = []
        for kit in kit_names(piece):
            if here[piece.label, kit]:
                here[piece.label, kit] -= 1
            else:
                kits.append(kit)
        if kits:
            out.append(of_kits(piece, kits))
    return tuple(out)


def _stated(piece: FlatPiece, pose: Pose) -> bool:
    return piece.turns is None or pose.turn in piece.turns
