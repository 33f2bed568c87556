"""Where to cut, when nobody has said: the fewest cuts that keep a ply within its limits, found by trying them.

Lines are tried on a coarse mesh, every piece laid again for each. The cut that leaves least over the limits is kept and
the search goes on from there; at the end each cut is tried without. What comes out is a proposal with its price: a
person takes it, or draws other lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside import geometry
from bagside.drape.candidates import candidates
from bagside.drape.coarse import coarsened
from bagside.drape.cuts import Cut, cut_pieces
from bagside.drape.law import ClothLaw
from bagside.drape.trial import NEAR_CUT, SHORT, Limits, Sheet, Trial, Tries, judged, laid_sheet, spanned_length
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.geometry.polyline import length_of
from bagside.geometry.surface import Floats
from bagside.quantity import shown
from bagside.spec.lines import Join

COARSE = 2400  # triangles of the mesh on which cuts are tried
FINE_ENOUGH = 3200  # triangles: a mesh of no more is tried as it is
TIGHTER = 0.85  # of the limits, on the coarse mesh, when the fine one shows more than it did
GAIN = 0.9  # a further cut must leave less than this share of what is over the limits
EVEN = 1.05  # cuts that leave this much more are as good, and the cheaper one is taken
PRICE = 0.05  # [m] of cutting cost as much as that length times a metre of overlap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Proposal:
    """Cuts found for a ply, and how they were found.

    Parameters
    ----------
    cuts
        The cuts proposed; none when the ply needs none.
    trials
        Everything that was tried on the coarse mesh, in order.
    before
        The ply in one piece, on its full mesh.
    after
        The ply cut as proposed, on its full mesh.
    enough
        Whether all limits are kept with the proposed cuts, on the full mesh.
    why
        One sentence: what is gained, or why it is not enough.
    """

    cuts: tuple[Cut, ...]
    trials: tuple[Trial, ...]
    before: Trial
    after: Trial
    enough: bool
    why: str


def propose_cuts(
    surface: Surface,
    *,
    start: Floats,
    direction: Floats,
    law: ClothLaw,
    limits: Limits,
    corners: Sequence[Floats] = (),
    overlap: float,
    join: Join = Join.OVERLAP,
    drawn: Sequence[Cut] = (),
) -> Proposal:
    """Return the fewest cuts with which a ply stays within its limits, as far as trying finds them.

    Parameters
    ----------
    surface
        What the ply covers, one connected sheet.
    start
        Start of the ply, shape (3,) [m].
    direction
        Wanted direction of the warp, shape (3,).
    law
        How the cloth resists.
    limits
        What a laid piece may show.
    corners
        Lines of tight concave corners, each shape (k, 3) [m]: a slip joint goes along each that would be spanned.
    overlap
        Width of the overlaps [m].
    join
        How the sides of other cuts lie.
    drawn
        Cuts that are made in any case; others are looked for beside them.

    Returns
    -------
    Proposal
        Cuts beside the drawn ones, every trial with its price, and whether it is enough.

    Raises
    ------
    InputError
        When a limit is not above zero.

    Notes
    -----
    Slip joints along spanned corners come first, then greedily the cut that leaves least over the limits: darts that
    lead three quarters of the way from points of the rim to the deepest point or the worst place, and splits from rim
    to rim through both. At the end cuts that turn out not to be needed are dropped. Greedy trying does not prove that
    there is no smaller set. At most 40 pieces are laid for each cut, each some 0.1 s on 2400 triangles: with six cuts
    half a minute, mostly a few seconds; then two or more drapes on the full mesh. The same input gives the same cuts.
    """
    for name, value in (
        ("shear", 1.0 if limits.shear is None else limits.shear),
        ("compression", limits.compression),
        ("tension in hollow", limits.tension_in_hollow),
    ):
        if not (np.isfinite(value) and value > 0):
            raise InputError.one(f"limits, {name}", f"{value}", "a value above zero is wanted")
    start, direction = np.asarray(start, dtype=np.float64), np.asarray(direction, dtype=np.float64)
    tight = [np.asarray(c, dtype=np.float64) for c in corners if len(c) > 1 and length_of(np.asarray(c)) > SHORT]
    kept = tuple(drawn)
    before = _whole(surface, kept, start, direction, law, limits, tight)
    if before.fine:
        why = "The cuts drawn keep all limits." if kept else "One piece keeps all limits."
        return Proposal(cuts=(), trials=(), before=before, after=before, enough=True, why=why)
    tries = Tries(surface=_coarse(surface), start=start, direction=direction, law=law, limits=limits, corners=tight)
    trials: list[Trial] = []
    cuts, stopped = _searched(tries, trials, overlap, join, kept, kept)
    cuts = _pruned(tries, trials, cuts, kept)
    after = _whole(surface, cuts, start, direction, law, limits, tight)
    if not after.fine and not stopped and np.isfinite(after.excess):  # the fine mesh sees more than the coarse one
        tries = replace(tries, limits=_tightened(limits), laid={})
        cuts, stopped = _searched(tries, trials, overlap, join, kept, cuts)
        cuts = _pruned(tries, trials, cuts, kept)
        after = _whole(surface, cuts, start, direction, law, limits, tight)
    while not after.laid and len(cuts) > len(kept):  # the full mesh cannot be cut so: take fewer of the cuts
        cuts = cuts[:-1]
        after = _whole(surface, cuts, start, direction, law, limits, tight)
        stopped = "more cuts leave a piece that cannot be laid or cut from one layer"
    return Proposal(
        cuts=cuts[len(kept) :],
        trials=tuple(trials),
        before=before,
        after=after,
        enough=after.fine,
        why=_told(before, after, len(kept), stopped),
    )


def _coarse(surface: Surface) -> Surface:
    if len(surface.triangles) <= FINE_ENOUGH:
        return surface
    try:
        return coarsened(surface, COARSE)
    except NotSolved:
        return surface if len(surface.triangles) < 4 * COARSE else geometry.coarse(surface, COARSE)


def _tightened(limits: Limits) -> Limits:
    return replace(
        limits,
        shear=None if limits.shear is None else TIGHTER * limits.shear,
        compression=TIGHTER * limits.compression,
        tension_in_hollow=TIGHTER * limits.tension_in_hollow,
    )


def _searched(
    tries: Tries, trials: list[Trial], overlap: float, join: Join, drawn: tuple[Cut, ...], begun: tuple[Cut, ...]
) -> tuple[tuple[Cut, ...], str]:
    """Return the cuts kept, those begun with first, and why the search ended."""
    first = "as far as cut" if begun else "in one piece"
    now, sheets = tries.tried(begun, f"{first}, on the coarse mesh")
    most = tries.limits.most_cuts + len(drawn)
    trials.append(replace(now, kept=True))
    near = NEAR_CUT + 0.5 * tries.surface.edge_length
    for k, corner in enumerate(sorted(tries.corners, key=length_of, reverse=True)):
        if spanned_length([corner], now.cuts, near) <= SHORT:
            continue
        if len(now.cuts) >= most:
            return now.cuts, f"{tries.limits.most_cuts} cuts are the most allowed"
        closed = bool(np.linalg.norm(corner[0] - corner[-1]) < 1e-6)
        slip = Cut(name=f"corner {k + 1}", line=corner, join=Join.SLIP, overlap=overlap, closed=closed)
        now, sheets = tries.tried((*now.cuts, slip), f"slip joint along corner {k + 1}")
        trials.append(replace(now, kept=True))
    while now.excess > 0:
        if len(now.cuts) >= most:
            return now.cuts, f"{tries.limits.most_cuts} cuts are the most allowed"
        worst = max(sheets, key=lambda s: s.excess)
        found: list[tuple[Trial, list[Sheet], int]] = []
        for note, line in candidates(tries.surface, worst):
            name = f"found {sum(c.name.startswith('found') for c in now.cuts) + 1}"
            cut = Cut(name=name, line=line, join=join, overlap=0.0 if join is Join.BUTT else overlap)
            tried, laid = tries.tried((*now.cuts, cut), note)
            found.append((tried, laid, len(trials)))
            trials.append(tried)
        if not found:
            return now.cuts, "no line of any length leads through what is still over its limit"
        least = min(t.excess for t, _, _ in found)
        best, laid, index = min((f for f in found if f[0].excess <= EVEN * least), key=lambda f: (_price(f[0]), f[2]))
        if best.excess > GAIN * now.excess:
            return now.cuts, "none of the lines tried makes it clearly better"
        trials[index] = replace(best, kept=True)
        now, sheets = best, laid
    return now.cuts, ""


def _price(trial: Trial) -> float:
    return trial.cut_length + trial.overlap_area / PRICE


def _pruned(tries: Tries, trials: list[Trial], cuts: tuple[Cut, ...], drawn: tuple[Cut, ...]) -> tuple[Cut, ...]:
    """Return the cuts without those found that nothing is lost by leaving out."""
    now, _ = tries.tried(cuts, "all cuts")
    for cut in cuts[len(drawn) :]:
        if len(now.cuts) < 2:
            break
        fewer = tuple(c for c in now.cuts if c is not cut)
        without, _ = tries.tried(fewer, f"without {cut.name}")
        good = without.excess <= now.excess and without.spanned <= max(now.spanned, SHORT)
        trials.append(replace(without, kept=good))
        if good:
            now = without
    return now.cuts


def _whole(
    surface: Surface,
    cuts: tuple[Cut, ...],
    start: Floats,
    direction: Floats,
    law: ClothLaw,
    limits: Limits,
    corners: Sequence[Floats],
) -> Trial:
    """Return what cuts lead to on the full mesh."""
    size = surface.edge_length
    spanned = spanned_length(corners, cuts, NEAR_CUT)
    try:
        pieces = cut_pieces(surface, cuts, size=size, tolerance=0.05 * size)
    except NotSolved as error:
        return replace(judged(cuts, [], spanned, f"not cut on the full mesh: {error}"), excess=np.inf)
    sheets = [laid_sheet(p.surface, start, direction, law, limits) for p in pieces]
    return judged(cuts, sheets, spanned, f"in {len(pieces)} piece{'' if len(pieces) == 1 else 's'}, on the full mesh")


def _told(before: Trial, after: Trial, drawn: int, stopped: str) -> str:
    n = len(after.cuts) - drawn
    count = f"{n} {'more ' if drawn else ''}cut{'' if n == 1 else 's'}"
    long = after.cut_length - sum(length_of(np.asarray(c.line)) for c in after.cuts[:drawn])
    count += f" of {shown(long, 'mm', 0)}{'' if n == 1 else ' together'}" if n else ""
    if after.fine:
        return f"With {count} all limits are kept; {shown(after.overlap_area, 'cm²', 0)} of cloth go into overlaps."
    left = "not laid in one piece before" if not before.laid else ""
    parts = []
    if after.excess > 0 and after.laid and before.laid and before.excess > 0:
        parts.append(f"{after.excess / before.excess:.0%} of what was over the limits is left".replace("%", " %"))
    if after.spanned > SHORT:
        parts.append(f"{shown(after.spanned, 'mm', 0)} of concave corner stay spanned")
    if not after.laid:
        parts.append(after.note)
    told = "; ".join([*parts, *([left] if left else []), *([stopped] if stopped else [])])
    return f"Not enough with {count}: {told or 'the full mesh shows more than the coarse one'}."
