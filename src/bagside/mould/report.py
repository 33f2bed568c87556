"""All that the mould says before a ply is cut: how it comes off, corners, heat, size and spring-in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry.surface import Surface
from bagside.mould.corner import Corner
from bagside.mould.corner_notes import corner_findings
from bagside.mould.draft import Piece, PieceDraft, draft_in_one_piece, draft_of
from bagside.mould.draft_notes import draft_findings
from bagside.mould.laid import LaidCorner
from bagside.mould.size import SizeChain, size_chain
from bagside.mould.spring import flange_shift, spring_in
from bagside.quantity import shown

WIDE_FLANGE = 0.040  # [m] flange at whose edge spring-in is stated
FELT = 0.0005  # [m] misfit that is felt when fitting
WAX_LIMIT = 333.15  # [K] release wax softens above
MOULD_MARGIN = 15.0  # [K] careful shops stay this far under the softening point


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolFacts:
    """What a mould is made of.

    Parameters
    ----------
    name
        Of the material.
    expansion
        Thermal [1/K].
    limit
        Hottest under vacuum [K].
    basis
        On what these rest.
    """

    name: str
    expansion: float
    limit: float
    basis: Basis = Basis.COMMON


@dataclass(frozen=True, slots=True, kw_only=True)
class LaminateFacts:
    """What of the laminate decides size and spring-in.

    Parameters
    ----------
    expansion
        In its plane [1/K].
    through
        Through its thickness [1/K].
    shrink_through, shrink_inplane
        Cure shrinkage after gelation as a positive fraction.
    basis
        On what these rest.
    """

    expansion: float = 3e-6
    through: float = 52e-6
    shrink_through: float = 0.006
    shrink_inplane: float = 0.0
    basis: Basis = Basis.COMMON


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldReport:
    """What the mould says.

    Parameters
    ----------
    area
        Of its surface [m²].
    pieces
        Draft of each piece.
    one_piece
        Draft of the whole pulled as one piece; None when there is no surface to look at.
    corners
        Tight inside corners, longest first.
    laid
        The same with the plies that run through them; corners that no ply runs through are left out.
    size
        The longest side of the surface as a size chain [m].
    spring_per_right_angle
        Closing of a bend of 90° [rad].
    heat_margin
        Tool's limit minus hottest temperature of the cycle [K].
    findings
        What it noticed.
    """

    area: float
    pieces: tuple[PieceDraft, ...]
    one_piece: PieceDraft | None
    corners: tuple[Corner, ...]
    laid: tuple[LaidCorner, ...]
    size: SizeChain
    spring_per_right_angle: float
    heat_margin: float
    findings: tuple[Finding, ...]


def mould_report(
    surface: Surface,
    pieces: Sequence[Piece],
    corners: Sequence[Corner],
    *,
    tool: ToolFacts,
    gel_temperature: float,
    hottest: float,
    room_temperature: float = 293.15,
    laminate: LaminateFacts | None = None,
    laid: Sequence[LaidCorner] = (),
) -> MouldReport:
    """Return all that the mould says before a ply is cut.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    pieces
        Pieces of the mould as `draft_of` wants them; empty for one piece.
    corners
        As `corners_of` returns them for this surface.
    tool
        What the mould is made of.
    gel_temperature
        At which the part's shape sets [K].
    hottest
        Hottest the mould gets in the cycle [K].
    room_temperature
        At which the part is measured [K].
    laminate
        Expansion and shrinkage of the laminate; common values when not stated.
    laid
        Corners with the plies that run through them, as `laid_corner` returns them.

    Returns
    -------
    MouldReport

    Raises
    ------
    InputError
        When the gel temperature lies below room temperature or above the hottest one, or a piece is wrong.
    """
    heat = measured_report(
        float(max(surface.size)),
        surface.area,
        tool=tool,
        gel_temperature=gel_temperature,
        hottest=hottest,
        room_temperature=room_temperature,
        laminate=laminate,
    )
    drafts = draft_of(surface, pieces)
    whole = draft_in_one_piece(surface)
    findings = [
        *draft_findings(drafts, surface.area),
        *corner_findings(corners, surface.edge_length, laid),
        *heat.findings,
    ]
    if pieces and not whole.locked and len(pieces) > 1:
        findings.append(_needless(whole, len(pieces)))
    return replace(
        heat, pieces=drafts, one_piece=whole, corners=tuple(corners), laid=tuple(laid), findings=tuple(findings)
    )


def measured_report(
    longest: float,
    area: float,
    *,
    tool: ToolFacts,
    gel_temperature: float,
    hottest: float,
    room_temperature: float = 293.15,
    laminate: LaminateFacts | None = None,
) -> MouldReport:
    """Return what a mould says of which only the size is known: heat, size and spring-in.

    Parameters
    ----------
    longest
        Its longest side [m].
    area
        Of its surface [m²].
    tool, gel_temperature, hottest, room_temperature, laminate
        As for `mould_report`.

    Returns
    -------
    MouldReport
        Without draft and corners.

    Raises
    ------
    InputError
        When the gel temperature lies below room temperature or above the hottest one, or the side has no length.
    """
    if not room_temperature <= gel_temperature <= hottest:
        raise InputError.one(
            "cure",
            f"gel at {shown(gel_temperature, '°C', 0)}, hottest {shown(hottest, '°C', 0)}",
            "a gel temperature between room temperature and the hottest of the cycle is wanted",
        )
    facts = LaminateFacts() if laminate is None else laminate
    rise = gel_temperature - room_temperature
    chain = size_chain(longest, facts.expansion, tool.expansion, rise)
    spring = spring_in(math.pi / 2, facts.expansion, facts.through, -rise, facts.shrink_through, facts.shrink_inplane)
    return MouldReport(
        area=area,
        pieces=(),
        one_piece=None,
        corners=(),
        laid=(),
        size=chain,
        spring_per_right_angle=spring,
        heat_margin=tool.limit - hottest,
        findings=(*_heat(tool, hottest), *_size(chain, tool, rise, facts), *_spring(spring, rise, facts)),
    )


def _heat(tool: ToolFacts, hottest: float) -> list[Finding]:
    margin = tool.limit - hottest
    if margin >= MOULD_MARGIN:
        return []
    over = margin < 0
    return [
        Finding(
            severity=Severity.STOP if over else Severity.WATCH,
            stage="mould",
            place=f"mould of {tool.name}",
            what=f"the cycle reaches {shown(hottest, '°C', 0)}, the mould stands {shown(tool.limit, '°C', 0)}",
            why="the mould softens, warps or gives off gas under the part"
            if over
            else "its surface loses gloss and creeps after some cycles",
            do="cure cooler and longer and post-cure off the mould, or build the mould from something that stands it"
            if over
            else "watch the lagging and the leading thermocouple, and count the mould's cycles",
            basis=tool.basis,
            source="limit under vacuum; careful shops keep 15 to 20 K under it",
        )
    ]


def _size(chain: SizeChain, tool: ToolFacts, rise: float, facts: LaminateFacts) -> list[Finding]:
    change = chain.mould - chain.part
    way = "long" if change < 0 else "short"
    if abs(change) < FELT:
        return []
    return [
        Finding(
            severity=Severity.DECIDE,
            stage="mould",
            place=f"mould of {tool.name}, longest side {shown(chain.part, 'mm', 0)}",
            what=f"a mould made to drawing size gives a part {shown(abs(change), 'mm')} too {way}",
            why=f"it grows {shown(tool.expansion, 'ppm/K')} over {shown(rise, 'K', 0)} before the resin sets, "
            f"the part shrinks back only {shown(facts.expansion, 'ppm/K')}",
            do=f"scale the mould by {chain.scale:.5f}, or drill and trim from a datum after cure",
            basis=facts.basis,
            source="free sliding after gelation, constant expansion",
        )
    ]


def _spring(spring: float, rise: float, facts: LaminateFacts) -> list[Finding]:
    shift = flange_shift(WIDE_FLANGE, spring)
    if abs(shift) < FELT:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="mould",
            place="bends of 90°",
            what=f"they close by {shown(spring, '°')}; a flange of 40 mm moves {shown(shift, 'mm')} at its edge",
            why=f"over {shown(rise, 'K', 0)} the laminate shrinks more through its thickness than along its fibres",
            do="open the mould's corners by that angle, measure the first part and correct with your own factor",
            basis=facts.basis,
            source="Radford & Rennick; Nelson & Cairns 1989",
        )
    ]


def _needless(whole: PieceDraft, count: int) -> Finding:
    return Finding(
        severity=Severity.SEEN,
        stage="mould",
        place="mould pieces",
        what=f"the surface comes off in one piece as well, with {shown(whole.smallest, '°')} draft",
        why=f"each of the {count} pieces adds a seam to seal and a witness line to flat",
        do="ask whether the split is needed",
        basis=Basis.MEASURED,
        point=whole.worst,
    )
