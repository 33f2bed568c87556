"""What the bench notices about a nest and a person should know."""

from __future__ import annotations

import math
from collections.abc import Iterable

from bagside.cutting.layout import Nest, Placement
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

USED_WELL = 0.60
"""Share of the cloth below which a look is worth it: up to 40 % is discarded in practice."""
CLOSE = 0.003
"""Free width at a piece nearly as wide as the cloth below which the roll is measured first [m] (common practice)."""


def nest_findings(nest: Nest, pull: float, *, used_well: float = USED_WELL) -> tuple[Finding, ...]:
    """Return what a person should know about a nest before cutting.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length to pull off the roll [m].
    used_well
        Share of the cloth below which a look is worth it.

    Returns
    -------
    tuple of Finding
        Cloth too short (stop) and what then no longer comes from one batch (decide); cloth poorly used, an engine that
        failed, pieces that just fit its width, copies cut face down (watch); copies turned off the thread, a search
        that was stopped (seen).
    """
    found = [
        _too_short(nest, pull),
        _from_two_batches(nest, pull),
        _poorly_used(nest, pull, used_well),
        _engine_failed(nest),
        _just_as_wide(nest),
        _face_down(nest),
        _off_the_thread(nest),
        _stopped(nest),
    ]
    return tuple(f for f in found if f is not None)


def _finding(
    nest: Nest,
    severity: Severity,
    what: str,
    why: str,
    do: str,
    basis: Basis = Basis.MEASURED,
    source: str = "",
) -> Finding:
    place = f"nest of {nest.cloth.material}"
    return Finding(
        severity=severity, stage="cutting", place=place, what=what, why=why, do=do, basis=basis, source=source
    )


def _too_short(nest: Nest, pull: float) -> Finding | None:
    available = nest.cloth.length_available
    if available is None or pull <= available:
        return None
    return _finding(
        nest,
        Severity.STOP,
        f"{shown(pull, 'm', 2)} of cloth are wanted, {shown(available, 'm', 2)} are on the roll",
        f"the roll ends {shown(pull - available, 'm', 2)} too early; the last pieces cannot be cut",
        "buy cloth, cut fewer kits, or nest longer",
        source="length of the roll as stated in the workshop's stock",
    )


def _from_two_batches(nest: Nest, pull: float) -> Finding | None:
    """Return that a part would show two batches when the rest is cut from another roll."""
    available = nest.cloth.length_available
    if available is None or pull <= available:
        return None
    job = {p.label: p.job for p in nest.pieces if p.visible}
    inside: set[tuple[str, str]] = set()
    beyond: set[tuple[str, str]] = set()
    labels: set[str] = set()
    for p in nest.placements:
        if p.label in job:
            lies_beyond = float(nest.placed_loops(p)[0][:, 0].max()) > available
            (beyond if lies_beyond else inside).add((job[p.label], nest.kit(p)))
            labels |= {p.label} if lies_beyond else set()
    if not inside & beyond:
        return None
    batch = f"batch {nest.cloth.batch}" if nest.cloth.batch else "this roll"
    return _finding(
        nest,
        Severity.DECIDE,
        f"{_listed(labels)} would not come from {batch} like the others that show on the part",
        "the weave and the colour of two batches differ enough to be seen on one surface",
        "cut all pieces that show on one part from one roll, and the hidden ones from the rest",
        basis=Basis.COMMON,
    )


def _poorly_used(nest: Nest, pull: float, used_well: float) -> Finding | None:
    cloth = nest.cloth.width * pull
    used = nest.area_of_pieces / cloth
    if used >= used_well:
        return None
    return _finding(
        nest,
        Severity.WATCH,
        f"{shown(used, '%', 0)} of {shown(pull, 'm', 2)} of cloth become pieces",
        f"{shown(cloth - nest.area_of_pieces, 'm²', 2)} are paid for and left over",
        "cut several kits together, nest longer, or use offcuts for the small pieces",
        basis=Basis.COMMON,
        source="30 to 40 % of the cloth is discarded where pieces lie at ±45°",
    )


def _engine_failed(nest: Nest) -> Finding | None:
    runs = [t for t in nest.trials if t.method == "engine"]
    failed = [t for t in runs if t.length is None and t.note]
    if not failed or any(t.length is not None for t in runs):
        return None
    return _finding(
        nest,
        Severity.WATCH,
        "the search for a shorter nest gave nothing; the first, quick layout stands",
        failed[0].note,
        "nest again; the layout may be cut as it is",
    )


def _just_as_wide(nest: Nest) -> Finding | None:
    """Return that copies fill the width so closely that a roll a little narrower than stated does not give them."""
    spans = {p.label: _across(nest, p) for p in nest.placements}
    tight = {label: span for label, span in spans.items() if 0.0 <= nest.cloth.usable - span < CLOSE}
    if not tight:
        return None
    usable = nest.cloth.usable
    free = f"{shown(usable - max(tight.values()), 'mm', 1)} of the {shown(usable, 'mm', 0)} between the edges"
    return _finding(
        nest,
        Severity.WATCH,
        f"piece {next(iter(tight))} leaves {free}" if len(tight) == 1 else f"pieces {_named(tight)} leave {free}",
        "a roll is seldom as wide as its sheet says to the millimetre, and its selvedge wanders",
        "measure the usable width along the length to be cut before the first cut",
        basis=Basis.COMMON,
    )


def _across(nest: Nest, placement: Placement) -> float:
    y = nest.placed_loops(placement)[0][:, 1]
    return float(y.max() - y.min())


def _face_down(nest: Nest) -> Finding | None:
    over = [p for p in nest.placements if p.flipped]
    if not over:
        return None
    return _finding(
        nest,
        Severity.WATCH,
        f"1 copy of piece {over[0].label} is cut face down"
        if len(over) == 1
        else f"{len(over)} copies of {_listed({p.label for p in over})} are cut face down",
        "laid as they come off the table they are the mirror image of the piece",
        "write the label on the face that is up on the table, and turn these over before they are laid",
        source="the layout",
    )


def _off_the_thread(nest: Nest) -> Finding | None:
    off = {}
    for p in nest.placements:
        turns = nest.piece(p.label).turns
        if turns is not None:
            by = min(abs(math.remainder(p.turn - t, math.tau)) for t in turns)
            if by > 1e-6:
                off[p] = by
    if not off:
        return None
    lies = f"up to {shown(max(off.values()), '°', 1)} off the thread, within the tolerance of the ply"
    return _finding(
        nest,
        Severity.SEEN,
        f"1 copy lies {lies}" if len(off) == 1 else f"{len(off)} copies lie {lies}",
        "the fibres lie by as much off the direction that is meant",
        "set the templates by their corners as drawn, not by the thread",
        source="tolerance of the ply as stated in the job",
    )


def _stopped(nest: Nest) -> Finding | None:
    if not nest.stopped:
        return None
    return _finding(
        nest,
        Severity.SEEN,
        f"the search was stopped after {shown(nest.seconds, 's', 0)}; the best layout until then stands",
        "more time might have made it shorter",
        "cut it as it is, or nest again",
        source="the search",
    )


def _listed(labels: Iterable[str]) -> str:
    names = sorted(labels)
    return f"piece {names[0]}" if len(names) == 1 else f"pieces {_named(names)}"


def _named(labels: Iterable[str]) -> str:
    names = sorted(labels)
    shown_names = names if len(names) <= 4 else [*names[:3], f"{len(names) - 3} more"]
    return f"{', '.join(shown_names[:-1])} and {shown_names[-1]}"
