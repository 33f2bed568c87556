"""A plan as the object that ``plan.json`` holds."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from importlib.metadata import version

import numpy as np

from bagside.bagging import BagPlan, DebulkStep
from bagside.cutting import FlatPiece, Nest, Offcuts, SheetNest
from bagside.findings import Finding
from bagside.finishing import CoatPlan
from bagside.planning.cautions import cautions_for
from bagside.planning.kit import MaterialKit
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import ply_of
from bagside.sheets import planmodel as m
from bagside.sheets.book_plies import cloth_weight
from bagside.sheets.planjson_cure import cure_message
from bagside.sheets.planjson_drape import drape_message
from bagside.sheets.planjson_mould import mould_message
from bagside.sheets.planjson_tiles import patchwork_message, twin_message

MM, CM2 = 1e3, 1e4
DEGREES = 180.0 / math.pi


def plan_message(plan: BuildPlan, files: Mapping[str, str], made_from: str) -> m.PlanMessage:
    """Return a plan as a message.

    Parameters
    ----------
    plan
        The build.
    files
        SHA-256 of every other file of the package, by its name.
    made_from
        Digest of everything the plan was made from.
    """
    return m.PlanMessage(
        bagside=version("bagside"),
        job=m.JobMessage(
            name=plan.job.name, quantity=plan.job.quantity, note=plan.job.note, workshop=plan.workshop.name
        ),
        inputs=dict(plan.inputs),
        mould=mould_message(plan),
        drape=None if plan.surface is None else drape_message(plan),
        laminate=_laminate(plan),
        cutting=_cutting(plan),
        bagging=_bagging(plan),
        cure=cure_message(plan),
        joining=_joining(plan),
        finishing=_finishing(plan),
        time=_time(plan),
        money=_money(plan),
        patchwork=patchwork_message(plan),
        twin=twin_message(plan),
        findings=[finding_message(f) for f in plan.findings],
        files=dict(sorted(files.items())),
        made_from=made_from,
    )


def finding_message(finding: Finding) -> m.FindingMessage:
    """Return a finding as a message."""
    return m.FindingMessage(
        severity=finding.severity.value,
        stage=finding.stage,
        place=finding.place,
        what=finding.what,
        why=finding.why,
        do=finding.do,
        basis=finding.basis.value,
        source=finding.source,
        point_mm=None if finding.point is None else _mm(finding.point),
    )


def _r(value: float, digits: int = 6) -> float:
    """Round to significant digits, so that the file shows no more than is known and repeats itself."""
    return float(f"{float(value):.{digits}g}")


def _mm(point: Sequence[float] | np.ndarray) -> list[float]:
    return [round(MM * float(c), 3) for c in point]


def _c(kelvin: float | None) -> float | None:
    return None if kelvin is None else round(kelvin - 273.15, 2)


def _laminate(plan: BuildPlan) -> m.LaminateMessage:
    found = plan.laminate
    zones = []
    for z in found.zones:
        lam = z.laminate
        bend = lam.flexural
        zones.append(
            m.ZoneMessage(
                plies=[k + 1 for k in found.plies_in(z)],
                area_cm2=_r(CM2 * z.area),
                share_percent=_r(100 * z.share),
                thickness_mm=_r(MM * lam.thickness),
                mass_g_per_m2=_r(1e3 * lam.mass_per_area),
                angles_deg=[_r(DEGREES * a) for a in z.angles],
                shear_rms_deg=[_r(DEGREES * a) for a in z.shears_rms],
                ex_gpa=_r(1e-9 * lam.Ex),
                ey_gpa=_r(1e-9 * lam.Ey),
                gxy_gpa=_r(1e-9 * lam.Gxy),
                nuxy=_r(lam.nuxy),
                ex_bending_gpa=_r(1e-9 * bend.Ex),
                ey_bending_gpa=_r(1e-9 * bend.Ey),
                symmetry_error=_r(lam.symmetry_error),
                balance_error=_r(lam.balance_error),
                a_n_per_m=[[_r(x) for x in row] for row in lam.A],
                b_n=[[_r(x) for x in row] for row in lam.B],
                d_n_m=[[_r(x) for x in row] for row in lam.D],
            )
        )
    match = found.match
    return m.LaminateMessage(
        part_cm2=_r(CM2 * found.part.area),
        mass_g=_r(1e3 * found.mass),
        bare_cm2=_r(CM2 * found.bare),
        zones=zones,
        match=None
        if match is None
        else m.MatchMessage(
            bending_ratio=_r(match.bending.ratio),
            pushed_ratio=_r(match.pushed.ratio),
            in_plane_ratio=_r(match.in_plane.ratio),
            bending_thickness_mm=_r(MM * match.bending.thickness),
            pushed_thickness_mm=_r(MM * match.pushed.thickness),
            in_plane_thickness_mm=_r(MM * match.in_plane.thickness),
            mass_saving_percent=_r(100 * match.saving),
        ),
    )


def _cutting(plan: BuildPlan) -> m.CuttingMessage:
    return m.CuttingMessage(
        cloths=[cloth_message(k) for k in plan.kits],
        cards=[_card(p, plan) for p in plan.cut if plan.plies[ply_of(p.label)].cards],
    )


def cloth_message(kit: MaterialKit) -> m.ClothMessage:
    """Return what is cut from one cloth as a message.

    Parameters
    ----------
    kit
        Of one cloth.
    """
    rolls = [
        _layout(r.nest, r.offcuts, r.take.cost or 0.0, roll=r.roll.called, batch=r.roll.batch, pull=r.take.pull)
        for r in kit.rolls
    ]
    sheets = [_layout(s.nest, s.offcuts, s.cost, offcut=s.offcut.name, batch=s.offcut.batch) for s in kit.sheets]
    return m.ClothMessage(
        material=kit.material,
        pull_mm=_r(MM * kit.pull),
        utilisation_percent=_r(100 * kit.utilisation),
        cost=_r(kit.cost),
        roll_alone_cost=None if kit.alone is None else _r(kit.alone),
        knife_path_m=_r(kit.knife_path),
        cutting_min=_r(kit.seconds / 60),
        offcuts_kept=kit.kept,
        offcuts_m2=_r(kit.kept_area),
        cut_on=None if kit.cut_on is None else kit.cut_on.isoformat(),
        layouts=[*sheets, *rolls],
    )


def _layout(
    nest: Nest | SheetNest,
    left: Offcuts,
    cost: float,
    *,
    batch: str,
    roll: str = "",
    offcut: str = "",
    pull: float | None = None,
) -> m.LayoutMessage:
    return m.LayoutMessage(
        roll=roll,
        offcut=offcut,
        batch=batch,
        width_mm=_r(MM * nest.cloth.width) if isinstance(nest, Nest) else None,
        pull_mm=None if pull is None else _r(MM * pull),
        utilisation_percent=_r(100 * nest.utilisation),
        cost=_r(cost),
        offcuts_kept=left.count,
        offcuts_m2=_r(left.area),
        placements=[
            m.PlacementMessage(
                piece=p.label,
                copy_number=p.copy,
                kit=nest.kit(p),
                face_down=p.flipped,
                turn_deg=_r(DEGREES * p.turn),
                x_mm=round(MM * p.x, 3),
                y_mm=round(MM * p.y, 3),
            )
            for p in nest.placements
        ],
    )


def _card(piece: FlatPiece, plan: BuildPlan) -> m.CardMessage:
    k = ply_of(piece.label)
    ply = plan.job.plies[k]
    return m.CardMessage(
        label=piece.label,
        ply=k + 1,
        material=piece.material,
        region=ply.region,
        angle_deg=_r(DEGREES * ply.angle),
        copies=piece.quantity // plan.job.quantity,
        length_mm=_r(MM * piece.size[0]),
        width_mm=_r(MM * piece.size[1]),
        area_cm2=_r(CM2 * piece.area),
        mass_g=_r(1e3 * cloth_weight(plan, k) * piece.area),
        outline_mm=[np.round(MM * loop, 3).tolist() for loop in piece.loops],
    )


def _bagging(plan: BuildPlan) -> m.BaggingMessage:
    bag = plan.bag
    return m.BaggingMessage(
        kind=bag.kind.value,
        items=[
            m.BagItemMessage(name=i.name, quantity=_r(i.quantity), unit=i.unit, how=i.how, basis=i.basis.value)
            for i in bag.items
        ],
        sheet_mm=[_r(MM * bag.sheet[0]), _r(MM * bag.sheet[1])],
        tape_run_mm=_r(MM * bag.tape_run),
        pleats=bag.pleats.count,
        ports=bag.ports,
        pump_down_s=_r(bag.pump_down),
        pressure_mbar=_r(bag.pressure / 100),
        debulks=[
            m.DebulkMessage(
                after_ply=d.after,
                minutes=d.minutes,
                warm=d.warm,
                why=d.why,
                reasons=[] if step is None else list(step.reasons),
                air_min=None if step is None or step.air is None else [_r(a) for a in step.air],
                life_h=0.0 if step is None else _r(step.life),
                may_merge=step is not None and step.may_merge,
            )
            for d, step in zip(bag.debulks, _steps_of(bag), strict=True)
        ],
        pressure_map=_pressure(plan),
        debulk_advice=[] if bag.course is None else list(bag.course.advice),
        breathing=(
            None
            if bag.breathing is None
            else m.BreathingMessage(
                spacing_mm=_r(MM * bag.edge_spacing),
                longest_mm=_r(MM * bag.breathing.longest),
                reach_mm=_r(MM * bag.breathing.reach),
                beyond_share=_r(bag.breathing.beyond),
            )
        ),
    )


def _pressure(plan: BuildPlan) -> m.PressureMapMessage | None:
    press = plan.press
    if press is None:
        return None
    some = press.least >= 0
    return m.PressureMapMessage(
        flat_mbar=_r(press.flat / 100),
        least_mbar=_r(float(press.pressure[press.least]) / 100) if some else None,
        bridged_share=_r(float(press.bridged.mean())),
        resin_least_mbar=[_r(float(p) / 100) for p in press.resin[press.least]] if some else None,
    )


def _steps_of(bag: BagPlan) -> Sequence[DebulkStep | None]:
    return [None] * len(bag.debulks) if bag.course is None else bag.course.steps


def _joining(plan: BuildPlan) -> m.JoiningMessage:
    return m.JoiningMessage(
        bonds=[
            m.BondMessage(
                name=b.name,
                area_cm2=_r(CM2 * b.area),
                area_needed_cm2=_r(CM2 * b.area_needed),
                reserve=_r(b.reserve) if math.isfinite(b.reserve) else None,
                mean_mpa=_r(1e-6 * b.stress.mean),
                peak_mpa=_r(1e-6 * b.stress.peak),
                adhesive_g=_r(1e3 * b.adhesive_mass),
                isolate=b.isolate,
                heat_margin_k=_r(b.heat_margin),
            )
            for b in plan.joints.bonds
        ],
        holes=[
            m.HoleMessage(
                name=h.name,
                edge_mm=_r(MM * h.edge) if math.isfinite(h.edge) else None,
                edge_wanted_mm=_r(MM * h.edge_wanted),
                thickness_mm=_r(MM * h.thickness),
            )
            for h in plan.joints.holes
        ],
    )


def _coat(coat: CoatPlan) -> m.CoatMessage:
    return m.CoatMessage(
        name=coat.name,
        times=coat.times,
        area_m2=_r(coat.area),
        wet_um=_r(1e6 * coat.wet),
        dry_um=_r(1e6 * coat.dry),
        mixed_ml=_r(1e6 * coat.volume),
        first_g=_r(1e3 * coat.masses[0]),
        second_g=_r(1e3 * coat.masses[1]),
        isocyanate=coat.isocyanate,
    )


def _finishing(plan: BuildPlan) -> m.FinishingMessage:
    finish = plan.finish
    return m.FinishingMessage(
        dew_point_c=round(finish.climate.dew_point - 273.15, 2),
        surface_c=round(finish.climate.surface - 273.15, 2),
        fill=None if finish.fill is None else _coat(finish.fill),
        coats=[_coat(c) for c in finish.coats],
    )


def _time(plan: BuildPlan) -> m.TimeMessage:
    n = plan.job.quantity
    attended = sum(s.attended if s.each else s.attended / n for s in plan.steps)
    return m.TimeMessage(
        attended_h_per_part=_r(attended / 3600),
        steps=[
            m.StepMessage(
                key=s.key,
                name=s.name,
                stage=s.stage,
                do=list(s.do),
                boxes=list(s.boxes),
                attended_min=_r(s.attended / 60),
                unattended_min=_r(s.unattended / 60),
                each=s.each,
                cautions=[f"{c.head} {c.text}" for c in cautions_for(s.hazards)],
            )
            for s in plan.steps
        ],
        calendar=[
            m.SlotMessage(
                task=s.task,
                start=s.start.isoformat(timespec="minutes"),
                end=s.end.isoformat(timespec="minutes"),
            )
            for s in plan.calendar.slots
        ],
        start=plan.calendar.start.isoformat(timespec="minutes"),
        finish=plan.calendar.finish.isoformat(timespec="minutes"),
    )


def _money(plan: BuildPlan) -> m.MoneyMessage:
    cost = plan.cost
    return m.MoneyMessage(
        currency=cost.currency,
        repeat=round(cost.repeat, 2),
        one_off=round(cost.one_off, 2),
        equipment=round(cost.equipment, 2),
        price=round(cost.price, 2),
        prices={str(n): round(p, 2) for n, p in cost.prices},
        lines=[
            m.CostLineMessage(
                what=line.what,
                group=line.group,
                total=line.total.value,
                amount=_r(line.amount),
                unit=line.unit,
                price=_r(line.price),
                cost=round(line.cost, 2),
                basis=line.basis.value,
            )
            for line in cost.lines
        ],
    )
