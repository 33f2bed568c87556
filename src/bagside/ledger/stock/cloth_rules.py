"""What the ledger does not take of cutting and of laying what was cut: there is never more than was pulled."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bagside.errors import Problem
from bagside.ledger.bodies import Cut, CutPiece, Laid, NewOffcut, Sort
from bagside.ledger.event import Event
from bagside.ledger.stock.areas import area_of, extent_of, wrong_outline
from bagside.ledger.stock.as_stands import label_of
from bagside.ledger.stock.cloth_events import LEAST_LENGTH, is_piece, kept_area, piece_area
from bagside.ledger.stock.goods_events import a_sort
from bagside.ledger.stock.received_rules import name_problems, taken_problems
from bagside.ledger.things import Cloth, Thing
from bagside.ledger.words import CORRECT, amiss, amount, at_text

ROUNDED = 1e-6
"""By how much a sum of areas may be over, as a share: rounding of numbers that were written down."""

EDGE = 1e-4
"""By how much an outline may reach further than its source [m]."""


def cut_problems(event: Event, body: Cut, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what is wrong with a cut.

    Parameters
    ----------
    event
        In which it stands.
    body
        The cut.
    before
        Its source, kits and offcuts, as they are.
    """
    yield from _names(event, body, before)
    for offcut in body.offcuts:
        why = wrong_outline(offcut.outline, offcut.holes, offcut.flaws)
        if why:
            yield amiss("cut, offcuts", f'"{offcut.name}"', f"{why}: an outline that can be cut is wanted")
    for name, pieces in body.kits.items():
        yield from _pieces(name, pieces, before.get(name))
    source = before.get(body.source)
    if not isinstance(source, Cloth):
        return
    yield from _label(body, source)
    yield from _length(body, source)
    if source.sort is Sort.ROLL:
        long, wide = body.length, source.width
        area = None if wide is None else long * wide
    else:
        long, wide = extent_of(source.outline)
        area = area_of(source.outline, source.holes)
    if long > 0.0:
        yield from _sizes(body, long, wide)
        yield from _areas(body, area)


