"""What commands share: progress on standard error, findings as sentences, one JSON object on standard output."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from bagside.findings import Basis, Finding, Severity, sentence

if TYPE_CHECKING:
    from bagside.planning.stages import Done

ERR = Console(stderr=True, highlight=False, soft_wrap=False)
OUT = Console(highlight=False)

MARK = {Basis.MEASURED: "●", Basis.DATA_SHEET: "◐", Basis.PUBLISHED: "○", Basis.COMMON: "~"}
KEY = "● measured here  ◐ data sheet  ○ published source  ~ common practice"


class Lines:
    """Progress as one line for each stage on standard error; live when a person watches."""

    def __init__(self) -> None:
        self._status: Any = None

    def begins(self, stage: str) -> None:
        """Show the stage as running."""
        if ERR.is_terminal:
            self._status = ERR.status(f"{stage} …", spinner="line")
            self._status.start()

    def ended(self, done: Done) -> None:
        """Show the stage as done, and whether its result was kept from before."""
        if self._status is not None:
            self._status.stop()
            self._status = None
        how = "kept" if done.kept else f"{done.seconds:.1f} s"
        ERR.print(f"  {done.stage:<58} {how:>8}")


def emit(data: dict[str, Any]) -> None:
    """Print one JSON object on standard output."""
    json.dump(data, sys.stdout, ensure_ascii=False, indent=1, allow_nan=False)
    sys.stdout.write("\n")


def exit_code(findings: Iterable[Finding]) -> int:
    """Return 1 when a finding says stop, else 0."""
    return int(any(f.severity is Severity.STOP for f in findings))


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return a finding as JSON data."""
    return {
        "severity": finding.severity.value,
        "stage": finding.stage,
        "place": finding.place,
        "what": finding.what,
        "why": finding.why,
        "do": finding.do,
        "basis": finding.basis.value,
        "source": finding.source,
        "point_m": list(finding.point) if finding.point is not None else None,
    }


def show_findings(findings: Iterable[Finding], *, limit: int = 12, rest: str = "--json shows them all") -> None:
    """Print findings as sentences, weightiest first, on standard error; ``rest`` says where those left out are."""
    order = list(Severity)
    ranked = sorted(findings, key=lambda f: order.index(f.severity))
    style = {Severity.STOP: "bold reverse", Severity.DECIDE: "bold", Severity.WATCH: "", Severity.SEEN: "dim"}
    width = max(60, min(ERR.width, 110))
    for finding in ranked[:limit]:
        head = f"{finding.severity.value}: {finding.place}: {finding.what}"
        ERR.print(Text("\n".join(textwrap.wrap(head, width)), style=style[finding.severity]))
        body = f"{sentence(finding.why)} {sentence(finding.do)} {MARK[finding.basis]}"
        ERR.print(Text(textwrap.indent("\n".join(textwrap.wrap(body, width - 4)), "    ")))
    if len(ranked) > limit:
        ERR.print(f"… and {len(ranked) - limit} more: {rest}")
    if ranked:
        ERR.print(Text(KEY, style="dim"))


def table(title: str, headers: Sequence[str], rows: Iterable[Iterable[str]]) -> None:
    """Print a table on standard output: first column left, the others right."""
    OUT.print(Text(title, style="bold"))
    shown = Table(box=None, header_style="dim", pad_edge=False, show_header=any(headers))
    for k, header in enumerate(headers):
        shown.add_column(header, justify="left" if k == 0 else "right")
    for row in rows:
        shown.add_row(*(Text(cell) for cell in row))  # a name with brackets is a name, not markup
    OUT.print(shown)
