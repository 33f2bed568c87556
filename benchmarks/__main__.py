"""Run every benchmark, or those named: ``python -m benchmarks drape cure plan``.

``resin_fit``, ``cycle``, ``judging``, ``calibrate``, ``robust``, ``trace``, ``nest_open``, ``chance``, ``clocks``,
``weighing``, ``ledger``, ``scene``, ``pages`` and ``hand`` take long (``nest_open`` wants open data beside the project;
the last three want a browser) and run only when named.
"""

from __future__ import annotations

import importlib
import sys

ALL = ("drape", "net", "scan", "cure", "nest", "offcuts", "trace_view", "plan")
LONG = (
    "resin_fit", "cycle", "judging", "calibrate", "robust", "trace", "nest_open", "chance", "clocks", "weighing",
    "ledger", "scene", "pages", "hand",
)  # fmt: skip
NAMED = (*ALL, *LONG)

if __name__ == "__main__":
    for name in sys.argv[1:] or ALL:
        if name not in NAMED:
            sys.exit(f"there is no benchmark {name!r}; there are {', '.join(NAMED)}")
        print(f"== {name}")
        importlib.import_module(f"benchmarks.{name}").run()
        print()
