"""An oven run as a table that any spreadsheet opens."""

from __future__ import annotations

import csv
import io

import numpy as np

from bagside.cure import CureResin
from bagside.planning.cure_stage import Run


def cure_csv(run: Run, resin: CureResin) -> str:
    """Return one line for each output time: programme, then for every section air, laminate, cure and glass transition.

    Parameters
    ----------
    run
        Worked out.
    resin
        For its glass transition.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    head = ["time_min", "programme_c"]
    columns = [run.histories[0].time / 60.0, run.histories[0].programme - 273.15]
    for history in run.histories:
        laminate = history.laminate_temperature - 273.15
        lagging = history.alpha[:, history.lagging]
        for word, values in (
            ("air_c", history.air - 273.15),
            ("warmest_c", laminate.max(axis=1)),
            ("coolest_c", laminate.min(axis=1)),
            ("cure_lagging", lagging),
            ("tg_lagging_c", np.asarray(resin.tg(lagging)) - 273.15),
        ):
            head.append(f"{history.name}: {word}")
            columns.append(values)
    writer.writerow(head)
    for row in np.column_stack(columns):
        writer.writerow([f"{value:.4f}" for value in row])
    return text.getvalue()
