"""The chapters on how it is made: bag, cure, bonds and coats."""

from __future__ import annotations

import math

from bagside.bagging import BagPlan
from bagside.findings import Basis, sentence
from bagside.planning.cautions import cautions_for
from bagside.planning.cure_design import FoundCycle
from bagside.planning.cure_stage import Run
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets.book_words import of_stage
from bagside.sheets.bookinput import (
    Block,
    Caution,
    Chapter,
    Findings,
    Handwritten,
    Paragraph,
    Picture,
    Said,
    Table,
)
from bagside.sheets.cure_curves import run_curves
from bagside.sheets.curechart import cure_chart
from bagside.sheets.curedepth import depth_map
from bagside.sheets.curestrip import TALL
from bagside.sheets.plan_pictures import WIDE

DEPTH_FROM = 3.0  # [K] over the air from which on the thickness is worth a picture


def bag_chapter(plan: BuildPlan, picture: str) -> Chapter:
    """Return the chapter on the bag."""
    bag = plan.bag
    strictest = bag.leak_limits[0] if bag.leak_limits else None
    blocks: list[Block] = [Caution(what=c.head, why=c.text) for c in cautions_for(("vacuum",))]
    told = f"{bag.kind.value}; net edge dash-dotted, a dot for each strip of edge breathing"
    if not len(bag.pleats.places):
        told = f"{bag.kind.value}, the part as the rectangle round it; what is laid up dash-dotted, film dashed, in mm"
    if len(bag.tape_line):
        heights = ", ".join(f"{n} {shown(float(h), 'mm', 0)}" for n, h in enumerate(bag.pleats.heights, 1))
        told += f", tape {shown(bag.tape_distance, 'mm', 0)} outside it; pleats, how high: {heights}"
    blocks.append(Picture(svg=picture, caption=told))
    blocks.append(
        Table(
            title="What goes in, for one bag",
            headers=("item", "how much", "how it was worked out"),
            align="lrl",
            rows=tuple(
                (
                    i.name,
                    Said(words=f"{i.quantity:.2f} {i.unit}" if i.unit != "pcs" else f"{i.quantity:.0f}", basis=i.basis),
                    i.how,
                )
                for i in bag.items
            ),
        )
    )
    blocks.append(
        Table(
            title="The bag",
            headers=("", ""),
            align="lr",
            rows=(
                ("film, one sheet", f"{shown(bag.sheet[0], 'mm', 0)} × {shown(bag.sheet[1], 'mm', 0)}"),
                ("line of tape", shown(bag.tape_run, "m", 2)),
                ("pleats", str(bag.pleats.count) if len(bag.pleats.places) else _pleats(bag)),
                ("ports, the gauge's included", str(bag.ports)),
                ("pump-down", shown(bag.pump_down, "min", 1)),
                ("presses with", shown(bag.pressure, "mbar", 0)),
                *_breathing(bag),
            ),
        )
    )
    if strictest is not None:
        blocks.append(
            Table(
                title="Leak: pump isolated, gauge on the bag",
                headers=("criterion", "may lose", "in", "leak that is"),
                align="lrrr",
                rows=tuple(
                    (
                        Said(words=limit.criterion.name, basis=limit.criterion.basis),
                        shown(limit.drop, "mbar", 0),
                        shown(limit.time, "min", 0),
                        f"{6e7 * limit.flow:.1f} cm³/min",
                    )
                    for limit in bag.leak_limits
                ),
            )
        )
    blocks.append(
        Table(
            title="Debulks",
            headers=("after ply", "minutes", "why"),
            align="lrl",
            rows=tuple(
                (str(d.after), f"{d.minutes:.0f}{' warm' if d.warm else ''}", Said(words=d.why, basis=d.basis))
                for d in bag.debulks
            ),
        )
    )
    if bag.course is not None and bag.course.advice:
        blocks.append(Paragraph(words=" ".join(sentence(a) for a in bag.course.advice)))
    blocks.append(
        Handwritten(fields=(("start mbar", 1.0), ("end mbar", 1.0), ("minutes", 1.0), ("gauge", 1.0), ("by", 1.0)))
    )
    blocks.append(Findings(items=of_stage(plan, "bagging", "vacuum", "bag")))
    return Chapter(title="Bag", facts=(bag.kind.value,), blocks=tuple(blocks))


