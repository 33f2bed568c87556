"""What a person sees of a plan at the end, and what is told when it cannot be kept."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bagside.cli import show
from bagside.findings import Basis, Finding, Severity
from bagside.planning.layouts import StoredLayout
from bagside.records.kept_plan import made_writable


def writable(store: Path) -> Path | None:
    """Return the store when it can be written, else nothing: then a plan is worked out and not kept."""
    from bagside.errors import OutputError

    try:
        made_writable(store)
    except OutputError as error:
        show.ERR.print(f"  results are not kept for the next time: {error}")
        return None
    return store


def laid_down(folder: Path, layouts: Sequence[StoredLayout]) -> None:
    """Store the layouts with the job; where that cannot be done, say so and go on."""
    from bagside.errors import OutputError
    from bagside.records.layout_file import write_layouts

    try:
        write_layouts(folder, layouts)
    except OutputError as error:
        show.ERR.print(f"  the layouts are not kept with the job: {error}", soft_wrap=True)


def shown(plan: dict[str, Any], target: Path, *, json: bool, seconds: float) -> int:
    """Show a plan and return the exit code."""
    findings = [_finding(f) for f in plan["findings"]]
    if json:
        show.emit(plan)
        return show.exit_code(findings)
    show.show_findings(findings, rest="in plan.json and in the book")
    laminate, money, time = plan["laminate"], plan["money"], plan["time"]
    main = laminate["zones"][0]
    cloth = "; ".join(_cloth(c) for c in plan["cutting"]["cloths"])
    last = plan["cure"]["runs"][-1]
    coldest = min(s["tg_c"] for s in last["sections"])
    rows = [
        ["part", f"{laminate['part_cm2']:.0f} cm², {main['thickness_mm']:.2f} mm, {laminate['mass_g']:.0f} g"],
        ["pieces", f"{_cut(plan)} for each part, {plan['job']['quantity']} parts"],
        ["cloth to pull", cloth],
        ["glass transition, worst place", f"{coldest:.0f} °C after {last['name']}"],
        ["attended time for each part", f"{time['attended_h_per_part']:.1f} h"],
        ["calendar", f"{time['start'][:10]} to {time['finish'][:10]}"],
        ["each further part costs", f"{money['repeat']:.2f} {money['currency']}"],
        ["price of one", f"{money['price']:.2f} {money['currency']}"],
    ]
    show.table(f"{plan['job']['name']}, {plan['job']['quantity']} off – {plan['job']['workshop']}", ["", ""], rows)
    papers = ("book.pdf", "cutting-sheet.pdf", "labels.pdf", "kit-list.pdf")
    names = [n for n in (*papers, "templates", "nests", "cure.csv", "plan.json") if (target / n).exists()]
    show.OUT.print(
        "\n".join(textwrap.wrap(f"Results in {target}: {', '.join(names)} ({seconds:.1f} s)", 110)), soft_wrap=True
    )
    show.OUT.print(
        "A plan does not certify a structure: have any part whose failure hurts checked by someone qualified."
    )
    return show.exit_code(findings)


def _finding(data: dict[str, Any]) -> Finding:
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


def _cloth(cloth: dict[str, Any]) -> str:
    """Return what is pulled of a cloth, and the offcuts it is cut from."""
    sheets = [layout["offcut"] for layout in cloth["layouts"] if layout["offcut"]]
    words = [f"{cloth['pull_mm'] / 1000:.2f} m of {cloth['material']}"] if cloth["pull_mm"] else []
    words += [f"offcut{'s' if len(sheets) > 1 else ''} {', '.join(sheets)} of {cloth['material']}"] if sheets else []
    return " and ".join(words)


def _cut(plan: dict[str, Any]) -> int:
    """Return how many pieces are cut for each part; tiles count in place of the ply they make up."""
    tiles, drape = plan.get("patchwork"), plan["drape"]
    draped = [] if drape is None else [p for p in drape["pieces"] if tiles is None or p["ply"] != tiles["ply"]]
    cards: int = sum(card["copies"] for card in plan["cutting"]["cards"])
    return len(draped) + cards + (0 if tiles is None else len(tiles["tiles"]))
