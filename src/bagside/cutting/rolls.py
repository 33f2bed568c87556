"""Which roll a kit is cut from when there are several: the cheapest that is long enough, or as few as it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from bagside.cutting import nest as on_the_roll
from bagside.cutting.copies import Part, of_kits
from bagside.cutting.layout import Cloth, Nest
from bagside.cutting.nest import NestProgress
from bagside.cutting.piece import FlatPiece
from bagside.cutting.sheet import kit_names
from bagside.errors import InputError

Unit = tuple[tuple[FlatPiece, str], ...]
"""Copies that stay together: a piece and the name of a kit for each."""
Watch = Callable[[NestProgress], bool | None]
FULL = 0.75
"""Share of a roll that pieces are first counted on to fill."""
LESS = 0.93
"""By which that is lessened when they turn out too long."""


@dataclass(frozen=True, slots=True, eq=False)
class Rolls:
    """The rolls of one material.

    Parameters
    ----------
    cloths
        The rolls.
    prices
        Of each [money/m²].
    fits
        For each, the labels of the pieces that it is wide enough for.
    """

    cloths: tuple[Cloth, ...]
    prices: tuple[float, ...]
    fits: tuple[frozenset[str], ...]

    @classmethod
    def of(cls, pieces: Sequence[FlatPiece], cloths: Sequence[Cloth], prices: Sequence[float]) -> Rolls:
        """Return rolls with what fits each.

        Parameters
        ----------
        pieces
            To be cut.
        cloths, prices
            The rolls and the price of each [money/m²].
        """
        fits = tuple(frozenset(p.label for p in pieces if _goes(p, c)) for c in cloths)
        return cls(tuple(cloths), tuple(prices), fits)

    def batch(self, number: int) -> str:
        """Return what stands for the batch of a roll: each of unknown batch is one of its own.

        Parameters
        ----------
        number
            Of the roll.
        """
        return self.cloths[number].batch or f"\0roll {number}"

    def price(self, nest: Nest) -> float:
        """Return the money of the cloth that a nest takes.

        Parameters
        ----------
        nest
            On one of these rolls; over its full width, selvedges included.
        """
        number = next(k for k, c in enumerate(self.cloths) if c is nest.cloth)
        return self.prices[number] * nest.length * nest.cloth.width

    def nested(
        self,
        pieces: Sequence[FlatPiece],
        parts: Mapping[Part, str],
        seconds: float = 0.0,
        watch: Watch | None = None,
    ) -> tuple[Nest, ...]:
        """Return the pieces nested on the cheapest roll that is long enough, or on several.

        Parameters
        ----------
        pieces
            With just the copies that are to be cut from rolls.
        parts
            Batch that the visible pieces of a part must be of, where some of them lie on sheets already.
        seconds
            Time for the search [s].
        watch
            Called several times a second; the search stops when it returns False.

        Returns
        -------
        tuple of Nest
            One for each roll used; a roll may be too short for its nest when all of them together are.
        """
        if not pieces:
            return ()
        if len(self.cloths) == 1:
            return (on_the_roll.nest_roll(pieces, self.cloths[0], seconds=seconds, on_progress=watch),)
        quick: list[tuple[float, int, Nest]] = []
        for number, cloth in enumerate(self.cloths):
            if all(self._allowed(number, (p, k), parts) for p in pieces for k in kit_names(p)):
                nest = on_the_roll.nest_roll(pieces, cloth, seconds=0.0)
                if not _too_long(nest):
                    quick.append((self.price(nest), number, nest))
        if quick and seconds < 1.0:
            return (min(quick)[2],)
        shares = [(min(quick)[1], tuple(pieces))] if quick else self._split(pieces, parts)
        each = seconds / len(shares)
        nests = [on_the_roll.nest_roll(p, self.cloths[k], seconds=each, on_progress=watch) for k, p in shares]
        return tuple(nests)

    def _allowed(self, number: int, copy: tuple[FlatPiece, str], parts: Mapping[Part, str]) -> bool:
        piece, kit = copy
        if piece.label not in self.fits[number]:
            return False
        wanted = parts.get((piece.job, kit)) if piece.visible else None
        return wanted is None or wanted == self.batch(number)

    def _split(self, pieces: Sequence[FlatPiece], parts: Mapping[Part, str]) -> list[tuple[int, tuple[FlatPiece, ...]]]:
        units = sorted(_units(pieces), key=lambda u: -sum(p.area for p, _ in u))
        order = sorted(range(len(self.cloths)), key=lambda k: -_length(self.cloths[k]))
        shares: dict[int, list[Unit]] = {}
        for number in order:
            mine = [u for u in units if all(self._allowed(number, c, parts) for c in u)]
            cloth = self.cloths[number]
            room = FULL * _length(cloth) * cloth.usable
            while mine:
                taken = _prefix(mine, room)
                if not taken:
                    break
                nest = on_the_roll.nest_roll(_joined(taken), cloth, seconds=0.0)
                if not _too_long(nest):
                    shares[number] = taken
                    units = [u for u in units if not any(u is t for t in taken)]
                    break
                room *= LESS
        for unit in units:  # too much for all of them: the longest that may have it runs short, and that is told
            number = next((k for k in order if all(self._allowed(k, c, parts) for c in unit)), -1)
            if number < 0:
                raise InputError.one(
                    f"piece {unit[0][0].label}",
                    "pieces that show on one part fit no roll together",
                    "one roll wide enough for all of them, since they come from one batch",
                )
            shares.setdefault(number, []).append(unit)
        return [(k, _joined(u)) for k, u in shares.items()]


def _goes(piece: FlatPiece, cloth: Cloth) -> bool:
    if piece.narrowest()[0] <= cloth.usable:
        return True
    try:
        on_the_roll.nest_roll([piece], cloth, seconds=0.0)  # it may be narrower at a turn within its tolerance
    except InputError:
        return False
    return True


def _too_long(nest: Nest) -> bool:
    return nest.length > _length(nest.cloth) + 1e-9


def _length(cloth: Cloth) -> float:
    return float("inf") if cloth.length_available is None else cloth.length_available


def _units(pieces: Sequence[FlatPiece]) -> list[Unit]:
    alone: list[Unit] = []
    together: dict[Part, list[tuple[FlatPiece, str]]] = {}
    for piece in pieces:
        for kit in kit_names(piece):
            if piece.visible:
                together.setdefault((piece.job, kit), []).append((piece, kit))
            else:
                alone.append(((piece, kit),))
    return [*(tuple(u) for u in together.values()), *alone]


def _prefix(units: Sequence[Unit], room: float) -> list[Unit]:
    out = []
    for unit in units:
        area = sum(p.area for p, _ in unit)
        if area <= room:
            out.append(unit)
            room -= area
    return out


def _joined(units: Sequence[Unit]) -> tuple[FlatPiece, ...]:
    kits: dict[str, list[str]] = {}
    pieces: dict[str, FlatPiece] = {}
    for piece, kit in (c for u in units for c in u):
        pieces[piece.label] = piece
        kits.setdefault(piece.label, []).append(kit)
    return tuple(of_kits(pieces[label], kits[label]) for label in kits)
