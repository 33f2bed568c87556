"""What tight corners ask of people: sentences with a mark at their place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Basis, Finding, Severity
from bagside.mould.corner import Corner
from bagside.mould.laid import LaidCorner
from bagside.mould.radius import CornerVerdict
from bagside.quantity import shown

Floats = NDArray[np.float64]

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


def corner_findings(
    corners: Sequence[Corner], edge_length: float, laid: Sequence[LaidCorner] = ()
) -> tuple[Finding, ...]:
    """Return what each tight corner asks: slip joint, pressure strip, filler, debulk, dart or a larger radius.

    Parameters
    ----------
    corners
        As `corners_of` returns them.
    edge_length
        Of the mesh they were found on [m]; a coarse mesh is reported, because small fillets do not show in it.
    laid
        Corners with their plies, as `laid_corner` returns them, where plies are known: then the remedies are those
        ranked for that corner.

    Returns
    -------
    tuple of Finding
        In the order of the corners; each with the point it marks. Places where more than two walls meet come after
        them, each once.
    """
    known = {one.corner.id: one for one in laid}
    out: list[Finding] = []
    for c in corners:
        out.append(_planned(known[c.id]) if c.id in known else _laying(c))
        out.append(_debulk(c))
    out += [_dart(names, at) for names, at in _meetings(corners)]
    if corners and any(c.needed < 3.0 * edge_length for c in corners):
        out.append(_coarse(corners, edge_length))
    return tuple(out)


def _shape(c: Corner) -> str:
    return (
        f"inside radius {shown(c.radius, 'mm')} at {shown(c.included, '°', 0)}, {shown(c.needed, 'mm')} are "
        f"wanted; a bridge of {shown(c.gap, 'mm')} is left"
    )


def _laying(c: Corner) -> Finding:
    return Finding(
        severity=_SEVERITY[c.verdict],
        stage="mould",
        place=f"corner {c.id}, {shown(c.length, 'mm', 0)} long",
        what=_shape(c),
        why=_WHY[c.verdict],
        do=_DO[c.verdict],
        basis=Basis.COMMON,
        source=RULE,
        point=c.centre,
    )


def _planned(one: LaidCorner) -> Finding:
    """Return the finding for a corner whose plies are known: the two best remedies, each with its number."""
    c, verdict = one.corner, one.verdict
    if not one.remedies:
        return Finding(
            severity=Severity.SEEN,
            stage="mould",
            place=f"corner {c.id}, {shown(c.length, 'mm', 0)} long",
            what=_shape(c),
            why=f"the {len(one.plies)} plies that run through it follow",
            do="press them in from the middle of the corner outwards",
            basis=Basis.COMMON,
            source=RULE,
            point=c.centre,
        )
    slide = one.plies[-1].slide
    why = _WHY[verdict]
    if slide is not None and slide > 0:
        why += f"; {shown(0.5 * slide, 'mm', 2)} of cloth must slide in from each side for the last ply to lie down"
    best = [f"{remedy.kind.value} ({remedy.effect})" for remedy in one.remedies[:2]]
    return Finding(
        severity=_SEVERITY[verdict],
        stage="mould",
        place=f"corner {c.id}, {shown(c.length, 'mm', 0)} long",
        what=f"{_shape(c)}; {one.words}",
        why=why,
        do=f"first {best[0]}" + (f"; next {best[1]}" if len(best) > 1 else ""),
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


def _meetings(corners: Sequence[Corner]) -> list[tuple[list[str], Floats]]:
    """Return places where more than two walls meet, each with the corners that end there."""
    found: list[tuple[list[str], Floats]] = []
    for c in corners:
        for at in c.meetings:
            same = next((names for names, place in found if np.linalg.norm(place - at) < 2.0 * c.needed), None)
            if same is None:
                found.append(([c.id], at))
            elif c.id not in same:
                same.append(c.id)
    return found


def _dart(names: Sequence[str], at: Floats) -> Finding:
    return Finding(
        severity=Severity.WATCH,
        stage="mould",
        place=f"where corners {', '.join(names)} end" if len(names) > 1 else f"where corner {names[0]} ends",
        what="more than two walls meet",
        why="a ply cannot slide in from two sides at once and folds or bridges there",
        do="cut a dart to within 3 to 5 mm of the meeting point, lap it 10 mm and cover it with the next ply",
        basis=Basis.COMMON,
        source="darts and relief cuts at corners of boxes",
        point=(float(at[0]), float(at[1]), float(at[2])),
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