def _breathing(bag: BagPlan) -> tuple[tuple[str, str], ...]:
    """Return how the part breathes: strips along its edge, and how far air has to go."""
    if bag.breathing is None:
        return ()
    return (
        ("edge breathing, a strip every", shown(bag.edge_spacing, "mm", 0)),
        ("longest way of air to a strip", shown(bag.breathing.longest, "mm", 0)),
        ("air leaves in the hold from up to", shown(bag.breathing.reach, "mm", 0)),
    )


def _pleats(bag: BagPlan) -> str:
    """Return how many pleats there are and how high, where no picture shows their places."""
    low, high = (shown(float(h), "mm", 0) for h in (bag.pleats.heights.min(), bag.pleats.heights.max()))
    return f"{bag.pleats.count}, {low if low == high else f'{low} to {high}'} high, at corners and at most 400 mm apart"


def cure_chapter(plan: BuildPlan, run: Run, title: str) -> Chapter:
    """Return the chapter on one oven run."""
    on_mould = run.limits.tool is not None
    word = title.lower()
    blocks: list[Block] = [
        Caution(what=c.head, why=c.text) for c in cautions_for(("oven", "exotherm") if on_mould else ("oven",))
    ]
    curves = run_curves(run, plan.case)
    blocks.append(Picture(svg=cure_chart(curves, size_mm=(WIDE, 88.0 if curves.strip is None else 88.0 + TALL))))
    worst = max(range(len(run.outcomes)), key=lambda k: run.outcomes[k].overshoot)
    if run.outcomes[worst].overshoot > DEPTH_FROM:
        blocks.append(Picture(svg=depth_map(run.histories[worst], size_mm=(WIDE, 70.0))))
    blocks.append(_programme(run, () if plan.cycle is None else _reasons(plan.cycle, run)))
    basis = plan.library.resin[plan.library.prepreg[plan.job.plies[0].material].resin].basis.of("kinetics")
    blocks.append(
        Table(
            title="What each place goes through",
            headers=("place", "hottest", "cured", "Tg", "gels after", "at", "dwell")
            if on_mould
            else ("place", "hottest", "cured", "Tg", "least margin under Tg"),
            align="lrrrrrr" if on_mould else "lrrrr",
            rows=tuple(
                (
                    o.name,
                    shown(o.hottest, "°C", 0),
                    Said(words=shown(o.alpha_lagging, "%", 0), basis=basis),
                    Said(words=shown(o.tg, "°C", 0), basis=basis),
                    *(
                        (
                            "not" if o.gel_time is None else shown(o.gel_time, "h", 1),
                            "" if o.gel_temperature is None else shown(o.gel_temperature, "°C", 0),
                            shown(o.dwell, "h", 1),
                        )
                        if on_mould
                        else (shown(o.stiff_margin, "K", 0),)
                    ),
                )
                for o in run.outcomes
            ),
        )
    )
    energy = shown(run.energy.total, "kWh", 1)
    blocks.append(
        Paragraph(
            words=f"{shown(run.duration, 'h', 1)} from heat on until the last place is under "
            f"{shown(run.limits.demould, '°C', 0)}; {energy} from the socket."
        )
    )
    blocks.append(
        Handwritten(fields=(("oven on", 1.0), ("dwell began", 1.0), ("dwell ended", 1.0), ("log", 1.0), ("by", 1.0)))
    )
    mine = tuple(
        f
        for f in of_stage(plan, "cure")
        if f.place.startswith(word) or (on_mould and not f.place.startswith("post-cure"))
    )
    blocks.append(Findings(items=mine))
    return Chapter(
        title=title,
        facts=("on the mould" if on_mould else "free-standing, all parts together", shown(run.duration, "h", 1)),
        blocks=tuple(blocks),
    )


