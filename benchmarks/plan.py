"""The demo's plan: cold, with nothing changed, and after a change of the cure only, as whole processes."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parents[1] / "demo"


def run() -> None:
    """Print the three times and their ratios."""
    with tempfile.TemporaryDirectory() as name:
        shop = Path(name) / "workshop"
        shutil.copytree(DEMO / "workshop", shop, ignore=shutil.ignore_patterns("out", ".bagside-cache"))
        job = shop / "jobs" / "day-hatch-lid" / "job.toml"
        subprocess.run([sys.executable, DEMO / "make_mould.py", job.parent / "mould.stl"], check=True)
        cold = _timed(job)
        warm = min(_timed(job) for _ in range(3))
        text = job.read_text(encoding="utf-8")
        job.write_text(text.replace('hold = "6 h"', 'hold = "6.5 h"'), encoding="utf-8")
        cure = _timed(job)
    print(f"cold {cold:.1f} s; nothing changed {warm:.2f} s, {cold / warm:.0f} times faster; ", end="")
    print(f"another cure {cure:.1f} s, {cold / cure:.1f} times faster")


def _timed(job: Path) -> float:
    begin = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "bagside", "plan", str(job)], capture_output=True, text=True, check=False
    )
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr)
    return time.perf_counter() - begin
