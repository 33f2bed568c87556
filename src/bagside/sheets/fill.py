"""A plan as what the book is printed from."""

from __future__ import annotations

import math

import numpy as np

from bagside.drape import summary_of
from bagside.findings import Basis, Finding, Severity, sentence, weakest
from bagside.planning.cautions import DEFERS, cautions_for
from bagside.planning.cost import Total
from bagside.planning.cure_stage import Run
from bagside.planning.laminate_stage import laid_ply
from bagside.planning.plan import BuildPlan
from bagside.planning.steps import Step
from bagside.quantity import THIN_SPACE, shown
from bagside.sheets import colour, marks, paper, plan_pictures
from bagside.sheets.bookinput import (
    Block,
    BookInput,
    Boxes,
    Caution,
    Chapter,
    Findings,
    Handwritten,
    Paragraph,
    Picture,
    PlyPage,
    Said,
    StepLine,
    Steps,
    Table,
    Words,
)
from bagside.sheets.plan_pictures import WIDE, Drawn, Sight
from bagside.sheets.press import SIZES
from bagside.sheets.shapes_out import nest_svg

LIMITS = (
    "This book does not certify a structure. Have any part whose failure can hurt someone checked by a qualified "
    "person.",
    "The data sheet of the batch in the freezer comes first, then what was measured in this shop, then what is printed "
    "here.",
    DEFERS,
    "Cloth is taken to drape as the laminator's best; heat flows through the thickness only; strength is not worked "
    "out.",
)


def book_input(plan: BuildPlan, drawn: Drawn, bag: str, made_from: str) -> BookInput:
    """Return what the book of a plan says and shows.

    Parameters
    ----------
    plan
        The build.
    drawn
        Its pictures on the mould, from `bagside.sheets.plan_pictures.drawn`.
    bag
        The bag's picture, from `bagside.sheets.plan_pictures.bag_picture`.
    made_from
        Digest of everything it was made from.
    """
    last = plan.cure.last
    prepregs = [plan.library.prepreg[p.material] for p in plan.job.plies]
    cloth = weakest(*(p.basis.of("areal_weight") for p in prepregs))
    resin = plan.library.resin[prepregs[0].resin].basis
    note = " · ".join(
        text for text in (f"{plan.job.quantity} off", _mould_words(plan), plan.workshop.name, plan.job.note) if text
    )
    return BookInput(
        title=plan.job.name,
        subtitle=note,
        facts=(
            ("plies", str(len(plan.job.plies))),
            ("pieces for one part", str(len(plan.pieces))),
            ("area of the part", shown(plan.part.area, "cm²", 0)),
            ("thickness, most of it", Said(words=shown(plan.laminate.main.laminate.thickness, "mm", 2), basis=cloth)),
            ("mass as cured", Said(words=shown(plan.laminate.mass, "g", 0), basis=cloth)),
            ("cloth to pull", "; ".join(f"{shown(k.take.pull, 'm', 2)} {k.material}" for k in plan.kits)),
            ("hottest on the mould", shown(max(o.hottest for o in plan.cure.first.outcomes), "°C", 0)),
            (
                "glass transition, least",
                Said(words=shown(min(o.tg for o in last.outcomes), "°C", 0), basis=resin.of("kinetics")),
            ),
            ("finish", _day(plan.calendar.finish)),
            ("price of one", Said(words=_money(plan, plan.cost.price), basis=Basis.COMMON, bold=True)),
        ),
        inputs=f"{made_from[:4]} {made_from[4:8]}",
        made=f"{_day(plan.calendar.start)}, first day",
        cover=drawn.cover,
        findings=plan.findings,
        before=(_mould_chapter(plan, drawn), _laminate_chapter(plan, drawn), _cut_chapter(plan)),
        plies=tuple(_ply_page(plan, k, drawn) for k in range(len(plan.job.plies))),
        after=tuple(
            c
            for c in (
                _bag_chapter(plan, bag),
                *(
                    _cure_chapter(plan, run, word)
                    for run, word in zip(plan.cure.runs, ("Cure", "Post-cure"), strict=False)
                ),
                _join_chapter(plan),
                *_step_chapters(plan),
                _time_chapter(plan),
                _money_chapter(plan),
            )
            if c is not None
        ),
        sources=_sources(plan),
        limits=LIMITS,
        paper=plan.workshop.paper,
    )


