"""Layouts as they are stored with a job, so that opening it again never changes where a piece lies.

What is stored is where each copy lies on which roll or offcut, by name. The shapes come from the job and the stock; a
layout that can no longer be cut from them is not used, and the person is told why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from bagside.cutting import FlatPiece, Nest, Pin, Placement, SheetNest, StockNest, kit_names, verify_stock
from bagside.errors import NotSolved
from bagside.planning.shelf import Shelf

CLOSE = 5e-5
"""By how much pieces may press into gap and margin after the job was worked out again [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCopy:
    """Where one copy lies: piece, kit, turn [rad], move [m], face down or not; and whether a person put it there."""

    piece: str
    kit: str
    turn: float
    x: float
    y: float
    flipped: bool = False
    pinned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCloth:
    """The copies on one roll or one offcut, in the order of the nest."""

    roll: str = ""
    offcut: str = ""
    copies: tuple[StoredCopy, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredLayout:
    """The layout of one material.

    Parameters
    ----------
    material
        Its name.
    cloths
        Rolls and offcuts.
    money, alone
        What the nest weighed, with offcuts and from the roll alone.
    seconds
        The search took [s].
    cut_on
        The day it was accepted and cut; None while it is planned.
    """

    material: str
    cloths: tuple[StoredCloth, ...]
    money: float
    alone: float | None = None
    seconds: float = 0.0
    cut_on: date | None = None


def stored(
    found: StockNest, shelf: Shelf, cut_on: date | None = None, pins: Sequence[Pin] = ()
) -> StoredLayout:  # fmt: skip
    """Return a layout as it is stored.

    Parameters
    ----------
    found
        The layouts of one material.
    shelf
        The cloth they lie on.
    cut_on
        The day it was cut.
    pins
        Copies that a person has put where they lie.
    """
    pinned = {(p.sheet, p.label, p.kit) for p in pins}

    def copies(layout: Nest | SheetNest) -> tuple[StoredCopy, ...]:
        return tuple(
            StoredCopy(
                piece=p.label,
                kit=layout.kit(p),
                turn=p.turn,
                x=p.x,
                y=p.y,
                flipped=p.flipped,
                pinned=(layout.sheet.name if isinstance(layout, SheetNest) else "", p.label, layout.kit(p)) in pinned,
            )
            for p in layout.placements
        )

    rolls = [StoredCloth(roll=shelf.roll_of(n.cloth).roll.called, copies=copies(n)) for n in found.rolls]
    sheets = [StoredCloth(offcut=n.sheet.name, copies=copies(n)) for n in found.sheets]
    return StoredLayout(
        material=found.material,
        cloths=(*sheets, *rolls),
        money=found.money,
        alone=found.money_roll_alone,
        seconds=found.seconds,
        cut_on=cut_on,
    )


def pins_of(kept: StoredLayout, shelf: Shelf) -> tuple[Pin, ...]:
    """Return the copies of a stored layout that a person has put where they lie, on the cloth that is still there.

    Parameters
    ----------
    kept
        As stored.
    shelf
        The cloth there is.
    """
    number = {left.roll.called: k for k, left in enumerate(shelf.rolls)}
    sheets = {left.offcut.name for left in shelf.offcuts}
    return tuple(
        Pin(
            label=c.piece,
            kit=c.kit,
            turn=c.turn,
            x=c.x,
            y=c.y,
            flipped=c.flipped,
            sheet=cloth.offcut,
            roll=number.get(cloth.roll, 0),
        )
        for cloth in kept.cloths
        if (cloth.offcut in sheets if cloth.offcut else cloth.roll in number)
        for c in cloth.copies
        if c.pinned
    )


def restored(kept: StoredLayout, pieces: Sequence[FlatPiece], shelf: Shelf) -> StockNest | str:
    """Return a stored layout on the cloth there is, or why it cannot be cut any more.

    Parameters
    ----------
    kept
        As stored.
    pieces
        As they are cut now, of this material.
    shelf
        The cloth there is.
    """
    result = laid_down(kept, pieces, shelf)
    if isinstance(result, str):
        return result
    for nest in result.rolls:
        left = shelf.roll_of(nest.cloth)
        if nest.length > left.length + 1e-9:
            return f"roll {left.roll.called} is too short for it now"
    try:
        verify_stock(pieces, result, tolerance=CLOSE)
    except NotSolved as fault:
        return f"the pieces or the cloth have another shape now: {fault}"
    return result


def laid_down(kept: StoredLayout, pieces: Sequence[FlatPiece], shelf: Shelf) -> StockNest | str:
    """Return a stored layout as it lies, whether it can be cut or not; or why it has no place to lie.

    Parameters
    ----------
    kept, pieces, shelf
        As in `restored`.
    """
    by_label = {p.label: p for p in pieces}
    wanted = sorted((p.label, kit) for p in pieces for kit in kit_names(p))
    there = sorted((c.piece, c.kit) for cloth in kept.cloths for c in cloth.copies)
    if wanted != there:
        return "pieces have come or gone, or their number has changed"
    rolls: list[Nest] = []
    sheets: list[SheetNest] = []
    for cloth in kept.cloths:
        own, placements = _own(cloth, by_label)
        if cloth.offcut:
            try:
                sheet = shelf.offcut(cloth.offcut).sheet
            except KeyError:
                return f"offcut {cloth.offcut} is no longer there or may not be used"
            sheets.append(SheetNest(sheet=sheet, pieces=own, placements=placements, up=sheet.up))
        else:
            found = [r for r in shelf.rolls if r.roll.called == cloth.roll]
            if not found:
                return f"roll {cloth.roll} is no longer there or may not be used"
            rolls.append(Nest(cloth=found[0].cloth, pieces=own, placements=placements))
    return StockNest(
        material=kept.material,
        sheets=tuple(sheets),
        rolls=tuple(rolls),
        money=kept.money,
        money_roll_alone=kept.alone,
        seconds=kept.seconds,
        stopped=False,
    )


def _own(cloth: StoredCloth, by_label: dict[str, FlatPiece]) -> tuple[tuple[FlatPiece, ...], tuple[Placement, ...]]:
    """Return the pieces with just the copies of one cloth, and where they lie."""
    kits: dict[str, list[str]] = {}
    placements: list[Placement] = []
    for c in cloth.copies:
        names = kits.setdefault(c.piece, [])
        names.append(c.kit)
        placements.append(Placement(label=c.piece, copy=len(names), turn=c.turn, x=c.x, y=c.y, flipped=c.flipped))
    own = tuple(replace(by_label[label], quantity=len(names), kits=tuple(names)) for label, names in kits.items())
    return own, tuple(placements)
