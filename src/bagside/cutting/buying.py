"""What to buy for the pieces that cloth in stock does not give: how many metres of which offer, cheapest first.

An offer is nested on its own width, so a narrow roll at a low price is held against a wide one as it would be cut.
Rolls in stock are used first. Pieces that show on one part come from one batch: when a roll gives only some of them,
all of that part's are bought.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.cutting.copies import of_kits
from bagside.cutting.layout import Cloth, Nest, Placement
from bagside.cutting.nest import nest_roll
from bagside.cutting.piece import FlatPiece
from bagside.cutting.sheet import kit_names
from bagside.cutting.sides import narrowest
from bagside.errors import InputError, Problem
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.spec.workshop import Offer

_STEP = 1e-9  # share of a step by which a length may be over a multiple of it
_FIT = 1e-9  # [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buy:
    """One offer, and how much of it the pieces take.

    Parameters
    ----------
    offer
        What is offered.
    nest
        The pieces on it.
    wanted
        Length they take, end included [m].
    length
        Length bought: at least the least, in whole steps [m].
    price
        Of that length over the full width, carriage included [money].
    """

    offer: Offer
    nest: Nest
    wanted: float
    length: float
    price: float

    @property
    def utilisation(self) -> float:
        """Area of pieces over that of the cloth bought."""
        return self.nest.area_of_pieces / (self.offer.width * self.length)

    @property
    def over(self) -> float:
        """Length bought and not cut from [m]."""
        return self.length - self.wanted


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Purchase:
    """What stock gives, and what there is to buy.

    Parameters
    ----------
    material
        Name of the cloth.
    in_stock
        Nests on rolls in stock.
    missing
        Pieces that stock does not give, with just the copies that are missing.
    options
        Offers that take all of these, cheapest first.
    findings
        Nothing to buy; pieces no offer takes; no offer at all.
    """

    material: str
    in_stock: tuple[Nest, ...]
    missing: tuple[FlatPiece, ...]
    options: tuple[Buy, ...]
    findings: tuple[Finding, ...]

    @property
    def enough(self) -> bool:
        """Whether nothing need be bought."""
        return not self.missing


def to_buy(
    pieces: Sequence[FlatPiece],
    stock: Sequence[Cloth],
    offers: Sequence[Offer],
    *,
    seconds: float,
    margin: float = 0.0,
    gap: float = 0.0,
    end: float = 0.0,
    selvedge: float = 0.0,
) -> Purchase:
    """Return what to buy so that all pieces can be cut.

    Parameters
    ----------
    pieces
        All of one material, for one job or several.
    stock
        What rolls in stock give: each with its length, or with none when it does not end.
    offers
        Cloth on offer; that of other materials is passed over.
    seconds
        Time for all nests together [s].
    margin, gap, selvedge
        Of cloth that is bought [m].
    end
        Pulled beyond the last piece [m].

    Returns
    -------
    Purchase
        Nests on stock, and offers by price; of equal price the one with less length.

    Raises
    ------
    InputError
        When there are no pieces, they or the stock are of several materials, a length is negative.

    Notes
    -----
    When one roll gives all, the shortest such roll is taken; else rolls are used up from the shortest, each as far as
    its nest of what is still missing reaches; two rolls count as two batches. Each offer is priced for all that is
    missing: one order, one roll.
    """
    pieces = tuple(pieces)
    material = _check(pieces, stock, end)
    offered = [o for o in offers if o.material == material]
    share = seconds / max(1, len(stock) + len(offered))
    given, missing = _from_stock(pieces, stock, end, share)
    options = []
    for offer in offered if missing else ():
        cloth = Cloth(material=material, width=offer.width, margin=margin, gap=gap, selvedge=selvedge)
        if all(_fits(p, cloth) for p in missing):
            options.append(_priced(offer, nest_roll(missing, cloth, seconds=share), end))
    options.sort(key=lambda b: (b.price, b.length))
    edges = 2.0 * (margin + selvedge)
    found = _findings(material, missing, offered, tuple(options), edges)
    return Purchase(material=material, in_stock=given, missing=missing, options=tuple(options), findings=found)


def length_sold(wanted: float, offer: Offer) -> float:
    """Return the length that is bought: at least the least, in whole steps [m].

    Parameters
    ----------
    wanted
        [m].
    offer
        How it is sold.

    Examples
    --------
    >>> length_sold(2.31, Offer(material="twill", width=1.25, price=40.0, least=2.0, step=0.5))
    2.5
    """
    return max(1, math.ceil(max(wanted, offer.least) / offer.step - _STEP)) * offer.step


def _priced(offer: Offer, nest: Nest, end: float) -> Buy:
    wanted = nest.length + end
    length = length_sold(wanted, offer)
    price = length * offer.width * offer.price + offer.carriage
    return Buy(offer=offer, nest=nest, wanted=wanted, length=length, price=price)


def _from_stock(
    pieces: tuple[FlatPiece, ...], stock: Sequence[Cloth], end: float, share: float
) -> tuple[tuple[Nest, ...], tuple[FlatPiece, ...]]:
    rolls = sorted(stock, key=_left)
    first: dict[int, Nest] = {}
    for k, cloth in enumerate(rolls):
        if all(_fits(p, cloth) for p in pieces):
            first[k] = nest_roll(pieces, cloth, seconds=share)
            if first[k].length + end <= _left(cloth) + _FIT:
                return (first[k],), ()
    given: list[Nest] = []
    missing = pieces
    for k, cloth in enumerate(rolls):
        fitting = tuple(p for p in missing if _fits(p, cloth))
        if not fitting:
            continue
        whole = first[k] if k in first and missing is pieces else nest_roll(fitting, cloth, seconds=0.0)
        nest = _reached(whole, missing, _left(cloth) - end)
        if nest is not None:
            given.append(nest)
            missing = _without(missing, nest)
        if not missing:
            break
    return tuple(given), missing


def _left(cloth: Cloth) -> float:
    return math.inf if cloth.length_available is None else cloth.length_available


def _reached(nest: Nest, missing: tuple[FlatPiece, ...], length: float) -> Nest | None:
    """Return the copies of a nest that end within a length, without parts of which only some visible pieces do."""
    part_of = {p.label: p.job for p in missing if p.visible}
    wanted = Counter((p.job, kit) for p in missing if p.visible for kit in kit_names(p))

    def part(p: Placement) -> tuple[str, str] | None:
        return (part_of[p.label], nest.kit(p)) if p.label in part_of else None

    kept = [p for p in nest.placements if float(nest.placed_loops(p)[0][:, 0].max()) <= length + _FIT]
    found = Counter(part(p) for p in kept)
    kept = [p for p in kept if (of := part(p)) is None or found[of] == wanted[of]]
    if not kept:
        return None
    pieces: list[FlatPiece] = []
    placements: list[Placement] = []
    for piece in nest.pieces:
        lying = [p for p in kept if p.label == piece.label]
        if lying:
            pieces.append(of_kits(piece, [nest.kit(p) for p in lying]))
            placements += [replace(p, copy=n) for n, p in enumerate(lying, 1)]
    return replace(nest, pieces=tuple(pieces), placements=tuple(placements))


def _without(missing: tuple[FlatPiece, ...], nest: Nest) -> tuple[FlatPiece, ...]:
    given = {p.label: Counter(kit_names(p)) for p in nest.pieces}
    out = []
    for piece in missing:
        left = Counter(kit_names(piece)) - given.get(piece.label, Counter())
        if left:
            out.append(of_kits(piece, list(left.elements())))
    return tuple(out)


def _fits(piece: FlatPiece, cloth: Cloth) -> bool:
    return narrowest(piece)[0] <= cloth.usable + _FIT


def _findings(
    material: str, missing: tuple[FlatPiece, ...], offered: list[Offer], options: tuple[Buy, ...], edges: float
) -> tuple[Finding, ...]:
    place = f"cloth to buy, {material}"
    if not missing:
        return (
            _found(Severity.SEEN, place, "nothing to buy: the rolls in stock give all pieces", "", "cut from stock"),
        )
    if not offered:
        what = f"{sum(p.quantity for p in missing)} pieces find no cloth in stock, and none is offered"
        return (_found(Severity.STOP, place, what, "these pieces cannot be cut", "add an offer, or use another cloth"),)
    widest = max(o.width for o in offered)
    wide = [p for p in missing if narrowest(p)[0] > widest - edges + _FIT]
    out = [
        _found(
            Severity.STOP,
            f"piece {p.label}",
            f"{shown(narrowest(p)[0], 'mm', 0)} across the roll at its narrowest allowed turn",
            f"the widest {material} on offer is {shown(widest, 'mm', 0)} wide, of which "
            f"{shown(widest - edges, 'mm', 0)} can be used",
            "split the ply at a seam, turn its warp, or find wider cloth",
        )
        for p in wide
    ]
    if options and options[0].over > 0.5 * options[0].length:
        best = options[0]
        what = f"{shown(best.length, 'm', 2)} are sold at the least, {shown(best.wanted, 'm', 2)} are wanted"
        why = f"{shown(best.over, 'm', 2)} go into stock, and their life runs"
        out.append(_found(Severity.WATCH, place, what, why, "cut other jobs from it too, or take an offer of less"))
    return tuple(out)


def _found(severity: Severity, place: str, what: str, why: str, do: str) -> Finding:
    return Finding(
        severity=severity,
        stage="cutting",
        place=place,
        what=what,
        why=why,
        do=do,
        basis=Basis.MEASURED,
        source="nests on the widths in stock and on offer",
    )


def _check(pieces: tuple[FlatPiece, ...], stock: Sequence[Cloth], end: float) -> str:
    if not pieces:
        raise InputError.one("cloth to buy", "no piece", "at least one piece")
    material = pieces[0].material
    problems = [
        Problem(place=f"piece {p.label}, material", came=p.material, wanted=f"{material}, one material at a time")
        for p in pieces
        if p.material != material
    ]
    problems += [
        Problem(place="roll in stock, material", came=c.material, wanted=f"{material}, one material at a time")
        for c in stock
        if c.material != material
    ]
    if not (math.isfinite(end) and end >= 0.0):
        problems.append(Problem(place="cloth to buy, end", came=f"{end} m", wanted="a finite length, not negative"))
    if problems:
        raise InputError(problems)
    return material