def _day(moment: object) -> str:
    return f"{moment:%a %-d %b}" if hasattr(moment, "strftime") else ""


def _money(plan: BuildPlan, amount: float) -> str:
    return f"{amount:,.2f}".replace(",", THIN_SPACE) + f" {plan.cost.currency}"


def _mould_words(plan: BuildPlan) -> str:
    count = len(plan.job.mould.pieces)
    return f"{count}-piece mould" if count > 1 else "mould in one piece"


def _of(plan: BuildPlan, *stages: str) -> tuple[Finding, ...]:
    return tuple(f for f in plan.findings if f.stage in stages)


def _mould_chapter(plan: BuildPlan, drawn: Drawn) -> Chapter:
    found = plan.mould
    tool = plan.library.tool[plan.job.mould.material]
    placed = plan_pictures.placed_findings(found.findings)
    rings = [
        Paragraph(words=Said(words=f"{n}  {sentence(f.what)} {sentence(f.why)} {sentence(f.do)}", basis=f.basis))
        for n, f in enumerate(placed, 1)
    ]
    blocks: list[Block] = [
        Picture(
            svg=drawn.corners,
            caption=f"seen from the laminate side, tilted {math.degrees(drawn.tilt):.0f}°; net edge dash-dotted, "
            "tight corners bold",
        ),
        *rings,
        Table(
            title="How it comes off",
            headers=("piece", "least draft", "hooks in by"),
            align="lrr",
            rows=tuple((p.name, shown(p.smallest, "°"), shown(p.hook, "mm", 2)) for p in found.pieces),
        ),
    ]
    if found.corners:
        blocks.append(
            Table(
                title="Tight inside corners",
                headers=("corner", "verdict", "radius", "wanted", "length", "bridge"),
                align="llrrrr",
                rows=tuple(
                    (
                        c.id,
                        c.verdict.value,
                        Said(words=shown(c.radius, "mm"), basis=Basis.MEASURED),
                        Said(words=shown(c.needed, "mm"), basis=Basis.COMMON),
                        shown(c.length, "mm", 0),
                        shown(c.gap, "mm"),
                    )
                    for c in found.corners
                ),
            )
        )
    blocks.append(
        Table(
            title="Size and heat",
            headers=("", ""),
            align="lr",
            rows=(
                ("material, thickness", f"{plan.job.mould.material}, {shown(plan.job.mould.thickness, 'mm', 0)}"),
                ("hottest it may be", Said(words=shown(tool.limit, "°C", 0), basis=tool.basis.of("limit"))),
                ("hottest it gets", shown(tool.limit - found.heat_margin, "°C", 0)),
                (
                    f"mould to make for {shown(found.size.part, 'mm')} of part",
                    Said(words=shown(found.size.mould, "mm"), basis=tool.basis.of("expansion")),
                ),
                (
                    "a right angle closes by",
                    Said(words=shown(found.spring_per_right_angle, "°"), basis=Basis.COMMON),
                ),
            ),
        )
    )
    blocks.append(Findings(items=tuple(f for f in _of(plan, "mould", "geometry") if f not in placed)))
    return Chapter(title="Mould", facts=(_mould_words(plan), plan.surface.report.name), blocks=tuple(blocks))


