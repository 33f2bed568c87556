"""What a part should weigh at each moment, and how sure that is.

Cloth may weigh a little more or less than its sheet says, and all plies from one roll do so together; resin goes into
the breather, an edge is cut a little off the line, a coat is sprayed by hand. Each of these is common practice from
memory, without a published source, and is replaced by what the workshop finds on its own scale.
"""

from __future__ import annotations

import math

from bagside import laminate as laminates
from bagside.ledger.planned import PlannedMass, PlannedPly
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import ply_of
from bagside.spec.material import Prepreg

SCATTER = 0.02
"""Standard deviation of a roll's areal weight, as a share: sheets commonly allow ±3 to 5 %, taken as two of them."""

BLEED = 0.01
"""Standard deviation of what resin leaves a part whose bag takes none up on purpose, as a share of its mass."""

OFF_LINE = 0.0005
"""Standard deviation of an edge cut and sanded to its line by hand [m]."""

SPRAYED = 0.20
"""Standard deviation of a film put on by hand, as a share."""

POLISHED = 10e-6
"""Film that flatting and polishing take off [m]: 3 to 10 µm each time."""

FILLED = 0.3
"""Share of a filler that stays in pinholes when the face is sanded, and its standard deviation."""

FOOT_DENSITY = {"aluminium": 2700.0, "steel": 7850.0, "titanium": 4430.0, "carbon": 1550.0, "glass": 1900.0}
"""Of what the feet of brackets are made of [kg/m³]: general metals data, middle of the usual range for laminates."""

FOOT_SURE = 0.3
"""Standard deviation of a bracket's mass, as a share of its foot's: the plan knows its foot and not what stands on
it."""


def areal_mass(prepreg: Prepreg) -> float:
    """Return the mass of cloth with its resin, without films [kg/m²].

    Parameters
    ----------
    prepreg
        The cloth.
    """
    return float(laminates.prepreg_areal_weight(prepreg.areal_weight, prepreg.resin_content))


def planned_plies(plan: BuildPlan) -> tuple[PlannedPly, ...]:
    """Return the plies of one part, in laying order, with every piece named.

    Parameters
    ----------
    plan
        The build.

    Notes
    -----
    A card that is cut several times for one part stands there as often. The tiles of a patchwork are pieces.
    """
    job = plan.job
    out = []
    for k, ply in enumerate(job.plies):
        prepreg = plan.library.prepreg[ply.material]
        own = [p for p in plan.cut if ply_of(p.label) == k]
        pieces = tuple(p.label for p in own for _ in range(p.quantity // job.quantity))
        area = sum(p.area * (p.quantity // job.quantity) for p in own)
        out.append(
            PlannedPly(
                number=k + 1,
                material=ply.material,
                pieces=pieces,
                films=prepreg.films,
                area=area,
                mass=area * areal_mass(prepreg),
                scatter=SCATTER,
            )
        )
    return tuple(out)


def planned_masses(plan: BuildPlan, plies: tuple[PlannedPly, ...]) -> tuple[PlannedMass, ...]:
    """Return what one part should weigh as a kit, off the mould, trimmed and finished.

    Parameters
    ----------
    plan
        The build.
    plies
        Of one part.

    Notes
    -----
    The kit is cloth and resin without its films. All plies of one material come from one roll as a rule, so their
    deviations add up and do not cancel. The trimmed mass is that which the book prints.
    """
    kit = sum(p.mass for p in plies)
    by_cloth: dict[str, float] = {}
    for ply in plies:
        by_cloth[ply.material] = by_cloth.get(ply.material, 0.0) + ply.mass
    share = math.hypot(*(m * SCATTER for m in by_cloth.values())) / kit if kit > 0.0 else 0.0
    trimmed = plan.laminate.mass
    area = plan.laminate.part.area
    edge = plan.laminate.part.edge * OFF_LINE * (trimmed / area if area > 0.0 else 0.0)
    cured = math.hypot(share, BLEED)
    trimmed_sure = math.hypot(trimmed * cured, edge)
    added, added_sure = _added(plan)
    return (
        PlannedMass(stage="kit", mass=kit, sigma=kit * share),
        PlannedMass(stage="laid", mass=kit, sigma=kit * share),
        PlannedMass(stage="raw", mass=kit, sigma=kit * cured),
        PlannedMass(stage="trimmed", mass=trimmed, sigma=trimmed_sure),
        PlannedMass(stage="finished", mass=trimmed + added, sigma=math.hypot(trimmed_sure, added_sure)),
    )


def resin_in(plan: BuildPlan, plies: tuple[PlannedPly, ...]) -> float:
    """Return the resin in all plies of one part [kg].

    Parameters
    ----------
    plan
        The build.
    plies
        Of one part.
    """
    return sum(p.mass * plan.library.prepreg[p.material].resin_content for p in plies)


def film_in(plan: BuildPlan, plies: tuple[PlannedPly, ...]) -> float:
    """Return the mass of one backing film, on the mean over a part's films; 0 when that of one cloth is not known.

    Parameters
    ----------
    plan
        The build.
    plies
        Of one part.

    Returns
    -------
    float
        [kg/m²].
    """
    sheets = [(plan.library.prepreg[p.material].film_weight, p.films * p.area) for p in plies if p.films]
    area = sum(a for _, a in sheets)
    if area <= 0.0 or any(weight <= 0.0 for weight, _ in sheets):
        return 0.0
    return sum(weight * a for weight, a in sheets) / area


def _added(plan: BuildPlan) -> tuple[float, float]:
    """Return what filler, coats, brackets and glue add to one part, and its standard deviation [kg]."""
    job, finish = plan.job, plan.finish
    mass, variance = 0.0, 0.0
    fill = finish.fill
    if fill is not None:
        film = fill.times * fill.dry * fill.area / job.quantity * _density(plan, fill.name)
        mass += FILLED * film
        variance += (FILLED * film) ** 2
    for n, coat in enumerate(finish.coats):
        off = POLISHED if n == len(finish.coats) - 1 else 0.0
        film = max(coat.build - off, 0.0) * coat.area / job.quantity * _density(plan, coat.name)
        mass += film
        variance += (SPRAYED * film) ** 2
    for bracket, bond in zip(job.brackets, plan.joints.bonds, strict=True):
        foot = bracket.size[0] * bracket.size[1] * bracket.thickness * FOOT_DENSITY[bond.foot.value]
        glue = bond.area * bond.bondline * plan.library.adhesive[bracket.adhesive].density
        mass += foot + glue
        variance += (FOOT_SURE * foot) ** 2 + (SPRAYED * glue) ** 2
    return mass, math.sqrt(variance)


def _density(plan: BuildPlan, coating: str) -> float:
    """Return the density of a coating's dry film, taken as that of its two parts mixed [kg/m³]."""
    sheet = plan.library.coating[coating]
    (a, b), (rho_a, rho_b) = sheet.parts_by_volume, sheet.densities
    return (a * rho_a + b * rho_b) / (a + b)
