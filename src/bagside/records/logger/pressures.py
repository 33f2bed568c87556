"""Pressure in the bag as absolute pressure, whatever the gauge was told against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Sensor
from bagside.errors import Problem
from bagside.records.logger.channels import ChannelPlan
from bagside.records.logger.header import column_place
from bagside.records.logger.options import Reference
from bagside.records.logger.units import Measures

Floats = NDArray[np.float64]
BELOW_NOTHING = -3e3
"""A reading below this is no absolute pressure, however poor the gauge [Pa]."""


def shown_by_readings(plan: ChannelPlan, told: Floats) -> ChannelPlan:
    """Return a channel whose readings below zero show that it is told against the ambient pressure.

    Parameters
    ----------
    plan
        Of the channel.
    told
        Numbers as they stand in the file, shape (k,).
    """
    if plan.reference is not None or plan.unit.measures is not Measures.PRESSURE:
        return plan
    si = told[np.isfinite(told)] * plan.unit.scale
    if len(si) and si.min() < BELOW_NOTHING and si.max() < -BELOW_NOTHING:
        return replace(plan, reference=Reference.GAUGE)
    return plan


def absolute(
    plan: ChannelPlan, told: Floats, ambient: Floats | float | None, name: str
) -> tuple[Floats, list[Problem]]:
    """Return pressures as absolute ones.

    Parameters
    ----------
    plan
        Of the channel.
    told
        Numbers as they stand in the file, shape (k,).
    ambient
        Ambient pressure, one or one for each reading [Pa]; None when not known.
    name
        Of the file.

    Returns
    -------
    tuple
        Pressures [Pa], and what must be asked.
    """
    place = f"{name}, {column_place(plan.name)}"
    si = told * plan.unit.scale
    reference = plan.reference
    if reference is None:
        return si, [_against(place, plan, told)]
    if reference is Reference.ABSOLUTE:
        return si, _too_low(place, plan, told, si, "an absolute pressure is never below zero")
    if ambient is None:
        first = told[np.isfinite(told)][:1]
        return si, [
            Problem(
                place=place,
                came=f"{first[0]:g} {plan.unit.text}" if len(first) else "",
                wanted="this is told against the ambient pressure, which the file does not tell; "
                'state the day\'s, as in --ambient "1005 mbar"',
            )
        ]
    if reference is Reference.GAUGE:
        pressure = ambient + si
    else:
        pressure = ambient - (told * plan.unit.scale * ambient if plan.unit.text == "%" else np.abs(si))
    middle = float(np.nanmedian(ambient))
    why = f"with an ambient pressure of {middle / 100:.0f} mbar the bag would be below zero"
    return np.asarray(pressure, dtype=np.float64), _too_low(place, plan, told, np.asarray(pressure), why)


def _against(place: str, plan: ChannelPlan, told: Floats) -> Problem:
    there = told[np.isfinite(told)]
    came = f"from {there.min():g} to {there.max():g} {plan.unit.text}" if len(there) else ""
    return Problem(
        place=place,
        came=came,
        wanted="what this pressure is told against is not told; say --pressure absolute (20 mbar is a good bag), "
        "gauge (−990 mbar is a good bag) or depth (990 mbar of vacuum is a good bag)",
    )


def _too_low(place: str, plan: ChannelPlan, told: Floats, pressure: Floats, why: str) -> list[Problem]:
    """Return a problem when more than one reading in twenty is below zero."""
    there = np.isfinite(pressure)
    if not there.any() or (pressure[there] < 0.0).mean() <= 0.05:
        return []
    k = int(np.nanargmin(pressure))
    return [
        Problem(
            place=place,
            came=f"{told[k]:g} {plan.unit.text}",
            wanted=f"{why}; state the day's ambient pressure at this place (--ambient) and what the gauge reads "
            "against (--pressure)",
        )
    ]


def ambient_of(plans: Sequence[ChannelPlan], told: Floats, stated: float | None) -> Floats | float | None:
    """Return the ambient pressure: as logged, as stated, or None.

    Parameters
    ----------
    plans
        Of the channels.
    told
        Numbers as they stand in the file, shape (channels, k).
    stated
        By a person [Pa].
    """
    for plan, row in zip(plans, told, strict=True):
        if plan.sensor is Sensor.AMBIENT and plan.reference in (None, Reference.ABSOLUTE) and np.isfinite(row).any():
            si = row * plan.unit.scale
            return np.asarray(np.where(np.isfinite(si), si, np.nanmedian(si)), dtype=np.float64)
    return stated
