"""How big to make the mould, so that the part is right at room temperature.

A part takes the mould's size at the temperature at which its resin gels, and from there both shrink, each at its own
rate. The same happens one step earlier between the pattern and the mould. This module refuses lengths that are not
positive and temperatures steps outside the range in which constant expansion is a fair picture.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.errors import InputError

WIDEST_STEP = 250.0  # [K] beyond it expansion of polymers is far from constant
LARGEST_EXPANSION = 500e-6  # [1/K] softer than any solid tool


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeChain:
    """One length of the part and what it must be on the mould and on the pattern, all at room temperature.

    Parameters
    ----------
    part
        Wanted length of the part [m].
    mould
        Length to make on the mould [m].
    pattern
        Length to make on the pattern [m]; None when the mould is made directly.
    """

    part: float
    mould: float
    pattern: float | None = None

    @property
    def scale(self) -> float:
        """Factor from the part to what is cut first: the pattern, or the mould when there is none."""
        first = self.mould if self.pattern is None else self.pattern
        return first / self.part


def _checked(place: str, length: float, first: float, second: float, step: float) -> None:
    if not length > 0:
        raise InputError.one(place, f"{length} m", "a length above zero is wanted")
    for value in (first, second):
        if not -20e-6 <= value <= LARGEST_EXPANSION:
            raise InputError.one(place, f"expansion {value} 1/K", "expansion between −20 and 500 ppm/K is wanted")
    if not 0.0 <= step <= WIDEST_STEP:
        raise InputError.one(
            place, f"dT {step} K", "gel temperature minus room temperature, between 0 and 250 K, is wanted"
        )


def mould_size(part_length: float, a_part: float, a_mould: float, dT: float) -> float:
    """Return the length to make on the cold mould for a wanted length of the cold part.

    Parameters
    ----------
    part_length
        Wanted length of the part at room temperature [m].
    a_part
        In-plane expansion of the laminate [1/K].
    a_mould
        Expansion of the mould [1/K].
    dT
        Gel temperature minus room temperature [K].

    Returns
    -------
    float
        Length on the mould at room temperature [m].

    Raises
    ------
    InputError
        When the length is not positive, an expansion is not that of a solid, or the step is negative or above 250 K.

    Notes
    -----
    Assumes free sliding between part and mould after gelation and expansion that does not change with temperature. It
    does not hold where the part is clamped by undercuts or by deep male features while it cools.

    Examples
    --------
    >>> round(mould_size(1.0, 3e-6, 23e-6, 100.0), 6)
    0.998005
    """
    _checked("size of the mould", part_length, a_part, a_mould, dT)
    return part_length * (1.0 + a_part * dT) / (1.0 + a_mould * dT)


def oversize(length: float, a_part: float, a_mould: float, dT: float) -> float:
    """Return by how much a part comes out too long from a mould made to the part's own size.

    Parameters
    ----------
    length
        Length on the mould at room temperature [m].
    a_part
        In-plane expansion of the laminate [1/K].
    a_mould
        Expansion of the mould [1/K].
    dT
        Gel temperature minus room temperature [K].

    Returns
    -------
    float
        Length of the part minus length of the mould, both cold [m]; negative when the part is short.

    Raises
    ------
    InputError
        As `mould_size`.

    Notes
    -----
    The inverse of `mould_size`; the same assumptions hold.
    """
    _checked("oversize of the part", length, a_part, a_mould, dT)
    return length * ((1.0 + a_mould * dT) / (1.0 + a_part * dT) - 1.0)


def size_chain(
    part_length: float,
    a_part: float,
    a_mould: float,
    dT: float,
    *,
    a_pattern: float | None = None,
    dT_mould: float | None = None,
) -> SizeChain:
    """Return what a length of the part must be on the mould and, when there is one, on the pattern.

    Parameters
    ----------
    part_length
        Wanted length of the part at room temperature [m].
    a_part, a_mould
        In-plane expansion of the laminate and of the mould [1/K].
    dT
        Gel temperature of the part minus room temperature [K].
    a_pattern
        Expansion of the pattern the mould is laid on [1/K]; None when the mould is machined directly.
    dT_mould
        Temperature at which the mould itself sets on the pattern, minus room temperature [K]; needed with a pattern.

    Returns
    -------
    SizeChain
        Lengths at room temperature [m].

    Raises
    ------
    InputError
        As `mould_size`, and when only one of the two values of the pattern is given.
    """
    mould = mould_size(part_length, a_part, a_mould, dT)
    if a_pattern is None and dT_mould is None:
        return SizeChain(part=part_length, mould=mould)
    if a_pattern is None or dT_mould is None:
        raise InputError.one(
            "size of the pattern",
            "only one of two values",
            "the pattern's expansion and the temperature at which the mould sets on it are both wanted",
        )
    return SizeChain(part=part_length, mould=mould, pattern=mould_size(mould, a_mould, a_pattern, dT_mould))
