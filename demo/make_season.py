"""Write down a month of the demo workshop: cloth that is cut, a freezer that was left open, four footrest plates.

Every command is one that a person could type; the times are stated, since it all happened already. Of the four plates
the first is good, the second was laid with a film too many in it and the scale knows, the third lost its oven for two
hours and was saved, and the fourth lies half laid on the mould. All of it is invented.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from bagside.cli.app import outcome
from bagside.cli.cure.case import opened_case
from bagside.cli.cure.logged import ready
from bagside.cure import Programme, Scenario, Segment, simulate

HERE = Path(__file__).parent
JOB = "footrest-plate"
MOULD = "footrest"
FREEZER = "freezer-november.csv"


class Season:
    """The workshop's folder, and its clock.

    Parameters
    ----------
    folder
        Of the workshop.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.now = datetime(2026, 11, 3, 8, 0)
        self.random = np.random.default_rng(20261103)

    def says(self, *words: str, may_stop: bool = False, timed: bool = True) -> str:
        """Run a command of bagside at this moment; return what it printed."""
        at = ("--at", f"{self.now:%Y-%m-%d %H:%M:%S}") if timed else ()
        printed, told = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(told):
            code = outcome([*words, "--workshop", str(self.folder), *at])
        if code not in ((0, 1) if may_stop else (0,)):
            raise SystemExit(f"{printed.getvalue()}{told.getvalue()}\nbagside {' '.join((*words, *at))}: {code}")
        return printed.getvalue()

    def later(self, minutes: float) -> None:
        """Let time pass."""
        self.now += timedelta(minutes=minutes)

    def morning(self) -> None:
        """Go home: what ends at night is seen in the morning."""
        if not 7 <= self.now.hour < 19:
            self.now = (self.now + timedelta(hours=5)).replace(hour=7, minute=30)


def freezer_log(file: Path, begins: datetime, days: int, random: np.random.Generator) -> None:
    """Write what a cheap logger saw in the chest freezer: a compressor, and a lid left ajar over a night."""
    steps = days * 96
    hours = np.arange(steps) / 4.0
    warmth = -19.0 + 1.2 * np.sin(hours / 0.9) + random.normal(0.0, 0.25, steps)
    ajar = (hours > 12 * 24 + 10) & (hours < 13 * 24 - 1)
    warmth[ajar] += np.minimum(1.6 * (hours[ajar] - hours[ajar][0]), 15.0)
    lines = ["Logger 2;chest freezer, invented for a demo", "time;inside (°C)"]
    for k in range(steps):
        when = begins + timedelta(minutes=15 * k)
        if k % 1013 == 1012:
            continue  # a reading that is missing now and then
        lines.append(f"{when:%Y-%m-%d %H:%M};{warmth[k]:.1f}".replace(".", ","))
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


def oven_log(season: Season, file: Path, *, post: bool, lost: bool = False) -> float:
    """Write what the oven's logger saw of a plate's cure; return how long it took [min]."""
    case = ready(opened_case(season.folder / "jobs" / JOB, season.folder), post=post, began_at="")
    sections = case.on_mould
    programme = case.programme
    segments = [*programme.segments]
    if lost:  # the fuse went in the middle of the hold, and somebody saw it two hours later
        last = segments[-1]
        cool = Segment(target=308.15, ramp=0.6 / 60.0, hold=3600.0)
        segments[-1:] = [replace(last, hold=0.4 * last.hold), cool, replace(last, hold=0.6 * last.hold)]
    segments.append(Segment(target=303.15, ramp=case.oven.cooling, hold=1200.0))
    asked = Programme(start=programme.start, segments=tuple(segments))
    truth = Scenario(name="", heat=1.02, rate=1.0, film_bag=0.95, film_tool=1.03, air=0.5).of(sections)
    runs = simulate(truth, case.resin, case.oven.air(asked), output_interval=120.0)
    first, last_section = runs[0], runs[-1]
    times = first.time

    def seen(values: np.ndarray, error: float) -> np.ndarray:
        return values - 273.15 + error + season.random.normal(0.0, 0.25, len(values))

    columns = {
        "air (°C)": seen(first.air, 0.3),
        "TC1 part (°C)": seen(first.laminate_temperature.mean(axis=1), -0.4),
        "TC2 part (°C)": seen(last_section.laminate_temperature.mean(axis=1), 0.5),
    }
    if not post:
        columns["bag (mbar abs)"] = 21.0 + season.random.normal(0.0, 0.6, len(times))
    lines = [";".join(("time", *columns))]
    for k, t in enumerate(times):
        when = season.now + timedelta(seconds=float(t))
        lines.append(";".join((f"{when:%Y-%m-%d %H:%M:%S}", *(f"{c[k]:.1f}" for c in columns.values()))))
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return float(times[-1]) / 60.0


