"""Rate laws by the names and parameters that a material file states."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields

import numpy as np

from bagside.cure.kinetics import Kinetics, Validity
from bagside.cure.rate_laws import (
    BogettiGillespie1991,
    HubertEtAl2001,
    Kamal,
    LeeLoosSpringer1982,
    NthOrder,
    Vitrification,
)
from bagside.errors import InputError, Problem, did_you_mean

_RANGE = ("coldest", "hottest", "least", "most")

_LAWS: dict[
    str,
    type[NthOrder] | type[Kamal] | type[BogettiGillespie1991] | type[HubertEtAl2001] | type[LeeLoosSpringer1982],
] = {
    "nth-order": NthOrder,
    "kamal": Kamal,
    "bogetti-gillespie-1991": BogettiGillespie1991,
    "hubert-2001": HubertEtAl2001,
    "lee-loos-springer-1982": LeeLoosSpringer1982,
}


def kinetics_names() -> tuple[str, ...]:
    """Return the names of the rate laws that `model_from` understands.

    Returns
    -------
    tuple of str
        In no particular order.
    """
    return tuple(_LAWS)


def _taken(law: type, names: set[str]) -> tuple[set[str], set[str]]:
    """Return which parameters a law wants and which it may have besides."""
    want: set[str] = set()
    may: set[str] = set()
    for f in fields(law):
        if f.name in names:
            (want if f.default is MISSING and f.default_factory is MISSING else may).add(f.name)
    return want, may


def model_from(name: str, parameters: Mapping[str, float], place: str = "resin, kinetics") -> Kinetics:
    """Return a rate law by its name.

    Parameters
    ----------
    name
        One of `kinetics_names`.
    parameters
        The law's parameters by the names of its fields [SI]. A ``kamal`` law may also have ``tg0``, ``tg1``,
        ``tg_lambda``, ``offset`` and ``width`` for its vitrification; every law may have ``coldest`` and ``hottest``
        [K], ``least`` and ``most`` (degrees of cure), between which it was fitted.
    place
        Where this was stated, for messages.

    Returns
    -------
    Kinetics
        The law.

    Raises
    ------
    InputError
        When the name or a parameter is unknown, or one is missing or not finite.
    """
    law = _LAWS.get(name)
    if law is None:
        raise InputError.one(place, name, "the name of a rate law is wanted", did_you_mean(name, _LAWS))
    glass = {"tg0", "tg1", "tg_lambda", "offset", "width"} if law is Kamal else set()
    own = {f.name for f in fields(law)} - {"valid", "vitrification"}
    want, may = _taken(law, own)
    if glass & set(parameters):
        want |= {"tg0", "tg1", "tg_lambda"}
    may |= glass | set(_RANGE)
    wrong = [
        Problem(
            place=f"{place}, {key}",
            came=repr(parameters[key]),
            wanted=f'"{name}" has no such parameter',
            hint=did_you_mean(key, want | may),
        )
        for key in sorted(set(parameters) - want - may)
    ]
    wrong += [
        Problem(place=f"{place}, {key}", came="", wanted=f'"{name}" needs this parameter, in SI')
        for key in sorted(want - set(parameters))
    ]
    wrong += [
        Problem(place=f"{place}, {key}", came=repr(value), wanted="a finite number is wanted")
        for key, value in parameters.items()
        if not np.isfinite(value)
    ]
    if wrong:
        raise InputError(wrong)
    p = {key: float(value) for key, value in parameters.items()}
    arguments: dict[str, object] = {key: p[key] for key in own if key in p}
    arguments["valid"] = Validity(**{key: p[key] for key in _RANGE if key in p})
    if glass & set(p):
        arguments["vitrification"] = Vitrification(**{key: p[key] for key in glass if key in p})
    return law(**arguments)  # type: ignore[arg-type]
