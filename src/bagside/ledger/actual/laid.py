"""Plies and debulks of a part: each piece with its tick, each debulk with its time and vacuum."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.ledger.bodies import Debulked, Laid
from bagside.ledger.planned import PlannedDebulk, PlannedPly
from bagside.ledger.things import Build, Noted


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceActual:
    """One piece of a ply: its label, films that were on it, and its tick; None when it was never ticked."""

    label: str
    films: int
    tick: Noted[Laid] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyActual:
    """One ply: number from 1, cloth, area as cut [m²], and its pieces."""

    number: int
    material: str
    area: float
    pieces: tuple[PieceActual, ...]

    @property
    def films_planned(self) -> int:
        """Backing films that came with its pieces."""
        return sum(p.films for p in self.pieces)

    @property
    def films(self) -> int:
        """Backing films that were counted off."""
        return sum(p.tick.what.films for p in self.pieces if p.tick is not None)

    @property
    def laid(self) -> bool:
        """Whether every piece is ticked."""
        return all(p.tick is not None for p in self.pieces)

    @property
    def ticks(self) -> tuple[Noted[Laid], ...]:
        """Ticks of its pieces, in order of time."""
        return tuple(sorted((p.tick for p in self.pieces if p.tick is not None), key=lambda t: t.at))


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkActual:
    """A debulk after a ply: as planned, None when it was not; and as done, None when it never was."""

    after: int
    planned: PlannedDebulk | None
    done: Noted[Debulked] | None

    @property
    def long_enough(self) -> bool | None:
        """Whether it was under vacuum as long as planned; None when there is nothing to compare."""
        if self.planned is None or self.done is None:
            return None
        return self.done.what.seconds >= self.planned.seconds

    @property
    def deep_enough(self) -> bool | None:
        """Whether the vacuum was as planned; None when there is nothing to compare."""
        if self.planned is None or self.done is None:
            return None
        return self.done.what.pressure <= self.planned.pressure


def plies_of(build: Build) -> tuple[PlyActual, ...]:
    """Return each planned ply with the ticks of its pieces.

    Parameters
    ----------
    build
        The part.
    """
    ticks: dict[tuple[int, str], list[Noted[Laid]]] = {}
    for t in build.laid:
        ticks.setdefault((t.what.ply, t.what.piece), []).append(t)
    return tuple(
        PlyActual(number=p.number, material=p.material, area=p.area, pieces=_pieces(p, ticks))
        for p in build.planned.plies
    )


def _pieces(ply: PlannedPly, ticks: dict[tuple[int, str], list[Noted[Laid]]]) -> tuple[PieceActual, ...]:
    """Return the pieces of a ply; of a card that is laid several times each piece takes the next tick."""
    out = []
    for label in ply.pieces:
        mine = ticks.get((ply.number, label), [])
        out.append(PieceActual(label=label, films=ply.films, tick=mine.pop(0) if mine else None))
    return tuple(out)


def debulks_of(build: Build) -> tuple[DebulkActual, ...]:
    """Return each planned debulk and each that was done, in order of plies.

    Parameters
    ----------
    build
        The part.

    Notes
    -----
    When one was done more than once after a ply, the longest stands against the plan and the others beside it.
    """
    done: dict[int, list[Noted[Debulked]]] = {}
    for d in build.debulks:
        done.setdefault(d.what.after, []).append(d)
    planned = {d.after: d for d in build.planned.debulks}
    out: list[DebulkActual] = []
    for after in sorted({*planned, *done}):
        mine = done.get(after, [])
        best = max(mine, key=lambda d: d.what.seconds) if mine else None
        out.append(DebulkActual(after=after, planned=planned.get(after), done=best))
        out += [DebulkActual(after=after, planned=None, done=d) for d in mine if d is not best]
    return tuple(out)
