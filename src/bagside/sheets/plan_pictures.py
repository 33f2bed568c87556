"""The pictures of a plan, drawn from its values: mould, plies, section, nests, cure, calendar, money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from joblib import Parallel, delayed
from numpy.typing import NDArray

from bagside import geometry
from bagside.bagging import strips_along
from bagside.findings import Finding, Severity
from bagside.geometry import Surface
from bagside.planning.calendar import Slot
from bagside.planning.plan import BuildPlan
from bagside.sheets.joins_view import joins_of, joins_picture
from bagside.sheets.kept_angles import angle_words, kept_angles
from bagside.sheets.maps import Maps, maps_of
from bagside.sheets.picture import LineLook, MouldLine, MouldPoint, OnMould, PointLook, mould_picture
from bagside.sheets.ply_pictures import flat_height, ply_flats, ply_picture
from bagside.sheets.section import PlyInSection, section_view
from bagside.sheets.sight import Sight, around_part, hole_marks, net_edges, view_on
from bagside.sheets.timetable import Bar, Spell, bars, timetable
from bagside.sheets.view import View
from bagside.spec.material import ClothKind

Floats = NDArray[np.float64]
WIDE = 184.0  # [mm] between the margins of the book
UNDER = 0.0006  # [m] a point of the section this near a piece lies under it
RINGS = 6  # findings with a place that are numbered on a picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The pictures on the mould, the flat pieces and the sections, as SVG.

    Parameters
    ----------
    tilt
        Of the view [rad].
    cover, corners
        The part in its mould; the mould with its tight corners.
    plies, flats, sections
        One for each ply; what cannot be drawn is empty.
    section, section_words
        All plies laid, and what stands under that.
    maps
        What each ply is coloured by; None for one that is cut from cards.
    seconds
        A second map for each ply; empty when the first says it all.
    joins
        All joins of all plies; empty when there is none.
    angles
        How well each ply's threads keep their angle, in words.
    """

    tilt: float
    cover: str
    corners: str
    plies: tuple[str, ...]
    flats: tuple[str, ...]
    sections: tuple[str, ...]
    section: str
    section_words: str
    maps: tuple[Maps | None, ...]
    seconds: tuple[str, ...]
    joins: str
    angles: tuple[str, ...]


def blank(plies: int) -> Drawn:
    """Return the pictures of a plan that has no surface to draw on: none.

    Parameters
    ----------
    plies
        How many.
    """
    none = ("",) * plies
    return Drawn(
        tilt=0.0, cover="", corners="", plies=none, flats=none, sections=none, section="", section_words="",
        maps=(None,) * plies, seconds=none, joins="", angles=none,
    )  # fmt: skip


def drawn(sight: Sight) -> Drawn:
    """Return every picture that hangs on the mould and the plies alone; plies that lie alike share theirs."""
    mould = around_part(sight)
    view = view_on(mould)
    jobs = [
        delayed(cover_picture)(sight, mould, view, (150.0, 96.0)),
        delayed(corner_picture)(sight, mould, view, (124.0, 74.0)),
    ]
    alike: dict[tuple[object, ...], tuple[int, int]] = {}
    order = []
    count = len(sight.thicknesses)
    own = [sight.of_ply(k) for k in range(count)]
    places = dict(sight.cards)
    maps = tuple(None if k in places else maps_of([p.drape for p, _ in own[k]], sight.kinds[k]) for k in range(count))
    for k, pieces in enumerate(own):
        shown_maps = maps[k]
        if shown_maps is None:
            jobs.append(delayed(place_picture)(sight, mould, k, places[k], view, (150.0, 84.0)))
            order.append((len(jobs) - 1, -1))
            continue
        same: tuple[object, ...] = (id(pieces[0][0].drape),) if len(pieces) == 1 else ("ply", k)
        if same not in alike:
            two = shown_maps.second
            size = (150.0, 84.0) if two is None else (89.0, 84.0)
            first = delayed(ply_picture)(sight, mould, pieces, sight.ply_places[k], view, size, shown_maps.first)
            jobs.append(first)
            alike[same] = (len(jobs) - 1, -1)
            if two is not None:
                jobs.append(delayed(ply_picture)(sight, mould, pieces, (), view, size, two, marked=False))
                alike[same] = (len(jobs) - 2, len(jobs) - 1)
        order.append(alike[same])
    pictures = Parallel(n_jobs=2, prefer="threads")(jobs)
    joins = joins_of(sight.pieces, sight.seams)
    return Drawn(
        tilt=view.tilt,
        cover=pictures[0],
        corners=pictures[1],
        plies=tuple(pictures[k] for k, _ in order),
        flats=tuple(
            ""
            if (shown_maps := maps[k]) is None
            else ply_flats(
                pieces, sight.weights[k], shown_maps.first, (WIDE, flat_height([p for p, _ in pieces], sight.tall))
            )
            for k, pieces in enumerate(own)
        ),
        sections=tuple(ply_section(sight, k, (92.0, 33.0)) for k in range(count)),
        section=ply_section(sight, None, (WIDE, 40.0)),
        section_words="section A–A through the start of laying",
        maps=maps,
        seconds=tuple("" if k < 0 else pictures[k] for _, k in order),
        joins=joins_picture(mould, joins, net_edges(sight), view, (150.0, 96.0)) if joins else "",
        angles=tuple(_kept(sight, k) for k in range(count)),
    )


