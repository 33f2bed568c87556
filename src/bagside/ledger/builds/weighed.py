"""What a build's masses mean: each weighing against the plan, with named causes and how likely each is.

`bagside.laminate.weighing` does the reckoning; here it is told what the ledger knows: which pieces are ticked, how many
backing films were counted off, which other cloths lie in the workshop. At each stage only what was weighed up to then
counts, so that a kit is judged before it is laid. When a stage was weighed twice, the last one stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bagside.findings import Basis, Finding, Severity
from bagside.laminate import (
    Candidate,
    Faults,
    Masses,
    WeighedPlan,
    WeighedPly,
    Weighing,
    masses_read,
    parting,
    prepreg_areal_weight,
)
from bagside.ledger.bodies import Found, Laid, MassStage, Measured, Sort
from bagside.ledger.planned import PlannedPly
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth, Noted
from bagside.quantity import shown

SCALE = 0.001
"""Standard error of a scale when none is stated: ±1 g (common practice, no source) [kg]."""
FINEST = 1e-5
"""No scale in a workshop is taken to be better, whatever is stated [kg]."""
FILM = 0.075
"""Of a backing film of polyethylene, 80 µm thick, when nobody has weighed one (common practice, no source) [kg/m²]."""
FILM_SURE, FILM_UNSURE = 0.03, 0.3
"""Its standard deviation as a share, when it is stated and when it is not (common practice, no source)."""
COUNTED = 0.2
"""What a tick leaves of the usual chance of a slip: people do tick what they have not done (common practice)."""
UNTICKED = 0.5
"""Chance that what is not ticked, while others are, was not done (common practice, no source)."""
SURE, LIKELY, SOME = 0.9, 0.5, 0.1
ORDER = (MassStage.KIT, MassStage.LAID, MassStage.FILMS, MassStage.RAW, MassStage.TRIMMED, MassStage.FINISHED)
BEFORE_CURE = (MassStage.KIT, MassStage.LAID, MassStage.FILMS)
CAN_BE_PUT_RIGHT = ("missing", "unlaid", "extra", "exchanged", "film")
SOURCE = "chances beforehand and scatter are common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class MassReading:
    """A mass of a build against its plan.

    Parameters
    ----------
    stage
        At which it was weighed.
    planned
        [kg]; None when the plan does not say it.
    measured
        [kg].
    sigma
        Of their difference: cloth, trim, coats and scale [kg].
    z
        Their difference in sigmas; None without a plan.
    candidates
        Causes, likeliest first, with all weighings up to this one; empty without a plan.
    findings
        What it means, and what would tell more.
    at
        When it was weighed.
    unseen
        Plies and films that could be missing or too many without showing in the masses up to this one.
    """

    stage: MassStage
    planned: float | None
    measured: float
    sigma: float
    z: float | None
    candidates: tuple[Candidate, ...]
    findings: tuple[Finding, ...]
    at: datetime
    unseen: tuple[Candidate, ...] = ()


def mass_reading(build: Build, shop: Shop) -> tuple[MassReading, ...]:
    """Return what each mass of a build means.

    Parameters
    ----------
    build
        With its weighings.
    shop
        Whose other cloths may have got into the kit.

    Returns
    -------
    tuple of MassReading
        One for each stage that was weighed, in the order of the work.
    """
    last: dict[MassStage, Noted[Measured]] = {}
    for noted in build.measured:
        if noted.what.found is Found.MASS and noted.what.stage is not None:
            last[noted.what.stage] = noted
    if not last or not any(_weighable(p) for p in build.planned.plies):
        return ()
    out: list[MassReading] = []
    weighings: list[Weighing] = []
    for stage in (s for s in ORDER if s in last):
        noted = last[stage]
        plan = weighed_plan(build, shop, laid=stage is not MassStage.KIT)
        stated = noted.what.sigma
        error = max(stated, FINEST) if stated is not None and stated > 0.0 else SCALE
        if plan.mean(stage.value) is None:
            out.append(_unplanned(build, stage, noted, error))
            continue
        weighings.append(Weighing(stage=stage.value, mass=noted.what.value, sigma=error))
        read = masses_read(plan, weighings)
        row = read.rows[-1]
        out.append(
            MassReading(
                stage=stage,
                planned=row.planned,
                measured=row.measured,
                sigma=row.sigma,
                z=row.z,
                candidates=read.candidates,
                findings=_findings(build, stage, read),
                at=noted.at,
                unseen=tuple(c for c in read.unseen if c.key in CAN_BE_PUT_RIGHT),
            )
        )
    return tuple(out)


def weighed_plan(build: Build, shop: Shop, *, laid: bool) -> WeighedPlan:
    """Return what a build should weigh, with what its ticks say about slips.

    Parameters
    ----------
    build
        With its plan and its ticks.
    shop
        Whose other cloths may have got into the kit.
    laid
        Whether the ticks count: a kit is weighed before.
    """
    planned = build.planned
    film = planned.film_mass or FILM
    plies = tuple(_ply(p, film, build if laid else None, Faults()) for p in planned.plies if _weighable(p))
    films = sum(p.film_mass for p in plies)
    means = {m.stage: m.mass + (films if m.stage == MassStage.KIT.value else 0.0) for m in planned.masses if m.mass > 0}
    return WeighedPlan(
        plies=plies,
        resin=planned.resin_mass,
        means=means,
        sigmas={m.stage: m.sigma for m in planned.masses if m.mass > 0.0},
        film_scatter=FILM_SURE if planned.film_mass else FILM_UNSURE,
        others=_others(build, shop),
    )


def _weighable(ply: PlannedPly) -> bool:
    """Return whether a ply has pieces that weigh something."""
    return ply.area > 0.0 and ply.mass > 0.0


def _ply(ply: PlannedPly, film: float, build: Build | None, faults: Faults) -> WeighedPly:
    count = ply.films * len(ply.pieces)
    missing = film_left = None
    ticks = [] if build is None else [t.what for t in build.laid if t.what.ply == ply.number]
    if build is not None and build.laid:
        whole = len(ticks) >= len(ply.pieces)
        missing = COUNTED * (faults.missing + faults.unlaid) / 2 if whole else UNTICKED
    if ticks:
        film_left = UNTICKED if _short(ply, ticks) else COUNTED * (1.0 - (1.0 - faults.film) ** count)
    return WeighedPly(
        number=ply.number,
        material=ply.material,
        area=ply.area,
        mass=ply.mass,
        scatter=ply.scatter,
        pieces=max(len(ply.pieces), 1),
        films=count,
        film_mass=ply.films * ply.area * film,
        missing=missing,
        film_left=film_left,
    )


def _short(ply: PlannedPly, ticks: list[Laid]) -> bool:
    return any(t.films < ply.films for t in ticks)


def _others(build: Build, shop: Shop) -> dict[str, float]:
    """Return what the cloths weigh that lie in the workshop and are not in this part [kg/m²]."""
    own = {p.material for p in build.planned.plies}
    out: dict[str, float] = {}
    for thing in shop.things.values():
        if isinstance(thing, Cloth) and thing.there and thing.sort is not Sort.KIT and thing.material not in own:
            sheet = shop.library.prepreg.get(thing.material)
            if sheet is not None:
                out[thing.material] = float(prepreg_areal_weight(sheet.areal_weight, sheet.resin_content))
    return dict(sorted(out.items()))


def _unplanned(build: Build, stage: MassStage, noted: Noted[Measured], error: float) -> MassReading:
    finding = Finding(
        severity=Severity.WATCH,
        stage="mass",
        place=f"{build.name}, {stage.value}",
        what=f"it weighs {_grams(noted.what.value)}; the plan states no mass here",
        why="nothing can be told from it",
        do="keep it: the next part of this design is held against it",
        basis=Basis.MEASURED,
    )
    return MassReading(
        stage=stage, planned=None, measured=noted.what.value, sigma=error, z=None, candidates=(), findings=(finding,),
        at=noted.at,
    )  # fmt: skip


def _findings(build: Build, stage: MassStage, read: Masses) -> tuple[Finding, ...]:
    """Return what the masses mean, unless nothing is wrong."""
    row = next(r for r in read.rows if r.stage == stage.value)
    off = row.measured - row.planned
    place = f"{build.name}, {stage.value}"
    what = (
        f"{_grams(row.measured)}, {_grams(abs(off))} {'over' if off > 0 else 'under'} the plan of "
        f"{_grams(row.planned)}; {_grams(row.sigma)} would be usual"
    )
    if read.fits < 1e-3:
        return (
            Finding(
                severity=Severity.DECIDE,
                stage="mass",
                place=place,
                what=f"{what}. No single fault explains the masses together",
                why="two things are wrong at once, or one that nobody reckoned with",
                do="weigh it again with a known weight beside it, then count kit, films and plies",
                basis=Basis.COMMON,
                source=SOURCE,
            ),
        )
    if read.wrong < SOME:
        return ()
    alike = read.alike
    now = MassStage.LAID if stage is MassStage.FILMS else stage
    checks, left = parting([c.key for c in alike], now.value)
    return (
        Finding(
            severity=_severity(stage, read),
            stage="mass",
            place=place,
            what=what,
            why=_why(alike),
            do=_do([c.do for c in checks], read.best, alike, bool(left), now.value),
            basis=Basis.COMMON,
            source=SOURCE,
        ),
    )


def _severity(stage: MassStage, read: Masses) -> Severity:
    """Return stop for what is probably wrong and can still be put right, decide for what cannot, watch for less."""
    if read.wrong < LIKELY:
        return Severity.WATCH
    laid_wrong = sum(c.chance for c in read.candidates if c.key in CAN_BE_PUT_RIGHT)
    return Severity.STOP if stage in BEFORE_CURE and laid_wrong >= LIKELY else Severity.DECIDE


def _why(alike: tuple[Candidate, ...]) -> str:
    named = [f"{c.what} ({_percent(c.chance)})" for c in alike[:4]]
    if len(named) == 1:
        return named[0]
    more = f", or another of {len(alike)} causes" if len(alike) > len(named) else ""
    return "the scale cannot tell these apart: " + "; ".join(named) + more


def _do(checks: list[str], best: Candidate, alike: tuple[Candidate, ...], left: bool, stage: str) -> str:
    if len(alike) == 1:
        checks_of_one, _ = parting([best.key, "nothing"], stage)
        return REMEDY[best.key] + (f"; to be sure, {checks_of_one[0].do}" if checks_of_one else "")
    if not checks:
        return "keep it in mind: at this stage no measurement tells them apart; the next weighing may"
    told = "; ".join(checks)
    return f"to tell them apart, {told}" + ("; some of them look the same at this stage" if left else "")


def _grams(mass: float) -> str:
    return shown(mass, "g", 0 if mass >= 0.02 else 1)


def _percent(chance: float) -> str:
    return "under 1 %" if chance < 0.01 else "over 99 %" if chance > 0.99 else f"{100 * chance:.0f} %"


REMEDY = {
    "nothing": "go on",
    "missing": "cut the missing ply before going on; in a cured part decide with the customer",
    "unlaid": "find the piece and lay it; in a cured part decide with the customer",
    "extra": "take the ply out while it is soft; in a cured part decide whether it may stay",
    "exchanged": "exchange the ply while it is soft; in a cured part decide whether it may stay",
    "bare": "weigh it with its films on, as the plan has it",
    "film": "find the film and take it out before the cure; a cured part with a film in it comes apart there",
    "resin": "look for a dry surface and pinholes before it is finished, and hold the bag's edge tighter next time",
    "roll": "weigh a square of the roll and state its areal weight",
    "reading": "weigh it again",
    "trim": "hold the edge against its trim template",
    "coat": "measure the coat",
}
"""What to do about each cause when the scale is sure."""
