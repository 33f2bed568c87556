"""What a plan was made from, whether that has changed, and what a person sees of it at the end."""

from __future__ import annotations

import hashlib
import json as js
import textwrap
from collections.abc import Sequence
from datetime import date
from pathlib import Path, PurePosixPath
from typing import Any

from bagside.cli import show
from bagside.findings import Basis, Finding, Severity
from bagside.planning.layouts import StoredLayout
from bagside.planning.stages import program_digest
from bagside.records.layout_file import layouts_text
from bagside.spec.opening import Opened


def digest(opened: Opened, layouts: Sequence[StoredLayout] = ()) -> str:
    """Return a digest of everything a plan is made from: files, layouts, the program, today when it decides a date."""
    parts = [f"{name}:{value}" for name, value in sorted(opened.inputs.items())]
    parts.append(f"program:{program_digest()}")
    parts.append(f"layouts:{layouts_text(layouts) if layouts else None}")
    if opened.workshop.hours.first_day is None:
        parts.append(f"day:{date.today().isoformat()}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def writable(store: Path) -> Path | None:
    """Return the store when it can be written, else nothing: then a plan is worked out and not kept."""
    probe = store / "probe"
    try:
        store.mkdir(parents=True, exist_ok=True)
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as error:
        show.ERR.print(f"  results are not kept for the next time: {store}: {(error.strerror or str(error)).lower()}")
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


def read(target: Path) -> dict[str, Any]:
    """Return the plan that stands in a folder."""
    found: dict[str, Any] = js.loads((target / "plan.json").read_text(encoding="utf-8"))
    return found


def unchanged(target: Path, wanted: str) -> dict[str, Any] | None:
    """Return the plan in a folder when it was made from the same things and none of its files was touched."""
    try:
        found = read(target)
        if found["made_from"] != wanted:
            return None
        for name, sum_ in found["files"].items():
            if hashlib.sha256((target / PurePosixPath(name)).read_bytes()).hexdigest() != sum_:
                return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return found


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
