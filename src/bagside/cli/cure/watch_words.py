"""A look at a running cure as lines and as data: what changed since the look before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bagside.cure.judging.watch import Phase
from bagside.findings import Severity, sentence
from bagside.quantity import shown

if TYPE_CHECKING:
    from bagside.cure.judging import Watch

MOVED = 600.0
"""Change of the forecast end that is told [s]."""


def said(before: Watch | None, now: Watch) -> list[tuple[str, str]]:
    """Return what changed since the look before, each line with its style; nothing when nothing did.

    Parameters
    ----------
    before
        The last look that was told; none at the first.
    now
        This look.
    """
    lines: list[tuple[str, str]] = []
    if before is None or (before.phase, before.segment) != (now.phase, now.segment):
        lines.append((f"{_clock(now)} {phase_words(now)}", "bold"))
    if before is None or before.now.stage is not now.now.stage:
        lines.append((f"{_clock(now)} the resin is {now.now.stage.value}: {cured_words(now)}", ""))
    if before is None or _moved(before, now):
        lines.append((f"{_clock(now)} {finish_words(now)}", ""))
    known = set() if before is None else {_key(f.place, f.what) for f in before.warnings}
    style = {Severity.STOP: "bold reverse", Severity.DECIDE: "bold"}
    for f in now.warnings:
        if _key(f.place, f.what) not in known:
            lines.append(
                (f"{_clock(now)} {f.severity.value}: {f.place}: {f.what}. {sentence(f.do)}", style.get(f.severity, ""))
            )
    return lines


def _key(place: str, what: str) -> tuple[str, str]:
    """Return what a warning is, without its numbers: the same one is told once."""
    return place, "".join(c for c in what if not c.isdigit())


def _moved(before: Watch, now: Watch) -> bool:
    if (before.finish is None) != (now.finish is None):
        return True
    if now.finish is None or before.finish is None or now.phase in (Phase.COOLING, Phase.OFF, Phase.COOL):
        return False
    return abs(now.finish - before.finish) > MOVED


def _clock(now: Watch) -> str:
    minutes = round(now.time / 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _rate(ramp: float) -> str:
    return shown(ramp, "°C/min")


def phase_words(now: Watch) -> str:
    """Return what the cure is doing and what comes next.

    Parameters
    ----------
    now
        The look.
    """
    lag = f"{now.lagging_name} at {shown(now.lagging, '°C', 0)}"
    if now.phase is Phase.BEFORE:
        return f"not yet heated; air at {shown(now.air, '°C', 0)}"
    if now.phase is Phase.OFF:
        return f"the part is at {shown(now.now.hottest, '°C', 0)} and may come off"
    if now.phase is Phase.COOLING:
        return f"cooling: {lag}; keep the vacuum on"
    head = f"segment {now.segment} of {now.segments}, {shown(now.target or 0.0, '°C', 0)}"
    if now.phase is Phase.RISING:
        soon = "" if now.dwell_in is None else f"; its dwell begins in {shown(now.dwell_in, 'min', 0)}"
        return f"{head}: rising, air at {shown(now.air, '°C', 0)}, {lag}{soon}"
    if now.phase is Phase.WAITING:
        soon = "" if now.dwell_in is None else f" in {shown(now.dwell_in, 'min', 0)}"
        return f"{head}: the air is there, {lag}; the dwell begins{soon}"
    if now.phase is Phase.STOPPED:
        return f"{head}: the air has fallen to {shown(now.air, '°C', 0)}: look at power, door and controller"
    if now.phase is Phase.DWELL:
        return (
            f"{head}: dwell, {shown(now.dwell, 'min', 0)} of {shown(now.hold, 'min', 0)}; move on in "
            f"{shown(max(now.hold - now.dwell, 0.0), 'min', 0)}"
        )
    if now.phase is Phase.MOVE:
        return f"{head}: the dwell is had by {lag}: move on to segment {now.segment + 1}"
    if now.phase is Phase.LONGER:
        return (
            f"{head}: the dwell is had, but the part is {shown(now.cure.value, '%', 0)} cured and "
            f"{shown(now.wanted, '%', 0)} is wanted: hold on"
        )
    return f"{head}: the last dwell is had and the part is cured: cool slowly, vacuum on"


def cured_words(now: Watch) -> str:
    """Return how far the least cured point is.

    Parameters
    ----------
    now
        The look.
    """
    low, high = shown(now.cure.low, "%", 0).split(" ")[0], shown(now.cure.high, "%", 0)
    return (
        f"{shown(now.cure.value, '%', 0)} cured at the least cured point ({low} to {high}), Tg "
        f"{shown(now.tg.value, '°C', 0)}"
    )


def finish_words(now: Watch) -> str:
    """Return when it will be over.

    Parameters
    ----------
    now
        The look.
    """
    if now.finish is None:
        return "no end in sight: the lagging sensor stays outside the band"
    left = now.finish - now.time
    end = "the last dwell is over" if left <= 0.0 else f"the last dwell will be over in {shown(left, 'h')}"
    off = "" if now.forecast.off is None else f", and it may come off in {shown(now.forecast.off, 'h')}"
    late = "" if now.planned is None else now.finish - now.planned
    words = ""
    if isinstance(late, float) and abs(late) > MOVED and left > 0.0:
        words = f", {shown(abs(late), 'min', 0)} {'later' if late > 0 else 'sooner'} than the programme says"
    return f"{end}{words}{off}; then {shown(now.forecast.cure, '%', 0)} cured"


def watch_data(now: Watch) -> dict[str, Any]:
    """Return a look as JSON data.

    Parameters
    ----------
    now
        The look.
    """
    return {
        "time_min": now.time / 60,
        "phase": now.phase.value,
        "segment": now.segment,
        "segments": now.segments,
        "target_c": None if now.target is None else now.target - 273.15,
        "air_c": now.air - 273.15,
        "lagging_c": now.lagging - 273.15,
        "lagging": now.lagging_name,
        "leading_c": now.leading - 273.15,
        "dwell_min": now.dwell / 60,
        "hold_min": now.hold / 60,
        "dwell_begins_in_min": None if now.dwell_in is None else now.dwell_in / 60,
        "stage": now.now.stage.value,
        "cure": now.cure.value,
        "cure_low": now.cure.low,
        "cure_high": now.cure.high,
        "tg_c": now.tg.value - 273.15,
        "left_mbar": None if now.now.left is None else now.now.left / 100,
        "finish_min": None if now.finish is None else now.finish / 60,
        "planned_min": None if now.planned is None else now.planned / 60,
        "off_in_min": None if now.forecast.off is None else now.forecast.off / 60,
        "cure_at_finish": now.forecast.cure,
        "warnings": [
            {"severity": f.severity.value, "place": f.place, "what": f.what, "do": f.do} for f in now.warnings
        ],
    }
