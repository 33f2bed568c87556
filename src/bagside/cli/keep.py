"""``bagside keep FILE``: put offcuts into stock by their outlines, from a traced photo or a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagside.spec.stock import Offcut
    from bagside.spec.workshop import Roll


def keep(
    file: Annotated[Path, typer.Argument(help="template.toml of a traced photo, or a drawing as DXF or SVG.")],
    roll: Annotated[str, typer.Option(help="Roll it came from, by its name or batch.")] = "",
    warp: Annotated[str, typer.Option(help='Where the warp points in the outline, as in "12°", when not drawn.')] = "",
    workshop: Annotated[Path, typer.Option(help="Folder of the workshop.")] = Path(),
    name: Annotated[str, typer.Option(help="Name on its label; the next free one when not stated.")] = "",
    material: Annotated[str, typer.Option(help="Its cloth, when the roll is not known.")] = "",
    batch: Annotated[str, typer.Option(help="Its batch, when not the roll's.")] = "",
    life: Annotated[str, typer.Option(help='Out of the freezer so far, as in "31 h"; the roll\'s else.')] = "",
    up: Annotated[str, typer.Option(help="Face that is up in the outline: resin-rich or dry.")] = "resin-rich",
    unit: Annotated[str, typer.Option(help="Unit of a drawing that does not say it.")] = "",
    layer: Annotated[str, typer.Option(help="Layer or group of a drawing.")] = "",
    out: Annotated[Path | None, typer.Option(help="Folder for labels.pdf.")] = None,
    labels_used: Annotated[int, typer.Option(help="Labels of the first sheet that are already used.")] = 0,
    who: Who = "",
    json: AsJson = False,
) -> int:
    """Put offcuts into stock by their outlines; the cutting room uses them first where that costs less."""
    from dataclasses import replace

    import shapely

    from bagside.cli import show
    from bagside.cli.stock.accept import stock_in
    from bagside.errors import InputError
    from bagside.planning.keeping import keeping_findings, kept_offcut
    from bagside.quantity import shown
    from bagside.sheets.cutting_files import label_sheet_of, stock_label
    from bagside.sheets.labels import labels_pdf
    from bagside.sheets.package import Package
    from bagside.spec.library import lookup, workshop_library
    from bagside.spec.reading import load_toml, stated_from
    from bagside.spec.workshop import Workshop

    folder = workshop.parent if workshop.is_file() else workshop
    shop = stated_from(load_toml(folder / "workshop.toml"), Workshop, "workshop.toml")
    library = workshop_library(folder)
    with stock_in(folder, shop, library, who) as stock:
        rolls = stock.rolls(roll)
        own = _roll(roll, rolls)
        blank = _blank(own, material, batch, life, up)
        problems = lookup(library.prepreg, blank.material, "--material", "prepreg")
        if problems:
            raise InputError(problems)
        outlines = _outlines(file, unit, layer, warp)
        if name and len(outlines) > 1:
            wanted = f"{len(outlines)} outlines are in {file.name}; leave the name out"
            raise InputError.one("--name", f'"{name}"', wanted)
        first = stock.first_number()
        new: list[Offcut] = []
        for k, (loops, angle) in enumerate(outlines):
            place = file.name if len(outlines) == 1 else f"{file.name}, outline {k + 1}"
            called = replace(blank, name=name or f"O-{first + k}")
            new.append(kept_offcut(loops, angle, called, own, library, place))
        printed = None if out is None else Package(out)
        try:
            if printed is not None:
                own_labels = [stock_label(offcut, library) for offcut in new]
                pdf = labels_pdf(
                    own_labels, label_sheet_of(shop, library), first=labels_used, base=shop.address, title="offcuts"
                )
            stock.kept(new, stated=bool(life))
            if printed is not None:
                printed.written({"labels.pdf": pdf})
        finally:
            if printed is not None:
                printed.dropped()
    found = [f for o in new for f in keeping_findings(o, shop, library)]
    rows = []
    for offcut in new:
        polygon = shapely.Polygon(offcut.outline, offcut.holes)
        x0, y0, x1, y1 = polygon.bounds
        rows.append((offcut, float(polygon.area), x1 - x0, y1 - y0))
    if json:
        show.emit(
            {
                "offcuts": [
                    {
                        "name": o.name,
                        "material": o.material,
                        "roll": o.roll,
                        "batch": o.batch,
                        "area_m2": area,
                        "length_mm": 1e3 * length,
                        "width_mm": 1e3 * across,
                        "life_used_h": o.life_used / 3600,
                    }
                    for o, area, length, across in rows
                ],
                "findings": [show.finding_data(f) for f in found],
            }
        )
    else:
        show.table(
            "In stock now",
            ["", "along the warp", "across", "area", "life used"],
            [
                [f"{o.name}  {o.material}", shown(length, "mm", 0), shown(across, "mm", 0), shown(area, "m²", 3),
                 shown(o.life_used, "h", 0)]
                for o, area, length, across in rows
            ],
        )  # fmt: skip
        show.show_findings(found)
    return show.exit_code(found)


def _roll(name: str, rolls: Sequence[Roll]) -> Roll | None:
    from bagside.errors import InputError, did_you_mean

    if not name:
        return None
    found = [r for r in rolls if name in (r.called, r.batch)]
    if len(found) != 1:
        names = [r.called for r in rolls]
        wanted = "there is no roll of this name here" if not found else "several rolls are called so"
        raise InputError.one(
            "--roll", f'"{name}"', wanted, did_you_mean(name, names) or f"there are {', '.join(names)}"
        )
    return found[0]


def _blank(roll: Roll | None, material: str, batch: str, life: str, up: str) -> Offcut:
    """Return an offcut with everything but its name and outline."""
    from bagside.cli.options import not_negative
    from bagside.errors import InputError, did_you_mean
    from bagside.quantity import Quantity
    from bagside.spec.stock import Offcut, Up

    faces = [u.value for u in Up]
    if up not in faces:
        raise InputError.one("--up", f'"{up}"', f"one of {' or '.join(faces)} is wanted", did_you_mean(up, faces))
    if roll is None and not material:
        raise InputError.one("--roll", "", "the roll it came from is wanted, or --material when nobody knows")
    if roll is not None and material and material != roll.material:
        raise InputError.one("--material", f'"{material}"', f"roll {roll.called} is {roll.material}")
    if roll is None and not life:
        raise InputError.one("--life", "", "the time it was out of the freezer is wanted when its roll is not known")
    used = not_negative(life, Quantity.TIME, "--life") if life else 0.0
    if roll is None:
        return Offcut(name="", material=material, outline=(), batch=batch, life_used=used, up=Up(up), made=date.today())
    return Offcut(
        name="",
        material=roll.material,
        outline=(),
        roll=roll.called,
        batch=batch or roll.batch,
        life_used=used if life else roll.life_used,
        up=Up(up),
        made=date.today(),
        use_by=roll.use_by,
    )


def _outlines(file: Path, unit: str, layer: str, warp: str) -> list[tuple[tuple[NDArray[np.float64], ...], float]]:
    """Return the outlines of a file, each with the direction of its warp [rad]."""
    import numpy as np

    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.geometry.outline_files import read_outlines
    from bagside.quantity import Quantity
    from bagside.spec.reading import load_toml, stated_from
    from bagside.spec.template import Template

    typed = quantity(warp, Quantity.ANGLE, "--warp") if warp else None
    found: list[tuple[str, tuple[NDArray[np.float64], ...], float | None]] = []
    if file.suffix.lower() == ".toml":
        tables = load_toml(file).get("templates")
        if not isinstance(tables, dict) or not tables:
            raise InputError.one(file.name, "", "there is no outline in it: [templates.NAME] with points is wanted")
        for name, table in tables.items():
            stated = stated_from(table, Template, file.name, ("templates", name))
            if len(stated.points) < 3:
                raise InputError.one(f"{file.name}, template {name}, points", "", "at least three are wanted")
            loops = tuple(np.array(loop) for loop in (stated.points, *stated.holes))
            found.append((name, loops, stated.warp))
    else:
        found = [(o.name, tuple(o.loops), o.warp) for o in read_outlines(file, unit, layer)]
    out = []
    for name, loops, drawn in found:
        angle = typed if typed is not None else drawn
        if angle is None:
            raise InputError.one(
                f"{file.name}, {name or 'outline'}",
                "",
                "nothing says where the warp points",
                'state --warp "0°" when it lies along x, or draw a line on the layer "warp"',
            )
        out.append((loops, angle))
    return out