def prepared(season: Season, builds: list[str]) -> None:
    """Begin plates of one job, thaw, print templates and cut for all of them at once."""
    for build in builds:
        season.says("build", "begin", str(season.folder / "jobs" / JOB), "--mould", MOULD, "--serial", build)
    together = ",".join(builds)
    season.says("build", "start", together, "thaw")
    season.says("stock", "move", "K-114", "K-090", "--to", "room")
    season.later(7 * 60)
    season.says("stock", "open", "K-114")
    season.says("stock", "open", "K-090")
    season.says("build", "finish", together, "thaw", "--tick", "all")
    season.says("build", "start", builds[0], "templates")
    season.later(95)
    season.says("build", "finish", builds[0], "templates", "--tick", "all")
    season.says("build", "start", together, "cut")
    season.later(100)
    season.says("cut", str(season.folder / "jobs" / JOB), "--accept", "--out", str(season.folder / "papers"))
    listed = json.loads(season.says("stock", "list", "--json", timed=False))
    cloth = ("roll", "offcut", "kit")
    out = [str(row["name"]) for row in listed["stock"] if row["place"] == "room" and row["sort"] in cloth]
    season.later(5)
    season.says("stock", "move", *out, "--to", "freezer")
    season.says("build", "finish", together, "cut", "--tick", "all", "--attended", "26 min")


def plate(season: Season, build: str, *, film_left: bool = False, lost: bool = False, until: str = "") -> None:
    """Make one plate, from its kit to the end or to a step."""
    while True:
        told = json.loads(season.says("build", "show", build, "--json", may_stop=True, timed=False))
        step = told["next"]["key"] if told["next"] else ""
        if not step:
            season.says("build", "close", build, "good")
            return
        if step == until:
            return
        season.later(4)
        before(season, build, step)
        season.says("build", "start", build, step)
        planned = next(s for s in told["steps_planned_and_done"] if s["key"] == step)
        season.later(planned["planned_attended_min"] * season.random.uniform(0.85, 1.35))
        during(season, build, step, told, film_left=film_left, lost=lost)
        if step not in ("cure", "post-cure"):
            season.later(planned["planned_unattended_min"])
        season.morning()
        season.says("build", "finish", build, step, "--tick", "all")
        if film_left and step == "demould":
            season.says("build", "weigh", build, "raw", "102 g", "--scale", "1 g", may_stop=True)
            season.says("build", "close", build, "scrap", "--why", "a backing film is left in it, found on the scale")
            return


def before(season: Season, build: str, step: str) -> None:
    """Read and write down what the gates before a step ask for."""
    if step == "release":
        coats = "4" if build.endswith("1") else "1"  # a new mould wants more
        season.says("stock", "mould", "release", MOULD, "--agent", "wax-free release", "--coats", coats)
    if step in ("ply-1", "ply-9", "bond") or step.startswith(("coat", "fill")):
        season.says("build", "climate", "19.4 °C", "49 %", "--build", build)
    if step == "release":  # the kits thaw while the mould is made ready
        kits = kits_of(season, build)
        season.says("stock", "move", *kits, "--to", "room")
        season.later(150)
        for kit in kits:
            season.says("stock", "open", kit)
    if step == "cure":
        season.says("build", "measure", build, "thermocouples", "3")
    if step == "demould":
        season.says("build", "measure", build, "demould", "34 °C")
    if step == "bond":
        for place in ("pivot", "drain"):
            off = season.random.normal(0.0, 0.12)
            season.says("build", "measure", build, "hole", f"{abs(off):.2f} mm", "--place", place)
        season.says("build", "measure", build, "water-break", "yes")


def kits_of(season: Season, build: str) -> list[str]:
    """Return the kits of a plate."""
    number = build.rpartition("-")[2]
    listed = json.loads(season.says("stock", "list", "--json", timed=False))
    names = [str(row["name"]) for row in listed["stock"] if row["sort"] == "kit"]
    return [n for n in names if n.rpartition("-")[2] == number]


