"""The element that shows a cure on a page, and what comes back from the hand on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from babel import Locale
from babel.numbers import get_decimal_symbol
from nicegui.element import Element
from numpy.typing import NDArray

from bagside.cure import Oven
from bagside.web.pages.cure.said import place_words
from bagside.web.parts.plan_words import plan_words
from bagside.web.views.cure.run import RunShown
from bagside.web.words.tongue import Heat, Tongue
from bagside.web.work.cure_log import LogJudged

Segments = tuple[tuple[float, float, float], ...]

COLDEST = 278.15
"""Lowest a segment can be dragged to [K]."""
DAYS_SHOWN = 8


class CycleChart(Element, component="chart.js", esm={"bagside-cycle": "script"}):
    """The chart of one oven run; its programme is dragged by squares.

    Parameters
    ----------
    tongue
        Of the reader.
    label
        What it shows, for people who do not see it.
    on_move
        Called with a number that rises and the segments while a square is held.
    on_settle
        Called with the segments when it is let go.
    """

    def __init__(
        self,
        tongue: Tongue,
        *,
        label: str,
        on_move: Callable[[int, Segments], Any],
        on_settle: Callable[[Segments], Any],
    ) -> None:
        super().__init__()
        say = tongue.say
        names = ("drop", "sending", "not_sent", "grip_rise", "grip_hold", "after", "cured", "gel", "tg", "air",
                 "programme", "degree", "rise", "fall", "hold", "cool")  # fmt: skip
        self._props.update(
            label=label,
            shown=None,
            log=None,
            can=False,
            clock=None,
            heat="fahrenheit" if tongue.heat is Heat.FAHRENHEIT else "celsius",
            decimal=get_decimal_symbol(Locale.parse(tongue.language)),
            words={name: _open(say, f"cure.chart_{name}") for name in names},
            limits={},
            upload="",
        )
        self._tongue = tongue
        self.on("move", lambda e: on_move(int(e.args["seq"]), segments_from(e.args["segments"])))
        self.on("settle", lambda e: on_settle(segments_from(e.args["segments"])))

    def show(self, run: RunShown, *, notes: Sequence[Mapping[str, Any]], seq: int = 0, label: str = "") -> None:
        """Show a run.

        Parameters
        ----------
        run
            Worked out.
        notes
            ``t`` [s], ``kelvin`` [K], ``head``, ``text``, ``weight`` of each note beside its place.
        seq
            Of the question it answers; zero for none.
        label
            What it shows, for people who do not see it; as it was when empty.
        """
        if label:
            self._props["label"] = label
        self._props["shown"] = run_message(run, notes, self._tongue) | {"seq": seq}
        self.update()

    def overlay(self, log: Mapping[str, Any] | None) -> None:
        """Lay a log over the run, or take it away.

        Parameters
        ----------
        log
            ``lines`` and ``cure``, from `bagside.web.pages.cure_log.log_message`; None for none.
        """
        self._props["log"] = log
        self.update()

    def may(self, *, drag: bool, upload: str, clock: datetime | None, oven: Oven) -> None:
        """Say what can be done with it, and when heat comes on.

        Parameters
        ----------
        drag
            Whether segments can be moved.
        upload
            Address that takes a logger's file which is dropped on it; empty for none.
        clock
            When heat comes on; the axis tells the time since then when None.
        oven
            Within what a programme may be moved.
        """
        self._props["limits"] = {
            "hottest": oven.hottest, "coldest": COLDEST, "heating": oven.heating, "cooling": oven.cooling,
        }  # fmt: skip
        self._props["can"] = drag
        self._props["upload"] = upload
        self._props["clock"] = None
        if clock is not None:
            midnight = clock.replace(hour=0, minute=0, second=0, microsecond=0)
            self._props["clock"] = {
                "begins": round((clock - midnight).total_seconds() / 60) * 60,
                "days": [self._tongue.day(midnight + timedelta(days=k)) for k in range(DAYS_SHOWN)],
            }
        self.update()

    def again(self) -> None:
        """Let go of what the hand has set: it was refused."""
        self.run_method("again")


def segments_from(value: Sequence[Sequence[float]]) -> Segments:
    """Return segments as the browser told them.

    Parameters
    ----------
    value
        Target [K], ramp [K/s] and hold [s] of each.
    """
    return tuple((float(t), float(r), float(h)) for t, r, h in value)


def run_message(run: RunShown, notes: Sequence[Mapping[str, Any]], tongue: Tongue) -> dict[str, Any]:
    """Return a run as the chart takes it.

    Parameters
    ----------
    run
        Worked out.
    notes
        See `CycleChart.show`.
    tongue
        Of the reader.
    """
    return {
        "start": run.start,
        "segments": [list(s) for s in run.segments],
        "duration": run.duration,
        "time": rounded(run.time, 0),
        "leading": rounded(run.leading, 2),
        "lagging": rounded(run.lagging, 2),
        "air": rounded(run.air, 2),
        "cure": rounded(run.cure, 4),
        "tg": rounded(run.tg, 2),
        "lead": tongue.say("cure.leading", place=place_words(run.lead_place, tongue)),
        "lag": tongue.say("cure.lagging", place=place_words(run.lag_place, tongue)),
        "gel": None if run.gel is None else list(run.gel),
        "hottest": list(run.hottest),
        "bounds": [
            {
                "kind": b.kind,
                "times": list(b.times),
                "edge": list(b.edge),
                "says": tongue.say(
                    f"cure.bound_{b.kind}", at=tongue.temperature(min(b.edge)), words=plan_words(b.words, tongue)
                ),
                "short": tongue.say(f"cure.bound_{b.kind}_short", at=tongue.temperature(min(b.edge))),
            }
            for b in run.bounds
        ],
        "notes": [dict(n) for n in notes],
    }


def rounded(values: NDArray[Any], digits: int) -> list[float | None]:
    """Return values as a browser takes them; None where there is none.

    Parameters
    ----------
    values
        Shape (n,).
    digits
        After the point.
    """
    there = np.isfinite(values)
    out = np.round(values.astype(np.float64), digits)
    return [float(v) if ok else None for v, ok in zip(out, there, strict=True)]


def _open(say: Callable[..., str], key: str) -> str:
    """Return a text whose places the browser fills."""
    return say(key, n="{n}", t="{t}", name="{name}")


def log_message(log: LogJudged) -> Mapping[str, Any]:
    """Return a log as the chart takes it.

    Parameters
    ----------
    log
        Judged.
    """
    return {
        "lines": [
            {"name": line.name, "kind": line.kind, "time": rounded(line.time, 0), "values": rounded(line.values, 2)}
            for line in log.lines
        ],
        "cure": {"time": rounded(log.time, 0), "values": rounded(log.cure, 4)},
    }