def _kept(sight: Sight, ply: int) -> str:
    drapes = [p.drape for p, _ in sight.of_ply(ply)]
    if not drapes:
        return ""
    warp, weft = kept_angles(drapes, sight.direction, sight.angles[ply], sight.rosette)
    return angle_words(warp, weft if sight.kinds[ply] is not ClothKind.UNIDIRECTIONAL else ())


def cover_picture(sight: Sight, mould: Surface, view: View, size: tuple[float, float]) -> str:
    """Return the part in its mould with net edge, holes and brackets."""
    part = OnMould(surface=sight.part)
    points = [*hole_marks(sight), *(MouldPoint(at=at, look=PointLook.DOT) for at in sight.brackets)]
    return mould_picture(
        mould, [part], lines=net_edges(sight), points=points, size_mm=size, view=view, title=sight.name
    ).svg


def place_picture(sight: Sight, mould: Surface, ply: int, place: Surface, view: View, size: tuple[float, float]) -> str:
    """Return where a ply that is cut from cards lies on the mould; how its cloth lies there is not known."""
    return mould_picture(
        mould,
        [OnMould(surface=place)],
        lines=net_edges(sight),
        points=hole_marks(sight),
        size_mm=size,
        view=view,
        title=f"place of ply {ply + 1} on the mould",
    ).svg


def corner_picture(sight: Sight, mould: Surface, view: View, size: tuple[float, float]) -> str:
    """Return the mould with its tight corners and numbered places of findings."""
    lines = net_edges(sight)
    points: list[MouldPoint] = []
    for corner in sight.corners:
        for a, b in corner.links:
            lines.append(MouldLine(points=np.asarray(corner.points)[[a, b]], look=LineLook.CUT))
        points.append(MouldPoint(at=corner.centre, look=PointLook.LABEL, words=corner.id))
    for number, finding in enumerate(sight.mould_places, 1):
        if finding.point is not None:
            points.append(MouldPoint(at=finding.point, look=PointLook.RING, words=str(number)))
    return mould_picture(
        mould, [], lines=lines, points=points, size_mm=size, view=view, title="mould and its tight corners"
    ).svg


