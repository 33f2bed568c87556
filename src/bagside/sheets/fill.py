"""A plan as what the book is printed from."""

from __future__ import annotations

from bagside.drape import usual_locking
from bagside.findings import Basis, Severity, weakest
from bagside.planning.cautions import DEFERS
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets.book_clock import money_chapter, step_chapters, time_chapter
from bagside.sheets.book_cutting import cloth_words, cut_chapter
from bagside.sheets.book_joins import joins_chapter
from bagside.sheets.book_making import bag_chapter, cure_chapter, join_chapter
from bagside.sheets.book_part import laminate_chapter, mould_chapter, mould_words
from bagside.sheets.book_plies import ply_page, seams_of
from bagside.sheets.book_tiles import tiles_chapter, twin_chapter
from bagside.sheets.book_words import day, money
from bagside.sheets.bookinput import (
    BookInput,
    Said,
    Words,
)
from bagside.sheets.found_cuts import proposal_tables
from bagside.sheets.joins_view import joins_of
from bagside.sheets.plan_pictures import Drawn

LIMITS = (
    "This book does not certify a structure. Have any part whose failure can hurt someone checked by a qualified "
    "person.",
    "The data sheet of the batch in the freezer comes first, then what was measured in this shop, then what is printed "
    "here.",
    DEFERS,
    "Cloth is taken to drape as the laminator's best; heat flows through the thickness only; strength is not worked "
    "out.",
)
BY_TAPE = "Sizes are as stated: how the cloth drapes and what the mould's surface does was not looked at."


def book_input(plan: BuildPlan, drawn: Drawn, bag: str, made_from: str) -> BookInput:
    """Return what the book of a plan says and shows.

    Parameters
    ----------
    plan
        The build.
    drawn
        Its pictures, from `bagside.sheets.pictures.pictures_of`.
    bag
        The bag's picture; empty for none.
    made_from
        Digest of everything it was made from.
    """
    last = plan.cure.last
    prepregs = [plan.library.prepreg[p.material] for p in plan.job.plies]
    cloth = weakest(*(p.basis.of("areal_weight") for p in prepregs))
    resin = plan.library.resin[prepregs[0].resin].basis
    note = " · ".join(
        text for text in (f"{plan.job.quantity} off", mould_words(plan), plan.workshop.name, plan.job.note) if text
    )
    return BookInput(
        title=plan.job.name,
        subtitle=note,
        facts=(
            ("plies", str(len(plan.job.plies))),
            ("pieces for one part", str(sum(p.quantity for p in plan.cut) // plan.job.quantity)),
            ("area of the part", shown(plan.laminate.part.area, "cm²", 0)),
            ("thickness, most of it", Said(words=shown(plan.laminate.main.laminate.thickness, "mm", 2), basis=cloth)),
            ("mass as cured", Said(words=shown(plan.laminate.mass, "g", 0), basis=cloth)),
            ("cloth", "; ".join(cloth_words(k) for k in plan.kits)),
            ("hottest on the mould", shown(max(o.hottest for o in plan.cure.first.outcomes), "°C", 0)),
            (
                "glass transition, least",
                Said(words=shown(min(o.tg for o in last.outcomes), "°C", 0), basis=resin.of("kinetics")),
            ),
            ("finish", day(plan.calendar.finish)),
            ("price of one", Said(words=money(plan, plan.cost.price), basis=Basis.COMMON, bold=True)),
        ),
        inputs=f"{made_from[:4]} {made_from[4:8]}",
        made=f"{day(plan.calendar.start)}, first day",
        cover=drawn.cover,
        findings=plan.findings,
        before=tuple(
            c
            for c in (
                mould_chapter(plan, drawn),
                twin_chapter(plan),
                laminate_chapter(plan, drawn),
                cut_chapter(plan),
                tiles_chapter(plan),
            )
            if c is not None
        ),
        plies=tuple(ply_page(plan, k, drawn) for k in range(len(plan.job.plies))),
        after=tuple(
            c
            for c in (
                joins_chapter(drawn.joins, joins_of(plan.pieces, seams_of(plan)), proposal_tables(plan)),
                bag_chapter(plan, bag),
                *(
                    cure_chapter(plan, run, word)
                    for run, word in zip(plan.cure.runs, ("Cure", "Post-cure"), strict=False)
                ),
                join_chapter(plan),
                *step_chapters(plan),
                time_chapter(plan),
                money_chapter(plan),
            )
            if c is not None
        ),
        sources=_sources(plan),
        limits=LIMITS if plan.surface is not None else (*LIMITS, BY_TAPE),
        paper=plan.workshop.paper,
        ink=plan.workshop.ink,
    )


def _sources(plan: BuildPlan) -> tuple[tuple[str, Words], ...]:
    library, job = plan.library, plan.job
    found: list[tuple[str, Words]] = []
    for name in dict.fromkeys(p.material for p in job.plies):
        cloth = library.prepreg[name]
        told, weave = cloth.basis, f", {cloth.weave}" if cloth.weave else ""
        found.append((f"cloth {name}{weave}", Said(words=told.source or told.all.value, basis=told.all)))
        usual = None if cloth.locking_angle is not None else usual_locking(cloth.kind, cloth.weave)
        if usual is not None:
            words = f"{shown(usual.angle, '°', 0)}, usual for its weave: {usual.source}"
            found.append((f"locking angle of {name}", Said(words=words, basis=Basis.COMMON)))
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
