"""Cuts that were found: what was tried, for the book, and the lines as text to be copied into the job."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.drape.cuts import Cut
from bagside.drape.propose import Proposal
from bagside.drape.trial import Trial
from bagside.geometry.polyline import corners_of
from bagside.planning.cut_notes import price_of
from bagside.planning.plan import BuildPlan
from bagside.sheets.book_joins import TriedCut, proposal_table
from bagside.sheets.book_words import money
from bagside.sheets.bookinput import Table

OTHERS = 5  # ways tried and not taken that the book shows, the best ones
SAG = 0.0005  # [m] a line written as text strays from the one found by at most this


def proposal_tables(plan: BuildPlan) -> tuple[Table, ...]:
    """Return a table for each search for cuts: the ply whole, what was taken, and the best of what was not.

    Parameters
    ----------
    plan
        The build.
    """
    return tuple(
        proposal_table(found.ply + 1, _tried(proposal, found.ply, plan))
        for found in plan.cuts
        for proposal in found.proposals
        if proposal.trials
    )


def _tried(proposal: Proposal, ply: int, plan: BuildPlan) -> list[TriedCut]:
    material = plan.job.plies[ply].material

    def told(trial: Trial, *, taken: bool = False) -> TriedCut:
        price = price_of(trial, material, plan.kits, plan.workshop).total
        return TriedCut(
            what=trial.note,
            cuts=len(trial.cuts),
            cut=trial.cut_length,
            overlap=trial.overlap_area,
            shear=trial.shear_99,
            surplus=trial.compression_99,
            price=money(plan, price) if trial.cuts else "",
            good=trial.fine,
            taken=taken,
        )

    steps = [t for t in proposal.trials if t.kept and t.cuts]
    left = sorted((t for t in proposal.trials if not t.kept and t.cuts), key=lambda t: t.excess + t.spanned)
    return [
        told(proposal.before),
        *(told(t) for t in steps),
        *(told(t) for t in left[:OTHERS]),
        told(proposal.after, taken=True),
    ]


def cuts_toml(plan: BuildPlan) -> str:
    """Return the cuts that were found as text that can be copied into the job; empty when none was found.

    Parameters
    ----------
    plan
        The build.

    Notes
    -----
    Lines are thinned to points from which they are drawn again within half a millimetre.
    """
    found = [(c.ply, [cut for cut in c.cuts if _was_found(cut, c.proposals)]) for c in plan.cuts]
    found = [(ply, cuts) for ply, cuts in found if cuts]
    if not found:
        return ""
    out = [
        "# Cuts found for this job. To keep or change one: copy its line into job.toml, name it in the ply's cuts, and",
        '# leave out pieces = "auto". Moving a point moves the cut.',
    ]
    for ply, cuts in found:
        for cut in cuts:
            line = np.asarray(cut.line)
            points = ", ".join(f'"{" ".join(f"{1000 * c:.1f}" for c in p)} mm"' for p in line[corners_of(line, SAG)])
            out += ["", f'[lines."ply {ply + 1} {cut.name}"]', f"points = [{points}]"]
            out += ["closed = true"] if cut.closed else []
    for ply, cuts in found:
        stated = ", ".join(
            f'{{ line = "ply {ply + 1} {cut.name}", join = "{cut.join.value}"'
            + (f', overlap = "{1000 * cut.overlap:g} mm"' if cut.overlap > 0 else "")
            + " }"
            for cut in cuts
        )
        out += ["", f"# ply {ply + 1}:", f"# cuts = [{stated}]"]
    return "\n".join(out) + "\n"


def _was_found(cut: Cut, proposals: Sequence[Proposal]) -> bool:
    return any(cut.name == c.name or cut.name.startswith(f"{c.name} (") for p in proposals for c in p.cuts)
