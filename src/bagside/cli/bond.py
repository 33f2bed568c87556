"""``bagside bond FILE``: a bracket bonded on a laminate."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def bond(
    file: Annotated[Path, typer.Argument(help="A bracket and what it stands on; see demo/benches/bond.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Folder of the workshop whose materials count.")] = None,
    json: AsJson = False,
) -> int:
    """Bond a bracket: area, stress in the adhesive, what to mix, heat and cold."""
    from bagside import joining
    from bagside import laminate as laminates
    from bagside.cli import show
    from bagside.cli.bench_file import bench_file
    from bagside.errors import InputError, Problem, did_you_mean
    from bagside.planning.laminate_stage import laid_ply
    from bagside.quantity import shown
    from bagside.spec.bench import BondFile
    from bagside.spec.library import lookup

    stated, library = bench_file(file, BondFile, workshop)
    feet = [f.value for f in joining.Foot]
    problems = lookup(library.adhesive, stated.adhesive, f"{file.name}, adhesive", "adhesive")
    if stated.material not in feet:
        problems.append(
            Problem(
                place=f"{file.name}, material",
                came=f'"{stated.material}"',
                wanted=f"one of {', '.join(feet)} is wanted",
                hint=did_you_mean(stated.material, feet),
            )
        )
    for k, ply in enumerate(stated.laminate, 1):
        problems += lookup(library.prepreg, ply.material, f"{file.name}, laminate, ply {k}, material", "prepreg")
    if not stated.laminate:
        problems.append(Problem(place=f"{file.name}, laminate", came="", wanted="at least one ply is wanted"))
    if problems:
        raise InputError(problems)
    stack = laminates.laminate_of(
        [laid_ply(str(k), library.prepreg[p.material], p.angle) for k, p in enumerate(stated.laminate, 1)]
    )
    adhesive = library.adhesive[stated.adhesive]
    plan = joining.plan_bond(
        stated.name,
        size=stated.size,
        foot=joining.Foot(stated.material),
        foot_thickness=stated.thickness,
        laminate_modulus=0.5 * (stack.Ex + stack.Ey),
        laminate_thickness=stack.thickness,
        adhesive=adhesive,
        load=stated.load,
        service_temperature=stated.service,
        room_temperature=stated.room,
    )
    found = joining.bond_findings(plan, adhesive, show=True)
    if json:
        show.emit(
            {
                "joining": {
                    "name": plan.name,
                    "area_cm2": 1e4 * plan.area,
                    "area_needed_cm2": 1e4 * plan.area_needed,
                    "reserve": plan.reserve if stated.load > 0 else None,
                    "mean_mpa": 1e-6 * plan.stress.mean,
                    "peak_mpa": 1e-6 * plan.stress.peak,
                    "design_mpa": 1e-6 * plan.design,
                    "adhesive_g": 1e3 * plan.adhesive_mass,
                    "isolate": plan.isolate,
                    "pot_life_min": plan.pot_life / 60,
                    "cure_h": plan.cure_time / 3600,
                    "heat_margin_k": plan.heat_margin,
                    "cold_margin_k": plan.cold_margin,
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    show.table(
        f"{plan.name}: {stated.adhesive} on {shown(stack.thickness, 'mm', 2)} of laminate",
        ["", ""],
        [
            ["bond", shown(plan.area, "cm²")],
            ["wanted at the design stress", shown(plan.area_needed, "cm²")],
            ["mean and peak stress", f"{shown(plan.stress.mean, 'MPa')}, {shown(plan.stress.peak, 'MPa')}"],
            ["adhesive to mix", shown(plan.adhesive_mass, "g")],
            ["pot life, hard after", f"{shown(plan.pot_life, 'min', 0)}, {shown(plan.cure_time, 'h', 0)}"],
            ["glass ply between", "yes" if plan.isolate else "no"],
        ],
    )
    show.show_findings(found)
    return show.exit_code(found)
