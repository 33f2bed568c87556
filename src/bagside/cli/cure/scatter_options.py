"""Options that say by how much an input of a cure may be off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.cure.chance import Scatter

EXAMPLE = "rate 15 %"


def stated_scatter(texts: Sequence[str], option: str = "--scatter") -> Scatter:
    """Return what may be off: common practice, and over it what a person states.

    Parameters
    ----------
    texts
        ``rate 15 %``, ``place 5 K``, ``leak 20 mbar``: name and size of an input each.
    option
        For messages.

    Raises
    ------
    InputError
        Naming every text that cannot be read.
    """
    from dataclasses import replace

    from bagside.cure.chance import INPUTS, Scatter
    from bagside.errors import InputError, Problem, did_you_mean
    from bagside.findings import Basis
    from bagside.quantity import NotAQuantity, Quantity, read

    kinds = {
        "place": Quantity.DIFFERENCE,
        "thermocouple": Quantity.DIFFERENCE,
        "humidity": Quantity.HUMIDITY,
        "leak": Quantity.PRESSURE,
    }
    scatter, wrong = Scatter(), []
    for text in texts:
        name, _, size = text.strip().partition(" ")
        name = name.replace("-", "_")
        if name not in INPUTS or not size:
            wrong.append(
                Problem(
                    place=option,
                    came=f'"{text}"',
                    wanted=f'an input and its size are wanted, as in "{EXAMPLE}"',
                    hint="inputs are: " + ", ".join(INPUTS) if name not in INPUTS else "",
                )
            )
            if name not in INPUTS and (near := did_you_mean(name, INPUTS)).startswith("did"):
                wrong[-1] = replace(wrong[-1], hint=near)
            continue
        try:
            value = read(size, kinds.get(name, Quantity.FRACTION))
        except NotAQuantity as error:
            wrong.append(Problem(place=f"{option} {name}", came="", wanted=str(error)))
            continue
        if value < 0.0:
            wrong.append(Problem(place=f"{option} {name}", came=size, wanted="zero or more is wanted"))
            continue
        spread = replace(getattr(scatter, name), size=value, basis=Basis.MEASURED, source="as stated")
        scatter = replace(scatter, **{name: spread})
    if wrong:
        raise InputError(wrong)
    return scatter


def size_text(name: str, size: float) -> str:
    """Return the size of an input's scatter with its unit.

    Parameters
    ----------
    name
        The input.
    size
        [SI].
    """
    from bagside.quantity import shown

    unit = {"place": "K", "thermocouple": "K", "leak": "mbar"}.get(name, "%")
    return shown(size, unit, 0 if unit in ("%", "mbar") else 1)
