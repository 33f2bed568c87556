"""What a leak test asks of people."""

from __future__ import annotations

from bagside.bagging.leak.curve import Rise
from bagside.bagging.leak.drop import Judged, LeakTest
from bagside.bagging.leak.hot import HOT, HotCheck
from bagside.bagging.leak.hunt import Suspect
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

WORST = 10000.0  # [Pa] absolute, above which a bag is not cured
COSMETIC = 3000.0  # [Pa] absolute, wanted for a visible part
MARGINAL = 1000.0  # [Pa] in five minutes, from here on the pump must stay on
REJECTS = "reject above"


def flow_words(flow: float) -> str:
    """Return a leak in the words of the shop.

    Parameters
    ----------
    flow
        Air at 1013 mbar [m³/s].
    """
    per_minute = 6e7 * flow
    return f"{per_minute:.{1 if per_minute < 10 else 0}f} cm³/min"


def leak_findings(
    test: LeakTest, criterion: str, *, held: float | None = None, ranked: tuple[Suspect, ...] = ()
) -> tuple[Finding, ...]:
    """Return what a leak test asks of people.

    Parameters
    ----------
    test
        Worked out.
    criterion
        Name of the one that counts here.
    held
        Absolute pressure at which the pump holds this bag [Pa]; None when the pump is not known.
    ranked
        Where the leak most likely is.

    Raises
    ------
    KeyError
        When there is no criterion of that name.
    """
    out = [*_verdict(test, test.of(criterion), ranked)]
    rejects = test.of(REJECTS)
    if criterion != REJECTS and rejects.passed is False:
        out.append(
            _finding(
                Severity.STOP,
                "bag",
                f"it loses {shown(rejects.drop, 'mbar', 0)} in 5 min from {shown(test.reached, 'mbar', 0)} absolute",
                "above 34 mbar in 5 min, or 100 mbar absolute, voids are not closed and the bag may fail in the oven",
                "do not heat it: find the leak first",
                rejects.criterion.basis,
                rejects.criterion.source,
            )
        )
    elif rejects.tight and rejects.drop > MARGINAL:
        out.append(
            _finding(
                Severity.WATCH,
                "pump",
                f"{shown(rejects.drop, 'mbar', 0)} in 5 min is marginal: it holds only while the pump runs",
                "with the pump off the margin against voids is gone within the cure",
                "fix it if you can; else pump on until the part is cold, and a receiver on the line",
                Basis.COMMON,
                "10 to 34 mbar in 5 min: fix if possible, the pump must stay on",
            )
        )
    out += _curve(test, test.of(criterion))
    out += _size(test, test.of(criterion))
    if held is not None and held > COSMETIC:
        out.append(
            _finding(
                Severity.DECIDE if held > WORST else Severity.WATCH,
                "pump",
                f"with this leak it holds {shown(held, 'mbar', 0)}, not the {shown(COSMETIC, 'mbar', 0)} of a "
                "visible part",
                "its flow falls to nothing at its ultimate pressure: the leak decides how deep the bag gets",
                "find the leak, shorten or widen the hose, or service the pump",
                Basis.COMMON,
                "20 to 30 mbar absolute for a visible part",
            )
        )
    return tuple(out)


def _verdict(test: LeakTest, chosen: Judged, ranked: tuple[Suspect, ...]) -> list[Finding]:
    c = chosen.criterion
    first = f"; look first at: {', '.join(s.place.name for s in ranked[:3])}" if ranked else ""
    if chosen.passed is None:
        return [
            _finding(
                Severity.WATCH,
                f"test of {shown(test.time, 'min', 0)}",
                f"the drop of {shown(chosen.drop, 'mbar')} in {shown(c.time, 'min', 0)} is known to ± "
                f"{shown(2.0 * chosen.drop_spread, 'mbar')}, the limit is {shown(chosen.allowed, 'mbar')}",
                "the gauge's steps are as large as what is to be told",
                f"watch it for {shown(chosen.needed, 'min', 0)}, or take a gauge that shows single millibars",
                Basis.MEASURED,
                "spread of a rounded reading",
            )
        ]
    if not chosen.deep:
        return [
            _finding(
                Severity.DECIDE,
                "vacuum",
                f"{shown(test.reached, 'mbar', 0)} absolute were reached at {shown(test.ambient, 'mbar', 0)} ambient, "
                f"too little for the criterion {c.name}",
                "what holds the part together is ambient pressure less what is left in the bag",
                "pump for longer and read again; then look for the leak or at the pump",
                c.basis,
                c.source,
            )
        ]
    if chosen.passed:
        return []
    return [
        _finding(
            Severity.DECIDE,
            "bag",
            f"it loses {shown(chosen.drop, 'mbar')} in {shown(c.time, 'min', 0)}, "
            f"{shown(chosen.allowed, 'mbar')} are allowed: {flow_words(test.flow)}",
            "air drawn through the laminate shows as pinholes, and a leak grows when the tape softens",
            f"find it before heating{first}",
            c.basis,
            c.source,
        )
    ]


