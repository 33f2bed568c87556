"""A verdict and what finishes a part, as lines and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bagside.quantity import shown

if TYPE_CHECKING:
    from bagside.cure import Programme
    from bagside.cure.judging import Finish, Judgement, Reason

_SCALES = {"°C": (1.0, -273.15), "%": (100.0, 0.0), "min": (1 / 60, 0.0), "mbar": (0.01, 0.0), "°C/min": (60.0, 0.0)}
_NAMES = {"°C": "c", "%": "percent", "min": "min", "mbar": "mbar", "°C/min": "c_per_min", "K": "k"}


def verdict_lines(judgement: Judgement) -> list[tuple[str, str]]:
    """Return the verdict, what finishes the part and what to measure, each with its style."""
    lines = [(f"{judgement.verdict.value.upper()}", "bold")]
    state = judgement.state
    lines.append(
        (
            f"Least cured is {state.lagging}: at least {shown(state.cure.low, '%', 0)}, "
            f"{shown(judgement.wanted, '%', 0)} is wanted; {_tg(judgement)}.",
            "",
        )
    )
    for f in judgement.finish:
        margin = "" if f.margin is None else f", Tg at least {shown(f.margin, 'K', 0)} above the temperature throughout"
        lines.append(
            (
                f"Finish it {f.where.value}: {f.words}. After {shown(f.duration, 'h')} it is at least "
                f"{shown(f.cure, '%', 0)} cured, Tg {shown(f.tg, '°C', 0)}{margin}.",
                "",
            )
        )
    if any(r.weight.value == "not finished" for r in judgement.reasons) and not judgement.finish:
        lines.append(
            (
                "No hold within what mould, oven and resin bear, and no post-cure that its Tg allows, finishes it "
                "within 16 h; ask for a hotter limit, or use the part cooler.",
                "",
            )
        )
    if judgement.measure:
        lines.append((f"One measurement settles what is open: {judgement.measure}.", ""))
    return lines


def _tg(judgement: Judgement) -> str:
    return f"Tg at least {shown(judgement.state.tg.low, '°C', 0)}, {shown(judgement.wanted_tg, '°C', 0)} is wanted"


def programme_data(programme: Programme) -> dict[str, Any]:
    """Return a programme as JSON data."""
    return {
        "start_c": programme.start - 273.15,
        "segments": [
            {"to_c": s.target - 273.15, "rate_c_per_min": s.ramp * 60, "hold_min": s.hold / 60}
            for s in programme.segments
        ],
    }


def finish_data(finish: Finish) -> dict[str, Any]:
    """Return a finishing programme as JSON data."""
    return {
        "where": finish.where.value,
        "words": finish.words,
        "programme": programme_data(finish.programme),
        "duration_min": finish.duration / 60,
        "cure": finish.cure,
        "tg_c": finish.tg - 273.15,
        "margin_k": finish.margin,
        "hottest_c": finish.hottest - 273.15,
    }


def reason_data(reason: Reason) -> dict[str, Any]:
    """Return a reason as JSON data, its numbers under keys with their unit."""
    scale, shift = _SCALES.get(reason.unit, (1.0, 0.0))
    unit = _NAMES[reason.unit]
    return {
        "name": reason.name,
        "weight": reason.weight.value,
        f"value_{unit}": scale * reason.value + shift,
        f"limit_{unit}": scale * reason.limit + shift,
        "what": reason.finding.what,
        "do": reason.finding.do,
        "basis": reason.finding.basis.value,
        "source": reason.finding.source,
        "measure": reason.measure,
    }
