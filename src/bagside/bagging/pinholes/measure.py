"""Which one measurement would tell the causes apart: expected information, worked out for each that can be made.

Two sorts. Something that was not recorded can be measured or looked up: the draws say what each result would make of
the ranking. Or the part itself can be looked at: a table says what each cause would show, as common practice has it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.pinholes.record import Record

Floats = NDArray[np.float64]

BINS = 8  # results told apart of a measured value
LEAST = 0.01  # [bit] below which a measurement is not worth telling


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """Something to measure or look at.

    Parameters
    ----------
    name
        What to do.
    bits
        Information expected about the culprit.
    minutes
        It takes, about.
    tells
        What follows from its result.
    """

    name: str
    bits: float
    minutes: float
    tells: str


_VALUES: dict[str, tuple[str, float]] = {
    "vacuum": ("read an absolute gauge at the bag, far from the pump", 5.0),
    "drop": ("drop test of the same set-up: five minutes, pump isolated", 20.0),
    "pump_on": ("find out whether the pump ran until gel", 5.0),
    "humidity": ("look up or log the humidity where the cloth lies and is laid", 10.0),
    "thawed": ("find out for how long the cloth stood sealed before it was opened", 5.0),
    "first_debulk": ("find out how long the first ply was debulked", 5.0),
    "debulks": ("find out how many further debulks there were", 5.0),
    "hold": ("find out how long it was under vacuum before heat", 5.0),
    "path": ("measure the longest way to a breathing edge", 10.0),
    "edges_breathe": ("find out whether strips led from the ply's edge to the breather", 5.0),
    "liquid_hottest": ("thermocouple in the laminate: how hot it was before gel", 30.0),
    "liquid_time": ("work out or log how long it was soft before gel", 30.0),
    "life_used": ("add up the hours of this roll out of the freezer", 10.0),
    "corner_radius": ("measure the tightest inside radius of the mould", 10.0),
    "slip_joint": ("find out whether plies were slit in that corner", 5.0),
    "bag_touched": ("pull the bag again over the part and see whether it reaches each corner", 20.0),
    "resin_content": ("weigh, burn or dissolve a square of the prepreg: its resin content", 60.0),
    "perforated": ("look at the release film against the light", 2.0),
    "films_right": ("count the backing films in the bin", 10.0),
    "mould_tight": ("bag the bare mould and test it for leaks", 60.0),
    "release_limit": ("look up what the release agent stands", 5.0),
    "wet_seen": ("ask whether the cloth was moist when opened", 2.0),
}

_TRAPPED = ("air under the first ply", "air between plies", "weak vacuum", "pump stopped", "leak")
_VAPOUR = ("water in the prepreg", "opened cold")
_DRY = ("resin too thick", "old prepreg", "starved of resin")
_CORNER = ("cloth spans a corner", "bag spans a corner")

# What each group of causes would show, in the order of the results named; rows sum to one. Common practice.
_LOOKS: tuple[tuple[str, float, tuple[str, ...], dict[tuple[str, ...], tuple[float, ...]], tuple[float, ...]], ...] = (
    (
        "look at ten pinholes through a magnifier",
        10.0,
        ("round and glossy", "jagged along the weave", "dull with dry fibres"),
        {
            _VAPOUR: (0.80, 0.15, 0.05),
            _TRAPPED: (0.35, 0.60, 0.05),
            _DRY: (0.08, 0.27, 0.65),
            _CORNER: (0.15, 0.25, 0.60),
        },
        (0.34, 0.33, 0.33),
    ),
    (
        "cut a strip from the trim and polish its edge",
        60.0,
        ("holes at the mould's face only", "holes between plies", "holes within tows", "no holes"),
        {
            ("air under the first ply", "release agent too soft", "mould not tight"): (0.75, 0.10, 0.05, 0.10),
            ("air between plies", "leak", "pump stopped", "weak vacuum"): (0.10, 0.65, 0.15, 0.10),
            _VAPOUR: (0.15, 0.55, 0.25, 0.05),
            ("resin too thick", "old prepreg"): (0.15, 0.10, 0.70, 0.05),
            ("starved of resin",): (0.30, 0.10, 0.50, 0.10),
        },
        (0.25, 0.25, 0.25, 0.25),
    ),
    (
        "weigh the trimmed part against the plan",
        10.0,
        ("light", "as planned", "heavy"),
        {
            ("starved of resin",): (0.70, 0.25, 0.05),
            ("backing film left in", "cloth spans a corner", "bag spans a corner"): (0.05, 0.45, 0.50),
        },
        (0.10, 0.80, 0.10),
    ),
    (
        "cure a flat coupon from the same cloth, held under vacuum overnight first",
        90.0,
        ("pinholes gone", "pinholes as before"),
        {
            _VAPOUR: (0.85, 0.15),
            ("air between plies",): (0.80, 0.20),
            ("air under the first ply",): (0.45, 0.55),
            _CORNER: (0.95, 0.05),
            _DRY: (0.10, 0.90),
            ("mould not tight", "release agent too soft"): (0.30, 0.70),
        },
        (0.40, 0.60),
    ),
    (
        "cure a flat coupon of which one half had 30 min of first debulk, the other none",
        90.0,
        ("halves differ", "halves alike"),
        {("air under the first ply",): (0.90, 0.10), ("old prepreg",): (0.35, 0.65)},
        (0.15, 0.85),
    ),
)


def measures(record: Record, d: Mapping[str, Floats], joint: Floats, names: tuple[str, ...]) -> tuple[Measure, ...]:
    """Return what would tell the causes apart, most informative first.

    Parameters
    ----------
    record
        What is known.
    d
        Draws of every quantity.
    joint
        Probability of each draw and cause together, shape (count, causes + 1); the last is one not listed.
    names
        Of the causes in the columns of ``joint``.
    """
    chance = joint.sum(axis=0)
    out = []
    for name, (how, minutes) in _VALUES.items():
        if getattr(record, name, None) is not None or np.ptp(d[name]) == 0.0:
            continue
        if name == "thawed" and (record.opened_at is not None or record.wet_seen is not None):
            continue
        if name == "liquid_time" and record.fluidity is not None:
            continue
        table = _binned(d[name], joint)
        bits = information(table)
        if bits >= LEAST:
            out.append(Measure(name=how, bits=bits, minutes=minutes, tells=_tells(table, names, d[name])))
    for how, minutes, results, groups, else_ in _LOOKS:
        likely = np.array([_row(n, groups, else_) for n in names] + [else_])
        table = (chance[:, None] * likely).T
        bits = information(table)
        if bits >= LEAST:
            out.append(
                Measure(
                    name=how,
                    bits=bits,
                    minutes=minutes,
                    tells=_results(results, table, names),
                )
            )
    return tuple(sorted(out, key=lambda m: (-m.bits, m.minutes)))


def information(table: Floats) -> float:
    """Return the mutual information of result and cause.

    Parameters
    ----------
    table
        Joint probabilities, one row for each result, shape (results, causes); they sum to one.

    Returns
    -------
    float
        Information [bit].
    """
    p = np.asarray(table, dtype=np.float64)
    outer = p.sum(axis=1, keepdims=True) * p.sum(axis=0, keepdims=True)
    some = p > 0.0
    return max(float((p[some] * np.log2(p[some] / outer[some])).sum()), 0.0)


def _binned(values: Floats, joint: Floats) -> Floats:
    found = np.unique(values)
    if len(found) <= BINS:
        index = np.searchsorted(found, values)
        count = len(found)
    else:
        index = np.searchsorted(np.quantile(values, np.linspace(0.0, 1.0, BINS + 1)[1:-1]), values)
        count = BINS
    return np.stack([joint[index == k].sum(axis=0) for k in range(count)])


def _row(name: str, groups: dict[tuple[str, ...], tuple[float, ...]], else_: tuple[float, ...]) -> tuple[float, ...]:
    return next((row for members, row in groups.items() if name in members), else_)


def _top(row: Floats, names: tuple[str, ...]) -> str:
    k = int(np.argmax(row))
    return names[k] if k < len(names) else "something not listed"


def _results(results: tuple[str, ...], table: Floats, names: tuple[str, ...]) -> str:
    tops = [_top(row, names) for row in table]
    if len(set(tops)) == 1:
        if tops[0] not in names:
            return "no result puts another first"
        best = results[int(np.argmax(table[:, names.index(tops[0])] / table.sum(axis=1)))]
        return f"{best}: {tops[0]} all the more; no result puts another first"
    return "; ".join(f"{w}: {t}" for w, t in zip(results, tops, strict=True))


def _tells(table: Floats, names: tuple[str, ...], values: Floats) -> str:
    low, high = table[0], table[-1]
    if len(np.unique(values)) == 2:
        return f"no: {_top(low, names)}; yes: {_top(high, names)}"
    one, two = _top(low, names), _top(high, names)
    if one != two:
        return f"low: {one}; high: {two}"
    rise = low / low.sum() - high / high.sum()
    k = int(np.argmax(np.abs(rise[:-1])))
    return f"{'low' if rise[k] > 0 else 'high'} speaks for {names[k]}"
