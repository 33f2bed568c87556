"""Sentences on the parts of one design: scatter, trend, what stands out and what it shares, what may be learned."""

from __future__ import annotations

from collections.abc import Mapping

from bagside.ledger.design.apart import Shared
from bagside.ledger.design.learned import Learned
from bagside.ledger.design.over_time import DesignOverTime, StandsOut
from bagside.ledger.design.scatter import FEWEST_LIMITS, FIRM_LIMITS, RUN
from bagside.ledger.design.series import Series
from bagside.quantity import shown

MOST = 6
"""Names that are told one by one."""


def value_words(value: float | None, unit: str, digits: int) -> str:
    """Return a figure as text; a dash for none.

    Parameters
    ----------
    value
        SI.
    unit, digits
        As of `Series`.
    """
    if value is None:
        return "–"
    if unit:
        return shown(value, unit, digits)
    return f"{value:.{digits}f}".replace("-", "−")


def span_words(value: float, unit: str, digits: int) -> str:
    """Return a difference or a scatter as text: a difference of temperature is in kelvin.

    Parameters
    ----------
    value
        SI.
    unit, digits
        As of `Series`.
    """
    return value_words(value, "K" if unit == "°C" else unit, digits + 1)


def scatter_words(s: Series) -> str:
    """Return the mean of a figure and its scatter.

    Parameters
    ----------
    s
        The figure.
    """
    mean = value_words(s.mean, s.unit, s.digits if s.unit else s.digits + 1)
    if s.sigma is None:
        return f"{mean}, one part"
    return f"mean {mean}, scatter {span_words(s.sigma, s.unit, s.digits)}, {s.count} parts"


def trend_words(s: Series) -> str:
    """Return what can be said of a figure's trend.

    Parameters
    ----------
    s
        The figure.
    """
    t = s.trend
    if t is None:
        return "too few parts for a trend"
    run = s.limits is not None and s.limits.shifted
    shift = f"; {RUN} or more in a row on one side of the mean" if run else ""
    if not t.told:
        return "no trend that stands out of the scatter" + shift
    way = "rises" if t.slope > 0 else "falls"
    near, far = sorted((abs(t.low), abs(t.high)))
    by = span_words(abs(t.slope), s.unit, s.digits + 1)
    low, high = (span_words(v, s.unit, s.digits + 1).rsplit(" ", 1)[0] for v in (near, far))
    return f"{way} by {by} a part ({low} to {high})" + shift


def all_standing(design: DesignOverTime) -> tuple[str, ...]:
    """Return what stands out, a few sentences for each group of parts: figures with one story are told together.

    Parameters
    ----------
    design
        The parts.
    """
    names = {s.key: s.name for s in design.series}
    groups: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    out: list[str] = []
    for one in design.standing:
        if one.series == "scrap":
            continue
        groups.setdefault((one.parts, standing_words(one)), []).append(names.get(one.series, one.series))
    for (parts, words), figures in groups.items():
        what = "; ".join(figures)
        head = f"{what[0].upper()}{what[1:]}: {_named(parts)} stand{'' if len(parts) > 1 else 's'} out."
        out.append(" ".join((head, *words)))
    for one in design.standing:
        if one.series == "scrap":
            out.append(" ".join((f"Scrapped or conceded: {_named(one.parts)}.", *standing_words(one))))
    return tuple(out)


def standing_words(one: StandsOut) -> tuple[str, ...]:
    """Return what parts that stand out in one figure share, and what may have caused it, in sentences.

    Parameters
    ----------
    one
        What stands out.
    """
    many = len(one.parts) > 1
    out = []
    sure = [s for s in one.shared if s.sure]
    if sure:
        out.append(f"Against the others they share: {'; '.join(shared_words(s) for s in sure[:3])}.")
    elif one.shared and one.shared[0].luck < 0.5:
        first = one.shared[0]
        out.append(f"Clearest difference: {shared_words(first)}; that may well be luck ({shown(first.luck, '%', 0)}).")
    elif many:
        out.append("Nothing that was recorded sets them apart from the others.")
    causes = _causes(one)
    if causes:
        out.append(f"By their own records most likely: {causes}.")
    return tuple(out)


def shared_words(s: Shared) -> str:
    """Return one thing that parts share.

    Parameters
    ----------
    s
        What they share.
    """
    count = f"{s.those[0]} of {s.those[1]}, others {s.others[0]} of {s.others[1]}"
    if s.value is not None:
        return f"{s.name} {s.value} ({count})"
    way = "over" if s.above else "under"
    if s.edge is not None:
        return f"{s.name} {way} {_round(s.edge, s.unit)} ({count})"
    middle, other = _round(s.middle or 0.0, s.unit), _round(s.middle_others or 0.0, s.unit)
    return f"{s.name} {'higher' if s.above else 'lower'}: {middle}, others {other} in the middle"


def _round(value: float, unit: str) -> str:
    return shown(value, unit, 1 if unit == "mbar" else 0) if unit else f"{value:g}"


def _causes(one: StandsOut) -> str:
    first: dict[str, list[float]] = {}
    for _, ranked in one.causes:
        for r in ranked:
            first.setdefault(r.name, []).append(r.chance)
    if not first:
        return ""
    mean = {n: sum(c) / len(one.causes) for n, c in first.items()}
    best = sorted(mean.items(), key=lambda x: (-x[1], x[0]))[:3]
    return ", ".join(f"{n} ({shown(c, '%', 0)})" for n, c in best)


def _named(parts: tuple[str, ...]) -> str:
    if len(parts) <= MOST:
        return ", ".join(parts)
    return ", ".join(parts[:MOST]) + f" and {len(parts) - MOST} more"


def learned_words(one: Learned) -> str:
    """Return a learned figure with what the mean may be.

    Parameters
    ----------
    one
        The figure.
    """
    band = f"{one.low:.2f} to {one.high:.2f}"
    if one.against is not None and one.against != 1.0:
        return f"{one.what}: {shown(one.ratio, '%', 0)} ({band}), {one.count} parts"
    over = " times the plan" if one.against is not None else " times"
    return f"{one.what}: {one.ratio:.2f}{over} ({band}), {one.count} parts"


def toml_of(learned: tuple[Learned, ...]) -> tuple[str, ...]:
    """Return lines for ``workshop.toml`` of what can be told from what is planned.

    Parameters
    ----------
    learned
        All of it.
    """
    tables: dict[str, list[str]] = {"": []}
    for one in learned:
        if not one.told or not one.lines:
            continue
        table = one.lines[0] if one.lines[0].startswith("[") else ""
        tables.setdefault(table, []).extend(line for line in one.lines if line != table)
    return tuple(line for table, lines in tables.items() if lines for line in ([table] if table else []) + lines)


def summary(design: DesignOverTime) -> Mapping[str, str]:
    """Return what the figures of a design are told with: how many parts, scrap, how firm limits are.

    Parameters
    ----------
    design
        The parts.
    """
    count = len(design.parts)
    out = {"parts": f"{count} part{'s' if count != 1 else ''}"}
    if len(design.revisions) > 1:
        out["plans"] = f"made to {len(design.revisions)} plans"
    if design.few:
        out["few"] = f"under {FEWEST_LIMITS} parts: no scatter or trend is told"
    elif count < FIRM_LIMITS:
        out["few"] = f"under {FIRM_LIMITS} parts: limits will still move"
    s = design.scrapped
    if s is not None:
        band = f"{shown(s.low, '%', 0)} to {shown(s.high, '%', 0)} may be the rule"
        out["scrap"] = f"{s.count} of {s.closed} scrapped; {band}"
    return out
