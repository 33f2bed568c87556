"""Whether water makes voids at any moment before the resin gels, not only when it does.

What presses on the resin, and what of it counts against water, is derived in `void_pressure`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.voids import hottest_gel_temperatures, minimum_resin_pressure_kardos_1986
from bagside.errors import InputError, Problem
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

WANTED = 1.25  # margin below which it is told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoidCourse:
    """The margin against voids of water through a cycle.

    Parameters
    ----------
    time
        Shape (n,) [s].
    margin
        Given over needed, shape (n,) or (n, k); not a number after gel.
    allowed
        Hottest temperature at each time with the vacuum there is, shape (n,) [K]; not a number when no place is liquid
        or the answer lies outside 280…460 K.
    share
        Carried by fibres.
    worst
        Least margin; infinite when nothing is liquid.
    at
        When [s]; not a number when nothing is liquid.
    place
        Index of the place where; zero when there is one.
    temperature
        There and then [K].
    needed, given
        There and then [Pa].
    lost
        For how long the margin is below one anywhere [s].
    """

    time: Floats
    margin: Floats
    allowed: Floats
    share: float
    worst: float
    at: float
    place: int
    temperature: float
    needed: float
    given: float
    lost: float

    @property
    def holds(self) -> bool:
        """Whether the margin stays above one."""
        return self.worst >= 1.0


def void_course(
    time: Floats,
    temperature: Floats,
    gelled: Flags,
    p_bag_abs: float | Floats,
    ambient: float | Floats,
    humidity: float,
    share: float = 0.0,
) -> VoidCourse:
    """Return the margin against voids of water through a cycle.

    Parameters
    ----------
    time
        Rising, shape (n,) [s].
    temperature
        Of the resin at one place or k, shape (n,) or (n, k) [K].
    gelled
        Whether the resin there has gelled, as many.
    p_bag_abs
        Absolute pressure in the bag, one or shape (n,) [Pa]: a leak or a stopped pump is a history.
    ambient
        Absolute pressure outside, one or shape (n,) [Pa].
    humidity
        Relative humidity in which the prepreg came to rest, above 0 up to 1.
    share
        Of what presses, carried by fibres.

    Returns
    -------
    VoidCourse

    Raises
    ------
    InputError
        With every problem in the histories, and when liquid resin is outside 280…460 K.

    Notes
    -----
    After gel a void no longer grows. The Kardos criterion is for prepreg at rest with the room; constants of one early
    epoxy: to rank risk. A bag that lost all vacuum has a margin of zero.

    References
    ----------
    Kardos, Dudukovic & Dave 1986, Advances in Polymer Science 80, quoted from memory.
    """
    t = np.asarray(time, dtype=np.float64)
    T = np.asarray(temperature, dtype=np.float64)
    done = np.asarray(gelled, dtype=bool)
    wrong = []
    if t.ndim != 1 or len(t) < 1 or not (np.diff(t) > 0.0).all():
        wrong.append(Problem(place="void growth, time", came=f"{t.size} times", wanted="rising times are wanted"))
    if T.ndim not in (1, 2) or T.shape[:1] != t.shape or done.shape != T.shape:
        wrong.append(
            Problem(
                place="void growth, temperature",
                came=f"{T.shape} and {done.shape}",
                wanted=f"one temperature and one gelled or not for each of {t.size} times and each place are wanted",
            )
        )
    bag, outside = (np.asarray(x, dtype=np.float64) for x in (p_bag_abs, ambient))
    for word, p in (("bag", bag), ("ambient", outside)):
        if p.shape not in ((), t.shape):
            wrong.append(
                Problem(
                    place=f"void growth, {word}",
                    came=f"{p.size} pressures",
                    wanted=f"one, or one for each of {t.size} times is wanted",
                )
            )
    if not 0.0 < humidity <= 1.0:
        wrong.append(
            Problem(place="void growth, humidity", came=str(humidity), wanted="more than 0 and at most 1 is wanted")
        )
    if not 0.0 <= share < 1.0:
        wrong.append(Problem(place="void growth, share", came=str(share), wanted="0 to less than 1 is wanted"))
    if wrong:
        raise InputError(wrong)
    bag, outside = np.broadcast_to(bag, t.shape), np.broadcast_to(outside, t.shape)
    if not ((bag >= 0.0) & (bag <= outside * (1.0 + 1e-9)) & (outside > 0.0)).all():
        k = int(np.argmax(~((bag >= 0.0) & (bag <= outside * (1.0 + 1e-9)) & (outside > 0.0))))
        raise InputError.one(
            f"void growth, after {shown(float(t[k]), 'min', 0)}",
            f"{shown(float(bag[k]), 'mbar', 0)} in the bag, {shown(float(outside[k]), 'mbar', 0)} outside",
            "absolute pressures are wanted, less in the bag",
        )
    given = np.maximum(outside - bag, 0.0) * (1.0 - share)
    columns, liquid = T.reshape(len(t), -1), ~done.reshape(len(t), -1)
    needed = np.full(columns.shape, np.nan)
    if liquid.any():
        needed[liquid] = minimum_resin_pressure_kardos_1986(columns[liquid], humidity)
    margin = given[:, None] / needed
    allowed = np.where(liquid.any(axis=1), hottest_gel_temperatures(given, humidity), np.nan)
    if not liquid.any():
        return VoidCourse(
            time=t, margin=margin.reshape(T.shape), allowed=allowed, share=share, worst=math.inf, at=math.nan,
            place=0, temperature=math.nan, needed=math.nan, given=math.nan, lost=0.0,
        )  # fmt: skip
    row, column = np.unravel_index(int(np.nanargmin(margin)), margin.shape)
    below = np.nanmin(np.where(np.isnan(margin), np.inf, margin), axis=1) < 1.0
    return VoidCourse(
        time=t,
        margin=margin.reshape(T.shape),
        allowed=allowed,
        share=share,
        worst=float(margin[row, column]),
        at=float(t[row]),
        place=int(column),
        temperature=float(columns[row, column]),
        needed=float(needed[row, column]),
        given=float(given[row]),
        lost=float((np.diff(t) * 0.5 * (below[1:].astype(float) + below[:-1])).sum()),
    )


def void_course_findings(courses: tuple[VoidCourse, ...], places: tuple[str, ...] = ()) -> tuple[Finding, ...]:
    """Return a finding when water may make voids before gel.

    Parameters
    ----------
    courses
        The same cycle at each share of the band, smallest first.
    places
        Names of the places, when there are several.

    Returns
    -------
    tuple of Finding
        None while the least favourable share keeps a quarter to spare.
    """
    worst = min(courses, key=lambda c: c.worst, default=None)
    if worst is None or worst.worst >= WANTED:
        return ()
    best = max(courses, key=lambda c: c.worst)
    lost_always = best.worst < 1.0
    place = places[worst.place] if worst.place < len(places) else "resin before gel"
    k = int(np.argmin(np.abs(worst.time - worst.at)))
    allowed = float(worst.allowed[k])
    cooler = f"keep it below {math.floor(allowed - 273.15)} °C until it gels" if math.isfinite(allowed) else (
        "find out why there was no vacuum"
    )  # fmt: skip
    return (
        Finding(
            severity=Severity.DECIDE if lost_always else Severity.WATCH,
            stage="bagging",
            place=place,
            what=f"{shown(worst.at, 'min', 0)} after heat on it is at {shown(worst.temperature, '°C', 0)}, not gelled: "
            f"margin {best.worst:.2f} with no load on the fibres, {worst.worst:.2f} when they carry "
            f"{100 * worst.share:.0f} %",
            why="below one, water in the prepreg boils into voids; the fibres' share has not been measured here",
            do=f"{cooler}, or dry the lay-up under vacuum overnight",
            basis=Basis.PUBLISHED,
            source="Kardos, Dudukovic & Dave 1986; for ranking risk, not a limit",
        ),
    )
