"""From card templates to flat pieces.

A template is drawn as the ply is seen on the mould from the laminate side, with its x axis along the part's zero
direction. Its piece is turned so that x is the warp, and is still seen from that side, the side of the film that is
peeled last. Of a cloth with one resin-rich face that is also how it lies on the table with that face down and goes to
the mould; one laid with that face to the bag is cut as its mirror image there (`bagside.planning.as_cut.as_cut`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting import FlatPiece
from bagside.cutting.piece import ALONG_THE_WARP, turned
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import cards, polygon
from bagside.geometry.outline_files import FlatOutline, read_outlines
from bagside.geometry.outline_mend import simple
from bagside.planning.labels import piece_labels
from bagside.quantity import shown
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.material import ClothKind
from bagside.spec.template import Card, Template

Floats = NDArray[np.float64]

SAME_WAY = math.radians(1.0)  # a stated and a drawn warp that differ by more contradict each other


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatTemplate:
    """A template as it was read.

    Parameters
    ----------
    loops
        Outline first, then holes, in the template's own axes, each shape (k, 2) [m].
    warp
        Where the warp points from its x axis, when it is stated or drawn on it [rad]; None when the ply's angle says.
    findings
        What was mended in its drawing.
    """

    loops: tuple[Floats, ...]
    warp: float | None = None
    findings: tuple[Finding, ...] = ()


def template_loops(template: Template, folder: Path, place: str) -> FlatTemplate:
    """Return the outline of a template.

    Parameters
    ----------
    template
        As stated.
    folder
        Where its drawing lies.
    place
        Where it is stated, for messages: ``job.toml, template rim``.

    Raises
    ------
    InputError
        When its sizes do not go together, its file cannot be used or holds several outlines, or its warp is stated
        otherwise than it is drawn.
    """
    if template.file:
        return _from_file(template, folder, place)
    warp = template.warp
    if template.points:
        outline, mended = simple(np.array(template.points), f"{place}, points")
        own: tuple[Floats, ...] = (outline,)
    else:
        mended = ""
        try:
            own = _card(template)
        except ValueError as error:
            raise InputError.one(place, "", str(error), "state its size anew") from error
    holes = [simple(np.array(h), f"{place}, hole {n}") for n, h in enumerate(template.holes, 1)]
    area = polygon(own)
    for n, (hole, _) in enumerate(holes, 1):
        if not area.contains(polygon((hole,))):
            wanted = "it must lie within the outline"
            raise InputError.one(f"{place}, hole {n}", "", wanted, "check its corners against the outline's")
    notes = [n for n in (mended, *(f"of a hole: {m}" for _, m in holes if m)) if n]
    return FlatTemplate(loops=(*own, *(h for h, _ in holes)), warp=warp, findings=_mended(notes, place))


def template_pieces(ply_number: int, ply: Ply, job: Job, folder: Path, library: Library) -> tuple[FlatPiece, ...]:
    """Return the flat pieces of a ply that is cut from templates, for every part of the job.

    Parameters
    ----------
    ply_number
        Its number, from 1 in the order of laying.
    ply
        As stated.
    job, library
        As stated.
    folder
        Where drawings lie.

    Returns
    -------
    tuple
        One piece for each of its templates, as seen from the laminate side, x along the warp; labels 3, or 3A and 3B
        when there are several.

    Raises
    ------
    InputError
        As for `template_loops`.
    """
    cloth = library.prepreg[ply.material]
    shows = job.laying.show and ply_number == 1
    out: list[FlatPiece] = []
    for label, cut in zip(piece_labels(ply_number, len(ply.templates)), ply.templates, strict=True):
        flat = template_loops(job.templates[cut.template], folder, f"job.toml, template {cut.template}")
        warp = ply.angle if flat.warp is None else flat.warp
        kits = tuple(str(part + 1) for part in range(job.quantity) for _ in range(cut.copies))
        out.append(
            FlatPiece(
                label=label,
                material=ply.material,
                loops=tuple(turned(loop, -warp) for loop in flat.loops),
                turns=None if cloth.kind is ClothKind.VEIL else ALONG_THE_WARP,
                marks=_marks(flat, job.templates[cut.template]),
                quantity=cut.copies * job.quantity,
                kits=kits,
                ply=ply_number,
                visible=shows,
            )
        )
    return tuple(out)


def template_findings(job: Job, folder: Path) -> tuple[Finding, ...]:
    """Return what was mended in the drawings of the templates that plies are cut from.

    Parameters
    ----------
    job
        As stated.
    folder
        Where drawings lie.

    Raises
    ------
    InputError
        As for `template_loops`.
    """
    names = dict.fromkeys(cut.template for ply in job.plies for cut in ply.templates)
    return tuple(
        finding
        for name in names
        for finding in template_loops(job.templates[name], folder, f"job.toml, template {name}").findings
    )


def _card(template: Template) -> tuple[Floats, ...]:
    if template.shape is Card.DISC and template.diameter is not None:
        return cards.disc(template.diameter)
    if template.shape is Card.RING and template.diameter is not None and template.hole is not None:
        return cards.ring(template.diameter, template.hole)
    if template.size is not None:
        if template.shape is Card.RECTANGLE:
            return cards.rectangle(template.size, template.corner)
        if template.shape is Card.STRIP:
            return cards.strip(template.size, template.corner)
        if template.shape is Card.GUSSET:
            return cards.gusset(template.size, template.corner)
    raise ValueError("neither a shape with its size, nor points, nor a file says what it looks like")


def _marks(flat: FlatTemplate, template: Template) -> tuple[tuple[str, tuple[float, float]], ...]:
    """Return where to start laying: the middle of a plain shape that has cloth there, as over a hole to be drilled."""
    middle = template.shape is not None and polygon(flat.loops).contains(shapely.Point(0.0, 0.0))
    return (("start", (0.0, 0.0)),) if middle else ()


def _from_file(template: Template, folder: Path, place: str) -> FlatTemplate:
    try:
        found = read_outlines(folder / template.file, template.unit, template.layer)
    except InputError as error:
        raise InputError(replace(p, place=f"{place}, file {p.place}") for p in error.problems) from error
    if len(found) != 1:
        raise InputError.one(f"{place}, file", _listed(found), "one outline is wanted", _choose(found))
    (one,) = found
    drawn, stated = one.warp, template.warp
    if drawn is not None and stated is not None:
        off = abs(math.remainder(drawn - stated, math.pi))
        if off > SAME_WAY:
            raise InputError.one(
                f"{place}, warp",
                f"{shown(stated, '°', 0)} is stated, {shown(drawn, '°', 0)} is drawn in {template.file}",
                "one of the two is wrong",
                "leave warp out if the drawing is right, else take its line out of the drawing",
            )
    warp = drawn if stated is None else stated
    return FlatTemplate(loops=one.loops, warp=warp, findings=_mended(one.mended, f"{place}, file {template.file}"))


def _listed(found: Sequence[FlatOutline]) -> str:
    said = []
    for one in found[:6]:
        a, b = np.ptp(one.loops[0], axis=0)
        said.append(f"{'one' if not one.name else repr(one.name)} of {1000 * a:.0f} by {1000 * b:.0f} mm")
    more = f" and {len(found) - 6} more" if len(found) > 6 else ""
    return f"{len(found)} outlines: {', '.join(said)}{more}".replace("'", '"')


def _choose(found: Sequence[FlatOutline]) -> str:
    names = [o.name for o in found if o.name]
    alone = [n for n in dict.fromkeys(names) if names.count(n) == 1]
    if alone:
        return f'state which, as in layer = "{alone[0]}"'
    return "put the one that is meant on a layer of its own and state layer"


def _mended(notes: Sequence[str], place: str) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            severity=Severity.SEEN,
            stage="cutting",
            place=place,
            what=note,
            why="the outline that is cut is the mended one",
            do="look at the printed template before cutting, and mend the drawing if it is not what is meant",
            basis=Basis.MEASURED,
        )
        for note in notes
    )
