"""All that speaks against a part."""

from __future__ import annotations

from bagside.cure.judging.reason import Reason
from bagside.cure.judging.reasons_cure import cure_reasons
from bagside.cure.judging.reasons_heat import heat_reasons, standing_reasons
from bagside.cure.judging.reasons_vacuum import vacuum_reasons
from bagside.cure.judging.state import LoggedState
from bagside.cure.noticed import Limits
from bagside.cure.programme import Programme
from bagside.findings import Basis


def reasons_of(
    state: LoggedState,
    limits: Limits,
    programme: Programme,
    wanted: float,
    basis: Basis,
    source: str,
    *,
    free_standing: bool = False,
) -> list[Reason]:
    """Return all that speaks against a part.

    Parameters
    ----------
    state
        What the log tells.
    limits
        What the part is held against.
    programme
        As planned.
    wanted
        Degree of cure wanted at the least cured point.
    basis, source
        On what the resin's law rests.
    free_standing
        Whether the part was without its mould.
    """
    return [
        *cure_reasons(state, limits, wanted, basis, source),
        *heat_reasons(state, limits, programme),
        *(standing_reasons(state) if free_standing else vacuum_reasons(state)),
    ]
