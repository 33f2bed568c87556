"""``bagside cure design JOB``: the cycle that keeps every limit of part, mould, bag and oven."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.planning.cure_case import CureCase
    from bagside.planning.cure_design import FoundCycle
    from bagside.spec.job import CycleWanted


LIMITS = {
    "laminate": "hottest laminate",
    "tool": "hottest mould",
    "overshoot": "over the air",
    "void": "water before gel",
    "stiff": "under its Tg",
    "spread": "spread of cure",
    "flow": "time to flow",
    "cure": "degree of cure",
}


def design(
    job: Annotated[Path, typer.Argument(help="A job, or sections and oven as in demo/benches/cure.toml.")],
    workshop: Annotated[Path | None, typer.Option(help="Workshop's file or folder; else the nearest above.")] = None,
    aim: Annotated[str, typer.Option(help="fastest, cheapest or gentlest.")] = "",
    two_stage: Annotated[
        bool, typer.Option("--two-stage", help="Half cured on the mould, then free-standing to the end.")
    ] = False,
    nominal: Annotated[
        bool, typer.Option("--nominal", help="Only as stated; else it holds when heat, films and place are off.")
    ] = False,
    hottest: Annotated[str, typer.Option(help='Of the laminate, as in "110 °C".')] = "",
    overshoot: Annotated[str, typer.Option(help='Of the laminate over the air, as in "10 K".')] = "",
    flow: Annotated[str, typer.Option(help='Time to flow before gel, as in "40 min".')] = "",
    longest: Annotated[str, typer.Option(help='Longest cycle that is accepted, as in "12 h".')] = "",
    humidity: Annotated[str, typer.Option(help='Of the room on the day, as in "62 %"; else as stated.')] = "",
    ambient: Annotated[str, typer.Option(help='By the barometer, as in "1004 mbar"; else from the altitude.')] = "",
    vacuum: Annotated[str, typer.Option(help='Left in the bag, as in "25 mbar"; else what the pump reaches.')] = "",
    out: Annotated[Path | None, typer.Option(help="Folder for the cycle, its table and charts.")] = None,
    json: AsJson = False,
) -> int:
    """Find the cycle that keeps every limit; Ctrl-C keeps the best so far."""
    from bagside.cli import show
    from bagside.cli.cure.case import opened_case
    from bagside.cli.cure.running import Watched
    from bagside.planning.cure_design import found_cycle
    from bagside.planning.cure_stage import cure_findings, cure_plan
    from bagside.planning.settling import sure
    from bagside.spec.opening import open_job

    case = opened_case(job, workshop, wanted=True)
    case = _on_the_day(case, humidity, ambient, vacuum)
    case = _asked(case, aim, two_stage, nominal, hottest, overshoot, flow, longest)
    energy, oven = 0.0, 0.0
    if case.mould is not None:  # a job has a workshop, with prices
        file = workshop / "workshop.toml" if workshop is not None and workshop.is_dir() else workshop
        prices = open_job(job, file).workshop.prices
        energy, oven = prices.energy, prices.oven
    with Watched() as watched:
        if case.wanted is not None and case.wanted.chance is not None:
            found = sure(case, energy, oven)[0]
        else:
            found = found_cycle(case, energy, oven, progress=watched.say, going=lambda: not watched.stop())
    plan = cure_plan(found.case)
    findings = (*cure_findings(plan, found.case), *found.findings)
    if out is not None:
        from bagside.sheets.cure_files import cure_files
        from bagside.sheets.cycle_toml import cycle_toml
        from bagside.sheets.package import Package

        files = {"cycle.toml": cycle_toml(found).encode("utf-8")}
        for run, word in zip(plan.runs, ("cure", "post-cure"), strict=False):
            files |= cure_files(run, found.case, word, png=True)
        Package(out).written(files)
    if json:
        show.emit({"design": _data(found), "findings": [show.finding_data(f) for f in findings]})
        return show.exit_code(findings)
    _tables(found)
    show.show_findings(findings)
    return show.exit_code(findings)


def _on_the_day(case: CureCase, humidity: str, ambient: str, vacuum: str) -> CureCase:
    """Return the case with the day's air and vacuum in place of what is stated."""
    from dataclasses import replace

    from bagside.bagging import available_pressure
    from bagside.cli import options
    from bagside.quantity import Quantity

    changes: dict[str, Any] = {}
    if humidity:
        changes["humidity"] = options.positive(humidity, Quantity.HUMIDITY, "--humidity")
    if ambient:
        changes["ambient"] = options.positive(ambient, Quantity.PRESSURE, "--ambient")
    if vacuum:
        changes["vacuum"] = options.not_negative(vacuum, Quantity.PRESSURE, "--vacuum")
    found = replace(case, **changes)
    if found.ambient is not None and found.vacuum is not None:
        available_pressure(found.ambient, found.vacuum)  # refuses a bag above its surroundings
    return found


