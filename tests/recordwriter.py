"""A process that writes to records and says the ids of what was kept.

``recordwriter.py FOLDER URL PREFIX SEED GROUPS SIZE ANEW``: with ANEW 1 it opens them for each group, like commands.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from bagside.ledger.event import new_event
from bagside.records.database import Ledger
from happenings import happenings


def writer(
    folder: Path, url: str, prefix: str, seed: int, groups: int, size: int = 1, anew: bool = False
) -> subprocess.Popen[str]:
    """Return a process that writes that many groups of events of that size, on things whose names begin so."""
    said = [str(folder), url, prefix, str(seed), str(groups), str(size), str(int(anew))]
    return subprocess.Popen(
        [sys.executable, __file__, *said], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def main(folder: str, url: str, prefix: str, seed: str, groups: str, size: str, anew: str) -> None:
    bodies = happenings(int(seed), prefix)
    ledger = Ledger.opened(Path(folder), url)
    print("open", flush=True)
    for _ in range(int(groups)):
        now = datetime.now(UTC)
        group = [new_event(next(bodies), who="Jonte", device=prefix, at=now) for _ in range(int(size))]
        if anew == "1":
            ledger.close()
            ledger = Ledger.opened(Path(folder), url)
        ledger.add(group)
        print(*(event.id for event in group), flush=True)
    ledger.close()
    print("done", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
