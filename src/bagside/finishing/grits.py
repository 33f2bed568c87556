"""Grits, and the steps between two of them that leave no deeper scratch behind."""

from __future__ import annotations

from bagside.errors import InputError, did_you_mean

GRITS: dict[str, float] = {
    "P80": 201e-6, "P100": 162e-6, "P120": 125e-6, "P150": 100e-6, "P180": 82e-6, "P220": 68e-6, "P240": 58.5e-6,
    "P280": 52.2e-6, "P320": 46.2e-6, "P360": 40.5e-6, "P400": 35.0e-6, "P500": 30.2e-6, "P600": 25.8e-6,
    "P800": 21.8e-6, "P1000": 18.3e-6, "P1200": 15.3e-6, "P1500": 12.6e-6, "P2000": 10.3e-6, "P2500": 8.4e-6,
}  # fmt: skip
"""Median grain of each FEPA P grit [m]; ISO 6344."""

RATIO = 1.7
"""Most by which the grain may shrink in one step: common practice, never skip more than one grit."""


def grit_sequence(first: str, last: str, ratio: float = RATIO) -> tuple[str, ...]:
    """Return grits from one to another with the fewest steps that the ratio allows.

    Parameters
    ----------
    first, last
        Names such as ``P240``; the last is the finer.
    ratio
        Most by which the grain may shrink in one step, above 1.

    Raises
    ------
    InputError
        When a grit is unknown, the last is coarser, or the ratio allows no step.
    """
    for grit in (first, last):
        if grit not in GRITS:
            raise InputError.one("grit", f'"{grit}"', "a FEPA P grit is wanted", did_you_mean(grit, GRITS))
    if GRITS[last] > GRITS[first]:
        raise InputError.one("grit", f"{first} to {last}", "the last must be the finer")
    names = list(GRITS)
    steps = [first]
    while steps[-1] != last:
        size = GRITS[steps[-1]]
        reach = [n for n in names[names.index(steps[-1]) + 1 : names.index(last) + 1] if size / GRITS[n] <= ratio]
        if not reach:
            raise InputError.one("grit, ratio", f"{ratio:g}", f"no grit follows {steps[-1]} within this ratio")
        steps.append(reach[-1])
    return tuple(steps)