def placed_findings(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings that have a place on the surface and ask for something, at most as many as fit."""
    return [f for f in findings if f.point is not None and f.severity is not Severity.SEEN][:RINGS]


def profile_of(sight: Sight) -> tuple[Floats, Floats]:
    """Return the section along the part's direction through the start: its points on the mould, and in the plane [m].

    Returns
    -------
    tuple of arrays
        Shape (k, 3) and (k, 2).
    """
    along = np.array(sight.direction)
    up = np.array(sight.side)
    along = along - (along @ up) * up
    along = along / np.linalg.norm(along)
    start = np.array(sight.start)
    lines = geometry.section(sight.work, tuple(start), tuple(np.cross(up, along)))
    line = max(lines, key=lambda p: float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()))
    if (line[-1] - line[0]) @ along < 0:
        line = line[::-1]
    return line, np.column_stack([(line - start) @ along, (line - start) @ up])


def ply_section(sight: Sight, ply: int | None, size: tuple[float, float]) -> str:
    """Return the section A–A; the ply in hand is marked, all are laid when None."""
    line, flat = profile_of(sight)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(flat, axis=0), axis=1))])
    laid = []
    for k, thickness in enumerate(sight.thicknesses):
        under = [p.surface for p in sight.pieces if p.ply == k] + [s for ply_, s in sight.cards if ply_ == k]
        spans = tuple(s for surface in under for s in _spans(line, run, surface))
        state = "laid" if ply is None or k < ply else "in hand" if k == ply else "to come"
        laid.append(PlyInSection(spans=spans, thickness=thickness, state=state))
    return section_view(flat, laid, size_mm=size)


def _spans(line: Floats, run: Floats, piece: Surface) -> list[tuple[float, float]]:
    at = np.linspace(0.0, run[-1], 800)
    points = np.column_stack([np.interp(at, run, line[:, k]) for k in range(3)])
    distance, _, _ = geometry.nearest(piece, points)
    under = np.concatenate([[False], distance < UNDER, [False]])
    begins = np.flatnonzero(under[1:] & ~under[:-1])
    ends = np.flatnonzero(under[:-1] & ~under[1:]) - 1
    return [(float(at[a]), float(at[b])) for a, b in zip(begins, ends, strict=True) if at[b] > at[a]]


def bag_picture(
    work: Surface, part: Surface, tape: Floats, pleats: Floats, spacing: float, size: tuple[float, float]
) -> str:
    """Return the whole mould with net edge, the line of tape, the places of its pleats and strips of edge breathing.

    Parameters
    ----------
    work, part
        The mould and the finished part.
    tape
        The line of tape, shape (k, 3) [m]; empty for an envelope.
    pleats
        Places of pleats, shape (p, 3) [m].
    spacing
        Between strips of edge breathing [m].
    size
        Room on paper [mm].
    """
    lines = [MouldLine(points=part.vertices[np.append(loop, loop[0])], look=LineLook.NET_EDGE) for loop in part.loops]
    if len(tape):
        lines.append(MouldLine(points=np.vstack([tape, tape[:1]]), look=LineLook.CUT))
    points = [
        MouldPoint(at=(float(x), float(y), float(z)), look=PointLook.RING, words=str(n))
        for n, (x, y, z) in enumerate(pleats, 1)
    ]
    edges = [part.vertices[loop] for loop in part.loops]
    if edges:
        outer = max(edges, key=lambda e: float(np.linalg.norm(np.diff(e, axis=0), axis=1).sum()))
        points += [
            MouldPoint(at=(float(x), float(y), float(z)), look=PointLook.DOT)
            for x, y, z in strips_along(outer, spacing)
        ]
    return mould_picture(
        work, [], lines=lines, points=points, size_mm=size, title="the line of tape and its pleats"
    ).svg


def calendar_picture(plan: BuildPlan, width: float) -> str:
    """Return the timetable: hands, the mould and the oven."""
    by_name = {s.name: s for s in plan.steps}
    spells: list[Spell] = []
    for slot in plan.calendar.slots:
        step = by_name[slot.task.rsplit(", part ", 1)[0]]
        words = _short(slot.task, step.stage)
        spells += [Spell(line="hands", words=words, start=a, end=_later(a, b)) for a, b in slot.spells]
        for tool in sorted(step.needs & {"mould", "oven"}):
            spells += _tool_spells(slot, tool, words)
    order = {"hands": 0, "mould": 1, "oven": 2}
    return timetable(sorted(spells, key=lambda s: (order[s.line], s.start)), width_mm=width)


def _later(a: datetime, b: datetime) -> datetime:
    return max(b, a + timedelta(minutes=1))


def _tool_spells(slot: Slot, tool: str, words: str) -> list[Spell]:
    found = [Spell(line=tool, words=words, start=a, end=_later(a, b)) for a, b in slot.spells if tool == "mould"]
    begin = slot.spells[-1][1] if slot.spells else slot.start
    if slot.end > begin:
        found.append(Spell(line=tool, words=words, start=begin, end=slot.end, attended=False))
    return found


def _short(task: str, stage: str) -> str:
    part = task.rsplit(", part ", 1)
    return f"{stage.lower()} {part[1]}" if len(part) > 1 else stage.lower()


def money_picture(plan: BuildPlan, width: float) -> str:
    """Return where the cost of one further part goes."""
    cost = plan.cost
    return bars(
        [
            Bar(words=group, value=share * cost.repeat, shown=f"{share * cost.repeat:.2f} {cost.currency}")
            for group, share in cost.shares()
        ],
        width_mm=width,
    )
