"""Run every benchmark, or those named: ``python -m benchmarks drape cure plan``."""

from __future__ import annotations

import importlib
import sys

ALL = ("drape", "cure", "nest", "plan")

if __name__ == "__main__":
    for name in sys.argv[1:] or ALL:
        if name not in ALL:
            sys.exit(f"there is no benchmark {name!r}; there are {', '.join(ALL)}")
        print(f"== {name}")
        importlib.import_module(f"benchmarks.{name}").run()
        print()
