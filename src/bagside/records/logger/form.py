"""How a file is to be read: every decision about it, made once, from its beginning or from all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.errors import InputError, Problem
from bagside.records.logger.channels import ChannelPlans, channel_plans
from bagside.records.logger.header import Column, columns_of
from bagside.records.logger.layout import Layout
from bagside.records.logger.numbers import is_missing, split_number
from bagside.records.logger.options import LoggerOptions
from bagside.records.logger.rows import Readings
from bagside.records.logger.started import told_start
from bagside.records.logger.time_column import likely_times, spare_plan, time_plan
from bagside.records.logger.times import How, TimePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Every decision about a file.

    Parameters
    ----------
    layout, columns, time, plans
        Where its table stands, what heads it, how time is read, which columns are channels.
    begun
        When the first reading was made, as a line above the head tells it; None when none does.
    spare
        Elapsed time in a column of its own, for when the clock cannot be trusted; None when there is none.
    """

    layout: Layout
    columns: tuple[Column, ...]
    time: TimePlan
    plans: ChannelPlans
    spare: TimePlan | None = None
    begun: datetime | None = None

    def readings(self, options: LoggerOptions) -> Readings:
        """Return where its rows go.

        Parameters
        ----------
        options
            What was stated.
        """
        return Readings(
            layout=self.layout, time=self.time, spare=self.spare, channels=self.plans.channels, decimal=options.decimal
        )


def form_of(layout: Layout, rows: Sequence[Sequence[str]], options: LoggerOptions, name: str) -> Form:
    """Return how a file is to be read.

    Parameters
    ----------
    layout
        Where its table stands.
    rows
        Its rows of readings, some or all.
    options
        What was stated.
    name
        Of the file.

    Raises
    ------
    InputError
        With every question that only a person can answer.
    """
    columns = columns_of(layout)
    fine = [row for row in rows if len(row) == layout.width and not all(map(is_missing, row))]
    cells = list(zip(*fine, strict=True)) if fine else [()] * layout.width
    time, asked = time_plan(layout, columns, cells, options, name)
    plans = channel_plans(columns, cells, layout.preamble, time or _none(columns, cells), options, name)
    if time is not None:
        asked = [*asked, *_one_sensor_a_row(columns, cells, time, name)]
    questions = [*asked, *plans.asked, *(plans.unknown if time is not None else ())]
    if time is None or questions:
        raise InputError(questions)
    spare = spare_plan(columns, cells, time)
    return Form(layout=layout, columns=columns, time=time, plans=plans, spare=spare, begun=told_start(layout.preamble))


def _one_sensor_a_row(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], time: TimePlan, name: str
) -> list[Problem]:
    """Return a problem when each row holds the reading of one sensor, named in a column."""
    if not time.columns or len(cells[0]) < 4:
        return []
    times = list(zip(*(cells[k] for k in time.columns), strict=True))
    again = [k for k in range(1, len(times)) if times[k] == times[k - 1]]
    if len(again) < 0.3 * len(times):
        return []
    for column in columns:
        texts = cells[column.index]
        labels = list(dict.fromkeys(texts))
        if column.index in time.columns or not 2 <= len(labels) <= 0.5 * len(texts):
            continue
        worded = sum(split_number(t) is None and not is_missing(t) for t in texts) > 0.9 * len(texts)
        if worded and all(texts[k] != texts[k - 1] for k in again):
            came = ", ".join(labels[:4]) + (", …" if len(labels) > 4 else "")
            wanted = "each row holds one sensor, named in this column; a column for each sensor is wanted"
            hint = "export it so, or turn it with a spreadsheet's pivot table"
            return [Problem(place=f"{name}, {column.place}", came=came, wanted=wanted, hint=hint)]
    return []


def _none(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> TimePlan:
    """Return a plan that keeps what looks like a time out of the channels, while the time itself is being asked."""
    return TimePlan(how=How.NUMBER, columns=likely_times(columns, cells))