def laid_problems(body: Laid, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield what is wrong with a piece that was laid out of a kit.

    Parameters
    ----------
    body
        The tick.
    before
        The kit, as it is.
    """
    kit = before.get(body.kit)
    if not isinstance(kit, Cloth) or not kit.pieces:
        return
    same = [p for p in kit.pieces if is_piece(p, body)]
    if not same:
        others = sorted({p.piece.label for p in kit.pieces if not p.laid_in})
        told = ", ".join(others[:8]) + (", …" if len(others) > 8 else "")
        yield amiss(
            "laid, piece", f'"{body.piece}" of ply {body.ply}', f"it is not in {kit.name}",
            f"still in it: {told}" if others else "",
        )  # fmt: skip
    elif all(p.laid_in for p in same):
        where = ", ".join(dict.fromkeys(p.laid_in for p in same))
        yield amiss(
            "laid, piece", f'"{body.piece}" of ply {body.ply}', f"this piece of {kit.name} is laid already, in {where}",
            f"take the other kit's, or {CORRECT} when that tick is wrong",
        )  # fmt: skip


def _names(event: Event, body: Cut, before: Mapping[str, Thing | None]) -> Iterator[Problem]:
    """Yield names of new offcuts and kits that cannot be."""
    seen = {body.source}
    for word, names in (("kits", list(body.kits)), ("offcuts", [o.name for o in body.offcuts])):
        for name in names:
            place = f"cut, {word}"
            yield from name_problems(name, place)
            if name in seen:
                yield amiss(place, f'"{name}"', "this name stands twice in one cut", "give each its own label")
            seen.add(name)
            known = before.get(name)
            if word == "offcuts" or (known is not None and known.sort is not Sort.KIT):
                yield from taken_problems(name, place, before)
            elif isinstance(known, Cloth) and event.at < known.born:
                told = f"this kit came on {at_text(known.born)}, after this"
                yield amiss(place, f'"{name}"', told, "look at the time")
            elif isinstance(known, Cloth) and known.gone is not None and event.at >= known.gone:
                told = f"this kit is gone since {at_text(known.gone)}: {known.why}"
                yield amiss(place, f'"{name}"', told, "begin another")


def _pieces(name: str, pieces: tuple[CutPiece, ...], kit: Thing | None) -> Iterator[Problem]:
    """Yield pieces that a kit cannot take."""
    seen = {(p.piece.label, p.piece.copy) for p in kit.pieces} if isinstance(kit, Cloth) else set()
    if not pieces:
        yield amiss("cut, kits", f'"{name}"', "a kit of no pieces is none", "leave it out, or state its pieces")
    for piece in pieces:
        if not piece.area > 0.0:
            came = f'"{piece.label}" of {amount(piece.area, "area")}'
            yield amiss("cut, kits", came, "a piece has an area: more than nothing is wanted")
        if not piece.label.strip():
            yield amiss("cut, kits", f'"{name}"', "a piece without a label cannot be laid", "label it")
        if (piece.label, piece.copy) in seen:
            yield amiss(
                "cut, kits", f'"{piece.label}", copy {piece.copy}', f"it is in {name} already",
                "number the copies, or put it into another kit",
            )  # fmt: skip
        seen.add((piece.label, piece.copy))


def _label(body: Cut, source: Cloth) -> Iterator[Problem]:
    """Yield what the labels of new things say otherwise than their source's."""
    if not body.kits and not body.offcuts:
        return
    ours, theirs = body.of, label_of(source)
    for word in ("material", "batch", "use_by", "made", "up"):
        if getattr(ours, word) != getattr(theirs, word):
            yield amiss(
                f"cut, of, {word}", f'"{getattr(ours, word) or ""}"',
                f'{source.name} has "{getattr(theirs, word) or ""}", and what is cut from it has the same',
            )  # fmt: skip


def _length(body: Cut, source: Cloth) -> Iterator[Problem]:
    if source.sort is Sort.OFFCUT:
        if body.length:
            came = amount(body.length, "length")
            told = f"nothing is pulled off {a_sort(source.sort)}: it is cut up"
            yield amiss("cut, length", came, told, "leave it out")
        return
    if not body.length > 0.0:
        yield amiss(
            "cut, length", amount(body.length, "length"), f"how much was pulled off {source.name}? a length is wanted"
        )
    elif body.length > source.left + LEAST_LENGTH:
        yield amiss(
            "cut, length", amount(body.length, "length"),
            f"only {amount(max(source.left, 0.0), 'length')} is left of {source.name}",
            "count it first when there is more: bagside stock count",
        )  # fmt: skip


def _sizes(body: Cut, long: float, wide: float | None) -> Iterator[Problem]:
    """Yield offcuts that reach further than what they were cut from."""
    for offcut in body.offcuts:
        x, y = extent_of(offcut.outline)
        for side, size, most in (("long", x, long), ("wide", y, wide)):
            if most is not None and size > most + EDGE:
                yield amiss(
                    "cut, offcuts", f'"{offcut.name}"',
                    f"it is {amount(size, 'length')} {side}, and it was cut from {amount(most, 'length')}",
                    "look at its measures, and that x runs along the warp",
                )  # fmt: skip


def _areas(body: Cut, area: float | None) -> Iterator[Problem]:
    """Yield that more came out than went in."""
    kept, cut = kept_area(body.offcuts), piece_area(body)
    if area is None or kept + cut <= area * (1.0 + ROUNDED):
        return
    if kept > area * (1.0 + ROUNDED):
        larger: list[NewOffcut] = sorted(body.offcuts, key=lambda o: -area_of(o.outline, o.holes))
        came = ", ".join(f'"{o.name}"' for o in larger[:3])
        yield amiss(
            "cut, offcuts", came, f"{amount(kept, 'area')} of offcuts cannot come out of {amount(area, 'area')}",
            "look at their measures",
        )  # fmt: skip
        return
    yield amiss(
        "cut", f"{amount(cut, 'area')} of pieces and {amount(kept, 'area')} of offcuts",
        f"that is more than the {amount(area, 'area')} of {body.source} that was cut",
        "look at the length that was pulled, and at the pieces",
    )  # fmt: skip
