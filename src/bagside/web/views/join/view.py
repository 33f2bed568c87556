"""What the page of joining shows: brackets, holes and the joins of plies, on the part and each by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.findings import Basis
from bagside.geometry import Surface
from bagside.joining import BondPlan, HoleRule
from bagside.joining.foot import Foot
from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages
from bagside.sheets.book_plies import sight_of
from bagside.sheets.joined import JoinLine
from bagside.sheets.joins_view import apart, joins_of
from bagside.sheets.picture import MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.sight import Sight, around_part, hole_marks, net_edges, view_on
from bagside.spec.job import Bracket
from bagside.spec.material import Adhesive
from bagside.web.scene import Look, MeshData, MeshLine, MeshPoint, packed
from bagside.web.views.join.drawn import area_picture, bond_picture, hole_picture

SIZE = (150.0, 96.0)
"""Of the still picture [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BondShown:
    """A bracket and its bond.

    Parameters
    ----------
    plan
        Worked out.
    stated
        As the job states it.
    adhesive
        Values of the adhesive.
    basis, source
        On what its strength rests.
    side, area
        Drawings, with words in braces.
    """

    plan: BondPlan
    stated: Bracket
    adhesive: Adhesive
    basis: Basis
    source: str
    side: str
    area: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleShown:
    """A hole.

    Parameters
    ----------
    rule
        What the rules say.
    diameter
        [m].
    picture
        Drawing, with words in braces.
    """

    rule: HoleRule
    diameter: float
    picture: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinShown:
    """A join of a ply.

    Parameters
    ----------
    ply
        Number.
    name
        Letter of the join.
    pieces
        Names of the two it joins; one for a dart.
    kind
        ``overlap``, ``butt``, ``gap`` or ``slip``, as cut.
    width
        Of the overlap [m]; zero for none.
    length
        [m].
    """

    ply: int
    name: str
    pieces: tuple[str, ...]
    kind: str
    width: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinView:
    """What the page of joining shows.

    Parameters
    ----------
    mesh
        The part with joins, holes and brackets, packed; empty without a surface.
    still
        The same as a drawing; empty without a surface.
    bonds, holes, joins
        In the order they are stated.
    apart
        Lower ply, upper ply, and how far their joins stand apart [m].
    room
        Temperature where it is bonded [K].
    service
        Hottest in use where a bracket states none [K].
    parts
        How many are bonded.
    adhesives, feet
        What may be chosen.
    """

    mesh: bytes
    still: str
    bonds: tuple[BondShown, ...]
    holes: tuple[HoleShown, ...]
    joins: tuple[JoinShown, ...]
    apart: tuple[tuple[int, int, float], ...]
    room: float
    service: float
    parts: int
    adhesives: tuple[str, ...]
    feet: tuple[str, ...]


def view(plan: BuildPlan, stages: Stages) -> JoinView:
    """Return what the page of joining shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    job, library = plan.job, plan.library
    mesh, still = b"", ""
    lines: tuple[JoinLine, ...] = ()
    if plan.surface is not None and plan.part is not None:
        seams = tuple(p.seams for p in plan.pieces)
        lines = stages.run("Finding the joins", joins_of, plan.pieces, seams)
        sight = sight_of(plan)
        still = stages.run("Drawing the joins", still_picture, _only_drawn(sight), lines, job.brackets)
        mesh = stages.run("Packing the joins", packed_joins, plan.part, lines, job.brackets, sight)
    return JoinView(
        mesh=mesh,
        still=still,
        bonds=tuple(
            BondShown(
                plan=bond,
                stated=bracket,
                adhesive=library.adhesive[bracket.adhesive],
                basis=library.adhesive[bracket.adhesive].basis.of("shear_strength"),
                source=library.adhesive[bracket.adhesive].basis.source,
                side=bond_picture(bond, bracket.thickness),
                area=area_picture(bond, bracket.size[1]),
            )
            for bond, bracket in zip(plan.joints.bonds, job.brackets, strict=True)
        ),
        holes=tuple(
            HoleShown(rule=rule, diameter=hole.diameter, picture=hole_picture(rule, hole.diameter))
            for rule, hole in zip(plan.joints.holes, job.holes, strict=True)
        ),
        joins=_joins(plan),
        apart=tuple((a.lower, a.upper, a.distance) for a in apart(lines)) if lines else (),
        room=plan.workshop.room.temperature,
        service=job.cure.service,
        parts=job.quantity,
        adhesives=tuple(sorted(library.adhesive)),
        feet=tuple(f.value for f in Foot),
    )


def _only_drawn(sight: Sight) -> Sight:
    """Return what the picture is drawn from, and nothing else: a finding that moves does not draw it again."""
    return replace(sight, mould_places=(), ply_places=tuple(() for _ in sight.ply_places))


def still_picture(sight: Sight, lines: Sequence[JoinLine], brackets: Sequence[Bracket]) -> str:
    """Return the part with net edge, joins, holes and brackets.

    Parameters
    ----------
    sight
        Of the part.
    lines
        Joins of all plies.
    brackets
        As stated.
    """
    from bagside.sheets.joins_view import LOOKS
    from bagside.sheets.picture import MouldLine

    mould = around_part(sight)
    order = sorted({j.ply for j in lines})
    drawn = [
        MouldLine(points=j.points, look=LOOKS[order.index(j.ply) % len(LOOKS)], words=f"{j.ply} {j.name}")
        for j in lines
    ]
    points = [
        *hole_marks(sight),
        *(MouldPoint(at=b.at, look=PointLook.LABEL, words=b.name) for b in brackets),
    ]
    return mould_picture(
        mould, [OnMould(surface=sight.part)], lines=[*net_edges(sight), *drawn], points=points, size_mm=SIZE,
        view=view_on(mould), title="{picture}",
    ).svg  # fmt: skip


def packed_joins(part: Surface, lines: Sequence[JoinLine], brackets: Sequence[Bracket], sight: Sight) -> bytes:
    """Return the part for the browser, with its joins, holes and brackets.

    Parameters
    ----------
    part
        The finished part.
    lines
        Joins of all plies.
    brackets
        As stated.
    sight
        For its holes.
    """
    drawn = [
        MeshLine(points=1000.0 * j.points, look=Look.SEAM if k % 2 == 0 else Look.KNIFE, name=f"{j.ply} {j.name}")
        for k, j in enumerate(lines)
    ]
    points = [MeshPoint(at=_mm(h.at), look=PointLook.HOLE) for h in sight.holes]
    return packed(MeshData.of(part, lines=tuple(drawn), points=tuple(points), view=view_on(around_part(sight))))


def _mm(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return (1000.0 * at[0], 1000.0 * at[1], 1000.0 * at[2])


def _joins(plan: BuildPlan) -> tuple[JoinShown, ...]:
    """Return every join of every ply once, as `bagside.sheets.book_joins` tells them."""
    found = []
    for ply in sorted({p.ply for p in plan.pieces}):
        sides = [(p.label, s) for p in plan.pieces if p.ply == ply for s in p.seams]
        for label, seam in sorted(sides, key=lambda side: (len(side[1].name), side[1].name)):
            if seam.prime:
                continue
            mates = [(o, t) for o, t in sides if t.prime and t.name == seam.name and o in (seam.other, "")]
            below = mates[0][0] if mates else seam.other or label
            width = max([seam.width, *(s.width for _, s in mates)]) if seam.join != "butt" else 0.0
            found.append(
                JoinShown(
                    ply=ply + 1,
                    name=seam.name,
                    pieces=(label,) if seam.dart else (label, below),
                    kind=seam.join,
                    width=width,
                    length=seam.length,
                )
            )
    return tuple(found)
