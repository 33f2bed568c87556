"""What helps in an inside corner that bridges, ranked for that corner.

A slip joint, a dart, smaller pieces, a debulk in between, a strip or a tow that takes the corner up, a larger radius of
the mould: which one first depends on how tight the corner is against the plies, on whether its line is straight, bent,
closed or branching, and on what the part is for. Each remedy collects reasons for and against; a reason is worth one to
three points, set by judgement of common practice, without a source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from bagside.errors import InputError
from bagside.mould.bridge import WIDEST_TURN, tow_section
from bagside.mould.growth import BULK, PlyInCorner, radius_to_follow
from bagside.mould.radius import FILLER_RADIUS, CornerVerdict, needed_radius
from bagside.mould.remedy import CornerCase, Remedy, RemedyKind
from bagside.quantity import shown

DEBULK_EVERY = 3  # plies; common practice in corners is 2 to 3
DART_TAKES = math.radians(30.0)  # of surplus angle that woven cloth takes by shear between darts; an assumption
STRAIGHT = math.radians(20.0)  # a line that bends less over its length lets plies slide like a straight one
THICK = 0.0015  # [m] a stack from which settling counts; an assumption


def remedies_for(
    corner: CornerCase,
    plies: Sequence[float],
    growth: Sequence[PlyInCorner],
    *,
    visible: bool,
    structural: bool,
    bag_radius: float = 0.0,
    bulk: float = BULK,
) -> tuple[Remedy, ...]:
    """Return what helps in a corner, best first.

    Parameters
    ----------
    corner
        Its shape.
    plies
        Cured thickness of each ply through it, the first on the mould [m].
    growth
        As `plies_in_corner` returns it for the same corner and plies.
    visible, structural
        As for `needed_radius`.
    bag_radius, bulk
        As for `plies_in_corner`.

    Returns
    -------
    tuple of Remedy
        Empty when every ply follows; those that help nothing there are left out.

    Raises
    ------
    InputError
        When there is not one growth for each ply.
    """
    if len(plies) != len(growth) or not growth:
        raise InputError.one("corner", f"{len(plies)} plies, {len(growth)} measured", "one for each is wanted")
    last = growth[-1]
    if last.verdict is CornerVerdict.FOLLOWS:
        return ()
    facts = _Facts(corner, tuple(plies), tuple(growth), visible, structural, bag_radius, bulk)
    made = [_slip(facts), _dart(facts), _pieces(facts), _debulk(facts), _strip(facts), _tow(facts), _radius(facts)]
    order = list(RemedyKind)
    found = [remedy for remedy in made if remedy is not None]
    return tuple(sorted(found, key=lambda r: (-r.points, order.index(r.kind))))


@dataclass(slots=True)
class _Case:
    pro: list[tuple[int, str]] = field(default_factory=list)
    con: list[tuple[int, str]] = field(default_factory=list)

    def says(self, when: bool, points: int, words: str) -> None:
        if when:
            (self.pro if points > 0 else self.con).append((points, words))

    @property
    def points(self) -> int:
        return sum(p for p, _ in self.pro) + sum(p for p, _ in self.con)

    @property
    def why(self) -> str:
        good = [w for _, w in sorted(self.pro, key=lambda x: -x[0])]
        bad = [w for _, w in sorted(self.con, key=lambda x: x[0])]
        return "; ".join([*good, *(f"but {w}" for w in bad)])


@dataclass(frozen=True, slots=True)
class _Facts:
    corner: CornerCase
    plies: tuple[float, ...]
    growth: tuple[PlyInCorner, ...]
    visible: bool
    structural: bool
    bag_radius: float
    bulk: float

    @property
    def last(self) -> PlyInCorner:
        return self.growth[-1]

    @property
    def tightest(self) -> bool:
        """Whether no ply at all follows so tight a bend."""
        return self.corner.radius <= max(FILLER_RADIUS, self.plies[0])

    @property
    def needed(self) -> float:
        return radius_to_follow(
            self.plies, visible=self.visible, structural=self.structural, bag_radius=self.bag_radius
        )


def _slip(f: _Facts) -> Remedy:
    c, case = f.corner, _Case()
    straight = c.bending <= STRAIGHT
    slide = f.last.slide
    case.says(True, 3, "its two halves slide in under vacuum by themselves")
    case.says(straight, 1, "the corner runs straight, so a lap lies flat along it")
    case.says(f.last.verdict in (CornerVerdict.HARD, CornerVerdict.BRIDGES), 1, "the radius itself can be followed")
    case.says(not straight, -2, "the corner's line bends, and a lap along it puckers")
    case.says(f.visible, -1, "the join of a first ply is seen: leave that ply whole, or put its join at the edge")
    case.says(f.structural, -1, "laps of successive plies must be staggered to carry load")
    case.says(f.tightest, -2, "no ply follows so tight a bend, split or not")
    effect = "no cloth need slide in"
    if slide is not None and slide > 0:
        effect += f"; unsplit, the last ply wants {shown(0.5 * slide, 'mm', 2)} from each side"
    overlap = 0.0125 * c.length * len(f.plies)
    effect += f"; laps of 10 to 15 mm in every ply take {shown(overlap, 'cm²', 0)} of cloth"
    return Remedy(kind=RemedyKind.SLIP_JOINT, effect=effect, why=case.why, points=case.points)


def _dart(f: _Facts) -> Remedy | None:
    c, case = f.corner, _Case()
    if abs(c.surplus) < DART_TAKES and not c.meetings:
        return None
    count = math.ceil(abs(c.surplus) / DART_TAKES - 1e-9) - (not c.closed)
    case.says(c.meetings > 0, 2, "where more than two walls meet, a ply cannot slide in from both sides at once")
    case.says(abs(c.surplus) >= DART_TAKES, 2, "along its line there is more or less cloth than the walls take")
    case.says(c.closed, 1, "around a closed line cloth has nowhere to go")
    case.says(f.visible, -1, "its cut is seen in a first ply")
    case.says(f.tightest, -1, "it makes the corner no rounder")
    words = []
    if abs(c.surplus) >= DART_TAKES:
        left = shown(abs(c.surplus) / (count + (not c.closed)), "°", 0)
        how = f"{count} darts leave {left} between two" if count > 1 else f"one dart leaves {left} on either side"
        way = "too much along it" if c.surplus > 0 else "too little along it, so that cuts open"
        words.append(f"{shown(abs(c.surplus), '°', 0)} of cloth {way}: {how if count else 'shear takes them'}")
    if c.meetings:
        words.append(f"one to within 3 to 5 mm of each of {c.meetings} meeting points, lapped 10 mm")
    return Remedy(kind=RemedyKind.DART, effect="; ".join(words), why=case.why, points=case.points)


def _pieces(f: _Facts) -> Remedy | None:
    c, case = f.corner, _Case()
    if not (c.closed or c.meetings or abs(c.surplus) >= DART_TAKES):
        return None
    walls = c.meetings + 2 if not c.closed else 2
    case.says(c.closed, 2, "a piece for what the corner encloses needs to slide over one edge only")
    case.says(c.meetings > 1, 2, "it ends in other corners, so that one piece would span several")
    case.says(c.meetings == 1, 1, "it ends in other corners")
    far = abs(c.surplus) / DART_TAKES
    case.says(far >= 1, 1 + (far > 2), "cloth does not shear that far along the line")
    case.says(f.visible, -1, "every join is seen")
    case.says(f.structural, -1, "fibres end at every join")
    effect = f"{walls} pieces, none of which lies on more than two walls of this corner"
    return Remedy(kind=RemedyKind.SMALLER_PIECES, effect=effect, why=case.why, points=case.points)


def _debulk(f: _Facts) -> Remedy | None:
    n, total = len(f.plies), sum(f.plies)
    if n < 3:
        return None
    case = _Case()
    case.says(True, 1, "it settles few plies at a time while their tack still lets them slide")
    case.says(total >= THICK, 1, "the stack is thick, and in one go its upper plies sink furthest")
    case.says(n > 6, 1, f"{n} plies lie in it")
    first = sum(1 for p in f.growth if p.verdict is not f.last.verdict) + 1
    case.says(first > 1, 1, f"the corner gets tighter with each ply and {f.last.verdict.value} from ply {first}")
    case.says(f.tightest, -1, "the first ply does not follow to begin with")
    turn = f.corner.turn
    each = f.bulk * turn * (max(sum(f.plies[k : k + DEBULK_EVERY]) for k in range(n)))
    whole = f.bulk * turn * total
    effect = (
        f"every {DEBULK_EVERY} plies the uppermost one slides {shown(0.5 * each, 'mm', 2)} from each side instead of "
        f"{shown(0.5 * whole, 'mm', 2)} at the end, {shown(f.bulk, '%', 0)} of bulk taken"
    )
    return Remedy(kind=RemedyKind.DEBULK, effect=effect, why=case.why, points=case.points)


def _strip(f: _Facts) -> Remedy:
    """A strip's own ring: pressure on the mould times radius is the bag's times the strip's outer radius."""
    c, case = f.corner, _Case()
    outer = max(c.radius, f.last.left, f.bag_radius)
    unreached = f.last.pressure == 0.0
    case.says(f.last.left > 0.0, 1, "it carries the bag's pressure into the corner")
    case.says(f.last.verdict is CornerVerdict.BRIDGES, 2, "plies follow under pressure; the bag alone gives too little")
    case.says(unreached and f.last.left > 0, 2, "the bag does not reach into it")
    case.says(f.last.pressure < 0.7 and f.last.left > 0, 1, "little of the bag's pressure reaches the mould")
    case.says(c.closed or c.bending > STRAIGHT, -1, "it has to be cast to the bent line")
    case.says(f.last.left <= 0.0, -2, "above the last ply no hollow is left for it")
    case.says(f.tightest, -1, "it does not bend a ply tighter than it bends")
    if c.radius > 0 and f.last.left > 0:
        effect = (
            f"a strip of {shown(outer, 'mm')} outer radius presses the bag's whole pressure onto the mould; without it "
            f"{shown(f.last.pressure, '%', 0)} at most"
        )
        if outer > c.radius:
            effect = (
                f"a strip of {shown(outer, 'mm')} outer radius presses {shown(outer / c.radius, '%', 0)} of the bag's "
                f"pressure onto the mould; without it {shown(f.last.pressure, '%', 0)} at most"
            )
    else:
        effect = "fills the hollow, so that the bag cannot burst into it; it does not press plies into a crease"
    return Remedy(kind=RemedyKind.STRIP, effect=effect, why=case.why, points=case.points)