def during(season: Season, build: str, step: str, told: dict[str, Any], *, film_left: bool, lost: bool) -> None:
    """Write down what happens in a step."""
    if step.startswith("ply-"):
        number = step.removeprefix("ply-")
        ply = next(p for p in told["plies"] if str(p["number"]) == number)
        films = ply["films_each"] * len(ply["pieces"])
        season.says("build", "lay", build, number, "--films", str(films))
    elif step.startswith("debulk-"):
        after = step.removeprefix("debulk-")
        season.later(20)
        pressed = ("--time", "22 min", "--vacuum", "38 mbar", "--bag", "debulk sheet")
        season.says("build", "debulk", build, "--after", after, *pressed)
    elif step == "bag":
        season.says("build", "bag", build, "--item", f"bag {build.rpartition('-')[2]}", "--item", "tape roll")
    elif step == "leak":
        end = 20 + season.random.integers(0, 3)
        season.says("build", "leak", build, "--start", "19 mbar", "--end", f"{end} mbar", "--time", "10 min")
    elif step in ("cure", "post-cure"):
        name = f"{build}-{step}.csv"
        took = oven_log(season, season.folder / "logs" / name, post=step == "post-cure", lost=lost and step == "cure")
        season.later(took + 5)
        words = ("--post",) if step == "post-cure" else ()
        log = str(season.folder / "logs" / name)  # its own clock says when heat came on
        season.says("build", "cure", build, log, *words, may_stop=True, timed=False)
    elif step == "demould":
        season.says("build", "pull", build, "--temperature", "34 °C")
        if not film_left:
            weighed(season, build, "raw", 94.1)
    elif step == "trim":
        for point in told["points"]:
            seen = point["planned_mm"] + season.random.normal(0.0, 0.02)
            season.later(1)
            season.says("build", "measure", build, "thickness", f"{seen:.2f} mm", "--place", point["place"])
        weighed(season, build, "trimmed", 75.2)
        season.says("build", "measure", build, "pinholes", str(season.random.integers(0, 9)), "--place", "face")
    elif step == "fit":
        weighed(season, build, "finished", 96.0)


def weighed(season: Season, build: str, stage: str, mean: float) -> None:
    """Put a plate on the scale."""
    mass = mean + season.random.normal(0.0, 0.7)
    season.says("build", "weigh", build, stage, f"{mass:.1f} g", "--scale", "1 g", may_stop=True)


def written(folder: Path) -> None:
    """Make the workshop's folder anew, with a month of records.

    Parameters
    ----------
    folder
        Replaced when it is there and holds a season.
    """
    if folder.exists():
        if not (folder / "logs" / FREEZER).is_file():
            raise SystemExit(f"{folder} is there and is no season: state another folder")
        shutil.rmtree(folder)
    shutil.copytree(HERE / "workshop", folder, ignore=shutil.ignore_patterns("out", "layout.json", ".*"))
    (folder / "logs").mkdir()
    os.environ.update(BAGSIDE_WHO="Ann", BAGSIDE_DEVICE="season")
    season = Season(folder)
    freezer_log(folder / "logs" / FREEZER, season.now, 21, season.random)
    season.says("stock", "begin")
    season.says("stock", "receive", "mould", MOULD, "--material", "glass-epoxy", "--coats-last", "1")
    tight = ("--start", "19 mbar", "--end", "21 mbar", "--time", "15 min")
    season.says("stock", "mould", "test", MOULD, *tight)
    for number in range(1, 5):
        bag = ("--material", "bag-nylon", "--use", "bag", "--count", "1")
        season.says("stock", "receive", "consumable", f"bag {number}", *bag)
    season.says("stock", "receive", "consumable", "debulk sheet", "--material", "bag-nylon", "--use", "debulk bag")
    season.says("stock", "receive", "consumable", "tape roll", "--material", "sealant-tape", "--use", "sealant tape")
    season.later(10)
    builds = [f"FP26-{number}" for number in range(1, 5)]
    prepared(season, builds)
    for day, build in zip((4, 10, 12, 20), builds, strict=True):
        season.now = datetime(2026, 11, day, 7, 30)
        until = "ply-5" if build == builds[3] else ""
        plate(season, build, film_left=build == builds[1], lost=build == builds[2], until=until)
    season.now = datetime(2026, 11, 24, 9, 0)
    season.says("stock", "freezer", str(folder / "logs" / FREEZER), timed=False)
    for build in ("FP26-1", "FP26-3"):
        season.says("build", "report", build, "--out", str(folder / "papers" / build), timed=False)
    season.says("build", "compare", str(folder / "jobs" / JOB), "--out", str(folder / "papers"), timed=False)


if __name__ == "__main__":
    written(Path(sys.argv[1]))
    print(f"A month of records is in {sys.argv[1]}; look with: bagside build list --workshop {sys.argv[1]}")
