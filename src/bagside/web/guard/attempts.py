"""How often a PIN may be tried: per address and in all, with pauses that double.

A PIN of six digits is one in a million. Each address has a few tries free, then waits twice as long after each further
miss; all addresses together have more, so that many devices in one net do not add up to a search. Misses are forgotten
slowly. NIST SP 800-63B, section 5.2.2, allows at most 100 misses in a row; the pauses here let one address try
about 35 times in the first day and 24 in each that follows, and all together about 85 and 48.

Sessions that exist are never touched by this: whoever fills the count keeps others from joining, not from working.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

FREE = 5
"""Misses of one address before it has to wait."""
FREE_IN_ALL = 30
"""Misses of all addresses together before everybody who joins has to wait."""
FIRST_PAUSE = 30.0  # [s]
LONGEST_PAUSE = 3600.0  # [s]
LONGEST_IN_ALL = 1800.0  # [s] shorter: it falls on people who did nothing
HALVED = 86400.0  # [s] in which half of the misses is forgotten
MOST_ADDRESSES = 10_000
"""Addresses that are remembered; beyond it the ones with the fewest misses go."""


@dataclass(slots=True)
class _Count:
    misses: float = 0.0
    told: float = 0.0  # when misses was true
    until: float = 0.0  # no try before


class Attempts:
    """Counts misses and says how long to wait.

    Parameters
    ----------
    clock
        Gives seconds that never run back.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._of: dict[str, _Count] = {}
        self._all = _Count()

    def wait(self, address: str) -> float:
        """Return how long an address has to wait before it may try; zero when it may now [s].

        Parameters
        ----------
        address
            Of the device.
        """
        now = self._clock()
        own = self._of.get(address)
        return max(0.0, self._all.until - now, (own.until - now) if own else 0.0)

    def missed(self, address: str) -> None:
        """Count a wrong PIN.

        Parameters
        ----------
        address
            Of the device.
        """
        now = self._clock()
        if address not in self._of and len(self._of) >= MOST_ADDRESSES:
            self._forget(now)
        own = self._of.setdefault(address, _Count(told=now))
        _add(own, now, FREE, LONGEST_PAUSE)
        _add(self._all, now, FREE_IN_ALL, LONGEST_IN_ALL)

    def passed(self, address: str) -> None:
        """Forget the misses of an address that had the right PIN; those in all stay.

        Parameters
        ----------
        address
            Of the device.
        """
        self._of.pop(address, None)

    def left(self, address: str) -> int:
        """Return how many misses an address has before it must wait.

        Parameters
        ----------
        address
            Of the device.
        """
        own = self._of.get(address)
        if own is None:
            return FREE
        return max(0, FREE - int(_faded(own, self._clock()) + 1e-6))

    def _forget(self, now: float) -> None:
        by_misses = sorted(self._of, key=lambda name: (self._of[name].until > now, _faded(self._of[name], now)))
        for name in by_misses[: MOST_ADDRESSES // 10]:
            del self._of[name]


def _faded(count: _Count, now: float) -> float:
    return count.misses * float(0.5 ** ((now - count.told) / HALVED))


def _add(count: _Count, now: float, free: int, longest: float) -> None:
    count.misses = _faded(count, now) + 1.0
    count.told = now
    over = round(count.misses) - free
    if over >= 0:
        count.until = now + min(longest, FIRST_PAUSE * 2.0 ** min(over, 20))