def _laminate_chapter(plan: BuildPlan, drawn: Drawn) -> Chapter:
    found = plan.laminate
    cloth = found.basis
    blocks: list[Block] = [
        Picture(svg=drawn.section, caption="section A–A through the start of laying"),
        Table(
            title="Plies, first on the mould",
            headers=("ply", "cloth", "warp", "where", "cured", "pieces"),
            align="llrlrr",
            rows=tuple(
                (
                    str(k + 1),
                    ply.material,
                    shown(ply.angle, "°", 0),
                    ply.region,
                    Said(words=shown(_thickness(plan, k), "mm", 2), basis=cloth),
                    str(sum(p.ply == k for p in plan.pieces)),
                )
                for k, ply in enumerate(plan.job.plies)
            ),
        ),
        Table(
            title="Zones",
            headers=("plies", "area", "thickness", "mass", "Ex", "Ey", "Gxy"),
            align="lrrrrrr",
            rows=tuple(
                (
                    ", ".join(str(i + 1) for i in z.present),
                    shown(z.area, "cm²", 0),
                    Said(words=shown(z.laminate.thickness, "mm", 2), basis=cloth),
                    shown(z.laminate.mass_per_area, "g/m²", 0),
                    Said(words=shown(z.laminate.Ex, "GPa", 0), basis=cloth),
                    shown(z.laminate.Ey, "GPa", 0),
                    shown(z.laminate.Gxy, "GPa", 0),
                )
                for z in found.zones
                if not z.small or len(found.zones) == 1
            ),
        ),
    ]
    match, replaced = found.match, plan.job.replaces
    if match is not None and replaced is not None:
        blocks.append(
            Table(
                title=f"Beside {shown(replaced.thickness, 'mm')} of {replaced.material}",
                headers=("as stiff as it, in", "this laminate", "would want", "mass saved by that"),
                align="lrrr",
                rows=tuple(
                    (
                        name,
                        Said(words=shown(a.ratio, "%", 0), basis=cloth),
                        shown(a.thickness, "mm", 2),
                        shown(a.saving, "%", 0),
                    )
                    for name, a in (
                        ("bending, as a flat plate", match.bending),
                        ("a push, as a gently curved panel", match.pushed),
                        ("its plane, as a bracket or an edge", match.in_plane),
                    )
                ),
            )
        )
    blocks.append(Findings(items=_of(plan, "laminate")))
    return Chapter(
        title="Laminate",
        facts=(shown(found.mass, "g", 0) + " as cured", shown(found.main.laminate.thickness, "mm", 2)),
        blocks=tuple(blocks),
    )


def _thickness(plan: BuildPlan, k: int) -> float:
    ply = plan.job.plies[k]
    return laid_ply(str(k + 1), plan.library.prepreg[ply.material], ply.angle).thickness


def _cut_chapter(plan: BuildPlan) -> Chapter:
    blocks: list[Block] = [Caution(what=c.head, why=c.text) for c in cautions_for(("knife", "prepreg"))]
    rows: list[tuple[Words, ...]] = []
    for p in plan.pieces:
        length, width = np.ptp(p.pattern.loops[0], axis=0)
        rows.append(
            (
                p.label,
                plan.job.plies[p.ply].material,
                str(plan.job.quantity),
                shown(float(length), "mm", 0),
                shown(float(width), "mm", 0),
                shown(p.pattern.area, "cm²", 0),
                str(plan.library.prepreg[plan.job.plies[p.ply].material].films),
            )
        )
    blocks.append(
        Table(
            headers=("piece", "cloth", "cut", "along warp", "across", "area", "films"),
            align="llrrrrr",
            rows=tuple(rows),
        )
    )
    for kit in plan.kits:
        scale = _nest_scale(kit.take.pull, kit.nest.cloth.width)
        blocks.append(
            Picture(
                svg=nest_svg(kit.nest, pull=kit.take.pull, scale=scale),
                caption=f"{kit.material}{f', roll {kit.roll.batch}' if kit.roll.batch else ''}: pull "
                f"{shown(kit.take.pull, 'm', 2)}, {shown(kit.take.utilisation, '%', 0)} become pieces, "
                f"{_money(plan, kit.take.cost or 0.0)}; knife {shown(kit.take.knife_path, 'm', 1)}, "
                f"{shown(kit.take.seconds, 'min', 0)}; offcuts kept {kit.offcuts.count}; 1 : {round(1 / scale)}",
            )
        )
    blocks.append(
        Boxes(
            title="Before the roll goes back",
            items=((1, "hours out of the freezer added"), (1, "offcuts labelled: batch, warp, hours used")),
        )
    )
    blocks.append(Findings(items=_of(plan, "cutting")))
    return Chapter(title="Cut list", facts=(f"{plan.job.quantity} kits",), blocks=tuple(blocks))


