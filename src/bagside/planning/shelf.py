"""The cloth there is: what is left of each roll, and the offcuts that may still be laid.

Pieces are drawn as they are seen from the bag side, so cloth with one resin-rich face lies on the table with that face
down when it goes to the mould. An offcut whose outline was taken the other way up is turned over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import Cloth, KeepRule, Sheet, offcut_worth
from bagside.findings import Finding, Severity
from bagside.quantity import shown
from bagside.spec.library import Library
from bagside.spec.material import Prepreg
from bagside.spec.stock import Offcut, Stock, Up
from bagside.spec.workshop import OffcutRule, Roll, Workshop

Floats = NDArray[np.float64]

TO_BUY = "to buy"
ENDLESS = 1000.0  # [m] of a roll that is not bought yet
ROOM_AT_LEAST = 1e-3  # [m] a roll shorter than this is empty


@dataclass(frozen=True, slots=True, kw_only=True)
class RollLeft:
    """A roll and what is left of it.

    Parameters
    ----------
    roll
        As it was received.
    length
        Left [m].
    cloth
        As the nest takes it.
    """

    roll: Roll
    length: float
    cloth: Cloth


@dataclass(frozen=True, slots=True, kw_only=True)
class OffcutLeft:
    """An offcut that may be laid, as the nest takes it."""

    offcut: Offcut
    sheet: Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The cloth of one material.

    Parameters
    ----------
    material
        Its name.
    rolls
        Shortest first; when none is left, the cheapest that can be bought.
    offcuts
        In the order of the stock file.
    findings
        Offcuts and rolls that are not used, and why.
    """

    material: str
    rolls: tuple[RollLeft, ...]
    offcuts: tuple[OffcutLeft, ...]
    findings: tuple[Finding, ...]

    def roll_of(self, cloth: Cloth) -> RollLeft:
        """Return the roll that a nest's cloth is.

        Parameters
        ----------
        cloth
            From one of `rolls`.

        Raises
        ------
        KeyError
            When it is none of them.
        """
        for left in self.rolls:
            if left.cloth == cloth:
                return left
        raise KeyError(cloth.material)

    def offcut(self, name: str) -> OffcutLeft:
        """Return the offcut of a name.

        Parameters
        ----------
        name
            As on its label.

        Raises
        ------
        KeyError
            When it may not be laid or is not there.
        """
        for left in self.offcuts:
            if left.offcut.name == name:
                return left
        raise KeyError(name)


def shelf(material: str, workshop: Workshop, stock: Stock, library: Library, today: date) -> Shelf:
    """Return the cloth of one material that may be cut.

    Parameters
    ----------
    material
        Name of a prepreg.
    workshop
        Whose rolls they are.
    stock
        Offcuts, and what was taken from rolls.
    library
        Materials.
    today
        Cloth whose last day is over is left out.
    """
    prepreg = library.prepreg[material]
    rolls: list[RollLeft] = []
    offcuts: list[OffcutLeft] = []
    found: list[Finding] = []
    for roll in (r for r in workshop.stock if r.material == material):
        left = roll.length - sum(t.length for t in stock.taken if t.roll == roll.called)
        if left < ROOM_AT_LEAST:
            continue
        if roll.use_by is not None and roll.use_by < today:
            found.append(_over(f"roll {roll.called}", f"its last day was {roll.use_by.isoformat()}", library, material))
            continue
        rolls.append(RollLeft(roll=roll, length=left, cloth=_cloth(roll, left, workshop, prepreg.width)))
    for offcut in (o for o in stock.there if o.material == material):
        place = f"offcut {offcut.name}"
        if offcut.use_by is not None and offcut.use_by < today:
            found.append(_over(place, f"its last day was {offcut.use_by.isoformat()}", library, material))
        elif offcut.life_used >= prepreg.out_life:
            used = shown(offcut.life_used, "h", 0)
            why = f"it has been out of the freezer for {used} of {shown(prepreg.out_life, 'h', 0)}"
            found.append(_over(place, why, library, material))
        else:
            sheet = sheet_of(offcut, workshop, library, today)
            offcuts.append(OffcutLeft(offcut=offcut, sheet=sheet))
    if not rolls:
        rolls += _to_buy(material, workshop)
    return Shelf(
        material=material,
        rolls=tuple(sorted(rolls, key=lambda r: (r.length, r.roll.called))),
        offcuts=tuple(offcuts),
        findings=tuple(found),
    )


