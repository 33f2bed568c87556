"""What each part of a design was made under: batch, room, debulk, mould, life, vacuum. People are not among it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.bodies import Measured
from bagside.ledger.design.apart import Circumstance
from bagside.ledger.design.series import leak_rise

Told = Callable[[PlanAgainstActual], float | str | None]


def circumstances_of(parts: Sequence[PlanAgainstActual]) -> tuple[Circumstance, ...]:
    """Return every circumstance that at least one part has.

    Parameters
    ----------
    parts
        Of one design.
    """
    told: tuple[tuple[str, str, str, Told], ...] = (
        ("batch", "", "", _words(lambda p: [b for u in p.cloth for b in u.batches])),
        ("roll", "", "", _words(lambda p: [r for u in p.cloth for r in u.rolls])),
        ("highest humidity where it was laid", "%", "", _humidity),
        ("warmest air where it was laid", "°C", "", _air),
        ("first debulk", "min", "", _first_debulk),
        ("weakest vacuum in a debulk", "mbar", "", _debulk_pressure),
        ("mould", "", "", lambda p: None if p.mould is None else p.mould.name),
        ("pull of the mould", "", "", _pull),
        ("pulls since the release agent", "", "", _since_release),
        ("out-life used at the cure", "%", "", _life),
        ("leak, rise in 5 min", "mbar", "leak", leak_rise),
        ("hottest in the part", "°C", "", _hottest),
        ("highest pressure in the bag before gel", "mbar", "", _bag_pressure),
        ("hands-on time over plan", "%", "hours", lambda p: p.hours / p.planned_hours if p.planned_hours else None),
        ("plan it was made to", "", "", lambda p: p.build.planned.revision),
    )
    out = []
    for name, unit, about, get in told:
        values = {p.build.name: v for p in parts if (v := get(p)) is not None}
        if values:
            out.append(Circumstance(name=name, unit=unit, values=values, about=about))
    return tuple(out)


def _words(get: Callable[[PlanAgainstActual], list[str]]) -> Told:
    def told(p: PlanAgainstActual) -> str | None:
        return ", ".join(sorted(set(get(p)))) or None

    return told


def _humidity(p: PlanAgainstActual) -> float | None:
    read = [w.humidity for w in _laying(p) if w.humidity is not None]
    return max(read) if read else None


def _air(p: PlanAgainstActual) -> float | None:
    read = [w.value for w in _laying(p)]
    return max(read) if read else None


def _laying(p: PlanAgainstActual) -> list[Measured]:
    """Return readings of the room before the first cure: what comes later is about coats."""
    return [c.reading.what for c in p.climate if not p.cures or c.reading.at <= p.cures[0].at]


def _first_debulk(p: PlanAgainstActual) -> float | None:
    first = [d.done.what.seconds for d in p.debulks if d.done is not None and d.after == 1]
    return max(first) if first else None


def _debulk_pressure(p: PlanAgainstActual) -> float | None:
    read = [d.done.what.pressure for d in p.debulks if d.done is not None]
    return max(read) if read else None


def _pull(p: PlanAgainstActual) -> float | None:
    return None if p.mould is None or p.mould.pull is None else float(p.mould.pull)


def _since_release(p: PlanAgainstActual) -> float | None:
    return None if p.mould is None or p.mould.since_release is None else float(p.mould.since_release)


def _life(p: PlanAgainstActual) -> float | None:
    used = [u.out.share for u in p.cloth if u.out is not None]
    return max(used) if used else None


def _hottest(p: PlanAgainstActual) -> float | None:
    seen = [c.what.hottest_part for c in p.cures if c.what.hottest_part is not None]
    return max(seen) if seen else None


def _bag_pressure(p: PlanAgainstActual) -> float | None:
    seen = [c.what.pressure for c in p.cures if c.what.pressure is not None and not c.what.post]
    return max(seen) if seen else None
