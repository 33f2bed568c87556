"""The chapters on steps, time and money."""

from __future__ import annotations

from bagside.planning.cautions import cautions_for
from bagside.planning.cost import Total
from bagside.planning.plan import BuildPlan
from bagside.planning.steps import Step
from bagside.quantity import THIN_SPACE, shown
from bagside.sheets import plan_pictures
from bagside.sheets.book_words import day, duration, money, of_stage
from bagside.sheets.bookinput import (
    Block,
    Caution,
    Chapter,
    Findings,
    Paragraph,
    Picture,
    Said,
    StepLine,
    Steps,
    Table,
    Words,
)
from bagside.sheets.plan_pictures import WIDE


def step_chapters(plan: BuildPlan) -> tuple[Chapter, ...]:
    """Return the chapter of steps."""
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
                    attended=duration(step.attended),
                    unattended=duration(step.unattended),
                    cautions=tuple(Caution(what=c.head, why=c.text) for c in cautions_for(step.hazards)),
                )
            )
        blocks.append(Steps(title=stage, items=tuple(lines)))
    return (Chapter(title="Steps", facts=(f"{number} steps",), blocks=tuple(blocks)),)


def time_chapter(plan: BuildPlan) -> Chapter:
    """Return the chapter on time."""
    n = plan.job.quantity
    attended = sum(s.attended if s.each else s.attended / n for s in plan.steps)
    blocks: list[Block] = [
        Picture(
            svg=plan_pictures.calendar_picture(plan, WIDE),
            caption="solid: hands on it; hollow: it runs by itself. One feasible calendar, not the shortest.",
        ),
        Paragraph(
            words=f"{duration(attended)} of attended time for each part; {plan.workshop.people} "
            f"{'person' if plan.workshop.people == 1 else 'people'}; {day(plan.calendar.start)} to "
            f"{day(plan.calendar.finish)}."
        ),
        Findings(items=of_stage(plan, "time")),
    ]
    return Chapter(
        title="Time", facts=(day(plan.calendar.start) + " to " + day(plan.calendar.finish),), blocks=tuple(blocks)
    )


def money_chapter(plan: BuildPlan) -> Chapter:
    """Return the chapter on money."""
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
        rows.append(("in all", "", "", Said(words=money(plan, whole), bold=True)))
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
            rows=(tuple(money(plan, p) for _, p in cost.prices),),
        )
    )
    spread = max(cost.quantity, plan.job.mould.expected)
    blocks.append(
        Paragraph(
            words=f"At {cost.quantity} off the mould is spread over the {spread} parts it is expected to serve, "
            f"elsewhere over the number shown; {shown(cost.scrap, '%', 0)} scrap, {shown(cost.profit, '%', 0)} on top."
        )
    )
    return Chapter(title="Money", facts=(money(plan, cost.price) + " each",), blocks=tuple(blocks))