def _asked(
    case: CureCase,
    aim: str,
    two_stage: bool,
    nominal: bool,
    hottest: str,
    overshoot: str,
    flow: str,
    longest: str,
) -> CureCase:
    """Return the case with what the options ask laid over what the job wants."""
    from dataclasses import replace

    from bagside.cli import options
    from bagside.errors import InputError, did_you_mean
    from bagside.planning.cure_case import wanted_case
    from bagside.quantity import Quantity
    from bagside.spec.job import CycleAim, CycleWanted

    wanted: CycleWanted = case.wanted or CycleWanted()
    changes: dict[str, Any] = {}
    if aim:
        names = [a.value for a in CycleAim]
        if aim not in names:
            raise InputError.one(
                "--aim", f'"{aim}"', "fastest, cheapest or gentlest is wanted", did_you_mean(aim, names)
            )
        changes["aim"] = CycleAim(aim)
    if hottest:
        changes["hottest"] = options.quantity(hottest, Quantity.TEMPERATURE, "--hottest")
    if overshoot:
        changes["overshoot"] = options.positive(overshoot, Quantity.DIFFERENCE, "--overshoot")
    if flow:
        changes["flow"] = options.positive(flow, Quantity.TIME, "--flow")
    if longest:
        changes["longest"] = options.positive(longest, Quantity.TIME, "--longest")
    if two_stage:
        changes["two_stage"] = True
    if nominal:
        changes["robust"] = False
    return wanted_case(case, replace(wanted, **changes))


def _tables(found: FoundCycle) -> None:
    from bagside.cli import show
    from bagside.quantity import shown

    case = found.case
    total = found.both.total if found.both is not None else found.design.duration
    what = "both stages" if found.both is not None else "until it may come off"
    stages = [(found.design, case.programme, found.reasons, "Cure" if case.post is None else "Cure on the mould")]
    if found.both is not None and case.post is not None:
        stages.append((found.both.post, case.post, found.post_reasons, "Post-cure, free-standing"))
    for designed, programme, reasons, title in stages:
        show.table(
            f"{title}: {shown(designed.duration, 'h')}",
            ["", "to", "at", "hold"],
            [
                [str(k), shown(s.target, "°C", 0), shown(s.ramp, "°C/min", 2), shown(s.hold, "min", 0)]
                for k, s in enumerate(programme.segments, 1)
            ],
        )
        for k, why in enumerate(reasons[: len(programme.segments)], 1):
            show.OUT.print(f"{k} {why}.")
    show.OUT.print(f"{shown(total, 'h')} {what}.")
    show.table(
        "How closely limits are kept",
        ["limit", "margin", "at", "when it turns out"],
        [
            [LIMITS.get(k.limit, k.limit), _margin(k.limit, k.margin), k.place, k.scenario or "as stated"]
            for k in (*found.design.kept, *(() if found.both is None else found.both.post.kept))
        ],
    )


def _margin(limit: str, margin: float) -> str:
    from bagside.quantity import shown

    if limit == "flow":
        return shown(margin, "min", 0)
    if limit in ("spread", "cure"):
        return shown(margin, "%", 1)
    return shown(margin, "K", 1)


def _data(found: FoundCycle) -> dict[str, Any]:
    def stage(designed: Any, programme: Any) -> dict[str, Any]:
        return {
            "duration_min": designed.duration / 60.0,
            "segments": [
                {"to_c": s.target - 273.15, "rate_c_per_min": 60.0 * s.ramp, "hold_min": s.hold / 60.0}
                for s in programme.segments
            ],
            "binding": list(designed.binding),
            "kept": [
                {
                    "limit": k.limit,
                    "margin": k.margin,
                    "place": k.place,
                    "scenario": k.scenario,
                    "time_min": k.time / 60.0,
                }
                for k in designed.kept
            ],
        }

    out: dict[str, Any] = {"cure": stage(found.design, found.case.programme), "reasons": list(found.reasons)}
    if found.both is not None and found.case.post is not None:
        out["post_cure"] = stage(found.both.post, found.case.post)
        out["post_reasons"] = list(found.post_reasons)
        out["total_min"] = found.both.total / 60.0
    return out
