"""Copies that a person has put somewhere: what a pin is, what is refused of it, and copies as a layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.cutting.copies import of_kits
from bagside.cutting.layout import Cloth, Nest, Placement
from bagside.cutting.piece import FlatPiece
from bagside.cutting.sheet import Sheet, SheetNest, kit_names
from bagside.cutting.verify import verify
from bagside.errors import InputError, NotSolved, Problem

Copies = tuple[tuple[str, str, Placement], ...]
"""Label, kit and place of copies; the number of a copy means nothing here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """One copy that stays where a person has put it.

    Parameters
    ----------
    label, kit
        Which copy.
    turn
        Of the piece's axes against the cloth's [rad].
    x, y
        Move after the turn [m].
    flipped
        Whether it is cut face down.
    sheet
        Name of the sheet it lies on; empty for a roll.
    roll
        Number of the roll it lies on, from 0, when it is on no sheet.
    """

    label: str
    kit: str
    turn: float
    x: float
    y: float
    flipped: bool = False
    sheet: str = ""
    roll: int = 0

    @property
    def place(self) -> Placement:
        """Where it lies."""
        return Placement(label=self.label, copy=1, turn=self.turn, x=self.x, y=self.y, flipped=self.flipped)


def check_pins(
    pieces: Sequence[FlatPiece], sheets: Sequence[Sheet], cloths: Sequence[Cloth], pins: Sequence[Pin], up: str
) -> None:
    """Refuse pins that nothing can be nested round.

    Parameters
    ----------
    pieces, sheets, cloths, pins, up
        As `nest_pinned` takes them.

    Raises
    ------
    InputError
        With every problem.
    """
    problems: list[Problem] = []
    by_label = {p.label: p for p in pieces}
    there = Counter((p.label, kit) for p in pieces for kit in kit_names(p))
    names = {s.name for s in sheets}
    for pin, count in Counter((p.label, p.kit) for p in pins).items():
        if count > there[pin]:
            wanted = "a copy that is cut" if not there[pin] else f"{there[pin]} at most"
            problems.append(Problem(place=_named(*pin), came=f"{count} pinned", wanted=wanted))
    for p in pins:
        if p.sheet and p.sheet not in names:
            problems.append(Problem(place=_named(p.label, p.kit), came=p.sheet, wanted="an offcut that is there"))
        if not p.sheet and not 0 <= p.roll < len(cloths):
            problems.append(Problem(place=_named(p.label, p.kit), came="a roll", wanted="a roll that is there"))
    if len({p.roll for p in pins if not p.sheet}) > 1:
        problems.append(Problem(place="pinned pieces", came="pins on two rolls", wanted="pins on one of them"))
    if problems:
        raise InputError(problems)
    for sheet in sheets:
        _check_on(sheet, by_label, [p for p in pins if p.sheet == sheet.name], up, problems)
    for k, cloth in enumerate(cloths):
        _check_on(cloth, by_label, [p for p in pins if not p.sheet and p.roll == k], up, problems)
    if problems:
        raise InputError(problems)


def _check_on(
    cloth: Sheet | Cloth, by_label: dict[str, FlatPiece], pins: Sequence[Pin], up: str, problems: list[Problem]
) -> None:
    """Try each pin with those before it; the first that does not go is named."""
    for k, pin in enumerate(pins):
        copies = tuple((p.label, p.kit, p.place) for p in pins[: k + 1])
        try:
            verify(laid_out(cloth, copies, by_label, up))
        except NotSolved as fault:
            place = _named(pin.label, pin.kit)
            hint = "move it, or take a pin off"
            problems.append(Problem(place=place, came="pinned there", wanted=f"another place: {fault}", hint=hint))
            return


def _named(label: str, kit: str) -> str:
    return f"piece {label} of kit {kit}"


def laid_out(cloth: Sheet | Cloth, copies: Copies, by_label: dict[str, FlatPiece], up: str) -> SheetNest | Nest:
    """Return copies as a layout of their own.

    Parameters
    ----------
    cloth
        A sheet or a roll.
    copies
        In the order of the layout.
    by_label
        Pieces by their labels.
    up
        Face that is up on the rolls.
    """
    kits: dict[str, list[str]] = {}
    placements = []
    for label, kit, place in copies:
        own = kits.setdefault(label, [])
        own.append(kit)
        placements.append(replace(place, copy=len(own)))
    pieces = tuple(of_kits(by_label[label], own) for label, own in kits.items())
    if isinstance(cloth, Sheet):
        return SheetNest(sheet=cloth, pieces=pieces, placements=tuple(placements), up=up)
    return Nest(cloth=cloth, pieces=pieces, placements=tuple(placements))


def copies_on(layout: SheetNest | Nest) -> Copies:
    """Return the copies of a layout.

    Parameters
    ----------
    layout
        On a sheet or on a roll.
    """
    return tuple((p.label, layout.kit(p), p) for p in layout.placements)
