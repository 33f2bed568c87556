"""The rows of the list of plies: what the file says now, with the numbers that are known of it."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.spec.beside import job_from
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.lines import Line, Pieces
from bagside.spec.material import ClothKind
from bagside.web.pages.plies.ply_list import Row
from bagside.web.views.plies_shown import PliesView, PlyShown, stated_of
from bagside.web.words.tongue import Tongue

_NUMBER_SIGN = {"cm²": 1e4, "in²": 1.0 / 0.0254**2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """One ply as the file states it now.

    Parameters
    ----------
    ply
        The ply.
    stated
        Its place in the file, from 0; None when a build-up or another job states it.
    shown
        What is known of it; None when nothing is.
    fresh
        Whether that was worked out for it as it is stated now.
    """

    ply: Ply
    stated: int | None
    shown: PlyShown | None
    fresh: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """The plies as the file states them now.

    Parameters
    ----------
    job
        As stated; None when it cannot be read, or the plies are another job's.
    plies
        In laying order.
    """

    job: Job | None
    plies: tuple[Laid, ...]


def stack_of(text: str, library: Library | None, view: PliesView) -> Stack:
    """Return the plies of a job's file with what a view knows of each.

    Parameters
    ----------
    text
        TOML.
    library
        Materials; None when they cannot be read.
    view
        Made from the file as it stands, or as it stood before.
    """
    from bagside.planning.build_ups import with_build_ups  # loads geometry, which an open page must not wait for

    job = None if view.twin_of else _job(text)
    built = None
    if job is not None and library is not None:
        try:
            built = with_build_ups(job, library)
        except (InputError, KeyError):
            built = None
    if job is None or built is None:
        return Stack(job=job, plies=tuple(Laid(ply=p.ply, stated=None, shown=p, fresh=True) for p in view.plies))
    free = list(view.plies)
    same = _context(built) == _context(view.job)
    own: list[PlyShown | None] = []
    for k, ply in enumerate(built.plies):
        lines = _lines_of(built, ply)
        held = next(
            (
                p
                for p in free
                if same and p.ply == ply and _lines_of(view.job, p.ply) == lines and _below_same(built, k, view, p)
            ),
            None,
        )
        if held is not None:
            free.remove(held)
        own.append(held)
    stated = stated_of(built.plies, job.plies)
    laid = []
    for k, (ply, known) in enumerate(zip(built.plies, own, strict=True)):
        shown = known
        if shown is None:  # the nearest of what is left: what was changed stands where it stood
            shown = next((p for p in free if p.stated == stated[k] and p.stated is not None), None)
            if shown is not None:
                free.remove(shown)
        laid.append(Laid(ply=ply, stated=stated[k], shown=shown, fresh=known is not None))
    return Stack(job=job, plies=tuple(laid))


def _job(text: str) -> Job | None:
    try:
        return job_from(tomllib.loads(text), "job.toml")
    except (InputError, tomllib.TOMLDecodeError):
        return None


def _context(job: Job) -> tuple[object, ...]:
    """Return what the shape of every ply hangs on besides itself."""
    near = {name for r in job.regions.values() for n in (r.near, r.away) if n is not None for name in n.lines}
    lines = {name: job.lines.get(name) for name in near}
    return (job.mould, job.regions, lines, job.holes, job.laying, job.templates, job.measured, job.part)


def _lines_of(job: Job, ply: Ply) -> dict[str, Line | None]:
    """Return the lines that a ply is cut or laid along."""
    names = {cut.line for cut in ply.cuts} | ({ply.laid_first} - {""})
    return {name: job.lines.get(name) for name in names}


def _below_same(built: Job, k: int, view: PliesView, shown: PlyShown) -> bool:
    """Whether the plies under one are cut as they were: joins move aside from those below."""
    if not (built.plies[k].cuts or built.plies[k].pieces is Pieces.AUTO):
        return True
    before = [p.ply for p in view.plies[: view.plies.index(shown)]]

    def cut(plies: Sequence[Ply]) -> list[Ply]:
        return [p for p in plies if p.cuts or p.pieces is Pieces.AUTO]

    return cut(before) == cut(built.plies[:k])


def rows_of(stack: Stack, library: Library | None, hand: int, tongue: Tongue) -> tuple[Row, ...]:
    """Return the rows of the list.

    Parameters
    ----------
    stack
        The plies.
    library
        Says what kind of cloth each is.
    hand
        The one in hand.
    tongue
        Of the reader.
    """
    say = tongue.say
    seen: dict[str, int] = {}
    rows = []
    for k, laid in enumerate(stack.plies):
        ply, shown = laid.ply, laid.shown
        cloth = None if library is None else library.prepreg.get(ply.material)
        kind = ClothKind.WOVEN if cloth is None else cloth.kind
        angle = angle_text(ply.angle, kind)
        labels = [] if shown is None else [p.label for p in shown.pieces]
        where = ply.region if len(labels) < 2 else f"{ply.region}, {_joined(labels, k)}"
        key = f"{ply.material} {ply.angle:.6f} {ply.region} {','.join(c.line for c in ply.cuts)}"
        seen[key] = seen.get(key, 0) + 1
        shear = None if shown is None else shown.shear
        rows.append(
            Row(
                key=f"{key} {seen[key]}",
                number=str(k + 1),
                name=say("plies.row", number=k + 1, angle=angle, material=ply.material, where=ply.region),
                glyph=glyph(ply.angle, kind),
                angle=angle,
                where=f"{where}, {ply.material}",
                pieces="" if shown is None else str(shown.count),
                area="" if shown is None else area_number(shown.area, tongue),
                shear="–" if shear is None else tongue.angle(shear),
                time="–" if shown is None or shown.time is None else tongue.number(shown.time / 60.0),
                state=_state(laid, k == hand, stack.job is not None, tongue),
                moves=say("plies.moves", number=k + 1),
                movable=laid.stated is not None and stack.job is not None,
                stale=not laid.fresh,
                weighty=laid.fresh and _weighty(shown),
            )
        )
    return tuple(rows)


def _weighty(shown: PlyShown | None) -> bool:
    return shown is not None and any(f.severity in (Severity.STOP, Severity.DECIDE) for f in shown.findings)


def _joined(labels: Sequence[str], k: int) -> str:
    """Return the pieces of a ply in short, numbered as it lies now."""
    own = [f"{k + 1}{label.lstrip('0123456789')}" for label in labels]
    return " + ".join(own) if len(own) < 4 else f"{own[0]} … {own[-1]}"


def _state(laid: Laid, hand: bool, own: bool, tongue: Tongue) -> str:
    if not laid.fresh:
        return tongue.say("plies.state_waits")
    if hand:
        return tongue.say("plies.state_here")
    return tongue.say("plies.state_build_up") if own and laid.stated is None else ""


def area_number(square_metres: float, tongue: Tongue) -> str:
    """Return an area without its unit, which stands over the column.

    Parameters
    ----------
    square_metres
        [m²].
    tongue
        Of the reader.
    """
    return tongue.number(square_metres * _NUMBER_SIGN[area_unit(tongue)], 1 if area_unit(tongue) == "in²" else 0)


def area_unit(tongue: Tongue) -> str:
    """Return the unit of the column of areas.

    Parameters
    ----------
    tongue
        Of the reader.
    """
    return "in²" if tongue.area(0.01).endswith("in²") else "cm²"


def angle_text(angle: float, kind: ClothKind) -> str:
    """Return how a ply lies as people say it: ``0/90``, ``±45``, ``30°``.

    Parameters
    ----------
    angle
        Of the warp [rad].
    kind
        Of the cloth.
    """
    degrees = round(math.degrees(angle)) % 180
    if kind is ClothKind.WOVEN and degrees in (0, 90):
        return "0/90"
    if kind is ClothKind.WOVEN and degrees in (45, 135):
        return "±45"
    return f"{degrees - 180 if degrees > 90 else degrees}°".replace("-", "\u2212")


def glyph(angle: float, kind: ClothKind) -> str:
    """Return the directions of a ply's yarns as a small drawing: warp solid, weft dashed.

    Parameters
    ----------
    angle
        Of the warp, counter-clockwise from the part's zero direction, which points right [rad].
    kind
        Of the cloth: a tape has no weft.
    """
    weft = "" if kind is ClothKind.UNIDIRECTIONAL else '<path d="M0 -7V7" stroke-width="1.1" stroke-dasharray="2 1.6"/>'
    return (
        '<svg class="own" viewBox="-8 -8 16 16" width="16" height="16" aria-hidden="true"><g fill="none" '
        f'stroke="currentColor" transform="rotate({-math.degrees(angle):.1f})"><path d="M-7 0H7" stroke-width="1.8"/>'
        f"{weft}</g></svg>"
    )
