"""What a plan made by the pages found, noted beside its job: the board tells it without planning anything."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from bagside.errors import OutputError
from bagside.findings import Basis, Finding, Severity
from bagside.planning.plan import BuildPlan
from bagside.records.writing import replaced

PLACE = Path(".history") / "plan.json"
"""Of the note, in the folder of its job."""
MOST_POINTS = 60
"""Of an outline: it is drawn small."""


def note_plan(folder: Path, made_from: str, plan: BuildPlan) -> None:
    """Note a plan; a disk that cannot take the note only makes the board say less.

    Parameters
    ----------
    folder
        Of the job.
    made_from
        Digest of everything it was made from.
    plan
        The build.
    """
    loops = [p.loops[0] for p in plan.cut]
    largest = max(loops, key=loop_area) if loops else ()
    note = {
        "made_from": made_from,
        "at": datetime.now(UTC).isoformat(),
        "outline": [[round(float(x), 5) for x in point] for point in largest[:: max(1, len(largest) // MOST_POINTS)]],
        "findings": [
            {
                "severity": f.severity.value, "stage": f.stage, "place": f.place, "what": f.what, "why": f.why,
                "do": f.do, "basis": f.basis.value, "source": f.source,
            }
            for f in plan.findings
        ],
    }  # fmt: skip
    try:
        (folder / PLACE).parent.mkdir(exist_ok=True)
        replaced(folder / PLACE, json.dumps(note, ensure_ascii=False))
    except (OSError, OutputError):
        return


def noted_plan(folder: Path) -> dict[str, Any]:
    """Return the note beside a job; empty when there is none that can be read.

    Parameters
    ----------
    folder
        Of the job.
    """
    try:
        found = json.loads((folder / PLACE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def finding_from(data: dict[str, Any]) -> Finding:
    """Return a finding as a note or ``plan.json`` holds it, without its point.

    Parameters
    ----------
    data
        One of their findings.
    """
    return Finding(
        severity=Severity(data["severity"]),
        stage=data["stage"],
        place=data["place"],
        what=data["what"],
        why=data["why"],
        do=data["do"],
        basis=Basis(data["basis"]),
        source=data["source"],
    )


def loop_area(loop: Any) -> float:
    """Return twice the area of a closed line, whichever way it runs [m²].

    Parameters
    ----------
    loop
        Shape (k, 2) [m].
    """
    points = np.asarray(loop, dtype=np.float64)
    x, y = points[:, 0], points[:, 1]
    return float(abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))