def _tow(f: _Facts) -> Remedy | None:
    c, case = f.corner, _Case()
    if c.turn > WIDEST_TURN or (f.last.verdict is CornerVerdict.HARD and not f.tightest):
        return None
    made = max(f.needed, c.radius)
    case.says(f.tightest, 3, "no ply follows so tight a bend, so it is filled before the first one")
    case.says(f.last.verdict is CornerVerdict.CLOSED, 2, "the stack is thicker than the radius and needs another one")
    case.says(True, 1, "plies no longer have to bend so far")
    case.says(f.visible, -1, "the tow shows along the edge")
    case.says(c.bending > STRAIGHT, -1, "a tow along a bent line has to be laid in short lengths")
    area = tow_section(c.radius, c.turn, made)
    effect = f"makes {shown(made, 'mm')} of radius with {1e6 * area:.1f} mm² of unidirectional tow in section"
    return Remedy(kind=RemedyKind.TOW, effect=effect, why=case.why, points=case.points)


def _radius(f: _Facts) -> Remedy:
    case = _Case()
    case.says(f.last.verdict is CornerVerdict.CLOSED, 2, "the stack leaves no radius at all")
    case.says(f.tightest, 2, "no ply follows so tight a bend")
    case.says(True, 1, "it helps every part made on this mould")
    case.says(f.structural, 1, "fibres run through, whole")
    case.says(True, -2, "the mould or its pattern has to be changed, and the part's edge with it")
    rule = float(needed_radius(sum(f.plies), visible=f.visible, structural=f.structural))
    effect = f"{shown(f.needed, 'mm')} instead of {shown(f.corner.radius, 'mm')}: every ply follows"
    if f.needed > rule + 1e-9:
        effect += f"; the rule for the mould alone asks {shown(rule, 'mm')}"
    return Remedy(kind=RemedyKind.RADIUS, effect=effect, why=case.why, points=case.points)
