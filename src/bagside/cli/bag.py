"""``bagside bag``: the bag over a part, from its surface or from a tape-measured size."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def bag(
    source: Annotated[
        Path, typer.Argument(help="A mesh of the part, or a .toml file with a size; see demo/benches/bag.toml.")
    ],
    unit: Annotated[str, typer.Option(help="Unit of the mesh file's numbers: m, cm, mm, in or ft.")] = "",
    side: Annotated[str, typer.Option(help='Direction from the mould to the laminate, as in "0 0 1".')] = "0 0 1",
    plies: Annotated[int, typer.Option(help="How many plies are laid.")] = 4,
    thickness: Annotated[str, typer.Option(help="Of one ply, cured.")] = "0.25 mm",
    hottest: Annotated[str, typer.Option(help="Hottest of the cure.")] = "120 °C",
    vacuum: Annotated[str, typer.Option(help="Absolute pressure left in a good bag.")] = "20 mbar",
    pump: Annotated[str, typer.Option(help="Flow of the pump.")] = "6 m³/h",
    altitude: Annotated[str, typer.Option(help="Of the workshop.")] = "0 m",
    humidity: Annotated[str, typer.Option(help="Of the room where it is laid.")] = "50 %",
    hold: Annotated[str, typer.Option(help="Under vacuum before heat.")] = "1 h",
    cure: Annotated[
        Path | None, typer.Option(help="Job or cure file: which films, tapes and hoses stand its cycle.")
    ] = None,
    used: Annotated[
        list[str] | None, typer.Option(help='Cures that one has seen, as in "bag-nylon 1"; may be given often.')
    ] = None,
    json: AsJson = False,
) -> int:
    """Size a bag: film, breather, tape, pleats, ports, leak limits, debulks, ways of air, where water makes voids."""
    from bagside import bagging
    from bagside.cli import options, show
    from bagside.cli.bag_ratings import standing, taken
    from bagside.cli.bench_file import bench_file
    from bagside.errors import InputError
    from bagside.planning.bag_stage import films_of
    from bagside.planning.content import ContentFile
    from bagside.planning.mould_stage import opened_mould
    from bagside.quantity import Quantity, shown
    from bagside.spec.bench import BagFile
    from bagside.spec.job import Bag, Mould
    from bagside.spec.library import generic_library

    if plies < 1:
        raise InputError.one("--plies", str(plies), "at least 1 is wanted")
    thick = options.positive(thickness, Quantity.LENGTH, "--thickness")
    top = options.quantity(hottest, Quantity.TEMPERATURE, "--hottest")
    ambient = bagging.ambient_pressure(options.quantity(altitude, Quantity.LENGTH, "--altitude"))
    left = options.positive(vacuum, Quantity.PRESSURE, "--vacuum")
    flow = options.positive(pump, Quantity.FLOW, "--pump")
    damp = options.positive(humidity, Quantity.HUMIDITY, "--humidity")
    if damp > 1.0:
        raise InputError.one("--humidity", f'"{humidity}"', "at most 100 % is wanted")
    held = options.positive(hold, Quantity.TIME, "--hold")
    films = films_of(Bag(), generic_library())
    press, points = None, None
    if source.suffix.lower() == ".toml":
        stated, _ = bench_file(source, BagFile, None)
        area = stated.length * stated.width
        laid = [bagging.BagPly(name=f"ply {k + 1}", area=area, thickness=thick) for k in range(plies)]
        plan = bagging.plan_cover(
            stated.length,
            stated.width,
            stated.depth,
            laid,
            films=films,
            flange=stated.flange,
            cure_max_temperature=top,
            ambient_pressure=ambient,
            vacuum=left,
            pump_flow=flow,
            hold=held,
        )
    else:
        if not unit:
            raise InputError.one("--unit", "", "this is missing and cannot be guessed: m, cm, mm, in or ft")
        mould = Mould(
            mesh=source.name, unit=unit, laminate_side=options.direction(side, "--side"), material="", thickness=0.0
        )
        surface = opened_mould(ContentFile.of_existing(source), mould).work
        laid = [bagging.BagPly(name=f"ply {k + 1}", area=surface.area, thickness=thick) for k in range(plies)]
        plan = bagging.plan_bag(
            surface,
            None,
            laid,
            films=films,
            cure_max_temperature=top,
            ambient_pressure=ambient,
            vacuum=left,
            pump_flow=flow,
            hold=held,
            ways=bagging.ways_out(surface),
        )
        press = bagging.pressure_on(surface, plies * thick, ambient=ambient, vacuum=left)
        points = surface.vertices
    stood = standing(cure, used or [])
    found = (
        *plan.findings,
        *(bagging.pressure_findings(press, points) if press is not None else ()),
        *bagging.rating_findings([r for r in stood if r.item.name in taken(used or [])]),
    )
    free = [bagging.void_free_temperature(ambient, left, damp, share) for share in bagging.BED_SHARES]
    if json:
        show.emit(
            {
                "bagging": {
                    "kind": plan.kind.value,
                    "items": [
                        {"name": i.name, "quantity": i.quantity, "unit": i.unit, "how": i.how} for i in plan.items
                    ],
                    "sheet_mm": [1e3 * s for s in plan.sheet],
                    "tape_run_mm": 1e3 * plan.tape_run,
                    "pleats": plan.pleats.count,
                    "ports": plan.ports,
                    "pump_down_s": plan.pump_down,
                    "pressure_mbar": plan.pressure / 100,
                    "leak_limits": [
                        {
                            "criterion": limit.criterion.name,
                            "drop_mbar": limit.drop / 100,
                            "time_min": limit.time / 60,
                            "leak_cm3_per_min": 6e7 * limit.flow,
                            "basis": limit.criterion.basis.value,
                        }
                        for limit in plan.leak_limits
                    ],
                    "debulks": [{"after_ply": d.after, "minutes": d.minutes, "warm": d.warm} for d in plan.debulks],
                    "debulk_reasons": [list(s.reasons) for s in plan.course.steps] if plan.course else [],
                    "debulk_advice": list(plan.course.advice) if plan.course else [],
                    "breathing": None
                    if plan.breathing is None
                    else {
                        "strips": len(plan.breathing.strips),
                        "longest_way_mm": 1e3 * plan.breathing.longest,
                        "air_leaves_from_mm": [1e3 * r for r in (plan.breathing.reach, *plan.breathing.reach_band)],
                        "area_beyond": plan.breathing.beyond,
                    },
                    "stands_the_cycle": [
                        {
                            "name": r.item.name,
                            "limit_c": r.item.limit - 273.15,
                            "hottest_c": r.hottest - 273.15,
                            "spare_k": r.spare,
                            "above_min": r.above / 60,
                            "cures": r.item.cures,
                            "cures_allowed": r.item.cures_allowed,
                            "offered": r.holds,
                            "basis": r.item.basis.value,
                        }
                        for r in stood
                    ],
                    "pressure_map": None
                    if press is None or points is None
                    else {
                        "flat_mbar": press.flat / 100,
                        "least_mbar": None if press.least < 0 else press.pressure[press.least] / 100,
                        "least_at_m": None if press.least < 0 else [float(x) for x in points[press.least]],
                        "most_mbar": float(press.pressure.max()) / 100,
                        "none_arrives_share": float(press.bridged.mean()),
                    },
                    "void_free_c": [t - 273.15 for t in free],
                    "bed_shares": list(bagging.BED_SHARES),
                },
                "findings": [show.finding_data(f) for f in found],
            }
        )
        return show.exit_code(found)
    rows = [[i.name, f"{i.quantity:.2f} {i.unit}"] for i in plan.items]
    rows += [
        ["film, one sheet", f"{shown(plan.sheet[0], 'mm', 0)} × {shown(plan.sheet[1], 'mm', 0)}"],
        ["pleats, ports", f"{plan.pleats.count}, {plan.ports}"],
        ["pump-down", shown(plan.pump_down, "min")],
        ["presses with", shown(plan.pressure, "mbar", 0)],
        ["debulk after ply", ", ".join(f"{d.after} ({d.minutes:.0f} min)" for d in plan.debulks)],
        [
            f"no voids of water before gel below ({shown(damp, '%', 0)} humidity)",
            f"{shown(free[0], '°C', 0)}, {shown(free[1], '°C', 0)} if fibres carry "
            f"{shown(bagging.BED_SHARES[1], '%', 0)}",
        ],
    ]
    if press is not None and press.least >= 0:
        rows.append(
            [
                "on the mould, inside corners to outside ones",
                f"{shown(float(press.pressure[press.least]), 'mbar', 0)} to "
                f"{shown(float(press.pressure.max()), 'mbar', 0)}, without friction",
            ]
        )
    if plan.breathing is not None:
        rows.append(
            [
                f"edge breathing, {len(plan.breathing.strips)} strips",
                f"longest way {shown(plan.breathing.longest, 'mm', 0)}; "
                f"air leaves from {shown(plan.breathing.reach, 'mm', 0)}",
            ]
        )
    show.table(f"{source.name}: {plan.kind.value}", ["", ""], rows)
    show.table(
        "Leak: pump isolated, gauge on the bag",
        ["criterion", "may lose", "in", "leak that is"],
        [
            [
                f"{limit.criterion.name} {show.MARK[limit.criterion.basis]}",
                shown(limit.drop, "mbar", 0),
                shown(limit.time, "min", 0),
                f"{6e7 * limit.flow:.1f} cm³/min",
            ]
            for limit in plan.leak_limits
        ],
    )
    if plan.course is not None:
        show.table(
            "Debulks",
            ["after ply, and why", "min", "out-life"],
            [
                [
                    f"{s.debulk.after}{', warm' if s.debulk.warm else ''}: {'; '.join(s.reasons)}",
                    f"{s.debulk.minutes:.0f}",
                    shown(3600.0 * s.life, "h"),
                ]
                for s in plan.course.steps
            ],
        )
        for line in plan.course.advice:
            show.OUT.print(f"– {line}")
    if stood:
        show.table(
            f"What stands the cycle, hottest {shown(stood[0].hottest, '°C', 0)}",
            ["", "rated", "to spare", "cures", "offered"],
            [
                [
                    f"{r.item.name} {show.MARK[r.item.basis]}",
                    shown(r.item.limit, "°C", 0),
                    shown(r.spare, "K", 0),
                    f"{r.item.cures} of {r.item.cures_allowed}",
                    "yes" if r.holds else "no",
                ]
                for r in stood
            ],
        )
    show.show_findings(found)
    return show.exit_code(found)
