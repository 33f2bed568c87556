"""The lines of cost of a job."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.bagging import BagPlan
from bagside.findings import Basis
from bagside.planning.cost import Cost, CostLine, Total, cost_of
from bagside.planning.cure_stage import CurePlan
from bagside.planning.finish_stage import FinishPlan
from bagside.planning.joint_stage import JointPlan
from bagside.planning.kit import MaterialKit
from bagside.planning.steps import Step
from bagside.spec.job import Job
from bagside.spec.workshop import Workshop


def money(
    job: Job,
    workshop: Workshop,
    *,
    kits: Sequence[MaterialKit],
    bag: BagPlan,
    cure: CurePlan,
    joints: JointPlan,
    finish: FinishPlan,
    steps: Sequence[Step],
) -> Cost:
    """Return what the job costs, line by line.

    Labour of steps done once for all parts is shared among them; labour of one-off steps, the mould and its pattern are
    one-off; the post-cure's energy is shared.
    """
    n = job.quantity
    lines: list[CostLine] = []

    def repeat(what: str, group: str, amount: float, unit: str, price: float, basis: Basis) -> None:
        lines.append(
            CostLine(what=what, group=group, amount=amount, unit=unit, price=price, total=Total.REPEAT, basis=basis)
        )

    def one_off(what: str, group: str, amount: float, unit: str, price: float, basis: Basis) -> None:
        lines.append(
            CostLine(what=what, group=group, amount=amount, unit=unit, price=price, total=Total.ONE_OFF, basis=basis)
        )

    for kit in kits:
        for roll in kit.rolls:
            repeat(f"cloth {kit.material}", "cloth", roll.take.cloth_area / n, "m²", roll.roll.price, Basis.MEASURED)
        area = sum(s.area for s in kit.sheets)
        if area:
            worth = sum(s.cost for s in kit.sheets) / area
            repeat(f"offcuts {kit.material}, at their worth", "cloth", area / n, "m²", worth, Basis.COMMON)
    prices = workshop.prices
    film = {"bag film": job.bag.film, "release film": job.bag.release, "breather": job.bag.breather}
    for item in bag.items:
        if item.name in film:
            repeat(item.name, "consumables", item.quantity, item.unit, prices.film[film[item.name]], item.basis)
        elif item.name == "sealant tape":
            repeat(item.name, "consumables", item.quantity, item.unit, prices.tape[job.bag.tape], item.basis)
        elif item.name == "edge breather" and item.unit == "m":
            area = item.quantity * 0.025
            repeat(item.name, "consumables", area, "m²", prices.film[job.bag.breather], item.basis)
    if prices.sundries:
        repeat("gloves, blades, paper, wipes", "consumables", 1.0, "set", prices.sundries, Basis.MEASURED)
    kwh = 3.6e6
    energy = cure.first.energy.total + (cure.post.energy.total / n if cure.post is not None else 0.0)
    repeat("oven", "energy", energy / kwh, "kWh", prices.energy * kwh, Basis.COMMON)
    if prices.oven:
        hours = (cure.first.duration + (cure.post.duration / n if cure.post is not None else 0.0)) / 3600.0
        repeat("oven's time", "equipment", hours, "h", prices.oven * 3600.0, Basis.COMMON)
    for bond, bracket in zip(joints.bonds, job.brackets, strict=True):
        repeat(
            f"adhesive, {bond.name}", "glue and paint", 1e3 * bond.adhesive_mass, "g",
            1e-3 * prices.adhesive[bracket.adhesive], Basis.COMMON,
        )  # fmt: skip
    for coat in (*((finish.fill,) if finish.fill else ()), *finish.coats):
        volume = coat.times * coat.volume / n
        repeat(coat.name, "glue and paint", 1e3 * volume, "L", 1e-3 * prices.coating[coat.name], Basis.COMMON)
    hour = workshop.labour * 3600.0 * (1.0 + workshop.overhead)
    attended = sum(s.attended if s.each else s.attended / n for s in steps if not s.one_off)
    repeat("attended time, overhead included", "labour", attended / 3600.0, "h", hour, Basis.COMMON)
    once = sum(s.attended for s in steps if s.one_off)
    if once:
        one_off("templates", "templates", once / 3600.0, "h", hour, Basis.COMMON)
    if job.mould.cost:
        one_off("mould and pattern", "mould", 1.0, "set", job.mould.cost, Basis.MEASURED)
    lines += [
        CostLine(
            what=e.name, group="equipment", amount=1.0, unit="pcs", price=e.price, total=Total.EQUIPMENT,
            basis=Basis.MEASURED,
        )
        for e in workshop.equipment
    ]  # fmt: skip
    return cost_of(
        lines,
        quantity=n,
        currency=workshop.currency,
        scrap=workshop.scrap,
        profit=workshop.profit,
        spread=job.mould.expected,
    )
