"""What a person should know about the clocks of a cloth: how far they are, and what they do not know."""

from __future__ import annotations

from datetime import datetime

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.clocks.life_now import Clock, Filled, LifeNow
from bagside.quantity import shown

WATCHED, NEARLY = 0.7, 0.9
"""Shares of a life from which a person is told, and from which the person must decide: common practice, no source."""

DAY = 86400.0
WORTH_A_WORD = DAY
"""Less time than this without a reading is not told of [s]."""
ORDER = list(Severity)


def life_findings(life: LifeNow) -> tuple[Finding, ...]:
    """Return what is to be said about a life, the gravest first.

    Parameters
    ----------
    life
        Of a roll, an offcut or a kit.
    """
    found = [*_clock(life, "out-life", life.out)]
    if life.tack is not None:
        found += _clock(life, "tack", life.tack)
    found += [*_last_day(life), *_unknown_start(life), *_gaps(life), *_unmeasured(life)]
    return tuple(sorted(found, key=lambda f: ORDER.index(f.severity)))


def time_words(seconds: float) -> str:
    """Return a time as people say it: hours below two days, days above.

    Parameters
    ----------
    seconds
        [s].

    Examples
    --------
    >>> time_words(7200.0), time_words(90 * 86400.0)
    ('2 h', '90 days')
    """
    if abs(seconds) < 2 * DAY:
        return shown(seconds, "h", 0 if abs(seconds) >= 36000 or seconds % 3600 == 0 else 1)
    return f"{seconds / DAY:.0f} days"


def _clock(life: LifeNow, word: str, clock: Clock) -> list[Finding]:
    if clock.share < WATCHED:
        return []
    over = clock.share >= 1.0
    share = f"{100 * clock.share:.0f} %"
    what = (
        f"its {word} is used up: {time_words(clock.used)} of {time_words(clock.whole)} at "
        f"{shown(clock.counted_at, '°C', 0)}"
        if over
        else f"{share} of its {word} are used, {time_words(clock.left_room)} are left in the room"
    )
    tack = word == "tack"
    if over:
        severity = Severity.STOP if clock.sure and not tack else Severity.DECIDE
    else:
        severity = Severity.DECIDE if clock.share >= NEARLY else Severity.WATCH
    return [
        Finding(
            severity=severity,
            stage="stock",
            place=life.name + (f", from {life.worst}" if life.worst else ""),
            what=what,
            why="it no longer clings and drapes as it did, and bridges in corners"
            if tack
            else "the resin gels sooner and flows less: corners bridge and pinholes stay",
            do=_do(over, tack, sure=clock.sure),
            basis=clock.basis,
            source=clock.source,
        )
    ]


def _do(over: bool, tack: bool, *, sure: bool) -> str:
    if over and not sure:
        return "find out how long it was out; else feel the tack of a test piece and cure it before a part hangs on it"
    if over and tack:
        return "feel its tack on a cut piece first; lay it on flat backing plies only, or use it for practice"
    if over:
        return "do not lay it on a part; use it for practice or cauls, and cure the rest thin before it is thrown away"
    return "lay it up first, and keep it in the freezer until then"


def _last_day(life: LifeNow) -> list[Finding]:
    if life.use_by is None or life.use_by >= life.at.date():
        return []
    return [
        Finding(
            severity=Severity.DECIDE,
            stage="stock",
            place=life.name,
            what=f"its last day was {life.use_by.isoformat()}",
            why="its maker stands for it until then and no longer",
            do="ask the maker for a longer date with a test, or use it for practice",
            basis=Basis.DATA_SHEET,
            source="label, or the day it was made and the sheet's storage life",
        )
    ]


def _unknown_start(life: LifeNow) -> list[Finding]:
    if not life.out.sure:
        return [
            Finding(
                severity=Severity.WATCH,
                stage="stock",
                place=life.name,
                what="nobody knows how long it was out before it came here",
                why="it is counted as if it had lain in the room since it was made, as used up when that day is not "
                "known either",
                do='ask where it came from, and state the hours ("bagside stock correct")',
                basis=Basis.COMMON,
            )
        ]
    if life.since_made:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="stock",
            place=life.name,
            what="the day it was made is not stated: its time in other freezers is not counted",
            why="a year in the freezer uses up a guarantee of a year",
            do="take the day from its label or the maker's paper, and state it",
            basis=Basis.COMMON,
        )
    ]


def _gaps(life: LifeNow) -> list[Finding]:
    found = []
    for filled in Filled:
        gaps = [g for g in life.gaps if g.filled is filled]
        if not gaps:
            continue
        longest = max(gaps, key=lambda g: g.end - g.start)
        more = f", the longest of {len(gaps)} such gaps" if len(gaps) > 1 else ""
        at_room = filled is Filled.ROOM
        found.append(
            Finding(
                severity=Severity.WATCH if at_room else Severity.SEEN,
                stage="stock",
                place=f"{life.name}, in {longest.place}",
                what=f"the logger saw nothing from {_moment(longest.start)} to {_moment(longest.end)}{more}; it is "
                f"counted at {shown(longest.temperature, '°C', 0)}, {filled.value}",
                why="in so long a time a freezer can thaw and freeze again" if at_room else "it was not warmer, as far "
                "as is known",
                do="when another thermometer or the freezer's alarm tells more, add its log" if at_room else "nothing",
                basis=Basis.COMMON,
            )
        )
    return found


def _unmeasured(life: LifeNow) -> list[Finding]:
    found = []
    for u in life.unmeasured:
        if u.seconds < WORTH_A_WORD:
            continue
        nowhere = not u.place
        found.append(
            Finding(
                severity=Severity.WATCH if nowhere else Severity.SEEN,
                stage="stock",
                place=life.name + ("" if nowhere else f", in {u.place}"),
                what=f"where it was for {time_words(u.seconds)} is not written down; it is counted at the room's "
                f"{shown(u.temperature, '°C', 0)}"
                if nowhere
                else f"for {time_words(u.seconds)} no logger watched; it is counted at "
                f"{shown(u.temperature, '°C', 0)}, {u.how}",
                why="its clock is as sure as that temperature",
                do='write down where it was ("bagside stock move … --at … --late")'
                if nowhere
                else "lay a logger into it, and add its file",
                basis=Basis.COMMON,
            )
        )
    return found


def _moment(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}" + (" UTC" if at.tzinfo is not None and not at.utcoffset() else "")
