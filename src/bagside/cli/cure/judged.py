"""A logger's file judged against its case: what ``bagside cure judge`` and ``bagside build cure`` both run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from bagside.cure import CureLog
    from bagside.cure.judging import Judgement, LoggedState
    from bagside.planning.cure_case import CureCase


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLog:
    """A log, what it was held against, and the verdict.

    Parameters
    ----------
    stated
        The case as its job states it.
    case
        As the log is held against it: the post-cure when that was logged.
    log, state, result
        What was read, what it tells, and what becomes of the part.
    """

    stated: CureCase
    case: CureCase
    log: CureLog
    state: LoggedState
    result: Judgement

    @property
    def scrap(self) -> bool:
        """Whether the verdict says that the part is not used, for its structure or at all."""
        from bagside.cure.judging import Verdict

        return self.result.verdict in (Verdict.SCRAP, Verdict.SCRAP_STRUCTURE)


def judged_log(
    log: Path, stated: CureCase, options: dict[str, Any], *, post: bool, began_at: str = "", sensor_error: str = ""
) -> JudgedLog:
    """Return the verdict on a logger's file.

    Parameters
    ----------
    log
        The file.
    stated
        What it was a cure of.
    options
        How its columns, times and units are read; see `bagside.cli.cure.logged.read_for`.
    post
        Whether it is the log of the post-cure.
    began_at, sensor_error
        As typed.

    Raises
    ------
    InputError
        When the log and the case do not go together, or something typed cannot be read.
    """
    from bagside.cli.cure import logged
    from bagside.cure.judging import judged

    case = logged.ready(stated, post=post, began_at=began_at)
    read = logged.read_for(log, options)
    state = logged.state_for(read, case, sensor_error=sensor_error, bagged=not post)
    result = judged(
        state,
        case.limits,
        case.programme,
        case.oven,
        case.free,
        room=case.room.temperature,
        basis=case.basis,
        source=case.source,
        tg_margin=logged.tg_margin(case),
        free_standing=post,
    )
    return JudgedLog(stated=stated, case=case, log=read, state=state, result=result)


def judged_data(found: JudgedLog) -> dict[str, Any]:
    """Return a verdict as JSON data.

    Parameters
    ----------
    found
        See `judged_log`.
    """
    from bagside.cli import show
    from bagside.cli.cure import logged
    from bagside.cli.cure.verdict_words import finish_data, reason_data

    result = found.result
    return {
        "verdict": result.verdict.value,
        "measure": result.measure,
        "wanted_cure": result.wanted,
        "wanted_tg_c": result.wanted_tg - 273.15,
        "reasons": [reason_data(r) for r in result.reasons],
        "finish": [finish_data(f) for f in result.finish],
        "state": logged.state_data(found.state),
        "findings": [show.finding_data(f) for f in result.findings],
    }


def judged_lines(found: JudgedLog) -> None:
    """Print what a log tells and the verdict, without its findings.

    Parameters
    ----------
    found
        See `judged_log`.
    """
    from bagside.cli import show
    from bagside.cli.cure import logged
    from bagside.cli.cure.verdict_words import verdict_lines

    logged.tables(found.state)
    for line, style in verdict_lines(found.result):
        show.OUT.print(line, style=style)
