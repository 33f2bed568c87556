"""What the chance of a cycle means for a person."""

from __future__ import annotations

from bagside.cure.chance.chance import Chance, LimitChance
from bagside.cure.chance.limits import UNITS
from bagside.cure.chance.margins import in_words, plain
from bagside.cure.chance.odds import draws_to_show
from bagside.cure.chance.scatter import WORDS, Scatter
from bagside.findings import Basis, Finding, Severity, weakest
from bagside.quantity import shown

WANTED = 0.95
"""Chance that is wanted when nothing else is stated."""

FINEST = 6
"""Digits after the point with which a chance close to never or to always is told."""

DRIVES = 0.10
"""Share of a margin's scatter from which an input is named."""

DO = {
    "target": "hold longer or hotter, or add a post-cure",
    "tg": "hold longer or hotter, or add a post-cure",
    "hottest": "ramp slower, or add a dwell before gel",
    "tool": "lower the cycle's hottest and hold longer, or post-cure off the tool",
    "spread": "ramp slower, or add a dwell before gel",
    "overshoot": "ramp slower, or add a dwell before gel",
    "void_free": "let it gel cooler: a longer dwell at a lower temperature before the ramp goes on",
    "flow": "ramp faster to the temperature at which it flows, or use fresher prepreg",
    "stiff": "ramp slower, hold on the way, or support the part",
}
"""What to do when a limit is not sure enough."""

BETTER = {
    "place": "measure the oven's air where the part lies",
    "thermocouple": "check the controlling thermocouple in ice and boiling water",
    "film_bag": "calibrate the films on a log of this oven",
    "film_tool": "calibrate the films on a log of this oven",
    "lag": "calibrate the oven's lag on a log",
    "rate": "ask for this batch's gel time, or have it measured",
    "heat": "measure the heat of reaction of this batch",
    "start": "keep account of the hours out of the freezer, or use a fresher roll",
    "humidity": "dry the room, or keep the lay-up under vacuum overnight",
    "ambient": "read the barometer on the day",
    "leak": "test the bag hot, and hunt its leaks",
}
"""How an input is made less uncertain."""


def chance_findings(
    chance: Chance, scatter: Scatter, wanted: float = WANTED, *, basis: Basis = Basis.COMMON, source: str = ""
) -> tuple[Finding, ...]:
    """Return what a person should know about the chance of a cycle.

    Parameters
    ----------
    chance
        As counted.
    scatter
        What it was drawn from.
    wanted
        Chance that is wanted for all limits at once.
    basis, source
        Of the resin's law; the finding rests on the weakest of it and what was drawn from.

    Returns
    -------
    tuple of Finding
        Stop when the chance counted is below the wanted one; watch when there are too few draws to tell.
    """
    rest = weakest(basis, *(getattr(scatter, name).basis for name in scatter.scattered))
    from_words = "; ".join(x for x in (source, "scatter as stated, else what is common practice") if x)
    all_hold, found = chance.all_hold, []
    if all_hold.chance < wanted:
        for k, limit in enumerate(x for x in chance.limits if x.odds.chance < wanted):
            found.append(_below(limit, wanted, rest, from_words, Severity.STOP if k == 0 else Severity.DECIDE))
        if not found:
            found.append(
                Finding(
                    severity=Severity.STOP,
                    stage="cure",
                    place="cycle",
                    what=f"all limits hold together in {percent(all_hold.chance)} of cases; "
                    f"{percent(wanted)} is wanted",
                    why="each limit alone is sure enough, but they break in different cases",
                    do=_do(chance.limits[0]),
                    basis=rest,
                    source=from_words,
                )
            )
    elif all_hold.low < wanted:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place="cycle",
                what=f"all limits hold in {percent(all_hold.chance)} of {all_hold.draws} draws; the chance may still "
                f"be {percent(all_hold.low)}, and {percent(wanted)} is wanted",
                why="so few draws do not tell the two apart",
                do=f"draw more: {draws_to_show(wanted)} would do if none failed, and more the closer it is",
                basis=rest,
                source=from_words,
            )
        )
    if chance.asked > all_hold.draws:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place="draws",
                what=f"it was stopped after {all_hold.draws} of {chance.asked} draws",
                why="what was worked out is kept; the chance is known less closely, as its interval says",
                do="run it again with the same seed to have the rest",
                basis=rest,
            )
        )
    if chance.not_computed:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cure",
                place="draws",
                what=f"{chance.not_computed} of {all_hold.draws} draws could not be computed and count as failed",
                why="the reaction runs away faster than any step, or a number left its range",
                do="look at the hottest cases: the cycle is likely too fast for a thick laminate",
                basis=rest,
            )
        )
    return tuple(found)


def percent(chance: float) -> str:
    """Return a chance in words, with more digits where it is close to never or to always.

    Parameters
    ----------
    chance
        From 0 to 1.

    Examples
    --------
    >>> percent(0.9), percent(0.9994), percent(0.99996), percent(1.0)
    ('90 %', '99.9 %', '99.996 %', '100 %')
    """
    if chance in (0.0, 1.0):
        return shown(chance, "%", 0)
    digits = 0 if 0.005 < chance < 0.985 else 1
    while digits < FINEST and round(chance, digits + 2) in (0.0, 1.0):
        digits += 1
    return shown(chance, "%", digits)


def margin_text(limit: str, value: float) -> str:
    """Return a margin of a limit with its unit and sign.

    Parameters
    ----------
    limit
        As in the chance.
    value
        [SI].
    """
    if value != value or value in (float("inf"), float("-inf")):
        return "–"
    unit = UNITS[plain(limit)]
    text = shown(value, unit, 1 if unit != "min" else 0)
    return text if text.startswith("−") else f"+{text}"


def _below(limit: LimitChance, wanted: float, basis: Basis, source: str, severity: Severity) -> Finding:
    main = [d for d in limit.drivers if d.share >= DRIVES][:2]
    driven = (
        "most of the scatter comes from " + " and ".join(f"{WORDS[d.name]} ({shown(d.share, '%', 0)})" for d in main)
        if main
        else "no single input drives it"
    )
    return Finding(
        severity=severity,
        stage="cure",
        place=in_words(limit.name),
        what=f"it holds in {percent(limit.odds.chance)} of cases "
        f"({percent(limit.odds.low)} to {percent(limit.odds.high)}); {percent(wanted)} is wanted",
        why=f"in one case of twenty the margin is {margin_text(limit.name, limit.margin[0])} or less; {driven}",
        do=_do(limit),
        basis=basis,
        source=source,
    )


def _do(limit: LimitChance) -> str:
    first = DO[plain(limit.name)]
    main = [d for d in limit.drivers if d.share >= DRIVES][:1]
    return f"{first}; or know it better: {BETTER[main[0].name]}" if main else first