def sheet_of(offcut: Offcut, workshop: Workshop, library: Library, today: date) -> Sheet:
    """Return an offcut as the nest takes it, resin-rich face down.

    Parameters
    ----------
    offcut
        As stated.
    workshop, library
        For its price, worth and life.
    today
        For its age.
    """
    prepreg = library.prepreg[offcut.material]
    over = prepreg.one_faced and offcut.up is Up.RICH
    sheet = Sheet(
        name=offcut.name,
        material=offcut.material,
        outline=_loop(offcut.outline, over),
        holes=tuple(_loop(h, over) for h in offcut.holes),
        flaws=tuple(_loop(f, over) for f in offcut.flaws),
        gap=workshop.table.gap,
        margin=workshop.table.margin,
        batch=offcut.batch,
        price=price_of(offcut, workshop),
        up=face_up(prepreg),
        fetch=workshop.table.fetch * workshop.labour * (1.0 + workshop.overhead),
    )
    worth = offcut_worth(
        sheet.usable,
        fresh=workshop.offcuts.worth,
        life_used=offcut.life_used,
        life=prepreg.out_life,
        age=0.0 if offcut.made is None else max((today - offcut.made).total_seconds(), 0.0),
        strip=workshop.offcuts.strip,
    )
    return replace(sheet, worth=worth)


def keep_rule(rule: OffcutRule) -> KeepRule:
    """Return the workshop's rule of which offcuts are kept, as the cutting bench takes it.

    Parameters
    ----------
    rule
        As stated.
    """
    return KeepRule(square=rule.square, area=rule.area, strip=rule.strip)


def face_up(prepreg: Prepreg) -> str:
    """Return which face of a cloth is up on the table; it means something for one-faced cloth only.

    Parameters
    ----------
    prepreg
        The cloth.
    """
    return (Up.DRY if prepreg.one_faced else Up.RICH).value


def price_of(offcut: Offcut, workshop: Workshop) -> float:
    """Return what an offcut's cloth cost [money/m²]: as stated, else its roll's, else the dearest of its material.

    Parameters
    ----------
    offcut
        As stated.
    workshop
        Whose rolls are looked at.
    """
    if offcut.price is not None:
        return offcut.price
    own = [r.price for r in workshop.stock if r.called == offcut.roll and r.material == offcut.material]
    return own[0] if own else max((r.price for r in workshop.stock if r.material == offcut.material), default=0.0)


def _cloth(roll: Roll, left: float, workshop: Workshop, width: float) -> Cloth:
    table = workshop.table
    return Cloth(
        material=roll.material,
        width=roll.width or width,
        margin=table.margin,
        gap=table.gap,
        length_available=left,
        selvedge=roll.selvedge,
        batch=roll.batch,
    )


def _to_buy(material: str, workshop: Workshop) -> list[RollLeft]:
    """Return the roll that would be bought, as long as anybody wants."""
    offers = [o for o in workshop.offers if o.material == material]
    if not offers:
        return []
    offer = min(offers, key=lambda o: (o.price, -o.width))
    roll = Roll(material=material, length=ENDLESS, price=offer.price, width=offer.width, name=TO_BUY)
    cloth = replace(_cloth(roll, roll.length, workshop, offer.width), length_available=None)
    return [RollLeft(roll=roll, length=roll.length, cloth=cloth)]


def _loop(points: Sequence[tuple[float, float]], over: bool) -> Floats:
    loop = np.array(points, dtype=np.float64)
    return loop * np.array([1.0, -1.0]) if over else loop


def _over(place: str, why: str, library: Library, material: str) -> Finding:
    told = library.prepreg[material].basis
    return Finding(
        severity=Severity.WATCH,
        stage="cutting",
        place=place,
        what="it is not used: its life has run out",
        why=why,
        do="use it for practice, cauls or test pieces that carry nothing, and take it out of the stock",
        basis=told.of("out_life"),
        source=told.source,
    )