def _size(test: LeakTest, chosen: Judged) -> list[Finding]:
    if chosen.tight is not False or test.volume.basis is Basis.MEASURED or not test.told:
        return []
    return [
        _finding(
            Severity.SEEN,
            "free volume",
            f"it is taken as {shown(test.volume.value, 'L', 1)} ± {shown(test.volume.spread, 'L', 1)}, so the leak is "
            f"{flow_words(test.flow)} give or take {flow_words(test.flow_spread)}",
            "the same drop in a small bag is a smaller leak",
            "to know it better let in a rated vessel of known volume, or a bleed of known flow, and read again",
            test.volume.basis,
            test.volume.how,
        )
    ]


def _curve(test: LeakTest, chosen: Judged) -> list[Finding]:
    curve = test.curve
    if curve is None:
        return []
    if curve.answer is Rise.SOAK:
        best = next(f for f in curve.fits if f.rise is Rise.SOAK)
        return [
            _finding(
                Severity.SEEN,
                "rise curve",
                f"the rise dies away with a time of {shown(best.fading, 'min')}: outgassing, no leak that shows",
                "breather, resin or mould still give off moisture",
                "pump on for another 15 to 30 min and read again",
                Basis.MEASURED,
                "least squares, BIC",
            )
        ]
    if curve.answer is Rise.BOTH:
        return [
            _finding(
                Severity.SEEN,
                "rise curve",
                f"leak and outgassing: the leak alone makes {shown(60.0 * curve.rate, 'mbar', 2)} a minute, "
                f"{shown(curve.rate * chosen.criterion.time, 'mbar')} in {shown(chosen.criterion.time, 'min', 0)} "
                f"where {shown(chosen.allowed, 'mbar')} are allowed",
                "the drop of the first minutes counts moisture as leak",
                "pump on for another 15 to 30 min and read again: moisture goes, a leak stays",
                Basis.MEASURED,
                "least squares, BIC",
            )
        ]
    if curve.answer is None and curve.soak_weight > 0.1 and test.told:
        return [
            _finding(
                Severity.SEEN,
                "rise curve",
                f"{100 * curve.leak_weight:.0f} % for a leak, {100 * curve.soak_weight:.0f} % for outgassing: "
                "the readings do not tell",
                "both raise the pressure; only outgassing dies away",
                f"read again after {shown(2.0 * test.time, 'min', 0)} more with the pump still off",
                Basis.MEASURED,
                "least squares, BIC",
            )
        ]
    return []


def hot_findings(check: HotCheck) -> tuple[Finding, ...]:
    """Return what a check of the warm bag asks of people.

    Parameters
    ----------
    check
        Beside the cold test.
    """
    out = [caution_hot()]
    if check.passed is False or check.opened:
        more = f", {check.ratio:.1f} times the cold leak" if check.ratio == check.ratio else ""
        out.append(
            _finding(
                Severity.DECIDE,
                "warm bag",
                f"it loses {shown(check.drop, 'mbar')}, {shown(check.allowed, 'mbar')} are allowed warm{more}",
                "tape softens at 50 to 70 °C; what opens now opens further",
                "cool down, press every pleat and joint, and check again before the resin has moved; do not go on",
                Basis.COMMON,
                "checked again hot at 60 °C",
            )
        )
    elif check.passed is None:
        out.append(
            _finding(
                Severity.WATCH,
                "warm bag",
                f"the drop of {shown(check.drop, 'mbar')} is known to ± {shown(2.0 * check.drop_spread, 'mbar')}, "
                f"{shown(check.allowed, 'mbar')} are allowed warm",
                "the gauge's steps are as large as what is to be told",
                "watch it for longer before the temperature goes on",
                Basis.MEASURED,
                "spread of a rounded reading",
            )
        )
    return tuple(out)


def caution_hot() -> Finding:
    """Return the caution for whoever reads a gauge on a warm bag."""
    return _finding(
        Severity.SEEN,
        f"check at {shown(HOT, '°C', 0)}",
        "fittings and mould are hot enough to burn",
        "a hand on the mould or a port stays there before it is felt",
        "read the gauge from outside the door; heat-proof gloves to touch anything; local rules come first",
        Basis.COMMON,
    )


def caution_vessel() -> Finding:
    """Return the caution for a receiver, catch pot or test vessel."""
    return _finding(
        Severity.SEEN,
        "receiver or vessel",
        "it stands under one tonne on every 0.1 m²",
        "a vessel that is not made for vacuum implodes and throws its pieces",
        "rated vessels only, no glass or thin plastic without a guard; goggles; local rules come first",
        Basis.COMMON,
    )


def caution_pump() -> Finding:
    """Return the caution for a pump that runs on a leaking bag."""
    return _finding(
        Severity.SEEN,
        "pump",
        "a leak keeps it at high flow: hot, and its exhaust carries oil mist",
        "oil mist is breathed in and burns; warm resin vapour ends up in the oil",
        "filter the exhaust or lead it outside, a catch pot before the pump, watch its oil; its maker's sheet counts",
        Basis.COMMON,
    )


def _finding(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis, source: str = "") -> Finding:
    return Finding(
        severity=severity, stage="bagging", place=place, what=what, why=why, do=do, basis=basis, source=source
    )