def _nest_scale(pull: float, width: float) -> float:
    for scale in (2, 5, 10, 15, 20, 25, 50, 100):
        if 1e3 * pull / scale <= WIDE - 14.0 and 1e3 * width / scale <= 104.0:
            return 1.0 / scale
    return 1.0 / 200.0


def sight_of(plan: BuildPlan) -> Sight:
    """Return what the pictures on the mould are drawn from."""
    job = plan.job
    return Sight(
        name=job.name,
        work=plan.surface.work,
        laid=max((plan.regions[ply.region] for ply in job.plies), key=lambda s: s.area),
        part=plan.part,
        pieces=plan.pieces,
        thicknesses=tuple(_thickness(plan, k) for k in range(len(job.plies))),
        holes=job.holes,
        brackets=tuple(b.at for b in job.brackets),
        corners=plan.mould.corners,
        mould_places=tuple(plan_pictures.placed_findings(plan.mould.findings)),
        ply_places=tuple(tuple(_placed(plan, k)) for k in range(len(job.plies))),
        start=job.laying.start,
        direction=job.laying.direction,
        side=job.mould.laminate_side,
        tall=SIZES[plan.workshop.paper][1],
    )


def _own(plan: BuildPlan, k: int) -> tuple[Finding, ...]:
    labels = {p.label for p in plan.pieces if p.ply == k}
    return tuple(f for f in _of(plan, "drape") if labels & _labels_in(f.place))


def _placed(plan: BuildPlan, k: int) -> list[Finding]:
    return [f for f in _own(plan, k) if f.point is not None][: plan_pictures.RINGS]


def _ply_page(plan: BuildPlan, k: int, drawn: Drawn) -> PlyPage:
    ply = plan.job.plies[k]
    pieces = [p for p in plan.pieces if p.ply == k]
    prepreg = plan.library.prepreg[ply.material]
    own, placed = _own(plan, k), _placed(plan, k)
    notes: list[Words] = [Said(words=f.what.rstrip("."), basis=f.basis) for f in placed]
    worst = max(summary_of(p.drape, p.drape.law).shear_99 for p in pieces)
    limit = None if prepreg.locking_angle is None else math.degrees(prepreg.locking_angle)
    scale = paper.sheet(62, 9, [marks.scale_bar(2.5, 2.4, colour.SHEAR, limit=limit, length=56)], title="shear")
    step = next(s for s in plan.steps if s.key == f"ply-{k + 1}")
    count = len(pieces)
    return PlyPage(
        title=f"Ply {k + 1}",
        facts=(
            f"of {len(plan.job.plies)}",
            ply.material,
            f"warp {shown(ply.angle, '°', 0)}",
            ply.region,
            "one piece" if count == 1 else f"{count} pieces",
            f"shear {shown(worst, '°', 0)}",
        ),
        picture=drawn.plies[k],
        scale=scale,
        notes=tuple(notes),
        flats=(drawn.flats[k],),
        section=drawn.sections[k],
        boxes=tuple((plan.job.quantity if plan.job.quantity <= 8 else 1, b) for b in step.boxes),
        cautions=tuple(Caution(what=c.head, why=c.text) for c in cautions_for(step.hazards)),
        findings=tuple(f for f in own if f not in placed),
    )


def _labels_in(place: str) -> set[str]:
    words = place.replace(",", " ").split()
    return set(words[1:]) - {"and"} if words and words[0] in ("piece", "pieces") else set()


