"""What cutting a ply into pieces costs, and what a person should know or decide about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.drape.trial import Trial
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cut_stage import PlyCuts, helps
from bagside.planning.kit import MaterialKit
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.lines import Join
from bagside.spec.material import ClothKind
from bagside.spec.workshop import Workshop

CARRIES = 0.012  # [m] an overlap of woven cloth narrower than this is not counted on to carry
CARRIES_ALONG = 0.025  # [m] the same for tape whose fibres run across the join
SLIDES = 0.010  # [m] least overlap of a slip joint


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPrice:
    """What cuts add to one part.

    Parameters
    ----------
    cloth
        For overlaps, waste of the nest included, in the workshop's money.
    time
        At the table [s].
    labour
        For that time, overhead included, in the workshop's money.
    """

    cloth: float
    time: float
    labour: float

    @property
    def total(self) -> float:
        """Of both, in the workshop's money."""
        return self.cloth + self.labour


def price_of(trial: Trial, material: str, kits: Sequence[MaterialKit], workshop: Workshop) -> CutPrice:
    """Return what the cuts of a trial add to one part.

    Parameters
    ----------
    trial
        The cuts.
    material
        Of the ply.
    kits
        Of the job: what cloth costs for each area of pieces, its waste included, is taken from there.
    workshop
        For its knife and its hour.

    Notes
    -----
    Both sides of a cut are cut. Laying one more piece takes time as well; that is in the steps once the cut is taken.
    """
    kit = next(k for k in kits if k.material == material)
    cloth = trial.overlap_area * kit.cost / kit.pieces_area
    time = 2 * trial.cut_length / workshop.table.knife + workshop.table.handling * len(trial.cuts)
    return CutPrice(cloth=cloth, time=time, labour=time * workshop.labour * (1.0 + workshop.overhead))


def cut_findings(
    cuts: Sequence[PlyCuts], job: Job, library: Library, kits: Sequence[MaterialKit], workshop: Workshop
) -> tuple[Finding, ...]:
    """Return what cutting plies came to.

    Parameters
    ----------
    cuts
        Of all plies.
    job, library, workshop
        As stated.
    kits
        Of the job.
    """
    out: list[Finding] = []
    for found in cuts:
        place = f"ply {found.ply + 1}"
        material = job.plies[found.ply].material
        for proposal in found.proposals:
            if proposal.cuts and helps(proposal):
                price = price_of(proposal.after, material, kits, workshop).total
                count = f"{len(proposal.cuts)} cut{'s are' if len(proposal.cuts) > 1 else ' is'} proposed"
                long = shown(proposal.after.cut_length, "mm", 0)
                out.append(
                    _finding(
                        Severity.SEEN if proposal.enough else Severity.DECIDE,
                        place,
                        f"{count}, of {long}; {price:.2f} {workshop.currency} more for each part",
                        _plain(proposal.why),
                        "take them as they are, copy them from cuts.toml and move them, or lay the ply whole",
                        "tried on a coarse mesh and laid again on the full one; limits of strain are common practice",
                    )
                )
            elif not proposal.enough:
                out.append(
                    _finding(
                        Severity.DECIDE,
                        place,
                        "no cut was found that brings it within its limits",
                        _plain(proposal.why),
                        "draw a line yourself, start elsewhere, turn the warp, or take a cloth that shears more easily",
                        "tried on a coarse mesh; limits of strain are common practice",
                    )
                )
        out += [
            _finding(
                Severity.WATCH,
                place,
                _plain(note),
                "joins that lie over each other leave the laminate a ply short along one line",
                "draw a second line for this ply, or a smaller stagger",
                "stagger of 25 mm and better 50 mm, not over each other within four plies",
            )
            for note in found.notes
        ]
        out += _narrow(found, job, library)
    return tuple(out)


def _narrow(found: PlyCuts, job: Job, library: Library) -> list[Finding]:
    tape = library.prepreg[job.plies[found.ply].material].kind is ClothKind.UNIDIRECTIONAL
    out: list[Finding] = []
    for cut in found.cuts:
        wanted = SLIDES if cut.join is Join.SLIP else CARRIES_ALONG if tape else CARRIES
        if cut.join is Join.BUTT or cut.overlap >= wanted or not (job.structural or cut.join is Join.SLIP):
            continue
        slides = cut.join is Join.SLIP
        out.append(
            _finding(
                Severity.DECIDE,
                f"ply {found.ply + 1}, cut {cut.name}",
                f"the overlap is {shown(cut.overlap, 'mm')}, {shown(wanted, 'mm', 0)} is wanted",
                "the two sides slide apart before the bag has pressed them home"
                if slides
                else "load has to pass from piece to piece through the resin between them",
                "make it wider",
                "slip joints 10 to 15 mm; structural overlaps of woven cloth 20 to 25 mm and no less than 12, of tape "
                "along the fibre 25 to 50",
            )
        )
    return out


def _plain(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def _finding(severity: Severity, place: str, what: str, why: str, do: str, source: str) -> Finding:
    return Finding(
        severity=severity, stage="drape", place=place, what=what, why=why, do=do, basis=Basis.COMMON, source=source
    )
