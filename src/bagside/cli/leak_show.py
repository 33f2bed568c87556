"""A leak test as tables and as one JSON object."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from bagside.bagging.leak import Judged, Rise
from bagside.cli import show
from bagside.findings import Basis, sentence
from bagside.planning.leak_bench import JudgedLeak
from bagside.quantity import shown

REAL_BAG = (3.0, 5.0)  # times as long with breather and folds: common practice
Table = tuple[str, list[str], list[list[str]]]


def verdict(judged: Judged) -> str:
    """Return what one criterion says, in a word or two."""
    if not judged.deep:
        return "vacuum too weak"
    if judged.tight is None:
        return f"cannot tell before {shown(judged.needed, 'min', 0)}"
    return "passes" if judged.tight else "fails"


def shown_tables(found: JudgedLeak, name: str) -> Iterator[Table]:
    """Yield title, headers and rows of each table."""
    t = found.test
    size = f"{6e7 * t.flow:.1f} ± {6e7 * t.flow_spread:.1f} cm³/min" if t.told else (
        f"under {6e7 * (t.flow + 2.0 * t.flow_spread):.1f} cm³/min"
    )  # fmt: skip
    ambient = shown(t.ambient, "mbar", 0) + ("" if found.ambient_known else ", taken at sea level")
    volume = f"{shown(t.volume.value, 'L', 2)} ± {shown(t.volume.spread, 'L', 2)}"
    lost = f"pump stops: under {shown(found.limit, 'mbar', 0)} for"
    rows = [
        ["pulled to", f"{shown(t.reached, 'mbar', 0)} absolute, {shown(t.ambient - t.reached, 'mbar', 0)} of vacuum"],
        ["ambient", ambient],
        ["rise, corrected", f"{shown(t.rise, 'mbar')} ± {shown(t.rise_spread, 'mbar')} in {shown(t.time, 'min', 0)}"],
        ["as the gauge shows", shown(t.raw, "mbar")],
        [f"free volume {t.volume.how} {show.MARK[t.volume.basis]}", volume],
        ["leak", size],
        ["hole that size", f"{shown(t.hole, 'µm', 0)} across" if t.told else "none that shows"],
        [lost, hours(found.hold)],
    ]  # fmt: skip
    if found.hold_received is not None:
        rows.append(["with the receiver", hours(found.hold_received)])
    if found.held is not None and found.without is not None:
        rows.append(["this pump holds", f"{shown(found.held, 'mbar', 1)}, {shown(found.without, 'mbar', 1)} if tight"])
        rows.append([f"time to {shown(found.target, 'mbar', 0)}", pumping(found.reach)])
    yield name, ["", ""], rows
    yield (
        "Pump shut off, gauge on the bag",
        ["criterion", "may lose", "loses", "in", "says"],
        [
            [
                ("→ " if j.criterion.name == found.criterion else "")
                + f"{j.criterion.name} {show.MARK[j.criterion.basis]}",
                shown(j.allowed, "mbar", 0),
                shown(j.drop, "mbar", 1),
                shown(j.criterion.time, "min", 0),
                verdict(j),
            ]
            for j in t.judged
        ],
    )
    if t.curve is not None:
        yield (
            "Leak or outgassing, from the shape of the rise",
            ["curve", "weight", "leak", "dies away in"],
            [
                [
                    f.rise.value,
                    f"{100 * f.weight:.0f} %",
                    f"{shown(60 * f.rate, 'mbar', 2)} a minute" if f.rise in (Rise.LEAK, Rise.BOTH) else "–",
                    shown(f.fading, "min") if f.fading else "–",
                ]
                for f in t.curve.fits
            ],
        )
    if found.hot is not None and found.hot_test is not None:
        h = found.hot
        ratio = "not told by the cold test" if math.isnan(h.ratio) else f"{h.ratio:.1f} ± {h.ratio_spread:.1f}"
        yield (
            f"Warm, at {shown(found.hot_test.temperature, '°C', 0)}",
            ["", ""],
            [
                ["may lose", shown(h.allowed, "mbar")],
                ["loses", f"{shown(h.drop, 'mbar')} ± {shown(h.drop_spread, 'mbar')}"],
                ["against the cold leak", ratio],
            ],
        )
    if found.ranked:
        yield (
            f"Where to look first {show.MARK[Basis.COMMON]}",
            ["place", "chance"],
            [[f"{s.place.name}: {s.place.look}", f"{100 * s.chance:.0f} %"] for s in found.ranked[:7]],
        )
        yield (
            "Tests that halve the places",
            ["do", "minutes", "bits"],
            [[f"{h.name}. {sentence(h.tells)}", f"{h.minutes:.0f}", f"{h.bits:.2f}"] for h in found.halvings],
        )


def pumping(reach: float | None) -> str:
    """Return how long pumping takes, in words."""
    if reach is None:
        return "not reached with this leak and pump"
    alone, low, high = (
        shown(t, "s", 0) if t < 100.0 else shown(t, "min", 0) for t in (reach, *(factor * reach for factor in REAL_BAG))
    )
    return f"{alone} alone, {low} to {high} with breather and folds"


def hours(time: float) -> str:
    """Return a time that may be endless, in words."""
    if math.isinf(time):
        return "as long as it stays tight"
    return shown(time, "min", 0) if time < 7200.0 else shown(time, "h")


def answer(found: JudgedLeak) -> dict[str, Any]:
    """Return a leak test as one JSON object, keys with units."""
    t = found.test
    return {
        "leak": {
            "criterion": found.criterion,
            "passed": t.of(found.criterion).passed,
            "reached_mbar": t.reached / 100,
            "ambient_mbar": t.ambient / 100,
            "rise_mbar": t.rise / 100,
            "rise_spread_mbar": t.rise_spread / 100,
            "rise_as_shown_mbar": t.raw / 100,
            "time_min": t.time / 60,
            "free_volume_l": 1e3 * t.volume.value,
            "free_volume_spread_l": 1e3 * t.volume.spread,
            "free_volume_how": t.volume.how,
            "leak_cm3_per_min": 6e7 * t.flow,
            "leak_spread_cm3_per_min": 6e7 * t.flow_spread,
            "leak_stands_out": t.told,
            "hole_um": 1e6 * t.hole,
            "basis": t.basis.value,
            "criteria": [
                {
                    "name": j.criterion.name,
                    "passed": j.passed,
                    "verdict": verdict(j),
                    "drop_mbar": j.drop / 100,
                    "drop_spread_mbar": j.drop_spread / 100,
                    "allowed_mbar": j.allowed / 100,
                    "time_min": j.criterion.time / 60,
                    "test_needed_min": j.needed / 60,
                    "basis": j.criterion.basis.value,
                    "source": j.criterion.source,
                }
                for j in t.judged
            ],
            "curve": None
            if t.curve is None
            else {
                "leak_weight": t.curve.leak_weight,
                "outgassing_weight": t.curve.soak_weight,
                "leak_mbar_per_min": 0.6 * t.curve.rate,
                "leak_spread_mbar_per_min": 0.6 * t.curve.rate_spread,
                "answer": None if t.curve.answer is None else t.curve.answer.value,
            },
            "pump_holds_mbar": None if found.held is None else found.held / 100,
            "pump_holds_if_tight_mbar": None if found.without is None else found.without / 100,
            "time_to_target_s": found.reach,
            "ideal_time_to_target_s": found.ideal,
            "real_time_to_target_s": None if found.reach is None else [factor * found.reach for factor in REAL_BAG],
            "hold_limit_mbar": found.limit / 100,
            "hold_min": None if math.isinf(found.hold) else found.hold / 60,
            "hold_with_receiver_min": None
            if found.hold_received is None or math.isinf(found.hold_received)
            else found.hold_received / 60,
            "hot": None
            if found.hot is None
            else {
                "allowed_mbar": found.hot.allowed / 100,
                "drop_mbar": found.hot.drop / 100,
                "ratio": None if math.isnan(found.hot.ratio) else found.hot.ratio,
                "opened": found.hot.opened,
                "passed": found.hot.passed,
            },
            "places": [
                {"name": s.place.name, "amount": s.amount, "unit": s.place.unit, "chance": s.chance}
                for s in found.ranked
            ],
            "halvings": [
                {"do": h.name, "tells": h.tells, "minutes": h.minutes, "bits": h.bits} for h in found.halvings
            ],
        },
        "findings": [show.finding_data(f) for f in found.findings],
    }
