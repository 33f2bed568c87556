"""What can go wrong in a cure, by the names people give it."""

from __future__ import annotations

from enum import StrEnum

from bagside.errors import InputError, did_you_mean


class Mishap(StrEnum):
    """What went wrong."""

    POWER = "power cut"
    BAG = "bag burst"
    PUMP = "pump stopped"
    BOTH = "power and vacuum lost"
    OVERSHOOT = "overshoot"
    PROGRAMME = "wrong programme"
    COOLED = "cooled too fast"
    DEMOULDED = "demoulded hot"
    DWELL = "short dwell"
    RAMP = "ramp too fast"
    SENSOR = "sensor lost"

    @property
    def heat_off(self) -> bool:
        """Whether the oven gives no heat meanwhile."""
        return self in (Mishap.POWER, Mishap.BOTH)

    @property
    def no_vacuum(self) -> bool:
        """Whether nothing presses on the laminate."""
        return self in (Mishap.BAG, Mishap.PUMP, Mishap.BOTH)


_ALSO = {
    "vacuum lost": Mishap.BAG,
    "bag leak": Mishap.BAG,
    "leak": Mishap.BAG,
    "pump": Mishap.PUMP,
    "power": Mishap.POWER,
    "no power": Mishap.POWER,
    "power cut and vacuum lost": Mishap.BOTH,
    "both": Mishap.BOTH,
    "exotherm": Mishap.OVERSHOOT,
    "runaway": Mishap.OVERSHOOT,
    "too hot": Mishap.OVERSHOOT,
    "wrong program": Mishap.PROGRAMME,
    "wrong cycle": Mishap.PROGRAMME,
    "under temperature": Mishap.DWELL,
    "too cold": Mishap.DWELL,
    "thermocouple lost": Mishap.SENSOR,
}


def mishap_named(text: str, place: str = "--what") -> Mishap:
    """Return what went wrong by what a person calls it.

    Parameters
    ----------
    text
        ``power cut``, ``bag burst``, ``vacuum lost``, …
    place
        Where it was stated, for messages.

    Raises
    ------
    InputError
        When nothing here is called that.

    Examples
    --------
    >>> mishap_named("Power cut").name
    'POWER'
    """
    word = " ".join(text.lower().replace("-", " ").split())
    for m in Mishap:
        if word == m.value:
            return m
    if word in _ALSO:
        return _ALSO[word]
    names = [m.value for m in Mishap]
    raise InputError.one(
        place, f'"{text}"', "what went wrong is wanted in a word", did_you_mean(word, [*names, *_ALSO]) or "one of: "
        + ", ".join(names),
    )  # fmt: skip