def _hold(time: float) -> str:
    return shown(time, "h", 1) if time >= 3600.0 else shown(time, "min", 0)


def _reasons(cycle: FoundCycle, run: Run) -> tuple[str, ...]:
    return cycle.reasons if run.limits.tool is not None else cycle.post_reasons


def _programme(run: Run, reasons: tuple[str, ...]) -> Table:
    rows = [
        (shown(s.target, "°C", 0), shown(s.ramp, "°C/min", 2), _hold(s.hold))
        for s in run.programme.segments
    ]
    if not reasons:
        return Table(title="Programme", headers=("to", "at", "hold"), align="lrr", rows=tuple(rows))
    said = [*reasons, *("" for _ in rows)][: len(rows)]
    return Table(
        title="Programme, and what holds each segment back",
        headers=("to", "at", "hold", "because"),
        align="lrrl",
        rows=tuple((*row, why) for row, why in zip(rows, said, strict=True)),
    )


def join_chapter(plan: BuildPlan) -> Chapter | None:
    """Return the chapter on brackets, holes and coats; nothing when there is none of them."""
    joints, finish = plan.joints, plan.finish
    if not (joints.bonds or joints.holes or finish.coats or finish.fill):
        return None
    blocks: list[Block] = []
    if joints.bonds:
        blocks.append(
            Table(
                title="Brackets",
                headers=("bracket", "bond", "wanted", "carries", "peak in the glue", "adhesive", "glass ply"),
                align="lrrrrrl",
                rows=tuple(
                    (
                        b.name,
                        shown(b.area, "cm²"),
                        shown(b.area_needed, "cm²"),
                        Said(words=f"{b.reserve:.1f} × load" if math.isfinite(b.reserve) else "", basis=Basis.COMMON),
                        shown(b.stress.peak, "MPa"),
                        shown(b.adhesive_mass, "g"),
                        "yes" if b.isolate else "no",
                    )
                    for b in joints.bonds
                ),
            )
        )
    if joints.holes:
        blocks.append(
            Table(
                title="Holes",
                headers=("hole", "to the edge", "wanted", "laminate there"),
                align="lrrr",
                rows=tuple(
                    (
                        h.name,
                        shown(h.edge, "mm", 0) if math.isfinite(h.edge) else "not measured",
                        Said(words=shown(h.edge_wanted, "mm", 0), basis=Basis.COMMON),
                        shown(h.thickness, "mm", 2),
                    )
                    for h in joints.holes
                ),
            )
        )
    coats = [*((finish.fill,) if finish.fill else ()), *finish.coats]
    if coats:
        blocks.append(
            Table(
                title="Mixed for one coat on all parts",
                headers=("coat", "times", "first part", "second part", "wet", "dry", "between", "hard after"),
                align="lrrrrrrr",
                rows=tuple(
                    (
                        c.name,
                        str(c.times),
                        shown(c.masses[0], "g", 0),
                        shown(c.masses[1], "g", 0),
                        shown(c.wet, "µm", 0),
                        shown(c.dry, "µm", 0),
                        shown(c.flash, "min", 0),
                        shown(c.cure_time, "h", 0),
                    )
                    for c in coats
                ),
            )
        )
        climate = finish.climate
        blocks.append(
            Paragraph(
                title="Climate",
                words=f"Room {shown(climate.air, '°C', 0)} at {shown(climate.humidity, '%', 0)}: dew point "
                f"{shown(climate.dew_point, '°C')}; the part must be {shown(climate.dew_point + 3.0, '°C')} or more.",
            )
        )
    blocks.append(Findings(items=of_stage(plan, "joining", "finishing")))
    return Chapter(title="Bond and finish", facts=(), blocks=tuple(blocks))
