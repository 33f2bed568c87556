"""What to buy for open jobs, and what would expire unused meanwhile."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import shapely

from bagside.cutting import Expiring, FlatPiece, Held, Purchase, kit_names, to_buy, unused
from bagside.planning.cut_jobs import JobsCut
from bagside.planning.kit import MaterialKit
from bagside.planning.shelf import TO_BUY, price_of, shelf
from bagside.spec.opening import Opened


@dataclass(frozen=True, slots=True, kw_only=True)
class Buying:
    """What to buy.

    Parameters
    ----------
    purchases
        One for each cloth.
    expiring
        Rolls and offcuts that would be lost by the day looked at, the dearest first.
    until
        That day.
    """

    purchases: tuple[Purchase, ...]
    expiring: tuple[Expiring, ...]
    until: date


def buying(found: JobsCut, opened: Opened, *, seconds: float, until: date) -> Buying:
    """Return what to buy for jobs after offcuts and rolls in stock have given what they can.

    Parameters
    ----------
    found
        The jobs cut together: what lies on offcuts there is cut from them.
    opened
        Any of the jobs, for the stock.
    seconds
        For the nests on what is on offer, all cloths together [s].
    until
        Day until which cloth is looked at that would expire.
    """
    workshop, table = opened.workshop, opened.workshop.table
    purchases = []
    taken: dict[str, float] = {}
    for kit in found.kits:
        own = [p for _, pieces in found.jobs for p in pieces if p.material == kit.material]
        rest = _not_on_offcuts(own, kit)
        taken |= {f"offcut {s.offcut.name}": _area(s.offcut.outline, s.offcut.holes) for s in kit.sheets}
        if not rest:
            continue
        rolls = shelf(kit.material, workshop, opened.stock, opened.library, found.today).rolls
        bought = to_buy(
            rest,
            [r.cloth for r in rolls if r.roll.called != TO_BUY],
            workshop.offers,
            seconds=seconds / len(found.kits),
            margin=table.margin,
            gap=table.gap,
            end=table.end,
        )
        purchases.append(bought)
        for nest in bought.in_stock:
            left = next(r for r in rolls if r.cloth == nest.cloth)
            area = min(nest.length + table.end, left.length) * nest.cloth.width
            taken[f"roll {left.roll.called}"] = taken.get(f"roll {left.roll.called}", 0.0) + area
    return Buying(purchases=tuple(purchases), expiring=unused(_held(opened), taken, until), until=until)


def _not_on_offcuts(own: Sequence[FlatPiece], kit: MaterialKit) -> tuple[FlatPiece, ...]:
    gone = Counter((p.label, name) for s in kit.sheets for p in s.nest.pieces for name in kit_names(p))
    out = []
    for piece in own:
        left = []
        for name in kit_names(piece):
            if gone[(piece.label, name)] > 0:
                gone[(piece.label, name)] -= 1
            else:
                left.append(name)
        if left:
            out.append(replace(piece, quantity=len(left), kits=tuple(left)))
    return tuple(out)


def _held(opened: Opened) -> list[Held]:
    """Return every roll and offcut with something left."""
    workshop, library, stock = opened.workshop, opened.library, opened.stock
    held = []
    for roll in workshop.stock:
        left = roll.length - sum(t.length for t in stock.taken if t.roll == roll.called)
        cloth = library.prepreg[roll.material]
        width = roll.width or cloth.width
        if left > 0.0:
            held.append(
                Held(
                    name=f"roll {roll.called}",
                    area=left * width,
                    width=width,
                    price=roll.price,
                    use_by=roll.use_by,
                    life_left=cloth.out_life - roll.life_used,
                )
            )
    for offcut in stock.there:
        cloth = library.prepreg[offcut.material]
        held.append(
            Held(
                name=f"offcut {offcut.name}",
                area=_area(offcut.outline, offcut.holes),
                price=price_of(offcut, workshop),
                use_by=offcut.use_by,
                life_left=cloth.out_life - offcut.life_used,
            )
        )
    return held


def _area(outline: Sequence[tuple[float, float]], holes: Sequence[Sequence[tuple[float, float]]]) -> float:
    return float(shapely.Polygon(outline, holes).area)
