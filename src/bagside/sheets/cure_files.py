"""What leaves of an oven run: its table, its chart and the worst place through the thickness."""

from __future__ import annotations

from bagside.cure import CureLog
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_stage import Run
from bagside.sheets.cure_csv import cure_csv
from bagside.sheets.cure_curves import run_curves
from bagside.sheets.curechart import cure_chart
from bagside.sheets.curedepth import depth_map
from bagside.sheets.curestrip import TALL
from bagside.sheets.press import picture_png

WIDE, HIGH = 184.0, 92.0  # [mm]


def cure_files(
    run: Run, case: CureCase, word: str = "cure", log: CureLog | None = None, *, png: bool = False
) -> dict[str, bytes]:
    """Return the files of one oven run.

    Parameters
    ----------
    run
        Worked out.
    case
        What was cured.
    word
        What the files are called.
    log
        What a logger saw, to lie over the chart; None before the cure.
    png
        Whether the pictures are wanted as PNG as well.

    Returns
    -------
    dict of bytes
        Content by name.
    """
    curves = run_curves(run, case, log)
    worst = max(range(len(run.outcomes)), key=lambda k: run.outcomes[k].overshoot)
    pictures = {
        word: cure_chart(curves, size_mm=(WIDE, HIGH if curves.strip is None else HIGH + TALL)),
        f"{word}-depth": depth_map(run.histories[worst]),
    }
    files = {f"{word}.csv": cure_csv(run, case.resin).encode("utf-8")}
    files |= {f"{name}.svg": svg.encode("utf-8") for name, svg in pictures.items()}
    if png:
        files |= {f"{name}.png": picture_png(svg) for name, svg in pictures.items()}
    return files