def _bag_chapter(plan: BuildPlan, picture: str) -> Chapter:
    bag = plan.bag
    strictest = bag.leak_limits[0] if bag.leak_limits else None
    blocks: list[Block] = [Caution(what=c.head, why=c.text) for c in cautions_for(("vacuum",))]
    told = f"{bag.kind.value}; net edge dash-dotted"
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
                ("pleats", str(bag.pleats.count)),
                ("ports, the gauge's included", str(bag.ports)),
                ("pump-down", shown(bag.pump_down, "min", 1)),
                ("presses with", shown(bag.pressure, "mbar", 0)),
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
    blocks.append(
        Handwritten(fields=(("start mbar", 1.0), ("end mbar", 1.0), ("minutes", 1.0), ("gauge", 1.0), ("by", 1.0)))
    )
    blocks.append(Findings(items=_of(plan, "bagging", "vacuum", "bag")))
    return Chapter(title="Bag", facts=(bag.kind.value,), blocks=tuple(blocks))


def _cure_chapter(plan: BuildPlan, run: Run, title: str) -> Chapter:
    on_mould = run.limits.tool is not None
    word = title.lower()
    blocks: list[Block] = [
        Caution(what=c.head, why=c.text) for c in cautions_for(("oven", "exotherm") if on_mould else ("oven",))
    ]
    blocks.append(Picture(svg=plan_pictures.run_chart(run, plan, (WIDE, 88.0))))
    blocks.append(
        Table(
            title="Programme",
            headers=("to", "at", "hold"),
            align="lrr",
            rows=tuple(
                (shown(s.target, "°C", 0), shown(s.ramp, "°C/min", 2), shown(s.hold, "h", 1))
                for s in run.programme.segments
            ),
        )
    )
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
        f for f in _of(plan, "cure") if f.place.startswith(word) or (on_mould and not f.place.startswith("post-cure"))
    )
    blocks.append(Findings(items=mine))
    return Chapter(
        title=title,
        facts=("on the mould" if on_mould else "free-standing, all parts together", shown(run.duration, "h", 1)),
        blocks=tuple(blocks),
    )


def _join_chapter(plan: BuildPlan) -> Chapter | None:
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
                        shown(h.edge, "mm", 0),
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
    blocks.append(Findings(items=_of(plan, "joining", "finishing")))
    return Chapter(title="Bond and finish", facts=(), blocks=tuple(blocks))


def _step_chapters(plan: BuildPlan) -> tuple[Chapter, ...]:
    stages: dict[str, list[Step]] = {}
    for step in plan.steps:
        stages.setdefault(step.stage, []).append(step)
    number = 0
    blocks: list[Block] = []
    for stage, own in stages.items():
        lines = []
        for step in own:
            number += 1
            lines.append(
                StepLine(
                    number=str(number),
                    name=step.name + (", each part" if step.each and plan.job.quantity > 1 else ""),
                    do=step.do,
                    boxes=step.boxes,
                    attended=_duration(step.attended),
                    unattended=_duration(step.unattended),
                    cautions=tuple(Caution(what=c.head, why=c.text) for c in cautions_for(step.hazards)),
                )
            )
        blocks.append(Steps(title=stage, items=tuple(lines)))
    return (Chapter(title="Steps", facts=(f"{number} steps",), blocks=tuple(blocks)),)


def _duration(seconds: float) -> str:
    if seconds <= 0:
        return ""
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def _time_chapter(plan: BuildPlan) -> Chapter:
    n = plan.job.quantity
    attended = sum(s.attended if s.each else s.attended / n for s in plan.steps)
    blocks: list[Block] = [
        Picture(
            svg=plan_pictures.calendar_picture(plan, WIDE),
            caption="solid: hands on it; hollow: it runs by itself. One feasible calendar, not the shortest.",
        ),
        Paragraph(
            words=f"{_duration(attended)} of attended time for each part; {plan.workshop.people} "
            f"{'person' if plan.workshop.people == 1 else 'people'}; {_day(plan.calendar.start)} to "
            f"{_day(plan.calendar.finish)}."
        ),
        Findings(items=_of(plan, "time")),
    ]
    return Chapter(
        title="Time", facts=(_day(plan.calendar.start) + " to " + _day(plan.calendar.finish),), blocks=tuple(blocks)
    )


