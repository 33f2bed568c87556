"""What tight corners ask of people: sentences with a mark at their place."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.findings import Basis, Finding, Severity
from bagside.mould.patch import Corner
from bagside.mould.radius import CornerVerdict
from bagside.quantity import shown

RULE = "6 mm where it is seen; 3 times the thickness and at least 5 mm where it carries; under 2 mm a filler"

_WHY = {
    CornerVerdict.HARD: "plies stay off the mould unless they can slide in: a line of resin, pinholes or a void",
    CornerVerdict.BRIDGES: "plies and bag span the corner and press nothing onto the mould under them",
    CornerVerdict.FILLER: "no ply follows so tight a bend; resin or a void fills it",
    CornerVerdict.CLOSED: "the stack is thicker than the radius, so its inner plies have no room to bend at all",
}
_DO = {
    CornerVerdict.HARD: "lay a slip joint in it: split the ply along the corner and overlap it 10 to 15 mm, so that it "
    "slides in under vacuum",
    CornerVerdict.BRIDGES: "lay a slip joint with 10 to 15 mm overlap in every ply and put a silicone pressure strip "
    "into it under the bag",
    CornerVerdict.FILLER: "roll a filler tow of unidirectional prepreg into it before the first ply, or make the "
    "mould's radius larger",
    CornerVerdict.CLOSED: "make the mould's radius larger; failing that, fill it with a rolled tow and split every ply "
    "along it",
}
_SEVERITY = {
    CornerVerdict.HARD: Severity.WATCH,
    CornerVerdict.BRIDGES: Severity.DECIDE,
    CornerVerdict.FILLER: Severity.DECIDE,
    CornerVerdict.CLOSED: Severity.DECIDE,
}


def corner_findings(corners: Sequence[Corner], edge_length: float) -> tuple[Finding, ...]:
    """Return what each tight corner asks: slip joint, pressure strip, filler, debulk, dart or a larger radius.

    Parameters
    ----------
    corners
        As `corners_of` returns them.
    edge_length
        Of the mesh they were found on [m]; a coarse mesh is reported, because small fillets do not show in it.

    Returns
    -------
    tuple of Finding
        In the order of the corners; each with the point it marks.
    """
    out: list[Finding] = []
    for c in corners:
        out.append(_laying(c))
        out.append(_debulk(c))
        if c.branches:
            out.append(_dart(c))
    if corners and any(c.needed < 3.0 * edge_length for c in corners):
        out.append(_coarse(corners, edge_length))
    return tuple(out)


def _laying(c: Corner) -> Finding:
    return Finding(
        severity=_SEVERITY[c.verdict],
        stage="mould",
        place=f"corner {c.id}, {shown(c.length, 'mm', 0)} long",
        what=f"inside radius {shown(c.radius, 'mm')} at {shown(c.included, '°', 0)}, {shown(c.needed, 'mm')} are "
        f"wanted; a bridge of {shown(c.gap, 'mm')} is left",
        why=_WHY[c.verdict],
        do=_DO[c.verdict],
        basis=Basis.COMMON,
        source=RULE,
        point=c.centre,
    )


def _debulk(c: Corner) -> Finding:
    if c.radius > c.thickness:
        share = shown(1.0 - c.thickness / c.radius, "%", 0)
        pressed = f"it presses at most {share} of the bag's pressure onto the mould"
    else:
        pressed = "nothing is left of the bag's pressure at the mould"
    return Finding(
        severity=Severity.SEEN,
        stage="mould",
        place=f"corner {c.id}",
        what=f"a stack of {shown(c.thickness, 'mm', 2)} in a radius of {shown(c.radius, 'mm')}: {pressed}",
        why="the bag presses on a smaller arc than the mould carries, so corners stay thick and rich in resin",
        do="debulk every 2 to 3 plies, warm at 40 to 50 °C for 10 to 20 min, pressing the corner in by hand first",
        basis=Basis.PUBLISHED,
        source="equilibrium of a frictionless ring, after Hubert & Poursartip 2001",
        point=c.centre,
    )


def _dart(c: Corner) -> Finding:
    return Finding(
        severity=Severity.WATCH,
        stage="mould",
        place=f"corner {c.id}",
        what=f"more than two walls meet in it at {c.branches} place{'s' if c.branches > 1 else ''}",
        why="a ply cannot slide in from two sides at once and folds or bridges there",
        do="cut a dart to within 3 to 5 mm of the meeting point, lap it 10 mm and cover it with the next ply",
        basis=Basis.COMMON,
        source="darts and relief cuts at corners of boxes",
        point=c.centre,
    )


def _coarse(corners: Sequence[Corner], edge_length: float) -> Finding:
    return Finding(
        severity=Severity.SEEN,
        stage="mould",
        place="mesh of the mould",
        what=f"edges are {shown(edge_length, 'mm')} long",
        why="radii under three edges are read from the bridge they leave, and shallow corners may not show at all",
        do="read the mould in with a finer mesh if small radii matter, or measure them with a radius gauge",
        basis=Basis.MEASURED,
        point=corners[0].centre,
    )
