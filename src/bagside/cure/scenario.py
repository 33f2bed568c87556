"""What may turn out otherwise than stated, so that a cycle holds not only on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.cure.section import Section


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One way in which a cure may turn out.

    Parameters
    ----------
    name
        In words: ``heat 10 % up, films 25 % down``.
    heat
        Factor on the heat of reaction.
    rate
        Factor on the rate of reaction.
    film_bag, film_tool
        Factors on the films at the two faces.
    air
        Air against the stated one when the oven is at the programme's hottest [K].
    alpha0
        Degree of cure at the start; the section's own when None.
    void_free
        Hottest temperature before gel at which water makes no voids on such a day [K]; the bound's own when None.
    """

    name: str
    heat: float = 1.0
    rate: float = 1.0
    film_bag: float = 1.0
    film_tool: float = 1.0
    air: float = 0.0
    alpha0: float | None = None
    void_free: float | None = None

    def of(self, sections: Sequence[Section]) -> tuple[Section, ...]:
        """Return the sections as they are when it turns out this way.

        Parameters
        ----------
        sections
            As stated.

        Returns
        -------
        tuple of Section
            Named after both.
        """
        return tuple(
            replace(
                s,
                name=f"{s.name}, {self.name}" if self.name else s.name,
                film_bag=s.film_bag * self.film_bag,
                film_tool=s.film_tool * self.film_tool,
                alpha0=s.alpha0 if self.alpha0 is None else self.alpha0,
                air_offset=s.air_offset + self.air,
                rate_factor=s.rate_factor * self.rate,
                heat_factor=s.heat_factor * self.heat,
            )
            for s in sections
        )


NOMINAL = Scenario(name="")
"""As stated."""


def corners(spread: float = 0.0, heat: float = 0.10, film: float = 0.25) -> tuple[Scenario, ...]:
    """Return five scenarios that a robust cycle must hold in: as stated, and the four corners of heat and films.

    Parameters
    ----------
    spread
        Difference of the oven's air between its hottest and its coldest place [K]: more heat meets the hottest place.
    heat, film
        By how much heat of reaction and films may be off.

    Returns
    -------
    tuple of Scenario
        The first is as stated.

    Notes
    -----
    Ten per cent of heat and twenty-five per cent of films are common practice; a scatter measured in this oven is
    better.
    """
    half = 0.5 * spread
    return (
        NOMINAL,
        *(
            Scenario(
                name=f"heat {_word(h)}, films {_word(f)}",
                heat=1.0 + h,
                film_bag=1.0 + f,
                film_tool=1.0 + f,
                air=half if h > 0.0 else -half,
            )
            for h in (heat, -heat)
            for f in (-film, film)
        ),
    )


def _word(change: float) -> str:
    return f"{abs(100.0 * change):.0f} % {'up' if change > 0.0 else 'down'}"
