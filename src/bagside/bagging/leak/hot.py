"""The check at 60 °C, before the cure goes on: tape softens, and a bag that was tight cold may not be."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.bagging.leak.drop import LeakTest

HOT = 333.15  # [K] at which the bag is checked again
OPENED = 2.0  # times the cold leak from which a seam has opened
SURE = 2.0  # standard deviations


@dataclass(frozen=True, slots=True, kw_only=True)
class HotCheck:
    """A leak test of the warm bag beside the cold one.

    Parameters
    ----------
    allowed
        Drop the criterion allows in its time in the warm bag [Pa].
    drop, drop_spread
        Drop of the warm bag in that time, and its standard deviation [Pa].
    ratio, ratio_spread
        Amount of gas coming in warm against cold, and its standard deviation; not a number when the cold leak does not
        stand out of the gauge's steps.
    opened
        Whether a seam has opened; None when the readings do not tell.
    passed
        Whether the warm bag meets the criterion; None when the readings do not tell.
    """

    allowed: float
    drop: float
    drop_spread: float
    ratio: float
    ratio_spread: float
    opened: bool | None
    passed: bool | None


def hot_limit(allowed: float, cold: float, hot: float) -> float:
    """Return the drop a criterion allows in a warm bag.

    Parameters
    ----------
    allowed
        Drop in the cold bag [Pa].
    cold, hot
        Temperature of the bag [K].

    Returns
    -------
    float
        Drop in the warm bag [Pa].

    Notes
    -----
    The same amount of air takes more pressure in a warmer bag of the same volume, in the ratio of the temperatures:
    10 mbar at 20 °C are 11.4 mbar at 60 °C.
    """
    return allowed * hot / cold


def hot_check(cold: LeakTest, hot: LeakTest, criterion: str) -> HotCheck:
    """Return what a check of the warm bag says.

    Parameters
    ----------
    cold, hot
        Tests of the same bag before and in the oven.
    criterion
        Name of the one that counts.

    Raises
    ------
    KeyError
        When there is no criterion of that name.
    """
    judged = hot.of(criterion)
    allowed = hot_limit(cold.of(criterion).allowed, cold.temperature, hot.temperature)
    apart = allowed - judged.drop
    passed = apart >= 0.0 if abs(apart) >= SURE * judged.drop_spread else None
    warm = hot.rise / hot.time / hot.temperature
    cool = cold.rise / cold.time / cold.temperature
    if cold.told and cool > 0.0:
        ratio = warm / cool
        spread = abs(ratio) * math.hypot(cold.rise_spread / cold.rise, hot.rise_spread / max(abs(hot.rise), 1e-9))
        away = ratio - OPENED
        opened = away > 0.0 if abs(away) >= SURE * spread else None
    else:
        ratio = spread = math.nan
        least = cold.rise_spread * SURE / cold.time / cold.temperature
        opened = True if warm > OPENED * max(least, cool) and hot.told else (None if hot.told else False)
    return HotCheck(
        allowed=allowed,
        drop=judged.drop,
        drop_spread=judged.drop_spread,
        ratio=ratio,
        ratio_spread=spread,
        opened=opened,
        passed=False if hot.reached > (judged.criterion.deepest or math.inf) else passed,
    )