def _money_chapter(plan: BuildPlan) -> Chapter:
    cost = plan.cost
    blocks: list[Block] = []
    for total, title in (
        (Total.REPEAT, "Each further part"),
        (Total.ONE_OFF, "Once, for this design"),
        (Total.EQUIPMENT, "Equipment, kept apart: in no price"),
    ):
        lines = [line for line in cost.lines if line.total is total]
        if not lines:
            continue
        rows: list[tuple[Words, ...]] = [
            (
                line.what,
                f"{line.amount:.2f} {line.unit}",
                f"{line.price:.2f}",
                Said(words=f"{line.cost:,.2f}".replace(",", THIN_SPACE), basis=line.basis),
            )
            for line in lines
        ]
        whole = sum(line.cost for line in lines)
        rows.append(("in all", "", "", Said(words=_money(plan, whole), bold=True)))
        blocks.append(
            Table(title=title, headers=("", "amount", "price", cost.currency), align="lrrr", rows=tuple(rows))
        )
    blocks.append(
        Picture(svg=plan_pictures.money_picture(plan, WIDE), caption="where the cost of one further part goes")
    )
    blocks.append(
        Table(
            title="Price of one, by number off",
            headers=tuple(str(k) for k, _ in cost.prices),
            align="r" * len(cost.prices),
            rows=(tuple(_money(plan, p) for _, p in cost.prices),),
        )
    )
    spread = max(cost.quantity, plan.job.mould.expected)
    blocks.append(
        Paragraph(
            words=f"At {cost.quantity} off the mould is spread over the {spread} parts it is expected to serve, "
            f"elsewhere over the number shown; {shown(cost.scrap, '%', 0)} scrap, {shown(cost.profit, '%', 0)} on top."
        )
    )
    return Chapter(title="Money", facts=(_money(plan, cost.price) + " each",), blocks=tuple(blocks))


def _sources(plan: BuildPlan) -> tuple[tuple[str, Words], ...]:
    library, job = plan.library, plan.job
    found: list[tuple[str, Words]] = []
    for name in dict.fromkeys(p.material for p in job.plies):
        told = library.prepreg[name].basis
        found.append((f"cloth {name}", Said(words=told.source or told.all.value, basis=told.all)))
    resin = library.prepreg[job.plies[0].material].resin
    told = library.resin[resin].basis
    found.append((f"resin {resin}", Said(words=told.source or told.all.value, basis=told.all)))
    told = library.tool[job.mould.material].basis
    found.append((f"mould {job.mould.material}", Said(words=told.source or told.all.value, basis=told.all)))
    for name in dict.fromkeys(b.adhesive for b in job.brackets):
        told = library.adhesive[name].basis
        found.append((f"adhesive {name}", Said(words=told.source or told.all.value, basis=told.all)))
    coats = ([job.finish.filler] if job.finish.filler else []) + [c.coating for c in job.finish.coats]
    for name in dict.fromkeys(coats):
        told = library.coating[name].basis
        found.append((f"coat {name}", Said(words=told.source or told.all.value, basis=told.all)))
    seen = {f.source for f in plan.findings if f.source and f.severity is not Severity.SEEN}
    known = {s.words for _, s in found if isinstance(s, Said)}
    for text in sorted(seen - known):
        basis = next(f.basis for f in plan.findings if f.source == text)
        stage = next(f.stage for f in plan.findings if f.source == text)
        found.append((f"finding of {stage}", Said(words=text, basis=basis)))
    return tuple(found)
