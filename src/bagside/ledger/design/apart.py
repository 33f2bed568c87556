"""What some parts have in common that the others have not: batch, humidity, debulk time, pull of the mould.

Each circumstance is held against the split by an exact test on all the ways in which the parts could have been split.
It tells what goes together, never what causes what; and of many circumstances some go together by luck, which is said.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import comb
from statistics import median

LIKELY_LUCK = 0.05
"""Chance of so clear a split by luck alone, over all circumstances looked at, above which it is called luck."""
FEWEST = 2
"""Parts on either side below which nothing is compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstance:
    """Something that each part was made under.

    Parameters
    ----------
    name
        For people: ``humidity``, ``batch``.
    unit
        In which numbers are shown; empty for words.
    values
        By part: a number in SI units, or words; parts of which it is not known are left out.
    about
        Key of the figure that it is itself, against which it is not held; empty for none.
    """

    name: str
    unit: str
    values: Mapping[str, float | str]
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """A circumstance that splits the parts.

    Parameters
    ----------
    name, unit
        Of the circumstance.
    value
        Words they share; None for a number.
    above
        Whether they lie above the others; None for words.
    edge
        A number between the two groups when they do not overlap.
    those, others
        How many of those with, and without, what is shared, as (with, of): for a number, beyond `edge` or, where the
        groups overlap, beyond the middle of all.
    middle, middle_others
        Median of those and of the others, for a number.
    chance
        Of so clear a split by luck, for this circumstance alone.
    luck
        The same over all circumstances that were looked at.
    """

    name: str
    unit: str
    value: str | None
    above: bool | None
    edge: float | None
    those: tuple[int, int]
    others: tuple[int, int]
    middle: float | None
    middle_others: float | None
    chance: float
    luck: float

    @property
    def sure(self) -> bool:
        """Whether luck alone would hardly do it."""
        return self.luck <= LIKELY_LUCK


def shared_by(those: Sequence[str], parts: Sequence[str], under: Sequence[Circumstance]) -> tuple[Shared, ...]:
    """Return what parts that stand out share against the rest, the clearest first.

    Parameters
    ----------
    those
        Parts that stand out.
    parts
        All.
    under
        What each was made under.

    Returns
    -------
    tuple of Shared
        Circumstances that split the parts better than half the ways in which they could have been split; empty when
        one side has fewer than two parts with the circumstance known.

    Notes
    -----
    Words: Fisher's exact test, one-sided, for the word that splits best, times the number of words. Numbers: the exact
    rank-sum test, two-sided, ties counted half. Over all circumstances: times their number (Bonferroni).
    """
    found = []
    looked = 0
    chosen = set(those)
    for one in under:
        mine = [one.values[p] for p in parts if p in chosen and p in one.values]
        rest = [one.values[p] for p in parts if p not in chosen and p in one.values]
        if len(mine) < FEWEST or len(rest) < FEWEST:
            continue
        looked += 1
        numbers = all(isinstance(v, int | float) for v in (*mine, *rest))
        found.append(
            _numbers(one, [float(v) for v in mine], [float(v) for v in rest])
            if numbers
            else _words(one, [str(v) for v in mine], [str(v) for v in rest])
        )
    clear = [s for s in found if s.chance < 0.5]
    clear = [replace(s, luck=min(1.0, s.chance * looked)) for s in clear]
    return tuple(sorted(clear, key=lambda s: (s.chance, s.name)))


def fisher_one_sided(those: tuple[int, int], others: tuple[int, int]) -> float:
    """Return the chance of at least so many with a property among those, when the property fell by luck.

    Parameters
    ----------
    those, others
        How many have it, of how many.

    References
    ----------
    Fisher 1935, The Design of Experiments, chapter II.

    Examples
    --------
    >>> round(fisher_one_sided((4, 4), (0, 4)), 4)
    0.0143
    """
    have, size = those
    whole, all_with = size + others[1], have + others[0]
    ways = comb(whole, size)
    most = min(size, all_with)
    return sum(comb(all_with, k) * comb(whole - all_with, size - k) for k in range(have, most + 1)) / ways


def rank_sum_two_sided(mine: Sequence[float], rest: Sequence[float]) -> float:
    """Return the chance of so uneven a rank sum when the split fell by luck.

    Parameters
    ----------
    mine, rest
        Values of both groups; each at least one.

    Notes
    -----
    Exact over all splits, with ties at their mean rank; counted by a recurrence on doubled ranks, so that it stays
    exact for hundreds of parts.

    Examples
    --------
    >>> rank_sum_two_sided([7.0, 8.0, 9.0], [1.0, 2.0, 3.0])
    0.1
    """
    everything = sorted((*mine, *rest))
    first: dict[float, int] = {}
    count = Counter(everything)
    for k, value in enumerate(everything):
        first.setdefault(value, k)
    rank = {v: 2 * first[v] + count[v] + 1 for v in first}  # twice the mean rank, from 1
    ranks = tuple(rank[v] for v in everything)
    size, whole = len(mine), len(everything)
    middle = size * (whole + 1)
    off = abs(sum(rank[v] for v in mine) - middle)
    ways: list[Counter[int]] = [Counter({0: 1}), *(Counter() for _ in range(size))]
    for r in ranks:
        for k in range(size, 0, -1):
            for total, n in ways[k - 1].items():
                ways[k][total + r] += n
    hit = sum(n for total, n in ways[size].items() if abs(total - middle) >= off)
    return hit / comb(whole, size)


def _words(one: Circumstance, mine: list[str], rest: list[str]) -> Shared:
    words = sorted(set(mine) | set(rest))
    best = min(words, key=lambda w: (fisher_one_sided((mine.count(w), len(mine)), (rest.count(w), len(rest))), w))
    those, others = (mine.count(best), len(mine)), (rest.count(best), len(rest))
    chance = min(1.0, fisher_one_sided(those, others) * len(words))
    return Shared(
        name=one.name, unit="", value=best, above=None, edge=None, those=those, others=others, middle=None,
        middle_others=None, chance=chance, luck=chance,
    )  # fmt: skip


def _numbers(one: Circumstance, mine: list[float], rest: list[float]) -> Shared:
    chance = rank_sum_two_sided(mine, rest)
    high, low = median(mine), median(rest)
    above = high > low or (high == low and sum(mine) / len(mine) >= sum(rest) / len(rest))
    apart = min(mine) > max(rest) if above else max(mine) < min(rest)
    edge = None
    if apart:
        edge = 0.5 * (min(mine) + max(rest)) if above else 0.5 * (max(mine) + min(rest))
    at = edge if edge is not None else median([*mine, *rest])

    def beyond(values: list[float]) -> tuple[int, int]:
        return sum((v > at) if above else (v < at) for v in values), len(values)

    return Shared(
        name=one.name, unit=one.unit, value=None, above=above, edge=edge, those=beyond(mine), others=beyond(rest),
        middle=high, middle_others=low, chance=chance, luck=chance,
    )  # fmt: skip
