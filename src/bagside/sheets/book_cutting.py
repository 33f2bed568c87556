"""The chapter on what is cut: the list, and where each piece lies on rolls and offcuts."""

from __future__ import annotations

import shapely

from bagside.cutting import Nest, Offcuts, SheetNest
from bagside.planning.cautions import cautions_for
from bagside.planning.kit import MaterialKit, RollKit, SheetKit
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown
from bagside.sheets.book_words import money, of_stage
from bagside.sheets.bookinput import Block, Boxes, Caution, Chapter, Findings, Paragraph, Picture, Said, Table, Words
from bagside.sheets.plan_pictures import WIDE
from bagside.sheets.shapes_out import nest_svg

TALL = 104.0
"""Room for the picture of a nest across the cloth [mm]."""


def cut_chapter(plan: BuildPlan) -> Chapter:
    """Return the chapter on what is cut."""
    blocks: list[Block] = [Caution(what=c.head, why=c.text) for c in cautions_for(("knife", "prepreg"))]
    rows: list[tuple[Words, ...]] = []
    for p in plan.cut:
        length, width = p.size
        rows.append(
            (
                p.label,
                p.material,
                str(p.quantity),
                shown(length, "mm", 0),
                shown(width, "mm", 0),
                shown(p.area, "cm²", 0 if p.area > 2e-3 else 1),
                str(plan.library.prepreg[p.material].films),
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
        blocks += [_sheet_picture(plan, kit, s) for s in kit.sheets]
        blocks += [_roll_picture(plan, kit, r) for r in kit.rolls]
        blocks += _weighed(plan, kit)
    blocks.append(
        Boxes(
            title="Before the roll goes back",
            items=((1, "hours out of the freezer added"), (1, "offcuts labelled: batch, warp, hours used")),
        )
    )
    blocks.append(Findings(items=of_stage(plan, "cutting")))
    return Chapter(title="Cut list", facts=(f"{plan.job.quantity} kits",), blocks=tuple(blocks))


def cloth_words(kit: MaterialKit) -> str:
    """Return what a kit is cut from, for the cover: ``1.24 m twill-200 and offcut O-3``.

    Parameters
    ----------
    kit
        Of one cloth.
    """
    sheets = [s.offcut.name for s in kit.sheets]
    words = [f"{shown(kit.pull, 'm', 2)} {kit.material}"] if kit.rolls else [kit.material]
    words += [f"offcut{'s' if len(sheets) > 1 else ''} {', '.join(sheets)}"] if sheets else []
    return (" and " if kit.rolls else " from ").join(words)


def kept_names(left: Offcuts) -> list[tuple[str, shapely.Polygon]]:
    """Return what is left and kept with a word to stand in it: names are given when it is cut.

    Parameters
    ----------
    left
        Of one roll or offcut.
    """
    return [("keep", polygon) for polygon in left.kept]


def _roll_picture(plan: BuildPlan, kit: MaterialKit, roll: RollKit) -> Picture:
    scale = _scale(roll.take.pull, roll.nest.cloth.width)
    name = f", roll {roll.roll.called}" if roll.roll.called != kit.material else ""
    caption = (
        f"{kit.material}{name}: pull {shown(roll.take.pull, 'm', 2)}, "
        f"{shown(roll.take.utilisation, '%', 0)} become pieces, {money(plan, roll.take.cost or 0.0)}; "
        f"knife {shown(roll.take.knife_path, 'm', 1)}, {shown(roll.take.seconds, 'min', 0)}; "
        f"offcuts kept {roll.offcuts.count}; 1 : {round(1 / scale)}"
    )
    return _picture(roll.nest, roll.offcuts, scale, caption, pull=roll.take.pull)


def _sheet_picture(plan: BuildPlan, kit: MaterialKit, sheet: SheetKit) -> Picture:
    x0, y0, x1, y1 = sheet.nest.sheet.polygon.bounds
    scale = _scale(x1 - x0, y1 - y0)
    caption = (
        f"{kit.material}, offcut {sheet.offcut.name}: {shown(sheet.nest.utilisation, '%', 0)} become pieces, "
        f"{money(plan, sheet.cost)} at its worth; knife {shown(sheet.knife_path, 'm', 1)}, "
        f"{shown(sheet.seconds, 'min', 0)}; offcuts kept {sheet.offcuts.count}; 1 : {round(1 / scale)}"
    )
    return _picture(sheet.nest, sheet.offcuts, scale, caption)


def _picture(nest: Nest | SheetNest, left: Offcuts, scale: float, caption: str, pull: float | None = None) -> Picture:
    return Picture(svg=nest_svg(nest, pull=pull, scale=scale, left=kept_names(left)), caption=caption)


def _weighed(plan: BuildPlan, kit: MaterialKit) -> list[Block]:
    """Say what using offcuts saves against the roll alone."""
    if kit.alone is None or not kit.sheets:
        return []
    basis = plan.library.prepreg[kit.material].basis.of("width")
    words = (
        f"Cut from the roll alone, {kit.material} would pull {money(plan, kit.alone)} worth of cloth and time; "
        f"with offcuts at their worth it is {money(plan, kit.weighed)}."
    )
    return [Paragraph(words=Said(words=words, basis=basis))]


def _scale(length: float, width: float) -> float:
    for scale in (2, 5, 10, 15, 20, 25, 50, 100):
        if 1e3 * length / scale <= WIDE - 14.0 and 1e3 * width / scale <= TALL:
            return 1.0 / scale
    return 1.0 / 200.0
