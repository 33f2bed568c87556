"""Logs of the footrest plate's cure as a logger with a clock of its own writes them."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from bagside.cli.cure.logged import ready
from bagside.cure import simulate
from bagside.ledger.bodies import Finished
from bagside.planning.cure_case import CureCase
from buildshop import Floor
from cureruns import cooled, logged


def dated(path: Path, case: CureCase, start: datetime, *, post: bool = False) -> Path:
    """Write the log of a cure as planned, as a logger with a clock of its own would."""
    run = ready(case, post=post, began_at="")
    air = run.oven.air(cooled(run.programme))
    log = logged(air, simulate(run.on_mould, run.resin, air), noise=0.5, bag=None if post else 3000.0)
    heads = ["Time", *(f"{c.name} bag [mbar abs]" if c.name == "P1" else f"{c.name} [°C]" for c in log.channels)]
    rows = [",".join(heads)]
    for i, t in enumerate(log.time):
        at = start + timedelta(seconds=float(t))
        values = [f"{c.values[i] / 100:.0f}" if c.name == "P1" else f"{c.values[i] - 273.15:.1f}" for c in log.channels]
        rows.append(",".join([f"{at:%Y-%m-%d %H:%M:%S}", *values]))
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def sections(case: CureCase) -> list[str]:
    """Return which thermocouple sits at which place."""
    return [word for k, p in enumerate(case.places) for word in ("--section", f"TC{k + 2}={p}")]


def columns(case: CureCase) -> list[str]:
    return [*("--column", "TC1=air"), *(w for k, _ in enumerate(case.places) for w in ("--column", f"TC{k + 2}=part"))]


def cured(bagged: Floor, case: CureCase, folder: Path) -> Path:
    """Go on until the log of the cure can be written down, and return the log."""
    bagged("leak", 1, "--start", "18 mbar", "--end", "19 mbar", "--time", "20 min", "--ambient", "1005 mbar")
    bagged("finish", 1, "leak", "--tick", "all")
    bagged.keeps(Finished(build="FP26-1", step="hold", boxes=(0, 1)))
    bagged.passes("cure")
    bagged("start", 1, "cure")
    log = dated(folder / "cure.csv", case, bagged.now)
    bagged.later(hours=13)
    return log
