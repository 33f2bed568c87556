"""The steps of each chapter of a build: what is done, what is ticked, how long it takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from bagside.bagging import BagPlan, Debulk
from bagside.cutting import FlatPiece
from bagside.finishing import CoatPlan
from bagside.planning.cure_stage import CurePlan, Run
from bagside.planning.finish_stage import FinishPlan
from bagside.planning.joint_stage import JointPlan
from bagside.planning.kit import MaterialKit
from bagside.planning.patchwork_notes import tiles_in_words
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.ply_pieces import PlyPieces
from bagside.planning.step import Step
from bagside.quantity import shown
from bagside.spec.job import Face, Job
from bagside.spec.library import Library
from bagside.spec.region import EVERYTHING


def getting_ready(
    job: Job, kits: Sequence[MaterialKit], cut: Sequence[FlatPiece], times: Mapping[str, float]
) -> list[Step]:
    """Return the steps before anything is laid."""
    factor = job.complexity
    rolls = ", ".join(f"{k.material}{f' ({k.source})' if k.source else ''}" for k in kits)
    pull = "; ".join(f"{shown(k.pull, 'm', 2)} of {k.material}" for k in kits if k.rolls)
    sheets = ", ".join(s.offcut.name for k in kits for s in k.sheets)
    return [
        Step(
            key="thaw",
            name="Thaw the cloth, sealed",
            stage="Get ready",
            do=(
                f"Take {rolls} out of the freezer in the sealed bag and write the time down.",
                "Open only when the bag is dry outside and the core is 3 °C above the dew point of the room.",
            ),
            boxes=("time out written", "bag dry before it is opened"),
            attended=300.0,
            unattended=times["thaw"],
            needs=frozenset({"freezer"}),
            hazards=("lifting",),
        ),
        Step(
            key="templates",
            name="Print and cut the templates",
            stage="Get ready",
            do=(
                f"Print the {len(cut)} templates at full size, without scaling.",
                "Measure the check square: 100 mm each way, or print again.",
                "Mark label, warp arrow and this side up on each.",
            ),
            boxes=("check square 100 mm", *_template_boxes(cut)),
            attended=times["template"] * len(cut) * factor,
            hazards=("knife",),
            one_off=True,
        ),
        Step(
            key="cut",
            name=f"Cut {'one kit' if job.quantity == 1 else f'{job.quantity} kits'}",
            stage="Cut",
            do=(
                *((f"Cut from the offcuts {sheets} first.",) if sheets else ()),
                *((f"Pull {pull}.",) if pull else ()),
                "Cut the show ply first, from the clean end; keep the warp arrow along the roll.",
                "Stack each kit between films in laying order, last ply at the bottom.",
                "Put the roll back and add the hours it was out.",
            ),
            boxes=(
                *(f"kit {n + 1} complete" for n in range(job.quantity)),
                "roll back, hours written",
                "offcuts labelled",
            ),
            attended=sum(k.seconds for k in kits) * factor,
            hazards=("knife", "prepreg", "waste"),
        ),
    ]


def _template_boxes(cut: Sequence[FlatPiece]) -> tuple[str, ...]:
    """Return a box for each template; edge tiles of one ply share one."""
    boxes: dict[str, int] = {}
    for piece in cut:
        ply, dash, _ = piece.label.partition("-")
        name = f"templates {ply}-…" if dash else f"template {piece.label}"
        boxes[name] = boxes.get(name, 0) + 1
    return tuple(f"{count} {name}" if name.endswith("…") else name for name, count in boxes.items())


def laying(
    job: Job,
    library: Library,
    plies: Sequence[PlyPieces],
    bag: BagPlan,
    times: Mapping[str, float],
    patchwork: PlyPatchwork | None = None,
) -> list[Step]:
    """Return the steps from the clean mould to the last ply, debulks included."""
    factor = job.complexity
    steps = [
        Step(
            key="release",
            name="Clean and release the mould",
            stage="Lay",
            do=(
                "Degrease, check the seams and the flange, apply the release coat and let it cure.",
                "Tape should barely hold on the face; water beads evenly.",
            ),
            boxes=("pull number written", "release coat and time written", "pieces bolted, seal on the outside")
            if job.mould.pieces
            else ("pull number written", "release coat and time written"),
            attended=times["release"] * factor,
            unattended=1800.0,
            each=True,
            needs=frozenset({"mould"}),
            hazards=("solvent",),
        )
    ]
    due = {d.after: d for d in bag.debulks}
    films = 0
    for k, ply in enumerate(job.plies):
        own, prepreg = plies[k], library.prepreg[ply.material]
        show = k == 0 and job.laying.show
        rate = times["lay_show"] if show else times["lay_backing"]
        films += prepreg.films * own.count
        if patchwork is not None and patchwork.ply == k:
            films += prepreg.films * (len(patchwork.plan.tiles) - own.count)
            steps.append(_laying_tiles(job, library, patchwork, own.area, rate, times, first=k == 0))
            steps.extend(_debulking(due.get(k + 1), times, first=k == 0))
            continue
        start = (
            f"Lay {'it' if own.count == 1 else 'each'} in place ({_place(ply.region)}), the arrow along the warp line."
            if own.cards
            else "Put the cross on the start mark, the arrow along the warp line."
        )
        boxes = [
            f"{prepreg.films * own.count} film{'s' if prepreg.films * own.count > 1 else ''} off",
            "corners pressed down, no bridge",
        ]
        if own.count > 1:
            boxes.insert(0, f"{own.count} pieces: {own.named}")
        boxes.append("warp within 3° of the arrow")
        if prepreg.one_faced:
            boxes.append(f"resin-rich face to the {'mould' if ply.face is Face.MOULD else 'bag'}")
        steps.append(
            Step(
                key=f"ply-{k + 1}",
                name=f"Lay ply {k + 1}: {own.named}, {ply.material}",
                stage="Lay",
                do=(start, "Work from the flat to the radius, into the corner, then up the wall; never span a corner."),
                boxes=tuple(boxes),
                attended=(own.area / rate + times["piece"] * own.count) * factor,
                each=True,
                needs=frozenset({"mould"}),
                hazards=("prepreg",) if k == 0 else (),
            )
        )
        steps.extend(_debulking(due.get(k + 1), times, first=k == 0))
    steps[-1 if not steps[-1].key.startswith("debulk") else -2] = _with_box(
        steps[-1 if not steps[-1].key.startswith("debulk") else -2], f"{films} films counted in all"
    )
    return steps


def _place(region: str) -> str:
    return "all of the lay-up" if region == EVERYTHING else region


def _debulking(debulk: Debulk | None, times: Mapping[str, float], *, first: bool) -> list[Step]:
    if debulk is None:
        return []
    warm = ", warm at 40 to 50 °C" if debulk.warm else ""
    return [
        Step(
            key=f"debulk-{debulk.after}",
            name=f"Debulk after ply {debulk.after}",
            stage="Lay",
            do=(f"Full vacuum for {debulk.minutes:.0f} min{warm}: {debulk.why}.",),
            boxes=("start and end", "mbar"),
            attended=times["debulk"],
            unattended=60.0 * debulk.minutes,
            each=True,
            needs=frozenset({"mould"}),
            hazards=("vacuum",) if first else (),
        )
    ]


def _laying_tiles(
    job: Job,
    library: Library,
    patchwork: PlyPatchwork,
    area: float,
    rate: float,
    times: Mapping[str, float],
    *,
    first: bool,
) -> Step:
    ply = job.plies[patchwork.ply]
    prepreg, plan = library.prepreg[ply.material], patchwork.plan
    count = len(plan.tiles)
    over = (
        f"Each tile lies {shown(patchwork.base.overlap, 'mm')} over those with smaller numbers."
        if patchwork.base.overlap
        else f"Leave {shown(patchwork.base.gap, 'mm')} between tiles."
        if patchwork.base.gap
        else "Tiles meet edge to edge."
    )
    boxes = [
        tiles_in_words(patchwork),
        f"{prepreg.films * count} film{'s' if prepreg.films * count > 1 else ''} off",
        "every tile pressed down, no corner stands up",
        "warp of every tile along the arrow",
    ]
    if prepreg.one_faced:
        boxes.append(f"resin-rich face to the {'mould' if ply.face is Face.MOULD else 'bag'}")
    return Step(
        key=f"ply-{patchwork.ply + 1}",
        name=f"Lay ply {patchwork.ply + 1}: {count} tiles, {ply.material}",
        stage="Lay",
        do=(
            "Draw the row through the start on the mould and begin there; tiles go down in the order of their numbers.",
            f"{over} Whole tiles fit any place of their sort; edge tiles only their own.",
        ),
        boxes=tuple(boxes),
        attended=(area / rate + times["piece"] * count) * job.complexity,
        each=True,
        needs=frozenset({"mould"}),
        hazards=("prepreg",) if first else (),
    )


def _with_box(step: Step, box: str) -> Step:
    return replace(step, boxes=(*step.boxes, box))


def bagging_and_curing(job: Job, bag: BagPlan, cure: CurePlan, times: Mapping[str, float]) -> list[Step]:
    """Return the steps from the bag to the cold part."""
    factor = job.complexity
    limit = bag.leak_limits[0] if bag.leak_limits else None
    leak = (
        f"The gauge on the bag may lose {shown(limit.drop, 'mbar', 0)} in {limit.time / 60:.0f} min."
        if limit is not None
        else "The gauge on the bag must hold with the pump isolated."
    )
    top = max(s.target for s in cure.first.programme.segments)
    return [
        Step(
            key="bag",
            name=f"Bag it: {bag.kind.value}",
            stage="Bag",
            do=(
                "Release film without creases, breather in one path to every port, film touching every corner.",
                f"{bag.pleats.count} pleats; stop at 250 mbar, arrange, then pull down.",
            ),
            boxes=("release film", "breather to every port", f"{bag.pleats.count} pleats", "film touches every corner"),
            attended=times["bag"] * factor,
            each=True,
            needs=frozenset({"mould"}),
            hazards=("vacuum",),
        ),
        Step(
            key="leak",
            name="Test for leaks",
            stage="Bag",
            do=("Pump for 10 to 15 min, then isolate the pump.", leak),
            boxes=("start mbar", "end mbar", "minutes"),
            attended=times["leak_test"],
            unattended=900.0,
            each=True,
            needs=frozenset({"mould"}),
        ),
        Step(
            key="hold",
            name="Hold under vacuum",
            stage="Cure",
            do=("Pump on; the laminate gives off air and moisture before it is heated.",),
            boxes=("pump on", "time"),
            unattended=job.cure.vacuum_hold,
            each=True,
            needs=frozenset({"mould"}),
        ),
        Step(
            key="cure",
            name=f"Cure on the mould, up to {shown(top, '°C', 0)}",
            stage="Cure",
            do=(
                "Thermocouples: air, thickest place on the mould side, thinnest near the inlet.",
                "A dwell starts when the lagging one is within 5 °C. Pump on to the end.",
                f"Off when the last place is under {shown(job.cure.demould, '°C', 0)}.",
            ),
            boxes=("programme set", "log running", "over-temperature trip set"),
            attended=times["load_oven"],
            unattended=cure.first.duration,
            each=True,
            needs=frozenset({"mould", "oven"}),
            hazards=("oven", "exotherm"),
        ),
        Step(
            key="demould",
            name="Demould and weigh",
            stage="Trim",
            do=("Easiest piece first; plastic wedges at the flange; never hit the back of the mould.",),
            boxes=("hottest place under limit", "raw mass written", "photographs, both sides"),
            attended=(times["demould"] + times["weigh"]) * factor,
            each=True,
            needs=frozenset({"mould"}),
            hazards=("demould",),
        ),
    ]


def trimming(job: Job, edge: float, cure: CurePlan, times: Mapping[str, float]) -> list[Step]:
    """Return post-cure and trimming along an edge of this length [m]."""
    steps: list[Step] = []
    if cure.post is not None:
        steps.append(post_cure_step(job, cure.post, times))
    steps.append(
        Step(
            key="trim",
            name="Trim to the net edge" + (" and drill" if job.holes else ""),
            stage="Trim",
            do=(
                "Cut 1 to 2 mm outside the line, then sand to it: P120, P240, P400; wet keeps the dust down.",
                *(
                    (
                        "Drill from the show side on a clamped backing board, pilot first: "
                        + ", ".join(f"{h.name} {shown(h.diameter, 'mm')}" for h in job.holes)
                        + ".",
                    )
                    if job.holes
                    else ()
                ),
            ),
            boxes=("edge to line", *(h.name for h in job.holes), "trimmed mass written", "thickness at five points"),
            attended=(edge / times["trim"] + times["drill"] * len(job.holes) + times["weigh"]) * job.complexity,
            each=True,
            hazards=("dust", "edges") + (("drill",) if job.holes else ()),
        )
    )
    return steps


def post_cure_step(job: Job, post: Run, times: Mapping[str, float]) -> Step:
    """Return the post-cure of all parts together."""
    top = max(s.target for s in post.programme.segments)
    return Step(
        key="post-cure",
        name=f"Post-cure all {job.quantity}, free-standing, up to {shown(top, '°C', 0)}",
        stage="Cure",
        do=(
            "Support each part all round its edge in a cradle; never hang it.",
            "The laminate stays below its own glass transition as that grows: do not ramp faster than stated.",
        ),
        boxes=("supported all round", "programme set", "log running"),
        attended=times["load_oven"],
        unattended=post.duration,
        needs=frozenset({"oven"}),
        hazards=("oven",),
    )


def bonding(job: Job, joints: JointPlan, times: Mapping[str, float]) -> list[Step]:
    """Return the bonding of all brackets on all parts."""
    if not joints.bonds:
        return []
    longest = max(b.cure_time for b in joints.bonds)
    glue = sum(b.adhesive_mass for b in joints.bonds) * job.quantity
    pot = min(b.pot_life for b in joints.bonds)
    isolate = [b.name for b in joints.bonds if b.isolate]
    return [
        Step(
            key="bond",
            name=f"Bond {len(joints.bonds) * job.quantity} brackets",
            stage="Bond",
            do=(
                "Degrease, abrade with P180 to P320 without cutting fibres, vacuum, wipe twice; water must stay "
                "unbroken for 30 s.",
                f"Bond within 4 h of sanding. Mix {shown(glue, 'g', 0)} in all; a pot lasts {shown(pot, 'min', 0)}.",
                *((f"Thin glass ply between metal and carbon: {', '.join(isolate)}.",) if isolate else ()),
                "Check each hole against what it is bolted to before the adhesive sets; squeeze-out all round.",
            ),
            boxes=("water break held", "mix weighed", *(b.name for b in joints.bonds), "cup kept to test tomorrow"),
            attended=times["bond"] * len(joints.bonds) * job.quantity * job.complexity,
            unattended=longest,
            hazards=("dust", "solvent", "glue"),
        )
    ]


def coating(job: Job, finish: FinishPlan, times: Mapping[str, float]) -> list[Step]:
    """Return filling, coats, flatting and polishing of all parts together."""
    steps: list[Step] = []
    if finish.fill is not None or finish.coats:
        steps.append(
            Step(
                key="degrease",
                name="Wash off release, degrease, sand",
                stage="Finish",
                do=("Wash and degrease before sanding, or release is rubbed in. P320 dry; stop at the fibre.",),
                boxes=("washed", "degreased", "no fibre cut"),
                attended=times["degrease"] * job.quantity * job.complexity,
                hazards=("solvent", "dust"),
            )
        )
    if finish.fill is not None:
        fill = finish.fill
        for n in range(fill.times):
            steps.append(
                Step(
                    key=f"fill-{n + 1}",
                    name=f"Fill pinholes, pass {n + 1} of {fill.times}",
                    stage="Finish",
                    do=(
                        f"{_mixed(fill)} in {fill.pots} pot{'s' if fill.pots > 1 else ''}; wipe in crosswise so that "
                        "holes are filled, not bridged. Sand P320 when hard and look across the light.",
                    ),
                    boxes=("mix weighed", "holes counted before", "holes counted after"),
                    attended=fill.spray * job.complexity,
                    unattended=fill.cure_time,
                    hazards=("glue",) if n == 0 else (),
                )
            )
    for coat in finish.coats:
        dew = finish.climate.dew_point
        steps.append(
            Step(
                key=f"coat-{coat.name}",
                name=f"Coat {coat.name}, {coat.times} time{'s' if coat.times > 1 else ''}",
                stage="Finish",
                do=(
                    f"{_mixed(coat)} for each coat, {shown(coat.wet, 'µm', 0)} wet, {shown(coat.dry, 'µm', 0)} dry.",
                    f"{shown(coat.flash, 'min', 0)} between coats; the next within {shown(coat.recoat_latest, 'h')}.",
                    f"Part at {shown(dew + 3.0, '°C', 0)} or warmer: dew point {shown(dew, '°C', 0)} and 3 °C.",
                ),
                boxes=("°C and % written", *(f"coat {n + 1}, time" for n in range(coat.times))),
                attended=(coat.spray * coat.times + coat.flash * (coat.times - 1)) * job.complexity,
                unattended=coat.cure_time,
                hazards=("isocyanate", "solvent") if coat.isocyanate else ("solvent",),
            )
        )
    if finish.coats:
        area = finish.coats[-1].area
        steps.append(
            Step(
                key="polish",
                name="Flat and polish",
                stage="Finish",
                do=(f"{', '.join(g for g in finish.grits if int(g[1:]) >= 1000)} wet, then compound; mind the edges.",),
                boxes=("no sand-through", "gloss even"),
                attended=area / times["polish"] * job.complexity,
                hazards=("dust",),
            )
        )
    return steps


def _mixed(coat: CoatPlan) -> str:
    first, second = coat.masses
    digits = 0 if first > 0.05 else 1
    return f"Mix {shown(first, 'g', digits)} and {shown(second, 'g', digits)}"


def fitting(job: Job, times: Mapping[str, float]) -> list[Step]:
    """Return the last step."""
    return [
        Step(
            key="fit",
            name="Check, weigh and pack",
            stage="Check",
            do=("Hold against what it fits, every hole with its bolt; write the mass; photograph with a scale.",),
            boxes=("holes line up", "finished mass written", "photographs"),
            attended=(times["fit"] + times["weigh"]) * job.complexity,
            each=True,
            hazards=("structure",),
        )
    ]
