"""The cure as the object that ``plan.json`` holds."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.cure.design import Design
from bagside.planning.cure_stage import Run
from bagside.planning.plan import BuildPlan
from bagside.sheets import planmodel_cure as m


def _r(value: float, digits: int = 6) -> float:
    return float(f"{float(value):.{digits}g}")


def _c(kelvin: float | None) -> float | None:
    return None if kelvin is None else round(kelvin - 273.15, 2)


def cure_message(plan: BuildPlan) -> m.CureMessage:
    """Return the cure as a message.

    Parameters
    ----------
    plan
        The build.
    """
    case, cycle = plan.case, plan.cycle
    designs: list[Design | None] = [None, None]
    reasons: list[Sequence[str]] = [(), ()]
    if cycle is not None:
        designs = [cycle.design, None if cycle.both is None else cycle.both.post]
        reasons = [cycle.reasons, cycle.post_reasons]
    return m.CureMessage(
        resin=case.resin_name,
        life_used_share=_r(case.life_share),
        start=_r(case.resin.alpha0),
        fitted=case.fitted,
        places=_places(plan),
        mould=(
            None
            if case.mould is None
            else m.MouldHeatMessage(
                limit_c=round(case.mould.limit - 273.15, 2),
                rests_on=case.mould.words,
                tg_c=_c(case.mould.tg),
                tg_after_c=_c(case.mould.grown),
            )
        ),
        chance=(
            None
            if plan.chance is None
            else m.ChanceMessage(
                holds=_r(plan.chance.all_hold.chance),
                low=_r(plan.chance.all_hold.low),
                high=_r(plan.chance.all_hold.high),
                draws=plan.chance.all_hold.draws,
            )
        ),
        runs=[
            _run(run, name, design, why)
            for run, name, design, why in zip(plan.cure.runs, ("cure", "post-cure"), designs, reasons, strict=False)
        ],
    )


def _places(plan: BuildPlan) -> list[m.PlaceMessage]:
    case = plan.case
    lead, lag = plan.cure.leading, plan.cure.lagging
    return [
        m.PlaceMessage(
            name=name,
            laminate_mm=_r(1e3 * section.layers[0].thickness),
            mould_mm=_r(1e3 * section.layers[-1].thickness) if len(section.layers) > 1 else None,
            point_mm=None if point is None else [_r(1e3 * x) for x in point],
            leads=k == lead,
            lags=k == lag,
        )
        for k, (name, section, point) in enumerate(zip(case.places, case.on_mould, case.points, strict=True))
    ]


def _run(run: Run, name: str, design: Design | None, reasons: Sequence[str]) -> m.RunMessage:
    on_mould = name == "cure"
    return m.RunMessage(
        name=name,
        duration_min=_r(run.duration / 60),
        energy_kwh=_r(run.energy.total / 3.6e6),
        tool_limit_c=_c(run.limits.tool),
        segments=[
            {"to_c": _r(s.target - 273.15), "rate_c_per_min": _r(60 * s.ramp), "hold_min": _r(s.hold / 60)}
            for s in run.programme.segments
        ],
        reasons=list(reasons),
        kept=[
            m.KeptMessage(
                limit=k.limit, margin=_r(k.margin), place=k.place, scenario=k.scenario, time_min=_r(k.time / 60)
            )
            for k in (() if design is None else design.kept)
        ],
        sections=[
            m.SectionMessage(
                name=o.name,
                hottest_c=round(o.hottest - 273.15, 2),
                overshoot_k=_r(o.overshoot, 4),
                cure_lagging=_r(o.alpha_lagging, 5),
                cure_leading=_r(o.alpha_leading, 5),
                tg_c=round(o.tg - 273.15, 2),
                gel_min=_r(o.gel_time / 60) if on_mould and o.gel_time is not None else None,
                gel_c=_c(o.gel_temperature) if on_mould else None,
                lowest_viscosity_pa_s=_r(o.viscosity) if o.viscosity is not None else None,
                flow_min=_r(o.flow_time / 60) if on_mould and o.flow_time is not None else None,
                spread_k=_r(o.spread, 4),
                dwell_min=_r(o.dwell / 60),
                tool_hottest_c=_c(o.tool_hottest),
                stiff_margin_k=_r(o.stiff_margin, 4),
            )
            for o in run.outcomes
        ],
    )
